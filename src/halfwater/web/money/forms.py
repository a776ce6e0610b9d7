"""The forms of Money: what was paid, what power and shops cost, minutes of work, what-ifs, months."""

from collections.abc import Callable, Mapping, Sequence
from typing import Any

from django.http import Http404

from halfwater.book import queries
from halfwater.plain.costing import PURCHASE_KINDS, SPACE_KINDS, SPACE_RULES, TASKS
from halfwater.plain.figures import bare_money
from halfwater.plain.selling import CHANNELS
from halfwater.web.fields import Field, Form

_DECIMAL, _NUMERIC = "decimal", "numeric"


def purchase_form(key: int | None) -> Form:
    """Something paid for once."""
    one, money = _known(queries.purchases(), key), queries.nursery().currency
    return Form((
        Field("text", "What was bought", _of(one, "text")),
        Field("kind", "Kind", _of(one, "kind") or "other", type="select", choices=_words(PURCHASE_KINDS)),
        Field("amount", "Paid", _money(one, "amount_minor"), money, inputmode="text",
              help="With a minus: money given back."),
        Field("on", "On", _of(one, "on"), type="date", is_optional=True, help="Left empty: today."),
        Field("life_months", "Lasts, in months", _of(one, "life_months"), is_optional=True,
              inputmode=_NUMERIC, help="For equipment."),
        Field("enough_for", "Enough for so many plants", _of(one, "enough_for"), is_optional=True,
              inputmode=_NUMERIC, help="For potting and packing goods."),
        Field("tank", "For one tank", _of(one, "tank_name"), type="select", choices=_tanks()),
        Field("batch", "For one batch", _of(one, "batch_name"), type="select", choices=_batches()),
        Field("ended_on", "Gone or broken on", _of(one, "ended_on"), type="date", is_optional=True),
        Field("got_back", "Sold then for", _some(one, "got_back_minor"), money, is_optional=True,
              inputmode=_DECIMAL),
    ))  # fmt: skip


def charge_form(key: int | None) -> Form:
    """Something paid every month."""
    one, money = _known(queries.charges(), key), queries.nursery().currency
    return Form((
        Field("text", "What is paid every month", _of(one, "text"), help="Such as rent."),
        Field("kind", "Kind", _of(one, "kind") or "room", type="select", choices=_words(SPACE_KINDS)),
        Field("amount", "A month", _money(one, "amount_minor"), money, inputmode=_DECIMAL),
        Field("from", "From", _of(one, "from_on"), type="date", is_optional=True),
        Field("to", "To", _of(one, "to_on"), type="date", is_optional=True),
        Field("tank", "For one tank", _of(one, "tank_name"), type="select", choices=_tanks()),
    ))  # fmt: skip


def tariff_form(key: int | None) -> Form:
    """A price of electricity."""
    one, money = _known(queries.tariffs(), key), queries.nursery().currency
    price = "" if one is None else f"{one.kwh_minor / _coins(money):.8f}".rstrip("0").rstrip(".")
    return Form((
        Field("price", "A kilowatt-hour costs", price, money, inputmode=_DECIMAL),
        Field("from", "From", _of(one, "from_on"), type="date", is_optional=True),
    ))  # fmt: skip


def power_form(key: int | None) -> Form:
    """A heater, pump or lamp beside the tanks' own."""
    one = _known(queries.power_uses(), key)
    return Form((
        Field("text", "What it is", _of(one, "text"), help="Such as Room heater."),
        Field("power", "Draws", f"{one.power_w:g}" if one else "", "W", inputmode=_DECIMAL),
        Field("hours", "A day", f"{one.hours:g}" if one else "", "h", inputmode=_DECIMAL),
        Field("dimmer", "Dimmed to", f"{100 * one.dimmer_frac:g}" if one else "100", "%",
              inputmode=_DECIMAL),
        Field("from", "From", _of(one, "from_on"), type="date", is_optional=True),
        Field("to", "To", _of(one, "to_on"), type="date", is_optional=True),
        Field("tank", "For one tank", _of(one, "tank_name"), type="select", choices=_tanks()),
    ))  # fmt: skip


