"""A card of a mix for the wall: one sheet of paper with all that is needed at the bench."""

from dataclasses import dataclass

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone

from halfwater.book import queries
from halfwater.deeds.clock import local_day
from halfwater.deeds.mix_build import look_at
from halfwater.deeds.mixes import mix_to_make
from halfwater.errors import HalfwaterError
from halfwater.plain.chemistry import MixLook
from halfwater.plain.figures import show, show_date, show_range
from halfwater.web import cautions
from halfwater.web.fields import Field, Form
from halfwater.web.measures import unit_of
from halfwater.web.mixes.known import known_mix
from halfwater.web.mixes.words import USES, minded
from halfwater.web.tonight.page import PartLine, part_line


@dataclass(frozen=True, slots=True)
class CardPage:
    """The card."""

    key: int
    nursery: str
    name: str
    use: str
    on: str
    volume: str
    form: Form
    parts: tuple[PartLine, ...]
    water: str
    strengths: tuple[tuple[str, str], ...]
    ec: str
    cautions: tuple[str, ...]


def card(request: HttpRequest, key: int) -> HttpResponse:
    """The card of a mix for the volume in the address, or for a litre."""
    mix, nursery = known_mix(key), queries.nursery()
    sign = unit_of("volume", nursery.units).sign
    form = Form((Field("volume", "To make", "1", sign, inputmode="decimal"),))
    typed = {"volume": request.GET.get("volume", "1")}
    try:
        made = mix_to_make(mix.name, form.read(typed)["volume"])
        form = form.with_typed(typed)
    except HalfwaterError as error:
        form = form.with_typed(typed).with_refusal(error)
        made = mix_to_make(mix.name, f"1 {sign}")
    look = looked_at(mix.name)
    found = (*(look.cautions if look else ()), *made.cautions)
    page = CardPage(
        key=key,
        nursery=nursery.name or "halfwater",
        name=mix.name,
        use=USES[mix.use],
        on=show_date(local_day(timezone.now(), nursery)),
        volume=show(made.volume_l, "l", nursery.units),
        form=form,
        parts=tuple(part_line(part) for part in made.parts),
        water=f"{show(made.water_l, 'l', nursery.units)}{f' of {look.water}' if look else ''}",
        strengths=_strengths(look),
        ec=_ec(look, mix.ec_above_source_ms_cm),
        cautions=minded(found, cautions.CONCENTRATE),
    )
    return render(request, "mixes/card.html", {"page": page}, status=422 if form.is_refused else 200)


def looked_at(name: str, water: str = "", temp: str = "") -> MixLook | None:
    """The chemistry of a mix, or None where a label tells too little."""
    try:
        return look_at(name, water, temp)
    except HalfwaterError:
        return None


def _strengths(look: MixLook | None) -> tuple[tuple[str, str], ...]:
    if look is None:
        return ()
    return tuple(
        (line.what, show(line.in_all_mg_l, "mg_l")) for line in look.strengths if line.in_all_mg_l > 0
    )


def _ec(look: MixLook | None, measured_ms_cm: float | None) -> str:
    said = ""
    if look is not None:
        ec = look.ec
        span = show_range(ec.ec_low_ms_cm, ec.ec_high_ms_cm, "ms_cm")
        said = f"{show(ec.ec_ms_cm, 'ms_cm')} at 25 °C, {span}"
    if measured_ms_cm is not None:
        said += f"{'; measured ' if said else 'Measured '}{show(measured_ms_cm, 'ms_cm')} above the water"
    return said
