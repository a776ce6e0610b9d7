"""Writes to the book: each one transaction, each with who did it."""

from halfwater.book.changes.checkpoints import keep_checkpoints
from halfwater.book.changes.entries import note_entries, rewrite_entry, void_entry
from halfwater.book.changes.mixes import save_feed, save_mix
from halfwater.book.changes.nursery import save_lamp, save_nursery, save_pot
from halfwater.book.changes.owner import set_owner_password
from halfwater.book.changes.photos import keep_photo
from halfwater.book.changes.stock import move_pot, place_pots, save_batch, set_pot, set_spots
from halfwater.book.changes.tables import import_tables
from halfwater.book.changes.tanks import save_tank
from halfwater.book.changes.taxa import load_starting_taxa, save_taxon

__all__ = [
    "import_tables",
    "keep_checkpoints",
    "keep_photo",
    "load_starting_taxa",
    "move_pot",
    "note_entries",
    "place_pots",
    "rewrite_entry",
    "save_batch",
    "save_feed",
    "save_lamp",
    "save_mix",
    "save_nursery",
    "save_pot",
    "save_tank",
    "save_taxon",
    "set_owner_password",
    "set_pot",
    "set_spots",
    "void_entry",
]
