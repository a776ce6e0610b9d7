"""The spellings of units growers use, by kind of quantity, with pint's name for each."""

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass, field


@dataclass(frozen=True)
class Kind:
    """A kind of quantity: its house unit, its range and the words for its units."""

    house: str
    metric: str  # what a bare number means
    us: str
    accepted: str  # ends the sentence of a refusal
    words: Mapping[str, str]
    lowest: float = 0.0
    highest: float = math.inf
    whole: bool = False
    hints: Mapping[str, str] = field(default_factory=dict)

    def bare(self, system: str) -> str:
        """Unit of a number that stands alone."""
        return self.us if system == "us" else self.metric


def folded(unit: str) -> str:
    """Spelling of a unit without case, points, stars, carets and spare spaces.

    Parameters
    ----------
    unit : str
        The text behind a number.

    Returns
    -------
    str
        The key under which the unit is looked up.

    Notes
    -----
    Negative powers and slashes are brought to slashes.

    Source: own definition

    Examples
    --------
    >>> folded("fl. oz.")
    'fl oz'
    >>> folded("umol m-2 s-1")
    'umol/m2/s'
    """
    plain = re.sub(r"[.*^()]", lambda sign: "" if sign[0] in ".^" else " ", unit.lower())
    plain = re.sub(r"(?<=[a-z])[-\s]*-(\d)", lambda power: power[0], plain)
    plain = re.sub(r"\s+([a-z]+)-(\d)", lambda p: f"/{p[1]}" + ("" if p[2] == "1" else p[2]), plain)
    plain = re.sub(r"\s*(?:/|\bper\b)\s*", "/", plain)
    return re.sub(r"\s+", " ", plain).strip()


def _words(**names: str) -> dict[str, str]:
    """Turn pint name -> spellings set apart by commas into spelling -> pint name."""
    return {word.strip(): unit for unit, spellings in names.items() for word in spellings.split(",")}


_LENGTH = _words(
    millimeter="mm, millimeter, millimeters, millimetre, millimetres, mms",
    centimeter="cm, centimeter, centimeters, centimetre, centimetres, cms",
    meter="m, meter, meters, metre, metres",
    inch='in, inch, inches, ins, "',
    foot="ft, foot, feet, '",
    yard="yd, yard, yards, yds",
)
_VOLUME = _words(
    liter="l, ltr, ltrs, lit, liter, liters, litre, litres",
    milliliter="ml, mls, milliliter, milliliters, millilitre, millilitres, cc, ccm, cm3, cu cm",
    centiliter="cl, centiliter, centilitre, centiliters, centilitres",
    deciliter="dl, deciliter, decilitre, deciliters, decilitres",
    microliter="ul, microliter, microlitre",
    gallon="gal, gals, gallon, gallons, us gal, us gallon, us gallons, gal us",
    quart="qt, qts, quart, quarts",
    pint="pt, pts, pint, pints",
    cup="cup, cups",
    fluid_ounce="fl oz, floz, fl ozs, fluid oz, fluid ounce, fluid ounces, oz fl",
    tablespoon="tbsp, tbsps, tbs, tblsp, tablespoon, tablespoons",
    teaspoon="tsp, tsps, teaspoon, teaspoons",
    imperial_gallon="imp gal, imperial gallon, imperial gallons, uk gal, uk gallon, uk gallons",
) | {"m3": "meter**3", "cubic metre": "meter**3", "cu m": "meter**3", "in3": "inch**3", "cu in": "inch**3"}
_MASS = _words(
    gram="g, gm, gms, gram, grams, gramme, grammes",
    milligram="mg, milligram, milligrams",
    kilogram="kg, kgs, kilo, kilos, kilogram, kilograms",
    ounce="oz, ozs, ounce, ounces, oz av",
    pound="lb, lbs, pound, pounds",
)
_TEMPERATURE = _words(
    degC="c, °c, ° c, deg c, degc, degrees c, celsius, degrees celsius, degree celsius, centigrade",
    degF="f, °f, ° f, deg f, degf, degrees f, fahrenheit, degrees fahrenheit, degree fahrenheit",
    kelvin="k, kelvin",
)
_FRACTION = dict.fromkeys(("%", "percent", "per cent", "pct", "% rh", "%rh", "percent rh"), "percent")
_FRACTION |= {"/cent": "percent", "rh": "dimensionless"}
_EC = {
    "ms/cm": "millisiemens/centimeter",
    "ms": "millisiemens/centimeter",
    "millisiemens": "millisiemens/centimeter",
    "mmho/cm": "millisiemens/centimeter",
    "us/cm": "microsiemens/centimeter",
    "us": "microsiemens/centimeter",
    "microsiemens": "microsiemens/centimeter",
    "ds/m": "decisiemens/meter",
    "s/m": "siemens/meter",
    "ms/m": "millisiemens/meter",
    "ec": "millisiemens/centimeter",
}
_PPFD = dict.fromkeys(
    (
        "umol/m2/s",
        "umol/m2 s",
        "umol/m2s",
        "umol/s/m2",
        "umol",
        "umols",
        "ppfd",
        "umol ppfd",
        "par",
        "micromol/m2/s",
        "micromoles",
        "umol/m²/s",
        "ue",
    ),
    "micromole/meter**2/second",
)
_LUX = _words(lux="lux, lx", kilolux="klux, klx, kilolux") | dict.fromkeys(
    ("fc", "ftc", "ft-c", "foot-candle", "foot-candles", "footcandle", "footcandles"), "lumen/foot**2"
)
_HOURS = _words(
    hour="h, hr, hrs, hour, hours, h/day, h/d, hours/day, hours a day, h a day",
    minute="min, mins, minute, minutes",
    second="s, sec, secs, second, seconds",
)
_DENSITY = {
    "kg/l": "kilogram/liter",
    "g/ml": "gram/milliliter",
    "g/cc": "gram/milliliter",
    "g/cm3": "gram/milliliter",
    "g/l": "gram/liter",
    "kg/m3": "kilogram/meter**3",
    "lb/gal": "pound/gallon",
    "lbs/gal": "pound/gallon",
    "lb/gallon": "pound/gallon",
    "lbs/gallon": "pound/gallon",
    "lb/us gal": "pound/gallon",
    "pounds/gallon": "pound/gallon",
    "sg": "kilogram/liter",
    "kg/litre": "kilogram/liter",
    "kg/liter": "kilogram/liter",
    "oz/fl oz": "ounce/fluid_ounce",
}
_POWER = _words(watt="w, watt, watts", kilowatt="kw, kilowatt, kilowatts")
_COUNT = dict.fromkeys(
    ("pot", "pots", "plant", "plants", "leaf", "leaves", "pc", "pcs", "spots", "sections", "dead", "lost"),
    "dimensionless",
)
_ONE = "dimensionless"

