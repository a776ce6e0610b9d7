"""What was paid and what is paid: purchases, monthly charges, tariffs, other power, fees of shops."""

from collections.abc import Mapping
from datetime import date
from decimal import Decimal, InvalidOperation
from typing import Any

from halfwater.book.changes import checks
from halfwater.book.changes.door import one_write
from halfwater.book.changes.saving import save_row
from halfwater.book.models import Batch, Charge, Fee, PowerUse, Purchase, Tank, Tariff
from halfwater.errors import RefusedInput
from halfwater.plain.costing import PURCHASE_KINDS, SPACE_KINDS
from halfwater.plain.selling import CHANNELS

_MOST_MINOR = 1_000_000_000
_AMOUNT = checks.whole("money in the smallest coin", -_MOST_MINOR, _MOST_MINOR)
_MONEY = checks.whole("money from 0, in the smallest coin", 0, _MOST_MINOR)
_TEXT = checks.words("a text of 1 to 200 signs", 200, needed=True)
_TANK = checks.key_of(Tank, "tank")
_FOUR = Decimal("0.0001")


def _day_or_none(field: str, value: Any) -> date | None:
    return None if value is None else checks.day(field, value)


def _kwh(field: str, value: Any) -> Decimal:
    """A price of a kilowatt-hour in the smallest coin, four places of it kept."""
    accepted = "a price from 0 to 100000 of the smallest coin for a kilowatt-hour"
    try:
        price = Decimal(str(value))
    except InvalidOperation as error:
        raise RefusedInput(field, str(value), accepted) from error
    if not price.is_finite() or not 0 <= price <= 100_000:
        raise RefusedInput(field, str(value), accepted)
    return price.quantize(_FOUR)


_PURCHASE: Mapping[str, checks.Check] = {
    "on": checks.day,
    "kind": checks.one_of(PURCHASE_KINDS),
    "text": _TEXT,
    "amount_minor": _AMOUNT,
    "life_months": checks.whole("a whole number of months from 1", 1, 600, none=True),
    "enough_for": checks.whole("a whole number from 1", 1, 1_000_000, none=True),
    "tank": _TANK,
    "batch": checks.key_of(Batch, "batch"),
    "ended_on": _day_or_none,
    "got_back_minor": _MONEY,
}
_CHARGE: Mapping[str, checks.Check] = {
    "kind": checks.one_of(SPACE_KINDS),
    "text": _TEXT,
    "amount_minor": _AMOUNT,
    "from_on": checks.day,
    "to_on": _day_or_none,
    "tank": _TANK,
}
_TARIFF: Mapping[str, checks.Check] = {"from_on": checks.day, "kwh_minor": _kwh}
_POWER: Mapping[str, checks.Check] = {
    "text": checks.words("a text of 1 to 80 signs", 80, needed=True),
    "power_w": checks.number("watts from 0 to 10000", 0, 10_000),
    "hours": checks.number("hours a day from 0 to 24", 0, 24),
    "dimmer_frac": checks.number("a dimmer from 0 to 1", 0, 1),
    "from_on": checks.day,
    "to_on": _day_or_none,
    "tank": _TANK,
}
_FEE: Mapping[str, checks.Check] = {
    "text": checks.words("a text of at most 80 signs", 80),
    "channel": checks.one_of(("", *CHANNELS)),
    "from_on": _day_or_none,
    "fixed_minor": _MONEY,
    "share_frac": checks.number("a share from 0 to 1", 0, 1),
    "is_on_postage": checks.flag,
}
_ROWS: Mapping[str, Any] = {
    "purchase": Purchase, "charge": Charge, "tariff": Tariff, "power": PowerUse, "fee": Fee,
}  # fmt: skip


@one_write
def save_purchase(key: int | None = None, *, who: str, **fields: Any) -> int:
    """Write something paid for and give its key; what it was bought for is a tank, a batch, or all."""
    saved = int(save_row(Purchase, key, fields, _PURCHASE, ("on", "kind", "text", "amount_minor"), who))
    _refuse_odd(Purchase.objects.get(pk=saved))
    return saved


@one_write
def save_charge(key: int | None = None, *, who: str, **fields: Any) -> int:
    """Write something paid every month and give its key."""
    _refuse_turned(fields)
    return int(save_row(Charge, key, fields, _CHARGE, ("kind", "text", "amount_minor", "from_on"), who))


@one_write
def save_tariff(key: int | None = None, *, who: str, **fields: Any) -> int:
    """Write what a kilowatt-hour costs from a day on and give its key; a day has one price, the last."""
    if key is None and isinstance(fields.get("from_on"), date):
        key = Tariff.objects.filter(from_on=fields["from_on"]).values_list("pk", flat=True).first()
    return int(save_row(Tariff, key, fields, _TARIFF, ("from_on", "kwh_minor"), who))


@one_write
def save_power(key: int | None = None, *, who: str, **fields: Any) -> int:
    """Write a heater, pump or lamp beside the tanks' own and give its key."""
    _refuse_turned(fields)
    return int(save_row(PowerUse, key, fields, _POWER, ("text", "power_w", "hours", "from_on"), who))


@one_write
def save_fee(key: int | None = None, *, who: str, **fields: Any) -> int:
    """Write what is taken of orders that come by a channel, from a day on, and give its key."""
    return int(save_row(Fee, key, fields, _FEE, (), who))


@one_write
def remove_money_row(noun: str, key: int, *, who: str) -> None:
    """Take a purchase, charge, tariff, power or fee out of the book; its past stays."""
    if noun not in _ROWS:
        raise RefusedInput("row", noun, f"one of {', '.join(_ROWS)}")
    row = _ROWS[noun].objects.select_for_update().filter(pk=key).first()
    if row is None:
        raise RefusedInput(noun, key, f"the key of a {noun} in the book")
    row.changed_by = who
    row.delete()


def _refuse_odd(row: Purchase) -> None:
    """Refuse what no account could use; the write it is part of is taken back."""
    is_stored = row.kind not in SPACE_KINDS
    if row.tank_id is not None and (is_stored or row.batch_id is not None):
        raise RefusedInput("tank", row.tank_id, f"no tank, for {row.kind} of a batch or in store has none")
    if row.ended_on is not None and row.ended_on < row.on:
        raise RefusedInput("ended_on", row.ended_on.isoformat(), f"a day from {row.on.isoformat()} on")
    if row.got_back_minor and row.ended_on is None:
        raise RefusedInput("got_back_minor", row.got_back_minor, "0 until it has ended")
    if row.enough_for is not None and not (
        is_stored and row.batch_id is None and row.amount_minor >= 0 and row.ended_on is None
    ):
        raise RefusedInput("enough_for", row.enough_for, "nothing: only potting and packing goods say it")


def _refuse_turned(fields: Mapping[str, Any]) -> None:
    first, last = fields.get("from_on"), fields.get("to_on")
    if isinstance(first, date) and isinstance(last, date) and last < first:
        raise RefusedInput("to_on", last.isoformat(), f"a day from {first.isoformat()} on")
