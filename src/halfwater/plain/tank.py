"""A tank as plain data."""

from dataclasses import dataclass
from datetime import date

from halfwater.plain.nursery import LampFacts, PotFacts


@dataclass(frozen=True, slots=True)
class KeepOut:
    """A rectangle of floor where no pot may stand, from the front left corner."""

    x_mm: float
    y_mm: float
    length_mm: float
    width_mm: float
    why: str = ""


@dataclass(frozen=True, slots=True)
class SprayPlan:
    """What a tank is sprayed with on an ordinary day."""

    night_mix: int | None  # key of the mix
    night_volume_l: float | None  # None: drench, the amount learned from entries
    morning_mix: int | None = None
    morning_volume_l: float | None = None


@dataclass(frozen=True, slots=True)
class TankFacts:
    """One tank: its floor, pots, lines, spray plan, light and air."""

    key: int
    name: str
    place: int  # walking order
    length_mm: float
    width_mm: float
    height_mm: float
    pot: PotFacts | None
    pots: int  # how many pots stand on the floor
    clay_fill_frac: float  # share of the pot's height filled with clay
    clay_porosity_frac: float  # voids between the pellets
    margin_mm: float  # limit line = clay line less this
    low_line_mm: float | None  # None: a third of the pot height
    keep_outs: tuple[KeepOut, ...]
    plan: SprayPlan
    lamp: LampFacts | None
    lamp_dimmer_frac: float
    lamp_hours: float
    stray_ppfd_umol_m2_s: float
    stray_hours: float
    lid_ach_per_h: float | None  # air changes an hour, None: starting value
    inside_temp_c: float | None
    inside_rh_frac: float | None
    set_up_on: date
    is_in_use: bool = True
