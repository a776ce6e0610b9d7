"""What a hold or an order must hold before the book takes it, and how one is known again."""

import hashlib
import json
from collections import Counter
from collections.abc import Iterable
from dataclasses import asdict, dataclass
from datetime import UTC, datetime
from typing import Any
from uuid import UUID

from halfwater.book.changes import checks
from halfwater.book.changes.buyers import sound_buyer
from halfwater.book.changes.clock import said_at
from halfwater.book.changes.soundness import CLOCK_SLACK
from halfwater.errors import RefusedInput
from halfwater.plain.selling import CHANNELS, NewHold, NewOrder, WantedLine

MONEY = checks.whole("money from 0, in the smallest coin", 0, 1_000_000_000)
MAYBE_MONEY = checks.whole("money from 0, in the smallest coin", 0, 1_000_000_000, none=True)
PLANTS = checks.whole("a whole number of plants from 1 to 10000", 1, 10_000)
REASON = checks.words("a reason of at most 300 signs", 300)
_KEY = checks.words("a key of 1 to 200 signs", 200, needed=True)
_CHANNEL = checks.one_of(CHANNELS)
_REFERENCE = checks.words("a reference of at most 80 signs", 80)
_NOTE = checks.words("a note of at most 2000 signs", 2000)
_MOST_LINES = 500


@dataclass(frozen=True, slots=True)
class SoundOrder:
    """An order whose words and numbers can be used."""

    key: str
    digest: str
    wanted: dict[int, int]  # line -> plants, the same line named twice taken together
    holds: tuple[UUID, ...]
    pots: dict[int, int]  # pot -> price
    placed_at: datetime
    reference: str
    fields: dict[str, Any]  # of the order's row


def sound_order(new: NewOrder, now: datetime) -> SoundOrder:
    """The order, clean; what cannot be used is refused before anything is held."""
    if new.buyer.key is None:
        sound_buyer(new.buyer)
    if not (new.lines or new.holds or new.pots):
        raise RefusedInput("order", "", "at least one line, hold or pot")
    if len(new.lines) + len(new.holds) + len(new.pots) > _MOST_LINES:
        raise RefusedInput("order", len(new.lines), f"at most {_MOST_LINES} lines, holds and pots")
    pots = {_whole("pot", pot): MONEY("price_minor", price) for pot, price in new.pots}
    if len(pots) < len(new.pots):
        raise RefusedInput("pot", min(pots), "each pot once")
    placed_at = now if new.placed_at is None else instant("placed_at", new.placed_at)
    if placed_at > now + CLOCK_SLACK:
        accepted = f"an instant that is not later than now, {said_at(now)}"
        raise RefusedInput("placed_at", said_at(placed_at), accepted)
    for name in ("is_paid", "papers_seen"):
        checks.flag(name, getattr(new, name))
    return SoundOrder(
        key=_KEY("key", new.key),
        digest=_digest(asdict(new)),
        wanted=_together(new.lines),
        holds=tuple(dict.fromkeys(as_uuid("hold", one) for one in new.holds)),
        pots=pots,
        placed_at=placed_at,
        reference=_REFERENCE("reference", new.reference),
        fields={
            "channel": _CHANNEL("channel", new.channel),
            "postage_minor": MONEY("postage_minor", new.postage_minor),
            "fee_minor": MAYBE_MONEY("fee_minor", new.fee_minor),
            "note": _NOTE("note", new.note),
        },
    )


def refuse_unsound_hold(new: NewHold, now: datetime) -> UUID:
    """The hold's id; what cannot be used is refused."""
    if new.buyer is not None and new.buyer.key is None:
        sound_buyer(new.buyer)
    PLANTS("plants", new.plants)
    if instant("until", new.until) <= now:
        raise RefusedInput("until", new.until.isoformat(), "an instant later than now")
    return as_uuid("uuid", new.uuid)


def instant(field: str, value: Any) -> datetime:
    """An instant with its time zone."""
    if not isinstance(value, datetime) or value.utcoffset() is None or not 1900 <= value.year <= 9000:
        raise RefusedInput(field, str(value), "an instant with its time zone")
    return value.astimezone(UTC)


def instant_or_none(field: str, value: Any) -> datetime | None:
    """An instant with its time zone, or None."""
    return None if value is None else instant(field, value)


def as_uuid(field: str, value: Any) -> UUID:
    """A uuid, or text that is one."""
    if isinstance(value, UUID):
        return value
    try:
        return UUID(value)
    except (TypeError, ValueError, AttributeError) as error:
        raise RefusedInput(field, str(value), "a uuid") from error


def _together(lines: Iterable[WantedLine]) -> dict[int, int]:
    wanted: Counter[int] = Counter()
    for one in lines:
        wanted[_whole("line", one.line)] += PLANTS("plants", one.plants)
    return {line: PLANTS("plants", plants) for line, plants in wanted.items()}


def _whole(field: str, value: Any) -> int:
    if not isinstance(value, int) or isinstance(value, bool) or not 0 < value < 2**63:
        raise RefusedInput(field, value, f"the key of a {field} in the book")
    return value


def _digest(asked: dict[str, Any]) -> str:
    """What tells one request from another under the same key."""
    told = json.dumps(asked, sort_keys=True, default=_plain, ensure_ascii=True)
    return hashlib.sha256(told.encode()).hexdigest()


def _plain(value: Any) -> str:
    return value.astimezone(UTC).isoformat() if isinstance(value, datetime) else str(value)
