"""The set-up of the house: the only reader of the environment.

`boot()` makes Django ready once a process; `open_book()` also brings the
book's tables up to date, after a backup. Call one of them before importing
`halfwater.deeds` or `halfwater.book`.
"""

import os

from halfwater.config import paths
from halfwater.config.environment import home

__all__ = ["boot", "open_book", "open_demo"]

_booted = False


def boot(host: str = "") -> None:
    """Make Django ready, once; nothing is made on disk.

    `host` names, with commas, where beyond this machine the pages are reached, unless HALFWATER_HOST says it.
    """
    global _booted
    if _booted:
        return
    if host:
        os.environ.setdefault("HALFWATER_HOST", host)
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "halfwater.config.settings")
    import django  # slow library at a door

    django.setup()
    _booted = True


def open_book(host: str = "") -> None:
    """Make Django ready and the book's tables those of this version, after a backup of what was there."""
    boot(host)
    paths.make_home()
    from halfwater.book import backup  # needs Django to be ready

    backup.bring_up_to_date()


def open_demo() -> str:
    """Open the demo's book and give its folder: HALFWATER_HOME where set, or one beside the grower's own."""
    if not _booted:
        os.environ.setdefault("HALFWATER_HOME", str(home() / "demo"))
    open_book()
    return str(home())
