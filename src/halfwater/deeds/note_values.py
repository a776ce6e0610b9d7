"""What a grower types for each kind of entry, read into the house unit of that kind."""

import re
from collections.abc import Callable
from dataclasses import dataclass

from halfwater.deeds.note_readings import read_light, read_meter, read_ph, read_ppm
from halfwater.errors import RefusedInput
from halfwater.plain.costing import TASKS
from halfwater.plain.entry import CAUSES, KIND_UNITS, SIGHTINGS
from halfwater.plain.stock import BLADES, POT_STATES
from halfwater.plain.tank import TankFacts
from halfwater.planning.meter import judge_meter
from halfwater.science.conductivity import METER_RANGE
from halfwater.science.units import read_quantity

SPRAY_AT_MOST_L = 5.0  # a hand sprayer holds less; more is a slip of the unit
MINUTES_AT_MOST = 1440.0  # of one entry: a day
STRENGTHS = {"little": 1.0, "some": 2.0, "much": 3.0}
LOW_WORDS = ("", "low", "low line", "to low", "to low line", "to the low line", "down to the low line")


@dataclass(frozen=True, slots=True)
class NoteValue:
    """The quantities of one entry, read."""

    value: float | None = None
    second: float | None = None
    to_line: str = ""
    word: str = ""
    text: str = ""
    third: float | None = None
    spot: str = ""  # where it was said beside the value


@dataclass(frozen=True, slots=True)
class NoteSetting:
    """What reading a value needs to know: the grower's units, and the tank if there is one."""

    units: str
    tank: TankFacts | None
    planned_l: float | None  # the amount of a spray as planned
    second: str | None = None  # what goes with the value, where it has a field of its own
    third: str | None = None


def read_value(kind: str, typed: str, setting: NoteSetting) -> NoteValue:
    """The value of an entry as typed, checked against the tank it is about."""
    if kind not in KIND_UNITS:
        raise RefusedInput("kind", kind, f"one of {', '.join(KIND_UNITS)}")
    return _READERS[kind](typed.strip(), setting)


def _quantity(typed: str, measure: str, setting: NoteSetting, field: str) -> float:
    return read_quantity(typed, measure, system=setting.units, field=field)


def _spray(typed: str, setting: NoteSetting) -> NoteValue:
    if not typed:
        return NoteValue(value=setting.planned_l)
    litres = _quantity(typed, "volume", setting, "spray")
    if litres > SPRAY_AT_MOST_L:
        raise RefusedInput("spray", typed, f"a volume such as 150 mL, at most {SPRAY_AT_MOST_L:g} L")
    return NoteValue(value=litres)


def _skip(typed: str, setting: NoteSetting) -> NoteValue:
    return NoteValue(text=typed)


def _fill(typed: str, setting: NoteSetting) -> NoteValue:
    return NoteValue(value=_bath_volume(typed, setting, "fill"))


def _siphon(typed: str, setting: NoteSetting) -> NoteValue:
    if " ".join(typed.lower().split()) in LOW_WORDS:
        return NoteValue(to_line="low")
    if not re.search(r"\d|[½¼¾]", typed):
        raise RefusedInput("siphon", typed, "a volume such as 2.5 L, or “to low line”")
    return NoteValue(value=_bath_volume(typed, setting, "siphon"))


def _bath_volume(typed: str, setting: NoteSetting, field: str) -> float:
    """A volume that the tank could hold."""
    litres = _quantity(typed, "volume", setting, field)
    if setting.tank is not None:
        box_l = setting.tank.length_mm * setting.tank.width_mm * setting.tank.height_mm / 1e6
        if litres > box_l:
            accepted = f"a volume of at most {box_l:.3g} L, which is all that {setting.tank.name} holds"
            raise RefusedInput(field, typed, accepted)
    return litres


def _waterline(typed: str, setting: NoteSetting) -> NoteValue:
    depth_mm = _quantity(typed, "length", setting, "waterline")
    if setting.tank is not None and depth_mm > setting.tank.height_mm:
        rim = f"a depth of at most {setting.tank.height_mm:g} mm, the rim of {setting.tank.name}"
        raise RefusedInput("waterline", typed, rim)
    return NoteValue(value=depth_mm)


