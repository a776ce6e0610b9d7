"""Reading entries back, and voiding one."""

from collections.abc import Sequence
from datetime import datetime
from uuid import UUID

from halfwater.book import changes, queries
from halfwater.errors import RefusedByBook, RefusedInput
from halfwater.plain.entry import KIND_UNITS, EntryFact

SHORTEST_MARK = 4
MOST_READ = 1_000_000


def read_back(
    tank: str = "",
    kinds: Sequence[str] = (),
    limit: int = 30,
    since: datetime | None = None,
    include_void: bool = False,
) -> tuple[EntryFact, ...]:
    """Entries as they were noted, newest first, of one tank or all."""
    unknown = [kind for kind in kinds if kind not in KIND_UNITS]
    if unknown:
        raise RefusedInput("kind", unknown[0], f"one of {', '.join(KIND_UNITS)}")
    if not 1 <= limit <= MOST_READ:
        raise RefusedInput("limit", limit, f"a number of entries from 1 to {MOST_READ}")
    key = queries.tank_named(tank).key if tank else None
    return queries.entries(tank=key, kinds=kinds or None, since=since, limit=limit, include_void=include_void)


def void(mark: str, reason: str, who: str, now: datetime) -> EntryFact:
    """Void the entry of this id, or of the id that begins so; gives it as it stands after."""
    uuid = entry_id(mark)
    changes.void_entry(uuid, reason, who, now)
    entry = queries.entry(uuid)
    if entry is None:
        raise RefusedByBook("The entry is gone from the book.", str(uuid))
    return entry


def entry_id(mark: str) -> UUID:
    """The id that is meant by its first signs, looked for among the last entries."""
    typed = mark.strip().lower()
    try:
        return UUID(typed)
    except ValueError:
        pass
    accepted = (
        f"the id of an entry, or its first {SHORTEST_MARK} signs or more, as `halfwater entries` shows it"
    )
    if len(typed) < SHORTEST_MARK:
        raise RefusedInput("entry", mark, accepted)
    found = [
        one.uuid for one in queries.entries(limit=2000, include_void=True) if str(one.uuid).startswith(typed)
    ]
    if len(found) != 1:
        several = f"{len(found)} entries begin so: give more signs of the id"
        raise RefusedInput("entry", mark, several if found else accepted)
    return found[0]
