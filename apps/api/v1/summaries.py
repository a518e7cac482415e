"""The summary of a finished run: money used, and coverage before and after."""

from typing import Any

from rest_framework import serializers


class SharesOut(serializers.Serializer):
    """Yearly demand that is met, in tests and as shares from 0 to 1."""

    tests_met_share = serializers.FloatField()
    weighted_share = serializers.FloatField()
    demand = serializers.FloatField(help_text="tests a year")
    met = serializers.FloatField(help_text="tests a year")


class PartOut(serializers.Serializer):
    """The share of the demand of one area, or of one programme, that is met."""

    code = serializers.CharField()
    name = serializers.CharField()
    before = serializers.FloatField()
    after = serializers.FloatField()


class CoverageOut(serializers.Serializer):
    before = SharesOut()
    after = SharesOut()
    areas = PartOut(many=True)
    programmes = PartOut(many=True)


class LimitsOut(serializers.Serializer):
    """What might have been spent; null: no limit."""

    capital = serializers.FloatField()
    recurrent = serializers.FloatField(allow_null=True)
    trainer_days = serializers.FloatField(allow_null=True)
    earmarks = serializers.DictField(child=serializers.FloatField())


class MoneyOut(serializers.Serializer):
    capital = serializers.FloatField()
    recurrent = serializers.FloatField(help_text="a year")
    earmarks = serializers.DictField(child=serializers.FloatField())
    limits = LimitsOut()


class LeftOutOut(serializers.Serializer):
    """A site, or a route of one, whose facts do not suffice to plan with it."""

    facility = serializers.CharField()
    why = serializers.CharField()


class BudgetPointOut(serializers.Serializer):
    """What a budget (capital) achieves, as shares of what could be had at most."""

    budget = serializers.FloatField()
    share = serializers.FloatField()
    bound = serializers.FloatField(help_text="no plan with this capital does better")


class BudgetStepOut(serializers.Serializer):
    """How many more weighted tests 1 000 of money bring between two budgets."""

    start = serializers.FloatField()
    end = serializers.FloatField()
    least = serializers.FloatField()
    most = serializers.FloatField()


class FrontierOut(serializers.Serializer):
    today = serializers.FloatField()
    points = BudgetPointOut(many=True)
    steps = BudgetStepOut(many=True)
    useful = serializers.FloatField(help_text="more capital brings nothing that was found")
    diminishing = serializers.FloatField(
        allow_null=True, help_text="from here on money brings less than it does on average"
    )


class BaselineOut(serializers.Serializer):
    """A simple way of spending under the same limits: equal_shares, largest_first, greedy."""

    way = serializers.CharField()
    objective = serializers.FloatField()
    tests_met_share = serializers.FloatField()
    weighted_share = serializers.FloatField()
    cost = serializers.FloatField()
    recurrent = serializers.FloatField(help_text="a year")


class PeopleOut(serializers.Serializer):
    all = serializers.FloatField()
    gain = serializers.FloatField(help_text="live where more of what they ask for is done")


class FifthOut(serializers.Serializer):
    """A fifth of the people, those first for whom least is done today."""

    people = serializers.FloatField()
    before = serializers.FloatField(allow_null=True)
    after = serializers.FloatField(allow_null=True)


class SummaryOut(serializers.Serializer):
    money = MoneyOut()
    coverage = CoverageOut()
    left_out = LeftOutOut(many=True)
    routes_left_out = LeftOutOut(many=True, default=list)
    actions = serializers.DictField(
        child=serializers.IntegerField(), help_text="buy, repair, train, provide: how many"
    )
    solve_seconds = serializers.FloatField()
    people = PeopleOut(required=False)
    fifths = FifthOut(many=True, required=False)
    frontier = FrontierOut(required=False)
    baselines = BaselineOut(many=True, required=False)
    relax = serializers.ListField(
        child=serializers.CharField(),
        required=False,
        help_text="where no plan is possible: which limits to ease, and by how much",
    )

    def to_representation(self, summary: dict[str, Any]) -> dict[str, Any] | None:
        return super().to_representation(summary) if summary else None
