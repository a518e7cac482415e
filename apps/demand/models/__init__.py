"""What is asked for: adopted, counted, and to be expected from how people fall ill."""

from apps.demand.models.counted import ConsumptionRecord, Demand, ServiceStatistic
from apps.demand.models.rates import ExpectedPrevalence, MorbidityRate

__all__ = [
    "ConsumptionRecord",
    "Demand",
    "ExpectedPrevalence",
    "MorbidityRate",
    "ServiceStatistic",
]
