"""The forms of a parcel: how it is packed, how it leaves, how it arrived."""

from halfwater.book import queries
from halfwater.deeds.packing import ParcelToPack
from halfwater.deeds.ship_weather import show_legs
from halfwater.plain.figures import bare_money
from halfwater.web.fields import Field, Form
from halfwater.web.measures import unit_of

Choices = tuple[tuple[str, str], ...]
WEATHER_HELP = (
    "One leg a line, such as “Depot 12 h, 3 to 9 C, indoors”; or a table with the columns "
    "leg, hours, min, max. Left empty: as it is noted."
)


def arrange_form(parcel: ParcelToPack) -> Form:
    """Box, liner, heat packs, way and weather of a parcel."""
    facts, units = parcel.facts, queries.nursery().units
    boxes: Choices = tuple((f"{one.key}", one.box.name) for one in queries.box_kinds(at_hand_only=True))
    liners: Choices = tuple((f"{one.key}", one.liner.name) for one in queries.liner_kinds(at_hand_only=True))
    packs: Choices = tuple((f"{one.key}", one.pack.name) for one in queries.heat_packs(at_hand_only=True))
    ways: Choices = tuple((f"{one.key}", one.name) for one in queries.routes())
    pick, none = (("", "pick one"),), (("none", "none"),)
    fields = [
        Field("box", "Box", _key(facts.box), type="select", choices=pick + boxes),
        Field("liner", "Liner", _key(facts.liner) or "none", type="select", choices=none + liners),
        Field("pack", "Heat pack", _key(facts.pack) or "none", type="select", choices=none + packs),
        Field("packs", "How many", f"{facts.packs}", inputmode="numeric"),
        Field("ship_on", "Ship on", facts.ship_on.isoformat() if facts.ship_on else "", type="date",
              is_optional=True),
    ]  # fmt: skip
    if ways:
        keep = (("", "as it is"),)
        fields.append(Field("route", "Way", "", type="select", choices=keep + ways, is_optional=True,
                            help="A way picked anew brings its weather."))  # fmt: skip
    legs = show_legs(facts.legs, units)
    fields.append(Field("weather", "Weather of the way", legs, help=WEATHER_HELP, type="area",
                        is_optional=True, is_wide=True))  # fmt: skip
    fields.append(Field("table", "Or weather as a CSV file", type="file", is_optional=True, is_wide=True))
    return Form(tuple(fields), id="arrange")


def send_form(parcel: ParcelToPack) -> Form:
    """What is noted as a parcel leaves."""
    facts, nursery = parcel.facts, queries.nursery()
    paid = facts.postage_paid_minor
    fields = [
        Field("weight", "Weight", unit_of("mass", nursery.units).text(
            None if parcel.weight_kg is None else 1000 * parcel.weight_kg), "g", is_optional=True,
            inputmode="decimal"),
        Field("postage", "Postage paid", "" if paid is None else bare_money(paid, nursery.currency),
              nursery.currency, is_optional=True, inputmode="decimal"),
        Field("tracking", "Number to follow it by", facts.tracking, is_optional=True),
        Field("note", "Note", facts.note, is_optional=True),
    ]  # fmt: skip
    if parcel.advice is not None and parcel.advice.decision == "hold":
        fields.append(Field("anyway", "Send it all the same", type="tick", is_wide=True))
    return Form(tuple(fields), id="send")


def arrival_form(parcel: ParcelToPack, today: str) -> Form:
    """How a parcel arrived."""
    sign = unit_of("temperature", queries.nursery().units).sign
    return Form(
        (
            Field("on", "Arrived on", today, type="date"),
            Field("alive", "Alive", f"{parcel.facts.plants}", inputmode="numeric"),
            Field("damaged", "Of these damaged", "0", inputmode="numeric"),
            Field("late", "Days late", "0", inputmode="decimal"),
            Field("low", "Coldest of a logger", "", sign, is_optional=True, inputmode="text"),
            Field("high", "Warmest of a logger", "", sign, is_optional=True, inputmode="text"),
            Field("told", "Note", "", is_optional=True, is_wide=True),
        ),
        id="arrived",
    )


def _key(one: object) -> str:
    return "" if one is None else f"{getattr(one, 'key', '')}"
