"""Purchases, monthly charges, prices of electricity, other power and fees of shops as typed."""

import re
from collections.abc import Mapping
from datetime import datetime
from decimal import Decimal

from halfwater.book import changes, queries
from halfwater.deeds.cells import read_quantity_once
from halfwater.deeds.clock import local_day, read_day
from halfwater.deeds.sheet import Sheet
from halfwater.errors import RefusedInput
from halfwater.plain.costing import PURCHASE_KINDS, SPACE_KINDS
from halfwater.plain.figures import read_money, show_money
from halfwater.plain.selling import CHANNELS

_KWH = re.compile(r"(\d{1,5}(?:[.,]\d{1,8})?)\s*([A-Za-z]{3})?(?:\s*/\s*kwh)?", re.IGNORECASE)
KWH_ACCEPTED = "the price of a kilowatt-hour such as 0.32"


def save_purchase_sheet(typed: Mapping[str, str], who: str, now: datetime, key: int | None = None) -> int:
    """Write something paid for: on, kind, text, amount (with a minus: money given back), life_months ...

    `enough_for` is for potting and packing goods, `tank` and `batch` are names, `ended_on` and `got_back`
    are for what was given away or broke.
    """
    nursery = queries.nursery()
    sheet = Sheet(typed, nursery.units)
    fields = {
        "on": sheet.read("on", lambda text: read_day(text, "on"), local_day(now, nursery)),
        "kind": sheet.choice("kind", PURCHASE_KINDS, "other"),
        "text": sheet.needed("text", str, "", "what was bought"),
        "amount_minor": sheet.needed(
            "amount", lambda text: read_amount(text, nursery.currency), 0,
            f"an amount such as {show_money(1250, nursery.currency)}",
        ),
        "life_months": sheet.read("life_months", lambda text: read_whole(text, "life_months"), None),
        "enough_for": sheet.read("enough_for", lambda text: read_whole(text, "enough_for"), None),
        "tank": sheet.read("tank", _tank, None),
        "batch": sheet.read("batch", _batch, None),
        "ended_on": sheet.read("ended_on", lambda text: read_day(text, "ended_on"), None),
        "got_back_minor": sheet.read(
            "got_back", lambda text: read_money(text, nursery.currency, "got_back"), 0
        ),
    }  # fmt: skip
    sheet.finish()
    with sheet.writing(amount_minor="amount", got_back_minor="got_back"):
        return changes.save_purchase(key, who=who, **fields)


def save_charge_sheet(typed: Mapping[str, str], who: str, now: datetime, key: int | None = None) -> int:
    """Write something paid every month: kind, text, amount, from, to, tank."""
    nursery = queries.nursery()
    sheet = Sheet(typed, nursery.units)
    fields = {
        "kind": sheet.choice("kind", SPACE_KINDS, "room"),
        "text": sheet.needed("text", str, "", "what is paid every month, such as rent"),
        "amount_minor": sheet.needed(
            "amount", lambda text: read_amount(text, nursery.currency), 0,
            f"an amount such as {show_money(8000, nursery.currency)}",
        ),
        "from_on": sheet.read("from", lambda text: read_day(text, "from"), local_day(now, nursery)),
        "to_on": sheet.read("to", lambda text: read_day(text, "to"), None),
        "tank": sheet.read("tank", _tank, None),
    }  # fmt: skip
    sheet.finish()
    with sheet.writing(amount_minor="amount", from_on="from", to_on="to"):
        return changes.save_charge(key, who=who, **fields)


def save_tariff_sheet(typed: Mapping[str, str], who: str, now: datetime, key: int | None = None) -> int:
    """Write what a kilowatt-hour costs from a day on."""
    nursery = queries.nursery()
    sheet = Sheet(typed, nursery.units)
    price = sheet.needed("price", lambda text: read_kwh(text, nursery.currency), Decimal(0), KWH_ACCEPTED)
    from_on = sheet.read("from", lambda text: read_day(text, "from"), local_day(now, nursery))
    sheet.finish()
    with sheet.writing(kwh_minor="price", from_on="from"):
        return changes.save_tariff(key, who=who, from_on=from_on, kwh_minor=price)


