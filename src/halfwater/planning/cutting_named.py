"""Which pots: today's and next week's sales and cuts by name, and the spots that new sections go to."""

from dataclasses import dataclass, field
from datetime import timedelta

from halfwater.plain.cutting import Action, PlanFacts, PlanPot
from halfwater.plain.stock import GRADES
from halfwater.planning.cutting_columns import SELL_MIN
from halfwater.planning.cutting_decisions import TaxonDecisions
from halfwater.planning.cutting_stock import Stand
from halfwater.science import starting
from halfwater.science.stage_chain import stage_of

_WHOLE = 1e-4


@dataclass(slots=True)
class Floor:
    """Free spots by tank, in walking order, as they are given away."""

    free: dict[str, list[str]]
    order: tuple[str, ...]

    def take(self, near: str, count: int) -> tuple[str, tuple[str, ...]]:
        """Spots for sections of one parent: in the nearest tank with room for all, else wherever any is."""
        tanks = sorted(self.order, key=lambda tank: abs(self._place(tank) - self._place(near)))
        whole = next((tank for tank in tanks if len(self.free[tank]) >= count), None)
        if whole is not None:
            taken, self.free[whole] = self.free[whole][:count], self.free[whole][count:]
            return whole, tuple(taken)
        found: list[str] = []
        for tank in tanks:
            here = self.free[tank][: count - len(found)]
            self.free[tank] = self.free[tank][len(here) :]
            found += [f"{tank}: {spot}" for spot in here]
        return "", tuple(found)

    def give_back(self, pot: PlanPot) -> None:
        """The spot of a pot that was sold."""
        if pot.tank in self.free:
            self.free[pot.tank].append(pot.spot)

    def _place(self, tank: str) -> int:
        return self.order.index(tank) if tank in self.order else len(self.order)


@dataclass(slots=True)
class _Taxon:
    """A taxon while its pots are named."""

    stand: Stand
    made: TaxonDecisions
    left: list[PlanPot]
    actions: list[Action] = field(default_factory=list)

    def stage(self, pot: PlanPot) -> int:
        """Stage of a pot today."""
        return stage_of(self.stand.chain, pot.leaves, pot.is_settled, pot.age_days)

    def grade(self, pot: PlanPot) -> str:
        """Grade of a pot today."""
        return self.stand.chain.grade[self.stage(pot)]


def named_actions(
    facts: PlanFacts, stands: tuple[Stand, ...], made: tuple[TaxonDecisions, ...], near: int
) -> tuple[Action, ...]:
    """Sales, cuts and keepers of this week and the next, down to the pots and spots.

    Sold first are the largest pots and, among equals, the slow ones; cut first are those that give most
    sections
    and, among equals, the quick ones. The parents that are never sold are marked as kept.

    Parameters
    ----------
    facts : PlanFacts
        Floors and the first day.
    stands : tuple of Stand
        The taxa as counted.
    made : tuple of TaxonDecisions
        What the plan decided.
    near : int
        Weeks decided in whole pots. Valid from 0 on; 0 names nothing.

    Returns
    -------
    tuple of Action
        By week; in each week sales before cuts, because a sale frees the spot of a new section.

    Raises
    ------
    RefusedInput
        If a pot has nan leaves.

    Notes
    -----
    Next week's pots are named as they stand today, as far as they have the size already. No pots give ().

    Source: own definition
    """
    floor = Floor(
        {tank.name: list(tank.free) for tank in facts.tanks}, tuple(tank.name for tank in facts.tanks)
    )
    taxa = [_Taxon(stand, own, list(stand.taxon.pots)) for stand, own in zip(stands, made, strict=True)]
    for taxon in taxa:
        _keep(facts, taxon)
    for week in range(min(near, 2)):
        sold: list[PlanPot] = []
        for taxon in taxa:
            sold += _sell(facts, taxon, week)
        for pot in sold:
            floor.give_back(pot)
        for taxon in taxa:
            _cut(facts, taxon, week, floor)
    order = {"let go": 0, "sell": 1, "cut": 2, "keep": 3}
    every = [action for taxon in taxa for action in taxon.actions]
    return tuple(sorted(every, key=lambda action: (action.week, order[action.kind])))


def _act(facts: PlanFacts, taxon: _Taxon, week: int, kind: str, pots: int, **more: object) -> None:
    made = Action(
        week=week, on=facts.on + timedelta(weeks=week), kind=kind, taxon=taxon.stand.taxon.key,
        taxon_name=taxon.stand.taxon.name, pots=pots, **{"grade": "", **more},  # type: ignore[arg-type]
    )  # fmt: skip
    taxon.actions.append(made)


def _keep(facts: PlanFacts, taxon: _Taxon) -> None:
    """Parents to mark as kept, because too few are."""
    keepers = set(taxon.stand.keepers)
    fresh = tuple(pot for pot in taxon.left if pot.key in keepers and not pot.is_kept)
    if fresh:
        why = f"{facts.habit.least_kept} parents of a taxon are never sold; these are the best that stand"
        _act(facts, taxon, 0, "keep", len(fresh), named=fresh, why=why)


