"""The key that signs sessions: made once, kept in the book's folder for its owner's eyes only."""

import os
import secrets
from pathlib import Path


def secret_key(file: Path) -> str:
    """The key in `file`, made first when there is none; two processes starting at once agree on one."""
    if not file.exists():
        file.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        fresh = file.with_name(f"{file.name}.{os.getpid()}")
        handle = os.open(fresh, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600)
        with os.fdopen(handle, "w", encoding="ascii") as text:
            text.write(secrets.token_urlsafe(64))
        try:
            os.link(fresh, file)
        except FileExistsError:
            pass  # another process was first: its key stands
        finally:
            fresh.unlink()
    return file.read_text(encoding="ascii").strip()
