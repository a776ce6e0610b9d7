"""Import files for tests: written, brought in, and the book held against another."""

import csv
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import asdict, replace
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from django.db import transaction

from halfwater.book import queries
from halfwater.deeds.imports import Imported, import_files

NOW = datetime(2026, 11, 20, 21, 0, tzinfo=UTC)
WHO = "tester"
TANKS = "name,length,width,height,pot,pots,clay_fill"
ENTRIES = "at,tank,kind,value,unit,note"
Row = dict[str, str]


def write(folder: Path, name: str, rows: Sequence[Row], delimiter: str = ",") -> Path:
    """A CSV file with these rows."""
    file = folder / name
    header = list(dict.fromkeys(column for row in rows for column in row))
    with file.open("w", encoding="utf-8", newline="") as text:
        writer = csv.DictWriter(text, header, restval="", delimiter=delimiter)
        writer.writeheader()
        writer.writerows(rows)
    return file


def text_file(folder: Path, name: str, *lines: str) -> Path:
    """A CSV file with these lines."""
    file = folder / name
    file.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return file


def bring_in(*files: Path, check: bool = False) -> Imported:
    """Import files in the name of the tester."""
    return import_files(files, check, WHO, NOW)


@contextmanager
def scratch() -> Iterator[None]:
    """A book of its own for one example of a property: whatever is written is taken back."""
    with transaction.atomic():
        yield
        transaction.set_rollback(True)


def the_whole_book() -> dict[str, Any]:
    """Everything in the book, with names where the book has keys, so that two books can be compared."""
    tanks = queries.tanks(in_use=None)
    mixes = {mix.key: mix.name for mix in queries.mixes()}
    batches = {batch.key: batch.name for batch in queries.batches()}
    entries = queries.entries(include_void=True, newest_first=False)
    pots = queries.standing_pots(gone=True)
    names = {pot.key: pot.name for pot in pots}
    taxa = {taxon.key: taxon.name for taxon in queries.taxa()}
    where = {tank.key: tank.name for tank in tanks}
    return {
        "nursery": queries.nursery(),
        "feeds": [replace(feed, key=0) for feed in queries.feeds()],
        "mixes": [_without_keys(asdict(mix)) for mix in queries.mixes()],
        "taxa": [_without_keys(asdict(taxon)) for taxon in queries.taxa()],
        "pots": [replace(pot, key=0) for pot in queries.pots()],
        "lamps": [replace(lamp, key=0) for lamp in queries.lamps()],
        "tanks": [_without_keys(asdict(tank)) | _plan(tank.plan, mixes) for tank in tanks],
        "batches": [_batch(asdict(batch)) for batch in queries.batches()],
        "spots": {
            tank.name: [
                replace(spot, tank=0, pot=None, batch=batches.get(spot.batch or 0))
                for spot in queries.spots(tank.key)
            ]  # type: ignore[arg-type]
            for tank in tanks
        },
        "pots one by one": [_standing(pot, batches) for pot in pots],
        "stays": sorted(
            repr((names[stay.pot], where[stay.tank], stay.spot, stay.from_on, stay.to_on))
            for stay in queries.stays()
        ),
        "counts": sorted((names[count.pot], count.on, count.leaves) for count in queries.leaf_counts()),
        "prices": [asdict(price) | {"taxon": taxa[price.taxon]} for price in queries.prices()],
        "habit": queries.cutting_habit(),
        "forecasts": [_forecast(kept, taxa, batches, names) for kept in queries.forecasts()],
        "gone": queries.gone_pots(),
        "sales": _sales(),
        "entries": sorted(_entry(asdict(entry), batches, names) for entry in entries),
    }


def _sales() -> dict[str, list[Any]]:
    """The book of sales; buyers and order lines by their place, for their numbers are new."""
    tables = {table: list(queries.sales_rows(table)) for table in queries.SALES_TABLES}
    for name, table in (("buyer", "buyers"), ("order_line", "order_lines")):
        place = {row[name]: number for number, row in enumerate(tables[table])}
        for row in (one for rows in tables.values() for one in rows):
            for column in (name, "substitutes") if name == "order_line" else (name,):
                if row.get(column) is not None:
                    row[column] = place[row[column]]
    return {table: sorted(rows, key=repr) for table, rows in tables.items()}


def _without_keys(value: Any) -> Any:
    if isinstance(value, dict):
        return {name: _without_keys(one) for name, one in value.items() if name not in ("key", "plan")}
    return [_without_keys(one) for one in value] if isinstance(value, list | tuple) else value


def _plan(plan: Any, mixes: dict[int, str]) -> dict[str, Any]:
    return asdict(plan) | {name: mixes.get(getattr(plan, name)) for name in ("night_mix", "morning_mix")}


def _batch(batch: dict[str, Any]) -> Any:
    """A batch with its parents by name."""
    parents = sorted((one["batch_name"], one["number"] or 0) for one in batch["parents"])
    return _without_keys(batch | {"taxon": 0, "parents": parents})


def _standing(pot: Any, batches: dict[int, str]) -> Any:
    return replace(pot, key=0, taxon=0, tank=None, batch=0) if pot.batch in batches else pot


def _forecast(kept: Any, taxa: dict[int, str], batches: dict[int, str], pots: dict[int, str]) -> Any:
    """A kept forecast, what it is about by name; one of a pot is of its batch too."""
    about = (taxa.get(kept.taxon), pots.get(kept.pot) or batches.get(kept.batch))
    return replace(kept, key=0, taxon=None, batch=None, pot=None), about


def _entry(entry: dict[str, Any], batches: dict[int, str], pots: dict[int, str]) -> str:
    """An entry without what is rightly new on import: keys, when it came in, and how it was typed."""
    new = ("tank", "mix", "noted_at", "voided_at", "voided_by", "typed")
    kept = {name: value for name, value in entry.items() if name not in new}
    return repr(kept | {"batch": batches.get(entry["batch"]), "pot": pots.get(entry["pot"])})
