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
    return {
        "nursery": queries.nursery(),
        "feeds": [replace(feed, key=0) for feed in queries.feeds()],
        "mixes": [_without_keys(asdict(mix)) for mix in queries.mixes()],
        "taxa": [_without_keys(asdict(taxon)) for taxon in queries.taxa()],
        "pots": [replace(pot, key=0) for pot in queries.pots()],
        "lamps": [replace(lamp, key=0) for lamp in queries.lamps()],
        "tanks": [_without_keys(asdict(tank)) | _plan(tank.plan, mixes) for tank in tanks],
        "batches": [_without_keys(asdict(replace(batch, taxon=0))) for batch in queries.batches()],
        "spots": {
            tank.name: [
                replace(spot, tank=0, pot=None, batch=batches.get(spot.batch or 0))
                for spot in queries.spots(tank.key)
            ]  # type: ignore[arg-type]
            for tank in tanks
        },
        "gone": queries.gone_pots(),
        "entries": sorted(_entry(asdict(entry), batches) for entry in entries),
    }


def _without_keys(value: Any) -> Any:
    if isinstance(value, dict):
        return {name: _without_keys(one) for name, one in value.items() if name not in ("key", "plan")}
    return [_without_keys(one) for one in value] if isinstance(value, list | tuple) else value


def _plan(plan: Any, mixes: dict[int, str]) -> dict[str, Any]:
    return asdict(plan) | {name: mixes.get(getattr(plan, name)) for name in ("night_mix", "morning_mix")}


def _entry(entry: dict[str, Any], batches: dict[int, str]) -> str:
    """An entry without what is rightly new on import: keys, when it came in, and how it was typed."""
    new = ("tank", "mix", "pot", "noted_at", "voided_at", "voided_by", "typed")
    kept = {name: value for name, value in entry.items() if name not in new}
    return repr(kept | {"batch": batches.get(entry["batch"])})
