"""Figures as growers read them: three digits at most, the unit spelled as they write it.

`show` takes a value in the unit its suffix names (mm, l, frac ...) and writes
it in metric or US units. What it writes can be typed back.
"""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from decimal import ROUND_HALF_UP, Decimal
from zoneinfo import ZoneInfo

from halfwater.errors import RefusedInput

DIGITS = 3
NOTHING = "not known"
_MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
_DAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
_COIN_DIGITS = {
    "JPY": 0,
    "KRW": 0,
    "ISK": 0,
    "VND": 0,
    "CLP": 0,
    "KWD": 3,
    "BHD": 3,
    "TND": 3,
    "OMR": 3,
    "JOD": 3,
}


@dataclass(frozen=True, slots=True)
class _Scale:
    """One unit to write in: value x factor + shift, from `least` upward, so many decimals at most."""

    unit: str
    factor: float = 1.0
    shift: float = 0.0
    least: float = 0.0
    decimals: int = 3


_ML_GAL = 3785.411784
_G_OZ = 28.349523125
_FL_OZ_L = 1000.0 / 29.5735295625
_M2_FT2 = 0.3048**2
_LITRES = (_Scale("L", least=1.0), _Scale("mL", 1000.0, decimals=1))
_GALLONS = (
    _Scale("gal", 1000.0 / _ML_GAL, least=0.25),
    _Scale("fl oz", _FL_OZ_L, least=0.5),
    _Scale("tsp", 6 * _FL_OZ_L),
)

# suffix -> the units it may be written in, largest first; the first whose `least` is reached is taken.
_METRIC: dict[str, tuple[_Scale, ...]] = {
    "mm": (_Scale("mm", decimals=1),),
    "mm2": (_Scale("cm²", 0.01, decimals=1),),
    "m2": (_Scale("m²"),),
    "l": _LITRES,
    "ml": tuple(_Scale(s.unit, s.factor / 1000.0, 0.0, s.least, s.decimals) for s in _LITRES),
    "g": (_Scale("kg", 0.001, least=1.0), _Scale("g")),
    "kg": (_Scale("kg", least=1.0), _Scale("g", 1000.0)),
    "kg_m2": (_Scale("kg/m²", decimals=0),),
    "kg_l": (_Scale("kg/L"),),
    "ml_l": (_Scale("mL/L"),),
    "g_l": (_Scale("g/L"),),
    "mg_l": (_Scale("mg/L", decimals=2),),
    "ms_cm": (_Scale("mS/cm", decimals=2),),
    "umol_m2_s": (_Scale("µmol/m²/s", decimals=1),),
    "mol_m2_d": (_Scale("mol/m²/d", decimals=2),),
    "lux": (_Scale("lux", decimals=0),),
    "lux_per_umol": (_Scale("lux for 1 µmol/m²/s", decimals=1),),
    "umol_per_j": (_Scale("umol/J", decimals=2),),
    "w": (_Scale("W", decimals=1),),
    "kwh": (_Scale("kWh", decimals=2),),
    "c": (_Scale("°C", decimals=1),),
    "pa": (_Scale("kPa", 0.001, least=1.0, decimals=2), _Scale("Pa", decimals=0)),
    "g_m3": (_Scale("g/m3", decimals=1),),
    "g_kg": (_Scale("g/kg", decimals=1),),
    "frac": (_Scale("%", 100.0, decimals=1),),
    "h": (_Scale("h", decimals=2),),
    "min": (_Scale("min", decimals=1),),
    "day": (_Scale("d", decimals=1),),
    "days": (_Scale("days", decimals=1),),
    "per_h": (_Scale("air changes an hour", decimals=2),),
    "l_day": (_Scale("L a day", least=1.0), _Scale("mL a day", 1000.0, decimals=1)),
    "mm_day": (_Scale("mm a day", decimals=2),),
    "per_30d": (_Scale("in 30 days", decimals=2),),
    "count": (_Scale("", decimals=1),),
}
_US: dict[str, tuple[_Scale, ...]] = _METRIC | {
    "mm": (_Scale("in", 1 / 25.4, decimals=2),),
    "mm2": (_Scale("in²", 1 / 645.16, decimals=1),),
    "m2": (_Scale("ft²", 1 / _M2_FT2, decimals=2),),
    "l": _GALLONS,
    "ml": tuple(_Scale(s.unit, s.factor / 1000.0, 0.0, s.least, s.decimals) for s in _GALLONS),
    "g": (_Scale("lb", 1 / (16 * _G_OZ), least=1.0), _Scale("oz", 1 / _G_OZ)),
    "kg": (_Scale("lb", 1000 / (16 * _G_OZ), least=1.0), _Scale("oz", 1000 / _G_OZ)),
    "kg_m2": (_Scale("lb/ft²", 1000 / (16 * _G_OZ) * _M2_FT2, decimals=1),),
    "kg_l": (_Scale("lb/gal", _ML_GAL / (16 * _G_OZ)),),
    "ml_l": (_Scale("tsp/gal", 768 / 1000.0),),
    "g_l": (_Scale("oz/100 gal", _ML_GAL / 10 / _G_OZ, decimals=2),),
    "c": (_Scale("°F", 1.8, 32.0, decimals=1),),
    "l_day": (_Scale("gal a day", 1000.0 / _ML_GAL, least=0.25), _Scale("fl oz a day", _FL_OZ_L, decimals=2)),
    "mm_day": (_Scale("in a day", 1 / 25.4),),
}
SYSTEMS: Mapping[str, Mapping[str, tuple[_Scale, ...]]] = {"metric": _METRIC, "us": _US}


