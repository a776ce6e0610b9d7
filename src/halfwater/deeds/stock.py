"""Stock: batches, and pots placed on spots."""

import re
from collections.abc import Mapping
from datetime import datetime

from django.db import transaction

from halfwater.book import changes, queries
from halfwater.deeds.clock import local_day, read_day
from halfwater.deeds.sheet import Sheet
from halfwater.errors import RefusedInput
from halfwater.plain.stock import POT_STATES

SPOTS_ACCEPTED = "spots such as A1-A9, B3, or a whole row such as C"


@transaction.atomic
def save_batch_sheet(typed: Mapping[str, str], who: str, now: datetime, key: int | None = None) -> int:
    """Write a batch; a taxon not in the list may be named and is added."""
    nursery = queries.nursery()
    sheet = Sheet(typed, nursery.units)
    name = sheet.needed("name", str, "", "a name such as Nana, June")
    today = local_day(now, nursery)
    potted_on = sheet.read("potted_on", lambda text: read_day(text, "potted_on"), today)
    if potted_on > today:
        sheet.refuse("potted_on", "a day up to today")
    taxon, new_taxon = sheet.key("taxon"), sheet.text("new_taxon")
    if taxon is None and not new_taxon:
        sheet.refuse("taxon", "one from the list, or a new name beside it")
    sheet.finish()
    if new_taxon:
        known = {one.name.casefold(): one.key for one in queries.taxa()}
        group = next((one.group for one in queries.taxa() if one.key == taxon), "")
        with sheet.writing(name="new_taxon"):
            taxon = known.get(new_taxon.casefold()) or changes.save_taxon(
                who=who, name=new_taxon, group=group
            )
    with sheet.writing():
        return changes.save_batch(
            key, who=who, name=name, taxon=taxon, potted_on=potted_on, parent_note=sheet.text("parent_note")
        )


@transaction.atomic
def place_pots_sheet(typed: Mapping[str, str], who: str) -> int:
    """Say what stands on some spots of one tank, and give how many spots that were."""
    sheet = Sheet(typed, queries.nursery().units)
    tank = queries.tank_named(sheet.text("tank"))
    names = [spot.name for spot in queries.spots(tank.key)]
    spots = sheet.needed("spots", lambda text: read_spots(text, names), (), SPOTS_ACCEPTED)
    batch = sheet.key("batch")
    state = sheet.choice("state", ("empty", *POT_STATES), "settling")
    leaves = sheet.quantity("leaves", "count")
    if batch is None and state != "empty":
        sheet.refuse("batch", "a batch from the list, or the state empty")
    sheet.finish()
    with sheet.writing():
        for spot in spots:
            changes.set_pot(
                tank.key,
                spot,
                None if state == "empty" else batch,
                "" if state == "empty" else state,
                None if leaves is None else int(leaves),
                who=who,
            )
    return len(spots)


def read_spots(text: str, known: list[str]) -> tuple[str, ...]:
    """Spots as typed: single ones, ranges along a row, whole rows."""
    found: list[str] = []
    for part in filter(None, re.split(r"[,;\s]+", re.sub(r"\s*(?:-|–|\bTO\b|\.\.)\s*", "-", text.upper()))):
        found += _one_part(part, known)
    return tuple(dict.fromkeys(found))


def _one_part(part: str, known: list[str]) -> list[str]:
    first, _, last = part.partition("-")
    if part.isalpha():
        row = [name for name in known if name.rstrip("0123456789") == part]
        if row:
            return row
    elif last and first in known:
        last = first.rstrip("0123456789") + last if last.isdigit() else last
        if last in known and known.index(first) <= known.index(last):
            return known[known.index(first) : known.index(last) + 1]
    elif part in known:
        return [part]
    ends = f"; this floor has {known[0]} to {known[-1]}" if known else "; this floor has no spots yet"
    raise RefusedInput("spots", part, SPOTS_ACCEPTED + ends)
