"""The nursery's settings, pot types, lamps and owner."""

from django.contrib.auth import get_user_model

from halfwater.book.models import Lamp, Nursery, Pot
from halfwater.plain.nursery import LampFacts, NurseryFacts, PotFacts

OWNER = "owner"  # the one account that may see the book beyond this machine


def nursery() -> NurseryFacts:
    """The settings; before set-up, those a new book starts with."""
    row = Nursery.objects.first() or Nursery()
    return NurseryFacts(
        name=row.name,
        units=row.units,
        currency=row.currency,
        time_zone=row.time_zone,
        evening_hour=row.evening_hour,
        room_temp_c=row.room_temp_c,
        room_rh_frac=row.room_rh_frac,
        is_set_up=row.is_set_up,
        price_step_minor=row.price_step_minor,
        price_move_frac=row.price_move_frac,
    )


def pots() -> tuple[PotFacts, ...]:
    """The pot types by name."""
    return tuple(pot_facts(row) for row in Pot.objects.order_by("name"))


def lamps() -> tuple[LampFacts, ...]:
    """The lamps by name."""
    return tuple(lamp_facts(row) for row in Lamp.objects.order_by("name"))


def has_owner() -> bool:
    """Whether the owner has set a password, so that the pages may be served beyond this machine."""
    return get_user_model().objects.filter(username=OWNER, is_active=True).exists()


def pot_facts(row: Pot) -> PotFacts:
    """A pot type as plain data."""
    return PotFacts(
        key=row.pk, name=row.name, top_mm=row.top_mm, base_mm=row.base_mm, height_mm=row.height_mm
    )


def lamp_facts(row: Lamp) -> LampFacts:
    """A lamp as plain data."""
    return LampFacts(
        key=row.pk,
        name=row.name,
        ppfd_umol_m2_s=row.ppfd_umol_m2_s,
        lux=row.lux,
        lux_per_umol=row.lux_per_umol,
        power_w=row.power_w,
    )
