"""`halfwater ready`: how many of each grade are ready when."""

from collections.abc import Sequence
from datetime import UTC, date, datetime, timedelta
from typing import Annotated, Any

import typer

from halfwater.book import queries
from halfwater.cli.options import argument, option
from halfwater.cli.printing import JsonFlag, print_json, print_lines, print_table
from halfwater.deeds.clock import local_day, read_day
from halfwater.deeds.growing import stock_outlook
from halfwater.deeds.prices import taxon_named
from halfwater.deeds.scores import keep_shown
from halfwater.errors import RefusedByBook, RefusedInput
from halfwater.plain.figures import show_date, show_dates
from halfwater.plain.growing import BatchOutlook, GradeDate, ReadyCount, Span, StockOutlook, TaxonOutlook

app = typer.Typer(add_completion=False, rich_markup_mode=None)
SHOWN_DAYS = (0, 28, 56, 91, 182)  # ahead, where no date is asked for
AT_MOST_DAYS = 728


@app.command()
def ready(
    taxon: Annotated[str, argument("[TAXON]", "One taxon only, or a part of its name.")] = "",
    on: Annotated[str, option("--on", "DATE", "How many on this day, up to two years ahead.")] = "",
    batch: Annotated[str, option("--batch", "NAME", "One batch: its pots one by one.")] = "",
    as_json: JsonFlag = False,
) -> None:
    """How many pots of each grade are ready when, with 80 % ranges.

    halfwater ready ·
    halfwater ready Bucephalandra --on 2027-03-01 ·
    halfwater ready --batch "Nana, June"
    """
    now = datetime.now(UTC)
    today = local_day(now, queries.nursery())
    day = _day(on, today)
    outlook = _outlook(now, today, day)
    if as_json:
        print_json(as_object(outlook, taxon, batch, day))
        return
    if batch:
        _print_batch(_batch(outlook, batch), outlook, today)
    else:
        _print_taxa(_taxa(outlook, taxon), outlook, day, today)
    if outlook.count_next:
        print_lines("", (outlook.count_next,))


def _day(on: str, today: date) -> date | None:
    day = read_day(on, "--on") if on else None
    if day is not None and not today <= day <= today + timedelta(days=AT_MOST_DAYS):
        accepted = f"a day from today to {(today + timedelta(days=AT_MOST_DAYS)).isoformat()}"
        raise RefusedInput("--on", on, accepted)
    return day


def _outlook(now: datetime, today: date, day: date | None) -> StockOutlook:
    """What is foretold; the usual outlook is kept for the score."""
    outlook = stock_outlook(now)
    if not outlook.pots:
        raise RefusedByBook("No pot stands in any tank yet: place some on the Stock page, or import tables.")
    keep_shown(outlook)
    if day is None or any(count.on == day for one in outlook.taxa for count in one.counts):
        return outlook
    return stock_outlook(now, max((day - today).days, 1))


def as_object(outlook: StockOutlook, taxon: str, batch: str, day: date | None) -> dict[str, Any]:
    """The outlook for programs."""
    found: dict[str, Any] = {"on": outlook.on, "horizon_on": outlook.horizon_on}
    if batch:
        one = _batch(outlook, batch)
        found["batch"] = _batch_object(one, day)
        found["pots"] = [_pot_object(pot) for pot in outlook.pots if pot.pot.batch == one.batch]
    else:
        found["taxa"] = [
            {
                "taxon": one.taxon_name, "pots": one.pots, "kept": one.kept, "rate_per_30d": one.rate_per_30d,
                "ready_now": one.ready_now, "counts": _counts(one.counts, day),
            }
            for one in _taxa(outlook, taxon)
        ]  # fmt: skip
        keys = {one.taxon for one in _taxa(outlook, taxon)}
        kept = _all_kept(outlook)
        found["batches"] = [
            _batch_object(one, day) | ({"half_ready": None} if one.batch in kept else {})
            for one in outlook.batches
            if one.taxon in keys
        ]
    return found | {"count_next": outlook.count_next or None, "workings": outlook.workings}


def _batch_object(one: BatchOutlook, day: date | None) -> dict[str, Any]:
    return {
        "batch": one.batch_name, "taxon": one.taxon_name, "pots": one.pots, "rate_per_30d": one.rate_per_30d,
        "loss_per_30d_frac": one.loss_per_30d_frac, "half_ready": one.half_ready,
        "last_counted_on": one.last_counted_on, "counts": _counts(one.counts, day),
    }  # fmt: skip


