"""`halfwater stock`: what stands where."""

from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import asdict
from datetime import UTC, date, datetime
from typing import Annotated, Any

import typer

from halfwater.book import queries
from halfwater.cli.options import argument, option
from halfwater.cli.printing import JsonFlag, print_json, print_lines, print_table
from halfwater.deeds.clock import local_day
from halfwater.deeds.lineage import lineage_of
from halfwater.deeds.pot import PotPage, pot_named, pot_page
from halfwater.errors import RefusedInput
from halfwater.plain.figures import show, show_date, show_dates
from halfwater.plain.lineage import Lineage
from halfwater.plain.stock import StandingPot

app = typer.Typer(add_completion=False, rich_markup_mode=None)


@app.command()
def stock(
    tank: Annotated[str, argument("[TANK]", "One tank, pot by pot.")] = "",
    pot: Annotated[str, option("--pot", "NAME", "One pot, such as “Nana, June 3” or “North B4”.")] = "",
    batch: Annotated[str, option("--batch", "NAME", "One batch, pot by pot, gone ones too.")] = "",
    lineage: Annotated[str, option("--lineage", "NAME", "Where a batch or a taxon came from.")] = "",
    as_json: JsonFlag = False,
) -> None:
    """What stands where.

    halfwater stock ·
    halfwater stock North ·
    halfwater stock --pot "North B4" ·
    halfwater stock --lineage "Nana, June"
    """
    if sum(map(bool, (tank, pot, batch, lineage))) > 1:
        raise RefusedInput(
            "stock", tank or pot or batch, "a tank, --pot, --batch or --lineage, one at a time"
        )
    today = local_day(datetime.now(UTC), queries.nursery())
    if lineage:
        _lineage(lineage_of(lineage), as_json)
    elif pot:
        _pot(pot_page(pot_named(pot).key, datetime.now(UTC)), today, as_json)
    elif batch or tank:
        pots, title = _of_batch(batch) if batch else _of_tank(tank)
        _pots(pots, title, today, as_json)
    else:
        _all(queries.standing_pots(), today, as_json)


def _of_tank(name: str) -> tuple[Sequence[StandingPot], str]:
    found = queries.tank_named(name)
    return queries.standing_pots(tank=found.key), found.name


def _of_batch(name: str) -> tuple[Sequence[StandingPot], str]:
    known = {one.name.casefold(): one for one in queries.batches()}
    found = known.get(name.strip().casefold())
    if found is None:
        names = ", ".join(one.name for one in known.values()) or "none is in the book yet"
        raise RefusedInput("--batch", name, f"one of your batches: {names}")
    pots = sorted(queries.standing_pots(batch=found.key, gone=True), key=lambda one: one.number)
    return pots, f"{found.name}, {found.taxon_name}, potted {show_date(found.potted_on)}"


def _all(pots: Sequence[StandingPot], today: date, as_json: bool) -> None:
    """Tank by tank: taxa, batches, states, and how old the oldest count is."""
    groups: dict[tuple[str, str, str], list[StandingPot]] = defaultdict(list)
    for pot in pots:
        groups[pot.tank_name, pot.taxon_name, pot.batch_name].append(pot)
    if as_json:
        rows = [
            {
                "tank": tank, "taxon": taxon, "batch": batch, "pots": len(own),
                "states": Counter(one.state for one in own), "oldest_count_on": _oldest(own),
            }
            for (tank, taxon, batch), own in groups.items()
        ]  # fmt: skip
        print_json({"on": today, "pots": len(pots), "empty_spots": _empty_spots(), "stock": rows})
        return
    if not pots:
        print_lines("", ("No pot stands in any tank yet.",))
        return
    table = [
        (tank, taxon, batch, str(len(own)), _states(own), show_date(_oldest(own), today))
        for (tank, taxon, batch), own in groups.items()
    ]
    print_table(
        f"{len(pots)} {'pot' if len(pots) == 1 else 'pots'}",
        ("Tank", "Taxon", "Batch", "Pots", "States", "Counted, the oldest"),
        table,
    )
    empty = [f"{count} in {tank}" for tank, count in _empty_spots().items() if count]
    print_lines("Empty spots", empty)