def save_power_sheet(typed: Mapping[str, str], who: str, now: datetime, key: int | None = None) -> int:
    """Write a heater, pump or lamp beside the tanks' own: text, power, hours, dimmer, from, to, tank."""
    nursery = queries.nursery()
    sheet = Sheet(typed, nursery.units)
    fields = {
        "text": sheet.needed("text", str, "", "what it is, such as Room heater"),
        "power_w": sheet.needed(
            "power", lambda text: read_quantity_once(text, "power", nursery.units, "power"), 0.0,
            "a power such as 30 W",
        ),
        "hours": sheet.needed(
            "hours", lambda text: read_quantity_once(text, "hours", nursery.units, "hours"), 0.0,
            "hours a day such as 10 h",
        ),
        "dimmer_frac": sheet.number("dimmer", "fraction", 1.0),
        "from_on": sheet.read("from", lambda text: read_day(text, "from"), local_day(now, nursery)),
        "to_on": sheet.read("to", lambda text: read_day(text, "to"), None),
        "tank": sheet.read("tank", _tank, None),
    }  # fmt: skip
    sheet.finish()
    with sheet.writing(power_w="power", from_on="from", to_on="to"):
        return changes.save_power(key, who=who, **fields)


def save_fee_sheet(typed: Mapping[str, str], who: str, key: int | None = None) -> int:
    """Write what is taken of orders: text, channel (empty for any), from, fixed, share, on_postage."""
    nursery = queries.nursery()
    sheet = Sheet(typed, nursery.units)
    fields = {
        "text": sheet.text("text"),
        "channel": sheet.choice("channel", ("", *CHANNELS), ""),
        "from_on": sheet.read("from", lambda text: read_day(text, "from"), None),
        "fixed_minor": sheet.read("fixed", lambda text: read_money(text, nursery.currency, "fixed"), 0),
        "share_frac": sheet.number("share", "fraction", 0.0),
        "is_on_postage": sheet.text("on_postage").lower() not in ("no", "off", "false", "0"),
    }
    if not fields["fixed_minor"] and not fields["share_frac"] and not sheet.refused:
        sheet.refuse("share", "a share such as 2.9 %, a fixed amount, or both")
    sheet.finish()
    with sheet.writing(fixed_minor="fixed", share_frac="share", from_on="from"):
        return changes.save_fee(key, who=who, **fields)


def remove_row(noun: str, key: int, who: str) -> None:
    """Take a purchase, charge, tariff, power or fee out of the book."""
    changes.remove_money_row(noun, key, who=who)


def read_amount(text: str, currency: str, field: str = "amount") -> int:
    """An amount as typed, below 0 where a minus stands before it."""
    bare = text.strip().replace("−", "-")
    sign = -1 if bare.startswith("-") else 1
    return sign * read_money(bare.removeprefix("-"), currency, field)


def read_kwh(text: str, currency: str) -> Decimal:
    """The price of a kilowatt-hour as typed, in the smallest coin and parts of it."""
    found = _KWH.fullmatch(text.strip())
    if found is None or (found[2] or currency).upper() != currency:
        raise RefusedInput("price", text, KWH_ACCEPTED)
    return Decimal(found[1].replace(",", ".")) * read_money("1", currency)


def read_whole(text: str, field: str) -> int:
    """A whole number from 1."""
    if not text.isdecimal() or len(text) > 7 or not int(text):
        raise RefusedInput(field, text, "a whole number from 1")
    return int(text)


def _tank(text: str) -> int:
    return queries.tank_named(text).key


def _batch(text: str) -> int:
    known = {one.name.casefold(): one.key for one in queries.batches()}
    if text.casefold() not in known:
        names = ", ".join(known) or "none is in the book yet"
        raise RefusedInput("batch", text, f"one of your batches: {names}")
    return known[text.casefold()]
