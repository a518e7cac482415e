"""Areas, the facilities in them, the ways between these, and what was seen there."""

from apps.facilities.models.areas import Area, Stewardship
from apps.facilities.models.observations import Observation
from apps.facilities.models.sites import Facility
from apps.facilities.models.ways import ReferralRoute, TravelTime

__all__ = ["Area", "Facility", "Observation", "ReferralRoute", "Stewardship", "TravelTime"]
