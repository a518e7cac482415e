"""Rows that pages show but that nobody has to compute for a page to be tested."""

from typing import Any

from apps.accounts.models import User
from apps.catalogue.models import LabTest, Source
from apps.coverage.models import Assessment, Document, Finding
from apps.facilities.models import Area, Facility
from apps.plans.models import Line, Plan, Run
from tests.api.register import DAY

BUY = {"kind": "buy", "item": "cuvette-photometer", "name": "Cuvette photometer", "cost": 900.0}
MISSING = {
    "kind": "need",
    "what": "photometer",
    "reason": "no working photometer with a wavelength of 540 nm",
}
METHOD = {"code": "haemoglobin-photometry", "name": "Photometry"}


def make_document(digit: str = "a") -> Document:
    return Document.objects.create(sha256=digit * 64, content=b"")


def make_test(code: str, **values: Any) -> LabTest:
    sourced = {"source": Source.objects.get(), "source_kind": "demo", "dated_on": DAY}
    fixed = {"name": code.title(), "programme": LabTest.objects.get(code="haemoglobin").programme}
    return LabTest.objects.create(
        code=code, **{**fixed, "weight": 1, "lowest_level": 1, **sourced, **values}
    )


def make_assessment(area: Area) -> Assessment:
    case, _ = Document.objects.get_or_create(sha256="c" * 64, content=b"")
    return Assessment.objects.create(area=area, case=case, engine_version="0")


def make_finding(
    assessment: Assessment, facility: Facility, state: str, *, test: str = "haemoglobin", **values
) -> Finding:
    detail = {
        "methods": [{**METHOD, "runs": state == "runs", "missing": []}],
        "fix": [],
        "questions": [],
    }
    return Finding.objects.create(
        assessment=assessment,
        facility=facility,
        test=LabTest.objects.get(code=test),
        state=state,
        **{"method_code": METHOD["code"] if state == "runs" else "", "detail": detail, **values},
    )


def make_blocked(assessment: Assessment, facility: Facility, **values) -> Finding:
    detail = {
        "methods": [{**METHOD, "runs": False, "missing": [MISSING]}],
        "fix": [BUY],
        "questions": [],
    }
    return make_finding(assessment, facility, "blocked", detail=detail, fix_cost=900, **values)


def summary(**changed: Any) -> dict[str, Any]:
    """What ``compute_run`` keeps: USD 900 of 3,000 takes the tests done from a half to all."""
    shares = {"tests_met_share": 0.5, "weighted_share": 0.5, "demand": 2000, "met": 1000}
    north = {"code": "upper", "name": "Upper block", "before": 0.5, "after": 1.0}
    values = {
        "money": {
            "capital": 900,
            "recurrent": 120,
            "earmarks": {},
            "limits": {"capital": 3000, "recurrent": None, "earmarks": {}},
        },
        "coverage": {
            "before": shares,
            "after": {**shares, "tests_met_share": 1.0, "met": 2000},
            "areas": [north],
            "programmes": [{**north, "code": "maternal", "name": "Maternal health"}],
        },
        "left_out": [],
        "actions": {"buy": 1, "repair": 0, "train": 0, "provide": 0},
    }
    return {**values, **changed}


def make_run(plan: Plan, by: User, state: str = "done", **values: Any) -> Run:
    done = {"status": "optimal", "objective": 1900, "bound": 1901.52, "gap": 0.0008}
    kept, _ = Document.objects.get_or_create(sha256="d" * 64, content=b"")
    answer = {**done, "summary": summary(), "case": kept, "result": kept}
    finished = answer if state == "done" else {}
    return Run.objects.create(plan=plan, asked_by=by, state=state, **{**finished, **values})


def make_line(run: Run, facility: Facility, **values: Any) -> Line:
    bought = {"kind": "buy", "item_code": BUY["item"], "item_name": BUY["name"]}
    reason = "Enables haemoglobin: 1,000 tests a year for 8,000 people."
    return Line.objects.create(
        run=run,
        facility=facility,
        **{**bought, "quantity": 1, "cost": 900, "reason": reason, **values},
    )
