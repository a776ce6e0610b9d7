"""What plants cost and earn, as plain data: what was paid and worked, and the accounts that come of it.

Money is in the smallest coin of one currency. A span of days runs from `from_on` up to `to_on`, the
last day left out, as stays do; `to_on` None means that it still lasts.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date

from halfwater.plain.growing import Span
from halfwater.plain.stock import Stay
from halfwater.plain.working import Working

# What money is spent on, and who carries it: pots by their days, pots as they are potted, parcels as they
# are sent, or the plants of the order itself.
SPACE_KINDS = ("room", "equipment", "feed", "plants", "other")
PURCHASE_KINDS = (*SPACE_KINDS, "potting", "packing")
COST_KINDS = (*PURCHASE_KINDS, "power", "fees", "postage")
# What minutes are spent on; minutes nobody noted have starting values by task.
TASKS = (
    "mix", "spray", "look", "read", "siphon", "algae", "clay", "count", "batch", "cut", "cut stem",
    "harvest", "listing", "pack", "parcel", "trip", "messages", "other",
)  # fmt: skip
SPACE_RULES = ("used", "all spots")  # who carries a tank: the pots in it, or every spot, empty ones apart


@dataclass(frozen=True, slots=True, kw_only=True)
class CostTank:
    """A tank as the accounts see it."""

    key: int
    name: str
    spots: int
    floor_m2: float  # shares out what is spent on the whole nursery, among tanks of unlike pots
    from_on: date | None = None  # set up; None: with its first pot. Spots count from then on
    to_on: date | None = None  # given up; None: still in use


@dataclass(frozen=True, slots=True, kw_only=True)
class CostBatch:
    """A batch as the accounts see it."""

    key: int
    name: str
    taxon: int
    taxon_name: str
    potted_on: date


@dataclass(frozen=True, slots=True, kw_only=True)
class CostPot:
    """A pot that stands, was sold or was lost; where it stood is told by its stays."""

    key: int
    name: str  # batch and number
    batch: int
    state: str  # as it is today
    potted_on: date
    left_on: date | None = None  # the day it was sold or lost
    grade: str = ""
    kept_on: date | None = None  # since when it is, or until it left was, a parent


@dataclass(frozen=True, slots=True, kw_only=True)
class ParentShare:
    """Where sections of a batch came from."""

    batch: int  # the batch that was potted
    parent_batch: int
    parent_pot: int | None = None  # None: some pots of that batch, nobody noted which
    sections: int | None = None  # how many of it; None: all parents alike


@dataclass(frozen=True, slots=True, kw_only=True)
class Purchase:
    """Something paid for, or money given back for it (below 0).

    Potting and packing may say for how many pots or parcels they are enough: they are then taken from the
    store one by one. All else lasts `life_months` from the day it was bought, a month where nothing is said.
    """

    on: date
    kind: str  # one of PURCHASE_KINDS
    text: str
    amount_minor: int
    life_months: int | None = None
    enough_for: int | None = None
    tank: int | None = None  # bought for this tank alone
    batch: int | None = None  # bought for this batch alone, such as the plants it began with
    ended_on: date | None = None  # given away or broken before its time
    got_back_minor: int = 0  # what it was sold for then


@dataclass(frozen=True, slots=True, kw_only=True)
class MonthlyCharge:
    """Something paid every month on the day of the month it began: rent, a shop's standing fee."""

    kind: str  # one of SPACE_KINDS
    text: str
    amount_minor: int
    from_on: date
    to_on: date | None = None
    tank: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Tariff:
    """What a kilowatt-hour costs from a day on, until the next tariff."""

    from_on: date
    kwh_minor: float  # a price for one kWh; may be a part of a coin


@dataclass(frozen=True, slots=True, kw_only=True)
class PowerUse:
    """A lamp, heater or pump that runs so many hours a day."""

    from_on: date
    power_w: float
    hours: float
    to_on: date | None = None
    dimmer_frac: float = 1.0
    tank: int | None = None  # None: for the whole nursery
    text: str = "lamp"


@dataclass(frozen=True, slots=True, kw_only=True)
class TaskDone:
    """Work: how often, and how long it took where somebody noted it.

    It belongs to a tank, a batch, an order, a release, or (all None) to the whole nursery.
    """

    on: date
    task: str  # one of TASKS
    count: float = 1.0  # tanks, sections, plants, parcels ...: what the starting value is told for
    minutes: float | None = None  # in all; None: count x the starting value
    tank: int | None = None
    batch: int | None = None
    order: int | None = None
    release: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class SoldPlant:
    """A plant of an order."""

    price_minor: int  # 0: given
    taxon: int
    taxon_name: str = ""
    grade: str = ""
    pot: int | None = None  # None: sold before pots were noted; it has income and no cost
    refund_minor: int = 0
    refund_on: date | None = None  # None: the day of the order


@dataclass(frozen=True, slots=True, kw_only=True)
class PaidMoney:
    """What really came in for an order and went back, plants that were cancelled later included."""

    on: date  # when it was paid
    goods_minor: int
    plants: int
    postage_minor: int = 0
    refund_minor: int = 0
    refund_on: date | None = None  # None: the day it was paid


@dataclass(frozen=True, slots=True, kw_only=True)
class SoldOrder:
    """An order as the accounts see it; plants that were cancelled are not in it."""

    number: int
    on: date  # placed; its income belongs to this day
    plants: tuple[SoldPlant, ...]
    release: int | None = None
    release_name: str = ""
    postage_charged_minor: int = 0
    postage_paid_minor: int = 0
    postage_paid_on: date | None = None  # the first parcel left; None: the day of the order
    fee_minor: int = 0
    parcels: int = 1
    refund_minor: int = 0  # of the order as a whole, beside those of its plants
    refund_on: date | None = None
    is_cancelled: bool = False  # its plants went back to the stock; what it cost remains
    makes_good: int | None = None  # number of the order whose plants it replaces
    paid: PaidMoney | None = None  # None: its plants and postage, on its day
    owed_minor: int = 0  # what is not paid yet


