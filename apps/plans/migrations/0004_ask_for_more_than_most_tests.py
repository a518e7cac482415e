"""Plans keep what they ask beyond the most tests for their money; earlier ones ask no more."""

from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ("plans", "0003_decide_on_plans"),
    ]

    operations = [
        migrations.AddField(
            model_name="plan",
            name="asked",
            field=models.JSONField(
                blank=True,
                default=dict,
                help_text="what is asked beyond the most tests for the money (adapters.Asked)",
            ),
        ),
    ]
