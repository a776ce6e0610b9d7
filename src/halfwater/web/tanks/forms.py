"""The fields of a tank's sheet, with the values it has."""

from dataclasses import dataclass

from halfwater.book import queries
from halfwater.plain.tank import TankFacts
from halfwater.web.fields import Field, Form
from halfwater.web.measures import unit_of


@dataclass(frozen=True, slots=True)
class Units:
    """The units the fields of the sheet are in."""

    system: str

    def text(self, kind: str, value: float | None) -> str:
        """A value as it would be typed."""
        return unit_of(kind, self.system).text(value)

    def exact(self, unit: str, *values: float | None) -> str:
        """A value in full in the house unit: what is shown may be rounded."""
        return " x ".join(f"{value!r} {unit}" for value in values if value is not None)

    def sign(self, kind: str) -> str:
        """The sign beside the field."""
        return unit_of(kind, self.system).sign


def tank_form(tank: TankFacts | None) -> Form:
    """The fields with the tank's values, or those of the last tank for a new one."""
    units = Units(queries.nursery().units)
    like = tank or next(iter(reversed(queries.tanks(in_use=None))), None)
    floor = (*_floor_fields(tank, like, units), *_pots_fields(tank, units))
    fields = (*floor, *_clay_fields(tank, like, units))
    if tank is None:
        return Form(fields)
    return Form(
        (*fields, *_plan_fields(tank, units), *_light_fields(tank, units), *_home_fields(tank, units))
    )


def _floor_fields(tank: TankFacts | None, like: TankFacts | None, units: Units) -> tuple[Field, ...]:
    mm = units.sign("length")
    floor = f"{units.text('length', like.length_mm)} x {units.text('length', like.width_mm)}" if like else ""
    return (
        Field("name", "Name", tank.name if tank else ""),
        Field(
            "floor",
            "Floor, inside",
            floor,
            mm,
            help="Length x width; another unit may be written out.",
            exact=units.exact("mm", like.length_mm, like.width_mm) if like else "",
        ),
        Field(
            "height",
            "Height, inside",
            units.text("length", like.height_mm) if like else "",
            mm,
            exact=units.exact("mm", like.height_mm) if like else "",
        ),
        Field(
            "pot",
            "Pot",
            _pot_text(like, units),
            mm,
            help="Width at the rim, or rim x foot x height.",
            exact=like.pot.name if like and like.pot else "",
        ),
    )


def _pots_fields(tank: TankFacts | None, units: Units) -> tuple[Field, ...]:
    return (
        Field(
            "pots",
            "How many pots",
            str(tank.pots) if tank else "",
            help="Left empty: as many as fit.",
            inputmode="numeric",
            is_optional=True,
        ),
        Field(
            "keep_outs",
            "Kept free",
            _keep_outs_text(tank, units),
            type="area",
            is_optional=True,
            is_wide=True,
            help="One a line: from the left, from the front, length, width, what it is. "
            f"Such as 0, 0, {'2.5, 1.5' if units.system == 'us' else '60, 40'}, siphon corner.",
        ),
    )


def _clay_fields(tank: TankFacts | None, like: TankFacts | None, units: Units) -> tuple[Field, ...]:
    mm, share = units.sign("length"), units.sign("fraction")
    return (
        Field(
            "clay_fill",
            "Clay in the pot",
            units.text("fraction", like.clay_fill_frac) if like else "",
            share,
            is_optional=True,
            help="Share of the pot's height; left empty: 62.5 %.",
        ),
        Field(
            "margin",
            "Margin under the clay line",
            units.text("length", like.margin_mm) if like else "",
            mm,
            exact=units.exact("mm", like.margin_mm) if like else "",
            is_optional=True,
            help="The limit line is the clay line less this.",
        ),
        Field(
            "low_line",
            "Low line",
            units.text("length", tank.low_line_mm) if tank else "",
            mm,
            exact=units.exact("mm", tank.low_line_mm) if tank else "",
            is_optional=True,
            help="Where a siphon leaves the bath; left empty: a third of the pot.",
        ),
        Field(
            "night_spray",
            "Night spray",
            units.text("small_volume", like.plan.night_volume_l) if like else "",
            units.sign("small_volume"),
            exact=units.exact("L", like.plan.night_volume_l) if like else "",
            is_optional=True,
            help="Left empty: drench, the amount this tank usually gets.",
        ),
    )


def _plan_fields(tank: TankFacts, units: Units) -> tuple[Field, ...]:
    mixes = (("", "plain water or not said"), *((str(mix.key), mix.name) for mix in queries.mixes()))
    plan = tank.plan
    return (
        Field("night_mix", "Night mix", str(plan.night_mix or ""), type="select", choices=mixes),
        Field("morning_mix", "Morning mix", str(plan.morning_mix or ""), type="select", choices=mixes),
        Field(
            "morning_spray",
            "Morning spray",
            units.text("small_volume", plan.morning_volume_l),
            units.sign("small_volume"),
            exact=units.exact("L", plan.morning_volume_l),
            is_optional=True,
        ),
    )


def _light_fields(tank: TankFacts, units: Units) -> tuple[Field, ...]:
    lamps = (("", "no lamp"), *((str(lamp.key), lamp.name) for lamp in queries.lamps()))
    return (
        Field("lamp", "Lamp", str(tank.lamp.key if tank.lamp else ""), type="select", choices=lamps),
        Field("lamp_dimmer", "Dimmer", units.text("fraction", tank.lamp_dimmer_frac), units.sign("fraction")),
        Field("lamp_hours", "Lamp hours a day", units.text("hours", tank.lamp_hours), units.sign("hours")),
        Field(
            "stray_ppfd",
            "Stray light at the pots",
            units.text("ppfd", tank.stray_ppfd_umol_m2_s),
            units.sign("ppfd"),
            help="From a window or a neighbour's lamp.",
        ),
        Field(
            "stray_hours", "Hours of stray light", units.text("hours", tank.stray_hours), units.sign("hours")
        ),
    )


def _home_fields(tank: TankFacts, units: Units) -> tuple[Field, ...]:
    return (
        Field(
            "lid_ach",
            "Air changes an hour",
            units.text("plain", tank.lid_ach_per_h),
            is_optional=True,
            help="Through the lid; left empty: 0.5.",
        ),
        Field(
            "inside_temp",
            "Temperature inside",
            units.text("temperature", tank.inside_temp_c),
            units.sign("temperature"),
            is_optional=True,
        ),
        Field(
            "inside_rh",
            "Humidity inside",
            units.text("fraction", tank.inside_rh_frac),
            units.sign("fraction"),
            is_optional=True,
        ),
        Field("place", "Place in the walk", str(tank.place), inputmode="numeric"),
        Field("set_up_on", "Set up on", tank.set_up_on.isoformat(), type="date"),
        Field("is_in_use", "In use", "yes" if tank.is_in_use else "", type="tick"),
    )


def _pot_text(like: TankFacts | None, units: Units) -> str:
    if like is None or like.pot is None:
        return ""
    return " x ".join(
        units.text("length", side) for side in (like.pot.top_mm, like.pot.base_mm, like.pot.height_mm)
    )


def _keep_outs_text(tank: TankFacts | None, units: Units) -> str:
    return "\n".join(
        ", ".join(
            [
                *(units.text("length", side) for side in (out.x_mm, out.y_mm, out.length_mm, out.width_mm)),
                out.why,
            ]
        )
        for out in (tank.keep_outs if tank else ())
    )
