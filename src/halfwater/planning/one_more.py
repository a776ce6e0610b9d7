"""One more tank, or one taxon more: what it would bring in a month once it runs."""

from dataclasses import dataclass

import numpy as np

from halfwater.errors import RefusedInput
from halfwater.plain.costing import CostFacts, OneMore
from halfwater.plain.figures import show_money, show_money_about
from halfwater.plain.growing import Span
from halfwater.plain.working import Working
from halfwater.planning.cost_frame import Rows
from halfwater.planning.usual_month import YEAR_MONTH_DAYS, UsualMonth, usual_month

_Z80 = 1.2815515655446004  # from the median of a normal to its 90 % point


@dataclass(frozen=True, slots=True, kw_only=True)
class NewTank:
    """A tank to buy."""

    spots: int
    bought_minor: int = 0  # tank, lamp and all
    life_months: int = 60
    sold_frac: float = 1.0  # of its plants, how many find a buyer beside those sold now


@dataclass(frozen=True, slots=True, kw_only=True)
class NewTaxon:
    """A taxon to take up, as it is expected."""

    name: str
    spots: int  # it would stand on
    grow_days: Span  # from potting until it is sold
    loss_frac: float  # of the sections, until then
    price_minor: int
    bought_minor: int = 0  # its first parents
    life_months: int = 36
    most_a_month: float | None = None  # buyers; None: as many as there are plants


def one_more_tank(
    facts: CostFacts, tank: NewTank, months: int = 12, draws: int = 400, seed: int = 1
) -> OneMore:
    """What one more tank would bring, run as those of today.

    Parameters
    ----------
    facts : CostFacts
        The nursery so far.
    tank : NewTank
        The tank.
    months : int
        How many to look back for how a tank runs.
    draws : int
        For the ranges.
    seed : int
        Of the draws.

    Returns
    -------
    OneMore
        A month of it once its first plants are sold, with 80 % ranges.

    Raises
    ------
    RefusedInput
        If the tank cannot be, or as `usual_month` does.

    Notes
    -----
    Plants = spots x share of spots in use x 30.44 d / pot-days of a plant sold x share that finds a buyer.
    Cost: the plants' own, the tank's own power and feed, its price over its life. What the whole nursery pays
    does not grow. It is paid back once it has brought its price; the wait for its first sale counts.

    Source: own definition
    """
    is_tank = tank.spots >= 1 and tank.bought_minor >= 0 and tank.life_months >= 1
    if not (is_tank and 0.0 <= tank.sold_frac <= 1.0):
        accepted = "a spot or more, a price from 0, a month or more, a share from 0 to 1"
        raise RefusedInput("tank", repr(tank), accepted)
    usual = usual_month(facts, months, draws, seed)
    plants = tank.spots * usual.used_frac * YEAR_MONTH_DAYS / usual.pot_days * tank.sold_frac
    income, wear = plants * usual.income_minor, tank.bought_minor / tank.life_months
    cost = plants * usual.plant_minor + usual.tank_minor + wear
    minutes = usual.tank_min + plants * usual.plant_min
    what = f"one more tank of {tank.spots} spots"
    steps = (
        Working(
            "Plants a month", "spots x used x 30.44 / pot-days of a plant x share sold",
            (("spots", str(tank.spots)), ("used", f"{usual.used_frac:.0%}"),
             ("pot-days of a plant sold", f"{np.median(usual.pot_days):.0f}"),
             ("find a buyer", f"{tank.sold_frac:.0%}")),
            f"{np.median(plants):.1f}", "own definition",
            f"from {usual.plants} plants sold in {usual.days:.0f} days",
        ),
    )  # fmt: skip
    run = _Run(what, plants, income, cost, minutes, usual.age_days, tank.bought_minor, wear, steps)
    return _answer(run, facts.currency, usual)


