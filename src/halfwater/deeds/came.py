"""What came of the stock: leaves and grades of pots on past days, told by the counts before and after."""

from bisect import bisect_left, bisect_right
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from itertools import pairwise

from halfwater.book import queries
from halfwater.deeds.growing_facts import OTHERWISE
from halfwater.plain.entry import EntryFact
from halfwater.plain.stock import GRADES, LeafCount, StandingPot, TaxonFacts
from halfwater.science.plant_groups import plant_group

NEAR_DAYS = 7  # a count so long before a day still tells of it
LONGEST_GAP_DAYS = 45  # between two counts, for a day between them to be told
UNKNOWN_FRAC = 0.05  # of the pots may be taken as last counted


@dataclass(frozen=True, slots=True)
class Rule:
    """What a taxon asks of a pot that is to have a grade."""

    leaves: int
    rooted_days: float


@dataclass(frozen=True)
class Past:
    """The stock as it was, day by day."""

    today: date
    pots: tuple[StandingPot, ...]  # gone ones too
    counts: dict[int, list[LeafCount]] = field(default_factory=dict)  # pot -> oldest first
    states: dict[int, list[tuple[date, str]]] = field(default_factory=dict)  # pot -> as noted, oldest first
    cuts: dict[int, list[date]] = field(default_factory=dict)  # pot -> days on which it was cut
    rules: dict[tuple[int, str], Rule] = field(default_factory=dict)  # taxon, grade

    def stood(self, made_on: date) -> list[StandingPot]:
        """The pots that stood on a day, those potted later and those gone by then left out."""
        return [
            pot
            for pot in self.pots
            if pot.potted_on <= made_on and (pot.left_on is None or pot.left_on > made_on)
        ]

    def was_kept(self, pot: StandingPot, on: date) -> bool:
        """Whether a pot was a kept parent on a day, by what was noted of it until then."""
        noted = self.states.get(pot.key, [])
        before = [state for day, state in noted if day <= on]
        if before:
            return before[-1] == "kept"
        return pot.state == "kept" and not noted

    def leaves_on(self, pot: StandingPot, on: date, since: date) -> float | None:
        """Leaves of a pot on a day, between the counts around it; None where they do not tell.

        Of a pot that was sold or cut after `since`, the leaves it had until then.
        """
        counts = self.counts.get(pot.key, [])
        ends = [day for day in (pot.left_on, *self.cuts.get(pot.key, ())) if day and since < day <= on]
        if ends:
            until = [count for count in counts if count.on < min(ends)]
            return float(until[-1].leaves) if until else None
        after = bisect_left(counts, on, key=lambda count: count.on)
        if after < len(counts) and counts[after].on == on:
            return float(counts[after].leaves)
        before = counts[after - 1] if after else None
        later = counts[after] if after < len(counts) else None
        if before is not None and later is not None and (later.on - before.on).days <= LONGEST_GAP_DAYS:
            share = (on - before.on).days / (later.on - before.on).days
            return before.leaves + share * (later.leaves - before.leaves)
        is_near = before is not None and (on - before.on).days <= NEAR_DAYS
        return float(before.leaves) if is_near and before is not None else None

    def has_grade(self, pot: StandingPot, grade: str, on: date, since: date) -> bool | None:
        """Whether a pot that stood on `since` had a grade, or a better one, on a day; None: not told."""
        rule = self.rules[pot.taxon, grade]
        if pot.state == "lost" and pot.left_on is not None and pot.left_on <= on:
            return False
        if (on - pot.potted_on).days < rule.rooted_days:
            return False
        if pot.grade:
            return GRADES.index(pot.grade) >= GRADES.index(grade)
        leaves = self.leaves_on(pot, on, since)
        return None if leaves is None else leaves >= rule.leaves

    def last_leaves(self, pot: StandingPot, on: date) -> int | None:
        """Leaves at the last count up to a day."""
        counts = self.counts.get(pot.key, [])
        place = bisect_right(counts, on, key=lambda count: count.on)
        return counts[place - 1].leaves if place else None

    def reached_on(self, pot: StandingPot, grade: str) -> date | None:
        """The day on which a pot came to a grade, between the two counts around it; None where none tell."""
        rule = self.rules[pot.taxon, grade]
        rooted_on = pot.potted_on + timedelta(days=rule.rooted_days)
        counts = self.counts.get(pot.key, [])
        if pot.first_leaves is not None and not (counts and counts[0].on == pot.potted_on):
            counts = [LeafCount(pot.key, pot.potted_on, pot.first_leaves), *counts]
        if counts and counts[0].on == pot.potted_on and counts[0].leaves >= rule.leaves:
            return rooted_on
        for before, later in pairwise(counts):
            gap = (later.on - before.on).days
            if before.leaves < rule.leaves <= later.leaves and gap <= LONGEST_GAP_DAYS:
                share = (rule.leaves - before.leaves) / (later.leaves - before.leaves)
                return max(before.on + timedelta(days=round(share * gap)), rooted_on)
        return None


