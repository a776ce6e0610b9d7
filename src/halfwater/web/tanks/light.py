"""The light over a floor as a page: every spot, what was read, whom it suits, and other settings."""

import re
from dataclasses import dataclass, replace
from datetime import date
from itertools import groupby

from django.urls import reverse

from halfwater.pictures.light_map import (
    LightPlan,
    draw_light,
    draw_shade,
    is_unsure,
    light_sentence,
    light_table,
    shade_words,
)
from halfwater.pictures.table import ChartTable
from halfwater.plain.figures import bare_money, show, show_date, show_number, show_range
from halfwater.plain.lid import LidAir
from halfwater.plain.lighting import FloorLight, LightChoice, TaxonLight
from halfwater.plain.nursery import NurseryFacts
from halfwater.plain.tank import TankFacts
from halfwater.plain.working import Working
from halfwater.web import cautions
from halfwater.web.fields import Field, Form
from halfwater.web.workings import Figure

LONG_DAY_H = 12.0
_NO_HOURS = "The lamp is taken to burn 0 h a day, as nothing else is noted: note its setting. "
_SPOT = re.compile(r"(.*?)(\d+)$")
_SHOWN = (("daily", "Daily light, mol/m²/d"), ("strength", "The lamp, µmol/m²/s"))


@dataclass(frozen=True, slots=True)
class Shade:
    """One shade of the map's legend."""

    drawing: str
    word: str


@dataclass(frozen=True, slots=True)
class ShownLink:
    """What the map shows in its spots, to be chosen."""

    word: str
    url: str
    is_here: bool


@dataclass(frozen=True, slots=True)
class FloorMap:
    """The map, drawn for a desk and turned for a phone, with its legend and its table."""

    caption: str
    wide: str
    turned: str
    shades: tuple[Shade, ...]
    signs: tuple[str, ...]
    shown: tuple[ShownLink, ...]
    table: ChartTable


@dataclass(frozen=True, slots=True)
class SuitCard:
    """Which spots suit one taxon."""

    name: str
    takes: str
    said: str
    good: str
    dim: str
    bright: str


@dataclass(frozen=True, slots=True)
class LightPage:
    """The light of one floor, whole."""

    name: str
    back_url: str
    edit_url: str
    answer: str
    more: str
    floor: FloorMap | None
    figures: tuple[Figure, ...]
    lid: str
    readings: ChartTable
    here: tuple[SuitCard, ...]
    others: tuple[SuitCard, ...]
    form: Form
    wanted: str
    settings: ChartTable
    notes: tuple[str, ...]
    cautions: tuple[str, ...]
    workings: tuple[Working, ...]


def light_form(taxa: tuple[str, ...]) -> Form:
    """The daily light that is wanted, or the taxon it is wanted for."""
    named = (("", "what stands here"), *((name, name) for name in taxa))
    return Form(
        (
            Field("target", "Wanted daily light", "", "mol/m²/d", is_optional=True, inputmode="decimal",
                  help="Left empty: what is best for the plants."),
            Field("taxon", "For", "", type="select", choices=named),
        )
    )  # fmt: skip


def light_page(
    tank: TankFacts, floor: FloorLight, form: Form, lid: LidAir | None, nursery: NurseryFacts, *,
    shown: str, today: date,
) -> LightPage:  # fmt: skip
    """The page."""
    standing = {spot.taxon_name for spot in floor.spots if spot.taxon_name}
    cards = [(one.taxon_name in standing, _suit(one)) for one in floor.suits]
    wanted = show(floor.target_mol_m2_d, "mol_m2_d")
    return replace(
        no_light_page(tank, floor.said, form),
        more=f"{'' if floor.lamp_h else _NO_HOURS}{floor.narrows_most}",
        floor=_map(tank, floor, shown),
        figures=_figures(floor),
        lid=_lid(lid),
        readings=_readings(floor, today),
        here=tuple(card for is_here, card in cards if is_here),
        others=tuple(card for is_here, card in cards if not is_here),
        wanted=f"Settings that give {wanted} a day at the middle spot; thirty days of each.",
        settings=_settings(floor, nursery.currency),
        notes=_notes(floor.choices),
        workings=floor.workings,
    )


def _notes(choices: tuple[LightChoice, ...]) -> tuple[str, ...]:
    """What is to be said of the settings, and what is missing from them."""
    notes = [f"As it is now: {one.note}." for one in choices if one.is_now and one.note]
    if any(one.lamp_h > LONG_DAY_H for one in choices if not one.is_now):
        notes.append("More than twelve hours is a long day: algae like it more than plants do.")
    if len(choices) < 2:
        notes.append(
            "No setting from 6 to 16 hours gives it: stray light alone is enough, or the lamp too weak."
        )
    if choices and choices[0].month_kwh is None:
        notes.append("What a month takes is not known: the lamp's power is not described.")
    elif choices and choices[0].month_cost_minor is None:
        notes.append("What a month costs is not known: no tariff is noted under Money.")
    return tuple(dict.fromkeys(notes))


def no_light_page(tank: TankFacts, why: str, form: Form) -> LightPage:
    """The page of a floor of which no light can be said yet."""
    nothing = ChartTable("", (), ())
    return LightPage(
        name=tank.name,
        back_url=reverse("tank", args=[tank.name]),
        edit_url=reverse("tank-edit", args=[tank.name]),
        answer=why,
        more="",
        floor=None,
        figures=(),
        lid="",
        readings=nothing,
        here=(),
        others=(),
        form=form,
        wanted="",
        settings=nothing,
        notes=(),
        cautions=(cautions.ELECTRICITY,),
        workings=(),
    )


