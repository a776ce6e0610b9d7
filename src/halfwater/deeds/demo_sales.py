"""The demo's sales: a release that opened this afternoon, one drafted, and what things cost; all invented."""

from collections.abc import Sequence
from datetime import date, datetime, timedelta
from decimal import Decimal
from uuid import UUID, uuid5

from halfwater.book import changes, queries
from halfwater.deeds.clock import local_day
from halfwater.deeds.offerable import ready_pots
from halfwater.plain.selling import NewBuyer, NewHold, NewOrder, WantedLine
from halfwater.plain.stock import StandingPot

_NAMESPACE = UUID("6f0f1a80-5d5c-4d6f-9a52-3c1d5a0e8f10")
_OPEN_SINCE = timedelta(hours=3)
_MOST_OFFERED = 8
_LINES = 3
# minutes after the opening, buyer, place, plants of the first and of the second line
_ORDERS = (
    (2, "Ada Reed", "Northland", 2, 2),
    (5, "Bo Marsh", "Northland", 1, 3),
    (18, "Cy Fenn", "Farland", 2, 3),
    (95, "Di Brook", "Northland", 1, 0),
)
# days ago, what, kind, amount, months it serves; None: used up
_PURCHASES = (
    (330, "Two lamps", "equipment", 9800, 60),
    (320, "Feed, one bottle", "feed", 1450, None),
    (300, "Expanded clay, 40 L", "potting", 2200, None),
    (120, "Cartons and wool", "packing", 3100, None),
)


def sell_demo(who: str, now: datetime) -> None:
    """Put the demo's sales into a demo book that has its stock."""
    _spend(who, local_day(now, queries.nursery()))
    changes.save_place_rule(
        who=who, place="Farland", kind="note", text="Ask the plant health office before each parcel."
    )
    pots = sorted(ready_pots(now).items(), key=lambda item: -len(item[1]))[: _LINES + 1]
    prices = {(one.taxon, one.grade): one.price_minor for one in queries.prices()}
    priced = [(key, found) for key, found in pots if key in prices]
    opened_at = now - _OPEN_SINCE
    release = changes.save_release(who=who, name="This week", opens_at=opened_at, note="One parcel a buyer.")
    lines = [
        _line(release, key, prices[key], found[:_MOST_OFFERED], who, opened_at - timedelta(days=1))
        for key, found in priced[:_LINES]
    ]
    changes.open_release(release, who=who, now=opened_at - timedelta(hours=1))
    _order(lines, who, opened_at)
    if lines:
        hold = NewHold(str(uuid5(_NAMESPACE, "hold")), lines[-1], 1, now + timedelta(hours=20))
        changes.place_hold(hold, who=who, now=now - timedelta(hours=1))
    changes.save_release(who=who, name="Next month", opens_at=now + timedelta(days=28))


def _line(
    release: int, key: tuple[int, str], price_minor: int, pots: Sequence[StandingPot], who: str, at: datetime
) -> int:
    taxon, grade = key
    fields = {"release": release, "taxon": taxon, "grade": grade, "price_minor": price_minor}
    line = changes.save_line(who=who, limit_per_buyer=3, **fields)
    changes.offer_pots(line, [pot.key for pot in pots], who=who, now=at)
    return line


def _order(lines: Sequence[int], who: str, opened_at: datetime) -> None:
    """The buyers come in the order of their minutes; the last order is paid."""
    for number, (minutes, name, place, *plants) in enumerate(_ORDERS, start=1):
        wanted = tuple(WantedLine(line, some) for line, some in zip(lines, plants, strict=False) if some)
        if not wanted:
            continue
        contact = f"{name.split()[0].lower()}@buyer.example"
        buyer = NewBuyer(name, contact, f"{number} Pond Lane", place)
        key = str(uuid5(_NAMESPACE, f"order {number}"))
        order = NewOrder(key, buyer, wanted, postage_minor=690, is_paid=number % 2 == 1)
        changes.place_order(order, who=who, now=opened_at + timedelta(minutes=minutes))


def _spend(who: str, today: date) -> None:
    for days, text, kind, amount_minor, life_months in _PURCHASES:
        changes.save_purchase(
            who=who, on=today - timedelta(days=days), text=text, kind=kind, amount_minor=amount_minor,
            life_months=life_months,
        )  # fmt: skip
    changes.save_tariff(who=who, from_on=today - timedelta(days=340), kwh_minor=Decimal("31.4"))
    changes.save_charge(
        who=who,
        kind="room",
        text="The corner of the cellar",
        amount_minor=2500,
        from_on=today - timedelta(days=340),
    )
    changes.save_fee(who=who, text="Payment", fixed_minor=35, share_frac=0.02, is_on_postage=True)
