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
    formula: str = ""  # of a salt, an acid or a base, with its crystal water; "": a feed by its label
    purity_frac: float = 1.0  # of a salt: how much of it is what the formula says
    pack_minor: int | None = None  # what a pack of it cost
    pack_g: float | None = None  # how much is in the pack, by weight or
    pack_ml: float | None = None  # by volume
    is_at_hand: bool = True  # stands on the shelf

    @property
    def is_salt(self) -> bool:
        """Known by its formula, not by a label."""
        return bool(self.formula)


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
