"""Reads of the book: plain frozen data out, few and indexed queries."""

from halfwater.book.queries.entries import entries, entry, entry_days, last_entries, sightings
from halfwater.book.queries.mixes import feeds, mixes
from halfwater.book.queries.nursery import OWNER, has_owner, lamps, nursery, pots
from halfwater.book.queries.past import history
from halfwater.book.queries.stock import batches, counts_by_state, gone_pots, spots, taxa
from halfwater.book.queries.tanks import tank_named, tanks
from halfwater.book.queries.water import checkpoints, has_water_before, water_rows

__all__ = [
    "OWNER",
    "batches",
    "checkpoints",
    "counts_by_state",
    "entries",
    "entry",
    "entry_days",
    "feeds",
    "gone_pots",
    "has_owner",
    "has_water_before",
    "history",
    "lamps",
    "last_entries",
    "mixes",
    "nursery",
    "pots",
    "sightings",
    "spots",
    "tank_named",
    "tanks",
    "taxa",
    "water_rows",
]
