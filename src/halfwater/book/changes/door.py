"""The door of a change: one transaction, tried again where two writers crossed."""

import time
from collections.abc import Callable
from functools import wraps
from typing import ParamSpec, TypeVar

from django.db import IntegrityError, OperationalError, connection, transaction

from halfwater.errors import RefusedByBook

TRIES = 6
_PAUSE_S = 0.01  # doubled after each try
# PostgreSQL: could not serialise, deadlock found, and a key that another writer wrote meanwhile.
_CROSSED = ("40001", "40P01", "23505")
_NO_LOCK = "55P03"
_SQLITE_BUSY = 5

_P = ParamSpec("_P")
_T = TypeVar("_T")


def one_write(change: Callable[_P, _T]) -> Callable[_P, _T]:
    """Run a change as one transaction; inside a wider one it is part of that.

    Where the database lets several writers in at once, two may cross: then the one that was turned
    away begins anew and finds what the other wrote. Where it lets in one at a time, the others wait,
    and whoever waited in vain is refused with a sentence; nothing of the change is written.
    """

    @wraps(change)
    def at_the_door(*args: _P.args, **kwargs: _P.kwargs) -> _T:
        tries = 1 if connection.in_atomic_block else TRIES
        for left in range(tries - 1, -1, -1):
            try:
                with transaction.atomic():
                    return change(*args, **kwargs)
            except (OperationalError, IntegrityError) as error:
                if _is_busy(error):
                    raise _busy(error) from error
                if connection.in_atomic_block or not left or not _is_crossed(error):
                    raise
                time.sleep(_PAUSE_S * 2 ** (tries - 1 - left))
        raise AssertionError("the last try returns or raises")

    return at_the_door


def _busy(error: Exception) -> RefusedByBook:
    return RefusedByBook(
        "The book is busy: others were writing to it all the while. Nothing of this was written; try again.",
        str(error),
    )


def _is_crossed(error: Exception) -> bool:
    return getattr(error.__cause__, "sqlstate", None) in _CROSSED


def _is_busy(error: Exception) -> bool:
    code = getattr(error.__cause__, "sqlite_errorcode", None)
    return getattr(error.__cause__, "sqlstate", None) == _NO_LOCK or (
        code is not None and code & 0xFF == _SQLITE_BUSY
    )