KINDS: dict[str, Kind] = {
    "length": Kind("millimeter", "millimeter", "inch", "a length such as 450 mm, 45 cm or 18 in", _LENGTH),
    "volume": Kind(
        "liter",
        "liter",
        "gallon",
        "a volume such as 180 ml, 1.9 L, 6 fl oz, 2 tsp or 1/2 gal",
        _VOLUME,
        hints={"oz": "oz alone is a mass, write fl oz for a volume"},
    ),
    "mass": Kind("gram", "gram", "ounce", "a mass such as 12 g, 1.5 kg, 4 oz or 2 lb", _MASS),
    "temperature": Kind(
        "degC",
        "degC",
        "degF",
        "a temperature such as 22.5 C or 72 F (from -60 to 100 C)",
        _TEMPERATURE,
        -60.0,
        100.0,
    ),
    "fraction": Kind(_ONE, _ONE, _ONE, "a share such as 62 % or 0.62 (from 0 to 1)", _FRACTION, 0.0, 1.0),
    "ec": Kind(
        "millisiemens/centimeter",
        "millisiemens/centimeter",
        "millisiemens/centimeter",
        "a conductivity such as 0.8 mS/cm, 800 uS/cm or 0.8 dS/m",
        _EC,
        hints={"ppm": "ppm scales differ from meter to meter, read the meter in mS/cm"},
    ),
    "ppfd": Kind(
        "micromole/meter**2/second",
        "micromole/meter**2/second",
        "micromole/meter**2/second",
        "a PPFD such as 40 umol/m2/s",
        _PPFD,
        hints={"lux": "lux needs the lamp's own factor, enter it as lux"},
    ),
    "lux": Kind("lux", "lux", "lumen/foot**2", "a lux reading such as 2500 lux or 230 fc", _LUX),
    "hours": Kind("hour", "hour", "hour", "a time such as 10 h, 10.5 hours, 10:30 or 45 min", _HOURS),
    "density": Kind(
        "kilogram/liter",
        "kilogram/liter",
        "pound/gallon",
        "a density such as 1.2 kg/L, 1.2 g/mL or 10 lb/gal",
        _DENSITY,
    ),
    "power": Kind("watt", "watt", "watt", "a power such as 30 W or 0.03 kW", _POWER),
    "count": Kind(_ONE, _ONE, _ONE, "a whole number such as 17", _COUNT, whole=True),
}
