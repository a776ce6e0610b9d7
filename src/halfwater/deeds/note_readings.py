"""What a grower types for a reading of light or pH and for a check of the EC meter."""

import re
from dataclasses import dataclass

from halfwater.errors import RefusedInput
from halfwater.plain.nursery import LampFacts
from halfwater.science.conductivity import ec_from_meter
from halfwater.science.light import ppfd_from_lux
from halfwater.science.units import read_quantity

_NUMBER = r"(\d+(?:[.,]\d+)?)"
_SPOT = re.compile(r"\bat\s+(?:spot\s+)?([a-z]{1,2}\d{1,3})\b", re.IGNORECASE)
_DIMMER = re.compile(rf"\b(?:dimmer|at|lamp)\s+{_NUMBER}\s*(%?)(?![a-z\d])", re.IGNORECASE)
_OFF = re.compile(r"\blamp\s+(?:is\s+)?off\b", re.IGNORECASE)
_STRAY = re.compile(rf"\bstray(?:\s+light)?\s+{_NUMBER}", re.IGNORECASE)
_METER = re.compile(
    rf"{_NUMBER}\s*(?:ms(?:/cm)?)?\s*(?:of|in|/)\s*{_NUMBER}\s*(?:ms(?:/cm)?)?"
    rf"(?:\s*,?\s*at\s+{_NUMBER}\s*°?\s*(c|f)?)?(?:\s*,?\s*(raw|no compensation|without compensation))?",
    re.IGNORECASE,
)
_MICRO = re.compile(  # a meter and a bottle that tell µS/cm
    rf"{_NUMBER}\s*([uµμ]s(?:/cm)?)?\s*(?:of|in|/)\s*{_NUMBER}\s*([uµμ]s(?:/cm)?)?(?![.,\d])", re.IGNORECASE
)
_MICRO_LEAST = 50.0  # no meter check is made in so many mS/cm: it is µS/cm, unit or none
_PPM = re.compile(
    rf"{_NUMBER}\s*ppm[\s(]*(?:(?:on|at|by|x|the|scale)\s+)*(500|640|700)\s*(?:scale)?\)?", re.I
)
LIGHT_WANTED = "a PPFD and its spot such as “62 at B4, dimmer 80 %, stray 5”, or lux of a lamp with a factor"
METER_WANTED = "what the meter showed and the standard, such as “1.38 of 1.413”"
PH_WANTED = "a pH from 0 to 14 such as 6.4"


@dataclass(frozen=True, slots=True)
class LightTyped:
    """A reading of light, read; None where nothing was said."""

    ppfd_umol_m2_s: float
    spot: str
    dimmer_frac: float | None
    stray_ppfd_umol_m2_s: float | None


@dataclass(frozen=True, slots=True)
class MeterTyped:
    """A meter check, read."""

    read_ms_cm: float
    standard_ms_cm: float
    temp_c: float | None
    is_raw: bool  # the meter did not bring it to 25 C itself


def read_light(
    typed: str, lamp: LampFacts | None, dimmer: str | None = None, stray: str | None = None
) -> LightTyped:
    """A reading of light in one line, or with dimmer and stray light in fields of their own."""
    rest, spot = _taken(_SPOT, typed)
    rest, off = _taken(_OFF, rest)
    rest, stray_found = _taken(_STRAY, rest)
    rest, dimmer_found = _taken(_DIMMER, rest)
    share: float | None = None
    if off is not None:
        share = 0.0
    elif dimmer_found is not None:
        share = _fraction(f"{dimmer_found[1]} {dimmer_found[2]}".strip())
    elif dimmer is not None and dimmer.strip():
        share = 0.0 if dimmer.strip().lower() == "off" else _fraction(dimmer)
    stray_text = stray_found[1] if stray_found is not None else (stray or "").strip()
    return LightTyped(
        ppfd_umol_m2_s=_amount(rest.strip(" ,;"), typed, lamp),
        spot=spot[1].upper() if spot is not None else "",
        dimmer_frac=share,
        stray_ppfd_umol_m2_s=read_quantity(stray_text, "ppfd", field="stray") if stray_text else None,
    )


def read_meter(typed: str, standard: str | None = None) -> MeterTyped:
    """A check of the meter: what it showed and what the standard is."""
    text = f"{typed} of {standard}" if standard and standard.strip() else typed
    found = _METER.fullmatch(_in_millis(" ".join(text.split())))
    if found is None:
        raise RefusedInput("meter", typed, METER_WANTED)
    read, known = (float(part.replace(",", ".")) for part in found.group(1, 2))
    temp = None
    if found[3]:
        temp = read_quantity(f"{found[3]} {(found[4] or 'C').upper()}", "temperature", field="meter")
    return MeterTyped(read, known, temp, bool(found[5]))


def _in_millis(text: str) -> str:
    """A check told in µS/cm, its unit typed or plain from its size, in mS/cm."""
    found = _MICRO.match(text)
    if found is None:
        return text
    figures = [float(part.replace(",", ".")) for part in found.group(1, 3)]
    if not (found[2] or found[4]) and min(figures) < _MICRO_LEAST:
        return text
    return " of ".join(f"{figure / 1000.0:.6g}" for figure in figures) + text[found.end() :]


def read_ppm(typed: str) -> float | None:
    """EC in mS/cm of a meter that shows ppm, its scale said: “420 ppm 500”; None where it shows no ppm."""
    found = _PPM.fullmatch(" ".join(typed.split()))
    return ec_from_meter(float(found[1].replace(",", ".")), int(found[2])) if found else None


def read_ph(typed: str) -> float:
    """A pH."""
    bare = typed.lower().removeprefix("ph").strip()
    if not re.fullmatch(_NUMBER, bare) or not float(bare.replace(",", ".")) <= 14.0:
        raise RefusedInput("ph", typed, PH_WANTED)
    return float(bare.replace(",", "."))


def _taken(pattern: re.Pattern[str], text: str) -> tuple[str, re.Match[str] | None]:
    """The text without what was found, and what was found."""
    found = pattern.search(text)
    return (text, None) if found is None else (text[: found.start()] + text[found.end() :], found)


def _fraction(text: str) -> float:
    bare = re.fullmatch(r"(\d+(?:[.,]\d+)?)", text.strip())
    per_cent = bare is not None and float(bare[1].replace(",", ".")) > 1.0
    return read_quantity(f"{text} %" if per_cent else text, "fraction", field="dimmer")


def _amount(text: str, typed: str, lamp: LampFacts | None) -> float:
    """The PPFD, from lux by the lamp's own factor where it was read in lux."""
    if not text:
        raise RefusedInput("light", typed, LIGHT_WANTED)
    if "lux" not in text.lower():
        try:
            return read_quantity(text, "ppfd", field="light")
        except RefusedInput as refused:
            raise RefusedInput("light", typed, LIGHT_WANTED) from refused
    lux = read_quantity(text, "lux", field="light")
    if lamp is None or lamp.lux_per_umol is None:
        name = "a lamp" if lamp is None else lamp.name
        accepted = f"a PPFD, for lux says nothing of {name} without its own factor (lux for 1 umol/m2/s)"
        raise RefusedInput("light", typed, accepted)
    return float(ppfd_from_lux(lux, lamp.lux_per_umol))
