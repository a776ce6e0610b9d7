"""The air under a lid and the algae below it, as plain data."""

from dataclasses import dataclass
from datetime import date

from halfwater.plain.growing import Span
from halfwater.plain.working import Working


@dataclass(frozen=True, slots=True)
class LidAir:
    """The air of one tank: how damp, what it loses as vapour, what carbon it lets in, and dew."""

    tank: int
    tank_name: str
    temp_c: float
    rh_frac: float
    how_known: str  # "read", "described" or "worked out"
    read_on: date | None
    room_temp_c: float
    room_rh_frac: float
    air_changes_per_h: Span  # starting range, or as described
    vapour_l_day: Span
    waterline_mm_day: Span  # what the vapour alone takes from the waterline
    loss_l_day: Span | None  # all that leaves the bath, as the waterline learned it
    co2_umol_mol: Span  # under the lid by day
    growth_frac: Span  # of what the plants would make in the room's air
    made_g_30d: float  # dry mass the plants make at the middle of it
    wanted_g_30d: float  # what they would make in the room's air
    dew_margin_c: float  # of leaves a degree below the air; below 0 they get wet by themselves
    lid_condenses: bool  # the lid, at the room's temperature, is below the dew point
    lid_light_loss_frac: float | None  # of the lamp's light, where the lid is wet; None: it is dry
    said: str
    experiment: str  # the cheap one that tells whether air holds growth back; "" where it is not in question
    narrows_most: str
    cautions: tuple[str, ...] = ()
    workings: tuple[Working, ...] = ()


@dataclass(frozen=True, slots=True)
class AlgaeAct:
    """One thing to do against algae, in its turn."""

    lever: str  # "waterline", "hours" or "intensity"
    said: str
    p_after_frac: float  # chance a month with this lever alone pulled
    is_next: bool = False  # what to do now; the others wait for it


@dataclass(frozen=True, slots=True)
class AlgaeWatch:
    """Algae in one tank: the chance of a nuisance in a month, and what to do in order."""

    tank: int
    tank_name: str
    p_month: Span
    acts: tuple[AlgaeAct, ...]  # in the order in which to act; empty where nothing needs doing
    seen_on: date | None  # the last sighting
    seen_word: str  # "little", "some", "much" or ""
    dli_mol_m2_d: float | None
    ec_ms_cm: float
    wet_frac: float  # share of the last month with the bath above its limit line
    months: int  # tank-months of this nursery it was learned from
    seen_months: int  # of them with algae
    said: str
    workings: tuple[Working, ...] = ()
