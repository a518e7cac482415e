"""A small catalogue of spinning: serum by motor, urine by motor and by hand, one unknown force."""

from typing import Any

from apps.catalogue.models import Attribute, DeviceClass
from tests.factories.catalogue import (
    make_device_class,
    make_method,
    make_need,
    make_spin,
    make_step,
    make_test,
)

ATTRIBUTES = {
    "rcf_max_g": "number",
    "rcf_settable_min_g": "number",
    "continuous_run_min": "number",
    "motor_driven": "flag",
    "tube_ml": "list",
    "r_max_cm": "number",
}


def make_centrifuge_class() -> DeviceClass:
    made = make_device_class("centrifuge", **ATTRIBUTES)
    Attribute.objects.filter(code="tube_ml").update(name="Volumes of tube")
    return made


def make_spun(centrifuge: DeviceClass, code: str, test: Any, spin: Any, **require: Any) -> None:
    """A method whose first step spins as ``spin`` says, in a device that ``require`` describes."""
    method = make_method(code, test)
    need = make_need(method, centrifuge, **require)
    make_step(method, "spin", spin=spin, need=need)


def make_spinning() -> DeviceClass:
    centrifuge = make_centrifuge_class()
    serum = make_spin("serum", name="Serum after clotting", rcf_g=(1000, 2000))
    urine = make_spin("urine", name="Urine sediment", rcf_g=(400, 400))
    make_spin("hand", name="Hand-spun", rcf_g=(None, None))
    force = {"rcf_max_g": ("min", 1000), "rcf_settable_min_g": ("max", 2000)}
    gentle = {"rcf_max_g": ("min", 360), "rcf_settable_min_g": ("max", 480)}
    motor, minutes, tubes = ("is", True), ("min", 10), ("has", [5])
    make_spun(
        centrifuge,
        "creatinine",
        make_test("creatinine"),
        serum,
        **force,
        continuous_run_min=minutes,
        motor_driven=motor,
        tube_ml=tubes,
    )
    test = make_test("urine-microscopy")
    make_spun(centrifuge, "urine-motor", test, urine, **gentle, motor_driven=motor)
    make_spun(centrifuge, "urine-hand", test, urine, **gentle)
    return centrifuge
