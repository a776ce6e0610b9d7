"""The accounts in words: the sentence that answers, what to be careful about, and how it was worked out."""

import numpy as np

from halfwater.plain.costing import COST_KINDS, Account, CostFacts, WhereItWent
from halfwater.plain.figures import show, show_minutes, show_money, show_money_about
from halfwater.plain.growing import Span
from halfwater.plain.working import Working
from halfwater.planning.cost_ends import Ends
from halfwater.planning.cost_frame import Frame
from halfwater.planning.cost_intake import Intake
from halfwater.planning.pot_days import PotDays


def said_of(whole: Account, facts: CostFacts) -> str:
    """Answer of the money page in a sentence or two.

    Parameters
    ----------
    whole : Account
        Of the nursery.
    facts : CostFacts
        For the currency.

    Returns
    -------
    str
        What a plant cost and brought, and what an hour earned.

    Notes
    -----
    Without a plant sold it says what stands. Ranges are left out where they are points.

    Source: own definition
    """
    currency = facts.currency
    if not whole.sold:
        stands = show_money(whole.standing_minor, currency)
        return f"No plant has been sold yet; those that stand have cost {stands} so far."
    cost, brought = whole.cost_minor / whole.sold, whole.income_minor / whole.sold
    first = (
        f"A plant sold brought {_money(brought, currency)} with its postage "
        f"and cost {_money(cost, currency)}, all that went by the way included"
    )
    if whole.hour_minor is None:
        return first + "; no work is noted, so what an hour earned cannot be said."
    return f"{first}; an hour of your work earned {_span(whole.hour_minor, currency)}."


def cautions_of(frame: Frame, intake: Intake, ends: Ends, went: WhereItWent) -> tuple[str, ...]:
    """What the accounts cannot know, in sentences.

    Parameters
    ----------
    frame : Frame
        The facts.
    intake : Intake
        For energy without a tariff.
    ends : Ends
        For plants without a price or pot.
    went : WhereItWent
        For what stood unused.

    Returns
    -------
    tuple of str
        None where nothing is missing.

    Notes
    -----
    Each names what would mend it. Amounts of 0 are not spoken of.

    Source: own definition
    """
    currency, found = frame.facts.currency, []
    no_price = sum(one.order is None for one in ends.leaving)
    no_pot = sum(one.plant is not None and one.pot is None for one in ends.leaving)
    if no_price:
        found.append(f"{no_price} pots are noted as sold without an order: they have cost and no income.")
    if no_pot:
        found.append(f"{no_pot} plants were sold without a pot: they have income and no cost of growing.")
    if intake.untold_kwh > 0.0:
        found.append(f"{show(intake.untold_kwh, 'kwh')} ran on days without a tariff and cost nothing here.")
    if any(is_assumed for _, is_assumed in frame.columns.tasks):
        found.append(
            "Minutes nobody noted are starting values; ten timed rounds would narrow what an hour earned."
        )
    if not frame.facts.work:
        found.append("No work is noted: margins are before any wage.")
    if went.unused_minor:
        found.append(f"{show_money(went.unused_minor, currency)} went into space while no pot used it.")
    if went.lost_minor:
        found.append(
            f"{show_money(went.lost_minor, currency)} was lost with plants that none of their batch outlived."
        )
    found.append("Tax is left out: ask whoever does your books.")
    return tuple(found)


def workings_of(frame: Frame, days: PotDays, ends: Ends, whole: Account, rule: str) -> tuple[Working, ...]:
    """How the accounts were worked out, step by step.

    Parameters
    ----------
    frame : Frame
        Days and tanks.
    days : PotDays
        Pot-days used.
    ends : Ends
        Where money ended.
    whole : Account
        Of the nursery.
    rule : str
        Who carries a tank.

    Returns
    -------
    tuple of Working
        Pot-days, plants, losses and parents, the hour.

    Notes
    -----
    Figures of the last month with a pot stand for all of them. Without pots only the last step is shown.

    Source: own definition
    """
    currency, found = frame.facts.currency, []
    used = days.used_days.sum(axis=0)
    if used.any():
        month = int(np.flatnonzero(used)[-1])
        tank = int(days.used_days[:, month].argmax())
        span = np.flatnonzero(frame.calendar.month == month)
        money = frame.columns.money
        a_day = days.carried[tank, span[-1] + 1, money] - days.carried[tank, span[-1], money]
        name = frame.facts.tanks[tank].name
        carrier = "the pots in it" if rule == "used" else "every spot, used or not"
        found.append(Working(
            f"A spot in {name} for thirty days, {frame.calendar.months[month]}",
            "30 x cost of the month / pot-days used",
            (("pot-days", f"{days.used_days[tank, month]:.0f}"), ("carried by", carrier)),
            _money(30.0 * float(a_day.sum()), currency), "fisher-costing; vallejo-2018",
            "a day without any pot in the tank is unused, and told apart",
        ))  # fmt: skip
    if whole.sold:
        kinds = ends.left_minor.sum(axis=0)
        shown = tuple(
            (kind, show_money(int(amount), currency))
            for kind, amount in zip(COST_KINDS, kinds, strict=True)
            if amount
        )
        found.append(Working(
            "Cost of the plants that left", "sum of their pot-days and orders, with what they took over",
            (*shown, ("taken over from plants lost", show_money(whole.from_losses_minor, currency)),
             ("taken over from parents", show_money(whole.from_parents_minor, currency))),
            show_money(int(kinds.sum()), currency), "own definition",
        ))  # fmt: skip
    if whole.minutes is not None and whole.hour_minor is not None:
        inputs = (
            ("margin", show_money(whole.margin_minor, currency)),
            ("work", show_minutes(whole.minutes.p50)),
        )
        value = _span(whole.hour_minor, currency)
        found.append(Working("An hour of work", "(income - cost) / hours", inputs, value, "own definition"))
    return tuple(found)


def _money(minor: float, currency: str) -> str:
    return show_money(round(minor), currency)


def _span(span: Span, currency: str) -> str:
    if span.p10 == span.p90:
        return _money(span.p50, currency)
    low, high = show_money_about(span.p10, currency), show_money_about(span.p90, currency)
    return f"{show_money_about(span.p50, currency)} ({low.removesuffix(currency).strip()} to {high})"