def _pot_object(one: Any) -> dict[str, Any]:
    return {
        "pot": one.pot.name, "tank": one.pot.tank_name, "spot": one.pot.spot, "state": one.pot.state,
        "leaves": one.leaves, "rate_per_30d": one.rate_per_30d, "dates": one.dates,
        "p_ready_frac": one.p_ready_frac, "p_lost_per_30d_frac": one.p_lost_per_30d_frac,
        "is_slow": one.is_slow, "is_odd": one.is_odd, "why": one.why or None,
    }  # fmt: skip


def _counts(counts: Sequence[ReadyCount], day: date | None) -> list[dict[str, Any]]:
    return [
        {"grade": one.grade, "on": one.on, "p10": one.p10, "p50": one.p50, "p90": one.p90, "mean": one.mean}
        for one in counts
        if day is None or one.on == day
    ]


def _taxa(outlook: StockOutlook, taxon: str) -> list[TaxonOutlook]:
    if not taxon:
        return list(outlook.taxa)
    found = taxon_named(taxon)
    own = [one for one in outlook.taxa if one.taxon == found.key]
    if not own:
        raise RefusedByBook(f"No pot of {found.name} stands in any tank.", found.name)
    return own


def _batch(outlook: StockOutlook, name: str) -> BatchOutlook:
    found = [one for one in outlook.batches if one.batch_name.casefold() == name.strip().casefold()]
    if not found:
        names = ", ".join(one.batch_name for one in outlook.batches)
        raise RefusedInput("--batch", name, f"a batch with pots standing: {names}")
    return found[0]


def _print_taxa(taxa: Sequence[TaxonOutlook], outlook: StockOutlook, day: date | None, today: date) -> None:
    days = [day] if day else [outlook.on + timedelta(days=ahead) for ahead in SHOWN_DAYS]
    told = ["now" if one == today else show_date(one, today) for one in days]
    rows = []
    for taxon in taxa:
        known = {(count.grade, count.on): count for count in taxon.counts}
        for place, grade in enumerate(dict.fromkeys(count.grade for count in taxon.counts)):
            cells = [_span(known.get((grade, one))) for one in days]
            rows.append((taxon.taxon_name if place == 0 else "", grade, *cells))
    print_table("Ready, kept ones left out", ("Taxon", "Grade or better", *told), rows)
    keys, kept = {taxon.taxon for taxon in taxa}, _all_kept(outlook)
    batches = [
        (
            one.batch_name,
            str(one.pots),
            _pace(one.rate_per_30d),
            *(("all kept",) * 3 if one.batch in kept else _dates(one.half_ready, today)),
        )
        for one in outlook.batches
        if one.taxon in keys
    ]
    print_table(
        "When half of a batch is ready",
        ("Batch", "Pots", "Leaves in 30 days", "Small", "Standard", "Large"),
        batches,
    )


def _all_kept(outlook: StockOutlook) -> set[int]:
    """The batches of which no pot is for sale: none of theirs is waited for."""
    return {one.batch for one in outlook.batches} - {
        pot.pot.batch for pot in outlook.pots if pot.pot.state != "kept"
    }


def _print_batch(batch: BatchOutlook, outlook: StockOutlook, today: date) -> None:
    rows = [
        (
            str(one.pot.number),
            f"{one.pot.tank_name} {one.pot.spot}",
            one.pot.state,
            f"{one.leaves.p50:.0f}",
            _pace(one.rate_per_30d),
            *_dates(one.dates, today),
            one.why,
        )
        for one in outlook.pots
        if one.pot.batch == batch.batch
    ]
    heads = ("Pot", "Spot", "State", "Leaves", "In 30 days", "Small", "Standard", "Large", "")
    print_table(f"{batch.batch_name}, {batch.taxon_name}", heads, rows)


def _span(count: ReadyCount | None) -> str:
    """Pots, with the 80 % range where there is one."""
    if count is None:
        return "–"
    ends = f"{count.p10:.0f}", f"{count.p90:.0f}"
    return f"{count.p50:.0f}" if ends[0] == ends[1] else f"{count.p50:.0f} ({ends[0]}–{ends[1]})"


def _pace(rate: Span) -> str:
    return f"{rate.p50:.1f} ({rate.p10:.1f}–{rate.p90:.1f})"


def _dates(dates: Sequence[GradeDate], today: date) -> tuple[str, ...]:
    """When each grade is reached."""
    return tuple(
        "reached" if one.is_reached else show_dates(one.p10_on, one.p50_on, one.p90_on, today)
        for one in dates
    )