def _map(tank: TankFacts, floor: FloorLight, shown: str) -> FloorMap:
    plan = LightPlan(
        tank=floor.tank_name,
        length_mm=tank.length_mm,
        width_mm=tank.width_mm,
        pot_mm=tank.pot.top_mm if tank.pot else 0.0,
        spots=floor.spots,
        keep_outs=tank.keep_outs,
        read=tuple({read.spot for read in floor.readings if not read.is_odd}),
        read_next=floor.read_next,
        shown=shown,
    )
    url = reverse("tank-light", args=[tank.name])
    return FloorMap(
        caption=f"{light_sentence(plan)}.",
        wide=draw_light(plan),
        turned=draw_light(replace(plan, is_turned=True)),
        shades=tuple(Shade(draw_shade(i), word) for i, word in enumerate(shade_words())),
        signs=_signs(plan),
        shown=tuple(
            ShownLink(word, url if key == "daily" else f"{url}?shown={key}", key == shown)
            for key, word in _SHOWN
        ),
        table=light_table(plan),
    )


def _signs(plan: LightPlan) -> tuple[str, ...]:
    """What the signs of this map mean: those that are on it."""
    words = {spot.word for spot in plan.spots if spot.taxon_name}
    found = (
        (bool(plan.read), "ring inside: read there"),
        (bool(plan.read_next), f"dashed rim: read next ({plan.read_next})"),
        (any(is_unsure(spot) for spot in plan.spots), "~ uncertain, by a quarter either way or more"),
        ("too dim" in words, "▼ too dim for what stands there"),
        ("too bright" in words, "▲ too bright for it"),
        ("not known" in words, "? not known whether it suits"),
    )
    return tuple(word for is_there, word in found if is_there)


def _figures(floor: FloorLight) -> tuple[Figure, ...]:
    even = floor.evenness
    middle = sorted(spot.ppfd_umol_m2_s.p50 for spot in floor.spots)[len(floor.spots) // 2]
    count = len(floor.readings)
    evenness = (
        Figure(
            "Dimmest over mean",
            show(even.p50, "frac"),
            f"{show_range(even.p10, even.p90, 'frac')}, 80 % range",
        )
        if even
        else None
    )
    found = (
        Figure(
            "Lamp, middle spot", show(middle, "umol_m2_s"), f"dimmer at {show(floor.dimmer_frac, 'frac')}"
        ),
        Figure("Lit", show(floor.lamp_h, "h"), "a day"),
        Figure("Stray light", show(floor.stray_mol_m2_d, "mol_m2_d"), "a day, from window or room"),
        evenness,
        Figure("Read next", floor.read_next, f"{count} reading{'' if count == 1 else 's'} so far"),
    )
    return tuple(one for one in found if one is not None)


def _lid(lid: LidAir | None) -> str:
    """What drops on the lid take."""
    if lid is None:
        return ""
    if lid.lid_light_loss_frac is None:
        return "The lid should be dry at the room's temperature: no light is lost to drops."
    return (
        f"Drops on the lid take about {show(lid.lid_light_loss_frac, 'frac')} of the lamp's light. "
        "A reading with the lid on has it in already; wipe the lid, read again, and you know it for yours."
    )


def _readings(floor: FloorLight, today: date) -> ChartTable:
    rows = tuple(
        (
            show_date(read.on, today),
            read.spot,
            show(read.ppfd_umol_m2_s, "umol_m2_s"),
            show(read.dimmer_frac, "frac"),
            show(read.stray_ppfd_umol_m2_s, "umol_m2_s"),
            "set aside: far from the others" if read.is_odd else "",
        )
        for read in reversed(floor.readings)
    )
    return ChartTable("Readings, newest first", ("on", "spot", "read", "dimmer", "of it stray", ""), rows)


def _suit(taxon: TaxonLight) -> SuitCard:
    return SuitCard(
        name=taxon.taxon_name,
        takes=f"{show_range(taxon.low_mol_m2_d, taxon.high_mol_m2_d, 'mol_m2_d')}, "
        f"best {show(taxon.best_mol_m2_d, 'mol_m2_d')}",
        said=taxon.said,
        good=spots_text(taxon.good) if taxon.dim or taxon.bright else "",
        dim=spots_text(taxon.dim),
        bright=spots_text(taxon.bright),
    )


def spots_text(names: tuple[str, ...]) -> str:
    """Spots in few signs: neighbours in a row as "A1 to A4"."""
    parted = sorted((found.group(1), int(found.group(2))) for name in names if (found := _SPOT.match(name)))
    runs = []
    for row, spots in groupby(parted, key=lambda one: one[0]):
        numbers = [number for _, number in spots]
        for _, run in groupby(enumerate(numbers), key=lambda pair: pair[1] - pair[0]):
            ends = [number for _, number in run]
            first, last = f"{row}{ends[0]}", f"{row}{ends[-1]}"
            runs.append(first if first == last else f"{first} to {last}")
    return ", ".join(runs)


def _settings(floor: FloorLight, currency: str) -> ChartTable:
    rows = tuple(_setting(one, currency) for one in floor.choices)
    heads = ("dimmer", "hours a day", "mol/m²/d", "kWh a month", f"{currency} a month")
    kept = [place for place in range(len(heads)) if place < 3 or any(row[place] for row in rows)]
    return ChartTable(
        "Dimmer and hours",
        tuple(heads[place] for place in kept),
        tuple(tuple(row[place] for place in kept) for row in rows),
    )


def _setting(one: LightChoice, currency: str) -> tuple[str, ...]:
    cost = one.month_cost_minor
    return (
        f"{show(one.dimmer_frac, 'frac')}{', now' if one.is_now else ''}",
        show_number(one.lamp_h, 1),
        show_number(one.dli_mol_m2_d, 2),
        "" if one.month_kwh is None else show_number(one.month_kwh, 1),
        "" if cost is None else bare_money(round(cost), currency),
    )
