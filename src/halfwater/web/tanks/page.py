"""The pages of Tanks as plain data."""

from collections.abc import Sequence, Set
from dataclasses import dataclass
from datetime import date
from functools import lru_cache

from django.urls import reverse

from halfwater.deeds.floor import StandingSpot, floor_of
from halfwater.deeds.tank import LevelOn, TankAnswer
from halfwater.pictures.floor import (
    FloorPlan,
    FloorSpot,
    count_states,
    draw_floor,
    draw_state,
    floor_sentence,
)
from halfwater.pictures.gauge import GaugePicture, draw_gauge
from halfwater.pictures.waterline import (
    LevelDay,
    WaterlinePicture,
    waterline_sentence,
    waterline_spec,
    waterline_table,
)
from halfwater.plain.entry import EntryFact
from halfwater.plain.figures import show
from halfwater.plain.tank import TankFacts
from halfwater.plain.working import Working
from halfwater.web import cautions
from halfwater.web.chart import Chart, Key
from halfwater.web.stock.page import StateCount
from halfwater.web.tanks import words
from halfwater.web.tanks.bath import BathPart
from halfwater.web.tanks.care import CarePart
from halfwater.web.tanks.drawers import Drawer
from halfwater.web.workings import Figure

AFTER_PASSING_DAYS = 5
LEAST_AHEAD_DAYS = 21
_spec_of = lru_cache(maxsize=64)(waterline_spec)  # built once until the next entry
_KEYS = ("reading", "water", "ahead", "fan", "limit", "clay", "low", "siphon")
_KEY_WORDS = {
    "reading": "reading",
    "water": "worked out",
    "ahead": "forecast",
    "fan": "80 % range",
    "limit": "limit line",
    "clay": "clay line",
    "low": "low line",
    "siphon": "siphon",
}


@dataclass(frozen=True, slots=True)
class TankCard:
    """One tank as it is listed."""

    name: str
    url: str
    gauge: str
    word: str
    tone: str
    sentence: str
    about: str
    salts: str = ""  # said where they are past their limit


@dataclass(frozen=True, slots=True)
class TanksPage:
    """All tanks."""

    answer: str
    tone: str
    tanks: tuple[TankCard, ...]
    laid_up: tuple[TankCard, ...]


@dataclass(frozen=True, slots=True)
class EntryLine:
    """One entry as it is listed."""

    when: str
    kind: str
    amount: str
    note: str
    photo_url: str
    is_void: bool
    put_right_url: str


@dataclass(frozen=True, slots=True)
class TankPage:
    """One tank."""

    name: str
    about: str
    answer: str
    more: str
    tone: str
    chart: Chart | None
    figures: tuple[Figure, ...]
    workings: tuple[Working, ...]
    floor: str
    floor_says: str
    counts: tuple[StateCount, ...]
    bath: BathPart
    care: tuple[CarePart, ...]
    drawers: tuple[Drawer, ...]
    cautions: tuple[str, ...]
    entries: tuple[EntryLine, ...]
    more_url: str
    edit_url: str
    place_url: str


def tanks_page(
    answers: Sequence[TankAnswer],
    laid_up: Sequence[TankFacts],
    salty: Set[int],
    today: date,
    units: str,
) -> TanksPage:
    """The list in walking order; `salty` are the tanks whose salts are past their limit."""
    cards = tuple(_card(answer, today, units, answer.tank.key in salty) for answer in answers)
    due = [card for card in cards if card.tone in ("due", "past")]
    said = ", ".join(f"{card.name} ({card.word})" for card in due)
    answer = f"To be siphoned: {said}." if due else "No tank has to be siphoned in the next days."
    tone = "past" if any(card.tone == "past" for card in due) else ("due" if due else "")
    laid = tuple(TankCard(one.name, reverse("tank", args=[one.name]), "", "", "", "", "") for one in laid_up)
    return TanksPage(answer if cards else "No tank is in use.", tone, cards, laid)


def tank_page(
    answer: TankAnswer,
    entries: Sequence[EntryFact],
    drawers: tuple[Drawer, ...],
    bath: BathPart,
    care: tuple[CarePart, ...],
    today: date,
    units: str,
    more_url: str,
) -> TankPage:
    """The page of one tank."""
    tank = answer.tank
    plan = _floor_plan(tank, floor_of(tank))
    counts = tuple(
        StateCount(state, pots, draw_state(state)) for state, pots in count_states(plan.spots).items()
    )
    return TankPage(
        name=tank.name,
        about=about(tank, units),
        answer=words.answer_sentence(answer, today, units),
        more=words.sharper_sentence(answer, is_unnoted=not (entries or answer.readings)),
        tone=words.state_of(answer, today)[1],
        chart=_chart(answer, units) if answer.past or answer.ahead else None,
        figures=words.figures_of(answer, units),
        workings=answer.workings,
        floor=draw_floor(plan),
        floor_says=f"{floor_sentence(plan)}.",
        counts=counts,
        bath=bath,
        care=care,
        drawers=drawers,
        cautions=_cautions(answer),
        entries=tuple(entry_line(entry, today, units) for entry in entries),
        more_url=more_url,
        edit_url=reverse("tank-edit", args=[tank.name]),
        place_url=reverse("tank-place", args=[tank.name]),
    )


