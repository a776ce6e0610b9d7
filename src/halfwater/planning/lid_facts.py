"""What the air of one tank is reckoned from."""

from dataclasses import dataclass
from datetime import date

from halfwater.plain.growing import Span


@dataclass(frozen=True, slots=True)
class LidFacts:
    """The lid, the room, the plants and the bath of one tank; None where nobody said or read it."""

    tank: int
    tank_name: str
    air_volume_l: float
    floor_m2: float
    leaf_m2: float
    lamp_h: float
    wanted_g_30d: float  # dry mass the plants would make in the room's air
    room_temp_c: float
    room_rh_frac: float
    ach_per_h: float | None
    read_temp_c: float | None
    read_rh_frac: float | None
    read_on: date | None
    described_temp_c: float | None
    described_rh_frac: float | None
    litres_per_mm: float | None  # of the bath where it stands
    loss_l_day: Span | None  # all that leaves the bath, as the waterline learned it
    pots: int = 0
