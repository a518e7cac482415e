"""The variables of the tight program, while it is being written and once it is solved.

They are whole actions x[site, action], and shares g[arc, method] of the yearly demand of
the arc's origin. There is no on/off variable for a method: with whole units behind it, a
share above 0 needs a unit anyway.
"""

from dataclasses import dataclass, field

import numpy as np

from planner.engine.allocation.arrays import Bools, Floats, Ints
from planner.engine.allocation.at_home import AtHome, served_at_home
from planner.engine.allocation.builder import Builder
from planner.engine.allocation.columns import NONE, Columns
from planner.engine.allocation.groundwork import Ground
from planner.engine.allocation.instance import Instance


@dataclass
class Draft:
    """A program being written: its columns are placed, rows are added by the equations.

    ``easing`` holds, for each limit that may be exceeded, a column from 0 to 1 and the
    amount that 1 stands for; it is empty where a plan must keep every limit.
    """

    instance: Instance
    grounds: list[Ground]
    builder: Builder = field(default_factory=Builder)
    columns: Columns = field(init=False)
    easing: dict[str, tuple[int, float]] = field(default_factory=dict)

    def __post_init__(self) -> None:
        places, methods = self.instance.places, len(self.instance.catalogue.methods)
        self.columns = Columns(
            action=np.full(places.price.shape, NONE, dtype=np.int64),
            share=np.full((len(places.at), methods), NONE, dtype=np.int64),
            move=np.full(len(self.instance.moves.most), NONE, dtype=np.int64),
            chosen=np.full(self.instance.catalogue.models, NONE, dtype=np.int64),
            pair=self._asked(len(self.instance.asked.pairs), whole=True),
            met=self._asked(len(self.instance.asked.targets)),
            level=self._asked(int(bool(self.instance.asked.groups))),
        )
        at_home = [served_at_home(self.instance, here) for here in self.grounds]
        for here in self.grounds:
            self._place_actions(here)
            self._place_shares(here, at_home)
        self._place_moves()
        self._place_choices()

    def _asked(self, number: int, *, whole: bool = False) -> Ints:
        return self.builder.add_columns(gain=np.zeros(number), most=1.0, whole=whole)

    def _place_actions(self, here: Ground) -> None:
        allowed = np.flatnonzero(here.most)
        self.columns.action[here.site, allowed] = self.builder.add_columns(
            gain=0.0, least=here.least[allowed], most=here.most[allowed], whole=True
        )

    def _place_shares(self, here: Ground, at_home: list[AtHome]) -> None:
        """Shares that can be above 0 and are not better done at home at no greater cost."""
        catalogue, places = self.instance.catalogue, self.instance.places
        arcs = self.arcs(here.site)
        volume = places.volume[arcs][:, catalogue.test_of[here.ways]]
        useful = volume > 0
        for number, arc in enumerate(arcs):
            origin = places.origin[arc]
            if origin != here.site:
                cost = catalogue.consumable_cost[here.ways] + places.cost[arc]
                useful[number] &= ~at_home[origin].beats(here.ways, cost)
        row, way = np.nonzero(useful)
        method = here.ways[way]
        self.columns.share[arcs[row], method] = self.builder.add_columns(
            gain=volume[row, way] * catalogue.value[method], most=1.0
        )

    def _place_moves(self) -> None:
        possible = np.flatnonzero(self.instance.moves.most)
        self.columns.move[possible] = self.builder.add_columns(
            gain=0.0, most=self.instance.moves.most[possible], whole=True
        )

    def _place_choices(self) -> None:
        """For each model of a standardised class that some site may buy."""
        models = len(self.columns.chosen)
        standard = np.zeros(models, dtype=bool)
        for limit in self.instance.bounds.standards:
            standard |= limit.models
        standard &= (self.columns.action[:, :models] != NONE).any(axis=0)
        self.columns.chosen[standard] = self.builder.add_columns(
            gain=np.zeros(int(standard.sum())), most=1.0, whole=True
        )

    def moves(self, site: int, per_unit: Floats) -> tuple[Ints, Floats]:
        """Columns of moves to and from ``site`` of models with ``per_unit``, and what one gives
        to the site: less than nothing where it leaves."""
        moves = self.instance.moves
        brought, taken = moves.to_and_from(site)
        numbers = np.concatenate([brought, taken])
        given = per_unit[moves.model[numbers]]
        given[len(brought) :] *= -1
        return self.columns.move[numbers[given != 0]], given[given != 0]

    def arcs(self, site: int) -> Ints:
        """The arcs that end at ``site``."""
        span = self.instance.places.arcs_of[site]
        return np.arange(span.start, span.stop)

    def action_columns(self, site: int, actions: Bools) -> tuple[Ints, Ints]:
        """Columns of those of ``actions`` (mask) that are variables at ``site``; their numbers."""
        numbers = np.flatnonzero(actions & (self.columns.action[site] != NONE))
        return self.columns.action[site, numbers], numbers

    def arriving(self, site: int, per_test: Floats) -> tuple[Ints, Floats]:
        """Columns of shares done at ``site``, and what a whole share uses of ``per_test``."""
        places, catalogue = self.instance.places, self.instance.catalogue
        arcs = self.arcs(site)
        row, method = np.nonzero((self.columns.share[arcs] != NONE) & (per_test > 0))
        volume = places.volume[arcs[row], catalogue.test_of[method]]
        return self.columns.share[arcs[row], method], volume * per_test[method]

    def all_actions(self) -> tuple[Ints, Ints, Ints]:
        """Of every action variable: its column, site and action."""
        site, action = np.nonzero(self.columns.action != NONE)
        return self.columns.action[site, action], site, action

    def all_moves(self) -> tuple[Ints, Floats]:
        """Of every move variable: its column, and what moving one unit costs."""
        there = self.columns.move != NONE
        return self.columns.move[there], self.instance.moves.cost[there]

    def all_shares(self) -> tuple[Ints, Ints, Ints, Floats]:
        """Of every share: its column, arc, method, and tests a year of a whole share."""
        arc, method = np.nonzero(self.columns.share != NONE)
        volume = self.instance.places.volume[arc, self.instance.catalogue.test_of[method]]
        return self.columns.share[arc, method], arc, method, volume
