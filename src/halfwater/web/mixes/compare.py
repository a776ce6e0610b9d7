"""Mixes side by side: EC, strengths, cost and cautions."""

from dataclasses import dataclass

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from halfwater.book import queries
from halfwater.deeds.mix_build import compare
from halfwater.errors import HalfwaterError, RefusedInput
from halfwater.pictures.strengths import EcBar, draw_ecs
from halfwater.pictures.table import ChartTable
from halfwater.plain.chemistry import MixLook
from halfwater.plain.figures import show, show_small_money
from halfwater.web.fields import Field, Form
from halfwater.web.mixes.asking import water_fields, water_of, with_refused
from halfwater.web.mixes.look import urea_text

MOST = 12  # mixes on one page
_SHOWN = ("N", "P", "K", "Ca", "Mg", "S")
_STATES = {"clear": "", "at the edge": "at the edge of settling", "settles": "settles"}


@dataclass(frozen=True, slots=True)
class Minded:
    """What to mind with one mix."""

    name: str
    cautions: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class ComparePage:
    """Mixes side by side."""

    answer: str
    drawing: str
    table: ChartTable
    minded: tuple[Minded, ...]
    form: Form
    ticks: tuple[Field, ...]
    others: tuple[Field, ...]


def compared(request: HttpRequest) -> HttpResponse:
    """The mixes ticked, or the first twelve."""
    mixes = queries.mixes()
    asked = any(name.startswith("mix_") for name in request.GET) or "temp" in request.GET
    ticks = tuple(
        Field(f"mix_{mix.key}", mix.name, "yes" if place < MOST else "", type="tick")
        for place, mix in enumerate(mixes)
    )
    form, looks = Form((*ticks, *water_fields())), ()
    typed = request.GET if asked else {one.name: one.value for one in form.fields}
    try:
        read = form.read(typed)
        names = [tick.label for tick in ticks if read[tick.name]]
        if asked and not names:
            raise RefusedInput("mixes", "nothing", "at least one mix ticked")
        if len(names) > MOST:
            raise RefusedInput("mixes", len(names), f"at most {MOST} mixes at a time")
        looks = compare(names, water_of(read), read["temp"])
        form = form.with_typed(typed)
    except HalfwaterError as error:
        form = with_refused(form, typed, error)
    page = compare_page(looks, form, queries.nursery().currency)
    status = 422 if form.is_refused and mixes else 200
    return render(request, "mixes/compare.html", {"page": page}, status=status)


def compare_page(looks: tuple[MixLook, ...], form: Form, currency: str) -> ComparePage:
    """The page."""
    bars = [
        EcBar(one.name, one.ec.ec_ms_cm, one.ec.ec_low_ms_cm, one.ec.ec_high_ms_cm, _STATES[one.state])
        for one in looks
    ]
    said = "; ".join(f"{bar.name} {show(bar.ec_ms_cm, 'ms_cm')}" for bar in bars)
    found = ((one.name, (*one.cautions, *filter(None, (urea_text(one),)))) for one in looks)
    return ComparePage(
        answer=_answer(looks),
        drawing=draw_ecs(bars, f"EC of the mixes: {said}") if bars else "",
        table=ChartTable(
            "The mixes side by side",
            (
                "Mix",
                "EC, mS/cm",
                "Range",
                *(f"{what} mg/L" for what in _SHOWN),
                "Urea N",
                "pH",
                "A litre costs",
            ),
            tuple(_row(look, currency) for look in looks),
        ),
        minded=tuple(Minded(name, said) for name, said in found if said),
        form=form,
        ticks=tuple(one for one in form.fields if one.name.startswith("mix_")),
        others=form.pick("water", "water_typed", "temp"),
    )


def _answer(looks: tuple[MixLook, ...]) -> str:
    if not looks:
        return "No mix to compare yet."
    strong = max(looks, key=lambda look: look.ec.ec_ms_cm)
    if len(looks) == 1:
        return f"{strong.name} has {show(strong.ec.ec_ms_cm, 'ms_cm')}, made with {strong.water}."
    weak = min(looks, key=lambda look: look.ec.ec_ms_cm)
    settle = [look.name for look in looks if look.state == "settles"]
    said = (
        f"Made with {strong.water}, {strong.name} is the strongest at {show(strong.ec.ec_ms_cm, 'ms_cm')}, "
        f"{weak.name} the weakest at {show(weak.ec.ec_ms_cm, 'ms_cm')}."
    )
    return f"{said} Something falls out of {', '.join(settle)}." if settle else said


def _row(look: MixLook, currency: str) -> tuple[str, ...]:
    held = {line.what: line.in_all_mg_l for line in look.strengths}
    ec = look.ec
    return (
        look.name,
        f"{ec.ec_ms_cm:.2f}",
        f"{ec.ec_low_ms_cm:.2f} to {ec.ec_high_ms_cm:.2f}",
        *(f"{held[what]:.3g}" if held.get(what) else "0" if what in held else "–" for what in _SHOWN),
        "not told" if ec.urea_mg_l is None else f"{ec.urea_mg_l:.3g}",
        "–" if look.ph is None else f"{look.ph:.1f}",
        "not known" if look.cost_minor is None else show_small_money(look.cost_minor, currency),
    )
