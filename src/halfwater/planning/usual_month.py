"""A usual month of the nursery: what what-ifs about tanks and taxa start from."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from halfwater.errors import RefusedInput
from halfwater.plain.costing import BreakEven, CostFacts
from halfwater.plain.figures import show_money
from halfwater.planning.account_rows import work_factors
from halfwater.planning.cost_ends import Ends, cost_ends
from halfwater.planning.cost_frame import Frame, Ints, Rows, cost_frame
from halfwater.planning.cost_intake import cost_intake
from halfwater.planning.pot_days import PotDays, pot_days

YEAR_MONTH_DAYS = 365.25 / 12.0
# What plants take with them, beside the places they stand in.
PLANT_KINDS = ("plants", "potting", "packing", "fees", "postage")
PLACE_KINDS = ("room", "equipment", "feed", "other", "power")


@dataclass(frozen=True, slots=True)
class UsualMonth:
    """Means over the months looked at, draw by draw: which plants were sold is chance, and so are minutes."""

    days: float  # looked at
    plants: int  # sold in them
    sold_a_month: float
    spots: float  # of a tank, on the mean
    idle: float  # spots without a pot today, in all tanks
    used_frac: float  # of the spots
    fixed_minor: float  # a month: places, whether plants sell or not
    tank_minor: float  # of it: for one tank alone
    income_minor: Rows  # of a plant, its share of the postage charged included
    postage_minor: float  # of that: postage charged
    plant_minor: Rows  # what a plant takes with it
    pot_days: Rows  # of a plant sold, those of parents and losses included
    plant_min: Rows  # work of a plant, the rounds left out
    tank_min: Rows  # a month
    age_days: Rows  # at sale, one plant a draw


def usual_month(facts: CostFacts, months: int = 12, draws: int = 400, seed: int = 1) -> UsualMonth:
    """Means of the last months, with what chance does to them.

    Parameters
    ----------
    facts : CostFacts
        All that was paid, worked, potted and sold.
    months : int
        How many to look back; fewer where the book is younger.
    draws : int
        For the ranges.
    seed : int
        Of the draws.

    Returns
    -------
    UsualMonth
        Of a plant, a tank and the nursery.

    Raises
    ------
    RefusedInput
        If no plant with its pot was sold in these months, those sold stood nowhere, there is no tank, or no
        month or draw is asked for.

    Notes
    -----
    Plants are drawn again and again from those sold (bootstrap), so few plants give wide ranges; one plant
    alone gives a point and no range, which its caller says. Plants given away add cost, and no plant.

    Source: own definition
    """
    if months < 1 or draws < 1:
        raise RefusedInput("months", months, "a month and a draw, or more")
    frame = cost_frame(facts)
    intake = cost_intake(frame)
    days = pot_days(frame, intake.daily)
    ends = cost_ends(frame, intake, days)
    span = min(frame.calendar.days, round(months * YEAR_MONTH_DAYS))
    begin = frame.calendar.days - span
    chosen = _left_since(frame, ends, begin)
    is_sold = np.array(
        [(plant := ends.leaving[at].plant) is not None and plant.price_minor > 0 for at in chosen]
    )
    if not facts.tanks or not is_sold.any():
        raise RefusedInput(
            "plants", int(is_sold.sum()), "a tank, and plants sold with their pots in these months"
        )
    money = [frame.columns.kind(kind) for kind in PLACE_KINDS]
    in_months = span / YEAR_MONTH_DAYS
    daily = intake.daily[:, begin:]
    tanks, factors = len(facts.tanks), work_factors(frame, draws, seed)
    tank_min = daily[:-1, :, frame.columns.work].sum(axis=(0, 1)) / tanks / in_months
    if not ends.left[chosen, frame.columns.memo("pot-days")].any():
        raise RefusedInput("stays", 0, "plants sold that stood in a tank for a day or more")
    means = _means(frame, ends, chosen, is_sold, draws, seed)
    own_min = _own_work(frame, begin) / int(is_sold.sum())
    spots = sum(tank.spots for tank in facts.tanks)
    return UsualMonth(
        days=float(span), plants=int(is_sold.sum()), sold_a_month=float(is_sold.sum()) / in_months,
        spots=spots / tanks, idle=max(float(spots - _standing_today(days, frame)), 0.0),
        used_frac=_used(days, frame, begin, spots), fixed_minor=float(daily[:, :, money].sum()) / in_months,
        tank_minor=float(daily[:-1, :, money].sum()) / tanks / in_months,
        income_minor=means[0], postage_minor=_postage(frame, begin, int(is_sold.sum())),
        plant_minor=means[1], pot_days=means[2], plant_min=own_min @ factors,
        tank_min=tank_min @ factors, age_days=means[3],
    )  # fmt: skip


def break_even(fixed_minor: float, left_minor: float, sold_a_month: float, currency: str) -> BreakEven:
    """Plants a month that pay for what is spent whether they sell or not.

    Parameters
    ----------
    fixed_minor : float
        Places and equipment, a month. [minor] Valid 0 upward.
    left_minor : float
        Of one plant's price, less what the plant takes with it. [minor] Valid finite.
    sold_a_month : float
        Plants sold now. [1/month] Valid 0 upward.
    currency : str
        For the sentence.

    Returns
    -------
    BreakEven
        Plants a month; None where a plant leaves nothing.

    Raises
    ------
    RefusedInput
        If a number is nan, infinite or below its range.

    Notes
    -----
    n = F / m. With nothing fixed no plant is needed; with m of 0 or below no number of plants would do.

    Source: own definition

    Examples
    --------
    >>> break_even(12000.0, 600.0, 25.0, "EUR").plants_a_month
    20.0
    """
    for name, value, least in (("fixed_minor", fixed_minor, 0.0), ("left_minor", left_minor, -np.inf),
                               ("sold_a_month", sold_a_month, 0.0)):  # fmt: skip
        if not (np.isfinite(value) and value >= least):
            raise RefusedInput(name, value, "a finite amount" if least < 0.0 else "an amount from 0")
    fixed = show_money(round(fixed_minor), currency)
    if fixed_minor > 0.0 and left_minor <= 0.0:
        said = f"No number of plants would pay for {fixed} a month: each sale costs what it brings, or more."
        return BreakEven(fixed_minor=fixed_minor, left_minor=left_minor, plants_a_month=None,
                         plants_now_a_month=sold_a_month, said=said)  # fmt: skip
    plants = fixed_minor / left_minor if fixed_minor > 0.0 else 0.0
    enough = int(np.ceil(max(plants - 1e-9, 0.0)))
    pay = "1 plant a month pays" if enough == 1 else f"{enough} plants a month pay"
    said = f"{pay} for {fixed}; {sold_a_month:.1f} are sold now."
    if not fixed_minor:
        said = "Nothing is noted that is paid whether plants sell or not: note rent, equipment and power."
    return BreakEven(fixed_minor=fixed_minor, left_minor=left_minor, plants_a_month=plants,
                     plants_now_a_month=sold_a_month, said=said)  # fmt: skip


def break_even_of(facts: CostFacts, months: int = 12) -> BreakEven:
    """Break-even of the nursery as it ran in its last months.

    Parameters
    ----------
    facts : CostFacts
        All that was paid and sold.
    months : int
        How many to look back.

    Returns
    -------
    BreakEven
        With the plants sold now beside it.

    Raises
    ------
    RefusedInput
        As `usual_month` does.

    Notes
    -----
    What a plant leaves is its income less plants bought, potting, packing, fees and postage: means of the
    months. The grower's own hours are not in it. A book of one day is a short month.

    Source: own definition
    """
    usual = usual_month(facts, months)
    left = float(np.median(usual.income_minor - usual.plant_minor))
    return break_even(max(usual.fixed_minor, 0.0), left, usual.sold_a_month, facts.currency)


def _left_since(frame: Frame, ends: Ends, begin: int) -> Ints:
    """Plants with a pot and an order that left in the days looked at."""
    return np.array(
        [
            at
            for at, one in enumerate(ends.leaving)
            if one.pot is not None and one.order is not None and frame.calendar.day(one.order.on) >= begin
        ],
        dtype=np.int64,
    )


def _postage(frame: Frame, begin: int, plants: int) -> float:
    """Postage charged for a plant."""
    charged = [
        order.postage_charged_minor
        for order in frame.facts.orders
        if not order.is_cancelled and frame.calendar.day(order.on) >= begin
    ]
    return sum(charged) / plants


def _own_work(frame: Frame, begin: int) -> Rows:
    """Minutes of batches, orders and releases in the days looked at, by column."""
    columns = {task: at for at, task in enumerate(frame.columns.tasks)}
    minutes = np.zeros(len(columns))
    for row in frame.facts.work:
        is_own = row.batch is not None or row.order is not None or row.release is not None
        if is_own and frame.calendar.day(row.on) >= begin:
            spent = row.count * frame.paces[row.task].minutes if row.minutes is None else row.minutes
            minutes[columns[row.task, row.minutes is None]] += spent
    return minutes


def _means(
    frame: Frame, ends: Ends, chosen: Ints, is_sold: Sequence[bool] | Rows, draws: int, seed: int
) -> tuple[Rows, Rows, Rows, Rows]:
    """Income, own cost, pot-days of a plant sold, and an age at sale, draw by draw."""
    income = np.bincount(ends.income.leaving, ends.income.amount_minor, len(ends.leaving))[chosen]
    kinds = [frame.columns.kind(kind) for kind in PLANT_KINDS]
    own, days = ends.left[chosen][:, kinds].sum(axis=1), ends.left[chosen, frame.columns.memo("pot-days")]
    rows = np.column_stack([income, own, days, is_sold])
    rng = np.random.default_rng(seed)
    picked = rng.multinomial(len(chosen), np.full(len(chosen), 1.0 / len(chosen)), size=draws)
    sums = picked @ rows
    whole = rows.sum(axis=0)
    sums[sums[:, 3] == 0.0] = whole  # a draw of gifts alone says nothing
    pots = np.array([ends.leaving[at].pot for at in chosen], dtype=np.int64)
    sold_on = np.array([frame.calendar.days if order is None else frame.calendar.day(order.on)
                        for order in (ends.leaving[at].order for at in chosen)])  # fmt: skip
    ages = np.maximum(sold_on - frame.potted[pots], 0).astype(float)
    age = rng.choice(ages[np.asarray(is_sold, dtype=bool)], draws)
    return sums[:, 0] / sums[:, 3], sums[:, 1] / sums[:, 3], sums[:, 2] / sums[:, 3], age


def _standing_today(days: PotDays, frame: Frame) -> int:
    return int((days.stays.end >= frame.calendar.days).sum())


def _used(days: PotDays, frame: Frame, begin: int, spots: int) -> float:
    """Share of all spots that pots stood on."""
    span = frame.calendar.days - begin
    start, end = np.maximum(days.stays.start, begin), np.maximum(days.stays.end, begin)
    return float((end - start).sum()) / (spots * span)
