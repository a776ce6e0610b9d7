"""Lines held while pots of them are taken or freed: in the order of their keys, before anything else.

Whoever writes to the book of sales takes rows in this order, so that no two wait for each other:
release, buyer, a new order, lines by key, an order of before, then pots as entries take them, and last
what is offered of them.
"""

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from uuid import UUID

from django.db.models import Exists, OuterRef, Q, Sum

from halfwater.book.changes.clock import said_at
from halfwater.book.models import Hold, Line, OfferedPot, OrderLine, Release
from halfwater.book.models.order import LIVE
from halfwater.book.queries.offers import is_free
from halfwater.errors import RefusedByBook, RefusedInput

FREE = LIVE & Q(hold__isnull=True, order_line__isnull=True)
_ASKED_AGAIN = 3


# Made once: others wait while a line is held.
_FREE = OfferedPot.objects.filter(FREE).order_by("pk").values_list("pk", flat=True)
_HELD = (
    Line.objects.select_for_update(of=("self",), no_key=True)
    .select_related("taxon")
    .annotate(has_holds=Exists(Hold.objects.filter(line=OuterRef("pk"), state="held")))
    .order_by("pk")
)


@dataclass(frozen=True, slots=True)
class LineAtHand:
    """A line that no one else takes or frees pots of until this write ends."""

    row: Line
    release: Release

    @property
    def name(self) -> str:
        """What the line is called in sentences."""
        return f"{self.row.taxon.name}, {self.row.grade}"

    def refuse_shut(self, now: datetime) -> None:
        """Refuse while the release is not open for orders."""
        release = self.release
        opens_at, closes_at = release.opens_at, release.closes_at
        if release.state == "closed":
            raise RefusedByBook(f"{release.name} is closed: it takes no more orders.", release.name)
        if release.state == "drafted" or (opens_at is not None and now < opens_at):
            when = f": it opens on {said_at(opens_at)}" if opens_at is not None else ""
            raise RefusedByBook(f"{release.name} is not open yet{when}.", release.name)
        if closes_at is not None and now >= closes_at:
            raise RefusedByBook(f"{release.name} closed on {said_at(closes_at)}.", release.name)

    def refuse_outside(self, placed_at: datetime) -> None:
        """Refuse an order that was placed before the opening, or after the closing."""
        release, placed = self.release, f"It was placed on {said_at(placed_at)}"
        opens_at, closes_at = release.opens_at, release.closes_at
        if release.state in ("drafted", "closed"):
            self.refuse_shut(placed_at)
        if opens_at is not None and placed_at < opens_at:
            raise RefusedByBook(
                f"{placed}, before the opening of {release.name} on {said_at(opens_at)}:"
                " take it by hand if it is to stand.",
                release.name,
            )
        if closes_at is not None and placed_at >= closes_at:
            raise RefusedByBook(
                f"{placed}, after {release.name} closed on {said_at(closes_at)}.", release.name
            )

    def takes_back(self, now: datetime) -> bool:
        """Whether a pot that is freed can be had by the next buyer."""
        closes_at = self.release.closes_at
        return self.release.state != "closed" and (closes_at is None or now < closes_at)

    def refuse_beyond_limit(
        self, buyer: int, plants: int, now: datetime, but_holds: Collection[UUID] = ()
    ) -> None:
        """Refuse more plants than one buyer may have of the line."""
        most = self.row.limit_per_buyer
        if most is None:
            return
        own = OrderLine.objects.filter(line=self.row, order__buyer=buyer).aggregate(
            plants=Sum("plants"), cancelled=Sum("cancelled")
        )
        held = Hold.objects.filter(line=self.row, buyer=buyer, state="held", until__gt=now)
        held = held.exclude(pk__in=tuple(but_holds))
        has = (own["plants"] or 0) - (own["cancelled"] or 0)
        has += held.aggregate(plants=Sum("plants"))["plants"] or 0
        if has + plants > most:
            had = f", and this one has {has} already" if has else ""
            raise RefusedByBook(f"{self.name}: at most {_plants(most)} a buyer{had}.", self.name)

    def take(self, plants: int, **given: Any) -> None:
        """Give so many free pots, those offered first before the others, to a hold or an order line.

        Fewer are refused.
        """
        taken = 0
        for _ in range(_ASKED_AGAIN):  # a pot that died while we waited for it has left the line
            # Named one by one: a planner that has not seen the new rows yet joins them badly otherwise.
            first = list(_FREE.filter(line=self.row.pk)[: plants - taken])
            taken += OfferedPot.objects.filter(FREE, line=self.row.pk, pk__in=first).update(**given)
            if taken == plants:
                return
        raise self.too_few(taken, plants)

    def too_few(self, free: int, plants: int) -> RefusedByBook:
        """The refusal that says how many are free."""
        said = f"{_plants(free)} free, not {plants}." if free else "sold out."
        return RefusedByBook(f"{self.name}: {said}", self.name)


def hold_lines(keys: Iterable[int], now: datetime) -> dict[int, LineAtHand]:
    """Hold these lines until the write ends, and free what holds on them have run out."""
    wanted = sorted(set(keys))
    if not wanted:
        return {}
    rows = list(_HELD.filter(pk__in=wanted))
    unknown = set(wanted) - {row.pk for row in rows}
    if unknown:
        raise RefusedInput("line", min(unknown), "the key of a line in the book")
    # Read once the lines are held: what whoever held them before wrote is seen only then.
    releases = {row.pk: row for row in Release.objects.filter(pk__in={row.release_id for row in rows})}
    if any(row.has_holds for row in rows):
        run_out = Hold.objects.filter(line__in=wanted, state="held", until__lte=now)
        free_holds(list(run_out.values_list("pk", flat=True)), "run out", now)
    return {row.pk: LineAtHand(row, releases[row.release_id]) for row in rows}


def refuse_sold_out(wanted: Mapping[int, int], now: datetime) -> None:
    """Refuse at a glance what cannot be granted, so that it need not wait for its turn at the line."""
    short = [key for key, plants in wanted.items() if len(_FREE.filter(line=key)[:plants]) < plants]
    for row in Line.objects.select_related("taxon", "release").filter(pk__in=short) if short else ():
        free = OfferedPot.objects.filter(is_free(now), line=row).count()  # with those of holds that ran out
        if free < wanted[row.pk]:
            line = LineAtHand(row, row.release)
            line.refuse_shut(now)
            raise line.too_few(free, wanted[row.pk])


def free_holds(holds: Collection[UUID], state: str, now: datetime) -> None:
    """End holds and free their pots; their lines are held already."""
    if not holds:
        return
    Hold.objects.filter(pk__in=holds, state="held").update(state=state, ended_at=now)
    OfferedPot.objects.filter(LIVE, hold__in=holds).update(hold=None, taken_at=None)


def _plants(count: int) -> str:
    return "1 plant" if count == 1 else f"{count} plants"
