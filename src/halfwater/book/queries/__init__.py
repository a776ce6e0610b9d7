"""Reads of the book: plain frozen data out, few and indexed queries."""

from halfwater.book.queries.entries import entries, entry, entry_days, last_entries, sightings
from halfwater.book.queries.lineage import lineage, parents
from halfwater.book.queries.mixes import feeds, mixes
from halfwater.book.queries.nursery import OWNER, has_owner, lamps, nursery, pots
from halfwater.book.queries.past import history
from halfwater.book.queries.plans import cutting_habit, forecasts, newest_plan, prices
from halfwater.book.queries.standing import leaf_counts, standing_pot, standing_pots, stays
from halfwater.book.queries.stock import batches, counts_by_state, gone_pots, spots, taxa
from halfwater.book.queries.tanks import tank_named, tanks
from halfwater.book.queries.water import checkpoints, has_water_before, water_rows

__all__ = [
    "OWNER",
    "batches",
    "checkpoints",
    "counts_by_state",
    "cutting_habit",
    "entries",
    "entry",
    "entry_days",
    "feeds",
    "forecasts",
    "gone_pots",
    "has_owner",
    "has_water_before",
    "history",
    "lamps",
    "last_entries",
    "leaf_counts",
    "lineage",
    "mixes",
    "newest_plan",
    "nursery",
    "parents",
    "pots",
    "prices",
    "sightings",
    "spots",
    "standing_pot",
    "standing_pots",
    "stays",
    "tank_named",
    "tanks",
    "taxa",
    "water_rows",
]
