"""How a table keeps its past: every state it had, with who changed it and when."""

import unicodedata
from typing import Any

from django.db import models
from simple_history.models import HistoricalRecords


def _who_of(historical: Any) -> str:
    return historical.history_user_id


def _note_who(historical: Any, who: str | None) -> None:
    historical.history_user_id = who or ""


def _hand_over_who(instance: Any, **_: Any) -> str:
    return getattr(instance, "changed_by", "")


def kept_past() -> HistoricalRecords:
    """A history in which `who` is the name the grower goes by, set on `instance.changed_by`."""
    return HistoricalRecords(
        history_user_id_field=models.CharField(max_length=80, blank=True, default=""),
        history_user_getter=_who_of,
        history_user_setter=_note_who,
        get_user=_hand_over_who,
    )


def one_name(table: str) -> models.UniqueConstraint:
    """No two rows with the same name, however it is capitalised."""
    return models.UniqueConstraint(models.functions.Lower("name"), name=f"{table}_one_name")


def key_named(model: type[models.Model], name: str) -> int | None:
    """The key of the row with this name, in any capitals of any script; None where no row has it."""
    wanted = _plain(name)
    rows = model._default_manager.order_by("pk").values_list("pk", "name")
    return next((int(key) for key, standing in rows if _plain(standing) == wanted), None)


def _plain(name: str) -> str:
    return unicodedata.normalize("NFC", " ".join(name.split())).casefold()