def about(tank: TankFacts, units: str) -> str:
    """The tank in a few figures."""
    size = f"{show(tank.length_mm, 'mm', units)} x {show(tank.width_mm, 'mm', units)}"
    pots = f"{tank.pots} pots of {show(tank.pot.top_mm, 'mm', units)}" if tank.pot else "no pots described"
    return f"{size}, {pots}"


def entry_line(entry: EntryFact, today: date, units: str) -> EntryLine:
    """One entry as it is listed."""
    parts = [entry.mix_name, entry.spot, entry.text]
    if entry.voided_at is not None:
        parts.append(f"void: {entry.void_reason}")
    kind = "morning spray" if entry.kind == "spray" and entry.word == "morning" else entry.kind
    return EntryLine(
        when=words.entry_day(entry, today),
        kind=kind,
        amount=words.entry_amount(entry, units) if entry.kind not in ("skip", "note") else "",
        note=" · ".join(part for part in parts if part),
        photo_url=reverse("photo", args=[entry.photo]) if entry.photo else "",
        is_void=entry.voided_at is not None,
        put_right_url=reverse("entry", args=[entry.uuid]),
    )


def _card(answer: TankAnswer, today: date, units: str, is_salty: bool = False) -> TankCard:
    word, tone = words.state_of(answer, today)
    gauge = ""
    if answer.clay_line_mm and answer.limit_line_mm and answer.low_line_mm:
        said = f"Waterline of {answer.tank.name}: {show(answer.depth_mm, 'mm', units)}"
        gauge = draw_gauge(
            GaugePicture(answer.depth_mm, answer.clay_line_mm, answer.limit_line_mm, answer.low_line_mm, said)
        )
    return TankCard(
        name=answer.tank.name,
        url=reverse("tank", args=[answer.tank.name]),
        gauge=gauge,
        word=word,
        tone=tone,
        sentence=words.answer_sentence(answer, today, units),
        about=about(answer.tank, units),
        salts="salts past their limit" if is_salty else "",
    )


def _chart(answer: TankAnswer, units: str) -> Chart:
    picture = WaterlinePicture(
        tank=answer.tank.name,
        units=units,
        known=_levels(answer.past),
        ahead=_until_passed(_levels(answer.ahead), answer.limit_line_mm or 0.0),
        readings=answer.readings,
        siphons=answer.siphons,
        clay_line_mm=answer.clay_line_mm or 0.0,
        limit_line_mm=answer.limit_line_mm or 0.0,
        low_line_mm=answer.low_line_mm or 0.0,
    )
    return Chart(
        id="waterline",
        caption=f"{waterline_sentence(picture)}.",
        spec=_spec_of(picture),
        table=waterline_table(picture),
        keys=tuple(Key(_KEY_WORDS[key], f"shared/keys/{key}.html") for key in _KEYS),
    )


def _until_passed(ahead: tuple[LevelDay, ...], limit_mm: float) -> tuple[LevelDay, ...]:
    """The days ahead up to shortly after nine in ten futures have passed the limit line."""
    passed = next((place for place, day in enumerate(ahead) if day.low_mm > limit_mm), len(ahead))
    return ahead[: max(passed + AFTER_PASSING_DAYS, LEAST_AHEAD_DAYS)]


def _levels(levels: Sequence[LevelOn]) -> tuple[LevelDay, ...]:
    return tuple(LevelDay(one.on, one.depth_mm, one.low_mm, one.high_mm) for one in levels)


def _floor_plan(tank: TankFacts, spots: Sequence[StandingSpot]) -> FloorPlan:
    return FloorPlan(
        tank=tank.name,
        length_mm=tank.length_mm,
        width_mm=tank.width_mm,
        pot_mm=tank.pot.top_mm if tank.pot else 0.0,
        spots=tuple(FloorSpot(one.name, one.x_mm, one.y_mm, one.state, _label(one)) for one in spots),
        keep_outs=tank.keep_outs,
    )


def _label(spot: StandingSpot) -> str:
    if spot.state == "empty":
        return ""
    leaves = f", {spot.leaves} leaves" if spot.leaves else ""
    return f"{spot.state}, {spot.taxon_name} ({spot.batch_name}){leaves}"


def _cautions(answer: TankAnswer) -> tuple[str, ...]:
    load = (f"{answer.weight.caution.rstrip('.')}.",) if answer.weight and answer.weight.caution else ()
    return (cautions.SIPHON, cautions.ELECTRICITY, *load)
