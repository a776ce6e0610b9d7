"""Buyers: no more kept of them than is needed, given out on request, and erased on request."""

import json
from collections.abc import Mapping
from datetime import datetime

from halfwater.book import changes, queries
from halfwater.deeds.sheet import Sheet
from halfwater.errors import RefusedInput

ERASE_CAUTION = (
    "Erasing takes the name, address and contact out of the book and out of its history. Numbers and money "
    "of their orders stay, for your accounts. Backups and files you exported before are yours to see to. How "
    "long accounts must be kept is told by local rules."
)


def save_buyer_sheet(typed: Mapping[str, str], who: str, now: datetime, key: int | None = None) -> int:
    """Write a buyer as typed."""
    sheet = Sheet(typed, queries.nursery().units)
    fields = {"name": sheet.needed("name", str, "", "a name")}
    fields |= {name: sheet.text(name) for name in ("contact", "address", "place")}
    sheet.finish()
    with sheet.writing():
        return changes.save_buyer(key, who=who, now=now, **fields)


def export_buyer(key: int) -> str:
    """All that the book has of a buyer, as JSON."""
    told = queries.buyer_export(key)
    if told is None:
        raise RefusedInput("buyer", key, "a buyer of the book")
    return json.dumps(told, ensure_ascii=False, indent=2) + "\n"


def erase_buyer(key: int, who: str, now: datetime) -> None:
    """Erase a buyer's personal words; the orders' numbers and money stay."""
    changes.erase_buyer(key, who=who, now=now)