def _sell(facts: PlanFacts, taxon: _Taxon, week: int) -> list[PlanPot]:
    """Pots that leave in a week, each in its line."""
    lines = taxon.made.lines[week][0]
    chosen = _sold_today(taxon) if week == 0 else _sold_next(taxon, round(float(lines.sum())))
    chosen.sort(key=lambda pot: (-taxon.stage(pot), -pot.leaves, pot.key))
    going = list(chosen)
    for rank in (3, 2, 1):
        count = round(float(lines[rank - 1]))
        if not count:
            continue
        fit = [pot for pot in going if taxon.stand.rank[taxon.stage(pot)] >= rank][:count]
        going = [pot for pot in going if pot not in fit]
        why = "ready, and slow ones before quick ones" if fit else "not known yet which"
        _act(
            facts, taxon, week, "sell", count, grade=GRADES[rank - 1], named=tuple(fit),
            minutes=SELL_MIN * count,
            why=why,
        )  # fmt: skip
    sold = [pot for pot in chosen if pot not in going]
    let_go = tuple(pot for pot in sold if pot.is_kept)
    if let_go:
        _act(
            facts, taxon, week, "let go", len(let_go), named=let_go, why="more are kept than the least number"
        )
    taxon.left = [pot for pot in taxon.left if pot not in sold]
    return sold


def _sold_today(taxon: _Taxon) -> list[PlanPot]:
    found: list[PlanPot] = []
    for group, count in zip(taxon.stand.groups, taxon.made.sold_today, strict=True):
        place = (group.stage, group.sections, group.is_keeper)
        found += sorted(_members(taxon, place), key=_slow_first)[: _pots(count)]
    return found


def _sold_next(taxon: _Taxon, count: int) -> list[PlanPot]:
    """Next week's sales among the pots that have a sold size today, keepers left out."""
    keepers = set(taxon.stand.keepers)
    fit = [
        pot for pot in taxon.left if taxon.stage(pot) in taxon.stand.sold_stages and pot.key not in keepers
    ]
    return sorted(fit, key=lambda pot: (-taxon.stand.rank[taxon.stage(pot)], *_slow_first(pot)))[:count]


def _cut(facts: PlanFacts, taxon: _Taxon, week: int, floor: Floor) -> None:
    """Pots cut in a week, with the spots of their sections."""
    by_place: dict[tuple[str, str], list[tuple[PlanPot, int, tuple[str, ...]]]] = {}
    unknown = 0
    unknown_sections = 0
    extra = round(float(taxon.made.extra[week][0]))
    for sections, count in sorted(taxon.made.cut_kinds[week].items(), reverse=True):
        chosen = _cut_today(taxon, sections) if week == 0 else _cut_next(taxon, sections, _pots(count))
        for pot in chosen:
            more = min(extra, max(pot.sections - sections, 0))
            extra -= more
            tank, spots = floor.take(pot.tank, sections + more - 1)
            by_place.setdefault((taxon.grade(pot), tank), []).append((pot, sections + more, spots))
        taxon.left = [pot for pot in taxon.left if pot not in chosen]
        unknown += _pots(count) - len(chosen)
        unknown_sections += sections * (_pots(count) - len(chosen))
    set_up_min = starting.BATCH_MIN
    for (grade, tank), cuts in by_place.items():
        made = sum(sections for _, sections, _ in cuts)
        _act(
            facts, taxon, week, "cut", len(cuts), grade=grade, named=tuple(pot for pot, _, _ in cuts),
            sections=made, minutes=starting.CUT_MIN * made + set_up_min, to_tank=tank,
            to_spots=tuple(spot for _, _, spots in cuts for spot in spots),
            why="give most sections; one of each stays in its pot",
        )  # fmt: skip
        set_up_min = 0.0
    unknown_sections += extra if unknown else 0
    if unknown:
        minutes = starting.CUT_MIN * unknown_sections + set_up_min
        _act(
            facts,
            taxon,
            week,
            "cut",
            unknown,
            sections=unknown_sections,
            minutes=minutes,
            why="not known yet which",
        )


def _cut_today(taxon: _Taxon, sections: int) -> list[PlanPot]:
    found: list[PlanPot] = []
    for group, count in zip(taxon.stand.groups, taxon.made.cut_today, strict=True):
        if group.sections == sections:
            place = (group.stage, group.sections, group.is_keeper)
            found += sorted(_members(taxon, place), key=lambda pot: (-pot.rate_factor, pot.key))[
                : _pots(count)
            ]
    return found


def _cut_next(taxon: _Taxon, sections: int, count: int) -> list[PlanPot]:
    """Next week's cuts among the pots that give as many sections today."""
    fit = [pot for pot in taxon.left if pot.is_settled and pot.sections >= sections]
    return sorted(fit, key=lambda pot: (-pot.sections, -pot.rate_factor, pot.key))[:count]


def _members(taxon: _Taxon, place: tuple[int, int, bool]) -> list[PlanPot]:
    """Pots of a group that are not given away yet."""
    keepers = set(taxon.stand.keepers)
    return [
        pot for pot in taxon.left if (taxon.stage(pot), max(pot.sections, 1), pot.key in keepers) == place
    ]  # fmt: skip


def _slow_first(pot: PlanPot) -> tuple[bool, float, float, int]:
    return pot.is_kept, pot.rate_factor, -pot.leaves, pot.key


def _pots(amount: float) -> int:
    return int(amount + _WHOLE)
