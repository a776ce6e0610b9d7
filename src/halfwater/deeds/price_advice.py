"""What to ask and how many to offer: the demand of the book, the plan's worth of a kept plant, the rules."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime
from functools import lru_cache

from halfwater.book import changes, queries
from halfwater.deeds.clock import local_day
from halfwater.deeds.demand import Asked, draws_of, kind_of, open_days_of, past_of
from halfwater.deeds.demand_words import said_far
from halfwater.deeds.money import plant_costs
from halfwater.deeds.offerable import Offerable, what_could_be_offered
from halfwater.deeds.sheet import Sheet
from halfwater.deeds.standing_plan import newest_plan
from halfwater.errors import RefusedByBook, RefusedInput
from halfwater.plain.demand import PastLine
from halfwater.plain.figures import read_money, show_date, show_list
from halfwater.plain.money import ShopFee
from halfwater.plain.pricing import LineToPrice, PriceAdvice, PriceTable, PricingRules
from halfwater.plain.selling import LineFacts, ReleaseFacts
from halfwater.planning.cutting_columns import SELL_MIN
from halfwater.planning.moving_price import moving_price
from halfwater.planning.price import advise_release

NO_PLAN = (
    "No cutting plan says what a kept plant is worth: it is counted as nothing, so that selling looks better "
    "than it may be. Make one (`halfwater plan --anew`, or on the Plan page)."
)
COST_ONLY = (
    "No cutting plan says what a kept plant is worth: it is taken as what a plant of the taxon has cost on "
    "the mean. A plan says what it would bring."
)
OLD_PLAN = "What a kept plant is worth is that of the plan of {day}; make it anew: {why}."
USUAL = "usual"  # typed for a kept step or move, it forgets it
SHARES_LEFT = (1.0, 0.5, 0.25, 0.1, 0.03)  # of the time a release is open: columns of the price table


@dataclass(frozen=True, slots=True)
class PriceTerms:
    """What the grower says of prices; step and move may be kept in the book, the rest is not."""

    rules: PricingRules = field(default_factory=PricingRules)
    sale_cost_minor: int | None = None  # of one plant; None: minutes of lifting and packing, and the fees


def read_terms(typed: Mapping[str, str]) -> PriceTerms:
    """The grower's terms as typed in step, move (per cent), least, most and sale_cost.

    An empty step or move is the one that was kept, else the usual.
    """
    nursery, usual = queries.nursery(), kept_terms().rules
    sheet = Sheet(typed, nursery.units)

    def money(name: str) -> int | None:
        return sheet.read(name, lambda text: read_money(text, nursery.currency, name), None)

    step = money("step")
    if step == 0:
        sheet.refuse("step", "an amount above 0")
    rules = PricingRules(
        price_step_minor=step or usual.price_step_minor,
        most_move_frac=sheet.read("move", _move, usual.most_move_frac),
        least_price_minor=money("least"),
        most_price_minor=money("most"),
    )
    sale_cost = money("sale_cost")
    least, most = rules.least_price_minor, rules.most_price_minor
    if least is not None and most is not None and least > most:
        sheet.refuse("least", "no more than the most you would ask")
    sheet.finish()
    return PriceTerms(rules, sale_cost)


def kept_terms() -> PriceTerms:
    """The terms as the book keeps them; what it does not keep is as usual."""
    nursery, usual = queries.nursery(), PricingRules()
    step = nursery.price_step_minor or usual.price_step_minor
    return PriceTerms(replace(usual, price_step_minor=step, most_move_frac=nursery.price_move_frac))


def keep_terms(typed: Mapping[str, str], who: str) -> None:
    """Keep the step and the most move as typed for every advice to come; "usual" forgets one again."""
    currency = queries.nursery().currency
    fields: dict[str, int | float | None] = {}
    sheet = Sheet({name: typed.get(name, "") for name in ("step", "move")})
    for name, field_name, reader in (
        ("step", "price_step_minor", lambda text: read_money(text, currency, "step")),
        ("move", "price_move_frac", _move),
    ):
        if sheet.text(name).lower() == USUAL:
            fields[field_name] = None
        elif sheet.text(name):
            fields[field_name] = sheet.read(name, reader, None)
    if not fields:
        sheet.refuse("step", "a step such as 0.50, a most move such as 15, or both")
    sheet.finish()
    with sheet.writing(price_step_minor="step", price_move_frac="move"):
        changes.save_nursery(who=who, **fields)


def _move(text: str) -> float:
    """A share as typed in per cent."""
    found = re.fullmatch(r"(\d{1,2}(?:[.,]\d)?)\s*%?", text)
    share = float(found[1].replace(",", ".")) / 100.0 if found else -1.0
    if not 0.0 <= share <= 0.5:
        raise RefusedInput("move", text, "per cent from 0 to 50 such as 15")
    return share


@dataclass(frozen=True, slots=True)
class _Case:
    """A line to be priced, as the demand is asked for it, and what is to be said of its worth."""

    line: LineToPrice
    asked: Asked
    cautions: tuple[str, ...]


def price_advice(
    now: datetime, taxon: int | None = None, release: int | None = None, terms: PriceTerms | None = None
) -> tuple[PriceAdvice, ...]:
    """Advice for all kinds that could be offered, for one taxon's, or for the lines of a drafted release.

    The prices of a release that was opened stand: there is none for it.
    """
    terms = terms or kept_terms()
    cases = _cases(now, release, terms)
    if not any(taxon is None or one.line.taxon == taxon for one in cases):
        return ()
    past, at = past_of(now)
    # All lines are weighed together, since a release tries one price at a time.
    advised = _advised(past, at, cases, terms.rules, queries.nursery().currency)
    return tuple(
        replace(one, cautions=(*one.cautions, *case.cautions))
        for case, one in advised
        if taxon is None or one.taxon == taxon
    )


def moving_prices(
    release: int, line: int, now: datetime, terms: PriceTerms | None = None, spread: float = 0.3
) -> PriceTable:
    """Prices for a line by pots left and hours left; for those who want to move them while it is open."""
    terms = terms or kept_terms()
    facts = _release(release, now)
    own = next((one for one in facts.lines if one.key == line), None)
    if own is None:
        raise RefusedInput("line", line, f"a line of {facts.name}")
    if not own.offered or own.price_minor <= 0:
        raise RefusedByBook(f"{own.taxon_name}, {own.grade}: put pots behind it and set a price first.")
    case = _drafted_case(facts, own, (), _terms(now, terms))
    past, at = past_of(now)
    (draws,) = draws_of(past, at, (case.asked,))
    if draws is None:
        raise RefusedByBook(said_far(own.taxon_name, own.grade))
    open_h = draws.open_days * 24.0
    hours = [round(open_h * share) for share in SHARES_LEFT]
    columns = list(dict.fromkeys(one for one in hours if 0 < one <= open_h)) or [open_h]
    table = moving_price(case.line, draws, terms.rules, columns, spread)
    return replace(table, cautions=(*table.cautions, *case.cautions))


@dataclass(frozen=True, slots=True)
class _Terms:
    """What selling one plant takes off its price, and what plants are worth if kept."""

    sale_minor: int
    fee_frac: float
    by_kind: Mapping[tuple[int, str], int]  # by the newest plan
    by_taxon: Mapping[int, int]  # what plants have cost, where there is no plan
    plan_cautions: tuple[str, ...]

    def worth(self, taxon: int, grade: str) -> tuple[int, tuple[str, ...]]:
        """What a kept plant is worth, and what is to be said of that."""
        if (taxon, grade) in self.by_kind:
            return self.by_kind[taxon, grade], self.plan_cautions
        cost = self.by_taxon.get(taxon, 0)
        return cost, (COST_ONLY if cost else NO_PLAN,)


def _cases(now: datetime, release: int | None, terms: PriceTerms) -> tuple[_Case, ...]:
    """The lines to be priced."""
    facts = None if release is None else _release(release, now)
    if facts is not None and facts.state != "drafted":
        return ()
    known, could = _terms(now, terms), what_could_be_offered(now)
    if facts is not None:
        return tuple(_drafted_case(facts, one, could, known) for one in facts.lines if one.price_minor > 0)
    last = _last_limits(past_of(now)[0])
    return tuple(
        _could_case(one, last.get((one.taxon, one.grade)), known)
        for one in could
        if one.price_minor and len(one.ready) > one.protected
    )


def _could_case(one: Offerable, limit: int | None, known: _Terms) -> _Case:
    """A kind as it could be offered today."""
    worth, said = known.worth(one.taxon, one.grade)
    price = one.price_minor or 0
    line = LineToPrice(
        taxon=one.taxon, taxon_name=one.taxon_name, grade=one.grade, price_minor=price, offered=one.suggested,
        ready=len(one.ready) - one.protected, reserve_minor=worth, sale_cost_minor=known.sale_minor,
        fee_frac=known.fee_frac,
    )  # fmt: skip
    asked = Asked(one.taxon, one.taxon_name, one.grade, price, one.suggested, None, limit)
    return _Case(line, asked, said)


def _drafted_case(facts: ReleaseFacts, one: LineFacts, could: Sequence[Offerable], known: _Terms) -> _Case:
    """A line of a release, with the pots that could join those behind it."""
    free = sum(
        max(len(kind.ready) - kind.protected, 0)
        for kind in could
        if (kind.taxon, kind.grade) == (one.taxon, one.grade)
    )
    worth, said = known.worth(one.taxon, one.grade)
    line = LineToPrice(
        taxon=one.taxon, taxon_name=one.taxon_name, grade=one.grade, price_minor=one.price_minor,
        offered=one.offered, ready=one.offered + free, reserve_minor=worth,
        sale_cost_minor=known.sale_minor, fee_frac=known.fee_frac,
    )  # fmt: skip
    days, limit = open_days_of(facts), one.limit_per_buyer
    return _Case(line, Asked(*kind_of(one), one.price_minor, one.offered, days, limit), said)


@lru_cache(maxsize=8)
def _advised(
    past: tuple[PastLine, ...], at: datetime, cases: tuple[_Case, ...], rules: PricingRules, currency: str
) -> tuple[tuple[_Case, PriceAdvice], ...]:
    """The advice itself; the same question, as when a page is looked at again at once, is remembered.

    A line whose price nothing can be said of is left out.
    """
    draws = draws_of(past, at, tuple(one.asked for one in cases))
    known = [(case, drawn) for case, drawn in zip(cases, draws, strict=True) if drawn is not None]
    lines, drawn = [case.line for case, _ in known], [each for _, each in known]
    advice = advise_release(lines, drawn, rules, currency)
    return tuple((case, one) for (case, _), one in zip(known, advice, strict=True))


def _terms(now: datetime, terms: PriceTerms) -> _Terms:
    """The newest plan's worths, else what plants have cost; minutes at the grower's hour, and fees."""
    planned = newest_plan(now)
    worths: dict[tuple[int, str], int] = {}
    said: tuple[str, ...] = ()
    if planned is not None:
        worths = {(one.taxon, one.grade): round(one.worth_minor) for one in planned.plan.kept_worths}
        day = show_date(local_day(planned.made_at, queries.nursery()))
        said = (OLD_PLAN.format(day=day, why=planned.why_stale),) if planned.is_stale else ()
    costs = {} if worths else {taxon: round(cost) for taxon, cost in plant_costs(now).items()}
    fee = _fee(queries.fees(), local_day(now, queries.nursery()))
    work = SELL_MIN * (queries.cutting_habit().hour_minor or 0) / 60.0
    fixed, share = (fee.fixed_minor, fee.share_frac) if fee else (0, 0.0)
    # One order's fixed fee is counted on one plant: an order of several costs a little less.
    sale = round(work) + fixed if terms.sale_cost_minor is None else terms.sale_cost_minor
    return _Terms(sale, share, worths, {taxon: max(cost, 0) for taxon, cost in costs.items()}, said)


def _fee(fees: Sequence[ShopFee], today: date) -> ShopFee | None:
    """The rule for any channel that holds today, else the dearest of a single channel."""
    newest: dict[str, ShopFee] = {}
    for one in fees:  # the newest first within a channel
        if one.from_on is None or one.from_on <= today:
            newest.setdefault(one.channel, one)
    own = newest.get("")
    return own or max(newest.values(), key=lambda one: (one.share_frac, one.fixed_minor), default=None)


def _last_limits(past: Sequence[PastLine]) -> dict[tuple[int, str], int | None]:
    """What a buyer could have of each kind when it was offered last."""
    return {
        (line.taxon, line.grade): line.most_per_buyer for line in sorted(past, key=lambda one: one.opened_at)
    }


def _release(key: int, now: datetime) -> ReleaseFacts:
    facts = queries.release(key, now)
    if facts is None:
        names = show_list([one.name for one in queries.releases(now)])
        raise RefusedInput("release", key, f"one of {names or 'none yet: draft one first'}")
    return facts
