"""`halfwater transit`: what the weather means for a parcel, and what waits on the packing bench."""

from datetime import UTC, datetime
from pathlib import Path
from typing import Annotated, Any

import typer

from halfwater.book import queries
from halfwater.cli.options import argument, option
from halfwater.cli.printing import JsonFlag, print_json, print_lines, print_table
from halfwater.deeds.clock import read_day
from halfwater.deeds.packing import PackingDay, packing_bench
from halfwater.deeds.transit import TypedParcel, advise, advise_known
from halfwater.errors import RefusedInput
from halfwater.plain.figures import show, show_date, show_list, show_range
from halfwater.plain.transit import TransitAdvice, TransitOutlook

app = typer.Typer(add_completion=False, rich_markup_mode=None)
MOST_BYTES = 1_000_000


@app.command()
def transit(
    legs: Annotated[
        str, argument("[LEGS]", "The way: “Depot 12 h, 3 to 9 C, indoors; Van 8 h, 0 to 6 C, vehicle”.")
    ] = "",
    weather: Annotated[
        str, option("--weather", "FILE", "The way from a CSV file: leg, hours, min, max.")
    ] = "",
    box: Annotated[str, option("--box", "BOX", "A box of yours, or “400 x 300 x 250 mm, EPS I 25 mm”.")] = "",
    plants: Annotated[str, option("--plants", "N", "How many plants are in it.")] = "1",
    grade: Annotated[str, option("--grade", "GRADE", "Their size.")] = "standard",
    taxon: Annotated[
        list[str] | None, option("--taxon", "NAME", "What they are; may be given again.")
    ] = None,
    liner: Annotated[str, option("--liner", "WALL", "Such as “foil bubble 4 mm”, or none.")] = "",
    pack: Annotated[str, option("--pack", "HOURS", "A heat pack by its label such as 40 h, or none.")] = "",
    parcel: Annotated[int | None, option("--parcel", "N", "A parcel that is on the bench.")] = None,
    day: Annotated[str, option("--day", "DATE", "The bench of this ship day.")] = "",
    as_json: JsonFlag = False,
) -> None:
    """Ship a parcel, give it a liner or heat packs, or hold it back; without a way, the packing bench.

    halfwater transit "Depot 12 h, -2 to 4 C; Van 8 h, -4 to 2 C, vehicle" --taxon nana --plants 6 ·
    halfwater transit --weather legs.csv --box "Foam box" · halfwater transit --parcel 3 · halfwater transit
    """
    now = datetime.now(UTC)
    way = _file(weather) if weather else legs
    if parcel is not None:
        _say(advise_known(parcel, way), as_json)
    elif way:
        typed = TypedParcel(way, box, plants, grade, tuple(taxon or ()), liner, pack)
        _say(advise(typed, now), as_json)
    else:
        _say_bench(packing_bench(now, read_day(day, "day") if day else None), now, as_json)


def _file(path: str) -> bytes:
    try:
        file = Path(path)
        if file.stat().st_size > MOST_BYTES:
            raise RefusedInput("weather", path, "a CSV file of at most 1 MB")
        return file.read_bytes()
    except OSError as error:
        raise RefusedInput("weather", path, f"a CSV file that can be read ({error.strerror})") from error


def _say(advice: TransitAdvice, as_json: bool) -> None:
    if as_json:
        print_json(_object(advice))
        return
    units = queries.nursery().units
    print_lines("", (advice.sentence,))
    rows = [
        (one.measure.words, _span(one, "coldest", units), _span(one, "hottest", units),
         show(one.p_too_cold, "frac"), show(one.p_too_hot, "frac"))
        for one in advice.tried
    ]  # fmt: skip
    print_table("", ("Packed", "Coldest", "Hottest", "Harm by cold", "Harm by heat"), rows)
    print_lines("Why", advice.reasons)
    print_lines("Take care", advice.cautions)


def _span(outlook: TransitOutlook, which: str, units: str) -> str:
    span = getattr(outlook, which)
    return show_range(span.p10, span.p90, "c", units)


def _object(advice: TransitAdvice) -> dict[str, Any]:
    return {
        "decision": advice.decision, "measure": advice.measure.words, "sentence": advice.sentence,
        "coldest_c": advice.outlook.coldest, "hottest_c": advice.outlook.hottest,
        "p_too_cold": advice.outlook.p_too_cold, "p_too_hot": advice.outlook.p_too_hot,
        "in_box_days": advice.outlook.in_box_days, "by_model": advice.by_model, "by_rules": advice.by_rules,
        "reasons": advice.reasons, "cautions": advice.cautions, "workings": advice.workings,
    }  # fmt: skip


def _say_bench(bench: PackingDay, now: datetime, as_json: bool) -> None:
    if as_json:
        print_json(_bench_object(bench))
        return
    print_lines("", (bench.sentence,))
    parcels = [
        (str(one.facts.key), show_list([str(number) for number in one.facts.orders]), one.verdict,
         f"{one.facts.packed} of {one.facts.plants}", show(one.weight_kg, "kg"))
        for one in bench.parcels
    ]  # fmt: skip
    waiting = [
        (str(one.order.number), one.order.buyer.name, str(len(one.in_no_parcel)),
         one.plan.sentence if one.plan else one.why)
        for one in bench.orders
        if one.in_no_parcel
    ]  # fmt: skip
    pick = [
        (stop.item.tank, stop.item.spot, stop.item.name, stop.item.taxon_name, str(stop.item.order))
        for stop in bench.pick
        if stop.item.packed_at is None
    ]
    _table("Parcels", ("Parcel", "Orders", "Verdict", "In the box", "Weight"), parcels)
    _table("In no parcel yet", ("Order", "Buyer", "Plants", "Plan"), waiting)
    _table(f"To fetch for {show_date(bench.on, now.date())}", ("Tank", "Spot", "Pot", "Taxon", "Order"), pick)
    if bench.undated:
        numbers = show_list([str(one.number) for one in bench.undated])
        print_lines("Without a ship day", (f"orders {numbers}",))


def _table(title: str, heads: tuple[str, ...], rows: list[tuple[str, ...]]) -> None:
    if rows:
        print_table(title, heads, rows)


def _bench_object(bench: PackingDay) -> dict[str, Any]:
    return {
        "on": bench.on,
        "sentence": bench.sentence,
        "parcels": [
            {"parcel": one.facts.key, "orders": one.facts.orders, "verdict": one.verdict,
             "plants": one.facts.plants, "packed": one.facts.packed, "weight_kg": one.weight_kg,
             "sentence": one.advice.sentence if one.advice else one.why}
            for one in bench.parcels
        ],
        "orders": [
            {"order": one.order.number, "buyer": one.order.buyer.name,
             "in_no_parcel": len(one.in_no_parcel), "plan": one.plan.sentence if one.plan else one.why}
            for one in bench.orders
        ],
        "pick": [
            {"tank": stop.item.tank, "spot": stop.item.spot, "pot": stop.item.name,
             "order": stop.item.order, "parcel": stop.parcel, "packed": stop.item.packed_at is not None}
            for stop in bench.pick
        ],
    }  # fmt: skip
