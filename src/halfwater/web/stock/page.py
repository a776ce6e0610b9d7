"""The Stock page as plain data: what is ready when, by taxon and grade, then taxa, batches and slow pots."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from django.urls import reverse

from halfwater.pictures.floor import draw_state
from halfwater.pictures.ready import ReadyPicture, grades_of, ready_sentence, ready_spec, ready_table
from halfwater.plain.growing import ReadyCount, Span, StockOutlook, TaxonOutlook
from halfwater.plain.stock import GONE_STATES, GRADES, POT_STATES, BatchFacts
from halfwater.plain.working import Working
from halfwater.web.chart import Chart, Key
from halfwater.web.stock.words import count_span, number_span, place_said, pots_said, share_span
from halfwater.web.workings import Figure

MOST_SLOW = 8  # shown at once; the rest are folded away


@dataclass(frozen=True, slots=True)
class StateCount:
    """Pots in one state, with the drawing of the state."""

    state: str
    pots: int
    drawing: str


@dataclass(frozen=True, slots=True)
class BatchLine:
    """A batch as it is listed."""

    key: int
    name: str
    taxon: str
    potted: str
    age: str
    parent: str
    counts: tuple[StateCount, ...]
    where: tuple[tuple[str, int], ...]


@dataclass(frozen=True, slots=True)
class TaxonTab:
    """A taxon that can be looked at."""

    name: str
    url: str
    pots: int
    is_here: bool


@dataclass(frozen=True, slots=True)
class SlowPot:
    """A pot that is slow or whose count is odd."""

    name: str
    url: str
    place: str
    word: str
    why: str


@dataclass(frozen=True, slots=True)
class StockPage:
    """The stock in one view."""

    answer: str
    more: str
    counts: tuple[StateCount, ...]
    tabs: tuple[TaxonTab, ...]
    taxon: str
    chart: Chart | None
    figures: tuple[Figure, ...]
    batches: tuple[BatchLine, ...]
    slow: tuple[SlowPot, ...]
    more_slow: tuple[SlowPot, ...]
    workings: tuple[Working, ...]


def stock_page(
    outlook: StockOutlook,
    batches: Sequence[BatchFacts],
    counts: Mapping[str, int],
    wanted: str,
    releases: tuple[date, ...],
) -> StockPage:
    """The page, looked at from one taxon; the one with most pots where none is asked for."""
    largest = sorted(outlook.taxa, key=lambda one: -one.pots)
    taxon = next((one for one in largest if f"{one.taxon}" == wanted), largest[0] if largest else None)
    standing = [one for one in batches if _standing(one)]
    slow = slow_pots(outlook)
    return StockPage(
        answer=stock_answer(outlook, counts, len(standing)),
        more=outlook.count_next,
        counts=state_counts(counts),
        tabs=tuple(
            TaxonTab(one.taxon_name, f"{reverse('stock')}?taxon={one.taxon}#ready", one.pots, one is taxon)
            for one in largest
        ),
        taxon=taxon.taxon_name if taxon else "",
        chart=ready_chart("ready", taxon.taxon_name, taxon.counts, releases) if taxon else None,
        figures=taxon_figures(taxon) if taxon else (),
        batches=tuple(
            batch_line(batch, outlook.on) for batch in sorted(batches, key=lambda one: not _standing(one))
        ),
        slow=slow[:MOST_SLOW],
        more_slow=slow[MOST_SLOW:],
        workings=outlook.workings,
    )


def slow_pots(outlook: StockOutlook) -> tuple[SlowPot, ...]:
    """The pots that stand out: slow ones first, then those whose count is odd, each in walking order."""
    named = [one for one in outlook.pots if one.is_slow or one.is_odd]
    return tuple(
        SlowPot(
            name=one.pot.name,
            url=reverse("pot", args=[one.pot.key]),
            place=place_said(one.pot),
            word="slow" if one.is_slow else "odd count",
            why=one.why,
        )
        for one in sorted(named, key=lambda one: not one.is_slow)
    )


def stock_answer(outlook: StockOutlook, counts: Mapping[str, int], batches: int) -> str:
    """The stock in one sentence."""
    standing = sum(pots for state, pots in counts.items() if state not in GONE_STATES)
    if not standing:
        return "No pot stands on a spot yet. Add a batch, then place its pots on a floor."
    ready = sum(span.p50 for taxon in outlook.taxa for span in taxon.ready_now.values())
    last = max((one.on for taxon in outlook.taxa for one in taxon.counts), default=outlook.on)
    ahead = _on(outlook, last)
    said = (
        f"{ready:.0f} of them likely ready to sell today"
        if round(ready)
        else "none of them ready to sell yet"
    )
    then = f"; about {count_span(ahead)} by {last:%-d %B %Y}, if none were sold" if last > outlook.on else ""
    of = f"{batches} batch{'es' if batches != 1 else ''}"
    return f"{pots_said(standing)} of {of} stand on the floors, {said}{then}."


def taxon_figures(taxon: TaxonOutlook) -> tuple[Figure, ...]:
    """One taxon in figures: what is ready, how fast it grows, what dies."""
    rate, rate_more = number_span(taxon.rate_per_30d, 2)
    start, _ = number_span(taxon.prior_rate_per_30d, 2)
    loss, loss_more = share_span(taxon.loss_per_30d_frac)
    settling, settling_more = share_span(taxon.settling_loss_frac)
    return (
        *(
            Figure(f"Ready now, {grade}", count_span(taxon.ready_now[grade]))
            for grade in GRADES
            if grade in taxon.ready_now
        ),
        Figure("Standing", pots_said(taxon.pots), f"{taxon.kept} kept, {taxon.counted_pots} counted"),
        Figure("New leaves in 30 days", rate, f"{rate_more}; starting value {start}"),
        Figure("Lost while settling", settling, settling_more),
        Figure("Lost in 30 days after", loss, loss_more),
    )


def ready_chart(
    name: str, subject: str, counts: tuple[ReadyCount, ...], releases: tuple[date, ...]
) -> Chart | None:
    """The fan of ready pots with its table; None where nothing is counted ahead."""
    if not counts:
        return None
    picture = ReadyPicture(subject, counts, releases)
    keys = [Key(f"{grade}: median", f"shared/keys/{grade}.html") for grade in grades_of(counts)]
    keys.append(Key("80 % range", "shared/keys/fan.html"))
    days = {one.on for one in counts}
    if any(min(days) <= on <= max(days) for on in releases):
        keys.append(Key("release", "shared/keys/release.html"))
    return Chart(name, f"{ready_sentence(picture)}.", ready_spec(picture), ready_table(picture), tuple(keys))


def state_counts(counts: Mapping[str, int]) -> tuple[StateCount, ...]:
    """Counts with their drawings, the zeros left out."""
    return tuple(
        StateCount(state, counts[state], draw_state(state)) for state in POT_STATES if counts.get(state)
    )


def batch_line(batch: BatchFacts, today: date) -> BatchLine:
    """A batch as it is listed."""
    weeks = (today - batch.potted_on).days // 7
    parents = ", ".join(dict.fromkeys(parent.batch_name for parent in batch.parents))
    return BatchLine(
        key=batch.key,
        name=batch.name,
        taxon=batch.taxon_name,
        potted=f"{batch.potted_on:%-d %B %Y}",
        age=f"{weeks} weeks ago" if weeks != 1 else "1 week ago",
        parent=parents or batch.parent_note,
        counts=state_counts(batch.counts),
        where=tuple(batch.where.items()),
    )


def _standing(batch: BatchFacts) -> int:
    return sum(pots for state, pots in batch.counts.items() if state not in GONE_STATES)


def _on(outlook: StockOutlook, day: date) -> Span:
    """Pots at the smallest grade or better on a day: medians added, the ranges as if taxa were apart."""
    found = [
        min((one for one in taxon.counts if one.on == day), key=lambda one: GRADES.index(one.grade))
        for taxon in outlook.taxa
        if any(one.on == day for one in taxon.counts)
    ]
    middle = sum(one.p50 for one in found)
    low = sum((one.p50 - one.p10) ** 2 for one in found) ** 0.5
    high = sum((one.p90 - one.p50) ** 2 for one in found) ** 0.5
    return Span(max(middle - low, 0.0), middle, middle + high)
