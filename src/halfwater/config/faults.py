"""What the machine says when the book cannot be reached, turned into one sentence."""

import sys

from halfwater.config import paths
from halfwater.errors import RefusedByBook

_TELLING = ("OperationalError", "DatabaseError", "InterfaceError")  # the others are slips of our own


def fault_of(error: Exception) -> RefusedByBook | None:
    """The refusal for an error of the disk or the database; None for any other error."""
    database = sys.modules.get("django.db.utils")
    if database is not None and type(error) in [getattr(database, name) for name in _TELLING]:
        return RefusedByBook(_sentence(str(error)), str(error))
    if isinstance(error, OSError):
        what = f"“{error.filename}” cannot be used" if error.filename else "The answer cannot be written"
        return RefusedByBook(f"{what}: {error.strerror or error}.", str(error))
    return None


def _sentence(said: str) -> str:
    """What to do about what the database said."""
    book = f"The book {paths.book_file()}"
    known = {
        "not a database": f"{book} is damaged: put a copy from {paths.backups()} in its place.",
        "malformed": f"{book} is damaged: put a copy from {paths.backups()} in its place.",
        "readonly": f"{book} cannot be written: its file and its folder must be yours to write.",
        "unable to open": f"{book} cannot be opened: its file and its folder must be yours to write.",
        "full": "The disk is full and nothing was written: make room and try again.",
        "locked": "The book is busy, another program is writing to it: try again in a moment.",
    }
    found = next((sentence for sign, sentence in known.items() if sign in said), "")
    return found or f"The book cannot be reached ({' '.join(said.split()).rstrip('.')})."
