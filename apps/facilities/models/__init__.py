"""Areas, the facilities in them, and the ways between these."""

from apps.facilities.models.areas import Area, Stewardship
from apps.facilities.models.sites import Facility
from apps.facilities.models.ways import ReferralRoute, TravelTime

__all__ = ["Area", "Facility", "ReferralRoute", "Stewardship", "TravelTime"]
