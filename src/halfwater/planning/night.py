"""What the evening finds and what it asks for: the plain data of a round."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date

from halfwater.plain.mixes import MixFacts
from halfwater.planning.mixing import MixToMake


@dataclass(frozen=True, slots=True)
class PlannedSpray:
    """A spray the plan asks for today, and whether it is noted already."""

    session: str  # "night" or "morning"
    volume_l: float
    mix: int | None  # key
    mix_name: str
    is_drench: bool = False  # the amount is the grower's habit, not a plan
    is_noted: bool = False  # a spray or a skip stands in the book for it


@dataclass(frozen=True, slots=True)
class WaterOutlook:
    """Where a bath stands and where it is going; None where nothing can be said."""

    depth_mm: float
    volume_l: float
    low_line_mm: float
    limit_line_mm: float
    low_volume_l: float
    siphon_volume_l: float
    p_past_limit_frac: float
    siphon_p10_on: date | None
    siphon_p50_on: date | None
    siphon_p90_on: date | None
    reading_gain_days: float | None
    due_volume_l: float | None = None  # from the limit line to the low line
    doubted_mm: float | None = None  # the last reading, where it cannot be right


@dataclass(frozen=True, slots=True)
class SiphonAhead:
    """When a tank wants its siphon: median and 80 % range; None where nothing is in sight."""

    tank: str
    tank_key: int
    depth_mm: float
    volume_l: float  # to be taken down to the low line when due
    low_line_mm: float
    siphon_p10_on: date | None
    siphon_p50_on: date | None
    siphon_p90_on: date | None


@dataclass(frozen=True, slots=True)
class SaltsTonight:
    """The salts of a bath as the evening finds them."""

    ec_ms_cm: float
    p_past_frac: float  # chance of standing past the action limit
    action_ms_cm: float
    siphon_l: float  # to bring it to its target, refilled with
    refill_l: float
    refill_name: str
    refill_mix: int | None  # key; None: plain water
    ec_after_ms_cm: float
    read_days_ago: float | None
    has_meter: bool  # an EC was ever noted in this nursery
    gain_ms_cm: float  # by which a reading would narrow the range at the siphon
    plain_days_ago: float | None = None  # evenings since plain water was sprayed; None: never noted
    is_plain_night: bool = False


@dataclass(frozen=True, slots=True)
class TankNight:
    """One tank as the evening finds it."""

    key: int
    name: str
    place: int
    sprays: tuple[PlannedSpray, ...]
    water: WaterOutlook | None
    why_no_water: str = ""
    is_filled: bool = True  # something was ever noted about its bath
    read_days_ago: float | None = None
    looked_days_ago: float | None = None
    counted_days_ago: float | None = None
    growing_pots: int = 0
    sighting: str = ""  # what was last sighted and is still to be watched
    salts: SaltsTonight | None = None  # None where nothing can be said
    act: str = ""  # the next thing to do against algae, in words
    act_lever: str = ""  # what it turns: "waterline", "hours" or "intensity"


@dataclass(frozen=True, slots=True)
class PlannedWork:
    """What the cutting plan asks for at a tank this week, and is not done yet."""

    key: str
    kind: str  # "cut" or "move"
    tank_key: int
    taxon_name: str
    pots: tuple[str, ...]  # by name and spot
    sections: int  # a cut makes
    to_tank: str
    to_spots: tuple[str, ...]
    minutes: float
    by_on: date  # the last day of its week
    why: str = ""


@dataclass(frozen=True, slots=True)
class RoundInputs:
    """All that a round is planned from."""

    on: date
    tanks: tuple[TankNight, ...]
    mixes: Mapping[int, MixFacts]
    units: str = "metric"
    work: tuple[PlannedWork, ...] = ()
    no_work: str = ""  # why the cutting plan asks for nothing, where it could


@dataclass(frozen=True, slots=True)
class Job:
    """One thing to do on the round, with its amounts and its reason."""

    key: str  # unique in the round, such as "siphon-3"
    kind: str  # mix, read, ec, siphon, fill, spray, look, count, act, cut, move
    tank: str  # name; "" for a mix
    tank_key: int | None
    due_on: date
    minutes: float
    why: str
    volume_l: float | None = None
    mix: str = ""
    mix_key: int | None = None
    session: str = ""
    to_line: str = ""
    line_mm: float | None = None
    by_on: date | None = None
    rank: int | None = None  # readings: 1 narrows a forecast most
    gain_days: float | None = None
    recipe: MixToMake | None = None
    pots: tuple[str, ...] = ()  # to cut or move, by name and spot
    sections: int | None = None
    to_tank: str = ""
    to_spots: tuple[str, ...] = ()
    what: str = ""  # a cut or a move in words


@dataclass(frozen=True, slots=True)
class Round:
    """Tonight's round in walking order."""

    on: date
    minutes: float  # of the evening's own jobs, cuts and moves left out: they have a week
    jobs: tuple[Job, ...]
    mixes_to_make: tuple[MixToMake, ...]
    not_needed: tuple[str, ...]
    done: tuple[str, ...] = field(default=())
    siphons: tuple[SiphonAhead, ...] = field(default=())  # every tank, the earliest first
