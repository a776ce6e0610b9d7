"""What was cut and sold of each taxon in the last year: the habits that the population view goes on with."""

from collections import Counter, defaultdict
from datetime import date, datetime, timedelta

from halfwater.book import queries
from halfwater.deeds.came import Past, gather_past
from halfwater.deeds.clock import local_day
from halfwater.plain.stock import GRADES, StandingPot
from halfwater.planning.habits import PastHabit

YEAR_DAYS = 364
LEAST_DAYS = 28


def past_habits(now: datetime) -> tuple[PastHabit, ...]:
    """One habit a taxon, over the last year or since its first pot was potted."""
    today = local_day(now, queries.nursery())
    past = gather_past(today)
    sections = _sections_by_pot(today)
    found = []
    for taxon in dict.fromkeys(pot.taxon for pot in past.pots):
        own = [pot for pot in past.pots if pot.taxon == taxon]
        days = min(max((today - min(pot.potted_on for pot in own)).days, LEAST_DAYS), YEAR_DAYS)
        since = today - timedelta(days=days)
        sold = Counter(
            _grade(past, pot)
            for pot in own
            if pot.state == "sold" and pot.left_on is not None and pot.left_on >= since
        )
        cuts = [made for pot in own for on, made in sections.get(pot.key, ()) if on >= since]
        found.append(
            PastHabit(
                taxon, float(days), {grade: float(sold[grade]) for grade in GRADES if sold[grade]},
                float(len(cuts)), float(sum(cuts)),
            )
        )  # fmt: skip
    return tuple(found)


def _sections_by_pot(today: date) -> dict[int, list[tuple[date, float]]]:
    found: dict[int, list[tuple[date, float]]] = defaultdict(list)
    for entry in queries.entries(kinds=("cut",)):
        if entry.pot is not None and entry.day <= today:
            found[entry.pot].append((entry.day, entry.value or 0.0))
    return dict(found)


def _grade(past: Past, pot: StandingPot) -> str:
    """The grade a pot was sold in: by hand, or by its last count; the smallest where nobody counted."""
    if pot.grade:
        return pot.grade
    leaves = pot.leaves or 0
    reached = [grade for grade in GRADES if leaves >= past.rules[pot.taxon, grade].leaves]
    return reached[-1] if reached else GRADES[0]
