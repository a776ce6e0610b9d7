"""Values as they stand in a form's field: a plain number in the grower's unit, to be typed over."""

from dataclasses import dataclass

_MM_PER_IN = 25.4
_L_PER_GAL = 3.785411784
_ML_PER_FL_OZ = 29.5735295625


@dataclass(frozen=True, slots=True)
class Unit:
    """A unit beside a field: its sign, and how a value in the house unit is shown in it."""

    sign: str
    per_house: float
    offset: float = 0.0

    def text(self, value: float | None, digits: int = 4) -> str:
        """The number alone, as it would be typed."""
        if value is None:
            return ""
        return f"{float(f'{value * self.per_house + self.offset:.{digits}g}'):.10g}"


_METRIC = {
    "length": Unit("mm", 1.0),
    "volume": Unit("L", 1.0),
    "small_volume": Unit("mL", 1000.0),
    "temperature": Unit("°C", 1.0),
}
_US = {
    "length": Unit("in", 1 / _MM_PER_IN),
    "volume": Unit("gal", 1 / _L_PER_GAL),
    "small_volume": Unit("fl oz", 1000 / _ML_PER_FL_OZ),
    "temperature": Unit("°F", 1.8, 32.0),
}
_BOTH = {
    "fraction": Unit("%", 100.0),
    "hours": Unit("h", 1.0),
    "ec": Unit("mS/cm", 1.0),
    "ppfd": Unit("µmol/m²/s", 1.0),
    "lux": Unit("lux", 1.0),
    "power": Unit("W", 1.0),
    "density": Unit("kg/L", 1.0),
    "mass": Unit("g", 1.0),
    "plain": Unit("", 1.0),
}


def unit_of(kind: str, units: str) -> Unit:
    """The unit a field of this kind shows in a system of units."""
    return (_US if units == "us" else _METRIC).get(kind) or _BOTH[kind]
