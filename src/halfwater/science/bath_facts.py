"""The salts of a tank as facts: what goes into the reckoning and what comes out."""

from collections.abc import Mapping
from dataclasses import asdict, dataclass, field

import numpy as np
from numpy.typing import NDArray

from halfwater.science import starting
from halfwater.science.evenings import EveningHabit, WaterRow
from halfwater.science.ions import ion_table
from halfwater.science.limits import Limits
from halfwater.science.water_facts import KeptState, TankWater
from halfwater.science.waterline import WaterState

Floats = NDArray[np.float64]
MODEL = "bath-1"  # part of every kept state: a change of the model makes old ones void

# What is followed: the part of the EC no nutrient explains, then nitrogen as urea, then the nutrients.
SALTS = ("rest", "urea N", "N", "P", "K", "Ca", "Mg")
# What a milligram in a litre adds to the EC: limiting ionic conductivity over equivalent mass, times what
# neighbours leave of it. Urea has no charge. Equivalent masses in mg, iupac-2021.
_CARRIED_BY = (("NO3-", 14.007), ("H2PO4-", 30.974), ("K+", 39.098), ("Ca+2", 20.039), ("Mg+2", 12.1525))
ION_MS_CM = (
    0.0,
    *(starting.ION_ACTIVITY_FRAC * ion_table()[ion].limiting_factor / mass for ion, mass in _CARRIED_BY),
)
SEEN_MS_CM = np.array((1.0, *(x / 1000.0 for x in ION_MS_CM)))  # EC = SEEN_MS_CM . salts

PLAIN_FILL = "plain"  # the word of a fill that was plain water
EC = Limits("EC", 0.0, 20.0, "mS/cm")
_STRENGTH = Limits("strength", 0.0, 20_000.0, "mg/L")


@dataclass(frozen=True, slots=True)
class Solution:
    """What a litre of mix or water brings: EC of the whole solution, its water included, and nutrients.

    Checked when made. `n_mg_l` is nitrogen without urea.
    """

    ec_ms_cm: float
    n_mg_l: float = 0.0
    urea_n_mg_l: float = 0.0
    p_mg_l: float = 0.0
    k_mg_l: float = 0.0
    ca_mg_l: float = 0.0
    mg_mg_l: float = 0.0
    ec_cv_frac: float = 0.10  # how far its EC may be off: 0.15 from a label, 0.04 measured

    def __post_init__(self) -> None:
        EC.one(self.ec_ms_cm)
        for value in (self.n_mg_l, self.urea_n_mg_l, self.p_mg_l, self.k_mg_l, self.ca_mg_l, self.mg_mg_l):
            _STRENGTH.one(value)

    @property
    def salts(self) -> Floats:
        """Its salts in the order of SALTS; the rest may be below 0 where ions stand in each other's way."""
        known = np.array(
            (0.0, self.urea_n_mg_l, self.n_mg_l, self.p_mg_l, self.k_mg_l, self.ca_mg_l, self.mg_mg_l)
        )
        known[0] = self.ec_ms_cm - float(SEEN_MS_CM @ known)
        return known


@dataclass(frozen=True, slots=True)
class BathRow(WaterRow):
    """One entry that moves or measures the bath: what the waterline reads, with the mix, and "ec" as a kind.

    The value of an EC is in mS/cm, corrected by the meter's checks.
    """

    mix: int | None = None  # key of the mix sprayed or filled


@dataclass(frozen=True, slots=True)
class TankSalts:
    """One tank as its salts see it: the water's facts, and what stands behind each mix."""

    water: TankWater
    solutions: Mapping[int, Solution]  # by the key of the mix
    source: Solution  # plain water from the tap or the barrel
    night_mix: int | None = None  # of the spray plan; None or unknown: plain water
    morning_mix: int | None = None
    fill_mix: int | None = None  # what a fill without a mix is taken to be
    uptake_n_mg_day: float = 0.0  # what the plants in it take, once they find enough
    uptake_sigma_log: float = starting.UPTAKE_SIGMA_LOG
    leaf_takes_frac: float = starting.LEAF_TAKES_FRAC  # of a spray's nutrients, by the leaves themselves
    action_ms_cm: float = starting.ACTION_EC_MS_CM  # of the tenderest taxon in it

    def solution(self, mix: int | None) -> Solution:
        """What stands behind a mix; the source water where it is not known."""
        return self.source if mix is None else self.solutions.get(mix, self.source)


