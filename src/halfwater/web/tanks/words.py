"""A tank in words: its answer sentence, its state, its figures."""

from datetime import date

from halfwater.deeds.tank import TankAnswer
from halfwater.plain.entry import EntryFact
from halfwater.plain.figures import show, show_date, show_dates, show_minutes, show_range
from halfwater.plain.tank import TankFacts
from halfwater.web.workings import Figure

_SUFFIX = {"spray": "l", "fill": "l", "siphon": "l", "waterline": "mm", "ec": "ms_cm", "rhizome": "mm"}
SOON_DAYS = 3


def state_of(answer: TankAnswer, today: date) -> tuple[str, str]:
    """The state as a word and a tone: past the line, due, soon, or in order."""
    if answer.depth_mm is None:
        return "no forecast", "quiet"
    if answer.limit_line_mm is not None and answer.depth_mm >= answer.limit_line_mm:
        return "past the line", "past"
    first = answer.siphon_p10_on
    if first is not None and (first - today).days <= 1:
        return "siphon due", "due"
    if first is not None and (first - today).days <= SOON_DAYS:
        return "siphon soon", "due"
    return "in order", ""


def answer_sentence(answer: TankAnswer, today: date, units: str) -> str:
    """When it must be siphoned and how much comes out."""
    if answer.depth_mm is None:
        why = dict(answer.whys).get("depth_mm", answer.why or "")
        return f"Nothing can be said of this bath yet: {what_is_missing(answer.tank, why)}."
    now = f"The bath stands at about {show(answer.depth_mm, 'mm', units)}"
    out = show(answer.siphon_volume_l, "l", units)
    if answer.limit_line_mm is not None and answer.depth_mm >= answer.limit_line_mm:
        now_out = show(answer.siphon_now_volume_l, "l", units)
        return f"{now}, past the limit line: siphon it tonight, {now_out} down to the low line."
    if answer.siphon_p50_on is None and answer.siphon_p10_on is None:
        return f"{now} and does not reach its limit line in the foreseeable time: no siphon is in sight."
    dates = show_dates(answer.siphon_p10_on, answer.siphon_p50_on, answer.siphon_p90_on, today)
    return f"{now}. Siphon it {dates}: {out} down to the low line."


def what_is_missing(tank: TankFacts, why: str) -> str:
    """Why nothing can be said of a bath, in the middle of a sentence."""
    if tank.pot is None or not tank.pots:
        return "no pots are described for it, so its clay line is not known; change the tank and say which"
    return why.rstrip(".")


def sharper_sentence(answer: TankAnswer, is_unnoted: bool = False) -> str:
    """What the answer rests on before anything is noted, and the measurement that would narrow it most."""
    gain = answer.reading_gain_days
    said = " ".join(answer.misfits)
    if gain is not None and gain >= 1:
        said = f"A waterline read tonight would narrow the siphon date by about {_days(gain)}. {said}"
    if is_unnoted and answer.depth_mm is not None:
        said = f"Nothing is noted here yet: the bath is taken to have been filled to its low line. {said}"
    return said.strip()


def _days(days: float) -> str:
    return "1 day" if round(days) == 1 else f"{days:.0f} days"


def figures_of(answer: TankAnswer, units: str) -> tuple[Figure, ...]:
    """The figures of the bath; what cannot be said is left out."""
    found = [
        _ranged("Waterline", answer.depth_mm, answer.depth_low_mm, answer.depth_high_mm, "mm", units),
        Figure("Bath", show(answer.volume_l, "l", units)),
        Figure(
            "Limit line",
            show(answer.limit_line_mm, "mm", units),
            f"clay line {show(answer.clay_line_mm, 'mm', units)}",
        ),
        Figure("Low line", show(answer.low_line_mm, "mm", units)),
        Figure("To take out", show(answer.siphon_volume_l, "l", units), "limit line to low line"),
        _spread(
            "Catch", answer.catch_frac, answer.catch_sd_frac, "frac", units, "of a spray reaches the bath"
        ),
        _spread("Loss", answer.loss_l_day, answer.loss_sd_l_day, "l_day", units, "vapour and plants"),
    ]
    if answer.weight is not None:
        load = show(answer.weight.load_kg_m2, "kg_m2", units)
        found.append(
            Figure("Weight filled", show(answer.weight.total_kg, "kg", units), f"{load} on its stand")
        )
    return tuple(one for one in found if "not known" not in one.value)


