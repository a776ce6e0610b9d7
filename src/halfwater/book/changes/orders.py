"""Orders placed: granted whole or refused whole, once for each key."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import datetime
from uuid import UUID

from django.db import IntegrityError, connection
from django.db.models import Q

from halfwater.book.changes.buyers import hold_buyer
from halfwater.book.changes.clock import said_at
from halfwater.book.changes.door import one_write
from halfwater.book.changes.lines_at_hand import LineAtHand, hold_lines, refuse_sold_out
from halfwater.book.changes.places import rules_of, said_of
from halfwater.book.changes.pots_for_sale import sell_pots
from halfwater.book.changes.sales_soundness import SoundOrder, sound_order
from halfwater.book.models import Hold, Line, OfferedPot, Order, OrderLine
from halfwater.book.models.order import LIVE
from halfwater.book.queries.orders import order, order_as_written
from halfwater.errors import RefusedByBook, RefusedInput
from halfwater.plain.selling import NewOrder, OrderFacts


@dataclass(slots=True)
class _Share:
    """What an order takes of one line: plants asked for now, and those of holds."""

    line: LineAtHand
    plants: int = 0
    held: int = 0
    wanted_at: datetime | None = None
    holds: list[UUID] = field(default_factory=list)


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
    asked = sound_order(new, now)
    try:
        if not connection.features.has_select_for_update:  # there one turn is for all lines
            refuse_sold_out(asked.wanted, now)
        return order_as_written(_place(new, asked, who, now))
    except RefusedByBook:
        # Asked before, or at the same instant: what stands in the way of a second order is the first.
        standing = _standing(asked)
        if standing is None:
            raise
        return standing


@one_write
def _place(new: NewOrder, asked: SoundOrder, who: str, now: datetime) -> Order:
    """Write the order, then hold its lines and take their plants: others wait for as little as can be."""
    buyer = hold_buyer(new.buyer)
    rules = rules_of(buyer.place)
    held_on = dict(Hold.objects.filter(pk__in=asked.holds).values_list("pk", "line")) if asked.holds else {}
    of_lines = {*asked.wanted, *held_on.values()}
    seen = Line.objects.filter(pk__in=of_lines).values_list("release", "taxon") if of_lines else ()
    releases, taxa = {release for release, _ in seen}, {taxon for _, taxon in seen}
    row = Order(
        key=asked.key, digest=asked.digest, buyer=buyer, reference=asked.reference, placed_at=asked.placed_at,
        release_id=releases.pop() if len(releases) == 1 and not asked.pots else None,
        state="paid" if new.is_paid else "placed", paid_at=now if new.is_paid else None,
        place_notes=list(said_of(rules, taxa, new.papers_seen)), who=who, **asked.fields,
    )  # fmt: skip
    try:
        row.save(force_insert=True)
    except IntegrityError as error:  # the key or the reference is taken: whoever asks finds by whom
        raise RefusedByBook("The book's own rules stand against this order.", str(error)) from error
    _promise(row, asked, hold_lines(of_lines, now), now)
    if asked.pots:
        sold = sell_pots(row, asked.pots, asked.placed_at, now)
        _add_notes(row, said_of(rules, sold - taxa, new.papers_seen))
    return row


def _promise(row: Order, asked: SoundOrder, lines: Mapping[int, LineAtHand], now: datetime) -> None:
    """Give the order its plants of the lines that are held, and those of its holds."""
    for key in asked.wanted:
        _refuse_time(lines[key], asked, now)
    shares = {key: _Share(lines[key], plants) for key, plants in asked.wanted.items()}
    _add_holds(asked, shares, lines, now)
    for key, share in shares.items():
        share.line.refuse_beyond_limit(row.buyer_id, share.plants + share.held, now, asked.holds)
        line, wanted_at = lines[key].row, share.wanted_at or asked.placed_at
        order_line = OrderLine.objects.create(
            order=row, line=line, taxon_id=line.taxon_id, grade=line.grade, price_minor=line.price_minor,
            plants=share.plants + share.held, wanted_at=wanted_at,
        )  # fmt: skip
        _take(share, order_line, wanted_at)
    if row.release_id is not None:
        row.release = next(iter(shares.values())).line.release
    if asked.holds:
        Hold.objects.filter(pk__in=asked.holds).update(state="ordered", ended_at=now, order=row)


def _refuse_time(line: LineAtHand, asked: SoundOrder, now: datetime) -> None:
    """Refuse an order outside its release's time.

    By hand it is the grower's own say: now counts. A file tells when the buyer ordered, and that counts,
    though it is brought after the closing; of a program both must be inside.
    """
    channel = asked.fields["channel"]
    if channel != "file" or asked.placed_at >= now:
        line.refuse_shut(now)
    if channel != "by hand" and asked.placed_at < now:
        line.refuse_outside(asked.placed_at)


def _standing(asked: SoundOrder) -> OrderFacts | None:
    """The order that has this key already; another under the key or the reference is refused."""
    channel = asked.fields["channel"]
    same = Q(key=asked.key)
    if asked.reference:
        same |= Q(channel=channel, reference=asked.reference)
    for number, key, digest in Order.objects.filter(same).values_list("number", "key", "digest"):
        if key != asked.key:
            raise RefusedByBook(f"Reference {asked.reference} is order {number} already.", str(number))
        if digest != asked.digest:
            raise RefusedByBook(
                f"This key belongs to order {number}, which asked for something else.", str(number)
            )
        return order(number)
    return None


def _add_holds(
    asked: SoundOrder, shares: dict[int, _Share], lines: Mapping[int, LineAtHand], now: datetime
) -> None:
    """The holds that become part of the order, their plants counted with the lines'."""
    rows = Hold.objects.in_bulk(asked.holds) if asked.holds else {}
    for uuid in asked.holds:
        row = rows.get(uuid)
        if row is None:
            raise RefusedInput("hold", str(uuid), "the uuid of a hold in the book")
        if row.state == "ordered":
            raise RefusedByBook(f"This hold has become order {row.order_id}.", str(uuid))
        if row.state != "held":
            gone = "ran out" if row.state == "run out" else "was let go"
            raise RefusedByBook(f"The hold {gone} on {said_at(row.ended_at or now)}.", str(uuid))
        share = shares.setdefault(row.line_id, _Share(lines[row.line_id]))
        share.held += row.plants
        share.holds.append(uuid)
        share.wanted_at = min(row.made_at, share.wanted_at or row.made_at)


def _take(share: _Share, order_line: OrderLine, wanted_at: datetime) -> None:
    """Give the order line the pots of its holds, and free ones; a held pot that died is made up for."""
    lacking = order_line.plants
    given = {"order_line": order_line, "hold": None, "taken_at": wanted_at}
    if share.holds:
        lacking -= OfferedPot.objects.filter(LIVE, hold__in=share.holds).update(**given)
    if lacking:
        share.line.take(lacking, **given)


def _add_notes(row: Order, notes: Iterable[str]) -> None:
    """What the rules of the place say of pots that were sold without a line."""
    fresh = [note for note in notes if note not in row.place_notes]
    if fresh:
        row.place_notes = [*row.place_notes, *fresh]
        row.save(update_fields=("place_notes",))
