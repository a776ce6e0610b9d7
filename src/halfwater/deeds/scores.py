"""The record of our own forecasts: kept when they were shown, settled when a count tells, and scored."""

from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import date, datetime, timedelta

from halfwater.book import changes, queries
from halfwater.deeds.came import (
    UNKNOWN_FRAC,
    Past,
    counted_since,
    gather_past,
    half_reached_on,
    ready_on,
)
from halfwater.deeds.clock import local_day
from halfwater.plain.figures import show_date
from halfwater.plain.growing import BatchOutlook, ForecastFact, ScoreLine, StockOutlook, TaxonOutlook
from halfwater.plain.stock import GRADES
from halfwater.science.scores import record_of, verdict_on

AHEAD_DAYS = (28, 56, 91)  # counts are kept for these days ahead
COUNTED_WITHIN_DAYS = 3  # a leaf forecast is told by a count of the same day, or so soon after
GIVE_UP_DAYS = 60  # a count that nobody took is waited for so long
KINDS = {"ready count": "pots", "ready date": "days", "leaves": "leaves"}
LATER_STILL = "not there yet on the day it was last counted"
NEVER_COUNTED = "not counted in time"


def keep_shown(outlook: StockOutlook) -> None:
    """Keep what an outlook foretells of each taxon and batch; shown twice on a day it is kept once."""
    past = gather_past(outlook.on)
    rows = [row for taxon in outlook.taxa for row in _ready_counts(taxon, outlook)]
    rows += [row for batch in outlook.batches for row in _ready_dates(batch, outlook, past)]
    if rows:
        changes.keep_forecasts(rows)


def keep_leaves(outlook: StockOutlook, tank: str) -> None:
    """Keep how many leaves are foretold of each pot of a tank, before they are counted."""
    rows = [
        ForecastFact(
            key=0, made_on=outlook.on, kind="leaves", subject=one.pot.name, about_on=outlook.on,
            p10=one.leaves.p10, p50=one.leaves.p50, p90=one.leaves.p90,
            naive=None if one.pot.leaves is None else float(one.pot.leaves),
            taxon=one.pot.taxon, batch=one.pot.batch, pot=one.pot.key,
        )
        for one in outlook.pots
        if one.pot.tank_name == tank and one.pot.counted_on != outlook.on
    ]  # fmt: skip
    if rows:
        changes.keep_forecasts(rows)


def settle(now: datetime) -> int:
    """Write down what came of the forecasts whose day has come; gives how many were settled now."""
    today = local_day(now, queries.nursery())
    due = [one for one in queries.forecasts(open_only=True) if _is_due(one, today)]
    if not due:
        return 0
    past = gather_past(today)
    told = [_told(one, past) for one in due]
    changed = [new for old, new in zip(due, told, strict=True) if new != old]
    if changed:
        changes.settle_forecasts(changed)
    return sum(one.settled_on is not None for one in changed)


def record() -> tuple[ScoreLine, ...]:
    """The record of each kind of forecast, those without a forecast too."""
    rows = queries.forecasts()
    return tuple(_line(kind, unit, [one for one in rows if one.kind == kind]) for kind, unit in KINDS.items())


def _ready_counts(taxon: TaxonOutlook, outlook: StockOutlook) -> Iterable[ForecastFact]:
    """The counts of some days ahead; the naive rival is what stands ready by the last counts."""
    wanted = {outlook.on + timedelta(days=days) for days in AHEAD_DAYS}
    own = [one for one in outlook.pots if one.pot.taxon == taxon.taxon and one.pot.state != "kept"]
    now = {grade: sum(when.is_reached for one in own for when in one.dates if when.grade == grade)
           for grade in GRADES}  # fmt: skip
    for count in taxon.counts:
        if count.on in wanted and count.batch is None:
            yield ForecastFact(
                key=0, made_on=outlook.on, kind="ready count",
                subject=f"{taxon.taxon_name}, {count.grade} or better", about_on=count.on,
                p10=count.p10, p50=count.p50, p90=count.p90, naive=float(now[count.grade]),
                taxon=taxon.taxon, grade=count.grade,
            )  # fmt: skip


def _ready_dates(batch: BatchOutlook, outlook: StockOutlook, past: Past) -> Iterable[ForecastFact]:
    """When half of a batch has a grade; the naive rival is what the last batch of the taxon took."""
    for when in batch.half_ready:
        if when.is_reached or when.p10_on is None or when.p50_on is None or when.p90_on is None:
            continue
        if when.p90_on <= outlook.on:
            continue
        naive = _naive_date(batch, when.grade, past)
        yield ForecastFact(
            key=0, made_on=outlook.on, kind="ready date", subject=f"{batch.batch_name}, half {when.grade}",
            about_on=None, p10=float(when.p10_on.toordinal()), p50=float(when.p50_on.toordinal()),
            p90=float(when.p90_on.toordinal()), naive=naive, taxon=batch.taxon, batch=batch.batch,
            grade=when.grade,
        )  # fmt: skip


