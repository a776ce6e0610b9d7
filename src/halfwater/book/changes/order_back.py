"""A step of an order taken back, where it was a slip."""

from halfwater.book.changes.door import one_write
from halfwater.book.changes.order_course import course_state, held_order
from halfwater.errors import RefusedByBook, RefusedInput

_BACK = ("paid", "packed", "arrived")


@one_write
def take_step_back(number: int, step: str, *, who: str) -> None:
    """Take back that an order is paid, packed or arrived; not taken yet, nothing changes.

    Raises
    ------
    RefusedByBook
        If it was sent, for "sent" and "packed": its pots have left their spots.
    """
    row = held_order(number)
    has_left = row.sent_at is not None
    if has_left and step in ("sent", "packed"):
        raise RefusedByBook(f"Order {number} has left: its pots stand on no spot any more.", str(number))
    if step not in _BACK:
        raise RefusedInput("step", step, f"one of {', '.join(_BACK)}")
    setattr(row, f"{step}_at", None)
    row.state = course_state(row)
    row.save()
