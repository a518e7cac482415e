from django import forms

from apps.facilities.choices import Season, TravelMode
from planner.engine.access import Pace


class PaceForm(forms.Form):
    """How people go, by the address; what is no choice is a vehicle in the dry season."""

    by = forms.ChoiceField(choices=TravelMode.choices, required=False)
    season = forms.ChoiceField(choices=Season.choices, required=False)

    def pace(self) -> Pace:
        self.full_clean()
        asked = self.cleaned_data
        return Pace(asked.get("by") or "unpaved", asked.get("season") or "dry")
