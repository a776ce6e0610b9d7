"""How the light over a floor is printed: laid out as the pots stand."""

from halfwater.book import queries
from halfwater.cli.printing import print_lines, print_table
from halfwater.plain.figures import show, show_date, show_money, show_range
from halfwater.plain.lighting import FloorLight, LightChoice, SpotLight

MOST_COLUMNS = 17  # a row of more pots than a terminal is wide is told as a list
SIGNS = {"too dim": "-", "too bright": "+", "good": " ", "not known": " "}


def say_floor(floor: FloorLight) -> None:
    """Print the map, what was read, whom it suits, and other settings."""
    print_lines("", (floor.said,))
    _say_spots(floor.spots)
    if floor.evenness is not None:
        spread = show_range(floor.evenness.p10, floor.evenness.p90, "frac")
        even = f"{show(floor.evenness.p50, 'frac')} ({spread}): the dimmest spot over the mean"
        print_lines("Evenness", (even,))
    print_lines("Sharper", (floor.narrows_most,) if floor.narrows_most else ())
    rows = [
        (show_date(one.on), one.spot, show(one.ppfd_umol_m2_s, "umol_m2_s"), show(one.dimmer_frac, "frac"),
         "set aside: far from the others" if one.is_odd else "")
        for one in floor.readings
    ]  # fmt: skip
    if rows:
        print_table("Readings", ("On", "Spot", "Read", "Dimmer", ""), rows)
    print_table(
        "Whom it suits",
        ("Taxon", "It takes, a day", "Good spots", "Too dim", "Too bright"),
        [(one.taxon_name, show_range(one.low_mol_m2_d, one.high_mol_m2_d, "mol_m2_d"), str(len(one.good)),
          str(len(one.dim)), str(len(one.bright))) for one in floor.suits],
    )  # fmt: skip
    print_lines("", [one.said for one in floor.suits if one.said][:3])
    _say_choices(floor)
    print_lines("Take care", floor.cautions)


def _say_spots(spots: tuple[SpotLight, ...]) -> None:
    """Rows of spots from the back to the front, each with its daily light; a list where a row is too long."""
    rows: dict[float, list[SpotLight]] = {}
    for spot in spots:
        rows.setdefault(round(spot.y_mm, 1), []).append(spot)
    if rows and max(len(row) for row in rows.values()) <= MOST_COLUMNS:
        lines = [_row(sorted(row, key=lambda one: one.x_mm)) for _, row in sorted(rows.items())]
        print_lines(
            "Daily light in mol/m²/d, spot by spot (- too dim, + too bright for what stands there)", lines
        )
        return
    print_table(
        "Spot by spot",
        ("Spot", "Lamp at the pot", "Daily light", "80 % range", "For what stands there"),
        [(one.name, show(one.ppfd_umol_m2_s.p50, "umol_m2_s"), show(one.dli_mol_m2_d.p50, "mol_m2_d"),
          show_range(one.dli_mol_m2_d.p10, one.dli_mol_m2_d.p90, "mol_m2_d"), _for(one)) for one in spots],
    )  # fmt: skip


def _row(row: list[SpotLight]) -> str:
    cells = (f"{spot.dli_mol_m2_d.p50:.1f}{SIGNS[spot.word] if spot.taxon_name else ' '}" for spot in row)
    return f"{row[0].name:<4} {''.join(f'{cell:<4}' for cell in cells)}".rstrip()


def _for(spot: SpotLight) -> str:
    return f"{spot.word}: {spot.taxon_name}" if spot.taxon_name else ""


def _say_choices(floor: FloorLight) -> None:
    currency = queries.nursery().currency
    print_table(
        f"Settings that give {show(floor.target_mol_m2_d, 'mol_m2_d')} at the middle spot",
        ("Dimmer", "Hours", "Gives", "kWh a month", "Cost a month", ""),
        [_choice(one, currency) for one in floor.choices],
    )
    print_lines("", dict.fromkeys(one.note.capitalize() + "." for one in floor.choices if one.note))


def _choice(one: LightChoice, currency: str) -> tuple[str, ...]:
    return (
        show(one.dimmer_frac, "frac"),
        show(one.lamp_h, "h"),
        show(one.dli_mol_m2_d, "mol_m2_d"),
        f"{one.month_kwh:.3g}" if one.month_kwh is not None else "lamp's power not known",
        show_money(round(one.month_cost_minor), currency) if one.month_cost_minor is not None else "",
        ", ".join(filter(None, ("as it is now" if one.is_now else "", one.note.partition(":")[0]))),
    )
