"""The profiles a new book starts with: published or customary figures of nine groups of plants.

Each value is mean (90 % range), its tag and its source. Conditions: 24 to 26 C,
humidity above 90 %, DLI 2 to 3, EC near target, established, per section with one
growing tip. docs/starting-values.md says how far each can be trusted: no trial
of leaf rates exists for most of these plants, so those are set wide on purpose.
"""

from functools import cache

from halfwater.plain.stock import PriorFact

# Quantity -> tag unless a profile says otherwise: C common practice, G guess.
_QUANTITIES = {
    "leaf_rate_per_30d": "G",
    "first_leaves": "C",
    "small_leaves": "C",
    "standard_leaves": "C",
    "large_leaves": "C",
    "section_mm": "C",
    "rhizome_mm_per_30d": "G",
    "lag_days": "G",
    "settling_loss_frac": "C",
    "loss_frac_per_30d": "C",
    "dli_mol_m2_d": "C",
    "temp_c": "C",
    "best_temp_c": "C",
    "ec_above_source_ms_cm": "C",
}
_SOURCE = "priors, Profiles of taxa"
_HELFERI = "helferi-ec"

_Value = float | tuple[float, float, float]
# In the order of _QUANTITIES; a bare number is a size rule without a range.
_PROFILES: dict[str, tuple[_Value, ...]] = {
    "Anubias barteri var. nana": (
        (1.5, 0.8, 2.6), (3, 2, 5), 5, 8, 12, (30, 20, 40), (6, 2.5, 11), (42, 20, 75),
        (0.08, 0.02, 0.20), (0.010, 0.003, 0.03), (2.5, 1.2, 4),
        (25.5, 18, 31), (25.5, 24, 27), (0.7, 0.3, 1.2),
    ),
    "Anubias, petite and mini types": (
        (1.6, 0.8, 2.8), (5, 3, 8), 7, 12, 20, (25, 15, 35), (4, 1.5, 7), (46, 21, 84),
        (0.10, 0.03, 0.25), (0.012, 0.004, 0.035), (2.2, 1.0, 3.5),
        (25.5, 18, 31), (25.5, 24, 27), (0.6, 0.3, 1.0),
    ),
    "Anubias, large types": (
        (1.2, 0.6, 2.0), (3, 2, 4), 4, 6, 10, (40, 30, 60), (9, 4, 17), (46, 21, 84),
        (0.09, 0.03, 0.22), (0.010, 0.003, 0.03), (2.8, 1.5, 5),
        (26, 18, 32), (26, 24, 28), (0.8, 0.4, 1.4),
    ),
    "Bucephalandra": (
        (1.4, 0.7, 2.5), (5, 3, 8), 7, 12, 20, (25, 15, 40), (4.5, 1.5, 9), (48, 21, 90),
        (0.12, 0.04, 0.28), (0.015, 0.004, 0.04), (2.3, 1.0, 4),
        (24, 18, 29), (24, 22, 26), (0.5, 0.2, 0.9),
    ),
    "Cryptocoryne wendtii group": (
        (2.8, 1.4, 4.8), (3, 1, 5), 5, 8, 12, (20, 10, 30), (3, 1, 6), (31, 14, 56),
        (0.10, 0.03, 0.25), (0.010, 0.003, 0.03), (3, 1.5, 6),
        (26, 18, 32), (26, 24, 28), (0.6, 0.3, 1.0),
    ),
    "Cryptocoryne crispatula type": (
        (2.2, 1.0, 4.0), (3, 1, 5), 5, 8, 12, (20, 10, 30), (3, 1, 6), (33, 14, 60),
        (0.12, 0.04, 0.30), (0.012, 0.003, 0.035), (3, 1.5, 6),
        (26, 18, 32), (26, 24, 28), (0.5, 0.3, 0.8),
    ),
    "Leptochilus pteropus": (
        (1.6, 0.8, 2.8), (4, 2, 6), 5, 8, 14, (30, 20, 40), (9, 3, 18), (39, 18, 70),
        (0.08, 0.02, 0.20), (0.010, 0.003, 0.03), (2.2, 0.8, 4.5),
        (24, 14, 30), (24, 22, 26), (0.5, 0.2, 0.9),
    ),
    "Bolbitis heudelotii": (
        (1.0, 0.45, 1.9), (3, 2, 5), 4, 7, 12, (40, 30, 60), (12, 4, 25), (55, 25, 100),
        (0.15, 0.05, 0.32), (0.015, 0.005, 0.04), (2.0, 0.8, 4),
        (24, 18, 28), (24, 22, 26), (0.4, 0.2, 0.8),
    ),
    "Easy stems": (
        (11, 5, 20), (6, 4, 10), 10, 16, 24, (80, 50, 120), (100, 40, 220), (10, 5, 18),
        (0.03, 0.005, 0.10), (0.005, 0.001, 0.02), (6, 3, 12),
        (25, 16, 32), (25, 22, 28), (1.0, 0.5, 1.8),
    ),
}  # fmt: skip
# Where a group of plants has a published anchor, or is a guess throughout.
_OTHER_TAGS = {
    ("Cryptocoryne crispatula type", "ec_above_source_ms_cm"): ("P", _HELFERI),
    ("Easy stems", "leaf_rate_per_30d"): ("P", "chuaduangpui-bacopa"),
    ("Easy stems", "ec_above_source_ms_cm"): ("P", _HELFERI),
}
_GUESSED = ("Anubias, petite and mini types", "Bucephalandra", "Bolbitis heudelotii")


@cache
def profiles() -> dict[str, tuple[PriorFact, ...]]:
    """The shipped profiles by name of the group."""
    return {name: tuple(_facts(name, values)) for name, values in _PROFILES.items()}


def _facts(name: str, values: tuple[_Value, ...]) -> list[PriorFact]:
    facts = []
    for (quantity, usual), value in zip(_QUANTITIES.items(), values, strict=True):
        mean, low, high = value if isinstance(value, tuple) else (value, value, value)
        tag, source = _OTHER_TAGS.get((name, quantity), ("G" if name in _GUESSED else usual, _SOURCE))
        facts.append(PriorFact(quantity, float(mean), float(low), float(high), tag, source))
    return facts
