"""Making a mix: for a recipe and a volume, what to measure, with which spoon, into how much water."""

from collections.abc import Iterator
from dataclasses import dataclass
from math import ceil, inf

from halfwater.errors import RefusedInput
from halfwater.plain.mixes import FeedFacts, MixFacts, MixPart
from halfwater.science.feed import DOSE_G_L, DOSE_ML_L, Label, Strength, elements_per_dose
from halfwater.science.limits import Limits
from halfwater.science.spoons import DRY_SPREAD_FRAC, STARTING_TEASPOON_G, TEASPOON_ML, Spoonful, spoons

_TO_MAKE = Limits("volume to make", 0.01, 1000, "L")
_NEEDED = Limits("volume needed", 0, 1000, "L")
_FLUID_OUNCE_L = 0.0295735295625  # nist-hb44, exact
# Up to this volume a mix is made in steps of that: marks a jug has.
_STEPS_L = {
    "metric": ((1.0, 0.05), (5.0, 0.1), (inf, 0.5)),
    "us": ((32 * _FLUID_OUNCE_L, 2 * _FLUID_OUNCE_L), (128 * _FLUID_OUNCE_L, 4 * _FLUID_OUNCE_L),
           (inf, 16 * _FLUID_OUNCE_L)),
}  # fmt: skip
SPOON_ERROR_FRAC = 0.10  # a spoon further off than this is advised against; own definition
NIGHTLY_N_MG_L = (25.0, 75.0)  # guess: priors, Mixes
NIGHTLY_EC_MS_CM = 1.2  # never above, over the source water; guess: priors, Mixes


@dataclass(frozen=True, slots=True)
class PartToMeasure:
    """One feed of a mix, measured out: liquids in mL, dry feeds in grams."""

    feed: str
    form: str
    amount_ml: float | None
    amount_g: float | None
    spoon_text: str  # "" where no spoon can be named
    spoon_error_frac: float | None  # rounding to real spoons; positive: too much
    spoon_spread_frac: float | None  # how uncertain the spoonful is beside that
    strength: Strength | None  # what this feed brings; None where its label does not say
    why: str  # what the label lacks, in a sentence


@dataclass(frozen=True, slots=True)
class MixToMake:
    """A mix to be made up now. `strength` is None, with the reason in `why`, where it cannot be said."""

    mix: str
    mix_key: int
    use: str
    volume_l: float
    parts: tuple[PartToMeasure, ...]
    water_l: float  # about: dry feeds take a little room too, so top up to the volume
    strength: Strength | None
    why: str
    cautions: tuple[str, ...]

    @property
    def n_mg_l(self) -> float | None:
        """Nitrogen over the source water."""
        return None if self.strength is None else self.strength.n_mg_l

    @property
    def p_mg_l(self) -> float | None:
        """Phosphorus, as the element."""
        return None if self.strength is None else self.strength.p_mg_l

    @property
    def k_mg_l(self) -> float | None:
        """Potassium, as the element."""
        return None if self.strength is None else self.strength.k_mg_l


def label_of(feed: FeedFacts) -> Label:
    """Checked label of a feed in the book.

    The same figures, once they have been found possible.

    Parameters
    ----------
    feed : FeedFacts
        The feed as the book holds it.

    Returns
    -------
    Label
        Its label.

    Raises
    ------
    RefusedInput
        If the label is impossible: more than 100 % in all, nitrogen forms that do not add up, a number
        that is nan or out of range, or an unknown form, basis or element.

    Notes
    -----
    A missing density is no fault of a label: it is asked for when a dose needs it.

    Source: own definition
    """
    try:
        return Label(
            n_frac=feed.n_frac,
            p2o5_frac=feed.p2o5_frac,
            k2o_frac=feed.k2o_frac,
            other_frac=feed.other_frac,
            form=feed.form,
            basis=feed.basis,
            density_kg_l=feed.density_kg_l,
            n_nitrate_frac=feed.n_nitrate_frac,
            n_ammonium_frac=feed.n_ammonium_frac,
            n_urea_frac=feed.n_urea_frac,
        )
    except RefusedInput as refused:
        raise _at(feed, refused) from refused


def mix_strength(mix: MixFacts) -> Strength:
    """Strength of a mix over its source water.

    What all its feeds bring together, element by element.

    Parameters
    ----------
    mix : MixFacts
        The recipe.

    Returns
    -------
    Strength
        The sum over its feeds; all zero for plain water. [mg/L]

    Raises
    ------
    RefusedInput
        If a label or dose is impossible, or a liquid w/w label dosed by volume lacks its density.

    Notes
    -----
    A dry feed dosed by volume counts its own teaspoon weight, or 5 g where the grower has weighed none.

    Source: own definition
    """
    return sum((_part_strength(part) for part in mix.parts), start=Strength())


