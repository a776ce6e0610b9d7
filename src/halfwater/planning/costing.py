"""The accounts of a nursery: what each plant, batch, taxon, release and month cost and earned."""

from collections.abc import Sequence

import numpy as np

from halfwater.plain.costing import Account, Accounts, CostFacts, LossCost, WhereItWent
from halfwater.planning.account_rows import Groups, accounts_of, work_factors
from halfwater.planning.cost_ends import Ends, Leaving, cost_ends, root_order
from halfwater.planning.cost_frame import Frame, Ints, Rows, cost_frame
from halfwater.planning.cost_intake import cost_intake
from halfwater.planning.cost_words import cautions_of, said_of, workings_of
from halfwater.planning.pot_days import pot_days
from halfwater.science.starting import SETTLING_DAYS

# Ages of losses: up to so many days, and what that is called; own definition.
LOSS_AGES = (
    (SETTLING_DAYS, "while settling"),
    (183.0, "before half a year"),
    (365.0, "before a year"),
    (np.inf, "after a year"),
)
_NONE = -1


def accounts(facts: CostFacts, rule: str = "used", draws: int = 200, seed: int = 1) -> Accounts:
    """Accounts of everything up to a day.

    Parameters
    ----------
    facts : CostFacts
        All that was paid, worked, potted and sold.
    rule : str
        "used": pots that stand carry all of their tank. "all spots": each carries its own spot, and what
        empty spots cost is told apart.
    draws : int
        For the range that assumed minutes bring.
    seed : int
        Of the draws.

    Returns
    -------
    Accounts
        Whole coins that add up, whichever way the plants are grouped; minutes and what an hour earned with
        their 80 % range.

    Raises
    ------
    RefusedInput
        If something in the facts cannot be: see `cost_frame`, `cost_intake`, `pot_days`, `carried_costs` and
        `cost_ends`.

    Notes
    -----
    Every coin spent ends in one place: a plant that left, one that stands, plants lost that none of their
    batch outlived, space no pot used, the store, or what is still ahead. Months count income when it was
    ordered and cost when the plant was sold. Nothing spent and nothing sold gives accounts of nought.

    Source: own definition; fisher-costing; vallejo-2018

    Examples
    --------
    >>> from datetime import date
    >>> nothing = CostFacts(on=date(2026, 1, 1), currency="EUR", tanks=(), batches=(), pots=(), stays=())
    >>> accounts(nothing).all.margin_minor
    0
    """
    frame = cost_frame(facts)
    intake = cost_intake(frame)
    days = pot_days(frame, intake.daily, rule)
    ends = cost_ends(frame, intake, days)
    factors = work_factors(frame, draws, seed)
    made = {groups.of: accounts_of(frame, ends, groups, factors) for groups in _groupings(frame, ends)}
    whole, went = made["all"][0], _went(ends, sum(intake.spent_minor.values()))
    return Accounts(
        on=facts.on, currency=facts.currency, all=whole, plants=made["plant"], standing=made["standing"],
        batches=made["batch"], taxa=made["taxon"], orders=made["order"], releases=made["release"],
        months=made["month"], went=went, losses=_losses(ends), kwh=intake.kwh,
        said=said_of(whole, facts), cautions=cautions_of(frame, intake, ends, went),
        workings=workings_of(frame, days, ends, whole, rule),
    )  # fmt: skip


def _groupings(frame: Frame, ends: Ends) -> list[Groups]:
    batches, orders = frame.facts.batches, root_order(frame.facts)
    batch_of_pot = np.array([frame.batch_rows[pot.batch] for pot in frame.pots], dtype=np.int64)
    lost = np.array([one.pot for one in ends.carried.lost], dtype=np.int64)
    alone_batch = np.array([batch for batch, _ in ends.alone], dtype=np.int64)
    taxon_rows, taxon_names = _taxa(frame, ends)
    taxon_of_batch = np.array([taxon_rows[batch.taxon] for batch in batches], dtype=np.int64)
    left_batch = [_NONE if one.pot is None else int(batch_of_pot[one.pot]) for one in ends.leaving]
    left_taxon = [_taxon_of(one, frame, taxon_rows) for one in ends.leaving]
    order_keys = {order.number: at for at, order in enumerate(frame.facts.orders)}
    left_order = [
        _NONE if one.order is None else order_keys[orders[one.order.number].number] for one in ends.leaving
    ]
    releases = {
        o.release: o.release_name or str(o.release) for o in frame.facts.orders if o.release is not None
    }
    release_at = {release: at for at, release in enumerate(releases)}
    left_release = [
        _NONE if one.order is None else release_at.get(orders[one.order.number].release, _NONE)  # type: ignore[arg-type]
        for one in ends.leaving
    ]
    groups = _Grouping(frame, ends)
    return [
        groups.all(len(lost)),
        groups.by("plant", *_plant_names(frame, ends), list(range(len(ends.leaving)))),
        groups.standing(),
        groups.by("batch", [str(b.key) for b in batches], [b.name for b in batches], left_batch,
                  batch_of_pot[ends.standing], alone_batch, batch_of_pot[lost]),
        groups.by("taxon", [str(key) for key in taxon_rows], taxon_names, left_taxon,
                  taxon_of_batch[batch_of_pot[ends.standing]], taxon_of_batch[alone_batch],
                  taxon_of_batch[batch_of_pot[lost]]),
        groups.by("order", [str(n) for n in order_keys], [f"order {n}" for n in order_keys], left_order),
        groups.by("release", [str(key) for key in releases], list(releases.values()), left_release),
        groups.months(frame.calendar.month[np.minimum(frame.left[lost], frame.calendar.days - 1)]),
    ]  # fmt: skip


