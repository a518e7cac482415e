"""The administration pages: every table, few queries, everything recorded, little removed."""

import re

import pytest
from django.apps import apps
from django.contrib import admin
from django.db import connection
from django.db.models import BooleanField
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from apps.accounts.models import User
from apps.audit.models import Entry
from apps.facilities.models import Area
from apps.plans.models import Line, Plan
from tests.apps.administration.rows import make_one_of_each
from tests.factories.accounts import make_person
from tests.factories.catalogue import make_method, make_skill, make_test
from tests.factories.facilities import make_block, make_district, make_facility
from tests.factories.plans import make_plan

# Secrets, and rows that only the code that keeps them can read anything from.
WITHOUT_A_PAGE = {
    "accounts.secondfactor",
    "accounts.recoverycode",
    "accounts.opensession",
    "audit.chainend",
    "imports.uploadcontent",
    "imports.workbookpiece",
    "imports.proposalpiece",
}
MODELS = [
    model
    for config in apps.get_app_configs()
    if config.name.startswith("apps.")
    for model in config.get_models()
    if model._meta.label_lower not in WITHOUT_A_PAGE
]
KEPT_FOR_GOOD = {
    "accounts.invitation",
    "audit.entry",
    "catalogue.catalogueversion",
    "coverage.document",
    "coverage.assessment",
    "coverage.finding",
    "inventory.verification",
    "coverage.siteworkload",
    "imports.workbook",
    "imports.upload",
    "imports.siteidentifier",
    "imports.unmappedfile",
    "imports.columnmapping",
}


def address(model, page: str, *arguments) -> str:
    return reverse(f"admin:{model._meta.app_label}_{model._meta.model_name}_{page}", args=arguments)


def named(model) -> str:
    return model._meta.label_lower


@pytest.fixture
def administrator(db) -> User:
    return make_person("chief", role="administrator", is_staff=True, is_superuser=True)


@pytest.fixture
def pages(client, administrator):
    client.force_login(administrator)
    return client


@pytest.mark.parametrize("model", MODELS, ids=named)
def test_every_table_has_a_page_that_finds_and_filters(model):
    page = admin.site._registry[model]

    assert page.search_fields
    assert len(page.list_display) > 1
    # Nothing distinguishes programmes or device classes but their names.
    assert page.list_filter or named(model) in ("catalogue.programme", "catalogue.deviceclass")


def test_what_has_no_page_is_not_to_be_found_there():
    assert WITHOUT_A_PAGE & {named(model) for model in admin.site._registry} == set()


@pytest.mark.parametrize("model", MODELS, ids=named)
def test_a_list_takes_as_many_queries_for_three_rows_as_for_one(pages, model):
    counts = []
    for number in range(3):
        make_one_of_each(number)
        with CaptureQueriesContext(
            connection,
        ) as queries:
            answer = pages.get(address(model, "changelist"), {"q": ""})
        assert answer.status_code == 200
        counts.append(len(queries))

    assert counts[0] == counts[2]


@pytest.mark.parametrize("model", MODELS, ids=named)
def test_a_row_opens_and_offers_no_list_of_all_rows_to_choose_from(pages, model):
    row = next(made for made in make_one_of_each(1) if isinstance(made, model))

    answer = pages.get(address(model, "change", row.pk))

    assert answer.status_code == 200
    boxes = re.findall(r"<select [^>]*>", answer.content.decode())
    plain = {name for box in boxes if "admin-autocomplete" not in box for name in _named(box)}
    # Yes, no and unknown are a list of three.
    few = {each.name for each in model._meta.fields if each.choices}
    unknowable = {each.name for each in model._meta.fields if isinstance(each, BooleanField)}
    assert plain <= few | unknowable


def _named(box: str) -> list[str]:
    return re.findall(r'name="([^"]*)"', box)


@pytest.mark.parametrize("role", ["in_charge", "health_officer", "planner", "auditor"])
def test_only_administrators_get_in(client, db, role):
    client.force_login(make_person(role=role))

    answer = client.get(address(Plan, "changelist"))

    assert (answer.status_code, answer.url.split("?")[0]) == (302, "/admin/login/")


def test_a_change_is_recorded_with_before_and_after(pages, administrator):
    area = make_district("north")

    answer = pages.post(
        address(Area, "change", area.pk),
        {"name": "Northern", "kind": "district", "currency": "USD", "outline": "null"},
    )

    assert answer.status_code == 302
    [entry] = Entry.objects.all()
    assert (entry.by, entry.action, entry.object_key) == (administrator, "area.changed", "north")
    assert (entry.before, entry.after) == ({"name": "North"}, {"name": "Northern"})