def gather_past(today: date) -> Past:
    """The past of the stock, a few queries in all."""
    counts: dict[int, list[LeafCount]] = defaultdict(list)
    for count in queries.leaf_counts():
        counts[count.pot].append(count)
    cuts: dict[int, list[date]] = defaultdict(list)
    for entry in queries.entries(kinds=("cut",)):
        if entry.pot is not None:
            cuts[entry.pot].append(entry.day)
    return Past(
        today=today,
        pots=queries.standing_pots(gone=True),
        counts=dict(counts),
        states=_states(queries.entries(kinds=("state",), newest_first=False)),
        cuts=dict(cuts),
        rules={(taxon.key, grade): _rule(taxon, grade) for taxon in queries.taxa() for grade in GRADES},
    )


def ready_on(past: Past, taxon: int, grade: str, made_on: date, on: date) -> tuple[int, int, int]:
    """Of the pots for sale that stood when a forecast was made: those with the grade, all, those not told."""
    pots = [pot for pot in past.stood(made_on) if pot.taxon == taxon and not past.was_kept(pot, made_on)]
    found = [past.has_grade(pot, grade, on, made_on) for pot in pots]
    rule = past.rules[taxon, grade]
    taken = [
        (past.last_leaves(pot, on) or 0) >= rule.leaves if known is None else known
        for pot, known in zip(pots, found, strict=True)
    ]
    return sum(taken), len(pots), sum(known is None for known in found)


def half_reached_on(past: Past, batch: int, grade: str, made_on: date) -> tuple[date | None, int, int]:
    """The day on which half the pots that stood had the grade; with the pots, and those counted since."""
    pots = [pot for pot in past.stood(made_on) if pot.batch == batch]
    days = sorted(day for pot in pots if (day := past.reached_on(pot, grade)) is not None)
    half = (len(pots) + 1) // 2
    return (days[half - 1] if pots and len(days) >= half else None), len(pots), len(days)


def counted_since(past: Past, pots: Iterable[StandingPot], on: date) -> int:
    """How many pots were counted on a day or later, or are gone."""
    return sum(
        pot.left_on is not None or any(count.on >= on for count in past.counts.get(pot.key, [])[-1:])
        for pot in pots
    )


def _states(entries: Sequence[EntryFact]) -> dict[int, list[tuple[date, str]]]:
    found: dict[int, list[tuple[date, str]]] = defaultdict(list)
    for entry in entries:
        if entry.pot is not None:
            found[entry.pot].append((entry.day, entry.word))
    return dict(found)


def _rule(taxon: TaxonFacts, grade: str) -> Rule:
    quantity = f"{grade}_leaves"
    mean = next((one.mean for one in taxon.priors if one.quantity == quantity), OTHERWISE[quantity][0])
    return Rule(round(mean), plant_group(taxon.group, taxon.name).rooted_days)
