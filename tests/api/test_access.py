"""Who gets what from each address: one table, and no address without a line in it."""

from collections.abc import Callable

import pytest
from django.core.cache import cache
from django.core.files.base import ContentFile
from django.db import transaction
from django.urls import reverse

from apps.accounts.choices import Role
from apps.accounts.models import User
from apps.accounts.rules import PERMITTED
from apps.api.urls import urlpatterns
from apps.catalogue.models import DeviceClass
from apps.coverage.services import keep_document
from apps.imports.models import Upload
from apps.inventory.models import EquipmentItem
from apps.plans.models import Line, Run
from tests.api.register import make_person, make_plan
from tests.factories.catalogue import make_limit
from tests.factories.inventory import make_verification

VIEW = PERMITTED["register.view"]
VERIFY = PERMITTED["verification.record"]
CHANGE = PERMITTED["register.change"]
PLAN_VIEW = PERMITTED["plan.view"]
PLAN_DRAFT = PERMITTED["plan.draft"]
PLAN_RUN = PERMITTED["plan.run"]
ANYBODY = None

# Address name -> method -> (roles that may, status there, status for the other district's).
# A list of another district's user is his own, so it is 200 with other rows.
ACCESS = {
    "token": {"POST": (ANYBODY, 400, 400), "DELETE": (frozenset(Role), 204, 204)},
    "area-list": {"GET": (VIEW, 200, 200)},
    "register-file": {"GET": (VIEW, 200, 404)},
    "places-file": {"GET": (VIEW, 200, 404)},
    "bundle-file": {"GET": (VIEW, 200, 404)},
    "table-file": {"GET": (VIEW, 200, 404)},
    "site-list": {"GET": (VIEW, 200, 200)},
    "site-detail": {"GET": (VIEW, 200, 404)},
    # A change without If-Match is refused, wherever one may change.
    "site-facts-detail": {"GET": (VIEW, 200, 404), "PATCH": (CHANGE, 428, 404)},
    "equipment-item-list": {"GET": (VIEW, 200, 200)},
    "equipment-item-detail": {"GET": (VIEW, 200, 404), "PATCH": (CHANGE, 428, 404)},
    "verification-list": {"GET": (VIEW, 200, 200), "POST": (VERIFY, 201, 400)},
    "verification-detail": {"GET": (VIEW, 200, 404)},
    "verification-withdraw": {"POST": (VERIFY, 200, 404)},
    "programme-list": {"GET": (VIEW, 200, 200)},
    "test-list": {"GET": (VIEW, 200, 200)},
    "method-list": {"GET": (VIEW, 200, 200)},
    "method-detail": {"GET": (VIEW, 200, 200)},
    "spin-procedure-list": {"GET": (VIEW, 200, 200)},
    "device-model-list": {"GET": (VIEW, 200, 200)},
    "device-model-detail": {"GET": (VIEW, 200, 200)},
    "coverage-list": {"GET": (VIEW, 200, 200)},
    "travel-time-list": {"GET": (VIEW, 200, 200)},
    "upload-list": {"GET": (CHANGE, 200, 200), "POST": (CHANGE, 202, 400)},
    "upload-detail": {"GET": (CHANGE, 200, 404)},
    "upload-proposals": {"GET": (CHANGE, 200, 404)},
    "upload-apply": {"POST": (CHANGE, 202, 404)},
    "upload-undo": {"POST": (CHANGE, 202, 404)},
    "upload-cancel": {"POST": (CHANGE, 200, 404)},
    # Without the code of a district it is a mistake, wherever one is.
    "test-reach": {"GET": (VIEW, 400, 400)},
    "demand-estimate-list": {"GET": (VIEW, 200, 200)},
    "workload-list": {"GET": (VIEW, 200, 200)},
    "plan-list": {"GET": (PLAN_VIEW, 200, 200), "POST": (PLAN_DRAFT, 201, 400)},
    "plan-detail": {"GET": (PLAN_VIEW, 200, 404)},
    "plan-runs": {"GET": (PLAN_VIEW, 200, 404), "POST": (PLAN_RUN, 202, 404)},
    "run-detail": {"GET": (PLAN_VIEW, 200, 404)},
    "run-result": {"GET": (PLAN_VIEW, 200, 404)},
    "run-case": {"GET": (PLAN_VIEW, 200, 404)},
    "run-lines": {"GET": (PLAN_VIEW, 200, 404)},
    "run-cancel": {"POST": (PLAN_RUN, 200, 404)},
    "schema": {"GET": (ANYBODY, 200, 200)},
    "docs": {"GET": (ANYBODY, 200, 200)},
    "unknown": {"GET": (ANYBODY, 404, 404), "POST": (ANYBODY, 404, 404)},
}
CASES = [(name, method) for name, methods in ACCESS.items() for method in methods]
VERIFICATION = {
    "item": "hill-001", "kind": "paired", "rule": "bench", "subject": "photometer",
    "done_on": "2026-01-20", "operator": "technician", "reference": "Analyser",
    "readings": [[12.1, 12.0], [13.0, 13.2]],
}  # fmt: skip
BODIES = {
    ("site-facts-detail", "PATCH"): {"population": 1, "observed_on": "2026-01-20"},
    ("equipment-item-detail", "PATCH"): {"note": "x", "observed_on": "2026-01-20"},
    ("plan-list", "POST"): {"title": "Next year", "area": "north", "capital": "3000"},
    ("verification-list", "POST"): VERIFICATION,
    ("verification-withdraw", "POST"): {"why": "Wrong device"},
    # A file is read once; each person sends another.
    ("upload-list", "POST"): lambda: {"file": ContentFile(b"x", "a.xlsx"), "area": "north"},
}
FORMS = {("upload-list", "POST"): "multipart"}


