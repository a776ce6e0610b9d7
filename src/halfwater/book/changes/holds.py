"""Holds: plants of a line put aside until an instant."""

from datetime import datetime
from uuid import UUID

from halfwater.book.changes.buyers import hold_buyer
from halfwater.book.changes.door import one_write
from halfwater.book.changes.lines_at_hand import free_holds, hold_lines
from halfwater.book.changes.sales_soundness import as_uuid, refuse_unsound_hold
from halfwater.book.models import Hold
from halfwater.book.queries.orders import hold
from halfwater.errors import RefusedByBook, RefusedInput
from halfwater.plain.selling import HoldFacts, NewHold


def place_hold(new: NewHold, *, who: str, now: datetime) -> HoldFacts:
    """Put plants of an open line aside; the same uuid again is the same hold.

    Raises
    ------
    RefusedByBook
        If the line takes no orders now, has fewer plants free, or the buyer may not have so many,
        or if the uuid belongs to a hold of something else.
    """
    uuid = _place(new, refuse_unsound_hold(new, now), now)
    found = hold(uuid, now)
    if found is None:
        raise RefusedByBook("The hold was taken out of the book meanwhile.", str(uuid))
    return found


@one_write
def _place(new: NewHold, uuid: UUID, now: datetime) -> UUID:
    buyer = hold_buyer(new.buyer) if new.buyer is not None else None
    line = hold_lines((new.line,), now)[new.line]
    kept = Hold.objects.filter(pk=uuid).first()
    if kept is not None:
        if (kept.line_id, kept.plants, kept.until) != (new.line, new.plants, new.until):
            raise RefusedByBook("This uuid belongs to a hold of something else.", str(uuid))
        return uuid
    line.refuse_shut(now)
    if buyer is not None:
        line.refuse_beyond_limit(buyer.pk, new.plants, now)
    row = Hold.objects.create(
        uuid=uuid, line=line.row, buyer=buyer, plants=new.plants, until=new.until, made_at=now
    )
    line.take(new.plants, hold=row, taken_at=now)
    return uuid


@one_write
def let_hold_go(uuid: str | UUID, *, who: str, now: datetime) -> None:
    """Free the plants of a hold before it runs out; one that ended before is left as it ended.

    Raises
    ------
    RefusedByBook
        If the hold has become an order: that is cancelled instead.
    """
    key = as_uuid("hold", uuid)
    line = Hold.objects.filter(pk=key).values_list("line", flat=True).first()
    if line is None:
        raise RefusedInput("hold", str(key), "the uuid of a hold in the book")
    hold_lines((line,), now)
    row = Hold.objects.get(pk=key)
    if row.state == "ordered":
        raise RefusedByBook(f"This hold has become order {row.order_id}: cancel that.", str(row.order_id))
    if row.state == "held":
        free_holds((key,), "let go", now)
