"""Feeds and mixes as plain data."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class FeedFacts:
    """A feed as its label tells it, in per cent by the label's convention."""

    key: int
    name: str
    form: str  # "liquid" or "dry"
    basis: str  # "w/w" or "w/v"
    density_kg_l: float | None  # needed for a liquid labelled w/w
    n_frac: float
    p2o5_frac: float
    k2o_frac: float
    n_nitrate_frac: float | None
    n_ammonium_frac: float | None
    n_urea_frac: float | None
    other_frac: dict[str, float]  # label name -> fraction, such as MgO, CaO, SO3, Fe
    teaspoon_g: float | None  # what the grower's own level teaspoon of it weighs


@dataclass(frozen=True, slots=True)
class MixPart:
    """One feed in a mix at its dose."""

    feed: FeedFacts
    dose_ml_l: float | None  # liquids
    dose_g_l: float | None  # dry feeds
    typed: str  # the dose as the grower typed it


@dataclass(frozen=True, slots=True)
class MixFacts:
    """A recipe at a strength."""

    key: int
    name: str
    use: str  # "night", "weak" or "fill"
    parts: tuple[MixPart, ...]
    ec_above_source_ms_cm: float | None  # measured by the grower