def _ec(typed: str, setting: NoteSetting) -> NoteValue:
    on_scale = read_ppm(typed)
    ec_ms_cm = _quantity(typed, "ec", setting, "ec") if on_scale is None else on_scale
    if ec_ms_cm > METER_RANGE.high:
        raise RefusedInput("ec", typed, METER_RANGE.accepted)
    return NoteValue(value=ec_ms_cm)


def _ph(typed: str, setting: NoteSetting) -> NoteValue:
    return NoteValue(value=read_ph(typed))


def _meter(typed: str, setting: NoteSetting) -> NoteValue:
    read = read_meter(typed, setting.second)
    try:
        judge_meter(read.standard_ms_cm, read.read_ms_cm, read.temp_c, has_compensation=not read.is_raw)
    except RefusedInput as refused:
        raise RefusedInput("meter", typed, refused.accepted) from refused
    word = "raw" if read.is_raw else ""
    return NoteValue(value=read.read_ms_cm, second=read.standard_ms_cm, third=read.temp_c, word=word)


def _light(typed: str, setting: NoteSetting) -> NoteValue:
    lamp = setting.tank.lamp if setting.tank is not None else None
    read = read_light(typed, lamp, setting.second, setting.third)
    return NoteValue(
        value=read.ppfd_umol_m2_s, second=read.dimmer_frac, third=read.stray_ppfd_umol_m2_s, spot=read.spot
    )


def _pair(typed: str, field: str, accepted: str) -> tuple[str, str]:
    """Two quantities side by side, such as 24C 92% or 80 % 10 h."""
    found = re.findall(r"-?\d+(?:[.,]\d+)?\s*[^\d\s,;/.-]*", typed)
    if len(found) != 2 or _bare(typed) != _bare("".join(found)):
        raise RefusedInput(field, typed, accepted)
    return found[0].strip(), found[1].strip()


def _bare(text: str) -> str:
    """Text without what may stand between two quantities."""
    return re.sub(r"[\s,;/]", "", text)


def _air(typed: str, setting: NoteSetting) -> NoteValue:
    accepted = "a temperature and a humidity such as 24C 92%"
    if setting.second is not None:
        warmth = _quantity(typed, "temperature", setting, "air")
        return NoteValue(value=warmth, second=_second("fraction", setting) if setting.second else None)
    if len(re.findall(r"\d+(?:[.,]\d+)?", typed)) == 1:
        return NoteValue(value=_quantity(typed, "temperature", setting, "air"))
    warm, damp = _pair(typed, "air", accepted)
    humid = _quantity(damp, "fraction", setting, "air")
    if humid > 1.0:
        raise RefusedInput("air", typed, accepted)
    return NoteValue(value=_quantity(warm, "temperature", setting, "air"), second=humid)


def _second(measure: str, setting: NoteSetting) -> float:
    """The value of a field of its own beside the first."""
    value = _quantity(setting.second or "", measure, setting, "second")
    if measure == "hours" and value > 24.0:
        raise RefusedInput("second", setting.second, "hours a day, at most 24")
    return value


def _lamp(typed: str, setting: NoteSetting) -> NoteValue:
    accepted = "a dimmer setting and hours a day such as 80% 10h"
    if setting.second is not None:
        share = _quantity(typed, "fraction", setting, "lamp")
        return NoteValue(value=share, second=_second("hours", setting))
    dimmer, hours = _pair(typed, "lamp", accepted)
    value, second = _quantity(dimmer, "fraction", setting, "lamp"), _quantity(hours, "hours", setting, "lamp")
    if value > 1.0 or second > 24.0:
        raise RefusedInput("lamp", typed, accepted)
    return NoteValue(value=value, second=second)


def _whole(typed: str, field: str, accepted: str) -> float:
    if not re.fullmatch(r"\d{1,4}", typed):
        raise RefusedInput(field, typed, accepted)
    return float(typed)


def _leaves(typed: str, setting: NoteSetting) -> NoteValue:
    return NoteValue(value=_whole(typed, "leaves", "a whole number of leaves such as 7, up to 10000"))


