"""The nursery as plain data: its settings, pot types and lamps."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class NurseryFacts:
    """The settings of the nursery."""

    name: str
    units: str  # "metric" or "us"
    currency: str  # ISO 4217
    time_zone: str  # IANA name
    evening_hour: int  # 0..23, local: when the round is walked
    room_temp_c: float | None
    room_rh_frac: float | None
    is_set_up: bool


@dataclass(frozen=True, slots=True)
class PotFacts:
    """A pot type, measured on the outside."""

    key: int
    name: str
    top_mm: float  # diameter at the rim
    base_mm: float  # diameter at the foot
    height_mm: float


@dataclass(frozen=True, slots=True)
class LampFacts:
    """A lamp by its figures: what it gives at the pots at full power."""

    key: int
    name: str
    ppfd_umol_m2_s: float | None  # measured at pot height, full power
    lux: float | None  # measured at pot height, full power
    lux_per_umol: float | None  # the lamp's own factor, needed to read lux
    power_w: float | None
