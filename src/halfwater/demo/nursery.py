"""Fennhollow, a nursery that does not exist: its settings, pots, lamps, feeds, mixes and tanks."""

from dataclasses import dataclass, replace
from datetime import date, timedelta

from halfwater.demo.habit import Habit
from halfwater.plain.mixes import FeedFacts, MixFacts, MixPart
from halfwater.plain.nursery import LampFacts, NurseryFacts, PotFacts
from halfwater.plain.tank import KeepOut, SprayPlan, TankFacts

BOOK_DAYS = 425  # fourteen months

NURSERY = NurseryFacts("Fennhollow", "metric", "EUR", "Europe/Berlin", 20, 21.0, 0.5, True)

SMALL = PotFacts(1, "net pot 50", 50.0, 38.0, 48.0)
FINE = PotFacts(2, "net pot 45", 45.0, 34.0, 44.0)
DEEP = PotFacts(3, "net pot 65", 65.0, 48.0, 62.0)
LARGE = PotFacts(4, "net pot 80", 80.0, 60.0, 75.0)
POTS = (SMALL, FINE, DEEP, LARGE)

LONG_BAR = LampFacts(1, "long white bar", 68.0, None, None, 36.0)
SHORT_BAR = LampFacts(2, "short white bar", 54.0, None, None, 18.0)
PANEL = LampFacts(3, "panel read with a lux meter", None, 5600.0, 68.0, 24.0)
LAMPS = (LONG_BAR, SHORT_BAR, PANEL)


def _feed(key: int, name: str, form: str, n_p_k: tuple[float, float, float], **more: object) -> FeedFacts:
    """A feed by its label alone."""
    plain = FeedFacts(key, name, form, "w/w", None, *n_p_k, None, None, None, {}, None)
    return replace(plain, **more)  # type: ignore[arg-type]


MILD = _feed(
    3, "Liquid 3-1-2", "liquid", (0.03, 0.01, 0.02), density_kg_l=1.05, n_nitrate_frac=0.018,
    n_ammonium_frac=0.006, n_urea_frac=0.006, pack_minor=1190, pack_ml=1000.0,
)  # fmt: skip
LIQUID = _feed(
    1, "Liquid 9-3-6", "liquid", (0.09, 0.03, 0.06), density_kg_l=1.2, n_nitrate_frac=0.045,
    n_ammonium_frac=0.025, n_urea_frac=0.02, pack_minor=1450, pack_ml=500.0,
)  # fmt: skip
DRY = _feed(
    2, "Dry 15-5-20 + 2 MgO", "dry", (0.15, 0.05, 0.20), n_nitrate_frac=0.11, n_ammonium_frac=0.04,
    n_urea_frac=0.0, other_frac={"MgO": 0.02}, teaspoon_g=5.2, pack_minor=1680, pack_g=1000.0,
)  # fmt: skip
STOCK = _feed(
    4, "Stock, 1 part Liquid 3-1-2 in 10", "liquid", (0.003, 0.001, 0.002), density_kg_l=1.005,
    n_nitrate_frac=0.0018, n_ammonium_frac=0.0006, n_urea_frac=0.0006, pack_minor=119, pack_ml=1000.0,
)  # fmt: skip
FEEDS = (LIQUID, DRY, MILD, STOCK)

NIGHT = MixFacts(1, "Night spray", "night", (MixPart(MILD, 2.0, None, "2 ml/l"),), 0.35)
WEAK = MixFacts(2, "Morning mist", "weak", (MixPart(STOCK, 12.0, None, "12 ml/l"),), 0.2)
FILL = MixFacts(
    3, "Bath", "fill", (MixPart(DRY, None, 0.3, "0.3 g/l"), MixPart(LIQUID, 0.2, None, "0.2 ml/l")), 0.5
)
MIXES = (NIGHT, WEAK, FILL)


@dataclass(frozen=True, slots=True)
class Nature:
    """What is true of a tank and not in the book."""

    ach_per_h: float
    porosity_frac: float
    missing_frac: float  # spray that goes past the tank
    stroke_bias: float  # true over believed spray volume
    gap_at_lamp_c: float  # how far lamp and water warm the air
    lid_openings: float  # air volumes exchanged at each spray


@dataclass(frozen=True, slots=True)
class Place:
    """A tank as the book has it, what is hidden, and how it is kept."""

    facts: TankFacts
    nature: Nature
    habit: Habit
    days_ago: int  # when it was first filled
    is_refreshed: bool = False  # siphoned nearly dry every third time and filled anew
    ec_every_days: int | None = None
    ec_days_ago: int = 0  # the last reading, where there are any
    ph_every_days: int | None = None
    plain_days_ago: int | None = (
        None  # the last of the weekly evenings with plain water, where that is the habit
    )


def _tank(key: int, name: str, size: tuple[float, float, float], pot: PotFacts, pots: int,
          lamp: LampFacts, dimmer: float, plan: SprayPlan, **more: object) -> TankFacts:  # fmt: skip
    """A tank with what most of them share."""
    shared = TankFacts(
        key=key, name=name, place=key, length_mm=size[0], width_mm=size[1], height_mm=size[2],
        pot=pot, pots=pots, clay_fill_frac=0.66, clay_porosity_frac=0.44, margin_mm=6.0, low_line_mm=None,
        keep_outs=(), plan=plan, lamp=lamp, lamp_dimmer_frac=dimmer, lamp_hours=11.0,
        stray_ppfd_umol_m2_s=0.0, stray_hours=0.0, lid_ach_per_h=None, inside_temp_c=None,
        inside_rh_frac=None, set_up_on=date.min,
    )  # fmt: skip
    return replace(shared, **more)  # type: ignore[arg-type]


