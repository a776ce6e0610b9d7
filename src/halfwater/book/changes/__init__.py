"""Writes to the book: each one transaction, each with who did it."""

from halfwater.book.changes.checkpoints import keep_checkpoints
from halfwater.book.changes.collection import bring_collection
from halfwater.book.changes.entries import note_entries, rewrite_entry, void_entry
from halfwater.book.changes.lineage import save_lineage
from halfwater.book.changes.mixes import save_feed, save_mix
from halfwater.book.changes.nursery import save_lamp, save_nursery, save_pot
from halfwater.book.changes.owner import set_owner_password
from halfwater.book.changes.photos import keep_photo
from halfwater.book.changes.plans import (
    keep_forecasts,
    keep_plan,
    save_cutting_habit,
    save_price,
    settle_forecasts,
)
from halfwater.book.changes.pots import (
    count_pot,
    cut_pot,
    lose_pot,
    measure_rhizome,
    move_pot,
    place_pots,
    set_grade,
    set_pot,
    set_state,
)
from halfwater.book.changes.stock import remove_batch, save_batch, set_spots
from halfwater.book.changes.tables import import_tables
from halfwater.book.changes.tanks import save_tank
from halfwater.book.changes.taxa import load_starting_taxa, save_taxon

__all__ = [
    "bring_collection",
    "count_pot",
    "cut_pot",
    "import_tables",
    "keep_checkpoints",
    "keep_forecasts",
    "keep_photo",
    "keep_plan",
    "load_starting_taxa",
    "lose_pot",
    "measure_rhizome",
    "move_pot",
    "note_entries",
    "place_pots",
    "remove_batch",
    "rewrite_entry",
    "save_batch",
    "save_cutting_habit",
    "save_feed",
    "save_lamp",
    "save_lineage",
    "save_mix",
    "save_nursery",
    "save_pot",
    "save_price",
    "save_tank",
    "save_taxon",
    "set_grade",
    "set_owner_password",
    "set_pot",
    "set_spots",
    "set_state",
    "settle_forecasts",
    "void_entry",
]
