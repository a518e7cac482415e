"""The planning case of the shipped catalogue and the invented district, built from the CSVs.

A second, smaller reading beside that of the apps: facilities whose testing hours are not
known are left out, units that work count as working, units that can be put right as broken.
"""

from collections import Counter, defaultdict
from typing import Any

from planner.engine.case import Case
from tests.fixtures_data.tables import Row, catalogue, codes, demo, value

STATES = {
    "in_use": "working",
    "idle": "working",
    "repairable": "broken",
    "incomplete": "broken",
}


def planning_case(*, investigational: bool = False, **limits: Any) -> Case:
    """The case of ``plan.csv``; a named limit replaces the one of the plan.

    ``investigational``: with the methods that are never counted, to judge devices for pilots.
    """
    [plan] = demo("plan")
    floors = {row["area"]: float(row["share"]) for row in demo("plan_floors")}
    stated = {
        "capital": float(plan["capital"]),
        "earmarks": {row["programme"]: float(row["amount"]) for row in demo("plan_earmarks")},
        "recurrent": float(plan["recurrent"]),
        "trainer_days": float(plan["trainer_days"]),
        "max_units": int(plan["max_units"]),
    }
    return Case.model_validate(
        {
            "format": "benchward-case",
            "version": 1,
            "title": plan["title"],
            "currency": "USD",
            "minimum_evidence": plan["minimum_evidence"],
            "areas": tuple(
                {"code": row["code"], "name": row["name"], "floor": floors.get(row["code"], 0.0)}
                for row in demo("areas")
            ),
            "programmes": tuple(dict(row) for row in catalogue("programmes")),
            "skills": tuple(map(_skill, catalogue("skills"))),
            "infrastructure": tuple(map(_infrastructure, catalogue("infrastructure"))),
            "device_models": tuple(map(_device_model, catalogue("device_models"))),
            "tests": tuple(map(_test, catalogue("tests"))),
            "methods": tuple(
                _method(row)
                for row in catalogue("methods")
                if investigational or row["clinical_grade"] != "investigational"
            ),
            **_register(),
            "limits": stated | limits,
        }
    )


def _skill(row: Row) -> dict[str, Any]:
    costs = ("training_cost", "trainer_days", "supervision_cost")
    return {"code": row["code"], "name": row["name"], **{cost: float(row[cost]) for cost in costs}}


def _infrastructure(row: Row) -> dict[str, Any]:
    costs = {
        cost["level"]: float(cost["cost"])
        for cost in catalogue("infrastructure_costs")
        if cost["infrastructure"] == row["code"]
    }
    return {"code": row["code"], "name": row["name"], "cost": costs}


def _device_model(row: Row) -> dict[str, Any]:
    specs: dict[str, dict[str, Any]] = defaultdict(dict)
    for spec in catalogue("specifications"):
        if spec["device_model"] == row["code"]:
            specs[spec["device_class"]][spec["attribute"]] = value(spec)
    served = [
        served["device_class"]
        for served in catalogue("served_classes")
        if served["device_model"] == row["code"]
    ]
    figures = ("price", "annual_cost", "repair_cost", "hours_per_year")
    return {
        "code": row["code"],
        "name": row["name"],
        "evidence": row["evidence"],
        "serves": tuple({"class": code, "specs": specs[code]} for code in served),
        **{figure: float(row[figure]) for figure in figures},
        "programmes": tuple(codes(row["programmes"])),
    }


def _test(row: Row) -> dict[str, Any]:
    hours = row["max_transport_hours"]
    return {
        **{key: row[key] for key in ("code", "name", "programme")},
        "weight": float(row["weight"]),
        "max_transport_hours": float(hours) if hours else None,
    }


def _method(row: Row) -> dict[str, Any]:
    needs = [need for need in catalogue("needs") if need["method"] == row["code"]]
    return {
        "code": row["code"],
        "test": row["test"],
        **{key: float(row[key]) for key in ("sensitivity", "consumable_cost")},
        "staff_hours": staff_hours(row),
        "needs": tuple(map(_need, needs)),
        "skills": tuple(codes(row["skills"])),
        "infrastructure": tuple(codes(row["infrastructure"])),
    }


def _need(row: Row) -> dict[str, Any]:
    require = {
        asked["attribute"]: {asked["comparator"]: value(asked)}
        for asked in catalogue("requirements")
        if (asked["method"], asked["position"]) == (row["method"], row["position"])
    }
    return {"class": row["device_class"], "require": require, "hours": machine_hours(row)}


def staff_hours(method: Row) -> float:
    minutes = float(method["minutes_per_batch"]) / int(method["batch_size"])
    return round((minutes + float(method["minutes_per_sample"])) / 60, 4)


def machine_hours(need: Row) -> float:
    return round(float(need["minutes_per_run"]) / int(need["samples_per_run"]) / 60, 4)


def _register() -> dict[str, Any]:
    """Sites, stock and links, without the facilities whose testing hours are not known."""
    known = [row for row in demo("facilities") if row["testing_hours_per_year"]]
    planned = {row["code"] for row in known}
    held, present, asked = defaultdict(list), defaultdict(list), defaultdict(dict)
    for row in demo("skills_held"):
        if int(row["staff_count"]) > 0:
            held[row["facility"]].append(row["skill"])
    for row in demo("infrastructure_held"):
        if row["presence"] == "present":
            present[row["facility"]].append(row["infrastructure"])
    for row in demo("demand"):
        asked[row["facility"]][row["test"]] = float(row["tests_per_year"])
    return {
        "sites": tuple(
            {
                **{key: row[key] for key in ("code", "name", "area")},
                "level": int(row["level"]),
                "latitude": float(row["latitude"]),
                "longitude": float(row["longitude"]),
                "population": float(row["population"]),
                "staff_hours": float(row["testing_hours_per_year"]),
                "skills": tuple(held[row["code"]]),
                "infrastructure": tuple(present[row["code"]]),
                "demand": asked[row["code"]],
            }
            for row in known
        ),
        "stock": tuple(_stock(planned)),
        "links": tuple(
            {
                "from": row["origin"],
                "to": row["destination"],
                "hours": float(row["hours"]),
                "cost": float(row["cost_per_specimen"]),
            }
            for row in demo("routes")
            if {row["origin"], row["destination"]} <= planned
        ),
    }


def _stock(planned: set[str]) -> list[dict[str, Any]]:
    units = Counter(
        (row["facility"], row["device_model"], STATES[row["condition"]])
        for row in demo("equipment")
        if row["condition"] in STATES and row["facility"] in planned
    )
    return [
        {
            "site": site,
            "model": model,
            "working": units[site, model, "working"],
            "broken": units[site, model, "broken"],
        }
        for site, model in sorted({(site, model) for site, model, _ in units})
    ]