def _naive_date(batch: BatchOutlook, grade: str, past: Past) -> float | None:
    """The day on which the batch would be half ready if it took as long as the one before it."""
    potted = {pot.batch: pot.potted_on for pot in past.pots if pot.taxon == batch.taxon}
    own_on = potted.get(batch.batch)
    if own_on is None:
        return None
    for earlier, potted_on in sorted(potted.items(), key=lambda one: one[1], reverse=True):
        if potted_on < own_on:
            reached_on, _, _ = half_reached_on(past, earlier, grade, potted_on)
            if reached_on is not None:
                return float(max(own_on + (reached_on - potted_on), past.today).toordinal())
    return None


def _is_due(one: ForecastFact, today: date) -> bool:
    if one.about_on is not None:
        return one.about_on <= today
    return date.fromordinal(int(one.p90)) <= today


def _told(one: ForecastFact, past: Past) -> ForecastFact:
    """The forecast with what came of it, or with what is missing."""
    if one.kind == "leaves":
        return _told_leaves(one, past)
    return _told_count(one, past) if one.kind == "ready count" else _told_date(one, past)


def _told_leaves(one: ForecastFact, past: Past) -> ForecastFact:
    made_on = one.made_on
    counts = past.counts.get(one.pot or 0, [])
    last_on = made_on + timedelta(days=COUNTED_WITHIN_DAYS)
    count = next((count for count in counts if made_on <= count.on <= last_on), None)
    if count is not None:
        return replace(one, outcome=float(count.leaves), settled_on=count.on, why_open="")
    if past.today > last_on:
        return replace(one, settled_on=past.today, why_open=NEVER_COUNTED)
    return replace(one, why_open="the pot is not counted yet")


def _told_count(one: ForecastFact, past: Past) -> ForecastFact:
    about_on = one.about_on or one.made_on
    ready, pots, unknown = ready_on(past, one.taxon or 0, one.grade, one.made_on, about_on)
    if unknown <= UNKNOWN_FRAC * pots:
        return replace(one, outcome=float(ready), settled_on=past.today, why_open="")
    if past.today > about_on + timedelta(days=GIVE_UP_DAYS):
        return replace(one, settled_on=past.today, why_open=NEVER_COUNTED)
    return replace(
        one, why_open=f"{unknown} of {pots} pots are not counted since {show_date(about_on, past.today)}"
    )


def _told_date(one: ForecastFact, past: Past) -> ForecastFact:
    """Early and late ones alike are settled once their range has passed: the early do not weigh more."""
    reached_on, _, _ = half_reached_on(past, one.batch or 0, one.grade, one.made_on)
    if reached_on is not None:
        return replace(one, outcome=float(reached_on.toordinal()), settled_on=past.today, why_open="")
    ends_on = date.fromordinal(int(one.p90)) + timedelta(days=1)
    pots = [pot for pot in past.stood(one.made_on) if pot.batch == one.batch]
    seen = counted_since(past, pots, ends_on)
    if pots and 2 * seen > len(pots):
        return replace(
            one, outcome=float(max(past.today, ends_on).toordinal()), settled_on=past.today,
            why_open=LATER_STILL,
        )  # fmt: skip
    if past.today > ends_on + timedelta(days=GIVE_UP_DAYS):
        return replace(one, settled_on=past.today, why_open=NEVER_COUNTED)
    return replace(
        one, why_open=f"too few pots of the batch are counted since {show_date(ends_on, past.today)}"
    )


def _line(kind: str, unit: str, rows: Sequence[ForecastFact]) -> ScoreLine:
    scored = [one for one in rows if one.outcome is not None]
    if not scored:
        return ScoreLine(kind, len(rows), 0, None, None, None, None, None, None, unit, _why_unscored(rows))
    found = record_of(
        [one.p10 for one in scored],
        [one.p50 for one in scored],
        [one.p90 for one in scored],
        [one.outcome for one in scored if one.outcome is not None],
        [float("nan") if one.naive is None else one.naive for one in scored],
    )
    return ScoreLine(
        kind=kind,
        forecasts=len(rows),
        scored=found.scored,
        inside_frac=found.inside_frac,
        inside_low_frac=found.inside_low_frac,
        inside_high_frac=found.inside_high_frac,
        width=found.width,
        crps=found.crps if found.crps_of_compared is None else found.crps_of_compared,
        naive_crps=found.naive_crps,
        unit=unit,
        verdict=verdict_on(found),
    )


def _why_unscored(rows: Sequence[ForecastFact]) -> str:
    """Why a kind has no record yet, in words."""
    if not rows:
        return "None is kept yet: each one that is shown is kept from now on."
    waiting = [one for one in rows if one.settled_on is None]
    days = [one.about_on or date.fromordinal(int(one.p90)) for one in waiting]
    told = next((one.why_open for one in waiting if one.why_open), "")
    if told:
        return f"None is scored yet: {told}."
    if days:
        return f"None is scored yet: the first comes due on {show_date(min(days))}."
    return "None is scored: the pots were not counted in time."
