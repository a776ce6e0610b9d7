"""The page of a pot: what was counted, when it is ready, where it stood, and what can be done with it."""

from dataclasses import dataclass
from datetime import date

from django.urls import reverse

from halfwater.deeds.pot import PotPage as PotFacts
from halfwater.pictures.leaves import LeavesPicture, leaves_sentence, leaves_spec, leaves_table
from halfwater.plain.figures import show, show_date
from halfwater.plain.growing import PotOutlook, StockOutlook
from halfwater.plain.stock import GONE_STATES, ParentFact, StandingPot
from halfwater.plain.working import Working
from halfwater.web import cautions
from halfwater.web.chart import Chart, Key
from halfwater.web.stock.words import (
    grade_date,
    grade_figure,
    leaves_said,
    next_grade,
    number_span,
    place_said,
)
from halfwater.web.tanks.drawers import Drawer
from halfwater.web.tanks.page import EntryLine, entry_line
from halfwater.web.workings import Figure


@dataclass(frozen=True, slots=True)
class PotPage:
    """One pot."""

    name: str
    about: str
    batch_name: str
    batch_url: str
    state: str
    tone: str
    answer: str
    more: str
    chart: Chart | None
    figures: tuple[Figure, ...]
    stays: tuple[tuple[str, str], ...]
    parents: tuple[tuple[str, str], ...]
    offspring: tuple[tuple[str, str, str], ...]
    drawers: tuple[Drawer, ...]
    entries: tuple[EntryLine, ...]
    before_url: str
    after_url: str
    cautions: tuple[str, ...]
    workings: tuple[Working, ...]


def pot_page(facts: PotFacts, outlook: StockOutlook, drawers: tuple[Drawer, ...], units: str) -> PotPage:
    """The page of one pot."""
    pot, ahead, today = facts.pot, facts.outlook, outlook.on
    before, after = _neighbours(facts)
    return PotPage(
        name=pot.name,
        about=f"{pot.taxon_name} · {place_said(pot)}",
        batch_name=pot.batch_name,
        batch_url=reverse("batch", args=[pot.batch]),
        state=pot.state,
        tone={"lost": "past", "sold": "quiet"}.get(pot.state, ""),
        answer=pot_answer(pot, ahead, today),
        more=ahead.why if ahead else "",
        chart=_chart(facts, outlook.horizon_on),
        figures=pot_figures(pot, ahead, today, units),
        stays=tuple(
            (
                f"{stay.tank_name} {stay.spot}",
                f"{show_date(stay.from_on, today)} to "
                f"{show_date(stay.to_on, today) if stay.to_on else 'today'}",
            )
            for stay in facts.stays
        ),
        parents=parent_links(facts.parents),
        offspring=tuple(
            (one.batch_name, reverse("batch", args=[one.batch]), show_date(one.potted_on, today))
            for one in facts.offspring
        ),
        drawers=drawers,
        entries=tuple(entry_line(entry, today, units) for entry in facts.entries),
        before_url=before,
        after_url=after,
        cautions=(cautions.SAP, cautions.TRADE) if drawers else (),
        workings=outlook.workings if ahead else (),
    )


def parent_links(parents: tuple[ParentFact, ...]) -> tuple[tuple[str, str], ...]:
    """Each parent with its page: the pot where it is known, else its batch."""
    return tuple(
        (
            f"{one.batch_name} {one.number}" if one.number else one.batch_name,
            reverse("pot", args=[one.pot]) if one.pot else reverse("batch", args=[one.batch]),
        )
        for one in parents
    )


def pot_answer(pot: StandingPot, ahead: PotOutlook | None, today: date) -> str:
    """What is to be known of the pot in one sentence."""
    if pot.state in GONE_STATES:
        on = f" on {show_date(pot.left_on, today)}" if pot.left_on else ""
        return f"It was {pot.state}{on}{f', {pot.cause}' if pot.cause else ''}."
    counted = leaves_said(pot, today)
    has = "It was never counted" if pot.leaves is None else f"It had {counted}"
    if ahead is None:
        return f"{has}."
    coming = next_grade(ahead.dates)
    if coming is None:
        return f"{has}: it has the last grade."
    chance = f"{100 * coming.p_by_horizon_frac:.0f} % get there in half a year"
    if coming.p50_on is None:
        return f"{has}. The grade {coming.grade} ({coming.leaves} leaves) lies far off: {chance}."
    return f"{has}. It reaches the grade {coming.grade} ({coming.leaves} leaves) {grade_date(coming, today)}."


def pot_figures(pot: StandingPot, ahead: PotOutlook | None, today: date, units: str) -> tuple[Figure, ...]:
    """The pot in figures; what is not known is left out."""
    found = []
    if ahead:
        leaves, leaves_more = number_span(ahead.leaves)
        rate, rate_more = number_span(ahead.rate_per_30d, 2)
        found = [
            *(
                grade_figure(f"{one.grade.capitalize()}, {one.leaves} leaves", one, today)
                for one in ahead.dates
            ),
            Figure("Leaves today", leaves, leaves_more),
            Figure("New leaves in 30 days", rate, rate_more),
            Figure("Ready today", show(ahead.p_ready_frac, "frac"), "chance of the small grade or better"),
            Figure("Lost in 30 days", show(ahead.p_lost_per_30d_frac, "frac"), "chance"),
        ]
    found.append(
        Figure("Potted", show_date(pot.potted_on, today), f"{(today - pot.potted_on).days} days ago")
    )
    if pot.section_mm is not None or pot.piece:
        length = show(pot.section_mm, "mm", units) if pot.section_mm is not None else "length not noted"
        found.append(Figure("Section", length, pot.piece))
    if pot.rhizome_mm is not None:
        found.append(Figure("Rhizome", show(pot.rhizome_mm, "mm", units), show_date(pot.measured_on, today)))
    if pot.grade:
        found.append(Figure("Grade by hand", pot.grade))
    return tuple(found)


def _chart(facts: PotFacts, horizon_on: date) -> Chart | None:
    counts = tuple((one.on, one.leaves) for one in facts.counts)
    dates = facts.outlook.dates if facts.outlook else ()
    picture = LeavesPicture(facts.pot.name, counts, dates, horizon_on)
    if not counts and not any(one.p10_on for one in dates):
        return None
    keys = (Key("count", "shared/keys/reading.html"), Key("80 % range of the day", "shared/keys/span.html"))
    return Chart("leaves", f"{leaves_sentence(picture)}.", leaves_spec(picture), leaves_table(picture), keys)


def _neighbours(facts: PotFacts) -> tuple[str, str]:
    """The pots before and after it in its batch."""
    keys = [one.key for one in facts.siblings]
    place = keys.index(facts.pot.key)
    before = reverse("pot", args=[keys[place - 1]]) if place else ""
    after = reverse("pot", args=[keys[place + 1]]) if place + 1 < len(keys) else ""
    return before, after
