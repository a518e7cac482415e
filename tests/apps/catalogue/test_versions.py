import gzip
import json
from decimal import Decimal

import pytest
import rfc8785
from django.core.exceptions import PermissionDenied

from apps.accounts.choices import Role
from apps.audit.models import Entry
from apps.catalogue.adapters import snapshot
from apps.catalogue.models import CatalogueVersion, DeviceModel, Method, Requirement
from apps.catalogue.selectors import FieldChange, RowChange, TableChange, differences, versions
from apps.catalogue.services import NothingNewError, publish_version
from tests.factories.accounts import make_person
from tests.factories.catalogue import (
    DAY,
    make_device_class,
    make_device_model,
    make_method,
    make_need,
    make_skill,
    make_test,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def spinning(db):
    """One method that needs a centrifuge, and a centrifuge."""
    centrifuge = make_device_class("centrifuge", rcf_max_g="number")
    make_device_model("bench", centrifuge, specs={"rcf_max_g": 2000}, price=1000)
    skills = make_skill("spinning"), make_skill("microscopy")
    method = make_method("urine-sediment", make_test("urine"), skills=skills)
    make_need(method, centrifuge, rcf_max_g=("min", 400))


@pytest.fixture
def planner():
    return make_person("planner", role=Role.PLANNER)


def publish(by, title="First", planning=None):
    return publish_version(title=title, planning=planning or {}, by=by)


def test_a_snapshot_has_every_table_of_the_catalogue_but_the_versions(spinning):
    tables = snapshot()

    assert "catalogueversion" not in tables
    assert {"source", "labtest", "method", "need", "requirement", "devicemodel"} <= set(tables)


def test_a_row_is_known_by_its_code_or_by_what_makes_it_unique(spinning):
    tables = snapshot()

    assert list(tables["method"]) == ["urine-sediment"]
    assert list(tables["requirement"]) == [
        "urine-sediment / 1 / centrifuge / rcf_max_g",
    ]


def test_rows_refer_to_each_other_by_key_and_amounts_are_text_without_needless_zeros(spinning):
    DeviceModel.objects.update(price=Decimal("1200.5000"))
    tables = snapshot()
    requirement = tables["requirement"]["urine-sediment / 1 / centrifuge / rcf_max_g"]

    assert tables["devicemodel"]["bench"]["price"] == "1200.5"
    assert tables["devicemodel"]["bench"]["dated_on"] == DAY.isoformat()
    assert (requirement["need"], requirement["attribute"], requirement["value"]) == (
        "urine-sediment / 1",
        "centrifuge / rcf_max_g",
        400,
    )


def test_many_to_many_fields_are_sorted_lists_of_keys(spinning):
    assert snapshot()["method"]["urine-sediment"]["skills"] == ["microscopy", "spinning"]


def test_equal_catalogues_give_equal_snapshots_in_whatever_order_rows_were_written(spinning):
    first = rfc8785.dumps(snapshot())
    method = Method.objects.get()
    method.skills.set(reversed(method.skills.all()))

    assert rfc8785.dumps(snapshot()) == first


def test_a_snapshot_takes_as_many_queries_for_many_rows(spinning, django_assert_num_queries):
    with django_assert_num_queries(25):
        snapshot()


def test_a_version_keeps_the_catalogue_and_the_lists_for_planning(spinning, planner):
    version = publish(planner, planning={"tests": []})

    text = gzip.decompress(bytes(version.content))
    assert json.loads(text) == {"tables": snapshot(), "planning": {"tests": []}}
    assert (version.number, version.title, version.published_by) == (1, "First", planner)


def test_versions_are_numbered_and_the_newest_comes_first(spinning, planner):
    publish(planner)
    Requirement.objects.update(value=450)
    publish(planner, "Second")

    assert [(version.number, version.title) for version in versions()] == [
        (2, "Second"),
        (1, "First"),
    ]


def test_publishing_the_same_catalogue_again_is_refused_and_names_the_version(spinning, planner):
    publish(planner)

    with pytest.raises(NothingNewError, match=r"since version 1 \(First\) was published"):
        publish(planner, "Again")

    assert CatalogueVersion.objects.count() == 1


def test_publishing_is_recorded(spinning, planner):
    version = publish(planner)

    [entry] = Entry.objects.all()
    assert (entry.action, entry.by, entry.place, entry.after) == (
        "catalogue.published",
        planner,
        "",
        {"number": 1, "title": "First", "sha256": version.sha256},
    )


@pytest.mark.parametrize("role", [Role.IN_CHARGE, Role.HEALTH_OFFICER, Role.AUDITOR])
def test_only_planners_and_administrators_publish(spinning, role):
    with pytest.raises(PermissionDenied):
        publish(make_person(role=role))

    assert not CatalogueVersion.objects.exists()


def test_the_differences_name_table_row_and_field_from_what_to_what(spinning):
    before = snapshot()
    Requirement.objects.update(value=450)
    DeviceModel.objects.filter(code="bench").update(price=900)

    assert differences(before, snapshot()) == (
        TableChange(
            "devicemodel",
            "device models",
            (RowChange("bench", "changed", (FieldChange("price", "1000", "900"),), "demo"),),
        ),
        TableChange(
            "requirement",
            "requirements",
            (
                RowChange(
                    "urine-sediment / 1 / centrifuge / rcf_max_g",
                    "changed",
                    (FieldChange("value", 400, 450),),
                    "demo",
                ),
            ),
        ),
    )


def test_new_and_removed_rows_are_told_apart_and_show_their_fields(spinning):
    before = snapshot()
    DeviceModel.objects.get(code="bench").delete()
    after = snapshot()

    [gone] = [each for each in differences(before, after) if each.table == "devicemodel"]
    [new] = [each for each in differences(after, before) if each.table == "devicemodel"]
    assert [(row.key, row.kind) for row in gone.rows] == [("bench", "removed")]
    assert [(row.key, row.kind) for row in new.rows] == [("bench", "added")]
    assert FieldChange("price", None, "1000") in new.rows[0].fields
    assert FieldChange("price", "1000", None) in gone.rows[0].fields


def test_equal_snapshots_have_no_differences(spinning):
    assert differences(snapshot(), snapshot()) == ()


def test_a_table_that_is_gone_since_keeps_its_own_name_and_comes_last(spinning):
    old = {"quirk": {"odd": {"size": 1}}, "source": {}}

    changed = differences(old, snapshot())
    assert [(each.table, each.name) for each in changed][-1] == ("quirk", "quirk")