def _empty_spots() -> dict[str, int]:
    return {tank.name: sum(not spot.state for spot in queries.spots(tank.key)) for tank in queries.tanks()}


def _oldest(pots: Iterable[StandingPot]) -> date | None:
    """The last count of the pot that was counted longest ago; None where one never was."""
    days = [pot.counted_on for pot in pots]
    return None if None in days else min(day for day in days if day is not None)


def _states(pots: Iterable[StandingPot]) -> str:
    return ", ".join(f"{count} {state}" for state, count in Counter(pot.state for pot in pots).items())


def _pots(pots: Sequence[StandingPot], title: str, today: date, as_json: bool) -> None:
    """Pot by pot."""
    if as_json:
        print_json({"on": today, "title": title, "pots": [_object(pot) for pot in pots]})
        return
    rows = [
        (
            f"{pot.tank_name} {pot.spot}".strip() or "–", pot.name, pot.taxon_name,
            " ".join(filter(None, (pot.state, pot.cause))), show(pot.leaves, "count"),
            show_date(pot.counted_on, today),
        )
        for pot in pots
    ]  # fmt: skip
    print_table(title, ("Spot", "Pot", "Taxon", "State", "Leaves", "Counted"), rows)


def _object(pot: StandingPot) -> dict[str, Any]:
    """A pot for programs; what it does not have is null."""
    found = {key: value if value != "" else None for key, value in asdict(pot).items()}
    return {"pot": pot.name} | found


def _pot(page: PotPage, today: date, as_json: bool) -> None:
    """One pot with its past and its future."""
    if as_json:
        print_json(
            {"pot": _object(page.pot), "outlook": page.outlook, "counts": page.counts, "stays": page.stays,
             "parents": page.parents, "offspring": page.offspring, "entries": page.entries}
        )  # fmt: skip
        return
    pot, units = page.pot, queries.nursery().units
    parents = dict.fromkeys(
        f"{one.batch_name} {one.number}" if one.number else one.batch_name for one in page.parents
    )
    rows = [
        (
            "stands",
            f"{pot.tank_name} {pot.spot}" if pot.spot else f"no more: {pot.state} {pot.cause}".strip(),
        ),
        ("state", pot.state),
        ("potted", show_date(pot.potted_on, today)),
        ("from", ", ".join(parents) or "–"),
        ("leaves", f"{show(pot.leaves, 'count')}, counted {show_date(pot.counted_on, today)}"),
        ("rhizome", show(pot.rhizome_mm, "mm", units)),
    ]
    if page.outlook is not None:
        for when in page.outlook.dates:
            dates = show_dates(when.p10_on, when.p50_on, when.p90_on, today)
            rows.append((f"{when.grade} ({when.leaves} leaves)", "reached" if when.is_reached else dates))
    print_table(f"{pot.name}, {pot.taxon_name}", ("What", "Now"), rows)
    print_lines("Counted", [f"{show_date(one.on, today)}: {one.leaves}" for one in page.counts])
    print_lines("Stood", [_stay(one, today) for one in page.stays])
    print_lines("Cut from it", [f"{one.batch_name}, {show_date(one.potted_on)}" for one in page.offspring])
    print_lines("", (page.outlook.why,) if page.outlook is not None and page.outlook.why else ())


def _stay(stay: Any, today: date) -> str:
    until = f" to {show_date(stay.to_on, today)}" if stay.to_on else ""
    return f"{stay.tank_name} {stay.spot}, from {show_date(stay.from_on, today)}{until}"


def _lineage(lineage: Lineage, as_json: bool) -> None:
    """Generation by generation, parents before children."""
    if as_json:
        print_json(lineage)
        return
    rows = [
        (
            "  " * one.generation + one.name + (" *" if one.is_asked else ""), one.taxon_name,
            show_date(one.potted_on),
            ", ".join(dict.fromkeys(parent.batch_name for parent in one.parents)) or "–",
            f"{one.standing} stand, {one.sold} sold, {one.lost} lost",
        )
        for one in lineage.batches
    ]  # fmt: skip
    print_table(lineage.subject, ("Batch", "Taxon", "Potted", "Cut from", "Pots"), rows)
    print_lines("", (lineage.said,))
