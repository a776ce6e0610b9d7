"""Photos: looked into, turned upright, made smaller, written anew without anything hidden in them."""

import hashlib
import os
from io import BytesIO
from pathlib import Path

from django.conf import settings

from halfwater.errors import RefusedInput

MOST_BYTES = 15_000_000
MOST_PIXELS = 60_000_000
LONGEST_SIDE_PX = 2000
_ACCEPTED = "a JPEG, PNG or WebP picture of at most 15 MB and 60 million points"


def keep_photo(data: bytes) -> str:
    """Keep a photo and give its name in the photo folder; the same photo twice is kept once.

    Raises
    ------
    RefusedInput
        If the data is not a picture of an accepted kind and size.
    """
    if not data or len(data) > MOST_BYTES:
        raise RefusedInput("photo", f"{len(data)} bytes", _ACCEPTED)
    plain = _written_anew(data)
    digest = hashlib.sha256(plain).hexdigest()
    name = f"{digest[:2]}/{digest}.jpg"
    file = Path(settings.PHOTO_FOLDER) / name
    if not file.exists():
        file.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        fresh = file.with_suffix(f".{os.getpid()}")
        fresh.write_bytes(plain)
        fresh.replace(file)
    return name


def _written_anew(data: bytes) -> bytes:
    from PIL import Image, ImageOps, UnidentifiedImageError  # slow library at a door

    try:
        with Image.open(BytesIO(data), formats=("JPEG", "PNG", "WEBP")) as picture:
            if picture.width * picture.height > MOST_PIXELS:
                raise RefusedInput("photo", f"{picture.width} x {picture.height} points", _ACCEPTED)
            upright = ImageOps.exif_transpose(picture).convert("RGB")
    except (UnidentifiedImageError, OSError, SyntaxError, ValueError, Image.DecompressionBombError) as error:
        raise RefusedInput("photo", "this file", _ACCEPTED) from error
    upright.thumbnail((LONGEST_SIDE_PX, LONGEST_SIDE_PX))
    bare = Image.new("RGB", upright.size)
    bare.paste(upright)
    out = BytesIO()
    bare.save(out, "JPEG", quality=85)
    return out.getvalue()
