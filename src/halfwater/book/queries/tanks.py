"""Tanks with their pot types and lamps."""

from halfwater.book.models import Tank
from halfwater.book.models.kept import key_named
from halfwater.book.queries.nursery import lamp_facts, pot_facts
from halfwater.errors import RefusedInput
from halfwater.plain.tank import KeepOut, SprayPlan, TankFacts


def tanks(in_use: bool | None = True) -> tuple[TankFacts, ...]:
    """The tanks in walking order: those in use, those put away (False), or all (None)."""
    rows = Tank.objects.select_related("pot", "lamp").order_by("place", "name")
    if in_use is not None:
        rows = rows.filter(is_in_use=in_use)
    return tuple(_tank_facts(row) for row in rows)


def tank_named(name: str) -> TankFacts:
    """The tank of this name, however it is capitalised.

    Raises
    ------
    RefusedInput
        If no tank has this name; the known names are listed.
    """
    wanted = name.strip()
    key = key_named(Tank, wanted)
    row = None if key is None else Tank.objects.select_related("pot", "lamp").filter(pk=key).first()
    if row is None:
        known = list(Tank.objects.order_by("place", "name").values_list("name", flat=True))
        raise RefusedInput("tank", wanted, f"one of {', '.join(known)}" if known else "no tank is set up yet")
    return _tank_facts(row)


def _tank_facts(row: Tank) -> TankFacts:
    return TankFacts(
        key=row.pk,
        name=row.name,
        place=row.place,
        length_mm=row.length_mm,
        width_mm=row.width_mm,
        height_mm=row.height_mm,
        pot=pot_facts(row.pot) if row.pot else None,
        pots=row.pots,
        clay_fill_frac=row.clay_fill_frac,
        clay_porosity_frac=row.clay_porosity_frac,
        margin_mm=row.margin_mm,
        low_line_mm=row.low_line_mm,
        keep_outs=tuple(KeepOut(**one) for one in row.keep_outs),
        plan=SprayPlan(
            night_mix=row.night_mix_id,
            night_volume_l=row.night_volume_l,
            morning_mix=row.morning_mix_id,
            morning_volume_l=row.morning_volume_l,
        ),
        lamp=lamp_facts(row.lamp) if row.lamp else None,
        lamp_dimmer_frac=row.lamp_dimmer_frac,
        lamp_hours=row.lamp_hours,
        stray_ppfd_umol_m2_s=row.stray_ppfd_umol_m2_s,
        stray_hours=row.stray_hours,
        lid_ach_per_h=row.lid_ach_per_h,
        inside_temp_c=row.inside_temp_c,
        inside_rh_frac=row.inside_rh_frac,
        set_up_on=row.set_up_on,
        is_in_use=row.is_in_use,
    )
