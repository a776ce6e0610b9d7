"""What a plan asks for, week by week: like lines of one week joined, each with its pots and its spots."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import timedelta

from django.urls import reverse

from halfwater.deeds.planned_cut import cut_key, spots_onto
from halfwater.pictures.plan import draw_mark
from halfwater.plain.cutting import Action, CuttingPlan
from halfwater.plain.figures import show_date, show_minutes
from halfwater.web.stock.words import pots_said
from halfwater.web.tanks.drawers import Drawer

NEAR_WEEKS = 2  # shown at once; the later ones are folded away
LATER_WEEKS = 8  # of those with something to do
_WEEK = timedelta(days=7)
_DOES = {"cut": "Cut", "sell": "Sell", "keep": "Keep", "let go": "Let go", "move": "Move"}
_DRAWN = ("cut", "sell")


@dataclass(frozen=True, slots=True)
class DoLine:
    """One thing to do in a week."""

    does: str
    what: str
    drawing: str
    where: tuple[tuple[str, str], ...]  # words, and the page of the pot
    onto: tuple[str, ...]  # the spots of new sections, a line a tank
    why: str
    minutes: str
    drawer: Drawer | None = None  # that notes a cut


@dataclass(frozen=True, slots=True)
class DoWeek:
    """A week with its things to do."""

    title: str
    lines: tuple[DoLine, ...]


def weeks_of(plan: CuttingPlan, drawers: Sequence[Drawer] = ()) -> tuple[DoWeek, ...]:
    """This week and the next, then weeks that have something to do."""
    titles = {0: "This week", 1: "Next week"}
    by_key = {drawer.kind: drawer for drawer in drawers}
    later = sorted({one.week for one in plan.actions if one.week >= NEAR_WEEKS})[:LATER_WEEKS]
    return tuple(
        DoWeek(
            titles.get(week, f"Week of {show_date(plan.on + week * _WEEK, plan.on)}"),
            _lines([one for one in plan.actions if one.week == week], by_key),
        )
        for week in (*range(NEAR_WEEKS), *later)
    )


def _lines(actions: Sequence[Action], drawers: Mapping[str, Drawer]) -> tuple[DoLine, ...]:
    """The lines of a week: what is done alike with one taxon and grade is one line."""
    joined: dict[tuple[str, str], list[Action]] = {}
    for action in actions:
        joined.setdefault((action.kind, cut_key(action)), []).append(action)
    return tuple(_do_line(alike, drawers) for alike in joined.values())


def _do_line(alike: Sequence[Action], drawers: Mapping[str, Drawer]) -> DoLine:
    first = alike[0]
    grade = f" of grade {first.grade}" if first.grade else ""
    what = f"{pots_said(sum(one.pots for one in alike))} of {first.taxon_name}{grade}"
    sections, minutes = sum(one.sections for one in alike), sum(one.minutes for one in alike)
    if sections:
        what += f", {sections} sections"
    return DoLine(
        does=_DOES.get(first.kind, first.kind),
        what=what,
        drawing=draw_mark(first.kind) if first.kind in _DRAWN else "",
        where=tuple(
            (f"{pot.name}: {pot.tank} {pot.spot}" if pot.spot else pot.name, reverse("pot", args=[pot.key]))
            for one in alike
            for pot in one.named
        ),
        onto=tuple(f"{tank} {', '.join(spots)}" for tank, spots in spots_onto(alike).items()),
        why="; ".join(dict.fromkeys(one.why for one in alike if one.why)),
        minutes=show_minutes(minutes) if minutes else "",
        drawer=drawers.get(cut_key(first)) if first.kind == "cut" else None,
    )
