"""What a label of a salt would say, from its formula: so that a salt stands among the feeds."""

from typing import Any

from halfwater.errors import RefusedInput
from halfwater.science.formula import oxide_factor
from halfwater.science.salts import dissolved_salt
from halfwater.science.strengths import ELEMENTS, field_of, strength_of

_FORMS = {"n_nitrate_frac": "N-NO3", "n_ammonium_frac": "N-NH4", "n_urea_frac": "N-urea"}
_LEFT_OUT = ("Cl", "Na")  # where a label's oxides would add up to more than the whole


def label_of_salt(formula: str, purity_frac: float) -> dict[str, Any]:
    """The fields of a feed that a label would tell: nitrogen by its forms, oxides, and elements beside them.

    Raises
    ------
    RefusedInput
        If the formula cannot be read or the purity is out of range.
    """
    strength = strength_of(dissolved_salt(formula, 1.0, purity_frac))
    shares = {what: (getattr(strength, field_of(what)) or 0.0) / 1000.0 for what in ELEMENTS}
    if not any(shares.values()):
        raise RefusedInput("formula", formula, "a salt that brings something plants or meters know")
    label: dict[str, Any] = {
        "n_frac": shares.pop("N"),
        "p2o5_frac": shares.pop("P") / oxide_factor("P2O5", "P"),
        "k2o_frac": shares.pop("K") / oxide_factor("K2O", "K"),
    }
    label |= {name: (getattr(strength, field_of(what)) or 0.0) / 1000.0 for name, what in _FORMS.items()}
    other = {what: share for what, share in shares.items() if share > 0.0}
    while label["n_frac"] + label["p2o5_frac"] + label["k2o_frac"] + sum(other.values()) > 1.0:
        last = next((what for what in _LEFT_OUT if what in other), None)
        if last is None:
            break
        del other[last]
    return label | {"other_frac": other, "basis": "w/w"}
