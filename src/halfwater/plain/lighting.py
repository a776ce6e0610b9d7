"""The light over a floor as plain data: at each spot, whom it suits, and what other settings give."""

from dataclasses import dataclass
from datetime import date

from halfwater.plain.growing import Span
from halfwater.plain.working import Working

SPOT_LIGHTS = ("too dim", "good", "too bright", "not known")  # of a spot for a taxon


@dataclass(frozen=True, slots=True)
class LightRead:
    """One reading at a spot, as it was noted."""

    on: date
    spot: str
    ppfd_umol_m2_s: float
    dimmer_frac: float
    stray_ppfd_umol_m2_s: float
    is_odd: bool = False  # far from what the others say


@dataclass(frozen=True, slots=True)
class SpotLight:
    """The light at one spot, at today's dimmer and hours."""

    name: str
    x_mm: float
    y_mm: float
    ppfd_umol_m2_s: Span  # the lamp's, at today's dimmer, without stray light
    dli_mol_m2_d: Span  # lamp and stray light together
    taxon_name: str = ""  # what stands on it
    word: str = "not known"  # one of SPOT_LIGHTS, for what stands on it


@dataclass(frozen=True, slots=True)
class TaxonLight:
    """Which spots of a floor suit a taxon."""

    taxon: int
    taxon_name: str
    low_mol_m2_d: float  # what it takes, from its starting values
    best_mol_m2_d: float
    high_mol_m2_d: float
    good: tuple[str, ...]  # spots, the best first
    dim: tuple[str, ...]
    bright: tuple[str, ...]
    said: str


@dataclass(frozen=True, slots=True)
class LightChoice:
    """One setting of dimmer and hours that gives the wanted daily light."""

    dimmer_frac: float
    lamp_h: float
    dli_mol_m2_d: float  # at the middle spot, stray light in it
    month_kwh: float | None  # 30 days; None: the lamp's power is not known
    month_cost_minor: float | None  # None: no tariff, or no power
    is_now: bool = False  # how the lamp is set today
    note: str = ""


@dataclass(frozen=True, slots=True)
class FloorLight:
    """The light of one tank's floor."""

    tank: int
    tank_name: str
    spots: tuple[SpotLight, ...]
    readings: tuple[LightRead, ...]
    evenness: Span | None  # least spot over the mean of all; None with one spot
    read_next: str  # the spot whose reading would tell most
    suits: tuple[TaxonLight, ...]  # taxa that stand in the tank, then the others of the book
    choices: tuple[LightChoice, ...]
    target_mol_m2_d: float
    dimmer_frac: float
    lamp_h: float
    stray_mol_m2_d: float
    said: str
    narrows_most: str
    cautions: tuple[str, ...] = ()
    workings: tuple[Working, ...] = ()
