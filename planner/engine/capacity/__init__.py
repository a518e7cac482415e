"""How much time a test takes, how much time there is, and what happens where it runs short.

``batches`` turns minutes per batch and per sample into hours at the volume that a site
really has; ``staffing`` says what hours people have and how many people a workload needs;
``machines`` says what a device can do, how busy it is and how long a queue that makes.
Arrays in, arrays out. Which resource of which site runs out first is in
``planner.engine.workload``.
"""

from planner.engine.capacity.batches import (
    WORKING_DAYS_PER_YEAR,
    batches_per_year,
    full_batch_hours_per_test,
    hours_per_test,
    hours_per_year,
    runs_per_year,
)
from planner.engine.capacity.machines import (
    BANDS,
    Band,
    availability,
    band,
    batch_device_capacity,
    mean_queue_length,
    mean_queue_wait,
    utilisation,
)
from planner.engine.capacity.staffing import (
    available_days,
    available_hours,
    category_allowance_factor,
    individual_allowance,
    minutes_per_test,
    staff_needed,
    work_pressure_share,
)

__all__ = [
    "BANDS",
    "WORKING_DAYS_PER_YEAR",
    "Band",
    "availability",
    "available_days",
    "available_hours",
    "band",
    "batch_device_capacity",
    "batches_per_year",
    "category_allowance_factor",
    "full_batch_hours_per_test",
    "hours_per_test",
    "hours_per_year",
    "individual_allowance",
    "mean_queue_length",
    "mean_queue_wait",
    "minutes_per_test",
    "runs_per_year",
    "staff_needed",
    "utilisation",
    "work_pressure_share",
]
