"""A catalogue that was typed in hours keeps its hours when they become minutes, and back."""

import pytest
from django.db import connections
from django.db.migrations.executor import MigrationExecutor

OLD, NEW = "0001_first_tables", "0004_derive_hours"
SOURCED = {"source_kind": "demo", "dated_on": "2026-01-15"}


@pytest.fixture
def migrate(tmp_path, django_db_blocker):
    """``migrate(name)`` brings a database of its own to that migration and gives its models."""
    settings = {**connections.databases["default"], "ENGINE": "django.db.backends.sqlite3"}
    connections.databases["old"] = {**settings, "NAME": str(tmp_path / "old.db"), "OPTIONS": {}}
    with django_db_blocker.unblock():

        def to(name: str):
            executor = MigrationExecutor(connections["old"])
            executor.migrate([("catalogue", name)])
            return executor.loader.project_state(("catalogue", name)).apps

        yield to
        connections["old"].close()
    del connections["old"]
    del connections.databases["old"]


def objects(apps, model: str):
    return apps.get_model("catalogue", model).objects.using("old")


def write_a_method_of_hours(apps) -> None:
    source = objects(apps, "Source").create(code="handbook", title="Handbook", kind="demo")
    programme = objects(apps, "Programme").create(code="general", name="General")
    test = objects(apps, "LabTest").create(
        code="urea", name="Urea", programme=programme, weight=1, lowest_level=2, source=source,
        **SOURCED,
    )  # fmt: skip
    method = objects(apps, "Method").create(
        code="urea-dry", name="Dry", test=test, sensitivity=0.9, sensitivity_source=source,
        sensitivity_kind="demo", staff_hours=0.0667, consumable_cost=1, source=source, **SOURCED,
    )  # fmt: skip
    centrifuge = objects(apps, "DeviceClass").create(code="centrifuge", name="Centrifuge")
    objects(apps, "Need").create(method=method, position=1, device_class=centrifuge, hours=0.0217)


def test_hours_become_minutes_of_one_sample_with_the_source_of_the_method(migrate):
    write_a_method_of_hours(migrate(OLD))

    apps = migrate(NEW)

    method, need = objects(apps, "Method").get(), objects(apps, "Need").get()
    assert (method.batch_size, method.minutes_per_batch) == (1, 0)
    assert method.minutes_per_sample == pytest.approx(4.002)
    assert (need.samples_per_run, need.source.code, need.source_kind) == (1, "handbook", "demo")
    assert need.minutes_per_run == pytest.approx(1.302)


def test_minutes_of_batches_and_runs_become_hours_of_one_test_again(migrate):
    write_a_method_of_hours(migrate(OLD))
    apps = migrate(NEW)
    objects(apps, "Method").update(batch_size=20, minutes_per_batch=20, minutes_per_sample=2)
    objects(apps, "Need").update(minutes_per_run=12, samples_per_run=8)

    apps = migrate(OLD)

    assert objects(apps, "Method").get().staff_hours == pytest.approx(3 / 60)
    assert objects(apps, "Need").get().hours == pytest.approx(1.5 / 60)
