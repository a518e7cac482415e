"""A case as arrays, every axis sorted by code: what all of the allocation computes with."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from planner.engine.allocation.arrays import Bools, Floats
from planner.engine.allocation.asked import Asked, asked_of
from planner.engine.allocation.catalogue import Catalogue, catalogue_of
from planner.engine.allocation.moves import Moves, moves_of
from planner.engine.allocation.places import Places, places_of
from planner.engine.case import Case


@dataclass(frozen=True)
class Standard:
    """Of the ``models`` (mask) of a class, at most ``most`` are bought in all."""

    models: Bools
    most: int


@dataclass(frozen=True)
class Bounds:
    """The limits that sites share; a limit that is absent is infinite.

    ``earmarks`` and ``programmes`` have one entry for each earmark above 0; ``floor`` (share)
    and ``possible`` (largest objective of the area's people) one for each area.
    """

    capital: float
    programmes: tuple[str, ...]
    earmarks: Floats
    recurrent: float
    trainer_days: float
    areas: tuple[str, ...]
    floor: Floats
    possible: Floats
    standards: tuple[Standard, ...]


@dataclass(frozen=True)
class Instance:
    """A whole case, ready for arithmetic."""

    catalogue: Catalogue
    places: Places
    bounds: Bounds
    moves: Moves
    asked: Asked


def instance_of(case: Case) -> Instance:
    """The arrays of ``case``; the order of its lists makes no difference."""
    case = _sorted(case)
    programmes = tuple(sorted(code for code, money in case.limits.earmarks.items() if money > 0))
    catalogue = catalogue_of(case, programmes)
    places = places_of(case, catalogue)
    bounds = _bounds(case, programmes, catalogue, places)
    asked = asked_of(case, catalogue, places.demand)
    return Instance(catalogue, places, bounds, moves_of(case, places.working), asked)


def _sorted(case: Case) -> Case:
    lists = ("areas", "skills", "infrastructure", "device_models", "tests", "sites")
    ordered = {name: tuple(sorted(getattr(case, name), key=lambda e: e.code)) for name in lists}
    methods = tuple(sorted(case.methods, key=lambda method: (method.test, method.code)))
    moves = tuple(sorted(case.moves, key=lambda move: (move.origin, move.to, move.model)))
    return case.model_copy(update={**ordered, "methods": methods, "moves": moves})


def _bounds(
    case: Case, programmes: tuple[str, ...], catalogue: Catalogue, places: Places
) -> Bounds:
    limits = case.limits
    possible = np.zeros(len(case.areas))
    np.add.at(possible, places.area_of, places.demand @ catalogue.best_value)
    return Bounds(
        capital=limits.capital,
        programmes=programmes,
        earmarks=np.array([limits.earmarks[code] for code in programmes]),
        recurrent=np.inf if limits.recurrent is None else limits.recurrent,
        trainer_days=np.inf if limits.trainer_days is None else limits.trainer_days,
        areas=tuple(area.code for area in case.areas),
        floor=np.array([area.floor for area in case.areas]),
        possible=possible,
        standards=tuple(_standards(case)),
    )


def _standards(case: Case) -> Iterator[Standard]:
    """The limits of models per class that can bind."""
    for code, most in sorted(case.limits.models_per_class.items()):
        inside = np.array(
            [
                any(role.device_class == code for role in model.serves)
                for model in case.device_models
            ],
            dtype=bool,
        )
        if inside.sum() > most > 0:
            yield Standard(inside, most)
