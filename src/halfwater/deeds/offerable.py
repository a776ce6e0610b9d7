"""What could be offered: pots ready by grade, less what is kept, promised or on a line already."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from halfwater.book import queries
from halfwater.deeds.clock import local_day
from halfwater.deeds.growing import stock_outlook
from halfwater.deeds.standing_plan import newest_plan
from halfwater.errors import RefusedInput
from halfwater.plain.cutting import CuttingPlan
from halfwater.plain.growing import PotOutlook, Span, StockOutlook
from halfwater.plain.stock import GRADES, StandingPot


@dataclass(frozen=True, slots=True)
class Offerable:
    """A taxon and grade: the pots ready to be offered, what is foreseen, and what the plan holds back."""

    taxon: int
    taxon_name: str
    grade: str
    ready: tuple[StandingPot, ...]  # at this grade today and free, the largest first
    foreseen: Span | None  # pots at this grade or better on the day, kept ones left out
    protected: int  # of the ready ones: parents that the stock cannot spare
    suggested: int  # pots to offer on the day
    price_minor: int | None
    why: str


def grade_now(one: PotOutlook) -> str:
    """The grade a pot stands at today: the grower's own word, else the largest whose leaves it has."""
    reached = [gate.grade for gate in one.dates if gate.is_reached]
    return one.pot.grade or (reached[-1] if reached else "")


def ready_pots(now: datetime) -> dict[tuple[int, str], tuple[StandingPot, ...]]:
    """The pots that can be offered now, by taxon and grade, the largest first."""
    found: dict[tuple[int, str], list[StandingPot]] = defaultdict(list)
    taken = {**queries.offered_pots(), **queries.promised_pots()}
    for one in stock_outlook(now).pots:
        grade = grade_now(one)
        if grade and one.pot.state != "kept" and one.pot.key not in taken:
            found[one.pot.taxon, grade].append(one.pot)
    return {
        key: tuple(sorted(pots, key=lambda pot: (-(pot.leaves or 0), pot.batch_name, pot.number)))
        for key, pots in found.items()
    }


def ready_counts(now: datetime) -> tuple[dict[str, object], ...]:
    """How many pots of each taxon and grade are ready and not offered yet."""
    return tuple(
        {"taxon_name": pots[0].taxon_name, "grade": grade, "ready": len(pots)}
        for (_, grade), pots in sorted(
            ready_pots(now).items(), key=lambda item: item[1][0].taxon_name.casefold()
        )
    )


def what_could_be_offered(now: datetime, on: date | None = None) -> tuple[Offerable, ...]:
    """Every taxon and grade that has a price or a pot ready, on a day to come or today."""
    nursery, outlook = queries.nursery(), stock_outlook(now)
    today = local_day(now, nursery)
    day = on or today
    if day < today:
        raise RefusedInput("on", day.isoformat(), f"a day from today on, {today.isoformat()}")
    ready = ready_pots(now)
    prices = {(one.taxon, one.grade): one for one in queries.prices()}
    names = {one.taxon: one.taxon_name for one in outlook.taxa}
    kept = {one.taxon: one.kept for one in outlook.taxa}
    planned = newest_plan(now)
    least = queries.cutting_habit().least_kept
    found = []
    for taxon, name in sorted(names.items(), key=lambda item: item[1].casefold()):
        spare = _held_back(ready, taxon, max(0, least - kept[taxon]))
        for grade in GRADES:
            pots, price = ready.get((taxon, grade), ()), prices.get((taxon, grade))
            if not pots and price is None:
                continue
            offer, why = _suggested(planned.plan if planned else None, taxon, grade, day, len(pots))
            most = price.most_per_release if price else None
            free = len(pots) - spare[grade]
            suggested = max(0, min(offer, free if day <= outlook.on else offer, most or offer))
            found.append(
                Offerable(
                    taxon, name, grade, pots, foreseen(outlook, taxon, grade, day), spare[grade], suggested,
                    price.price_minor if price else None, why,
                )
            )  # fmt: skip
    return tuple(found)


def foreseen(outlook: StockOutlook, taxon: int, grade: str, day: date) -> Span | None:
    """Pots of a taxon at a grade or better on a day; None past the horizon."""
    counts = next((one.counts for one in outlook.taxa if one.taxon == taxon), ())
    ahead = [one for one in counts if one.grade == grade and one.on >= day]
    if not ahead:
        return None
    first = min(ahead, key=lambda one: one.on)
    return Span(first.p10, first.p50, first.p90)


def _held_back(
    ready: Mapping[tuple[int, str], Sequence[StandingPot]], taxon: int, lacking: int
) -> dict[str, int]:
    """Of the ready pots, those to hold back as parents: the largest grade first."""
    found = {}
    for grade in reversed(GRADES):
        found[grade] = min(lacking, len(ready.get((taxon, grade), ())))
        lacking -= found[grade]
    return found


def _suggested(plan: CuttingPlan | None, taxon: int, grade: str, day: date, ready: int) -> tuple[int, str]:
    """How many the plan would offer at its next release from the day on, and why."""
    releases = [] if plan is None else [one for one in plan.releases if one.on >= day]
    if not releases:
        return ready, "There is no cutting plan for that day: all that is ready and not held back."
    first = min(one.on for one in releases)
    lines = [one for one in releases if (one.on, one.taxon, one.grade) == (first, taxon, grade)]
    offered = sum(one.offered if one.offered is not None else int(one.pots.p50) for one in lines)
    return offered, f"The cutting plan offers {offered} in its release of {first.isoformat()}."
