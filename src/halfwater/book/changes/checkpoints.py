"""Kept filter states: written by whoever computed them, dropped when what they rest on changes."""

from collections.abc import Iterable, Mapping
from datetime import datetime
from typing import Any

from django.db import transaction
from django.db.models import Q

from halfwater.book.models import Checkpoint


@transaction.atomic
def keep_checkpoints(rows: Iterable[tuple[int, datetime, str, Any]]) -> None:
    """Keep states as (tank, at, model, state); a state kept before for the same instant is replaced."""
    Checkpoint.objects.bulk_create(
        [Checkpoint(tank_id=tank, at=at, model=model, state=state) for tank, at, model, state in rows],
        update_conflicts=True,
        unique_fields=("tank", "model", "at"),
        update_fields=("state",),
    )


def forget_from(earliest: Mapping[int, datetime]) -> None:
    """Drop the states of each tank at or after the earliest instant that changed."""
    condition = Q()
    for tank, at in earliest.items():
        condition |= Q(tank=tank, at__gte=at)
    if condition:
        Checkpoint.objects.filter(condition).delete()


def forget_tanks(tanks: Iterable[int]) -> None:
    """Drop every state of these tanks."""
    Checkpoint.objects.filter(tank__in=list(tanks)).delete()


def forget_model(word: str) -> None:
    """Drop every state of the models whose name begins so, such as "bath"."""
    Checkpoint.objects.filter(model__startswith=word).delete()
