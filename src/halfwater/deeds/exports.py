"""The whole book as files that an import reads."""

import csv
import shutil
from collections.abc import Iterable, Sequence
from contextlib import suppress
from dataclasses import asdict
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

from django.conf import settings

from halfwater.book import queries
from halfwater.deeds import columns
from halfwater.deeds.chemistry_columns import TARGETS, WATERS
from halfwater.deeds.columns import Sheet
from halfwater.deeds.packing_columns import MONEY, PACKING
from halfwater.deeds.packing_files import packing_rows
from halfwater.deeds.sales_columns import SALES
from halfwater.errors import RefusedByBook, RefusedInput
from halfwater.plain.entry import KIND_UNITS, EntryFact
from halfwater.plain.figures import show_money
from halfwater.plain.stock import Stay

_ENTRY_UNITS = {"l": "L", "mm": "mm", "ms_cm": "mS/cm", "c": "C", "min": "min", "umol_m2_s": "umol/m2/s"}
_Rows = Iterable[dict[str, Any]]


def export_files(folder: Path) -> tuple[Path, ...]:
    """Write the book into a folder, one file a noun, and give the files; nothing there is written over."""
    rows = _sheets()
    entries = queries.entries(include_void=True, newest_first=False)
    names = [f"{sheet.name}.csv" for sheet, _ in rows] + ["entries.csv"]
    in_the_way = [name for name in names if (folder / name).exists()]
    if in_the_way:
        raise RefusedByBook(f"{folder} holds {in_the_way[0]} already: choose an empty folder.", in_the_way[0])
    files = tuple(folder / name for name in names)
    try:
        folder.mkdir(parents=True, exist_ok=True)
        for sheet, some in rows:
            _write(folder, sheet, (_shown(sheet, row) for row in some))
        _write(folder, columns.ENTRIES, _entries(entries))
        _copy_photos(folder / "photos", entries)
    except OSError as error:
        for file in files:
            with suppress(OSError):
                file.unlink()
        raise RefusedInput(
            "folder", str(folder), f"a folder that can be written ({error.strerror})"
        ) from error
    return files


def _sheets() -> tuple[tuple[Sheet, _Rows], ...]:
    """Every sheet but the entries, with its rows."""
    currency = queries.nursery().currency
    return (
        (columns.NURSERY, (asdict(queries.nursery()),)),
        (columns.POTS, (asdict(pot) for pot in queries.pots())),
        (columns.LAMPS, (asdict(lamp) for lamp in queries.lamps())),
        (columns.FEEDS, _feeds(currency)),
        (WATERS, (asdict(kept.water) | {"is_ours": kept.is_ours} for kept in queries.waters())),
        (TARGETS, _targets()),
        (columns.MIXES, _mixes()),
        (columns.TAXA, _taxa()),
        (columns.TANKS, _tanks()),
        (columns.BATCHES, _batches()),
        (columns.SPOTS, _spots()),
        (columns.STANDING, _standing()),
        (columns.PRICES, _prices(currency)),
        (columns.HABIT, _habit(currency)),
        (columns.FORECASTS, _forecasts()),
        *((sheet, _sales(sheet.name, currency)) for sheet in SALES),
        *((sheet, packing_rows(sheet.name, currency)) for sheet in (*PACKING, *MONEY)),
    )


def _write(folder: Path, sheet: Sheet, rows: Iterable[dict[str, str]]) -> None:
    with (folder / f"{sheet.name}.csv").open("w", encoding="utf-8", newline="") as file:
        writer = csv.DictWriter(file, [column.name for column in sheet.columns], restval="")
        writer.writeheader()
        writer.writerows(rows)


def _shown(sheet: Sheet, row: dict[str, Any]) -> dict[str, str]:
    shown = {}
    for column in sheet.columns:
        value = row.get(column.field)
        if value not in (None, "", (), {}):
            shown[column.name] = column.kind.show(value)
    return shown


def _feeds(currency: str) -> _Rows:
    for feed in queries.feeds():
        price = None if feed.pack_minor is None else show_money(feed.pack_minor, currency)
        yield asdict(feed) | {"pack_minor": price}


def _targets() -> _Rows:
    for kept in queries.own_targets():
        target = kept.target
        row = {"name": target.name, "ec_ms_cm": target.ec_ms_cm, "note": target.note}
        yield row | {"wanted": target.wanted}


def _mixes() -> _Rows:
    for mix in queries.mixes():
        head = {"name": mix.name, "use": mix.use, "ec_above_source_ms_cm": mix.ec_above_source_ms_cm}
        if not mix.parts:
            yield head
        for part in mix.parts:
            yield head | {
                "feed": part.feed.name,
                "dose": {"dose_ml_l": part.dose_ml_l, "dose_g_l": part.dose_g_l, "typed": part.typed},
            }


def _taxa() -> _Rows:
    for taxon in queries.taxa():
        head = {"name": taxon.name, "group": taxon.group, "care": taxon.care}
        if not taxon.priors:
            yield head
        for prior in taxon.priors:
            yield head | asdict(prior)