NORTH = _tank(1, "North", (1200, 450, 450), SMALL, 119, LONG_BAR, 1.0, SprayPlan(1, 0.16))
SOUTH = _tank(
    2, "South", (900, 450, 400), SMALL, 90, LONG_BAR, 0.8, SprayPlan(1, 0.13),
    inside_temp_c=25.0, inside_rh_frac=0.95,
)  # fmt: skip
WINDOW = _tank(
    3, "Window", (800, 350, 420), DEEP, 48, SHORT_BAR, 0.9, SprayPlan(1, 0.11, 2, 0.08), lamp_hours=10.0,
    stray_ppfd_umol_m2_s=25.0, stray_hours=7.0, clay_fill_frac=0.62,
)  # fmt: skip
SHELF = _tank(
    4, "Shelf", (600, 300, 360), FINE, 60, PANEL, 0.6, SprayPlan(1, 0.09), lamp_hours=12.0,
    clay_fill_frac=0.68, keep_outs=(KeepOut(560.0, 0.0, 40.0, 60.0, "siphon corner"),),
)  # fmt: skip
NOOK = _tank(
    5, "Nook", (600, 400, 500), LARGE, 26, SHORT_BAR, 0.7, SprayPlan(1, 0.12), clay_fill_frac=0.6,
    low_line_mm=22.0,
)  # fmt: skip

_WEEKLY = Habit("weekly", parallax_mm=0.3, double_tap_frac=0.006, unnoted_frac=0.0)
_FINE_RULER = replace(_WEEKLY, parallax_mm=-0.2, ruler_step_mm=0.5)
_OFTEN = replace(_WEEKLY, read_every_days=5, read_frac=0.7)
_SELDOM = replace(_WEEKLY, read_every_days=10)
_RARELY = replace(_WEEKLY, read_every_days=40, read_frac=1.0, unnoted_frac=0.1)
PLACES: tuple[Place, ...] = (
    Place(NORTH, Nature(0.8, 0.45, 0.2, 1.03, 3.0, 2.5), _WEEKLY, 424, False, 30, 18, 60),
    Place(SOUTH, Nature(1.0, 0.43, 0.24, 0.97, 2.5, 2.0), _FINE_RULER, 420, False, 45, 40),
    Place(WINDOW, Nature(1.8, 0.46, 0.24, 1.05, 3.5, 2.0), _SELDOM, 400, True, 35, 27, 35),
    Place(SHELF, Nature(0.8, 0.42, 0.28, 0.95, 2.5, 1.5), _OFTEN, 390, plain_days_ago=7),
    Place(NOOK, Nature(5.0, 0.44, 0.26, 1.0, 2.5, 1.5), _RARELY, 250, False, 21, 6),
)


HOSE_SPLIT_DAYS_AGO = 7  # no siphon since
# Written down now and then: days before today, tank, words.
NOTES: tuple[tuple[int, str, str], ...] = (
    (412, "North", "Clay rinsed twice before potting, water still a little brown."),
    (301, "Window", "Sun reaches the left end until noon."),
    (192, "North", "Back from a week away. A neighbour sprayed once, did not write it down."),
    (150, "North", "N-1 sold, spots wiped, clay washed."),
    (96, "Shelf", "New nozzle, coarser drops."),
    (HOSE_SPLIT_DAYS_AGO, "North", "Siphon hose split. A new one comes in a week or so."),
    (21, "South", "Red-stalked ones stand still since the heating went on."),
)
# Seen and still to be watched: days before today, tank, what, how much, words.
SIGHTINGS: tuple[tuple[int, str, str, float, str], ...] = (
    (9, "Window", "algae", 2.0, "Green film on the clay at the left end, where the sun falls."),
)
# The weekly look-over is the grower's habit: how many days before today each tank had its last one.
LOOKED_DAYS_AGO = {"North": 2, "South": 5, "Window": 1, "Shelf": 4, "Nook": 7}
LOOK_EVERY_DAYS = 7
# A reading typed with its digits the wrong way round, and put right: tank, and how many readings ago.
SLIP = ("South", 2)
AWAY_DAYS_AGO = (193, 200)  # the holiday week, last and first day
NEIGHBOUR_DAYS_AGO = 197  # sprayed once, noted by nobody
# Days before today, tank, dimmer, hours a day; what the tanks say now was set last.
LAMP_SETTINGS: tuple[tuple[int, str, float, float], ...] = (
    (424, "North", 1.0, 11.0),
    (420, "South", 0.8, 11.0),
    (400, "Window", 1.0, 10.0),
    (63, "Window", 0.9, 10.0),
    (390, "Shelf", 0.6, 12.0),
    (250, "Nook", 0.7, 11.0),
)


def is_away(day: int) -> bool:
    """Whether a day of the book, counted from 0, falls in the holiday week."""
    last, first = AWAY_DAYS_AGO
    return last <= BOOK_DAYS - day <= first


def tank_facts(place: Place, today: date) -> TankFacts:
    """The tank as it stands in the book of a given day."""
    return replace(place.facts, set_up_on=today - timedelta(days=place.days_ago))


def daily_light(tank: TankFacts) -> float:
    """Light at the pots in a day. [mol/m2/d]"""
    lamp = tank.lamp
    ppfd = 0.0
    if lamp is not None:
        ppfd = lamp.ppfd_umol_m2_s or (lamp.lux or 0.0) / (lamp.lux_per_umol or 68.0)
    own = ppfd * tank.lamp_dimmer_frac * tank.lamp_hours
    return (own + tank.stray_ppfd_umol_m2_s * tank.stray_hours) * 0.0036
