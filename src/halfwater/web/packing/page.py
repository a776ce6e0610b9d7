"""The bench and a parcel as plain data."""

from dataclasses import dataclass
from datetime import date

from django.urls import reverse

from halfwater.book import queries
from halfwater.deeds.packing import OrderToPack, PackingDay, ParcelToPack
from halfwater.deeds.packing_papers import by_tank
from halfwater.deeds.parcel_advice import limits_for
from halfwater.pictures.parcel import ParcelPicture, parcel_spec, parcel_table
from halfwater.pictures.table import ChartTable
from halfwater.plain.figures import show, show_date
from halfwater.plain.packing import ParcelItem
from halfwater.plain.transit import TransitAdvice
from halfwater.plain.working import Working
from halfwater.web.chart import Chart
from halfwater.web.fields import Form
from halfwater.web.packing.words import degrees, outlook_figures, plan_lines, tone_of, tried_row
from halfwater.web.workings import Figure


@dataclass(frozen=True, slots=True)
class DayTab:
    """A ship day that can be looked at."""

    name: str
    url: str
    orders: int
    is_here: bool


@dataclass(frozen=True, slots=True)
class OrderLine:
    """An order that has plants in no parcel yet."""

    number: int
    buyer: str
    plants: str
    boxes: tuple[str, ...]
    sentence: str
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class ParcelLine:
    """A parcel as the bench lists it."""

    key: int
    url: str
    buyer: str
    place: str
    verdict: str
    tone: str
    packed: int
    plants: int


@dataclass(frozen=True, slots=True)
class Plant:
    """A plant of a parcel, and whether it is in the box."""

    pot: int
    spot: str
    tank: str
    name: str
    kind: str
    is_packed: bool


@dataclass(frozen=True, slots=True)
class BenchPage:
    """The bench of a ship day."""

    answer: str
    more: str
    days: tuple[DayTab, ...]
    parcels: tuple[ParcelLine, ...]
    orders: tuple[OrderLine, ...]
    undated: tuple[tuple[int, str], ...]
    overdue: tuple[tuple[int, str], ...]
    pick: tuple[tuple[str, tuple[Plant, ...]], ...]
    cautions: tuple[str, ...]
    has_box: bool
    uuid: str


@dataclass(frozen=True, slots=True)
class ParcelPage:
    """One parcel on one screen."""

    key: int
    buyer: str
    about: str
    verdict: str
    tone: str
    sentence: str
    range: str
    why: str
    is_open: bool
    is_gone: bool
    is_held: bool
    next: Plant | None
    plants: tuple[Plant, ...]
    gone: tuple[Plant, ...]
    packed: int
    box: str
    arrange: Form
    send: Form
    arrival: Form
    arrived: tuple[Figure, ...]
    said: str
    chart: Chart | None
    figures: tuple[Figure, ...]
    tried: ChartTable
    reasons: tuple[str, ...]
    notes: tuple[str, ...]
    cautions: tuple[str, ...]
    workings: tuple[Working, ...]


def bench_page(day: PackingDay, today: date, uuid: str) -> BenchPage:
    """The bench as the page shows it."""
    units = queries.nursery().units
    waits = tuple(_order(one, units) for one in day.orders if one.in_no_parcel)
    left = [stop for stop in day.pick if stop.item.packed_at is None]
    return BenchPage(
        answer=day.sentence,
        more="" if day.is_ship_day else f"By your own rules no parcel leaves on {show_date(day.on, today)}.",
        days=tuple(
            DayTab(show_date(on, today), f"{reverse('packing')}?day={on.isoformat()}", count, on == day.on)
            for on, count in day.days
        ),
        parcels=tuple(_line(one) for one in day.parcels),
        orders=waits,
        undated=tuple((one.number, one.buyer.name) for one in day.undated),
        overdue=tuple((one.number, one.buyer.name) for one in day.overdue),
        pick=tuple((one.tank, tuple(_plant(stop.item) for stop in one.stops)) for one in by_tank(left)),
        cautions=day.cautions,
        has_box=bool(queries.box_kinds(at_hand_only=True)),
        uuid=uuid,
    )


