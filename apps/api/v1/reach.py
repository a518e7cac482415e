"""Reach: how far the people of a district are from a site that runs a test."""

from typing import Any

from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import serializers
from rest_framework.exceptions import NotFound
from rest_framework.request import Request
from rest_framework.response import Response

from apps.api.lookup import found, named
from apps.api.views import View
from apps.catalogue.selectors import tests
from apps.coverage.selectors import latest_assessment
from apps.coverage.selectors.reach import ReachOfTest, reach_of_test
from apps.facilities.choices import Season, TravelMode
from apps.facilities.selectors import districts_for
from planner.engine.access import Pace


class ReachIn(serializers.Serializer):
    area = serializers.CharField(help_text="code of a district")
    mode = serializers.ChoiceField(TravelMode.choices, default="unpaved", help_text="how people go")
    season = serializers.ChoiceField(Season.choices, default="dry", help_text="dry or wet")


class ReachOut(serializers.Serializer):
    """People; a site's catchment is taken to live at it. Within a limit includes who is nearer."""

    test = serializers.CharField()
    area = serializers.CharField()
    mode = serializers.ChoiceField(TravelMode.choices)
    season = serializers.ChoiceField(Season.choices)
    people = serializers.FloatField(help_text="whose number is known")
    on_site = serializers.FloatField(help_text="at a site that runs the test")
    within_5_km = serializers.FloatField(help_text="in a straight line on the WGS 84 ellipsoid")
    within_1_hour = serializers.FloatField()
    within_2_hours = serializers.FloatField()
    beyond = serializers.FloatField(help_text="further than 2 hours, or no site runs it")
    way_unknown = serializers.FloatField()
    sites_able = serializers.IntegerField(help_text="sites of the district that run the test")
    sites_uncounted = serializers.IntegerField(help_text="sites whose people are not known")
    ways_measured = serializers.IntegerField(help_text="ways whose time is not an estimate")
    ways = serializers.IntegerField(help_text="from sites that do not run the test")
    detour_index = serializers.FloatField(help_text="road over straight line, in estimates")
    assessed_at = serializers.DateTimeField()


class TestReach(View):
    deeds = {"GET": "register.view"}

    @extend_schema(
        operation_id="get_test_reach",
        tags=["coverage"],
        parameters=[
            ReachIn,
            OpenApiParameter("code", str, OpenApiParameter.PATH, description="Code of a test."),
        ],
        responses=ReachOut,
    )
    def get(self, request: Request, code: str) -> Response:
        """How far the people of a district are from a site that runs the test.

        By the latest assessment of the district; a measured time goes before an estimate.
        """
        asked = ReachIn(data=request.query_params)
        asked.is_valid(raise_exception=True)
        wanted = asked.validated_data
        test = found("test", lambda _, key: tests().get(code=key), request.user, code)
        area = wanted["area"]
        district = named("area", lambda: districts_for(request.user).get(code=area), area)
        assessment = latest_assessment(district)
        if assessment is None:
            raise NotFound(f"What the sites of {area!r} can do has not been worked out yet.")
        pace = Pace(wanted["mode"], wanted["season"])
        reached = reach_of_test(request.user, district, test, assessment, pace)
        values = _values(reached, area)
        return Response(ReachOut({**values, "assessed_at": assessment.made_at}).data)


def _values(found_: ReachOfTest, area: str) -> dict[str, Any]:
    reach, pace = found_.reach, found_.pace
    return {
        "test": found_.test.code,
        "area": area,
        "mode": pace.mode,
        "season": pace.season,
        "people": reach.people,
        "on_site": reach.on_site,
        "within_5_km": reach.within_km,
        "within_1_hour": reach.within_hours[0],
        "within_2_hours": reach.within_hours[1],
        "beyond": reach.beyond,
        "way_unknown": reach.way_unknown,
        "sites_able": found_.sites_able,
        "sites_uncounted": reach.sites_uncounted,
        "ways_measured": found_.measured_ways,
        "ways": found_.ways,
        "detour_index": pace.detour_index,
    }
