"""The salts of a bath as a page: where the EC stands and goes, why, and what to pour in."""

from dataclasses import dataclass
from functools import lru_cache

from django.urls import reverse

from halfwater.deeds.bath import TankBath
from halfwater.pictures.bath import BathPicture, bath_sentence, bath_spec, bath_table
from halfwater.pictures.table import ChartTable
from halfwater.plain.bath import BathOutlook, EcVerdict, FilmAdvice, NutrientOutlook, PhVerdict
from halfwater.plain.figures import show, show_number, show_range
from halfwater.plain.growing import Span
from halfwater.plain.working import Working
from halfwater.web import cautions
from halfwater.web.chart import Chart, Key
from halfwater.web.fields import Field, Form
from halfwater.web.measures import unit_of
from halfwater.web.tanks.words import what_is_missing
from halfwater.web.workings import Figure

_KEYS = {
    "reading": "reading", "water": "worked out", "ahead": "forecast", "fan": "80 % range",
    "limit": "limit", "low": "aim", "siphon": "siphon", "fill": "fill",
}  # fmt: skip
_PAST_FRAC = 0.5
_spec_of = lru_cache(maxsize=64)(bath_spec)  # built once until the next entry


@dataclass(frozen=True, slots=True)
class BathPart:
    """The salts on the page of their tank."""

    answer: str
    verdict: str
    chart: Chart | None
    url: str
    tone: str = ""


@dataclass(frozen=True, slots=True)
class CauseLine:
    """One thing that moves the EC."""

    name: str
    moves: str
    text: str


@dataclass(frozen=True, slots=True)
class BathPage:
    """The salts of one bath, whole."""

    name: str
    back_url: str
    answer: str
    tone: str
    more: str
    chart: Chart | None
    figures: tuple[Figure, ...]
    verdict_word: str
    verdict: str
    to_tell: str
    causes: tuple[CauseLine, ...]
    refill: str
    refill_figures: tuple[Figure, ...]
    form: Form
    ph_word: str
    ph: str
    film: str
    film_figures: tuple[Figure, ...]
    nutrients: ChartTable
    cautions: tuple[str, ...]
    workings: tuple[Working, ...]


def bath_part(found: TankBath) -> BathPart:
    """The sentence, the verdict and the picture, for the page of the tank."""
    outlook = found.outlook
    url = reverse("tank-bath", args=[found.tank.name])
    if outlook is None:
        return BathPart(_unknown(found), "", None, url)
    verdict = outlook.verdict.said
    verdict = "" if verdict in outlook.said else verdict  # said once
    return BathPart(outlook.said, verdict, bath_chart(outlook), url, tone_of(outlook))


def bath_page(found: TankBath, form: Form, units: str) -> BathPage:
    """The page."""
    outlook, name = found.outlook, found.tank.name
    film = found.film
    own = (*(outlook.cautions if outlook else ()), *(film.cautions if film else ()))
    verdict = outlook.verdict if outlook else None
    return BathPage(
        name=name,
        back_url=reverse("tank", args=[name]),
        answer=outlook.said if outlook else _unknown(found),
        tone=tone_of(outlook),
        more=outlook.narrows_most if outlook else "",
        chart=bath_chart(outlook) if outlook else None,
        figures=_figures(outlook) if outlook else (),
        verdict_word=_verdict_word(verdict) if verdict else "",
        verdict=verdict.said if verdict else "",
        to_tell=verdict.to_tell if verdict else "",
        causes=tuple(
            CauseLine(one.name, _moves(one.ms_cm_a_month), one.text) for one in verdict.causes
        ) if verdict else (),
        refill=outlook.refill.said if outlook else "",
        refill_figures=_refill_figures(outlook, units) if outlook else (),
        form=form,
        ph_word=outlook.ph.word if outlook and outlook.ph else "not read",
        ph=_ph(outlook.ph if outlook else None),
        film=film.said if film else "",
        film_figures=_film_figures(film) if film else (),
        nutrients=_nutrients(outlook.nutrients if outlook else ()),
        cautions=tuple(dict.fromkeys((*(own or (cautions.SIPHON, cautions.DRAIN)), cautions.ELECTRICITY))),
        workings=outlook.workings if outlook else (),
    )  # fmt: skip


def refill_form(choices: tuple[str, ...]) -> Form:
    """What would be poured in, and which EC is wanted."""
    ec = unit_of("ec", "")
    named = (("", "what is usual"), *((name, name) for name in choices))
    return Form(
        (
            Field("refill", "Refill with", "", type="select", choices=named),
            Field("target", "Wanted EC", "", ec.sign, help="Left empty: the middle of the aim.",
                  inputmode="decimal", is_optional=True),
        )
    )  # fmt: skip


def bath_chart(outlook: BathOutlook) -> Chart:
    """The picture with its table and keys."""
    picture = BathPicture(
        outlook.tank_name, outlook.past, outlook.ahead, outlook.readings, outlook.marks, outlook.limit
    )
    return Chart(
        id="salts",
        caption=f"{bath_sentence(picture)}.",
        spec=_spec_of(picture),
        table=bath_table(picture),
        keys=tuple(
            Key(word, f"shared/keys/{key}.html") for key, word in _KEYS.items() if key not in _unseen(outlook)
        ),
    )


