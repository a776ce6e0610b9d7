"""A small stock for the tests of deeds and commands: two tanks, one taxon, pots on spots."""

from datetime import date, datetime

from halfwater.book import changes, queries
from halfwater.plain.stock import StandingPot
from tests.deeds.nurseries import NOW, WHO, a_nursery, a_tank

SPOTS = ["A1", "A2", "A3", "A4", "B1", "B2", "B3", "B4"]
NANA = "Anubias barteri var. nana"


def a_stock(pots: int = 4, potted_on: date = date(2026, 3, 1), units: str = "metric") -> int:
    """North and South with eight spots each, and a batch Nana, March on the first spots of North."""
    a_nursery(units)
    changes.load_starting_taxa(who=WHO)
    for name in ("North", "South"):
        changes.set_spots(a_tank(name, pots=8), SPOTS)
    return a_batch("Nana, March", pots, potted_on)


def a_batch(name: str, pots: int, potted_on: date, tank: str = "North", taxon: str = NANA) -> int:
    """A batch of growing pots with three first leaves on the first empty spots of a tank."""
    key = next(one.key for one in queries.taxa() if one.name == taxon)
    batch = changes.save_batch(who=WHO, name=name, taxon=key, potted_on=potted_on)
    changes.place_pots(queries.tank_named(tank).key, pots, batch, "growing", who=WHO, first_leaves=3)
    return batch


def pot_on(spot: str, tank: str = "North") -> StandingPot:
    """The pot on a spot."""
    return next(pot for pot in queries.standing_pots(queries.tank_named(tank).key) if pot.spot == spot)


def counted(spot: str, leaves: int, at: datetime = NOW, tank: str = "North") -> None:
    """Count the leaves of the pot on a spot."""
    changes.count_pot(pot_on(spot, tank).key, leaves, who=WHO, at=at, now=max(at, NOW))
