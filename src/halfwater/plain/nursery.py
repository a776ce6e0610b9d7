"""The nursery as plain data: its settings, pot types and lamps."""

from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

DAY_BEGINS_HOUR = 4  # local: a round that ends after midnight still belongs to its evening


def nursery_day(at: datetime, time_zone: str) -> date:
    """The nursery day an instant belongs to: the local date, which turns at four in the morning."""
    wall = at.astimezone(ZoneInfo(time_zone)).replace(tzinfo=None)
    return (wall - timedelta(hours=DAY_BEGINS_HOUR)).date()


def day_begins(day: date, time_zone: str) -> datetime:
    """The instant at which a nursery day begins, in UTC."""
    return datetime.combine(day, time(DAY_BEGINS_HOUR), ZoneInfo(time_zone)).astimezone(UTC)


@dataclass(frozen=True, slots=True)
class NurseryFacts:
    """The settings of the nursery."""

    name: str
    units: str  # "metric" or "us"
    currency: str  # ISO 4217
    time_zone: str  # IANA name
    evening_hour: int  # 12..23, local: when the round is walked
    room_temp_c: float | None
    room_rh_frac: float | None
    is_set_up: bool
    price_step_minor: int | None = None  # own rule of pricing: prices are multiples of it
    price_move_frac: float | None = None  # own rule of pricing: so far one moves from release to release


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
