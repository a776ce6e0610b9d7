"""What the chemistry says of a mix, as a page shows it: picture, figures, tables."""

from dataclasses import dataclass

from halfwater.pictures.strengths import StrengthBar, draw_strengths
from halfwater.pictures.table import ChartTable
from halfwater.plain.chemistry import MixLook, Settling
from halfwater.plain.figures import show, show_list, show_range, show_small_money
from halfwater.plain.nursery import NurseryFacts
from halfwater.plain.working import Working
from halfwater.web.mixes.words import TONES, off_sign
from halfwater.web.workings import Figure


@dataclass(frozen=True, slots=True)
class SettlingLine:
    """A mineral that may fall out."""

    name: str
    state: str
    tone: str
    text: str


@dataclass(frozen=True, slots=True)
class LookPart:
    """The chemistry of a mix."""

    drawing: str
    figures: tuple[Figure, ...]
    strengths: ChartTable
    ec_text: str
    urea: str
    charge: str
    settlings: tuple[SettlingLine, ...]
    notes: tuple[str, ...]
    cautions: tuple[str, ...]
    workings: tuple[Working, ...]


def look_part(look: MixLook, nursery: NurseryFacts) -> LookPart:
    """The chemistry of a mix."""
    is_wanted = any(line.wanted_mg_l is not None for line in look.strengths)
    notes = list(look.not_modelled)
    if look.unpriced:
        notes.append(f"No price is known of {show_list(look.unpriced)}: the cost is without it.")
    return LookPart(
        drawing=_drawing(look),
        figures=look_figures(look, nursery),
        strengths=_strengths(look, is_wanted),
        ec_text=look.ec.text,
        urea="" if "urea" in look.ec.text else urea_text(look),
        charge=_charge(look),
        settlings=tuple(settling_line(one) for one in look.settlings),
        notes=tuple(notes),
        cautions=look.cautions,
        workings=look.workings,
    )


def look_figures(look: MixLook, nursery: NurseryFacts) -> tuple[Figure, ...]:
    """EC with its range, pH, cost, water and temperature."""
    ec = look.ec
    found = [
        Figure(
            "EC at 25 °C", show(ec.ec_ms_cm, "ms_cm"), show_range(ec.ec_low_ms_cm, ec.ec_high_ms_cm, "ms_cm")
        ),
        Figure("Above the water", show(ec.ec_above_source_ms_cm, "ms_cm"), f"the water: {look.water}"),
    ]
    if ec.urea_mg_l:
        found.append(Figure("Urea, unseen by the meter", show(ec.urea_mg_l, "mg_l"), "as nitrogen"))
    if look.ph is not None:
        standing = "" if look.ph_standing is None else f"{look.ph_standing:.1f} once it has stood in the air"
        found.append(Figure("pH as mixed", f"{look.ph:.1f}", standing))
    cost = "not known" if look.cost_minor is None else show_small_money(look.cost_minor, nursery.currency)
    found.append(Figure("A litre costs", cost, f"at {show(look.temp_c, 'c', nursery.units)}"))
    return tuple(found)


def urea_text(look: MixLook) -> str:
    """What is said of urea."""
    urea = look.ec.urea_mg_l
    if urea is None:
        return "The label does not tell how much of the nitrogen is urea; no EC meter sees urea."
    if urea <= 0:
        return ""
    return f"{show(urea, 'mg_l')} of the nitrogen is urea: no EC meter sees it, it is counted apart."


def settling_line(one: Settling) -> SettlingLine:
    """A mineral with its state as a word and a shape."""
    return SettlingLine(f"{one.mineral}, {one.formula}", one.state, TONES[one.state], one.text)


def _drawing(look: MixLook) -> str:
    wanted = [line for line in look.strengths if line.wanted_mg_l]
    lines = wanted or [line for line in look.strengths if line.in_all_mg_l > 0 and "-" not in line.what]
    bars = [
        StrengthBar(line.what, line.in_all_mg_l, line.water_mg_l or 0.0, line.wanted_mg_l) for line in lines
    ]
    said = "; ".join(f"{bar.what} {show(bar.in_all_mg_l, 'mg_l')}" for bar in bars)
    return draw_strengths(bars, f"What {look.name} holds: {said}") if bars else ""


def _strengths(look: MixLook, is_wanted: bool) -> ChartTable:
    heads = ("mg/L", "Target", "Got", "Off", "From the water", "Got, mmol/L")
    rows = []
    for line in look.strengths:
        off = ""
        if line.wanted_mg_l:
            off = off_sign(line.in_all_mg_l / line.wanted_mg_l - 1.0)
        row = (
            line.what,
            "" if line.wanted_mg_l is None else _bare(line.wanted_mg_l),
            _bare(line.in_all_mg_l),
            off,
            "not told" if line.water_mg_l is None else _bare(line.water_mg_l),
            f"{line.in_all_mmol_l:.3g}",
        )
        rows.append(row if is_wanted else (row[0], *row[2:3], *row[4:]))
    shown = heads if is_wanted else (heads[0], heads[2], *heads[4:])
    return ChartTable("What is in it", shown, tuple(rows))


def _bare(value: float) -> str:
    """A strength without its unit, which stands at the head of the table."""
    return show(value, "mg_l").split()[0] if value >= 1 else f"{value:.3g}"


def _charge(look: MixLook) -> str:
    charge = look.charge
    off = f"{100 * charge.off_frac:+.1f} %".replace("-", "\N{MINUS SIGN}")
    return f"{charge.text} Off by {off}{' before that' if 'assumed' in charge.text else ''}."
