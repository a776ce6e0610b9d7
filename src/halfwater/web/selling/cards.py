"""Cards of Sales: a line with its pots, a release in short."""

from collections.abc import Mapping
from dataclasses import dataclass

from django.urls import reverse

from halfwater.book import queries
from halfwater.deeds.releases import show_instant
from halfwater.pictures.pot_row import STANDINGS, PotRow, draw_pot_row, draw_standing, pot_row_sentence
from halfwater.plain.figures import show_money
from halfwater.plain.selling import LineFacts, OfferedPot, ReleaseFacts
from halfwater.web.selling.words import RELEASE_TONES, plants_said, release_said, spots_in_short


@dataclass(frozen=True, slots=True)
class Mark:
    """One sign in the legend of the row of pots."""

    word: str
    drawing: str


@dataclass(frozen=True, slots=True)
class LineCard:
    """A line: what it asks, its pots, how it stands."""

    title: str
    url: str
    price: str
    limit: str
    pot_row: str
    said: str
    more: tuple[str, ...]
    where: str
    state: str
    tone: str
    photo: str


@dataclass(frozen=True, slots=True)
class ReleaseCard:
    """A release in short."""

    name: str
    url: str
    state: str
    tone: str
    when: str
    said: str
    pot_row: str
    lines: str


def marks() -> tuple[Mark, ...]:
    """The legend of the row of pots."""
    return tuple(Mark(one, draw_standing(one)) for one in STANDINGS)


def pots_of(*lines: LineFacts) -> PotRow:
    """How many pots of some lines are ordered, held and free."""
    return PotRow(
        sum(one.ordered for one in lines), sum(one.held for one in lines), sum(one.free for one in lines)
    )


def line_card(
    release: ReleaseFacts, line: LineFacts, pots: Mapping[int, tuple[OfferedPot, ...]] | None = None
) -> LineCard:
    """A line as it stands on the page of its release."""
    nursery = queries.nursery()
    row = pots_of(line)
    free = [pot for pot in (pots or {}).get(line.key, ()) if pot.order is None and not pot.hold]
    more = []
    if line.sold_out_at is not None:
        more.append(f"Sold out {show_instant(line.sold_out_at, nursery)}.")
    if line.lost:
        more.append(f"{plants_said(line.lost, 'ordered plant')} died and have no substitute.")
    state, tone = line_state(release, line)
    return LineCard(
        title=f"{line.taxon_name}, {line.grade}",
        url=reverse("line", args=[release.key, line.key]),
        price=show_money(line.price_minor, nursery.currency),
        limit=f"at most {line.limit_per_buyer} a buyer" if line.limit_per_buyer else "no limit a buyer",
        pot_row=draw_pot_row(row) if row.pots else "",
        said=f"{pot_row_sentence(row)}." if row.pots else "No pot stands behind it yet.",
        more=tuple(more),
        where=spots_in_short(free),
        state=state,
        tone=tone,
        photo=reverse("photo", args=[line.photo]) if line.photo else "",
    )


def line_state(release: ReleaseFacts, line: LineFacts) -> tuple[str, str]:
    """A line's state in a word, and its tone."""
    if release.state in ("drafted", "closed"):
        return release.state, "quiet"
    return ("sold out", "due") if line.offered and not line.free else ("on offer", "")


def release_card(facts: ReleaseFacts) -> ReleaseCard:
    """A release as it stands in a list."""
    nursery = queries.nursery()
    row = pots_of(*facts.lines)
    instants = [at for at in (facts.opened_at, facts.opens_at) if at is not None]
    when = (
        "" if facts.state == "drafted" or not instants else f"Opened {show_instant(max(instants), nursery)}."
    )
    return ReleaseCard(
        name=facts.name,
        url=reverse("release", args=[facts.key]),
        state=facts.state,
        tone=RELEASE_TONES.get(facts.state, ""),
        when=when,
        said=release_said(facts),
        pot_row=draw_pot_row(row) if row.pots else "",
        lines=", ".join(f"{one.taxon_name} {one.grade}" for one in facts.lines),
    )
