"""Where things are kept: everything in one folder that can be copied as a whole."""

from pathlib import Path

from halfwater.config.environment import home
from halfwater.errors import RefusedByBook


def make_home() -> None:
    """Make the folder of the book where there is none."""
    folder = home()
    try:
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    except OSError as error:
        raise RefusedByBook(
            f"The folder of the book, {folder}, cannot be made ({error.strerror}): "
            "HALFWATER_HOME names another one.",
            str(error),
        ) from error


def book_file() -> Path:
    """The file of the book, where it is kept in one."""
    return home() / "book.sqlite3"


def photos() -> Path:
    """The folder of the photos, named by what is in them."""
    return home() / "photos"


def backups() -> Path:
    """The folder of the backups taken before each change of the tables."""
    return home() / "backups"


def secret_file() -> Path:
    """The file of the key that signs sessions."""
    return home() / "secret-key"
