"""The floors with what a plan does to them this week and the next, by shape and word."""

from collections.abc import Sequence
from dataclasses import dataclass

from django.urls import reverse

from halfwater.deeds.floor import StandingSpot, floor_of
from halfwater.deeds.planned_cut import spots_onto
from halfwater.pictures.floor import FloorPlan, FloorSpot, draw_does, draw_floor
from halfwater.plain.cutting import Action
from halfwater.plain.tank import TankFacts

NEAR_WEEKS = 2
_MARKS = {"cut": "cut", "sell": "sell", "keep": "keep", "let go": "sell", "move": "move"}
_WORDS = {"new": "new sections"}


@dataclass(frozen=True, slots=True)
class FloorLine:
    """One thing to do on a floor: its shape, its word, its spots."""

    drawing: str
    word: str
    spots: str


@dataclass(frozen=True, slots=True)
class Floor:
    """A floor on which something is to be done."""

    tank: str
    url: str
    summary: str
    picture: str
    lines: tuple[FloorLine, ...]


def marked_spots(actions: Sequence[Action]) -> dict[str, dict[str, str]]:
    """Tank -> spot -> what is done there; a spot that is emptied and filled again is first emptied."""
    found: dict[str, dict[str, str]] = {}
    near = [one for one in actions if one.week < NEAR_WEEKS]
    for tank, spots in spots_onto(near).items():
        found.setdefault(tank, {}).update(dict.fromkeys(spots, "new"))
    for action in near:
        for pot in action.named:
            if pot.spot and action.kind in _MARKS:
                found.setdefault(pot.tank, {})[pot.spot] = _MARKS[action.kind]
    return found


def floors_of(actions: Sequence[Action], tanks: Sequence[TankFacts]) -> tuple[Floor, ...]:
    """The floors of the tanks on which something is to be done, in walking order."""
    marks = marked_spots(actions)
    return tuple(_floor(tank, floor_of(tank), marks[tank.name]) for tank in tanks if marks.get(tank.name))


def _floor(tank: TankFacts, spots: Sequence[StandingSpot], marks: dict[str, str]) -> Floor:
    plan = FloorPlan(
        tank=tank.name,
        length_mm=tank.length_mm,
        width_mm=tank.width_mm,
        pot_mm=tank.pot.top_mm if tank.pot else 0.0,
        spots=tuple(
            FloorSpot(one.name, one.x_mm, one.y_mm, one.state, one.batch_name, marks.get(one.name, ""))
            for one in spots
        ),
        keep_outs=tank.keep_outs,
    )
    lines = tuple(
        FloorLine(
            draw_does(mark),
            _WORDS.get(mark, mark),
            ", ".join(one.name for one in spots if marks.get(one.name) == mark),
        )
        for mark in dict.fromkeys(marks.values())
    )
    marked = list(marks.values())
    summary = ", ".join(f"{marked.count(mark)} {_WORDS.get(mark, mark)}" for mark in dict.fromkeys(marked))
    return Floor(tank.name, reverse("tank", args=[tank.name]), summary, draw_floor(plan), lines)
