"""Chain the entries by their digests, those that are there already among them."""

from importlib import import_module

from django.db import migrations, models

REFUSAL = import_module("apps.audit.migrations.0002_refuse_changes")


def chain(apps, schema_editor):
    # The digest is worked out by the model of today: a later change of what it covers has to
    # come with a migration of its own.
    entry_today = import_module("apps.audit.models").Entry
    entries, chain_end = apps.get_model("audit", "Entry"), apps.get_model("audit", "ChainEnd")
    digest, length = "", 0
    fields = ("pk", "at", "by_id", "action", "object_type", "object_key", "place", "before",
              "after", "why")  # fmt: skip
    for values in entries.objects.order_by("pk").values(*fields).iterator(chunk_size=2000):
        digest, length = entry_today(**values).digest_after(digest), length + 1
        entries.objects.filter(pk=values["pk"]).update(digest=digest)
    chain_end.objects.create(pk=1, length=length, digest=digest)


class Migration(migrations.Migration):
    dependencies = [("audit", "0002_refuse_changes")]

    operations = [
        migrations.RunPython(REFUSAL.allow, REFUSAL.refuse),
        migrations.CreateModel(
            name="ChainEnd",
            fields=[
                ("id", models.BigAutoField(
                    auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                )),
                ("length", models.PositiveBigIntegerField(default=0)),
                ("digest", models.CharField(blank=True, max_length=64)),
            ],
        ),
        migrations.AlterField("entry", "at", models.DateTimeField(db_index=True)),
        migrations.AlterModelOptions(
            "entry", {"ordering": ["-id"], "verbose_name_plural": "entries"}
        ),
        migrations.AddField("entry", "place", models.CharField(
            blank=True, default="", max_length=300,
            help_text="path of the area that the object belongs to; blank: it belongs to none",
        ), preserve_default=False),
        migrations.AddField("entry", "digest", models.CharField(
            default="", editable=False, max_length=64
        ), preserve_default=False),
        migrations.RunPython(chain, migrations.RunPython.noop),
        migrations.RunPython(REFUSAL.refuse, REFUSAL.allow),
    ]