@dataclass(frozen=True, slots=True, kw_only=True)
class FeeRule:
    """What a shop or bank takes of an order: a fixed sum and a share."""

    fixed_minor: int = 0
    share_frac: float = 0.0
    is_on_postage: bool = True  # the share is taken of the postage charged too


@dataclass(frozen=True, slots=True, kw_only=True)
class CostFacts:
    """All that the accounts are made from; `on` is their last day."""

    on: date
    currency: str
    tanks: tuple[CostTank, ...]
    batches: tuple[CostBatch, ...]
    pots: tuple[CostPot, ...]
    stays: tuple[Stay, ...]
    parents: tuple[ParentShare, ...] = ()
    purchases: tuple[Purchase, ...] = ()
    charges: tuple[MonthlyCharge, ...] = ()
    tariffs: tuple[Tariff, ...] = ()
    power: tuple[PowerUse, ...] = ()
    work: tuple[TaskDone, ...] = ()
    orders: tuple[SoldOrder, ...] = ()
    hour_minor: int | None = None  # what an hour is worth to the grower; None: minutes stay minutes


@dataclass(frozen=True, slots=True, kw_only=True)
class Account:
    """What some plants brought and cost: one plant, a batch, a taxon, a release, a month, or all.

    Income less cost is the margin; work is apart, in minutes, and weighed only where the grower's hour is.
    """

    of: str  # "plant", "batch", "taxon", "order", "release", "month", "all"
    key: str  # of the pot, batch, taxon, order, release; "2026-03" for a month
    name: str
    sold: int = 0
    given: int = 0  # plants that left without a price, such as those that make good
    standing: int = 0
    lost: int = 0
    income_minor: int = 0  # prices and postage charged, less refunds
    cost_minor: int = 0  # of the plants that left, with what has no plant to carry it
    margin_minor: int = 0
    parts: Mapping[str, int] = field(default_factory=dict)  # COST_KINDS and what has no plant; add up to cost
    minutes: Span | None = None  # work in the same plants
    hour_minor: Span | None = None  # margin of an hour of it; None without work
    work_minor: Span | None = None  # the minutes at the grower's hour; None where that is not weighed
    after_work_minor: Span | None = None
    plant_cost_minor: float | None = None  # cost of one plant sold, on the mean
    from_losses_minor: int = 0  # of the cost: taken over from plants that were lost
    from_parents_minor: int = 0  # of the cost: taken over from parents
    standing_minor: int = 0  # carried by plants that still stand: not cost yet
    pot_days: float = 0.0  # of all pots concerned
    margin_a_month_minor: float | None = None  # of a spot used for thirty days


@dataclass(frozen=True, slots=True, kw_only=True)
class WhereItWent:
    """Every coin spent so far, by what became of it; the parts add up to what was spent."""

    spent_minor: int
    sold_minor: int  # into plants that left, with the fees and postage of their orders
    orders_minor: int  # fees, postage and packing of orders without a plant: cancelled ones
    standing_minor: int  # into plants that stand
    lost_minor: int  # with plants lost that no other of the batch outlived
    unused_minor: int  # on tanks and rooms while no pot stood in them, or spots stood empty
    store_minor: int  # potting and packing goods not used yet
    ahead_minor: int  # what equipment and charges are still good for


@dataclass(frozen=True, slots=True, kw_only=True)
class LossCost:
    """What plants that died had cost until then, by age."""

    name: str  # such as "after a year"
    plants: int
    cost_minor: int
    a_plant_minor: float


@dataclass(frozen=True, slots=True, kw_only=True)
class LedgerRow:
    """One payment, for an accountant; tax is left to them."""

    on: date
    kind: str
    text: str
    in_minor: int = 0
    out_minor: int = 0
    order: int | None = None
    is_reckoned: bool = False  # power by tariff and hours: no voucher stands behind it
    owed_minor: int = 0  # not paid yet: no money went, it stands beside the payments


@dataclass(frozen=True, slots=True, kw_only=True)
class BreakEven:
    """How many plants a month pay for what is spent whether they sell or not."""

    fixed_minor: float  # a month
    left_minor: float  # of one plant's price, once what the plant itself costs is paid
    plants_a_month: float | None  # None: no number of plants would do
    plants_now_a_month: float | None = None
    said: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class OneMore:
    """What one more tank, or one taxon more, would bring in a month once it runs."""

    what: str
    plants_a_month: Span
    income_minor: Span
    cost_minor: Span
    margin_minor: Span
    minutes: Span  # a month
    hour_minor: Span | None  # margin of an hour of its work
    first_days: Span  # until the first plants are sold
    paid_back_months: Span | None  # None: never, or nothing is bought
    p_loses: float  # chance that it brings less than it costs
    said: str = ""
    workings: tuple[Working, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Accounts:
    """All accounts of a nursery up to a day."""

    on: date
    currency: str
    all: Account
    plants: tuple[Account, ...]  # those that left by sale
    standing: tuple[Account, ...]
    batches: tuple[Account, ...]
    taxa: tuple[Account, ...]
    orders: tuple[Account, ...]
    releases: tuple[Account, ...]
    months: tuple[Account, ...]
    went: WhereItWent
    losses: tuple[LossCost, ...]
    kwh: Mapping[str, float]  # month -> energy of lamps and the like
    said: str = ""
    cautions: tuple[str, ...] = ()
    workings: tuple[Working, ...] = ()
