"""Photos of entries: kept, and found again by the name the book gave them."""

from pathlib import Path

from django.conf import settings

from halfwater.book import changes


def keep_photo(data: bytes) -> str:
    """Keep a photo and give its name."""
    return changes.keep_photo(data)


def photo_file(name: str) -> Path | None:
    """The file of a photo; None when there is none of this name inside the photo folder."""
    folder = Path(settings.PHOTO_FOLDER).resolve()
    file = (folder / name).resolve()
    return file if file.is_relative_to(folder) and file.is_file() else None
