"""A method and a device model with all that hangs on them, each number with its source."""

SOURCE = {"code": "demo", "title": "Invented", "kind": "demo", "year": 2026, "note": ""}
SOURCED = {"source": SOURCE, "source_kind": "demo", "dated_on": "2026-01-15"}
STUDY = {
    **SOURCED,
    "setting": "field",
    "intended_users": None,
    "peer_reviewed": True,
    "limits_met": None,
    "smallest_class": None,
    "reference": "",
    "true_positive": None,
    "false_positive": None,
    "false_negative": None,
    "true_negative": None,
    "sensitivity": None,
    "sensitivity_low": None,
    "sensitivity_high": None,
    "specificity": None,
    "specificity_low": None,
    "specificity_high": None,
    "bias": "",
}
LIMIT = {
    **SOURCED,
    "code": "wavelength",
    "device_class": "photometer",
    "method": None,
    "test": None,
    "rule": "acceptance",
    "measure": "bias",
    "analyte": "",
    "low": -1.0,
    "high": 1.0,
    "ucum": "%",
    "share_within": None,
    "range_low": None,
    "range_high": None,
    "range_ucum": "",
    "minimum_samples": None,
    "valid_months": None,
    "note": "",
}


def test_a_method_shows_how_it_is_done_and_what_is_known_of_it(api):
    listed = api.get("/api/v1/methods/").json()["results"][0]

    shown = api.get("/api/v1/methods/haemoglobin-photometry/").json()

    assert shown == {
        **listed,
        "steps": [
            {
                **SOURCED,
                "position": 1,
                "kind": "spin",
                "text": "Spin",
                "minutes": 10.0,
                "need": 1,
                "spin": {
                    **SOURCED,
                    "code": "serum",
                    "name": "Serum",
                    "rcf_g_low": 1000.0,
                    "rcf_g_high": 2000.0,
                    "radius": "r_max",
                    "minutes_low": 10.0,
                    "minutes_high": 10.0,
                    "gmin_scaling": "none",
                    "acceptance": "",
                },
            }
        ],
        "controls": [
            {
                **SOURCED,
                "kind": "level",
                "every": 1.0,
                "interval": "day",
                "extra_tests_share": 0.05,
            }
        ],
        "consumables": [
            {
                **SOURCED,
                "consumable": "reagent",
                "name": "Reagent",
                "quantity": "2.0000",
                "unit": "piece",
                "unit_price": "0.2500",
                "storage": "ambient",
                "ambient_max_c": None,
                "shelf_life_months": None,
                "litres_per_unit": None,
            }
        ],
        "studies": [{**STUDY, "code": "bench-2024", "n": 120, "sensitivity": 0.95}],
        "limits": [LIMIT],
    }


def test_a_device_model_shows_the_grade_it_states_beside_the_one_its_studies_give(api):
    listed = api.get("/api/v1/device-models/").json()["results"][0]

    shown = api.get("/api/v1/device-models/cuvette-photometer/").json()

    assert shown == {
        **listed,
        "evidence_behind": {
            "stated": "A",
            "supported": "C",
            "differs": True,
            "missing": [
                "approval in the country, or 2 independent field evaluations against a reference,"
                " with 100 people or more in each class and limits set beforehand kept"
            ],
            "studies": [{**STUDY, "code": "field-2025", "n": 80}],
        },
        "limits": [LIMIT],
        "planning_ranges": [
            {
                **SOURCED,
                "device_class": "photometer",
                "variant": "",
                "measure": "price",
                "low": 300.0,
                "high": 1500.0,
            }
        ],
    }


def test_what_the_catalogue_does_not_have_is_not_found(api):
    answers = [api.get(f"/api/v1/{noun}/none/") for noun in ("methods", "device-models")]

    assert [answer.status_code for answer in answers] == [404, 404]
    assert [answer.json()["error"]["message"] for answer in answers] == [
        "There is no method 'none' that you may see.",
        "There is no device model 'none' that you may see.",
    ]
