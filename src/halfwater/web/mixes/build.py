"""Build a mix: a target, a water and the shelf; what to weigh, what is met, what is missed and why."""

from dataclasses import dataclass

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST

from halfwater.book import queries
from halfwater.deeds.mix_build import Built, build_mix, keep_recipe
from halfwater.errors import HalfwaterError
from halfwater.plain.chemistry import RecipeAnswer, RecipePart
from halfwater.plain.figures import show, show_small_money
from halfwater.plain.nursery import NurseryFacts
from halfwater.plain.working import Working
from halfwater.web import cautions
from halfwater.web.fields import Field, Form
from halfwater.web.mixes.asking import MADE_WITH, WANTED, asked_of, build_form, hidden, ticks_of, with_refused
from halfwater.web.mixes.look import LookPart, look_part
from halfwater.web.mixes.words import USES, amount_text, minded, off_text, wanted_text
from halfwater.web.requests import WHO
from halfwater.web.sheets import Group, grouped

_NOT_YET = "Choose a target or type the strengths: the recipe comes from what stands on the shelf."


@dataclass(frozen=True, slots=True)
class WeighLine:
    """One thing to weigh or measure."""

    name: str
    amount: str
    more: str


@dataclass(frozen=True, slots=True)
class MissedLine:
    """A strength that is not met, and why."""

    what: str
    off: str
    why: str


@dataclass(frozen=True, slots=True)
class BuiltPart:
    """A recipe as the page shows it."""

    about: str
    volume: str
    parts: tuple[WeighLine, ...]
    missed: tuple[MissedLine, ...]
    look: LookPart
    carried: tuple[Field, ...]
    keep: Form
    workings: tuple[Working, ...]


@dataclass(frozen=True, slots=True)
class BuildPage:
    """The form and, once asked, the recipe."""

    answer: str
    tone: str
    form: Form
    groups: tuple[Group, ...]
    ticks: tuple[Field, ...]
    built: BuiltPart | None
    cautions: tuple[str, ...]


def build(request: HttpRequest) -> HttpResponse:
    """Ask for a mix; what is asked stands in the address."""
    form, built, typed = build_form(), None, request.GET
    if "volume" in typed:
        try:
            built = build_mix(asked_of(form, typed))
            form = form.with_typed(typed)
        except HalfwaterError as error:
            form = with_refused(form, typed, error)
    elif typed.get("target"):
        form = form.with_typed({one.name: one.value for one in form.fields} | {"target": typed["target"]})
    return _shown(request, form, built, keep_form())


@require_POST
def keep(request: HttpRequest) -> HttpResponse:
    """The recipe becomes a mix of the book."""
    form, kept_as, typed = build_form(), keep_form(), request.POST
    try:
        asked = asked_of(form, typed)
        built = build_mix(asked)
    except HalfwaterError as error:
        return _shown(request, with_refused(form, typed, error), None, kept_as)
    try:
        read = kept_as.read(typed)
        key = keep_recipe(asked, read["name"], read["use"], WHO)
    except HalfwaterError as error:
        return _shown(request, form.with_typed(typed), built, kept_as.with_typed(typed).with_refusal(error))
    messages.success(request, f"{read['name']} is kept; measure its EC once it is made.")
    return redirect("mix", key)


def keep_form() -> Form:
    """The name and use of a mix to keep."""
    return Form(
        (
            Field("name", "Its name", ""),
            Field("use", "Used as", "fill", type="choice", choices=tuple(USES.items())),
        )
    )


def build_page(form: Form, built: Built | None, kept_as: Form, nursery: NurseryFacts) -> BuildPage:
    """The page."""
    recipe = built.recipe if built else None
    found = recipe.look.cautions if recipe else ()
    return BuildPage(
        answer=recipe.sentence if recipe else _NOT_YET,
        tone="due" if recipe and (recipe.missed or recipe.look.state != "clear") else "",
        form=form,
        groups=grouped(form, ("What it is to be", WANTED), ("What it is made with", MADE_WITH)),
        ticks=form.pick(*ticks_of(form)),
        built=_built(recipe, form, kept_as, nursery) if recipe else None,
        cautions=minded(found, cautions.CONCENTRATE, cautions.DRAIN),
    )


def weigh_lines(recipe: RecipeAnswer, currency: str) -> tuple[WeighLine, ...]:
    """What to weigh or measure, with the dose and what it costs."""
    lines = []
    for part in recipe.parts:
        said = _dose(part)
        if part.cost_minor is not None:
            said += f", {show_small_money(part.cost_minor, currency)} a litre"
        more = f"{said}. {part.small.text}" if part.small else f"{said}."
        lines.append(WeighLine(part.item.name, amount_text(part), more))
    return tuple(lines)


def _built(recipe: RecipeAnswer, form: Form, kept_as: Form, nursery: NurseryFacts) -> BuiltPart:
    return BuiltPart(
        about=_about(recipe),
        volume=show(recipe.volume_l, "l", nursery.units),
        parts=weigh_lines(recipe, nursery.currency),
        missed=tuple(MissedLine(one.what, off_text(one.off_frac), one.why) for one in recipe.missed),
        look=look_part(recipe.look, nursery),
        carried=hidden(form, {one.name: one.value for one in form.fields}, "kept"),
        keep=kept_as,
        workings=(_working(recipe), *recipe.look.workings),
    )


def _about(recipe: RecipeAnswer) -> str:
    """What the target is and where it is from."""
    target = recipe.target
    source = f"Source: {target.source}." if target.source else ""
    return " ".join(filter(None, (f"{target.name}: {wanted_text(target.wanted)} mg/L.", target.note, source)))


def _working(recipe: RecipeAnswer) -> Working:
    """How the doses were found."""
    return Working(
        "doses",
        "least Σ (weight × (got − wanted) / wanted)², no dose below 0",
        tuple(
            (line.what, show(line.wanted_mg_l, "mg_l")) for line in recipe.look.strengths if line.wanted_mg_l
        ),
        "; ".join(f"{part.item.name} {_dose(part)}" for part in recipe.parts) or "no dose",
        "lawson-hanson-1974",
        "what stands on the shelf, the water counted first",
    )


def _dose(part: RecipePart) -> str:
    return f"{part.dose_ml_l:.3g} mL/L" if part.dose_ml_l is not None else f"{part.dose_g_l:.3g} g/L"


def _shown(request: HttpRequest, form: Form, built: Built | None, kept_as: Form) -> HttpResponse:
    page = build_page(form, built, kept_as, queries.nursery())
    status = 422 if form.is_refused or kept_as.is_refused else 200
    return render(request, "mixes/build.html", {"page": page}, status=status)