def show(value: float | None, suffix: str, units: str = "metric") -> str:
    """A quantity in words: show(0.18, "l") is "180 mL", None is "not known"."""
    if value is None:
        return NOTHING
    scale = _scale(max(abs(value), 0.0), suffix, units)
    return _with_unit(_digits(value * scale.factor + scale.shift, scale.decimals), scale.unit)


def show_range(low: float | None, high: float | None, suffix: str, units: str = "metric") -> str:
    """Two quantities with one unit: show_range(12, 18, "mm") is "12 to 18 mm"."""
    if low is None or high is None:
        return NOTHING
    scale = _scale(max(abs(low), abs(high)), suffix, units)
    first, last = (_digits(end * scale.factor + scale.shift, scale.decimals) for end in (low, high))
    return _with_unit(first if first == last else f"{first} to {last}", scale.unit)


def unit_of(suffix: str, units: str = "metric") -> str:
    """The unit to print beside a field for a quantity: the one its largest values are shown in."""
    return _scales(suffix, units)[0].unit


def in_units(value: float, suffix: str, units: str = "metric") -> float:
    """A quantity as a number in the unit `unit_of` names, for axes and columns."""
    scale = _scales(suffix, units)[0]
    return value * scale.factor + scale.shift


def show_number(value: float | None, decimals: int = 2) -> str:
    """A bare number with three digits at most, without a unit."""
    return NOTHING if value is None else _digits(value, decimals)


def show_date(day: date | None, today: date | None = None) -> str:
    """A date as "Sat 14 Mar 2026"; the year falls away when it is within half a year of today."""
    if day is None:
        return NOTHING
    near = today is not None and abs((day - today).days) < 183
    return f"{_DAYS[day.weekday()]} {day.day} {_MONTHS[day.month - 1]}" + ("" if near else f" {day.year}")


def show_at(at: datetime, time_zone: str) -> str:
    """An instant within a sentence, on the clock of a place: "28 Nov 2026 at 18:00"."""
    local = at.astimezone(ZoneInfo(time_zone))
    return f"{local.day} {_MONTHS[local.month - 1]} {local.year} at {local:%H:%M}"


def show_dates(p10: date | None, p50: date | None, p90: date | None, today: date | None = None) -> str:
    """A forecast date with its 80 % range; an end beyond the forecast is None and said so."""
    if p10 is None:
        return "later than this forecast reaches"
    if p50 is None:
        return f"not before {show_date(p10, today)}, likely later than this forecast reaches"
    middle = f"about {show_date(p50, today)}"
    if p90 is None:
        return f"{middle} ({show_date(p10, today)} or later)"
    return middle if p10 == p90 else f"{middle} ({_short_span(p10, p90)})"


def show_minutes(minutes: float | None) -> str:
    """Minutes of work: "45 min", "1 h 20 min"."""
    if minutes is None:
        return NOTHING
    if minutes < 10:
        return show(minutes, "min")
    hours, rest = divmod(int(Decimal(repr(float(minutes))).quantize(Decimal(1), ROUND_HALF_UP)), 60)
    return " ".join(
        part for part in (f"{hours} h" if hours else "", f"{rest} min" if rest or not hours else "") if part
    )


