"""The files of a catalogue folder that say how methods are done and what is known of them."""

from collections.abc import Mapping
from typing import Any

from apps.catalogue import models
from apps.imports.adapters import evidence_checks as checks
from apps.imports.adapters.known import Known
from apps.imports.adapters.sheets import SOURCED, Reference, Sheet


def _need_of_method(
    texts: tuple[str, ...], row: Mapping[str, Any], known: Known
) -> tuple[str, ...]:
    """A step names a need of its own method by its position."""
    return (known.name(models.Method, row["method"]), *texts)


SHEETS = (
    Sheet(
        "planning_ranges.csv",
        models.PlanningRange,
        ("device_class", "variant", "measure", "low", "high", *SOURCED),
        key=("device_class", "variant", "measure"),
        check=checks.check_range,
        owner="device_class",
    ),
    Sheet(
        "spin_procedures.csv",
        models.SpinProcedure,
        ("code", "name", "rcf_g_low", "rcf_g_high", "radius", "minutes_low", "minutes_high",
         "gmin_scaling", "acceptance", *SOURCED),
        check=checks.check_spin,
    ),
    Sheet(
        "method_steps.csv",
        models.MethodStep,
        ("method", "position", "kind", "text", "minutes", "need", "spin", *SOURCED),
        key=("method", "position"),
        references={"need": Reference(("need",), ("method",), _need_of_method)},
        check=checks.check_step,
        check_all=checks.check_radii,
        owner="method",
    ),
    Sheet(
        "quality_controls.csv",
        models.QualityControl,
        ("method", "kind", "every", "interval", "extra_tests_share", *SOURCED),
        key=("method", "kind"),
        owner="method",
    ),
    Sheet(
        "consumables.csv",
        models.Consumable,
        ("code", "name", "unit", "unit_price", "storage", "ambient_max_c", "shelf_life_months",
         "litres_per_unit", *SOURCED),
    ),
    Sheet(
        "method_consumables.csv",
        models.MethodConsumable,
        ("method", "consumable", "quantity", *SOURCED),
        key=("method", "consumable"),
        check_all=checks.check_sums,
        owner="method",
    ),
    Sheet(
        "verification_limits.csv",
        models.VerificationLimit,
        ("code", "device_class", "method", "test", "rule", "measure", "analyte", "low", "high",
         "ucum", "share_within", "range_low", "range_high", "range_ucum", "minimum_samples",
         "valid_months", "note", *SOURCED),
        check=checks.check_limit,
    ),
    Sheet(
        "studies.csv",
        models.Study,
        ("code", "device_model", "method", "setting", "intended_users", "peer_reviewed",
         "limits_met", "n", "smallest_class", "reference", "true_positive", "false_positive",
         "false_negative", "true_negative", "sensitivity", "sensitivity_low",
         "sensitivity_high", "specificity", "specificity_low", "specificity_high", "bias",
         *SOURCED),
        check=checks.check_study,
    ),
)  # fmt: skip