def volume_to_make(needed_l: float, units: str = "metric") -> float:
    """Volume a jug can measure, at least what is needed.

    What the jobs need, made up to the next mark: 50 mL under a litre, 100 mL under 5 L, 500 mL from
    there; in US units 2 fl oz under a quart, 4 under a gallon, a pint from there. What stays in the
    sprayer's hose is the grower's to add.

    Parameters
    ----------
    needed_l : float
        Volume the sprays and fills take in all. [L] Valid 0..1000.
    units : str
        "metric" or "us".

    Returns
    -------
    float
        Volume to make; never less than needed, never a whole step more. [L]

    Raises
    ------
    RefusedInput
        If the volume is nan or out of range, or the units are neither.

    Notes
    -----
    v = s ceil(needed / s). 0 gives 0.

    Source: own definition

    Examples
    --------
    >>> volume_to_make(0.61)
    0.65
    """
    needed = _NEEDED.one(needed_l)
    if units not in _STEPS_L:
        raise RefusedInput("units", units, "metric or us")
    step = next(step for below, step in _STEPS_L[units] if needed < below)
    return round(step * ceil(needed / step - 1e-9), 12)


def plan_mix(mix: MixFacts, volume_l: float) -> MixToMake:
    """Mix to make: each feed in mL or g and in spoons, the water, and what it contains.

    Exactly the volume asked for is made up: see `volume_to_make` for one that a jug can measure.

    Parameters
    ----------
    mix : MixFacts
        The recipe.
    volume_l : float
        Volume to make. [L] Valid 0.01..1000.

    Returns
    -------
    MixToMake
        Parts in the order of the recipe, water, strength, cautions.

    Raises
    ------
    RefusedInput
        If the volume is nan or out of range, a dose or the weight of a teaspoon is impossible, or the
        doses leave no room for water.

    Notes
    -----
    Amounts are dose times volume; water is the volume less the liquid feeds, then topped up to the mark.
    What is measured out does not hang on the label: where that lacks its density or cannot be, the
    amounts stand and the strength gives way to the reason. So one bad label never stops a round.

    Source: own definition
    """
    volume = _TO_MAKE.one(volume_l)
    parts = tuple(_measured(part, volume) for part in mix.parts)
    water_l = volume - sum(part.amount_ml or 0.0 for part in parts if part.form == "liquid") / 1000
    if water_l <= 0:
        raise RefusedInput("dose", mix.name, "doses that leave room for water: under 1000 mL/L in all")
    why = " ".join(part.why for part in parts if part.why)
    strength = None if why else mix_strength(mix)
    return MixToMake(
        mix=mix.name,
        mix_key=mix.key,
        use=mix.use,
        volume_l=volume,
        parts=parts,
        water_l=water_l,
        strength=strength,
        why=why,
        cautions=tuple(_cautions(mix, parts, strength)),
    )


def _measured(part: MixPart, volume_l: float) -> PartToMeasure:
    """One feed measured out for a volume."""
    _check_dose(part)
    feed = part.feed
    strength, why = _strength_or_why(part)
    amount_ml = None if part.dose_ml_l is None else part.dose_ml_l * volume_l
    amount_g = None if part.dose_g_l is None else part.dose_g_l * volume_l
    if feed.form == "dry" and amount_ml is not None:
        amount_g = amount_ml / TEASPOON_ML * _teaspoon_g(feed)
        amount_ml = None
    elif (
        feed.form != "dry" and amount_g is not None and strength is not None and feed.density_kg_l is not None
    ):
        amount_ml = amount_g / feed.density_kg_l  # sound: a strength was found with it
        amount_g = None
    spoon = _spoonful(feed, amount_ml, amount_g)
    return PartToMeasure(
        feed=feed.name,
        form=feed.form,
        amount_ml=amount_ml,
        amount_g=amount_g,
        spoon_text="" if spoon is None else spoon.text,
        spoon_error_frac=None if spoon is None else spoon.error_frac,
        spoon_spread_frac=None if spoon is None else spoon.spread_frac,
        strength=strength,
        why=why,
    )


def _spoonful(feed: FeedFacts, amount_ml: float | None, amount_g: float | None) -> Spoonful | None:
    """The amount in spoons, if a spoon can be named: none measures a liquid's grams."""
    if feed.form != "dry":
        return None if amount_ml is None else spoons(volume_ml=amount_ml)
    try:
        return spoons(mass_g=amount_g, teaspoon_g=_teaspoon_g(feed))
    except RefusedInput as refused:
        raise _at(feed, refused) from refused


