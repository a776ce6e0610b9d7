"""Where things are kept: everything in one folder that can be copied as a whole."""

from pathlib import Path

from halfwater.config.environment import home


def photos() -> Path:
    """The folder of the photos, named by what is in them."""
    return home() / "photos"


def backups() -> Path:
    """The folder of the backups taken before each change of the tables."""
    return home() / "backups"


def secret_file() -> Path:
    """The file of the key that signs sessions."""
    return home() / "secret-key"