def test_what_a_row_belongs_to_is_recorded_by_code(pages):
    method = make_method("smear", make_test("malaria"), skills=(make_skill("staining"),))
    make_skill("microscopy")
    kept = {name: str(getattr(method, name)) for name in ("code", "name", "sensitivity")}
    ids = {f"{name}": getattr(method, f"{name}_id") for name in ("test", "source")}

    answer = pages.post(
        address(type(method), "change", method.pk),
        {
            **kept,
            **ids,
            "source_kind": "demo",
            "dated_on": "2026-01-15",
            "sensitivity_source": method.source_id,
            "sensitivity_kind": "demo",
            "clinical_grade": "routine",
            "cadre": "K3",
            "batch_size": "1",
            "minutes_per_batch": "0",
            "minutes_per_sample": "0",
            "biosafety": "core",
            "consumable_cost": "0",
            "skills": [make_skill("counting").pk],
            "infrastructure": [],
        },
    )

    assert answer.status_code == 302
    [entry] = Entry.objects.all()
    assert (entry.before, entry.after) == ({"skills": ["staining"]}, {"skills": ["counting"]})


def test_an_addition_is_recorded(pages):
    pages.post(
        address(Area, "add"),
        {
            "code": "north",
            "name": "North",
            "kind": "district",
            "currency": "USD",
            "outline": "null",
        },
    )

    [entry] = Entry.objects.all()
    assert (entry.action, entry.before) == ("area.added", None)
    assert entry.after["code"] == "north"
    assert Area.objects.get().path == "north/"


@pytest.mark.parametrize("way", ["one", "several"])
def test_a_removal_is_recorded_with_what_was_removed(pages, way):
    facility = make_facility("hill", make_block("upper", make_district()))

    if way == "one":
        pages.post(address(type(facility), "delete", facility.pk), {"post": "yes"})
    else:
        asked = {"action": "delete_selected", "_selected_action": [facility.pk], "post": "yes"}
        pages.post(address(type(facility), "changelist"), asked)

    assert not type(facility).objects.exists()
    entry = Entry.objects.get(action="facility.removed")
    assert (entry.object_key, entry.before["name"], entry.after) == ("hill", "Hill", None)


def test_a_new_password_is_recorded_but_not_what_it_is(pages, administrator):
    person = make_person()
    word = "a longer phrase 7"

    pages.post(
        f"/admin/accounts/user/{person.pk}/password/",
        {"password1": word, "password2": word, "usable_password": "true"},
    )

    person.refresh_from_db()
    [entry] = Entry.objects.all()
    assert person.check_password(word)
    assert (entry.action, entry.by, entry.before, entry.after) == (
        "password.set", administrator, None, None,
    )  # fmt: skip


def test_a_person_made_here_is_recorded_without_the_password(pages):
    word = "a longer phrase 7"

    pages.post(
        address(User, "add"),
        {"username": "ada", "role": "auditor", "password1": word, "password2": word,
         "usable_password": "true"},
    )  # fmt: skip

    person = User.objects.get(username="ada")
    [entry] = Entry.objects.all()
    assert (person.role, person.is_staff) == ("auditor", False)
    assert (entry.action, entry.after) == ("user.added", {"username": "ada", "role": "auditor"})


@pytest.mark.parametrize("role", ["administrator", "planner"])
def test_administrators_and_nobody_else_get_into_these_pages_by_their_role(pages, role):
    person = make_person()

    pages.post(
        address(User, "change", person.pk),
        {"username": "somebody", "role": role, "is_active": "on"},
    )

    person.refresh_from_db()
    assert (person.is_staff, person.is_superuser) == (role == "administrator",) * 2


@pytest.mark.parametrize("label", sorted(KEPT_FOR_GOOD))
def test_what_the_service_worked_out_or_wrote_down_is_not_removed_or_changed_here(pages, label):
    model = apps.get_model(label)
    row = next(made for made in make_one_of_each(1) if isinstance(made, model))

    statuses = [
        pages.get(address(model, "add")).status_code,
        pages.post(address(model, "change", row.pk), {}).status_code,
        pages.post(address(model, "delete", row.pk), {"post": "yes"}).status_code,
    ]

    assert statuses == [403, 403, 403]
    assert model.objects.filter(pk=row.pk).exists()


def test_a_plan_goes_with_all_its_parts_but_no_part_by_itself(pages):
    made = make_one_of_each(1)
    line = next(row for row in made if isinstance(row, Line))

    alone = pages.post(address(Line, "delete", line.pk), {"post": "yes"})
    whole = pages.post(address(Plan, "delete", line.run.plan_id), {"post": "yes"})

    assert (alone.status_code, whole.status_code) == (403, 302)
    assert not Plan.objects.exists()
    assert not Line.objects.exists()
    assert Entry.objects.filter(action="plan.removed").count() == 1


def test_a_plan_is_not_changed_once_it_was_asked(pages, administrator):
    plan = make_plan(make_district(), administrator)

    assert pages.post(address(Plan, "change", plan.pk), {"title": "Other"}).status_code == 403


def test_an_area_keeps_its_code_and_place_by_which_people_see_it(pages):
    area = make_block("upper", make_district())

    pages.post(
        address(Area, "change", area.pk),
        {"code": "lower", "parent": "", "name": "Upper", "kind": "block", "currency": "USD",
         "outline": "null"},
    )  # fmt: skip

    assert list(Area.objects.values_list("code", "path")) == [
        ("north", "north/"),
        ("upper", "north/upper/"),
    ]
