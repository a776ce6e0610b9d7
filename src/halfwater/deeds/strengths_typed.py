"""Strengths wanted in a mix, as typed: "N 50, K 40, Ca 20", with a weight where one counts more."""

import re
from collections.abc import Sequence

from halfwater.errors import RefusedInput
from halfwater.plain.chemistry import Wanted
from halfwater.science.strengths import field_of

_ONE = re.compile(
    r"(?P<what>[A-Za-z]{1,2}(?:-[A-Za-z0-9]{2,4})?)\s*[:=]?\s*(?P<strength>\d+(?:[.,]\d+)?)"
    r"(?:\s*(?:mg/l|mmol/l|ppm))?(?:\s*[x×]\s*(?P<weight>\d+(?:[.,]\d+)?))?",
    re.IGNORECASE,
)
STRENGTHS_WANTED = (
    "elements with their strengths such as “N 50, P 10, K 40”; N-NO3, N-NH4 and N-urea tell its forms, "
    "“K 40 x2” counts twice"
)


def read_strengths(typed: str, field: str = "strengths") -> tuple[dict[str, float], dict[str, float]]:
    """Strengths and weights by element, in the unit that goes with them."""
    strengths: dict[str, float] = {}
    weights: dict[str, float] = {}
    parts = [part.strip() for part in re.split(r"[;\n]|,(?!\d)|,\s", typed) if part.strip()]
    for part in parts:
        found = _ONE.fullmatch(part)
        what = _spelled(found["what"]) if found else ""
        if found is None or what in strengths:
            raise RefusedInput(field, part, STRENGTHS_WANTED)
        field_of(what)
        strengths[what] = _number(found["strength"])
        weights[what] = _number(found["weight"]) if found["weight"] else 1.0
    if not strengths:
        raise RefusedInput(field, typed, STRENGTHS_WANTED)
    return strengths, weights


def show_strengths(wanted: Sequence[Wanted]) -> str:
    """Strengths as `read_strengths` reads them, in mg/L."""
    return "; ".join(
        f"{one.what} {one.strength_mg_l!r}" + ("" if one.weight == 1.0 else f" x{one.weight!r}")
        for one in wanted
    )


def _number(text: str) -> float:
    return float(text.replace(",", "."))


def _spelled(what: str) -> str:
    """An element or form of nitrogen as chemists write it, however it was typed."""
    element, _, form = what.partition("-")
    forms = {"no3": "N-NO3", "nh4": "N-NH4", "urea": "N-urea"}
    if form:
        if element.upper() != "N" or form.lower() not in forms:
            raise RefusedInput("strengths", what, STRENGTHS_WANTED)
        return forms[form.lower()]
    return element.capitalize()
