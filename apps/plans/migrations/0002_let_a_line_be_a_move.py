from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ("plans", "0001_first_tables"),
    ]

    operations = [
        migrations.AlterField(
            model_name="line",
            name="kind",
            field=models.CharField(
                choices=[
                    ("buy", "Buy"),
                    ("repair", "Repair"),
                    ("train", "Train"),
                    ("provide", "Provide"),
                    ("move", "Move"),
                ],
                max_length=10,
            ),
        ),
    ]
