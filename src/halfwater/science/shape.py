"""The shape of a tank and of the clay in its pots, checked when it is made."""

import math
from dataclasses import dataclass

from halfwater.errors import RefusedInput
from halfwater.science.bound import most_pots


@dataclass(frozen=True, slots=True)
class Vessel:
    """A tank with equal pots of clay standing on its floor, measured inside."""

    length_mm: float
    width_mm: float
    height_mm: float
    pots: int
    pot_top_mm: float
    pot_base_mm: float
    pot_height_mm: float
    clay_fill_frac: float
    clay_porosity_frac: float

    def __post_init__(self) -> None:
        """Refuse sizes that no tank can have."""
        for name in ("length_mm", "width_mm", "height_mm"):
            _above_nought(name, getattr(self, name))
        if isinstance(self.pots, bool) or not float(self.pots).is_integer() or self.pots < 0:
            raise RefusedInput("pots", self.pots, "a whole number of pots, 0 or more")
        for name, lowest in (("clay_fill_frac", 0.0), ("clay_porosity_frac", 0.0)):
            share = getattr(self, name)
            if not lowest <= share <= 1.0:
                raise RefusedInput(_spoken(name), share, "a share from 0 to 1")
        if self.pots:
            self._check_pots()

    def _check_pots(self) -> None:
        for name in ("pot_top_mm", "pot_base_mm", "pot_height_mm"):
            _above_nought(name, getattr(self, name))
        if self.pot_height_mm > self.height_mm:
            raise RefusedInput("pot height", self.pot_height_mm, f"at most the tank's {self.height_mm:g} mm")
        most = most_pots(self.length_mm, self.width_mm, max(self.pot_top_mm, self.pot_base_mm))
        if self.pots > most:
            raise RefusedInput("pots", self.pots, f"at most {most}, no floor of this size holds more")

    @property
    def floor_mm2(self) -> float:
        """Area of the floor. [mm2]"""
        return self.length_mm * self.width_mm

    @property
    def clay_mm(self) -> float:
        """Height of the clay above the floor, nought without pots. [mm]"""
        return self.clay_fill_frac * self.pot_height_mm if self.pots else 0.0

    @property
    def solid(self) -> float:
        """The factor before r squared: pots x pi x solid share."""
        return self.pots * math.pi * (1.0 - self.clay_porosity_frac)

    @property
    def foot_and_slope(self) -> tuple[float, float]:
        """Radius at the foot [mm] and its growth with height."""
        if not self.pots:
            return 0.0, 0.0
        return self.pot_base_mm / 2.0, (self.pot_top_mm - self.pot_base_mm) / 2.0 / self.pot_height_mm


def _above_nought(name: str, value: float) -> None:
    if not (math.isfinite(value) and value > 0):
        raise RefusedInput(_spoken(name), value, "a length above nought, in mm")


def _spoken(name: str) -> str:
    return name.removesuffix("_mm").removesuffix("_frac").replace("_", " ")
