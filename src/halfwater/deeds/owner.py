"""The owner's password, asked of everyone once the book is served beyond this machine.

Only its salted hash is kept, in a file of the book's folder that its owner alone can read.
"""

import os
from hashlib import sha256
from pathlib import Path

from django.conf import settings
from django.contrib.auth.hashers import check_password, make_password
from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError

from halfwater.errors import RefusedInput

FILE_NAME = "owner-password"


def is_password_set() -> bool:
    """Has an owner's password been set?"""
    return bool(_kept_hash())


def set_password(password: str) -> None:
    """Keep a new owner's password; every session opened with the old one ends."""
    try:
        validate_password(password)
    except ValidationError as refused:
        why = " ".join(refused.messages)
        raise RefusedInput("password", "…", f"a longer or rarer one ({why.rstrip('.')})") from None
    file = _file()
    fresh = file.with_name(f"{file.name}.{os.getpid()}")
    handle = os.open(fresh, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600)
    with os.fdopen(handle, "w", encoding="ascii") as text:
        text.write(make_password(password))
    fresh.replace(file)


def is_right_password(password: str) -> bool:
    """Is this the owner's password? Takes the same time when none is set."""
    kept = _kept_hash()
    return check_password(password, kept or make_password(None)) and bool(kept)


def password_mark() -> str:
    """A mark that changes with the password, to be kept in a session; empty when none is set."""
    kept = _kept_hash()
    return sha256(kept.encode("ascii")).hexdigest() if kept else ""


def _file() -> Path:
    return Path(settings.HOME) / FILE_NAME


def _kept_hash() -> str:
    try:
        return _file().read_text(encoding="ascii").strip()
    except FileNotFoundError:
        return ""
