"""Fennhollow's waters and shelf, the true salts of its baths, and what its meters show of them."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.random import Generator

from halfwater.demo.noting import Pen
from halfwater.demo.nursery import BOOK_DAYS, PLACES, Place, is_away
from halfwater.demo.truth import Truth
from halfwater.plain.chemistry import SourceWater, Target, Wanted
from halfwater.plain.entry import NewEntry

# Milliequivalents: 2.35 of cations and 2.35 of anions.
TAP = SourceWater(
    "Tap", ec_ms_cm=0.25, ph=7.6, alkalinity_mg_l=80.0, hardness_mg_l=95.5, ca_mg_l=30.0, mg_mg_l=5.0,
    na_mg_l=9.0, k_mg_l=2.0, cl_mg_l=14.0, so4_mg_l=14.0, no3_mg_l=4.0,
)  # fmt: skip
RAIN = SourceWater("Rain barrel", ec_ms_cm=0.02, ph=5.8, is_pure=True)
WATERS = ((TAP, True), (RAIN, False))  # and which is the nursery's own
# Salts on the shelf: name, formula, purity, price of a pack in minor units, grams in it.
SALTS = (
    ("Potassium nitrate", "KNO3", 0.99, 890, 1000.0),
    ("Magnesium sulphate", "MgSO4·7H2O", 0.99, 450, 1000.0),
    ("Calcium nitrate", "Ca(NO3)2·4H2O", 0.98, 820, 1000.0),
    ("Monopotassium phosphate", "KH2PO4", 0.99, 790, 500.0),
)
TARGET = Target(
    "Soft bath",
    (Wanted("N", 24.0), Wanted("P", 6.0), Wanted("K", 40.0), Wanted("Ca", 45.0), Wanted("Mg", 9.0)),
    note="For fills, weaker than the dry feed makes it.",
)

NIGHT_EC, WEAK_EC, FILL_EC = 0.35, 0.2, 0.5  # [mS/cm] above the source water
FOOD_FRAC, TAP_FOOD_FRAC = 0.65, 0.4  # of the EC of a feed and of the tap water: plants can take it
URETTED_EC_FRAC = 0.06  # what its urea adds once it has turned
LEAF_KEEPS_FRAC = 0.12  # of a spray's salts, by leaves, glass and the dry clay on top
TAKES_UP_M2_DAY = 0.03  # [mS/cm times L] by a square metre of leaf that finds plenty
HALF_EC = 0.06  # of food, at which it takes half of that
HELD_FRAC = 0.08  # of the clay: solution in it that a siphon leaves
STANDARD_EC = 1.413
METER_OFF = (0.985, 0.955)  # what the meter shows of what is there: new, and at the end of the book
METER_CHECKS_DAYS_AGO = (390, 301, 205, 118, 33)
METER_CV, METER_SD_MS_CM = 0.02, 0.005


@dataclass(slots=True)
class BathSalts:
    """The salts of one bath as EC times litres, food of plants apart from the rest."""

    held_l: float
    food: float = 0.0
    rest: float = 0.0

    @classmethod
    def of(cls, place: Place) -> "BathSalts":
        """Nothing yet in the tank of this place."""
        pot = place.facts.pot
        if pot is None:
            return cls(0.0)
        clay_mm = pot.height_mm * place.facts.clay_fill_frac
        foot, rim = (
            pot.base_mm / 2,
            pot.base_mm / 2 + (pot.top_mm - pot.base_mm) / 2 * clay_mm / pot.height_mm,
        )
        clay_l = np.pi * clay_mm * (foot**2 + foot * rim + rim**2) / 3e6 * place.facts.pots
        return cls(HELD_FRAC * float(clay_l))

    def ec(self, volume_l: float) -> float:
        """What a meter that is right would show. [mS/cm]"""
        return (self.food + self.rest) / max(volume_l + self.held_l, 0.05)

    def pour(self, volume_l: float, feed_ec: float) -> None:
        """A mix of so much EC above the source water comes in."""
        feed = volume_l * feed_ec * (1 + URETTED_EC_FRAC)
        water = volume_l * float(TAP.ec_ms_cm or 0.0)
        self.food += FOOD_FRAC * feed + TAP_FOOD_FRAC * water
        self.rest += (1 - FOOD_FRAC) * feed + (1 - TAP_FOOD_FRAC) * water

    def siphon(self, volume_l: float, out_l: float) -> None:
        """So much of a bath of so much goes out; what the clay holds stays."""
        kept = 1.0 - out_l / (volume_l + self.held_l)
        self.food *= kept
        self.rest *= kept

    def day(self, place: Place, night_l: float, morning_l: float, volume_l: float, leaf_m2: float, *,
            is_plain: bool) -> None:  # fmt: skip
        """A day's sprays land, and plants take what they find."""
        lands = (1.0 - place.nature.missing_frac) * (1.0 - LEAF_KEEPS_FRAC)
        self.pour(night_l * lands, 0.0 if is_plain else NIGHT_EC)
        self.pour(morning_l * lands, WEAK_EC)
        food_ec = self.food / max(volume_l + self.held_l, 0.05)
        self.food -= min(self.food, TAKES_UP_M2_DAY * leaf_m2 * food_ec / (food_ec + HALF_EC))


def is_plain_evening(place: Place, day: int) -> bool:
    """Whether plain water is sprayed this evening instead of feed: once a week where that is the habit."""
    ago = place.plain_days_ago
    return ago is not None and (BOOK_DAYS - day - ago) % 7 == 0


def read_chemistry(rng: Generator, pen: Pen, truth: Truth) -> None:
    """EC and pH of a tank's bath as its grower reads them before the evening's work."""
    place = next(one for one in PLACES if one.facts.name == truth.tank)
    start = BOOK_DAYS - place.days_ago
    for day in _days(place, place.ec_every_days):
        there = float(truth.ec_ms_cm[day - start])
        shown = there * meter_shows(day) * float(rng.normal(1.0, METER_CV))
        shown = round(shown + float(rng.normal(0.0, METER_SD_MS_CM)), 2)
        pen.put("ec", pen.at(day, 2), shown, typed=f"{shown:g} mS/cm")
    for day in _days(place, place.ph_every_days):
        ph = 6.3 + 0.001 * (BOOK_DAYS - day) + float(rng.normal(0.0, 0.08))  # ammonium sours a bath slowly
        pen.put("ph", pen.at(day, 3), round(ph, 1), typed=f"{ph:.1f}")


def read_standard(rng: Generator, pen: Pen) -> tuple[NewEntry, ...]:
    """The meter in its standard, now and then; of no tank."""
    for ago in METER_CHECKS_DAYS_AGO:
        day = BOOK_DAYS - ago
        shown = round(STANDARD_EC * meter_shows(day) * float(rng.normal(1.0, 0.006)), 3)
        pen.put("meter", pen.at(day, -4), shown, second=STANDARD_EC, typed=f"{shown:g} of {STANDARD_EC:g}")
    return tuple(replace(entry, tank=None) for entry in pen.entries())


def meter_shows(day: int) -> float:
    """What the meter shows of an EC of 1."""
    new, now = METER_OFF
    return new + (now - new) * day / BOOK_DAYS


def _days(place: Place, every_days: int | None) -> Sequence[int]:
    """Days of the book on which a reading falls due and somebody is there."""
    if every_days is None:
        return ()
    ago = range(place.ec_days_ago, place.days_ago - 5, every_days)
    return [BOOK_DAYS - one for one in ago if not is_away(BOOK_DAYS - one)]