def _tanks() -> _Rows:
    mixes = {mix.key: mix.name for mix in queries.mixes()}
    for tank in queries.tanks(in_use=None):
        plan = tank.plan
        row = {name: getattr(tank, name) for name in type(tank).__slots__}
        yield row | {
            "pot": tank.pot.name if tank.pot else None,
            "lamp": tank.lamp.name if tank.lamp else None,
            "night_mix": mixes.get(plan.night_mix),
            "night_volume_l": plan.night_volume_l,
            "morning_mix": mixes.get(plan.morning_mix),
            "morning_volume_l": plan.morning_volume_l,
        }


def _batches() -> _Rows:
    for batch in queries.batches():
        yield {
            "name": batch.name,
            "taxon": batch.taxon_name,
            "potted_on": batch.potted_on,
            "parent_note": batch.parent_note,
            "lineage": tuple((parent.batch_name, parent.number) for parent in batch.parents),
            "blade": batch.blade,
        }


def _spots() -> _Rows:
    for tank in queries.tanks(in_use=None):
        for spot in queries.spots(tank.key):
            yield {"tank": tank.name, "name": spot.name}


def _standing() -> _Rows:
    names = {tank.key: tank.name for tank in queries.tanks(in_use=None)}
    first: dict[int, Stay] = {}
    for stay in queries.stays():
        first.setdefault(stay.pot, stay)
    for pot in queries.standing_pots(gone=True):
        row = {name: getattr(pot, name) for name in type(pot).__slots__}
        place = first.get(pot.key)
        yield row | {
            "batch": pot.batch_name,
            "taxon": pot.taxon_name,
            "tank": pot.tank_name,
            "first_tank": names[place.tank] if place else "",
            "first_spot": place.spot if place else "",
        }


def _prices(currency: str) -> _Rows:
    taxa = {taxon.key: taxon.name for taxon in queries.taxa()}
    for price in queries.prices():
        yield {
            "taxon": taxa[price.taxon],
            "grade": price.grade,
            "price_minor": show_money(price.price_minor, currency),
            "most_per_release": price.most_per_release,
        }


def _habit(currency: str) -> _Rows:
    habit = queries.cutting_habit()
    hour = None if habit.hour_minor is None else show_money(habit.hour_minor, currency)
    yield asdict(habit) | {"hour_minor": hour}


def _forecasts() -> _Rows:
    taxa = {taxon.key: taxon.name for taxon in queries.taxa()}
    batches = {batch.key: batch.name for batch in queries.batches()}
    pots = {pot.key: pot for pot in queries.standing_pots(gone=True)}
    for kept in queries.forecasts():
        pot = pots.get(kept.pot or 0)
        batch = kept.batch if pot is None else pot.batch
        yield asdict(kept) | {
            "taxon": taxa.get(kept.taxon or 0),
            "batch": batches.get(batch or 0),
            "number": pot.number if pot else None,
        }


def _sales(table: str, currency: str) -> _Rows:
    for row in queries.sales_rows(table):
        money = {name: show_money(row[name], currency) for name in row if name.endswith("_minor")}
        yield row | {name: shown for name, shown in money.items() if row[name] is not None}


def _entries(entries: Sequence[EntryFact]) -> Iterable[dict[str, str]]:
    zone = ZoneInfo(queries.nursery().time_zone)
    batches = {batch.key: batch.name for batch in queries.batches()}
    pots = {pot.key: pot for pot in queries.standing_pots(gone=True)}
    for entry in entries:
        pot = pots.get(entry.pot or 0)
        batch = pot.batch_name if pot else batches.get(entry.batch or 0, "")
        unit = _ENTRY_UNITS.get(KIND_UNITS[entry.kind], "")
        yield {
            "at": entry.at.astimezone(zone).isoformat(),
            "tank": entry.tank_name,
            "kind": entry.kind,
            "value": "to low line" if entry.to_line else _number(entry),
            "unit": unit if entry.value is not None and not entry.to_line else "",
            "note": entry.text,
            "second": "" if entry.second is None else repr(entry.second),
            "third": "" if entry.third is None else repr(entry.third),
            "word": entry.word,
            "mix": entry.mix_name,
            "batch": batch,
            "number": str(pot.number) if pot else "",
            "spot": entry.spot,
            "photo": entry.photo,
            "who": entry.who,
            "uuid": str(entry.uuid),
            "corrects": str(entry.corrects or ""),
            "void": entry.void_reason,
        }


def _number(entry: EntryFact) -> str:
    if entry.value is None:
        return ""
    return str(int(entry.value)) if entry.kind in ("leaves", "loss", "cut", "sighting") else repr(entry.value)


def _copy_photos(folder: Path, entries: Sequence[EntryFact]) -> None:
    names = {entry.photo for entry in entries} | {row["photo"] for row in queries.sales_rows("lines")}
    names |= {row["photo"] for row in packing_rows("arrivals", "EUR")}
    kept = Path(settings.PHOTO_FOLDER)
    for name in sorted(names - {""}):
        if (kept / name).is_file():
            (folder / name).parent.mkdir(parents=True, exist_ok=True)
            shutil.copyfile(kept / name, folder / name)
