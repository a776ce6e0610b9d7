"""The water of a tank as facts: what goes into the reckoning and what comes out."""

from collections.abc import Mapping
from dataclasses import asdict, dataclass

from halfwater.science.evenings import EveningHabit
from halfwater.science.vessel import Lines, Vessel
from halfwater.science.waterline import WaterState

MODEL = "water-3"  # part of every kept state: a change of the model makes old ones void


@dataclass(frozen=True, slots=True)
class TankWater:
    """One tank as the water sees it."""

    vessel: Vessel
    lines: Lines
    set_up_day: float
    evening_frac: float  # when the round is walked, as a share of the day
    plan_night_l: float | None
    plan_morning_l: float = 0.0
    vapour_l_day: float = 0.025  # what physics says leaves through the lid


@dataclass(frozen=True, slots=True)
class KeptState:
    """State and habit at one noon, enough to go on from without what came before."""

    state: WaterState
    habit: EveningHabit
    last_entry_day: float  # when anything was last noted of this bath

    def as_dict(self) -> dict[str, object]:
        """The state as plain numbers, to be kept in the book."""
        return asdict(self)

    @staticmethod
    def from_dict(kept: Mapping[str, object]) -> "KeptState":
        """The state from what as_dict gave, or from its JSON."""
        state = dict(kept["state"])  # type: ignore[call-overload]
        state["cov"] = tuple(state["cov"])
        habit = EveningHabit(**kept["habit"])  # type: ignore[arg-type]
        return KeptState(WaterState(**state), habit, float(kept["last_entry_day"]))  # type: ignore[arg-type]


@dataclass(frozen=True, slots=True)
class Noon:
    """A noon whose state is to be kept, with what the filter does not know."""

    day: float
    habit: EveningHabit
    last_entry_day: float


@dataclass(frozen=True, slots=True)
class LevelDay:
    """The bath on one day: 10, 50 and 90 % of its depth."""

    day: float  # local day since 1970
    depth_p10_mm: float
    depth_p50_mm: float
    depth_p90_mm: float


@dataclass(frozen=True, slots=True)
class Misfit:
    """A reading that was set aside because it cannot be right."""

    day: float
    read_l: float
    expected_l: float


@dataclass(frozen=True, slots=True)
class WaterAnswer:
    """Where a bath stands and when it must be siphoned; days count from now, nan where not foreseeable."""

    depth_mm: float
    depth_low_mm: float
    depth_high_mm: float
    volume_l: float
    volume_sd_l: float
    catch_frac: float
    catch_sd_frac: float
    loss_l_day: float
    loss_sd_l_day: float
    spray_l_evening: float
    spray_sd_l_evening: float
    noted_frac: float
    net_l_day: float
    siphon_p10_day: float
    siphon_p50_day: float
    siphon_p90_day: float
    p_past_limit_now: float
    p_past_limit_next_evening: float
    dry_p10_day: float
    siphon_volume_l: float
    siphon_now_volume_l: float
    reading_gain_days: float
    last_reading_day: float
    misfits: tuple[Misfit, ...]
    past: tuple[LevelDay, ...]
    ahead: tuple[LevelDay, ...]
    kept: tuple[KeptState, ...]