def _unseen(outlook: BathOutlook) -> set[str]:
    """The keys of what this picture does not hold."""
    seen = {mark.kind for mark in outlook.marks}
    return {"siphon", "fill"} - seen | (set() if outlook.readings else {"reading"})


def tone_of(outlook: BathOutlook | None) -> str:
    """Past the limit, due, or in order."""
    if outlook is None:
        return ""
    if outlook.p_past_action_now_frac >= _PAST_FRAC:
        return "past"
    return "due" if outlook.refill.is_due else ""


def _unknown(found: TankBath) -> str:
    why = what_is_missing(found.tank, found.why)
    return f"Nothing can be said of the salts in {found.tank.name} yet: {why}."


def _figures(outlook: BathOutlook) -> tuple[Figure, ...]:
    limit = outlook.limit
    whose = f"of {limit.taxon_name}, the tenderest here" if limit.taxon_name else "of any plant here"
    found = [
        _spanned("EC now", outlook.ec_now),
        _spanned("At the siphon", outlook.ec_at_siphon) if outlook.ec_at_siphon else None,
        _spanned("In 90 days", outlook.ec_in_90_days),
        Figure("Limit", show(limit.action_ms_cm, "ms_cm"), whose),
        Figure("Aim", show_range(limit.target_low_ms_cm, limit.target_high_ms_cm, "ms_cm")),
        Figure("Past the limit now", show(outlook.p_past_action_now_frac, "frac"), "chance"),
    ]
    if outlook.steady_ms_cm is not None:
        low = outlook.low_steady_ms_cm
        after = f"{show(low, 'ms_cm')} after the refill" if low is not None else ""
        found.append(Figure("In the long run", show(outlook.steady_ms_cm, "ms_cm"), after))
    learned = (_learned(name, span) for name, span in outlook.learned.items())
    return (*(one for one in found if one is not None), *learned)


def _spanned(name: str, span: Span) -> Figure:
    return Figure(name, show(span.p50, "ms_cm"), f"{show_range(span.p10, span.p90, 'ms_cm')}, 80 % range")


def _verdict_word(verdict: EcVerdict) -> str:
    return verdict.trend if verdict.word == verdict.trend else f"{verdict.trend}: {verdict.word}"


def _learned(name: str, span: Span) -> Figure:
    """What was learned of this bath: a share, or an amount whose unit its name ends in."""
    said, _, unit = name.partition(", ")
    if unit:
        span_text = f"{show_number(span.p10, 1)} to {show_number(span.p90, 1)}, 80 % range"
        return Figure(said.capitalize(), f"{show_number(span.p50, 1)} {unit}", span_text)
    return Figure(name.capitalize(), show(span.p50, "frac"), show_range(span.p10, span.p90, "frac"))


def _moves(span: Span) -> str:
    return f"{span.p50:+z.2f} mS/cm a month ({span.p10:+z.2f} to {span.p90:+z.2f})"


def _refill_figures(outlook: BathOutlook, units: str) -> tuple[Figure, ...]:
    advice = outlook.refill
    return (
        Figure("Siphon", show(advice.siphon_l, "l", units)),
        Figure("Refill", show(advice.refill_l, "l", units), advice.refill_name),
        _spanned("EC before", advice.ec_before),
        _spanned("EC after", advice.ec_after),
    )


def _ph(verdict: PhVerdict | None) -> str:
    if verdict is None:
        return "No pH is noted of this bath. A reading now and then tells what the feed does to it."
    return " ".join(part for part in (verdict.said, verdict.to_tell) if part)


def _film_figures(film: FilmAdvice) -> tuple[Figure, ...]:
    low, high = (show_number(end, 0) for end in (film.film_range.p10, film.film_range.p90))
    return (
        Figure(
            "Film on the leaves",
            f"{show_number(film.film_ml_m2, 1)} mL/m²",
            "" if low == high else f"{low} to {high}",
        ),
        Figure("Runs off at once", show(film.run_off_frac, "frac"), "of the spray, into the bath"),
        Figure("Nitrogen left", f"{show_number(film.n_mg_m2, 1)} mg/m²", f"one night; {film.strength}"),
        Figure("EC on the leaf", film.ec_on_leaf),
        Figure("Plain water", "tonight" if film.is_plain_night else film.plain_night or "not needed"),
    )


def _nutrients(found: tuple[NutrientOutlook, ...]) -> ChartTable:
    rows = tuple(
        (
            one.name,
            _mg_l(one.mg_l.p50),
            f"{_mg_l(one.mg_l.p10)} to {_mg_l(one.mg_l.p90)}",
            _mg_l(one.at_siphon_mg_l.p50) if one.at_siphon_mg_l else "",
            _mg_l(one.steady_mg_l),
        )
        for one in found
    )
    heads = ("mg/L", "now", "80 % range", "at the siphon", "in the long run")
    return ChartTable("What the bath holds", heads, rows)


def _mg_l(value: float | None) -> str:
    return "" if value is None else show_number(value, 1)