def one_more_taxon(
    facts: CostFacts, taxon: NewTaxon, months: int = 12, draws: int = 400, seed: int = 1
) -> OneMore:
    """What one taxon more would bring, on spots that are free or that others give up.

    Parameters
    ----------
    facts : CostFacts
        The nursery so far.
    taxon : NewTaxon
        The taxon as it is expected.
    months : int
        How many to look back for what a spot earns now.
    draws : int
        For the ranges.
    seed : int
        Of the draws.

    Returns
    -------
    OneMore
        A month of it once its first plants are sold, with 80 % ranges.

    Raises
    ------
    RefusedInput
        If the taxon cannot be, or as `usual_month` does.

    Notes
    -----
    Plants = spots x 30.44 d / (days / (1 - loss)), at most what is bought. Free spots cost nothing more:
    their tanks are paid for. Each other spot gives up what a spot earns now, which is a cost here; so is the
    price of its parents over their life. Work and postage of a plant are today's. Days to sale are lognormal
    on either side of the median.

    Source: own definition
    """
    _check(taxon)
    usual = usual_month(facts, months, draws, seed)
    days = _drawn(taxon.grow_days, draws, seed + 1)
    plants = taxon.spots * YEAR_MONTH_DAYS / (days / (1.0 - taxon.loss_frac))
    if taxon.most_a_month is not None:
        plants = np.minimum(plants, taxon.most_a_month)
    given_up = max(taxon.spots - usual.idle, 0.0)
    lost_plants = given_up * YEAR_MONTH_DAYS / usual.pot_days
    spot = lost_plants * (usual.income_minor - usual.plant_minor)
    wear = taxon.bought_minor / taxon.life_months
    income, cost = (
        plants * (taxon.price_minor + usual.postage_minor),
        plants * usual.plant_minor + spot + wear,
    )
    minutes = (plants - lost_plants) * usual.plant_min  # below 0: saved
    steps = (
        Working(
            "Plants a month", "spots x 30.44 x (1 - loss) / days to sale",
            (("spots", str(taxon.spots)), ("loss", f"{taxon.loss_frac:.0%}"),
             ("days", f"{taxon.grow_days.p50:.0f}")),
            f"{np.median(plants):.1f}", "own definition",
        ),
        Working(
            "What others give up", "spots taken from them x what a spot leaves now",
            (("free spots today", f"{usual.idle:.0f}"), ("taken from others", f"{given_up:.0f}")),
            show_money(round(float(np.median(spot))), facts.currency), "own definition",
        ),
    )  # fmt: skip
    what = f"{taxon.name} on {taxon.spots} spots"
    run = _Run(what, plants, income, cost, minutes, days, taxon.bought_minor, wear, steps)
    return _answer(run, facts.currency, usual)


@dataclass(frozen=True, slots=True)
class _Run:
    """A month of it, draw by draw."""

    what: str
    plants: Rows
    income: Rows
    cost: Rows
    minutes: Rows
    first: Rows
    bought_minor: int
    wear_minor: float  # of a month
    steps: tuple[Working, ...]


def _answer(run: _Run, currency: str, usual: UsualMonth) -> OneMore:
    margin = run.income - run.cost
    cash = margin + run.wear_minor  # before its own price
    paid = None
    if run.bought_minor and float((cash > 0.0).mean()) > 0.95:
        months = np.full(len(cash), np.inf)
        np.divide(run.bought_minor, cash, out=months, where=cash > 0.0)
        paid = _span(run.first / YEAR_MONTH_DAYS + months)
    has_work = bool((run.minutes > 0.0).all())
    found = OneMore(
        what=run.what, plants_a_month=_span(run.plants),
        income_minor=_span(run.income), cost_minor=_span(run.cost),
        margin_minor=_span(margin), minutes=_span(run.minutes),
        hour_minor=_span(margin * 60.0 / run.minutes) if has_work else None, first_days=_span(run.first),
        paid_back_months=paid, p_loses=float((margin < 0.0).mean()),
        said=_said(run, margin, paid, currency, usual),
        workings=run.steps,
    )  # fmt: skip
    return found


def _said(run: _Run, margin: Rows, paid: Span | None, currency: str, usual: UsualMonth) -> str:
    span = _span(margin)
    low, high = show_money_about(span.p10, currency), show_money_about(span.p90, currency)
    verb = "would bring" if span.p50 >= 0.0 else "would cost more than it brings: it leaves"
    said = f"{run.what.capitalize()} {verb} {show_money_about(span.p50, currency)} a month ({low} to {high})"
    if run.bought_minor:
        months = "" if paid is None else f"{paid.p50:.0f} months ({paid.p10:.0f} to {paid.p90:.0f})"
        said += f", and pays back its price in {months}" if months else ", and may never pay back its price"
    if usual.plants < 20:
        said += f"; only {usual.plants} plants sold stand behind this, so take it as a first guess"
    return said + "."


def _span(draws: Rows) -> Span:
    """Quantiles that are draws themselves, so that a draw without end stays in its corner."""
    return Span(*np.quantile(draws, (0.1, 0.5, 0.9), method="inverted_cdf").tolist())


def _drawn(span: Span, draws: int, seed: int) -> Rows:
    """A lognormal by its median and 80 % range, each side with its own width."""
    z = np.random.default_rng(seed).standard_normal(draws)
    up, down = np.log(span.p90 / span.p50) / _Z80, np.log(span.p50 / span.p10) / _Z80
    return np.asarray(span.p50 * np.exp(np.where(z > 0.0, up, down) * z))


def _check(taxon: NewTaxon) -> None:
    days = taxon.grow_days
    if not 0.0 < days.p10 <= days.p50 <= days.p90 < 36_500.0:
        raise RefusedInput(
            "grow_days", f"{days.p10:g}, {days.p50:g}, {days.p90:g}", "rising days above 0", taxon.name
        )
    if not 0.0 <= taxon.loss_frac < 1.0:
        raise RefusedInput("loss_frac", taxon.loss_frac, "a share from 0 to below 1", taxon.name)
    is_taxon = (
        taxon.spots >= 1 and taxon.price_minor >= 0 and taxon.bought_minor >= 0 and taxon.life_months >= 1
    )
    most = taxon.most_a_month
    if not (is_taxon and (most is None or 0.0 <= most < np.inf)):
        raise RefusedInput("taxon", taxon.name, "a spot or more, a month or more, and amounts from 0")