class _Grouping:
    """Ways of grouping what ended, with -1 for what a grouping leaves out."""

    def __init__(self, frame: Frame, ends: Ends) -> None:
        self.frame, self.ends = frame, ends
        self.nowhere = {
            "standing": np.full(len(ends.standing), _NONE),
            "alone": np.full(len(ends.alone), _NONE),
            "unused": np.full(len(frame.calendar.months), _NONE),
            "lost": np.full(len(ends.carried.lost), _NONE),
        }

    def by(
        self, of: str, keys: Sequence[str], names: Sequence[str], leaving: Sequence[int],
        standing: Ints | None = None, alone: Ints | None = None, lost: Ints | None = None,
    ) -> Groups:  # fmt: skip
        """Groups of plants; their income goes with them."""
        left, none = np.array(leaving, dtype=np.int64), self.nowhere
        return Groups(
            of, keys, names, left, left[self.ends.income.leaving],
            none["standing"] if standing is None else standing, none["alone"] if alone is None else alone,
            none["unused"], none["lost"] if lost is None else lost,
        )  # fmt: skip

    def all(self, lost: int) -> Groups:
        """Everything in one account."""
        left, paid = np.zeros(len(self.ends.leaving), int), np.zeros(len(self.ends.income.month), int)
        stands, alone = np.zeros(len(self.ends.standing), int), np.zeros(len(self.ends.alone), int)
        unused, gone = np.zeros(len(self.frame.calendar.months), int), np.zeros(lost, int)
        return Groups("all", ("all",), ("the nursery",), left, paid, stands, alone, unused, gone, untaken=0)

    def standing(self) -> Groups:
        """Each pot that stands by itself."""
        pots = [self.frame.pots[row] for row in self.ends.standing.tolist()]
        none = [_NONE] * len(self.ends.leaving)
        own = np.arange(len(pots))
        return self.by("standing", [str(pot.key) for pot in pots], [pot.name for pot in pots], none, own)

    def months(self, lost: Ints) -> Groups:
        """Calendar months: cost when the plant was sold, money when it came or went back."""
        names = self.frame.calendar.months
        left = np.array([one.month for one in self.ends.leaving], dtype=np.int64)
        alone = np.array([month for _, month in self.ends.alone], dtype=np.int64)
        income, none = self.ends.income.month, self.nowhere["standing"]
        return Groups("month", names, names, left, income, none, alone, np.arange(len(names)), lost)


def _taxa(frame: Frame, ends: Ends) -> tuple[dict[int, int], list[str]]:
    """Taxa of batches and of plants sold before pots were noted."""
    names = {batch.taxon: batch.taxon_name for batch in frame.facts.batches}
    for one in ends.leaving:
        if one.plant is not None:
            names.setdefault(one.plant.taxon, one.plant.taxon_name or str(one.plant.taxon))
    return {taxon: at for at, taxon in enumerate(names)}, list(names.values())


def _taxon_of(one: Leaving, frame: Frame, rows: dict[int, int]) -> int:
    if one.pot is not None:
        return rows[frame.facts.batches[frame.batch_rows[frame.pots[one.pot].batch]].taxon]
    return _NONE if one.plant is None else rows[one.plant.taxon]


def _plant_names(frame: Frame, ends: Ends) -> tuple[list[str], list[str]]:
    """Key and name of each plant that left: its pot, or the order and its place in it."""
    keys, names = [], []
    for at, one in enumerate(ends.leaving):
        if one.pot is not None:
            keys.append(str(frame.pots[one.pot].key))
            names.append(frame.pots[one.pot].name)
        else:
            number = one.order.number if one.order is not None else 0
            keys.append(f"{number}-{at}")
            names.append(f"order {number}" if one.plant is None else f"a plant of order {number}")
    return keys, names


def _went(ends: Ends, spent_minor: int) -> WhereItWent:
    has_plant = np.array([one.plant is not None or one.pot is not None for one in ends.leaving], dtype=bool)
    return WhereItWent(
        spent_minor=spent_minor,
        sold_minor=int(ends.left_minor[has_plant].sum()),
        orders_minor=int(ends.left_minor[~has_plant].sum()),
        standing_minor=int(ends.stood_minor.sum()),
        lost_minor=int(ends.alone_minor.sum()),
        unused_minor=int(ends.unused_minor.sum()),
        store_minor=int(ends.store_minor.sum()),
        ahead_minor=int(ends.ahead_minor.sum()),
    )


def _losses(ends: Ends) -> tuple[LossCost, ...]:
    """What plants that died had cost, by age."""
    ages: Rows = np.array([one.age_days for one in ends.carried.lost], dtype=float)
    costs: Rows = np.array([one.cost_minor for one in ends.carried.lost], dtype=float)
    found, younger = [], -np.inf
    for older, name in LOSS_AGES:
        is_in = (ages > younger) & (ages <= older)
        younger = older
        if is_in.any():
            total = float(costs[is_in].sum())
            found.append(
                LossCost(
                    name=name,
                    plants=int(is_in.sum()),
                    cost_minor=round(total),
                    a_plant_minor=total / int(is_in.sum()),
                )
            )
    return tuple(found)


def account_named(rows: Sequence[Account], name: str) -> Account | None:
    """Account of a plant, batch, taxon, release or month by its name or key.

    Parameters
    ----------
    rows : sequence of Account
        One kind of them.
    name : str
        As typed; capitals do not matter.

    Returns
    -------
    Account or None
        The first that is called so.

    Notes
    -----
    An empty name finds nothing. There is no number to be 0 or nan.

    Source: own definition
    """
    asked = name.strip().casefold()
    return next((row for row in rows if asked and asked in (row.name.casefold(), row.key.casefold())), None)
