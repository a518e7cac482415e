"""Hours are no longer stored: they follow from minutes, batches and runs."""

import django.core.validators
import django.db.models.deletion
from django.db import migrations, models

NOT_NEGATIVE = [django.core.validators.MinValueValidator(0)]
KINDS = [
    ("published", "Published"),
    ("common_practice", "Common practice"),
    ("planning_default", "Planning default"),
    ("demo", "Invented for the demo"),
]


class Migration(migrations.Migration):
    dependencies = [("catalogue", "0003_turn_hours_into_minutes")]
    operations = [
        # With a default, so that the way back can put the columns in before it fills them.
        migrations.AlterField(
            "method", "staff_hours", models.FloatField(default=0, validators=NOT_NEGATIVE)
        ),
        migrations.AlterField(
            "need", "hours", models.FloatField(default=0, validators=NOT_NEGATIVE)
        ),
        migrations.RemoveField("method", "staff_hours"),
        migrations.RemoveField("need", "hours"),
        migrations.AlterField(
            "need",
            "source",
            models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT,
                related_name="+",
                to="catalogue.source",
            ),
        ),
        migrations.AlterField(
            "need", "source_kind", models.CharField(choices=KINDS, max_length=20)
        ),
        migrations.AlterField("need", "dated_on", models.DateField()),
    ]
