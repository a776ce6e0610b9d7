"""Orders placed: granted whole or refused whole, once for each key."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db.models import Q

from halfwater.book.changes.buyers import hold_buyer
from halfwater.book.changes.door import one_write
from halfwater.book.changes.lines_at_hand import LineAtHand, hold_lines, minute
from halfwater.book.changes.places import said_of_places
from halfwater.book.changes.pots_for_sale import sell_pots
from halfwater.book.changes.sales_soundness import SoundOrder, sound_order
from halfwater.book.models import Buyer, Hold, OfferedPot, Order, OrderLine
from halfwater.book.models.order import LIVE
from halfwater.book.queries.orders import order
from halfwater.errors import RefusedByBook, RefusedInput
from halfwater.plain.selling import NewOrder, OrderFacts


@dataclass(slots=True)
class _Share:
    """What an order takes of one line: plants asked for now, and those of holds."""

    line: LineAtHand
    plants: int = 0
    held: int = 0
    wanted_at: datetime | None = None
    pots: tuple[OfferedPot, ...] = ()


def place_order(new: NewOrder, *, who: str, now: datetime) -> OrderFacts:
    """Write an order and promise it its pots; the same key again gives the same order.

    Raises
    ------
    RefusedInput
        If a word or number of it cannot be used, or it names what the book does not have.
    RefusedByBook
        If a line takes no orders now, has fewer plants free or may not be bought so often by one buyer,
        if a hold has run out, a pot is promised elsewhere, or the list of places says no;
        or if the key belongs to another order, or the channel's reference does.
    """
    number = _place(new, sound_order(new, now), who, now)
    found = order(number)
    if found is None:
        raise RefusedByBook(f"Order {number} was taken out of the book meanwhile.", str(number))
    return found


@one_write
def _place(new: NewOrder, asked: SoundOrder, who: str, now: datetime) -> int:
    held_on = dict(Hold.objects.filter(pk__in=asked.holds).values_list("pk", "line")) if asked.holds else {}
    lines = hold_lines((*asked.wanted, *held_on.values()), now)
    standing = _standing(asked)
    if standing is not None:
        return standing
    shares = {key: _Share(lines[key], plants) for key, plants in asked.wanted.items()}
    holds = _holds(asked, shares, lines, now)
    for key in asked.wanted:
        lines[key].refuse_shut(now)
    buyer = hold_buyer(new.buyer)
    for key, share in sorted(shares.items()):
        share.line.refuse_beyond_limit(buyer.pk, share.plants + share.held, now, asked.holds)
        share.pots = _pots(share, [hold.pk for hold in holds if hold.line_id == key])
    taxa = {share.line.row.taxon_id for share in shares.values()}
    notes = said_of_places(buyer.place, taxa, new.papers_seen)
    row = _write(new, asked, buyer, shares.values(), notes, who, now)
    if asked.pots:
        _add_notes(row, sell_pots(row, asked.pots, asked.placed_at, now), buyer, taxa, new.papers_seen)
    Hold.objects.filter(pk__in=asked.holds).update(state="ordered", ended_at=now, order=row)
    return row.number


def _standing(asked: SoundOrder) -> int | None:
    """The order that has this key already; another under the key or the reference is refused."""
    channel = asked.fields["channel"]
    same = Q(key=asked.key)
    if asked.reference:
        same |= Q(channel=channel, reference=asked.reference)
    for row in Order.objects.filter(same):
        if row.key != asked.key:
            raise RefusedByBook(
                f"Reference {asked.reference} is order {row.number} already.", str(row.number)
            )
        if row.digest != asked.digest:
            raise RefusedByBook(
                f"This key belongs to order {row.number}, which asked for something else.", str(row.number)
            )
        return row.number
    return None


def _holds(
    asked: SoundOrder, shares: dict[int, _Share], lines: Mapping[int, LineAtHand], now: datetime
) -> list[Hold]:
    """The holds that become part of the order, their plants counted with the lines'."""
    rows = {row.pk: row for row in Hold.objects.filter(pk__in=asked.holds)} if asked.holds else {}
    for uuid in asked.holds:
        row = rows.get(uuid)
        if row is None:
            raise RefusedInput("hold", str(uuid), "the uuid of a hold in the book")
        if row.state == "ordered":
            raise RefusedByBook(f"This hold has become order {row.order_id}.", str(uuid))
        if row.state != "held":
            gone = "ran out" if row.state == "run out" else "was let go"
            raise RefusedByBook(f"The hold {gone} at {minute(row.ended_at or now)}.", str(uuid))
        if lines[row.line_id].release.state == "closed":
            lines[row.line_id].refuse_shut(now)
        share = shares.setdefault(row.line_id, _Share(lines[row.line_id]))
        share.held += row.plants
        share.wanted_at = min(row.made_at, share.wanted_at or row.made_at)
    return list(rows.values())


def _pots(share: _Share, holds: Iterable[Any]) -> tuple[OfferedPot, ...]:
    """The pots of the share's holds, and free ones; a held pot that died meanwhile is made up for."""
    rows = OfferedPot.objects.select_for_update().filter(LIVE, hold__in=tuple(holds)).order_by("pk")
    held = list(rows) if share.held else []
    lacking = share.plants + share.held - len(held)
    return (*held, *(share.line.free_pots(lacking) if lacking else ()))


def _write(
    new: NewOrder,
    asked: SoundOrder,
    buyer: Buyer,
    shares: Iterable[_Share],
    notes: tuple[str, ...],
    who: str,
    now: datetime,
) -> Order:
    releases = {share.line.release.pk for share in shares}
    row = Order.objects.create(
        key=asked.key, digest=asked.digest, buyer=buyer, reference=asked.reference, placed_at=asked.placed_at,
        release_id=releases.pop() if len(releases) == 1 and not asked.pots else None,
        state="paid" if new.is_paid else "placed", paid_at=now if new.is_paid else None,
        place_notes=list(notes), who=who, **asked.fields,
    )  # fmt: skip
    for share in shares:
        line = share.line.row
        wanted_at = share.wanted_at or asked.placed_at
        order_line = OrderLine.objects.create(
            order=row, line=line, taxon_id=line.taxon_id, grade=line.grade, price_minor=line.price_minor,
            plants=share.plants + share.held, wanted_at=wanted_at,
        )  # fmt: skip
        OfferedPot.objects.filter(pk__in=[pot.pk for pot in share.pots]).update(
            order_line=order_line, hold=None, taken_at=wanted_at
        )
    return row


def _add_notes(row: Order, sold: set[int], buyer: Buyer, before: set[int], papers_seen: bool) -> None:
    """What the rules of the place say of pots that were sold without a line."""
    notes = said_of_places(buyer.place, sold - before, papers_seen)
    fresh = [note for note in notes if note not in row.place_notes]
    if fresh:
        row.place_notes = [*row.place_notes, *fresh]
        row.save(update_fields=("place_notes",))
