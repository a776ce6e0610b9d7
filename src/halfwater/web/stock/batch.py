"""The page of a batch: what it is, when half of it is ready, its pots."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from django.urls import reverse

from halfwater.pictures.floor import draw_state
from halfwater.plain.figures import show_date
from halfwater.plain.growing import BatchOutlook, PotOutlook, StockOutlook
from halfwater.plain.stock import GONE_STATES, BatchFacts, StandingPot
from halfwater.plain.working import Working
from halfwater.web.chart import Chart
from halfwater.web.stock.page import StateCount, ready_chart, state_counts
from halfwater.web.stock.pot import parent_links
from halfwater.web.stock.words import (
    grade_date,
    grade_figure,
    leaves_said,
    next_grade,
    number_span,
    place_said,
    pots_said,
    share_span,
)
from halfwater.web.workings import Figure


@dataclass(frozen=True, slots=True)
class PotLine:
    """A pot as it is listed."""

    number: int
    url: str
    place: str
    state: str
    drawing: str
    leaves: str
    ready: str


@dataclass(frozen=True, slots=True)
class BatchPage:
    """One batch."""

    name: str
    about: str
    answer: str
    counts: tuple[StateCount, ...]
    chart: Chart | None
    figures: tuple[Figure, ...]
    pots: tuple[PotLine, ...]
    gone: tuple[PotLine, ...]
    parents: tuple[tuple[str, str], ...]
    parent_note: str
    blade: str
    edit_url: str
    lineage_url: str
    workings: tuple[Working, ...]


def batch_page(
    batch: BatchFacts, outlook: StockOutlook, pots: Sequence[StandingPot], releases: tuple[date, ...]
) -> BatchPage:
    """The page of one batch."""
    ahead = next((one for one in outlook.batches if one.batch == batch.key), None)
    by_pot = {one.pot.key: one for one in outlook.pots}
    counts = state_counts(batch.counts)
    ordered = sorted(pots, key=lambda one: one.number)
    lines = [_pot_line(pot, by_pot.get(pot.key), outlook.on) for pot in ordered]
    return BatchPage(
        name=batch.name,
        about=f"{batch.taxon_name} · potted {show_date(batch.potted_on, outlook.on)}",
        answer=batch_answer(batch, ahead, outlook.on),
        counts=counts,
        chart=ready_chart("ready", batch.name, ahead.counts, releases) if ahead else None,
        figures=batch_figures(ahead, outlook.on) if ahead else (),
        pots=tuple(line for line in lines if line.state not in GONE_STATES),
        gone=tuple(line for line in lines if line.state in GONE_STATES),
        parents=parent_links(batch.parents),
        parent_note=batch.parent_note,
        blade=batch.blade,
        edit_url=reverse("batch-edit", args=[batch.key]),
        lineage_url=f"{reverse('lineage')}?batch={batch.key}",
        workings=outlook.workings if ahead else (),
    )


def batch_answer(batch: BatchFacts, ahead: BatchOutlook | None, today: date) -> str:
    """When half of it is ready."""
    if ahead is None:
        gone = sum(batch.counts.values())
        return "All its pots are sold or lost." if gone else "No pot of it stands on a spot yet."
    coming = next_grade(ahead.half_ready)
    stand = f"{pots_said(ahead.pots)} {'stands' if ahead.pots == 1 else 'stand'}"
    if coming is None:
        return f"{stand}, and half of them or more have the last grade."
    return f"{stand}. Half of them reach the grade {coming.grade} {grade_date(coming, today)}."


def batch_figures(ahead: BatchOutlook, today: date) -> tuple[Figure, ...]:
    """The batch in figures."""
    rate, rate_more = number_span(ahead.rate_per_30d, 2)
    loss, loss_more = share_span(ahead.loss_per_30d_frac)
    counted = show_date(ahead.last_counted_on, today) if ahead.last_counted_on else "never"
    return (
        *(grade_figure(f"Half are {one.grade}", one, today) for one in ahead.half_ready),
        Figure("New leaves in 30 days", rate, rate_more),
        Figure("Lost in 30 days", loss, loss_more),
        Figure("Last counted", counted, f"{len(ahead.slow)} slow" if ahead.slow else ""),
    )


def _pot_line(pot: StandingPot, ahead: PotOutlook | None, today: date) -> PotLine:
    from_outlook = next_grade(ahead.dates) if ahead else None
    ready = ""
    if from_outlook:
        ready = f"{from_outlook.grade} {grade_date(from_outlook, today)}"
    elif ahead and ahead.dates:
        ready = ahead.dates[-1].grade
    return PotLine(
        number=pot.number,
        url=reverse("pot", args=[pot.key]),
        place=place_said(pot) if pot.spot else "",
        state=pot.state,
        drawing=draw_state(pot.state),
        leaves=leaves_said(pot, today),
        ready=ready,
    )