def fee_form(key: int | None) -> Form:
    """What is taken of an order."""
    one, money = _known(queries.fees(), key), queries.nursery().currency
    channels = (("", "any"), *_words(CHANNELS))
    share = f"{100 * one.share_frac:g}" if one and one.share_frac else ""
    return Form((
        Field("text", "Taken by", _of(one, "text"), is_optional=True, help="Such as the card bank."),
        Field("channel", "Of orders that come by", _of(one, "channel"), type="select", choices=channels),
        Field("fixed", "Fixed, an order", _some(one, "fixed_minor"), money,
              is_optional=True, inputmode=_DECIMAL),
        Field("share", "Share", share, "%", is_optional=True, inputmode=_DECIMAL),
        Field("on_postage", "The share is taken", "no" if one and not one.is_on_postage else "yes",
              type="choice", choices=(("yes", "of plants and postage"), ("no", "of plants alone"))),
        Field("from", "From", _of(one, "from_on"), type="date", is_optional=True),
    ))  # fmt: skip


FORMS: Mapping[str, tuple[str, Callable[[int | None], Form]]] = {
    "purchase": ("purchase", purchase_form),
    "charge": ("monthly charge", charge_form),
    "tariff": ("price of electricity", tariff_form),
    "power": ("user of power", power_form),
    "fee": ("fee", fee_form),
}


def work_form() -> Form:
    """Minutes of work, noted."""
    return Form((
        Field("minutes", "Minutes", "", "min", inputmode=_DECIMAL),
        Field("task", "Spent on", "pack", type="select", choices=_words(TASKS)),
        Field("tank", "At", "", type="select", choices=_tanks()),
        Field("at", "On", "", type="date", is_optional=True, help="Left empty: now."),
    ))  # fmt: skip


def period_form(since: str = "", until: str = "", rule: str = "used") -> Form:
    """The months to look at, and who carries a tank."""
    rules = tuple(zip(SPACE_RULES, ("the pots in it", "every spot, empty ones apart"), strict=True))
    return Form((
        Field("since", "From month", since, type="month", is_optional=True),
        Field("until", "To month", until, type="month", is_optional=True),
        Field("rule", "A tank is carried by", rule, type="choice", choices=rules, is_wide=True),
    ), id="period")  # fmt: skip


def tank_form() -> Form:
    """One more tank."""
    money = queries.nursery().currency
    return Form((
        Field("spots", "Spots", "", inputmode=_NUMERIC),
        Field("price", "Bought for", "", money, is_optional=True, inputmode=_DECIMAL),
        Field("life_months", "Lasts, in months", "60", is_optional=True, inputmode=_NUMERIC),
        Field("sold", "Of its plants would sell", "100", "%", is_optional=True, inputmode=_DECIMAL),
    ), id="tank", action="tank")  # fmt: skip


def taxon_form() -> Form:
    """One taxon more."""
    money = queries.nursery().currency
    return Form((
        Field("name", "Name", ""),
        Field("spots", "Spots", "", inputmode=_NUMERIC, prefix="taxon"),
        Field("days", "Days from potting to sale", "", help="Such as 200, or 150 200 300."),
        Field("price", "Price of a plant", "", money, inputmode=_DECIMAL, prefix="taxon"),
        Field("parents", "Its parents cost", "", money, is_optional=True, inputmode=_DECIMAL),
        Field("loss", "Lost on the way", "10", "%", is_optional=True, inputmode=_DECIMAL),
        Field("most_a_month", "Most that sell in a month", "", is_optional=True, inputmode=_NUMERIC),
    ), id="taxon", action="taxon")  # fmt: skip


def _known(rows: Sequence[Any], key: int | None) -> Any:
    found = next((one for one in rows if one.key == key), None)
    if key is not None and found is None:
        raise Http404
    return found


def _of(one: Any, name: str) -> str:
    value = getattr(one, name, None)
    return "" if value is None else f"{value}"


def _money(one: Any, name: str) -> str:
    return "" if one is None else bare_money(getattr(one, name), queries.nursery().currency)


def _some(one: Any, name: str) -> str:
    """An amount, nothing for nought."""
    return _money(one, name) if one is not None and getattr(one, name) else ""


def _coins(currency: str) -> float:
    return 1.0 / float(bare_money(1, currency))


def _words(names: Sequence[str]) -> tuple[tuple[str, str], ...]:
    return tuple((name, name) for name in names)


def _tanks() -> tuple[tuple[str, str], ...]:
    return (("", "none"), *((one.name, one.name) for one in queries.tanks()))


def _batches() -> tuple[tuple[str, str], ...]:
    return (("", "none"), *((one.name, one.name) for one in queries.batches()))