def _strength_or_why(part: MixPart) -> tuple[Strength | None, str]:
    """What one feed brings, or the sentence that says what its label lacks."""
    try:
        return _part_strength(part), ""
    except RefusedInput as refused:
        return None, refused.sentence


def _check_dose(part: MixPart) -> None:
    """Refuse a part without one sound dose, by volume or by weight."""
    try:
        if (part.dose_ml_l is None) == (part.dose_g_l is None):
            raise RefusedInput("dose", part.typed, "either one by volume in mL/L or one by weight in g/L")
        if part.dose_ml_l is not None:
            DOSE_ML_L.one(part.dose_ml_l)
        else:
            DOSE_G_L.one(part.dose_g_l)
    except RefusedInput as refused:
        raise _at(part.feed, refused) from refused


def _part_strength(part: MixPart) -> Strength:
    """What one feed brings at its dose; a refusal names the feed."""
    feed = part.feed
    try:
        return elements_per_dose(label_of(feed), part.dose_ml_l, part.dose_g_l, teaspoon_g=_teaspoon_g(feed))
    except RefusedInput as refused:
        raise _at(feed, refused) from refused


def _teaspoon_g(feed: FeedFacts) -> float:
    """The grower's own teaspoon weight of a feed, or the starting value."""
    return STARTING_TEASPOON_G if feed.teaspoon_g is None else feed.teaspoon_g


def _at(feed: FeedFacts, refused: RefusedInput) -> RefusedInput:
    """The same refusal with the feed's name before it."""
    return RefusedInput(refused.field, refused.value, refused.accepted, refused.where or f"feed {feed.name}")


def _cautions(mix: MixFacts, parts: tuple[PartToMeasure, ...], strength: Strength | None) -> Iterator[str]:
    """What to mind while making and using the mix, most urgent first."""
    if parts:
        yield "Gloves and eye protection when handling concentrates."
    if _clashes(parts):
        yield (
            "Stir each feed into the full water before the next: as concentrates, calcium and phosphate "
            "or sulphate clot."
        )
    yield from _measuring(mix, parts)
    if mix.use in ("night", "weak"):
        yield "Fresh potable water and coarse droplets; clean the sprayer every week."
        yield from _too_strong(mix, strength)
    if strength is not None and strength.n_urea_mg_l:
        yield f"{strength.n_urea_mg_l:.0f} mg/L of the nitrogen is urea, which an EC meter does not see."


def _measuring(mix: MixFacts, parts: tuple[PartToMeasure, ...]) -> Iterator[str]:
    """What spoons do to small amounts and to dry feeds."""
    for part in parts:
        if part.spoon_error_frac is not None and abs(part.spoon_error_frac) > SPOON_ERROR_FRAC:
            how = "weigh it" if part.form == "dry" else "use a syringe"
            yield f"No spoon comes within {SPOON_ERROR_FRAC:.0%} of so little {part.feed}: {how}.".replace(
                "%", " %"
            )
    dry = [part.feed for part in mix.parts if part.feed.form == "dry"]
    if dry:
        yield f"A spoon of dry feed is within {DRY_SPREAD_FRAC:.0%} at best: weigh it.".replace("%", " %")
    for feed in dry:
        if feed.teaspoon_g is None:
            yield (
                f"A level teaspoon of {feed.name} is taken as {STARTING_TEASPOON_G:g} g (4 to 6 g): "
                "weigh ten of yours once and note it with the feed."
            )


def _too_strong(mix: MixFacts, strength: Strength | None) -> Iterator[str]:
    """A spray stronger than leaves are given every evening."""
    usual, most = NIGHTLY_N_MG_L
    if strength is not None and strength.n_mg_l > most:
        yield (
            f"{strength.n_mg_l:.0f} mg/L N is above the {usual:g} to {most:g} usual for a spray "
            "every evening; ferns and Bucephalandra take half."
        )
    ec = mix.ec_above_source_ms_cm
    if ec is not None and ec > NIGHTLY_EC_MS_CM:
        yield f"EC {ec:g} mS/cm above the water is more than the {NIGHTLY_EC_MS_CM:g} that leaves bear."


def _clashes(parts: tuple[PartToMeasure, ...]) -> bool:
    """Whether one feed brings calcium and another phosphorus or sulphur."""
    known = [(number, part.strength) for number, part in enumerate(parts) if part.strength is not None]
    limes = {number for number, strength in known if strength.ca_mg_l > 0}
    salts = {number for number, strength in known if strength.p_mg_l > 0 or strength.s_mg_l > 0}
    return any(one != other for one in limes for other in salts)
