"""The Tonight page as plain data: what the walk asks for, in the grower's words."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date
from typing import Protocol

from django.urls import reverse

from halfwater.deeds.tonight import Job, Round, SiphonAhead
from halfwater.plain.figures import show, show_date, show_dates, show_list, show_minutes
from halfwater.plain.working import Working
from halfwater.web import cautions
from halfwater.web.fields import Field
from halfwater.web.measures import unit_of

DOES = {
    "spray": "Spray",
    "siphon": "Siphon",
    "fill": "Fill",
    "read": "Read the waterline",
    "ec": "Read the EC",
    "act": "Against algae",
    "look": "Look over",
    "count": "Count leaves",
    "cut": "Cut",
    "move": "Move",
}
SPOON_ERROR_FRAC = 0.10  # a spoon further off than this is not offered
_TONES = {
    "siphon": ("due", "due"),
    "fill": ("due", "low"),
    "read": ("", "worth it"),
    "ec": ("", "worth it"),
    "act": ("due", "algae"),
    "count": ("quiet", "monthly"),
    "cut": ("due", "this week"),
    "move": ("due", "this week"),
}


class PartToMeasure(Protocol):
    """A feed of a mix, measured out, as the deeds give it."""

    @property
    def feed(self) -> str: ...
    @property
    def amount_ml(self) -> float | None: ...
    @property
    def amount_g(self) -> float | None: ...
    @property
    def spoon_text(self) -> str: ...
    @property
    def spoon_error_frac(self) -> float | None: ...
    @property
    def spoon_spread_frac(self) -> float | None: ...


@dataclass(frozen=True, slots=True)
class Line:
    """One job of the walk."""

    key: str
    does: str
    amount: str
    mix: str
    why: str
    word: str
    tone: str
    field: Field | None
    skip: Field | None
    is_reading: bool
    is_open: bool = False


@dataclass(frozen=True, slots=True)
class Stop:
    """One tank on the walk."""

    tank: str
    url: str
    lines: tuple[Line, ...]


@dataclass(frozen=True, slots=True)
class PartLine:
    """One feed to measure."""

    name: str
    amount: str
    spoons: str


@dataclass(frozen=True, slots=True)
class MixCard:
    """One mix to make."""

    name: str
    volume: str
    why: str
    parts: tuple[PartLine, ...]
    water: str
    strength: str


@dataclass(frozen=True, slots=True)
class SiphonLine:
    """When one tank wants its siphon, and how much is then to come out."""

    tank: str
    url: str
    dates: str
    amount: str


@dataclass(frozen=True, slots=True)
class TonightPage:
    """All that the page shows."""

    on: date
    day: str
    answer: str
    tone: str
    minutes: str
    stops: tuple[Stop, ...]
    mixes: tuple[MixCard, ...]
    siphons: tuple[SiphonLine, ...]
    at_rest: tuple[str, ...]
    done: tuple[str, ...]
    cautions: tuple[str, ...]
    workings: tuple[Working, ...]
    can_undo: bool
    refusal: str = ""


def tonight_page(planned: Round, units: str, today: date, can_undo: bool) -> TonightPage:
    """The page of a planned round."""
    walk = [job for job in planned.jobs if job.tank]
    names = list(dict.fromkeys(job.tank for job in walk))
    return TonightPage(
        on=planned.on,
        day=show_date(planned.on, today),
        answer=_answer(planned, units),
        tone="due" if any(job.kind in ("siphon", "fill") for job in walk) else "",
        minutes=show_minutes(round(planned.minutes)) if planned.jobs else "",
        stops=tuple(
            Stop(
                name,
                reverse("tank", args=[name]),
                tuple(_line(job, units) for job in walk if job.tank == name),
            )
            for name in names
        ),
        mixes=tuple(_mix_card(job, units) for job in planned.jobs if job.kind == "mix"),
        siphons=tuple(_siphon_line(ahead, units, today) for ahead in planned.siphons),
        at_rest=planned.not_needed,
        done=planned.done,
        cautions=_cautions(planned),
        workings=_workings(planned, units),
        can_undo=can_undo,
    )


def _siphon_line(ahead: SiphonAhead, units: str, today: date) -> SiphonLine:
    dates = show_dates(ahead.siphon_p10_on, ahead.siphon_p50_on, ahead.siphon_p90_on, today)
    amount = f"{show(ahead.volume_l, 'l', units)}, to {show(ahead.low_line_mm, 'mm', units)}"
    return SiphonLine(ahead.tank, reverse("tank", args=[ahead.tank]), dates, amount)


def with_typed(page: TonightPage, typed: Mapping[str, str], refusals: Mapping[str, str]) -> TonightPage:
    """The page holding what was typed, each refusal beside its line."""
    stops = tuple(
        replace(stop, lines=tuple(_line_with_typed(line, typed, refusals) for line in stop.lines))
        for stop in page.stops
    )
    return replace(
        page, stops=stops, refusal="Nothing was noted yet: see the marked line below." if refusals else ""
    )


def _line_with_typed(line: Line, typed: Mapping[str, str], refusals: Mapping[str, str]) -> Line:
    field = line.field and replace(
        line.field, value=typed.get(line.field.name, line.field.value), refusal=refusals.get(line.key, "")
    )
    skip = line.skip and replace(line.skip, value=typed.get(line.skip.name, ""))
    changed = bool(field and line.field and field.value != line.field.value) or bool(skip and skip.value)
    return replace(line, field=field, skip=skip, is_open=changed or line.key in refusals)


def _line(job: Job, units: str) -> Line:
    tone, word = _TONES.get(job.kind, ("", ""))
    if job.kind == "siphon" and job.by_on:
        word = "tonight" if job.by_on <= job.due_on else f"by {show_date(job.by_on, job.due_on)}"
    if job.kind == "fill" and not job.to_line:
        tone, word = "", "after the siphon"
    does = "Morning spray" if job.session == "morning" else DOES[job.kind]
    return Line(
        key=job.key,
        does=does,
        amount=_amount(job, units),
        mix=job.mix or ("" if job.volume_l is None else job.what),
        why=job.why,
        word=word,
        tone=tone,
        field=_field(job, units),
        skip=_skip(job),
        is_reading=job.kind in ("read", "ec"),
    )


def _amount(job: Job, units: str) -> str:
    if job.volume_l is None:
        return job.what
    amount = show(job.volume_l, "l", units)
    if job.line_mm is not None:
        return f"{amount}, to {show(job.line_mm, 'mm', units)}"
    return amount


def _field(job: Job, units: str) -> Field | None:
    name = f"amount-{job.key}"
    if job.kind == "spray":
        unit = unit_of("small_volume", units)
        return Field(name, "Amount", unit.text(job.volume_l, 3), unit.sign)
    if job.kind == "siphon":
        usual = "to low line" if job.to_line else show(job.volume_l, "l", units)
        return Field(name, "How much", usual, help="Or litres taken out, such as 2.5 L.")
    if job.kind == "fill":
        unit = unit_of("volume", units)
        return Field(name, "Amount", unit.text(job.volume_l, 3), unit.sign)
    if job.kind == "read":
        return Field(name, f"Waterline in {job.tank}", "", unit_of("length", units).sign, inputmode="decimal")
    if job.kind == "ec":
        return Field(name, f"EC of {job.tank}", "", "mS/cm", inputmode="decimal")
    if job.kind == "act":
        return Field(name, "The lamp now", "", help="Dimmer and hours once it is set, such as 80 % 8 h.")
    return None


def _skip(job: Job) -> Field | None:
    words = {
        "spray": "Not sprayed tonight",
        "siphon": "Not siphoned",
        "fill": "Not filled",
        "look": "Not looked over",
    }
    return Field(f"skip-{job.key}", words[job.kind], type="tick") if job.kind in words else None


def _mix_card(job: Job, units: str) -> MixCard:
    recipe = job.recipe
    parts = recipe.parts if recipe else ()
    strength = recipe.strength if recipe else None
    said = ""
    if strength is not None and parts:
        said = ", ".join(
            f"{sign} {show(getattr(strength, name), 'mg_l')}"
            for sign, name in (("N", "n_mg_l"), ("P", "p_mg_l"), ("K", "k_mg_l"))
        )
    return MixCard(
        name=job.mix,
        volume=show(job.volume_l, "l", units),
        why=job.why,
        parts=tuple(part_line(part) for part in parts),
        water=show(recipe.water_l if recipe else job.volume_l, "l", units),
        strength=f"Contains {said}." if said else (recipe.why if recipe else ""),
    )


def part_line(part: PartToMeasure) -> PartLine:
    """One feed to measure: in mL or g, and in spoons with their error."""
    is_liquid = part.amount_ml is not None
    amount = f"{part.amount_ml:.3g} mL" if is_liquid else f"{part.amount_g:.3g} g"
    error = part.spoon_error_frac
    if not part.spoon_text:
        return PartLine(part.feed, amount, "")
    if error is not None and abs(error) > SPOON_ERROR_FRAC:
        return PartLine(part.feed, amount, f"no spoon fits: {'use a syringe' if is_liquid else 'weigh it'}")
    said = f"or {part.spoon_text}" + (
        f" ({100 * error:+.0f}\N{NO-BREAK SPACE}%)" if error and abs(error) >= 0.005 else ""
    )
    if part.spoon_spread_frac:
        said += f", a spoon is ±{100 * part.spoon_spread_frac:.0f} %: better weigh it"
    return PartLine(part.feed, amount, said)


def _answer(planned: Round, units: str) -> str:
    sprays = [job for job in planned.jobs if job.kind == "spray"]
    said = []
    if sprays:
        tanks = list(dict.fromkeys(job.tank for job in sprays))
        total = show(sum(job.volume_l or 0 for job in sprays), "l", units)
        said.append(f"spray {show_list(tanks)} with {total}" + (" in all" if len(sprays) > 1 else ""))
    said += [
        f"{job.kind} {job.tank} ({show(job.volume_l, 'l', units)})"
        for job in planned.jobs
        if job.kind in ("siphon", "fill")
    ]
    reads = [job.tank for job in planned.jobs if job.kind == "read"]
    if reads:
        said.append(f"read the waterline of {show_list(reads)}")
    rest = sum(job.kind in ("look", "count") for job in planned.jobs)
    if rest and not said:
        return f"No spray and no siphon: {rest} thing{'s' if rest > 1 else ''} to look at."
    if not said:
        return "Nothing more is asked for tonight: the round is noted."
    sentence = show_list(said)
    return sentence[0].upper() + sentence[1:] + "."


def _cautions(planned: Round) -> tuple[str, ...]:
    kinds = {job.kind for job in planned.jobs}
    recipes = planned.mixes_to_make
    found = [
        text if all(text in other.cautions for other in recipes) else f"{recipe.mix}: {text}"
        for recipe in recipes
        for text in recipe.cautions
    ]
    if "siphon" in kinds:
        found += [cautions.SIPHON, cautions.DRAIN]
    if kinds & {"siphon", "fill", "read", "ec"}:
        found.append(cautions.ELECTRICITY)
    return tuple(dict.fromkeys(found))


def _workings(planned: Round, units: str) -> tuple[Working, ...]:
    by_kind: dict[str, list[float]] = {}
    for job in planned.jobs:
        if job.kind not in ("cut", "move"):  # they have a week, and are not in the evening's minutes
            by_kind.setdefault(job.kind, []).append(job.minutes)
    steps = [
        Working(
            "Minutes in all",
            "sum over the jobs",
            tuple((kind, f"{len(each)} x {sum(each) / len(each):.2g} min") for kind, each in by_kind.items()),
            show_minutes(round(planned.minutes)),
            "starting values",
        ),
        Working(
            "Which tank is siphoned",
            "due when P(limit line passed before the next round) is 10 % or more, or the bath is at it",
            (),
            "the page of each tank shows its forecast",
            "own definition",
        ),
    ]
    return (*steps, *(_mix_working(job, planned, units) for job in planned.jobs if job.kind == "mix"))


def _mix_working(job: Job, planned: Round, units: str) -> Working:
    users = (other for other in planned.jobs if other.mix_key == job.mix_key and other.kind != "mix")
    return Working(
        f"How much {job.mix}",
        "sum of its sprays and fills, made up to the next mark of a jug",
        tuple((f"{other.tank}, {other.kind}", show(other.volume_l, "l", units)) for other in users),
        show(job.volume_l, "l", units),
        "own definition",
    )