def _ranged(
    name: str, value: float | None, low: float | None, high: float | None, suffix: str, units: str
) -> Figure:
    return Figure(name, show(value, suffix, units), f"{show_range(low, high, suffix, units)}, 80 % range")


def _spread(name: str, value: float | None, sd: float | None, suffix: str, units: str, more: str) -> Figure:
    places = 2 if suffix == "frac" else 4
    give = f"give or take {show(round(1.28 * sd, places), suffix, units)}; " if sd is not None else ""
    shown = show(None if value is None else round(value, places), suffix, units)
    return Figure(name, shown, f"{give}{more}")


def light_sentence(answer: TankAnswer) -> str:
    """The daily light and what it is good for."""
    if answer.dli_mol_m2_d is None:
        return f"No daily light can be said: {answer.light.why}."
    parts = ", ".join(
        f"{one.name} {show(one.ppfd_umol_m2_s, 'umol_m2_s')} for {show(one.lit_h, 'h')}"
        for one in answer.light.sources
    )
    meaning = (
        f" {answer.light.meaning[0].upper()}{answer.light.meaning[1:].rstrip('.')}."
        if answer.light.meaning
        else ""
    )
    return f"{show(answer.dli_mol_m2_d, 'mol_m2_d')} reach the pots in a day ({parts}).{meaning}"


def entry_amount(entry: EntryFact, units: str) -> str:
    """The quantity of an entry in words."""
    if entry.kind == "siphon" and entry.value is None:
        return "to the low line"
    if entry.value is None:
        return entry.word
    if entry.kind in _SUFFIX:
        return show(entry.value, _SUFFIX[entry.kind], units)
    if entry.kind == "air":
        damp = f", {show(entry.second, 'frac')}" if entry.second is not None else ""
        return show(entry.value, "c", units) + damp
    if entry.kind in ("light", "meter"):
        return _reading(entry)
    if entry.kind == "lamp":
        return f"{show(entry.value, 'frac')} for {show(entry.second, 'h')}"
    if entry.kind == "loss":
        return f"{entry.value:.0f}, {entry.word}"
    if entry.kind == "sighting":
        return f"{entry.word}, {('little', 'some', 'much')[int(entry.value) - 1]}"
    if entry.kind == "work":
        return f"{show_minutes(entry.value)}, {entry.word}"
    if entry.kind == "cut":
        return f"{entry.value:.0f} section{'' if entry.value == 1 else 's'}"
    return f"{entry.value:g}"


def _reading(entry: EntryFact) -> str:
    """What a light meter showed at a spot, or an EC meter in its standard; it can be typed back."""
    if entry.kind == "meter":
        warmth = f" at {entry.third:g} C" if entry.third is not None else ""
        raw = ", raw" if entry.word == "raw" else ""
        return f"{entry.value:g} of {entry.second:g}{warmth}{raw}"
    dimmer = "" if entry.second is None else f", dimmer {show(entry.second, 'frac')}"
    stray = f", stray {entry.third:g}" if entry.third else ""
    return f"{entry.value:g} umol/m2/s{dimmer}{stray}"


def entry_as_typed(entry: EntryFact, units: str) -> str:
    """The quantity of an entry as a grower would type it: read back it gives the same."""
    if entry.kind in ("skip", "note"):
        return ""
    if entry.typed and entry.kind not in ("light", "meter"):
        return entry.typed
    if entry.kind == "siphon" and entry.value is None:
        return "to low line"
    if entry.kind == "lamp":
        return f"{show(entry.value, 'frac')} {show(entry.second, 'h')}"
    if entry.kind == "work":
        return f"{entry.value:g} {entry.word}"
    return entry_amount(entry, units).replace(",", "")


def entry_day(entry: EntryFact, today: date) -> str:
    """The nursery day of an entry."""
    return show_date(entry.day, today)
