"""What the crowd of test_crowd does: each writer notes sprays, one after the other."""

from datetime import UTC, datetime, timedelta
from uuid import UUID, uuid5

from tests.concurrency.crowd import Notes

NOW = datetime(2026, 11, 20, 20, 0, tzinfo=UTC)


def note(writer: int, notes: Notes, *, tank: int, rounds: int) -> None:
    """Note `rounds` sprays under ids of this writer's own."""
    from halfwater.book import changes
    from halfwater.plain.entry import NewEntry

    for step in range(rounds):
        uuid = uuid5(UUID(int=writer), str(step))
        notes.asked(uuid.hex)
        at = NOW - timedelta(minutes=100 * step + writer)  # one spray noted twice would be kept once
        new = NewEntry(uuid, "spray", at, tank, 0.15, word="night")
        changes.note_entries([new], f"writer {writer}", NOW)
        notes.acknowledged(uuid.hex)


def stumble(writer: int, notes: Notes) -> None:
    """Writer 1 stumbles."""
    notes.asked(str(writer))
    if writer == 1:
        raise LookupError("over a stone")
    notes.acknowledged(str(writer))
