"""What plants cost and earn: the accounts of the book, what-ifs, and the ledger for an accountant."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from functools import lru_cache

from halfwater.book import queries
from halfwater.deeds.cost_facts import cost_facts
from halfwater.deeds.cost_power import without_power
from halfwater.deeds.sheet import Sheet
from halfwater.errors import RefusedByBook, RefusedInput
from halfwater.papers.ledger import ledger_table
from halfwater.plain.costing import (
    SPACE_RULES,
    Account,
    Accounts,
    BreakEven,
    CostFacts,
    LedgerRow,
    OneMore,
)
from halfwater.plain.figures import read_money, show_list
from halfwater.plain.growing import Span
from halfwater.planning.costing import accounts
from halfwater.planning.ledger import ledger_rows
from halfwater.planning.one_more import NewTank, NewTaxon, one_more_tank, one_more_taxon
from halfwater.planning.usual_month import break_even_of

NO_TANK = "The book has no tank yet"
NONE_SOLD = "No plant of a pot in the book was sold in the last twelve months"
NONE_STOOD = "No plant that was sold stood in a tank for a day or more"
NO_BREAK_EVEN = "how many plants a month pay for what is spent anyway cannot be told yet."
NO_WHAT_IF = "what one more would bring cannot be told yet."
TAX_CAUTION = "Amounts are as paid, tax and all: what of them is tax is for you and your accountant to say."
DAYS_ACCEPTED = "days from potting to sale: likely, or least, likely and most, such as “200” or “150 200 300”"


@dataclass(frozen=True, slots=True)
class MoneyPage:
    """The accounts, the months asked for, and what would pay."""

    on: date
    currency: str
    accounts: Accounts
    months: tuple[Account, ...]  # of the range, the oldest first
    since: str  # "2026-03"
    until: str
    break_even: BreakEven | None
    why_no_break_even: str
    sentence: str
    cautions: tuple[str, ...]


def money_page(now: datetime, since: str = "", until: str = "", rule: str = "used") -> MoneyPage:
    """Cost, margin and hourly earning per plant, batch, taxon, release and month, with what carries what.

    `since` and `until` are months such as 2026-03; left out, the last twelve months that have an account.
    """
    if rule not in SPACE_RULES:
        raise RefusedInput("rule", rule, f"one of {', '.join(SPACE_RULES)}")
    facts = cost_facts(now)
    found = accounts_of(facts, rule)
    names = [one.key for one in found.months]
    first = _month(since, "since") or (names[-12:] or [""])[0]
    last = _month(until, "until") or (names or [""])[-1]
    if since.strip() and until.strip() and last < first:
        raise RefusedInput("until", until, f"a month from {first} on")
    months = tuple(one for one in found.months if first <= one.key <= last)
    even, why = None, ""
    try:
        even = _even(facts)
    except RefusedInput as refused:
        why = _too_little(facts, refused, NO_BREAK_EVEN)
    return MoneyPage(
        facts.on, facts.currency, found, months, first, last, even, why, found.said,
        (*found.cautions, *_own_cautions(facts)),
    )  # fmt: skip


@lru_cache(maxsize=4)
def accounts_of(facts: CostFacts, rule: str = "used") -> Accounts:
    """The accounts of these facts; the same facts are reckoned once."""
    return accounts(facts, rule)


@lru_cache(maxsize=4)
def _even(facts: CostFacts) -> BreakEven:
    return break_even_of(facts)


def what_if_tank(typed: Mapping[str, str], now: datetime) -> OneMore:
    """What one more tank would bring: spots, price, months it lasts, share of its plants that would sell."""
    nursery = queries.nursery()
    sheet = Sheet(typed, nursery.units)
    spots = sheet.needed("spots", lambda text: _whole(text, "spots"), 1, "a number of spots such as 40")
    price = sheet.read("price", lambda text: read_money(text, nursery.currency, "price"), 0)
    months = sheet.read("life_months", lambda text: _whole(text, "life_months"), 60)
    sold = sheet.number("sold", "fraction", 1.0)
    sheet.finish()
    facts = cost_facts(now)
    tank = NewTank(spots=spots, bought_minor=price, life_months=months, sold_frac=sold)
    try:
        return one_more_tank(facts, tank)
    except RefusedInput as refused:
        raise RefusedByBook(_too_little(facts, refused, NO_WHAT_IF)) from refused


def what_if_taxon(typed: Mapping[str, str], now: datetime) -> OneMore:
    """What one taxon more would bring: name, spots, days to sale (least, likely, most), loss, price ..."""
    nursery = queries.nursery()
    sheet = Sheet(typed, nursery.units)
    name = sheet.needed("name", str, "", "a name such as Bolbitis")
    spots = sheet.needed("spots", lambda text: _whole(text, "spots"), 1, "a number of spots such as 20")
    days = sheet.needed("days", _span_of, Span(1.0, 1.0, 1.0), DAYS_ACCEPTED)
    price = sheet.needed(
        "price", lambda text: read_money(text, nursery.currency, "price"), 0, "the price of a plant"
    )
    bought = sheet.read("parents", lambda text: read_money(text, nursery.currency, "parents"), 0)
    loss = sheet.number("loss", "fraction", 0.1)
    most = sheet.read("most_a_month", lambda text: float(_whole(text, "most_a_month")), None)
    sheet.finish()
    taxon = NewTaxon(
        name=name, spots=spots, grow_days=days, loss_frac=loss, price_minor=price, bought_minor=bought,
        most_a_month=most,
    )  # fmt: skip
    facts = cost_facts(now)
    try:
        return one_more_taxon(facts, taxon)
    except RefusedInput as refused:
        raise RefusedByBook(_too_little(facts, refused, NO_WHAT_IF)) from refused


def _too_little(facts: CostFacts, refused: RefusedInput, what: str) -> str:
    """What the book lacks for an answer; another refusal goes on to whoever asked."""
    if refused.field not in ("plants", "stays"):
        raise refused
    lacking = NONE_SOLD if refused.field == "plants" else NONE_STOOD
    return f"{lacking if facts.tanks else NO_TANK}: {what}"


def payments(
    now: datetime, from_on: date | None = None, to_on: date | None = None, with_power: bool = True
) -> tuple[LedgerRow, ...]:
    """Payments one by one, from a day to a day, both included."""
    if from_on is not None and to_on is not None and to_on < from_on:
        raise RefusedInput("to", to_on.isoformat(), f"a day from {from_on.isoformat()} on")
    rows = ledger_rows(cost_facts(now), with_power)
    return tuple(
        row for row in rows if (from_on is None or row.on >= from_on) and (to_on is None or row.on <= to_on)
    )


def ledger(
    now: datetime, from_on: date | None = None, to_on: date | None = None, with_power: bool = True
) -> str:
    """The payments as CSV for an accountant."""
    return ledger_table(payments(now, from_on, to_on, with_power), queries.nursery().currency)


def plant_costs(now: datetime) -> dict[int, float]:
    """What a plant of each taxon cost on the mean, by its key, in the smallest coin; those sold only."""
    found = accounts_of(cost_facts(now))
    return {
        int(one.key): one.plant_cost_minor
        for one in found.taxa
        if one.plant_cost_minor is not None and one.key.isdecimal()
    }


def _own_cautions(facts: CostFacts) -> tuple[str, ...]:
    """What the book lacks for the accounts to be whole."""
    found = []
    lamps = without_power(queries.tanks())
    if lamps:
        found.append(f"Nobody said what {show_list(lamps)} draws: write the power of the lamp down.")
    sent = queries.parcels(states=("sent", "arrived"))
    bare = [one for one in sent if one.postage_paid_minor is None and not (one.box and one.box.box.postage)]
    if bare:
        word = "parcel has" if len(bare) == 1 else "parcels have"
        found.append(f"{len(bare)} {word} no postage noted: they count as sent for nothing.")
    if facts.hour_minor is None:
        found.append("What an hour of yours is worth is not said, so minutes stay minutes.")
    return tuple(found)


def _month(text: str, field: str) -> str:
    if not text.strip():
        return ""
    try:
        return f"{date.fromisoformat(f'{text.strip()[:7]}-01'):%Y-%m}"
    except ValueError:
        raise RefusedInput(field, text, "a month such as 2026-03") from None


def _whole(text: str, field: str) -> int:
    if not text.isdecimal() or not 1 <= len(text) <= 5 or not int(text):
        raise RefusedInput(field, text, "a whole number from 1")
    return int(text)


def _span_of(text: str) -> Span:
    words = text.replace(",", " ").replace("..", " ").replace("to", " ").split()
    if len(words) not in (1, 3) or not all(word.isdecimal() and 0 < int(word) < 10_000 for word in words):
        raise RefusedInput("days", text, DAYS_ACCEPTED)
    days = [float(word) for word in words]
    if len(days) == 1:
        return Span(days[0] * 0.75, days[0], days[0] * 1.4)
    if days != sorted(days):
        raise RefusedInput("days", text, DAYS_ACCEPTED)
    return Span(*days)
