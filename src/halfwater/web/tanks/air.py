"""The air under a lid and the algae below it as a page."""

from dataclasses import dataclass
from datetime import date

from django.urls import reverse

from halfwater.pictures.shares import Share, draw_shares
from halfwater.plain.figures import show, show_date, show_number, show_range
from halfwater.plain.growing import Span
from halfwater.plain.lid import AlgaeWatch, LidAir
from halfwater.plain.tank import TankFacts
from halfwater.plain.working import Working
from halfwater.web import cautions
from halfwater.web.workings import Figure

NO_SOURCE = "The order is common practice, no source: first the waterline, then hours, then intensity."


@dataclass(frozen=True, slots=True)
class ActLine:
    """One act against algae in its turn."""

    lever: str
    said: str
    after: str
    is_next: bool


@dataclass(frozen=True, slots=True)
class AlgaePart:
    """The algae of one tank."""

    answer: str
    tone: str
    figures: tuple[Figure, ...]
    acts: tuple[ActLine, ...]
    waits: str
    learned: str
    practice: str
    note_url: str
    workings: tuple[Working, ...]


@dataclass(frozen=True, slots=True)
class AirPage:
    """The air of one tank, whole."""

    name: str
    back_url: str
    edit_url: str
    answer: str
    more: str
    picture: str
    figures: tuple[Figure, ...]
    water: str
    carbon: str
    carbon_figures: tuple[Figure, ...]
    experiment: str
    dew: str
    dew_word: str
    algae: AlgaePart
    cautions: tuple[str, ...]
    workings: tuple[Working, ...]


def air_page(
    tank: TankFacts, air: LidAir | str, watch: AlgaeWatch | None, units: str, today: date
) -> AirPage:
    """The page; `air` is why nothing can be said, where nothing can."""
    known = None if isinstance(air, str) else air
    return AirPage(
        name=tank.name,
        back_url=reverse("tank", args=[tank.name]),
        edit_url=reverse("tank-edit", args=[tank.name]),
        answer=air if isinstance(air, str) else air.said,
        more=known.narrows_most if known else "",
        picture=draw_shares(_shares(known, watch)) if known else "",
        figures=_figures(known, units, today) if known else (),
        water=_water(known, units) if known else "",
        carbon=_carbon(known) if known else "",
        carbon_figures=_carbon_figures(known, units) if known else (),
        experiment=known.experiment if known else "",
        dew=_dew(known, units) if known else "",
        dew_word=("wet" if known.lid_condenses else "dry") if known else "",
        algae=algae_part(tank, watch, today),
        cautions=(cautions.ELECTRICITY,),
        workings=known.workings if known else (),
    )


def algae_part(tank: TankFacts, watch: AlgaeWatch | None, today: date) -> AlgaePart:
    """The algae of a tank; of one that is laid up nothing is said."""
    note_url = f"{reverse('tank', args=[tank.name])}#note-sighting"
    if watch is None:
        laid_up = f"{tank.name} is laid up: its algae are not watched."
        return AlgaePart(laid_up, "", (), (), "", "", "", note_url, ())
    acts = tuple(
        ActLine(act.lever, act.said, show(round(act.p_after_frac, 2), "frac"), act.is_next)
        for act in watch.acts
    )
    is_waiting = bool(acts) and not any(act.is_next for act in acts)
    return AlgaePart(
        answer=watch.said,
        tone="due" if any(act.is_next for act in acts) else "",
        figures=_algae_figures(watch, today),
        acts=acts,
        waits="Something was done since they were seen: give it a month, then the first act is next."
        if is_waiting
        else "",
        learned=_learned(watch),
        practice=NO_SOURCE,
        note_url=note_url,
        workings=watch.workings,
    )


def _shares(air: LidAir, watch: AlgaeWatch | None) -> tuple[Share, ...]:
    """How damp, how much of open air's growth, and how likely algae are, side by side."""
    grown, chance = air.growth_frac, watch.p_month if watch else None
    found = [Share("Damp under the lid", air.rh_frac, air.rh_frac, air.rh_frac)]
    if air.wanted_g_30d:
        found.append(Share("Growth the air allows", grown.p10, grown.p50, grown.p90))
    if chance is not None:
        found.append(Share("Algae within a month", chance.p10, chance.p50, chance.p90))
    return tuple(found)


def _figures(air: LidAir, units: str, today: date) -> tuple[Figure, ...]:
    how = f"read {show_date(air.read_on, today)}" if air.read_on else air.how_known
    room = f"room {show(air.room_temp_c, 'c', units)}, {show(air.room_rh_frac, 'frac')}"
    found = [
        Figure("Humidity inside", show(air.rh_frac, "frac"), how),
        Figure("Temperature inside", show(air.temp_c, "c", units), room),
        _spanned("Vapour lost", air.vapour_l_day, "l_day", units),
    ]
    if air.waterline_mm_day.p90 > 0:
        found.append(_spanned("Off the waterline", air.waterline_mm_day, "mm_day", units))
    if air.loss_l_day is not None:
        found.append(_spanned("All that leaves", air.loss_l_day, "l_day", units, "vapour and plants; "))
    return tuple(found)


