"""Backups of the book, and bringing its tables up to date after one."""

import sqlite3
from datetime import UTC, datetime
from importlib import resources
from pathlib import Path

from django.apps import apps
from django.conf import settings
from django.core.management import call_command
from django.db import connection
from django.db.migrations.recorder import MigrationRecorder

from halfwater.book.changes.taxa import load_starting_taxa
from halfwater.errors import RefusedByBook


def bring_up_to_date() -> None:
    """Make the tables those of this version; what was there before is backed up first."""
    applied = set(MigrationRecorder(connection).applied_migrations())
    shipped = _shipped()
    ahead = {name for app, name in applied - shipped if app == "book"}
    if ahead:
        raise RefusedByBook(
            "This book was last opened by a newer halfwater: install that, or restore an earlier backup.",
            ", ".join(sorted(ahead)),
        )
    if shipped <= applied:
        return
    if applied:
        take_backup()
    call_command("migrate", interactive=False, verbosity=0)
    load_starting_taxa()


def take_backup(folder: Path | None = None, now: datetime | None = None) -> Path | None:
    """Copy the book whole into a file of its own, even while it is written to, and give the file.

    None when the book is not in a file (PostgreSQL has its own tools for this).
    """
    if connection.vendor != "sqlite":
        return None
    folder = folder or Path(settings.BACKUP_FOLDER)
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    stamp = (now or datetime.now(UTC)).strftime("%Y-%m-%d-%H%M%S-%f")
    file = folder / f"book-{stamp}.sqlite3"
    connection.ensure_connection()
    copy = sqlite3.connect(file)
    try:
        connection.connection.backup(copy)
        copy.execute("PRAGMA journal_mode=DELETE")
    finally:
        copy.close()
    file.chmod(0o600)
    return file


def _shipped() -> set[tuple[str, str]]:
    """The migrations this version ships, by app and name, without loading them."""
    found = set()
    for app in apps.get_app_configs():
        folder = resources.files(app.module) / "migrations"
        if folder.is_dir():
            names = (item.name for item in folder.iterdir())
            found |= {(app.label, name[:-3]) for name in names if name.endswith(".py") and name[0].isdigit()}
    return found
