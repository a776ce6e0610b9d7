"""Lines of a release changed: shown with a photo, taken out again."""

from datetime import datetime

from halfwater.book import changes
from halfwater.deeds.photos import keep_photo


def show_line(line: int, photo: bytes, who: str) -> None:
    """Keep a photo of a line's plants; empty takes the photo away."""
    changes.save_line(line, who=who, photo=keep_photo(photo) if photo else "")


def remove_line(line: int, who: str, now: datetime) -> None:
    """Take a line out of its release: one that was never ordered or held."""
    changes.remove_line(line, who=who, now=now)


def remove_release(key: int, who: str) -> None:
    """Take a release without lines out of the book."""
    changes.remove_release(key, who=who)
