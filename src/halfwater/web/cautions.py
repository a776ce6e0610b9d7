"""Cautions in the grower's words, shown where they apply."""

_FOLLOW = "Follow local rules and qualified advice."

ELECTRICITY = (
    "Electricity near water: a residual-current device, drip loops in every cable, "
    "lamp off before hands go in. " + _FOLLOW
)
SIPHON = "Never start a siphon by mouth: fill the hose or use a squeeze bulb."
DRAIN = "Spent solution and plant waste never go to open water or drains leading outdoors. " + _FOLLOW
FLOOR_LOAD = "A filled tank is heavy: ask an engineer before loading a shelf or an upper floor. " + _FOLLOW
CONCENTRATE = (
    "Concentrates: gloves and eye protection; feed goes into the water, never water into acid; "
    "keep A and B stocks apart until each is diluted. " + _FOLLOW
)
BOTTLES = (
    "Label each bottle with its name, strength and date; keep it dark, closed, away from children and food. "
    + _FOLLOW
)
SPRAY = "Spray with fresh drinking water as the base, coarse droplets, and clean the sprayer once a week."
SAP = "Aroid sap stings and blades cut: gloves on, wash hands after. " + _FOLLOW
CLAY = "Wet clay dust before it flies."
TRADE = (
    "Some plants may not be sold, moved or let out without papers: lists of noxious plants, "
    "plant passports, licences. "
    "The authority decides, not this book."
)
ALL = (ELECTRICITY, SIPHON, DRAIN, FLOOR_LOAD, CONCENTRATE, SPRAY, SAP, CLAY, TRADE)
