"""The page of a line as plain data."""

from dataclasses import dataclass
from datetime import datetime

from django.urls import reverse

from halfwater.book import queries
from halfwater.deeds.releases import show_instant
from halfwater.plain.selling import HoldFacts, LineFacts, OfferedPot, ReleaseFacts
from halfwater.web.chart import Chart
from halfwater.web.fields import Form
from halfwater.web.selling.cards import LineCard, Mark, line_card, marks
from halfwater.web.selling.charts import line_chart, lines_sold
from halfwater.web.selling.forms import change_line_form, hold_form, offer_form
from halfwater.web.selling.sheet import Button
from halfwater.web.selling.words import plants_said
from halfwater.web.tanks.drawers import Drawer


@dataclass(frozen=True, slots=True)
class PotTick:
    """A free pot that can be taken back."""

    key: int
    place: str
    leaves: str


@dataclass(frozen=True, slots=True)
class HeldRow:
    """A hold as it stands in a list."""

    what: str
    until: str
    let_go: str  # where it is let go


@dataclass(frozen=True, slots=True)
class LinePage:
    """A line in one view."""

    title: str
    back: str
    back_url: str
    state: str
    tone: str
    answer: str
    buttons: tuple[Button, ...]
    line: LineCard
    text: str
    marks: tuple[Mark, ...]
    chart: Chart | None
    free: tuple[PotTick, ...]
    back_form: str  # where ticked pots are taken back
    promised: tuple[str, ...]
    holds: tuple[HeldRow, ...]
    drawers: tuple[Drawer, ...]


def line_page(
    release: ReleaseFacts, line: LineFacts, now: datetime, refused: tuple[str, Form] | None = None
) -> LinePage:
    """A line: its pots one by one, its price, its holds, and what can be changed."""
    pots = queries.line_pots(line.key, now)
    card = line_card(release, line, {line.key: pots})
    sold = next((one for one in lines_sold(release.key, now) if one.line == line.key), None)
    is_over = release.state == "closed"
    return LinePage(
        title=card.title,
        back=release.name,
        back_url=reverse("release", args=[release.key]),
        state=card.state,
        tone=card.tone,
        answer=_answer(release, line, card.price),
        buttons=() if is_over else (_take_out(release.key, line.key),),
        line=card,
        text=line.text,
        marks=marks(),
        chart=line_chart(sold, now) if sold else None,
        free=() if is_over else tuple(_tick(pot) for pot in pots if pot.order is None and not pot.hold),
        back_form=reverse("line-step", args=[release.key, line.key, "back"]),
        promised=tuple(f"{pot.tank} {pot.spot} ({pot.name}), order {pot.order}" for pot in pots if pot.order),
        holds=tuple(_held(one) for one in queries.holds(line.key, now) if one.state == "held"),
        drawers=() if is_over else _drawers(release, line, refused),
    )


def _answer(release: ReleaseFacts, line: LineFacts, price: str) -> str:
    if release.state == "closed":
        return f"{line.ordered} of {line.offered} plants were sold at {price} each."
    if not line.offered:
        return f"No pot stands behind this line yet; a plant is {price}."
    if not line.free:
        held = f", {line.held} held" if line.held else ""
        return (
            f"Nothing is free: {line.ordered} of {plants_said(line.offered)} ordered{held}, at {price} each."
        )
    ready = "are ready to be offered" if release.state == "drafted" else "can still be had"
    return f"{plants_said(line.free)} {ready} at {price} each; {line.ordered} ordered."


def _take_out(release: int, line: int) -> Button:
    url = reverse("line-step", args=[release, line, "remove"])
    return Button("Take the line out …", url, is_post=False, is_danger=True)


def _tick(pot: OfferedPot) -> PotTick:
    leaves = (
        "not counted" if pot.leaves is None else plants_said(pot.leaves, "leaf").replace("leafs", "leaves")
    )
    return PotTick(pot.pot, f"{pot.tank} {pot.spot}".strip() or pot.name, leaves)


def _held(hold: HoldFacts) -> HeldRow:
    buyer = f" for {hold.buyer.name}" if hold.buyer and hold.buyer.name else ""
    until = show_instant(hold.until, queries.nursery())
    return HeldRow(f"{plants_said(hold.plants)}{buyer}", until, reverse("hold-go", args=[hold.uuid]))


def _drawers(release: ReleaseFacts, line: LineFacts, refused: tuple[str, Form] | None) -> tuple[Drawer, ...]:
    made = [
        ("change", "Change price, limit, words or photo", "Keep it", change_line_form(line)),
        ("pots", "Put more pots behind it", "Put them behind it", offer_form(release.key, line.key)),
    ]
    if release.state != "drafted":
        made.append(("hold", "Put plants aside for a buyer", "Hold them", hold_form(line)))
    return tuple(
        Drawer(kind, title, does, "", refused[1], is_open=True)
        if refused and refused[0] == kind
        else Drawer(kind, title, does, "", form)
        for kind, title, does, form in made
    )
