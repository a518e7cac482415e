"""Hours per test become hands-on minutes of one sample, and minutes of a run of one sample.

A need takes the source of its method. Both ways the hours of a test stay what they were.
"""

from django.db import migrations

MINUTES_PER_HOUR = 60


def rows(apps, schema_editor, model):
    return apps.get_model("catalogue", model).objects.using(schema_editor.connection.alias)


def into_minutes(apps, schema_editor):
    for method in rows(apps, schema_editor, "Method").all():
        method.minutes_per_sample = method.staff_hours * MINUTES_PER_HOUR
        method.save(update_fields=["minutes_per_sample"])
    for need in rows(apps, schema_editor, "Need").select_related("method"):
        need.minutes_per_run = need.hours * MINUTES_PER_HOUR
        need.source_id = need.method.source_id
        need.source_kind = need.method.source_kind
        need.dated_on = need.method.dated_on
        need.save()


def into_hours(apps, schema_editor):
    for method in rows(apps, schema_editor, "Method").all():
        minutes = method.minutes_per_batch / method.batch_size + method.minutes_per_sample
        method.staff_hours = minutes / MINUTES_PER_HOUR
        method.save(update_fields=["staff_hours"])
    for need in rows(apps, schema_editor, "Need").all():
        need.hours = need.minutes_per_run / need.samples_per_run / MINUTES_PER_HOUR
        need.save(update_fields=["hours"])


class Migration(migrations.Migration):
    dependencies = [("catalogue", "0002_add_work_evidence_and_steps")]
    operations = [migrations.RunPython(into_minutes, into_hours)]
