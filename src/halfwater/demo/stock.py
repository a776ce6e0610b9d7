"""What the grower writes down about the pots, and how they stand on the last evening."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from halfwater.demo.noting import Pen
from halfwater.demo.nursery import KINDS, is_away
from halfwater.demo.plants import NEVER, Stand

COUNT_EVERY_DAYS, TAGGED = 30, 4
ROOTED_DAYS = 42  # nothing is ready before it is rooted


@dataclass(frozen=True, slots=True)
class Standing:
    """A pot at the end of the book: its tank and spot, batch, state and leaves as last counted."""

    tank: str
    spot: str
    batch: int
    state: str
    leaves: int | None


def note_stand(pen: Pen, stand: Stand, spots: Sequence[str], book_days: int) -> dict[int, int]:
    """Losses on the look-over after them, leaf counts on tagged pots each month; gives the last counts."""
    rng, plan = pen.rng, stand.plan
    end = min(stand.gone, book_days)
    for pot, day in enumerate(stand.lost.tolist()):
        seen = day + int(rng.integers(0, 7))
        if seen < end and not is_away(seen):
            usual, other = KINDS[plan.kind].cause, str(rng.choice(["unknown", "dried out"]))
            cause = usual if rng.random() < 0.75 else other
            spot = spots[plan.first_spot + pot]
            pen.put("loss", pen.at(seen, 16), 1.0, word=cause, batch=plan.key, spot=spot)
    counts: dict[int, int] = {}
    tagged = np.sort(rng.choice(plan.pots, min(TAGGED, plan.pots), replace=False)).tolist()
    for day in range(stand.potted + 20, end, COUNT_EVERY_DAYS):
        for step, pot in enumerate(tagged):
            if stand.lost[pot] > day and not is_away(day):
                miscount = int(rng.choice([-1, 0, 1], p=[0.1, 0.8, 0.1]))
                counts[pot] = max(1, int(stand.leaves[pot, day]) + miscount)
                spot = spots[plan.first_spot + pot]
                pen.put("leaves", pen.at(day, 18 + step / 4), float(counts[pot]), batch=plan.key, spot=spot)
    return counts


def standing_pots(
    stand: Stand, spots: Sequence[str], counts: dict[int, int], book_days: int
) -> tuple[Standing, ...]:
    """Every pot of a batch with its state on the last evening of the book."""
    plan = stand.plan
    own = spots[plan.first_spot : plan.first_spot + plan.pots]
    return tuple(
        Standing(plan.tank, spot, plan.key, _state(stand, pot, book_days), counts.get(pot))
        for pot, spot in enumerate(own)
    )


def _state(stand: Stand, pot: int, book_days: int) -> str:
    """Settling, growing, ready, kept, sold or lost."""
    kind, last = KINDS[stand.plan.kind], book_days - 1
    if stand.lost[pot] <= min(last, stand.gone):
        return "lost"
    if stand.gone != NEVER and stand.gone <= last:
        return "sold"
    if stand.plan.is_kept:
        return "kept"
    leaves, age = int(stand.leaves[pot, last]), last - stand.potted
    if age >= ROOTED_DAYS and leaves >= kind.ready_leaves:
        return "ready"
    has_grown = leaves > int(stand.leaves[pot, stand.potted]) and age >= kind.lag_days / 2
    return "growing" if has_grown or age > 3 * kind.lag_days else "settling"
