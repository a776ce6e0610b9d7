"""Stock solutions A and B of a mix: what goes in, whether it stays clear, and how it is dosed."""

from dataclasses import dataclass

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse

from halfwater.book import queries
from halfwater.deeds.mix_build import build_mix, stocks_of
from halfwater.errors import HalfwaterError, RefusedInput
from halfwater.plain.chemistry import Stock, StockPart, StockPlan
from halfwater.plain.figures import show
from halfwater.plain.nursery import NurseryFacts
from halfwater.web import cautions
from halfwater.web.fields import Field, Form
from halfwater.web.measures import unit_of
from halfwater.web.mixes.asking import asked_of, build_form, hidden, water_fields, water_of, with_refused
from halfwater.web.mixes.known import known_mix
from halfwater.web.mixes.look import LookPart, SettlingLine, look_part, settling_line
from halfwater.web.mixes.words import TONES, minded


@dataclass(frozen=True, slots=True)
class BottlePart:
    """One thing dissolved in a bottle."""

    name: str
    amount: str
    more: str


@dataclass(frozen=True, slots=True)
class Bottle:
    """One stock solution."""

    name: str
    state: str
    tone: str
    parts: tuple[BottlePart, ...]
    settlings: tuple[SettlingLine, ...]
    cautions: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class StocksPage:
    """The stocks of a mix or of a recipe."""

    name: str
    back_url: str
    answer: str
    tone: str
    stock: str
    dosing: str
    strongest: str
    bottles: tuple[Bottle, ...]
    diluted: LookPart | None
    form: Form
    carried: tuple[Field, ...]
    cautions: tuple[str, ...]


def recipe_stocks(request: HttpRequest) -> HttpResponse:
    """Stocks of a recipe that is asked for in the address."""
    typed, ask, form = request.GET, build_form(), stock_form()
    back = f"{reverse('mix-build')}?{typed.urlencode()}"
    try:
        asked = asked_of(ask, typed)
        build_mix(asked)
    except HalfwaterError:
        return redirect(back)
    typed_too = {one.name: one.value for one in form.fields} | {key: typed[key] for key in typed}
    plan = None
    try:
        read = form.read(typed_too)
        plan = stocks_of(asked, read["stock"], read["stock_volume"])
        form = form.with_typed(typed_too)
    except HalfwaterError as error:
        form = _refused(form, typed_too, error)
    name = asked.target or "the strengths typed"
    page = stocks_page(name, back, plan, form, hidden(ask, typed), queries.nursery())
    return render(request, "mixes/stocks.html", {"page": page}, status=422 if form.is_refused else 200)


def mix_stocks(request: HttpRequest, key: int) -> HttpResponse:
    """Stocks of a mix of the book."""
    mix, form = known_mix(key), stock_form(with_water=True)
    typed = {one.name: one.value for one in form.fields} | request.GET.dict()
    plan = None
    try:
        read = form.read(typed)
        plan = stocks_of(mix.name, read["stock"], read["stock_volume"], water_of(read), read["temp"])
        form = form.with_typed(typed)
    except HalfwaterError as error:
        form = _refused(form, typed, error)
    page = stocks_page(mix.name, reverse("mix", args=[key]), plan, form, (), queries.nursery())
    return render(request, "mixes/stocks.html", {"page": page}, status=422 if form.is_refused else 200)


def stock_form(with_water: bool = False) -> Form:
    """How strong, how much."""
    volume = unit_of("volume", queries.nursery().units)
    return Form((
        Field("stock", "How many times as strong", "100", inputmode="numeric", help="50 to 200 is usual."),
        Field("stock_volume", "Of each stock", "1", volume.sign, inputmode="decimal"),
        *(water_fields() if with_water else ()),
    ))  # fmt: skip


def stocks_page(
    name: str,
    back_url: str,
    plan: StockPlan | None,
    form: Form,
    carried: tuple[Field, ...],
    nursery: NurseryFacts,
) -> StocksPage:
    """The page."""
    if plan is None:
        empty = "The stocks cannot be told: see below."
        return StocksPage(name, back_url, empty, "due", "", "", "", (), None, form, carried, ())
    return StocksPage(
        name=name,
        back_url=back_url,
        answer=plan.sentence,
        tone="" if plan.holds else "past",
        stock=show(plan.stock_l, "l", nursery.units),
        dosing=_dosing(plan),
        strongest=_strongest(plan),
        bottles=tuple(_bottle(one) for one in plan.stocks),
        diluted=look_part(plan.diluted, nursery),
        form=form,
        carried=carried,
        cautions=minded(plan.cautions, cautions.CONCENTRATE, cautions.BOTTLES),
    )


def _bottle(stock: Stock) -> Bottle:
    parts = tuple(BottlePart(part.name, _amount(part), _most(part)) for part in stock.parts)
    settlings = tuple(settling_line(one) for one in stock.settlings)
    return Bottle(stock.name, stock.state, TONES[stock.state], parts, settlings, stock.cautions)


def _amount(part: StockPart) -> str:
    if part.amount_ml is not None:
        return f"{part.amount_ml:.4g} mL"
    return f"{part.amount_g:.4g} g" if part.amount_g is not None else part.text


def _most(part: StockPart) -> str:
    if part.most_g_l is None:
        return "How much dissolves is in no table."
    return f"{part.text}; {part.most_g_l:.0f} g/L dissolve, alone in water."


def _dosing(plan: StockPlan) -> str:
    names = " and ".join(stock.name for stock in plan.stocks)
    dose = f"{plan.dose_ml_l:.3g} mL of {'each of ' if len(plan.stocks) > 1 else ''}{names}"
    litres = f"{plan.stock_l * 1000.0 / plan.dose_ml_l:.4g} L"
    return f"For a litre of mix: {dose} into the water, stirred in between. It makes {litres} of mix."


def _strongest(plan: StockPlan) -> str:
    if plan.most_factor is None:
        return "Something settles in them at any strength."
    return f"Nothing settles in them up to 1:{plan.most_factor}."


def _refused(form: Form, typed: dict[str, str], error: HalfwaterError) -> Form:
    if isinstance(error, RefusedInput) and error.field == "volume":
        error = RefusedInput("stock_volume", error.value, error.accepted)
    return with_refused(form, typed, error)