def _spanned(name: str, span: Span, suffix: str, units: str, before: str = "") -> Figure:
    wide = "" if span.p10 == span.p90 else f"{show_range(span.p10, span.p90, suffix, units)}, 80 % range"
    return Figure(name, show(span.p50, suffix, units), f"{before}{wide}".rstrip("; "))


def _water(air: LidAir, units: str) -> str:
    """What the vapour does to the waterline."""
    line = air.waterline_mm_day
    if line.p90 <= 0:
        return "What it does to the waterline is not known: the floor or the pots are not described."
    month = Span(*(30 * value for value in (line.p10, line.p50, line.p90)))
    said = (
        f"In thirty days the vapour alone lowers the waterline by about {show(month.p50, 'mm', units)}"
        f" ({show_range(month.p10, month.p90, 'mm', units)}); salts stay behind."
    )
    if air.loss_l_day is not None and air.loss_l_day.p50 < air.vapour_l_day.p10:
        return f"{said} The waterline itself tells of less: the lid may be tighter than it is taken to be."
    return said


def _carbon(air: LidAir) -> str:
    if not air.wanted_g_30d:
        return "No plants stand here, so carbon is not asked for."
    return (
        f"By day plants draw the carbon dioxide under the lid down to about {air.co2_umol_mol.p50:.0f} ppm "
        f"({air.co2_umol_mol.p10:.0f} to {air.co2_umol_mol.p90:.0f}); the room's air has more than 400. "
        f"They then make {100 * air.growth_frac.p50:.0f} % of what the room's air would allow."
    )


def _carbon_figures(air: LidAir, units: str) -> tuple[Figure, ...]:
    ach = air.air_changes_per_h
    is_described = ach.p10 == ach.p90
    wide = (
        "as described" if is_described else f"{show_number(ach.p10)} to {show_number(ach.p90)}, not described"
    )
    lid = Figure("Air changes", f"{show_number(ach.p50)} an hour", wide)
    if not air.wanted_g_30d:
        return (lid,)
    made = f"of {show(air.wanted_g_30d, 'g', units)} in the room's air"
    return (
        lid,
        Figure("CO2 by day", f"{air.co2_umol_mol.p50:.0f} ppm",
               f"{air.co2_umol_mol.p10:.0f} to {air.co2_umol_mol.p90:.0f}, 80 % range"),
        Figure("Growth", show(round(air.growth_frac.p50, 2), "frac"),
               f"{100 * air.growth_frac.p10:.0f} to {100 * air.growth_frac.p90:.0f} % of open air"),
        Figure("Dry mass in 30 days", show(air.made_g_30d, "g", units), made),
    )  # fmt: skip


def _dew(air: LidAir, units: str) -> str:
    margin = abs(air.dew_margin_c) * (1.8 if units == "us" else 1.0)
    degrees = f"{margin:.1f} {'°F' if units == 'us' else '°C'}"
    leaves = (
        f"Leaves a degree below the air stay {degrees} above the dew point: they dry between sprays."
        if air.dew_margin_c >= 0
        else f"Leaves a degree below the air lie {degrees} below the dew point: they stay wet by themselves."
    )
    if air.lid_light_loss_frac is None:
        return f"{leaves} The lid is warm enough to stay dry."
    taken = show(air.lid_light_loss_frac, "frac")
    return f"{leaves} Water condenses on the lid; its drops take about {taken} of the lamp's light."


def _algae_figures(watch: AlgaeWatch, today: date) -> tuple[Figure, ...]:
    chance = watch.p_month
    seen = show_date(watch.seen_on, today) if watch.seen_on else "never noted"
    return (
        Figure("Chance in a month", f"{100 * chance.p50:.0f} %",
               f"{100 * chance.p10:.0f} to {100 * chance.p90:.0f} %, 80 % range"),
        Figure("Last seen", seen, watch.seen_word),
        Figure("Daily light", show(watch.dli_mol_m2_d, "mol_m2_d")),
        Figure("EC of the bath", show(watch.ec_ms_cm, "ms_cm")),
        Figure("Above the limit line", show(round(watch.wet_frac, 2), "frac"), "of the last month"),
    )  # fmt: skip


def _learned(watch: AlgaeWatch) -> str:
    if not watch.months:
        return (
            "Learned from no month of yours yet: it starts from stated starting values. A look noted now "
            "and then, with algae or without, makes it yours."
        )
    months = f"{watch.months} tank-month{'' if watch.months == 1 else 's'} of this nursery"
    return f"Learned from {months}, {watch.seen_months} of them with some algae or much."
