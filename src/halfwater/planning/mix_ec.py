"""The EC of a mix: by its ions, by a label or over a water known by its EC alone, each with its error."""

from dataclasses import dataclass

from halfwater.plain.chemistry import EcAnswer
from halfwater.science.starting import EC_IONS_ERROR_FRAC, EC_LABEL_ERROR_FRAC, METER_SPREAD_FRAC

UREA_WORTH_SAYING_FRAC = 0.01  # of the nitrogen


@dataclass(frozen=True, slots=True)
class EcFacts:
    """What is known of a mix that conducts."""

    found_ms_cm: tuple[float, ...]  # by PHREEQC; two where a label is silent on its nitrogen
    bound_ms_cm: float
    water_ec_ms_cm: float
    has_water_ions: bool
    has_label: bool
    urea_mg_l: float | None
    n_mg_l: float


def answer_ec(facts: EcFacts) -> EcAnswer:
    """EC of a mix, how it was found, and how far it may be out.

    Three rules, the surest that the facts allow: all ions known; a label among them; a water known by
    its EC alone.

    Parameters
    ----------
    facts : EcFacts
        What PHREEQC found and what is known.

    Returns
    -------
    EcAnswer
        Value with its range, what it stands above the source water, the upper bound, the urea.

    Notes
    -----
    Ions: 6 % either way. Label: the mean of what it makes with none and with most of its nitrogen as urea
    (where it is silent), 15 % beyond either. A water without ions adds its own EC, which is a little too
    much, for the ions of both hinder each other.

    Source: standard-methods-2510; priors, Mixes and meters
    """
    error = EC_LABEL_ERROR_FRAC if facts.has_label else EC_IONS_ERROR_FRAC
    mean = sum(facts.found_ms_cm) / len(facts.found_ms_cm)
    low, high = min(facts.found_ms_cm) * (1 - error), max(facts.found_ms_cm) * (1 + error)
    bound: float | None = facts.bound_ms_cm
    above = mean - facts.water_ec_ms_cm
    rule = "label" if facts.has_label else "ions"
    if not facts.has_water_ions:
        above, water = mean, facts.water_ec_ms_cm
        mean, low, high = (
            mean + water,
            low + water * (1 - 2 * METER_SPREAD_FRAC),
            high + water * (1 + METER_SPREAD_FRAC),
        )
        rule, bound = "water by EC alone", None
    return EcAnswer(
        ec_ms_cm=mean,
        ec_low_ms_cm=low,
        ec_high_ms_cm=high,
        ec_above_source_ms_cm=max(above, 0.0) if abs(above) < 1e-9 else above,
        bound_ms_cm=bound,
        rule=rule,
        urea_mg_l=facts.urea_mg_l,
        text=_text(facts, error),
    )


def _text(facts: EcFacts, error: float) -> str:
    """How it was found, and what the meter does not see."""
    if not facts.has_label:
        how = "Worked out from its ions"
    elif len(facts.found_ms_cm) > 1:
        how = "From a label that does not say its forms of nitrogen: anything from no urea to mostly urea"
    else:
        how = "From the label, with the ions that it does not name guessed"
    how += f", within {100 * error:.0f} %."
    if not facts.has_water_ions:
        how += " The water's own EC is added, which is a little too much."
    if facts.urea_mg_l is None:
        return how + " If part of the nitrogen is urea, no EC meter sees it."
    if facts.urea_mg_l > UREA_WORTH_SAYING_FRAC * max(facts.n_mg_l, 1e-9):
        return how + (
            f" {facts.urea_mg_l:.0f} of the {facts.n_mg_l:.0f} mg/L N is urea, which no EC meter sees."
        )
    return how