@dataclass(frozen=True, slots=True)
class SiphonHabit:
    """What is done when the bath is siphoned, learned from the last times."""

    siphon_l: float | None = None  # None: down to the low line
    refill_l: float = 0.0
    refill_salts: tuple[float, ...] = ()
    times: int = 0  # siphons it was learned from


@dataclass(frozen=True, slots=True)
class KeptSalts:
    """Salts and water at one instant, enough to go on from without what came before."""

    at_day: float
    mean: tuple[float, ...]  # volume, catch, loss, the seven salts, arriving and uptake on the log scale
    cov: tuple[float, ...]  # 12 x 12, row by row
    waits_l: float  # a disbelieved depth
    waits_ms_cm: float  # a disbelieved EC
    habit: EveningHabit
    last_entry_day: float
    siphon: SiphonHabit = SiphonHabit()

    def as_dict(self) -> dict[str, object]:
        """The state as plain numbers, to be kept in the book."""
        return asdict(self)

    @staticmethod
    def from_dict(kept: Mapping[str, object]) -> "KeptSalts":
        """The state from what as_dict gave, or from its JSON."""
        values = dict(kept)
        values["mean"], values["cov"] = tuple(values["mean"]), tuple(values["cov"])  # type: ignore[arg-type]
        values["habit"] = EveningHabit(**values["habit"])  # type: ignore[arg-type]
        siphon = dict(values["siphon"])  # type: ignore[call-overload]
        siphon["refill_salts"] = tuple(siphon["refill_salts"])
        values["siphon"] = SiphonHabit(**siphon)
        return KeptSalts(**values)  # type: ignore[arg-type]

    @property
    def water(self) -> KeptState:
        """The part of it that is the water's."""
        cov = np.array(self.cov).reshape(12, 12)
        vv, vc, vl, cc, cl, ll = (float(x) for x in cov[np.triu_indices(3)])
        volume, catch, loss = self.mean[:3]
        state = WaterState(self.at_day, volume, catch, loss, (vv, vc, vl, cc, cl, ll), self.waits_l)
        return KeptState(state, self.habit, self.last_entry_day)


@dataclass(frozen=True, slots=True)
class EcMisfit:
    """An EC reading that was set aside."""

    day: float
    read_ms_cm: float
    expected_ms_cm: float


@dataclass(frozen=True)
class BathTrack:
    """The filter's answer at each knot."""

    day: Floats
    ec_ms_cm: Floats
    ec_var: Floats
    volume_l: Floats
    end: KeptSalts
    kept: tuple[KeptSalts, ...]
    misfits: tuple[EcMisfit, ...]
    spray_salts: Floats  # the usual litre of spray, in the order of SALTS
    siphon: SiphonHabit


@dataclass(frozen=True, slots=True)
class EcDay:
    """The EC on one day: 10, 50 and 90 %."""

    day: float  # local day since 1970
    ec_p10_ms_cm: float
    ec_p50_ms_cm: float
    ec_p90_ms_cm: float


@dataclass(frozen=True)
class BathAnswer:
    """The salts now, at the siphon, in ninety days; three figures are 10, 50 and 90 %."""

    ec_now: tuple[float, float, float]
    ec_at_siphon: tuple[float, float, float] | None
    siphon_p50_day: float  # days from now, nan where none is in sight
    ec_in_90_days: tuple[float, float, float]
    salts_now: Mapping[str, tuple[float, float, float]]  # mg/L
    salts_at_siphon: Mapping[str, tuple[float, float, float]]
    steady_salts: Floats | None  # at the siphon, in the long run, in the order of SALTS
    steady_ms_cm: float | None
    low_steady_ms_cm: float | None
    p_past_action_now: float
    p_past_action_at_siphon: float
    rates: Mapping[str, tuple[float, float, float]]  # cause -> mS/cm a month
    trend: tuple[float, float, float]  # mS/cm a month
    p_rising: float
    p_by_salts: float  # chance that salt, not water, makes the trend
    p_volume_rising: float
    volume_l: tuple[float, float, float]
    held_l: float
    after_siphon_l: float
    arrives_frac: tuple[float, float, float]
    uptake_n_mg_day: tuple[float, float, float]
    narrowing: Mapping[str, float]  # reading -> share of the variance at the siphon it would take away
    past: tuple[EcDay, ...]
    ahead: tuple[EcDay, ...]
    last_reading_day: float
    readings: tuple[tuple[float, float], ...]  # day, mS/cm
    misfits: tuple[EcMisfit, ...]
    siphon: SiphonHabit
    kept: tuple[KeptSalts, ...] = field(default=())