def _loss(typed: str, setting: NoteSetting) -> NoteValue:
    if setting.second is not None:
        word = setting.second.lower() or "unknown"
        if word not in CAUSES:
            raise RefusedInput("second", setting.second, f"one of {', '.join(CAUSES)}")
        plants = _whole(typed, "loss", "a whole number of plants from 1")
        if plants < 1:
            raise RefusedInput("loss", typed, "a whole number of plants from 1")
        return NoteValue(value=plants, word=word)
    accepted = f"a number of plants and a cause such as “2 rot”; causes: {', '.join(CAUSES)}"
    count, _, cause = typed.partition(" ") if typed[:1].isdigit() else ("1", "", typed)
    word = cause.strip().lower() or "unknown"
    plants = _whole(count, "loss", accepted)
    if word not in CAUSES or plants < 1:
        raise RefusedInput("loss", typed, accepted)
    return NoteValue(value=plants, word=word)


def _sighting(typed: str, setting: NoteSetting) -> NoteValue:
    accepted = (
        f"what was seen ({', '.join(SIGHTINGS)}) and how much (little, some, much), such as “algae much”"
    )
    words = typed.lower().split()
    strength = 1.0
    if words and words[-1] in STRENGTHS:
        strength = STRENGTHS[words.pop()]
    elif words and words[-1] in ("1", "2", "3"):
        strength = float(words.pop())
    if " ".join(words) not in SIGHTINGS:
        raise RefusedInput("sighting", typed, accepted)
    return NoteValue(value=strength, word=" ".join(words))


def _move(typed: str, setting: NoteSetting) -> NoteValue:
    return NoteValue(text=typed)


def _cut(typed: str, setting: NoteSetting) -> NoteValue:
    """Sections, and the blade beside them or in a field of its own."""
    accepted = f"sections and, if you like, the blade such as “3 disinfected”: {' or '.join(BLADES)}"
    count, _, blade = typed.partition(" ")
    word = (setting.second if setting.second is not None else blade).strip().lower()
    sections = _whole(count, "cut", accepted)
    if word not in ("", *BLADES) or sections < 1:
        raise RefusedInput("cut", typed, accepted)
    return NoteValue(value=sections, word=word)


def _rhizome(typed: str, setting: NoteSetting) -> NoteValue:
    return NoteValue(value=_quantity(typed, "length", setting, "rhizome"))


def _state(typed: str, setting: NoteSetting) -> NoteValue:
    states = tuple(state for state in POT_STATES if state != "lost")
    if typed.lower() not in states:
        raise RefusedInput("state", typed, f"one of {', '.join(states)}; a lost pot is a loss")
    return NoteValue(word=typed.lower())


def _work(typed: str, setting: NoteSetting) -> NoteValue:
    """Minutes, and the task beside them or in a field of its own."""
    accepted = f"minutes and a task such as “40 pack”; tasks: {', '.join(TASKS)}"
    found = re.fullmatch(r"(\d{1,4}(?:[.,]\d+)?)\s*(?:min(?:utes?)?\b)?\s*(.*)", typed.lower())
    if found is None:
        raise RefusedInput("work", typed, accepted)
    word = (setting.second if setting.second is not None else found[2]).strip().lower() or "other"
    minutes = float(found[1].replace(",", "."))
    if word not in TASKS or not 0.0 < minutes <= MINUTES_AT_MOST:
        raise RefusedInput("work", typed, accepted)
    return NoteValue(value=minutes, word=word)


def _note(typed: str, setting: NoteSetting) -> NoteValue:
    return NoteValue(text=typed)


_READERS: dict[str, Callable[[str, NoteSetting], NoteValue]] = {
    "spray": _spray, "skip": _skip, "fill": _fill, "siphon": _siphon, "waterline": _waterline, "ec": _ec,
    "air": _air, "lamp": _lamp, "leaves": _leaves, "loss": _loss, "sighting": _sighting, "note": _note,
    "move": _move, "cut": _cut, "rhizome": _rhizome, "state": _state, "work": _work,
    "ph": _ph, "meter": _meter, "light": _light,
}  # fmt: skip
