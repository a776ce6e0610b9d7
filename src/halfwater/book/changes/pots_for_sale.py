"""Pots put behind a line, taken back from it, and sold without one."""

from collections.abc import Collection, Mapping, Sequence
from datetime import datetime

from django.db.models import F

from halfwater.book.changes.clock import said_at
from halfwater.book.changes.door import one_write
from halfwater.book.changes.lines_at_hand import hold_lines
from halfwater.book.changes.promises import end_offers
from halfwater.book.changes.sales_soundness import PLANTS
from halfwater.book.models import Line, OfferedPot, Order, OrderLine, StandingPot
from halfwater.book.models.order import LIVE
from halfwater.errors import RefusedByBook, RefusedInput
from halfwater.plain.stock import GONE_STATES

_CHUNK = 400
# Of a count of pots those are taken first that are ready, then the largest.
_READY_FIRST = ("ready", "growing")


@one_write
def offer_pots(line: int, pots: Sequence[int] | int, *, who: str, now: datetime) -> tuple[int, ...]:
    """Put pots behind a line, these or so many, and give their keys.

    Of a number those come that are ready, then those with most leaves; none that is kept,
    settling, offered already or graded otherwise by hand. A pot that is behind the line already stays.

    Raises
    ------
    RefusedByBook
        If a pot is gone, kept, of another taxon, offered elsewhere or promised, or if there are fewer.
    """
    at_hand = hold_lines((line,), now)[line]
    if at_hand.release.state == "closed":
        raise RefusedByBook(f"{at_hand.release.name} is closed: nothing is offered in it.", str(line))
    rows = _so_many(at_hand.row, pots) if isinstance(pots, int) else hold_pots(pots)
    offers = offers_of([row.pk for row in rows])
    fresh = []
    for row in rows:
        standing = offers.get(row.pk)
        if standing is not None and standing.line_id == line and standing.order_line_id is None:
            continue
        _refuse_unfit(row, at_hand.row.taxon_id, standing, now)
        fresh.append(row)
    OfferedPot.objects.bulk_create(
        [OfferedPot(line=at_hand.row, pot=row, offered_at=now) for row in fresh], batch_size=_CHUNK
    )
    return tuple(row.pk for row in rows)


@one_write
def take_back_pots(pots: Collection[int], *, who: str, now: datetime) -> int:
    """Take free pots off their lines and give how many were taken; one that is on no line is left alone.

    Raises
    ------
    RefusedByBook
        If one of them is held or promised.
    """
    wanted = sorted(set(pots))
    behind = OfferedPot.objects.filter(LIVE, pot__in=wanted, line__isnull=False)
    hold_lines(behind.values_list("line", flat=True), now)
    rows = list(offers_of(wanted).values())
    for row in rows:
        refuse_taken_offer(row, now)
    end_offers(rows, "taken back", now)
    return len(rows)


def sell_pots(order: Order, pots: Mapping[int, int], wanted_at: datetime, now: datetime) -> set[int]:
    """Promise pots to an order that has no line for them, each at its price; gives their taxa.

    A free pot leaves the line it was offered on.
    """
    rows = hold_pots(tuple(pots))
    offers = offers_of(tuple(pots))
    for row in rows:
        if row.state in (*GONE_STATES, "kept"):
            raise RefusedByBook(f"Pot {row} is {row.state}: it cannot be sold.", str(row))
        if row.pk in offers:
            refuse_taken_offer(offers[row.pk], now)
    end_offers(tuple(offers.values()), "sold by hand", now)
    alike: dict[tuple[int, str, int], list[StandingPot]] = {}
    for row in rows:
        alike.setdefault((row.batch.taxon_id, row.grade, pots[row.pk]), []).append(row)
    for (taxon, grade, price_minor), some in alike.items():
        order_line = OrderLine.objects.create(
            order=order, taxon_id=taxon, grade=grade, price_minor=price_minor, plants=len(some),
            wanted_at=wanted_at,
        )  # fmt: skip
        promise(order_line, some, wanted_at, now)
    return {row.batch.taxon_id for row in rows}


def promise(order_line: OrderLine, pots: Collection[StandingPot], taken_at: datetime, now: datetime) -> None:
    """Promise pots that are on no line to an order line."""
    OfferedPot.objects.bulk_create(
        [OfferedPot(pot=pot, order_line=order_line, offered_at=now, taken_at=taken_at) for pot in pots]
    )


def hold_pots(pots: Collection[int]) -> list[StandingPot]:
    """These pots in the order of their keys, held until the write ends; an unknown one is refused."""
    wanted = sorted(set(pots))
    rows: list[StandingPot] = []
    for start in range(0, len(wanted), _CHUNK):
        locked = StandingPot.objects.select_for_update(of=("self",)).select_related("batch")
        rows += locked.filter(pk__in=wanted[start : start + _CHUNK]).order_by("pk")
    unknown = set(wanted) - {row.pk for row in rows}
    if unknown:
        raise RefusedInput("pot", min(unknown), "the key of a pot in the book")
    return rows


def offers_of(pots: Collection[int]) -> dict[int, OfferedPot]:
    """The rows by which these pots are offered now, held until the write ends."""
    found: dict[int, OfferedPot] = {}
    wanted = sorted(set(pots))
    for start in range(0, len(wanted), _CHUNK):
        locked = OfferedPot.objects.select_for_update(of=("self",), no_key=True).filter(LIVE)
        rows = locked.select_related("hold", "order_line", "line__release", "pot__batch")
        found |= {
            row.pot_id: row for row in rows.filter(pot__in=wanted[start : start + _CHUNK]).order_by("pk")
        }
    return found


def refuse_taken_offer(row: OfferedPot, now: datetime) -> None:
    """Refuse a pot that an order or a hold waits for."""
    if row.order_line is not None:
        raise RefusedByBook(
            f"Pot {row.pot} is promised to order {row.order_line.order_id}.", str(row.order_line.order_id)
        )
    if row.hold is not None and row.hold.state == "held" and row.hold.until > now:
        raise RefusedByBook(
            f"Pot {row.pot} is held for a buyer until {said_at(row.hold.until)}.", str(row.pot)
        )


def _refuse_unfit(row: StandingPot, taxon: int, standing: OfferedPot | None, now: datetime) -> None:
    if row.state in GONE_STATES:
        raise RefusedByBook(f"Pot {row} is {row.state}: it cannot be offered.", str(row))
    if row.state == "kept":
        raise RefusedByBook(f"Pot {row} is kept: let it go first, then offer it.", str(row))
    if row.batch.taxon_id != taxon:
        raise RefusedByBook(f"Pot {row} is of another taxon than the line.", str(row))
    if standing is not None:
        refuse_taken_offer(standing, now)
        elsewhere = standing.line.release.name if standing.line is not None else "another release"
        raise RefusedByBook(f"Pot {row} is offered in {elsewhere} already.", str(row))


def _so_many(line: Line, pots: int) -> list[StandingPot]:
    """So many standing pots that suit a line."""
    PLANTS("pots", pots)
    fit = StandingPot.objects.filter(
        batch__taxon=line.taxon_id, state__in=_READY_FIRST, grade__in=("", line.grade)
    ).exclude(offers__in=OfferedPot.objects.filter(LIVE))
    order = ("-state", F("leaves").desc(nulls_last=True), "batch", "number")
    found = list(fit.order_by(*order).values_list("pk", flat=True)[:pots])
    if len(found) < pots:
        raise RefusedByBook(
            f"Only {len(found)} pots of {line.taxon.name} are ready or growing and not offered yet.",
            line.taxon.name,
        )
    return hold_pots(found)