@pytest.fixture
def addresses(register) -> dict[str, str]:
    """Every address of the table, leading to something of district north."""
    planner = User.objects.create_user("somebody", role="planner")
    plan = make_plan(register.north, planner)
    idle = make_plan(register.north, planner, title="Not run yet")
    run = Run.objects.create(
        plan=plan,
        asked_by=planner,
        state="done",
        case=keep_document({"kind": "case"}),
        result=keep_document({"kind": "result"}),
    )
    Line.objects.create(
        run=run,
        facility=register.ford,
        kind="buy",
        item_code="cuvette-photometer",
        item_name="Cuvette photometer",
        quantity=1,
        cost=900,
        reason="Haemoglobin for 8,000 people.",
    )
    make_limit("bench-bias", rule="bench", device_class=DeviceClass.objects.get(), ucum="g/dL")
    verified = make_verification(EquipmentItem.objects.get(code="hill-001"))
    counts = {verdict: 0 for verdict in ("refused", "conflict", "changed", "new", "unchanged")}
    counts = {"equipment.csv": {"title": "Equipment", "blank": 0, **counts}}
    looked, applied = (
        Upload.objects.create(
            kind="workbook", file_name="a.xlsx", sha256="0" * 64, size_bytes=1,
            area=register.north, by=planner, state=state, counts=counts,
        )
        for state in ("previewed", "applied")
    )  # fmt: skip
    arguments = {
        **{name: [looked.pk] for name in ACCESS if name.startswith("upload-")},
        "upload-list": None,
        "upload-proposals": [looked.pk, "equipment.csv", "new"],
        "upload-undo": [applied.pk],
        "verification-detail": [verified.code],
        "verification-withdraw": [verified.code],
        **{name: ["north"] for name in ("register-file", "places-file", "bundle-file")},
        "table-file": ["north", "equipment"],
        "site-detail": ["hill"],
        "site-facts-detail": ["hill"],
        "equipment-item-detail": ["hill-001"],
        "method-detail": ["haemoglobin-photometry"],
        "test-reach": ["haemoglobin"],
        "device-model-detail": ["cuvette-photometer"],
        "plan-detail": [plan.pk],
        "plan-runs": [idle.pk],
        **{name: [run.pk] for name in ACCESS if name.startswith("run-")},
    }
    named = {name: reverse(f"api:{name}", args=arguments.get(name)) for name in ACCESS}
    return {**named, "unknown": "/api/v1/no-such-thing/"}


def expected(name: str, method: str, role: str | None, area: str) -> int:
    roles, inside, outside = ACCESS[name][method]
    if roles is not ANYBODY and role is None:
        return 401
    if roles is not ANYBODY and role not in roles:
        return 403
    return inside if area == "north" else outside


def test_every_address_has_a_line_in_the_table():
    assert {pattern.name for pattern in urlpatterns} == set(ACCESS)


def test_every_method_that_a_view_has_stands_in_the_table():
    offered = {
        pattern.name: {
            method
            for method in ("GET", "POST", "PUT", "PATCH", "DELETE")
            if hasattr(pattern.callback.view_class, method.lower())
        }
        for pattern in urlpatterns
        if pattern.name != "unknown"  # it answers every method alike
    }

    assert offered == {name: set(ACCESS[name]) for name in offered}


@pytest.mark.parametrize(("name", "method"), CASES, ids=lambda part: part)
def test_each_person_gets_from_an_address_what_the_table_says(
    name: str, method: str, addresses, register, as_person: Callable
):
    people = {("nobody", "north"): None} | {
        (role, area.code): make_person(role, area)
        for role in Role.values
        for area in (register.north, register.south)
    }

    statuses = {}
    for (role, area), person in people.items():
        cache.clear()  # limits are another test's subject
        with transaction.atomic():
            send = getattr(as_person(person), method.lower())
            body, form = BODIES.get((name, method)), FORMS.get((name, method))
            body = body() if callable(body) else body
            statuses[role, area] = send(addresses[name], body, format=form).status_code
            transaction.set_rollback(True)

    assert statuses == {
        (role, area): expected(name, method, role if person else None, area)
        for (role, area), person in people.items()
    }
