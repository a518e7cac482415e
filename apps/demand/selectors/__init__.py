"""What is asked for, as adopted, and as three ways of estimating it say."""

from apps.demand.selectors.adopted import demand_at
from apps.demand.selectors.adopting import (
    ADOPTED,
    RESTORED,
    Adoption,
    Cell,
    Row,
    adoption_of,
    adoption_to_take_back,
    as_rows,
    as_text,
)
from apps.demand.selectors.cells import Estimate, Figure
from apps.demand.selectors.estimates import estimates_at, estimates_in
from apps.demand.selectors.figures import Assumptions

__all__ = [
    "ADOPTED",
    "RESTORED",
    "Adoption",
    "Assumptions",
    "Cell",
    "Estimate",
    "Figure",
    "Row",
    "adoption_of",
    "adoption_to_take_back",
    "as_rows",
    "as_text",
    "demand_at",
    "estimates_at",
    "estimates_in",
]