def show_money(minor: int | None, currency: str) -> str:
    """Money from its smallest coin: show_money(1250, "EUR") is "12.50 EUR"."""
    return NOTHING if minor is None else f"{bare_money(minor, currency)} {currency}"


def bare_money(minor: int, currency: str) -> str:
    """Money without its currency, as programs read it: bare_money(1250, "EUR") is "12.50"."""
    places = _COIN_DIGITS.get(currency, 2)
    return f"{Decimal(minor).scaleb(-places):.{places}f}"


def show_money_about(minor: float, currency: str) -> str:
    """Money reckoned ahead, without small coin from a hundred on: (120_049, "EUR") is "1200 EUR"."""
    unit = 10 ** _COIN_DIGITS.get(currency, 2)
    return (
        f"{minor / unit:z.0f} {currency}" if abs(minor) >= 100 * unit else show_money(round(minor), currency)
    )


def show_small_money(minor: float, currency: str) -> str:
    """What a litre costs, in parts of a coin where it is little: (0.318, "EUR") is "0.0032 EUR"."""
    if minor <= 0 or minor >= 10:
        return show_money(round(minor), currency)
    amount = Decimal(f"{minor:.2g}").scaleb(-_COIN_DIGITS.get(currency, 2))
    return f"{amount.normalize():f} {currency}"


def read_money(text: str, currency: str, field: str = "money") -> int:
    """Money as typed, in its smallest coin: read_money("12.50", "EUR") is 1250.

    Raises
    ------
    RefusedInput
        If it is no amount from nought, is of another currency, or has parts of the smallest coin.
    """
    places = _COIN_DIGITS.get(currency, 2)
    example = show_money(1250, currency)
    found = re.fullmatch(r"(\d{1,9})(?:[.,](\d+))?\s*([A-Za-z]{3})?", text.strip())
    said = (found[3] or currency).upper() if found else ""
    if found is None or said != currency or len(found[2] or "") > places:
        raise RefusedInput(field, text, f"an amount from 0 such as {example}")
    return int(Decimal(f"{found[1]}.{found[2] or 0}").scaleb(places))


def show_list(parts: Sequence[str]) -> str:
    """Names in a sentence: "A, B and C"."""
    return parts[0] if len(parts) == 1 else ", ".join(parts[:-1]) + " and " + parts[-1] if parts else ""


def _scales(suffix: str, units: str) -> tuple[_Scale, ...]:
    if units not in SYSTEMS:
        raise RefusedInput("units", units, "metric or us")
    if suffix not in SYSTEMS[units]:
        raise RefusedInput("quantity", suffix, "one of " + ", ".join(SYSTEMS[units]))
    return SYSTEMS[units][suffix]


def _scale(size: float, suffix: str, units: str) -> _Scale:
    """The first unit in which the rounded value is not too small; nought goes into the first."""
    scales = _scales(suffix, units)
    if size == 0.0:
        return scales[0]
    for scale in scales[:-1]:
        if _rounded(size * scale.factor, scale.decimals) >= Decimal(repr(scale.least)):
            return scale
    return scales[-1]


def _rounded(value: float, decimals: int) -> Decimal:
    """Three digits at most, and no more decimals than the unit deserves."""
    exact = Decimal(repr(float(value)))
    if not exact.is_finite():
        raise RefusedInput("figure", value, "a finite number")
    places = min(DIGITS - 1 - exact.adjusted(), decimals) if exact else 0
    if places >= 0:
        return exact.quantize(Decimal(1).scaleb(-places), ROUND_HALF_UP)
    return exact.scaleb(places).quantize(Decimal(1), ROUND_HALF_UP).scaleb(-places)


def _digits(value: float, decimals: int) -> str:
    text = f"{_rounded(value, decimals):f}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return "0" if text in ("-0", "") else text


def _with_unit(number: str, unit: str) -> str:
    return f"{number} {unit}" if unit else number


def _short_span(first: date, last: date) -> str:
    """ "9 to 22 Apr", with months and years only as often as needed."""
    end = f"{last.day} {_MONTHS[last.month - 1]}"
    if first.year != last.year:
        return f"{first.day} {_MONTHS[first.month - 1]} {first.year} to {end} {last.year}"
    start = f"{first.day}" if first.month == last.month else f"{first.day} {_MONTHS[first.month - 1]}"
    return f"{start} to {end}"