def parcel_page(parcel: ParcelToPack, arrange: Form, send: Form, arrival: Form, today: date) -> ParcelPage:
    """One parcel as the page shows it."""
    facts, advice, units = parcel.facts, parcel.advice, queries.nursery().units
    orders = ", ".join(f"{number}" for number in facts.orders)
    leaves = f" · {show_date(facts.ship_on, today)}" if facts.ship_on else ""
    return ParcelPage(
        key=facts.key,
        buyer=parcel.buyer.name or "a buyer",
        about=f"Order {orders}{leaves} · {facts.place or parcel.buyer.place or 'no place noted'}",
        verdict=parcel.verdict,
        tone=tone_of(parcel),
        sentence=advice.sentence if advice else "",
        range=_range(advice, units) if advice else "",
        why=parcel.why if facts.state == "packing" and advice is None else "",
        is_open=facts.state == "packing",
        is_gone=facts.state == "sent",
        is_held=bool(advice and advice.decision == "hold"),
        next=_plant(parcel.next_item) if parcel.next_item else None,
        plants=tuple(_plant(item) for item in facts.items),
        gone=tuple(_plant(item) for item in facts.gone),
        packed=facts.packed,
        box=_box(parcel, units),
        arrange=arrange,
        send=send,
        arrival=arrival,
        arrived=_arrived(parcel, units),
        said=facts.said.sentence if facts.said else "",
        chart=way_chart(parcel, units) if advice else None,
        figures=outlook_figures(advice, units) if advice else (),
        tried=ChartTable(
            "What was tried", ("packed", "coldest", "warmest", "chance of harm"),
            tuple(tried_row(one, units) for one in advice.tried) if advice else (),
        ),
        reasons=advice.reasons if advice else (),
        notes=parcel.place_notes,
        cautions=advice.cautions if advice else (),
        workings=advice.workings if advice else (),
    )  # fmt: skip


def way_chart(parcel: ParcelToPack, units: str) -> Chart | None:
    """The picture of the way, with the measure that is advised."""
    advice = parcel.advice
    if advice is None or not advice.outlook.hours:
        return None
    limits = limits_for(parcel.facts.items)
    words = advice.outlook.measure.words
    picture = ParcelPicture(
        words if words == "as it is" else f"with {words}", advice.outlook.hours,
        max(one.low_c for one in limits), min(one.high_c for one in limits), units,
    )  # fmt: skip
    table = parcel_table(picture)
    return Chart(
        "way", "Plants on the way: the line, its 80 % range, and dotted the air around the box.",
        parcel_spec(picture), table,
    )  # fmt: skip


def _range(advice: TransitAdvice, units: str) -> str:
    found = advice.outlook
    return f"Coldest {degrees(found.coldest, units)}, warmest {degrees(found.hottest, units)}."


def _order(one: OrderToPack, units: str) -> OrderLine:
    count = len(one.in_no_parcel)
    return OrderLine(
        one.order.number, one.order.buyer.name or "a buyer", "1 plant" if count == 1 else f"{count} plants",
        plan_lines(one.plan, units) if one.plan else (), one.plan.sentence if one.plan else one.why,
        one.order.place_notes,
    )  # fmt: skip


def _line(one: ParcelToPack) -> ParcelLine:
    facts = one.facts
    return ParcelLine(
        facts.key, reverse("parcel", args=[facts.key]), one.buyer.name or "a buyer",
        facts.place or one.buyer.place, one.verdict, tone_of(one), facts.packed, facts.plants,
    )  # fmt: skip


def _plant(item: ParcelItem) -> Plant:
    grade = f", {item.grade}" if item.grade else ""
    return Plant(
        item.pot, item.spot, item.tank, item.name, f"{item.taxon_name}{grade}", item.packed_at is not None
    )


def _box(parcel: ParcelToPack, units: str) -> str:
    facts = parcel.facts
    parts = [facts.box.box.name if facts.box else "no box chosen"]
    if facts.liner is not None:
        parts.append(facts.liner.liner.name)
    if facts.packs:
        parts.append("1 heat pack" if facts.packs == 1 else f"{facts.packs} heat packs")
    if parcel.weight_kg is not None:
        about = "" if facts.weight_kg is not None else "about "
        parts.append(f"{about}{show(parcel.weight_kg, 'kg', units)}")
    return ", ".join(parts)


def _arrived(parcel: ParcelToPack, units: str) -> tuple[Figure, ...]:
    note = parcel.facts.arrival
    if note is None:
        return ()
    late = f"{note.late_days:g} days late" if note.late_days else "in time"
    found = [
        Figure("Arrived", show_date(note.on), late),
        Figure("Alive", f"{note.alive} of {parcel.facts.plants}", f"{note.damaged} damaged"),
    ]
    if note.logger_low_c is not None:
        found.append(Figure("Coldest logged", show(note.logger_low_c, "c", units)))
    if note.logger_high_c is not None:
        found.append(Figure("Warmest logged", show(note.logger_high_c, "c", units)))
    return tuple(found)
