"""Travel times: ways between sites as somebody measured them."""

from django.db.models import QuerySet
from django_filters import ChoiceFilter, FilterSet
from rest_framework import serializers

from apps.api.filters import AreaFilter, CodeFilter, Ordering
from apps.api.views import Listing, listed_as
from apps.facilities.choices import Season, TravelMode
from apps.facilities.selectors import facilities_for, travel_times_for


class TravelTimeOut(serializers.Serializer):
    """One way, in one direction; where there is none, times are estimated from distances."""

    origin = serializers.CharField(source="origin.code")
    destination = serializers.CharField(source="destination.code")
    mode = serializers.ChoiceField(TravelMode.choices)
    season = serializers.ChoiceField(Season.choices)
    hours = serializers.FloatField(help_text="one way, door to door")
    source = serializers.CharField(help_text="who measured or reported it, and how")
    measured_on = serializers.DateField(allow_null=True)


class TravelTimeFilters(FilterSet):
    origin = CodeFilter(
        "origin", lambda request: facilities_for(request.user), help_text="Code of a site."
    )
    area = AreaFilter("origin__area__path")
    mode = ChoiceFilter(choices=TravelMode.choices, help_text="How people or specimens go.")
    season = ChoiceFilter(choices=Season.choices, help_text="Dry or wet.")
    ordering = Ordering(origin="origin__code", destination="destination__code", hours="hours")


@listed_as("list_travel_times", tag="register")
class TravelTimeList(Listing):
    """Measured ways that set out in the areas you answer for."""

    deeds = {"GET": "register.view"}
    serializer_class = TravelTimeOut
    filterset_class = TravelTimeFilters

    def get_queryset(self) -> QuerySet:
        return travel_times_for(self.request.user)
