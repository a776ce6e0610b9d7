"""How the light over a floor is printed: laid out as the pots stand."""

import re
from collections.abc import Callable, Iterable, Sequence

from halfwater.book import queries
from halfwater.cli.printing import print_lines, print_table
from halfwater.plain.figures import show, show_date, show_money, show_range
from halfwater.plain.lighting import FloorLight, LightChoice, SpotLight, TaxonLight

LINE = 78  # signs: a row of more pots than fit into a terminal is told as a list
LONGEST_H = 16.0  # hours of a day that are offered
SIGNS = {"too dim": "-", "too bright": "+"}


def say_floor(floor: FloorLight, taxon: str = "") -> None:
    """Print the map, what was read, whom it suits, and other settings; with a taxon, its spots by name."""
    print_lines("", (floor.said,))
    _say_spots(floor.spots)
    if floor.evenness is not None:
        spread = show_range(floor.evenness.p10, floor.evenness.p90, "frac")
        even = f"The dimmest spot gets {show(floor.evenness.p50, 'frac')} of the mean ({spread})."
        print_lines("Evenness", (even,))
    how = f'Note it as `halfwater note light {_word(floor.tank_name)} "62 at {floor.read_next}"`.'
    print_lines("Sharper", (floor.narrows_most, how) if floor.narrows_most else ())
    rows = [
        (show_date(one.on), one.spot, show(one.ppfd_umol_m2_s, "umol_m2_s"), show(one.dimmer_frac, "frac"),
         "set aside: far from the others" if one.is_odd else "")
        for one in floor.readings
    ]  # fmt: skip
    if rows:
        print_table("Readings", ("On", "Spot", "Read", "Dimmer", ""), rows)
    _say_suits(floor.suits[:1] if taxon else floor.suits, is_one=bool(taxon))
    _say_choices(floor)
    print_lines("Take care", floor.cautions)


def _word(name: str) -> str:
    return f'"{name}"' if " " in name else name


def _say_spots(spots: Sequence[SpotLight]) -> None:
    """Three maps, laid out as the pots stand; one list where a row is too long for a line."""
    rows: dict[float, list[SpotLight]] = {}
    for spot in sorted(spots, key=lambda one: (one.y_mm, one.x_mm)):
        rows.setdefault(round(spot.y_mm, 1), []).append(spot)
    maps: tuple[tuple[str, Callable[[SpotLight], str]], ...] = (
        ("The lamp at the pots now, µmol/m²/s, front row first", lambda one: f"{one.ppfd_umol_m2_s.p50:.0f}"),
        ("Daily light, mol/m²/d (- too dim, + too bright for what stands there)", _daily),
        ("The daily light may be off by so many per cent, in eight of ten cases", _off),
    )
    for title, cell in maps:
        lines = _laid_out(tuple(rows.values()), cell)
        if max(map(len, lines), default=0) > LINE:
            _list_spots(spots)
            return
        print_lines(title, lines)


def _laid_out(rows: Sequence[Sequence[SpotLight]], cell: Callable[[SpotLight], str]) -> list[str]:
    """A line a row: the name of its first spot, then a figure for each pot."""
    told = [(row[0].name, [cell(spot) for spot in row]) for row in rows]
    wide = 1 + max(len(text.rstrip("-+")) for _, texts in told for text in texts)
    return [f"{name:<4}{''.join(f'{text:<{wide}}' for text in texts)}".rstrip() for name, texts in told]


def _daily(spot: SpotLight) -> str:
    return f"{spot.dli_mol_m2_d.p50:.1f}{SIGNS.get(spot.word, '') if spot.taxon_name else ''}"


def _off(spot: SpotLight) -> str:
    span = spot.dli_mol_m2_d
    return f"{50.0 * (span.p90 - span.p10) / span.p50:.0f}" if span.p50 > 0.0 else "?"


def _list_spots(spots: Sequence[SpotLight]) -> None:
    print_table(
        "Spot by spot",
        ("Spot", "Lamp at the pot", "Daily light", "80 % range", "For what stands there"),
        [(one.name, show(one.ppfd_umol_m2_s.p50, "umol_m2_s"), show(one.dli_mol_m2_d.p50, "mol_m2_d"),
          show_range(one.dli_mol_m2_d.p10, one.dli_mol_m2_d.p90, "mol_m2_d"),
          f"{one.word}: {one.taxon_name}" if one.taxon_name else "") for one in spots],
    )  # fmt: skip


def _say_suits(suits: Sequence[TaxonLight], *, is_one: bool) -> None:
    """Whom the floor suits: every taxon in a table, or the spots for one by name."""
    if is_one:
        for one in suits:
            takes = show_range(one.low_mol_m2_d, one.high_mol_m2_d, "mol_m2_d")
            print_lines(
                f"Spots for {one.taxon_name}, which takes {takes}",
                [f"{word}: {spots_named(names)}" for word, names in
                 (("good", one.good), ("too dim", one.dim), ("too bright", one.bright)) if names],
            )  # fmt: skip
        return
    print_table(
        "Whom it suits",
        ("Taxon", "It takes, a day", "Good spots", "Too dim", "Too bright"),
        [(one.taxon_name, show_range(one.low_mol_m2_d, one.high_mol_m2_d, "mol_m2_d"), str(len(one.good)),
          _few(one.dim), _few(one.bright)) for one in suits],
    )  # fmt: skip


def _few(names: Sequence[str]) -> str:
    told = spots_named(names)
    return f"{len(names)}: {told}" if names and len(told) <= 24 else str(len(names))


def spots_named(names: Iterable[str]) -> str:
    """Spots with runs drawn together, as `note` reads them: A1-A3, B2."""
    runs: list[tuple[str, int, int]] = []
    for row, at in sorted(map(_place, names), key=lambda one: (len(one[0]), one)):
        if runs and runs[-1][0] == row and runs[-1][2] == at - 1:
            runs[-1] = (row, runs[-1][1], at)
        else:
            runs.append((row, at, at))
    return ", ".join(f"{row}{first}" + (f"-{row}{last}" if last > first else "") for row, first, last in runs)


def _place(name: str) -> tuple[str, int]:
    row, number = re.fullmatch(r"(\D*)(\d*)", name).groups()  # type: ignore[union-attr]
    return row, int(number or 0)


def _say_choices(floor: FloorLight) -> None:
    currency = queries.nursery().currency
    wanted = show(floor.target_mol_m2_d, "mol_m2_d")
    rows = [_choice(one, currency) for one in floor.choices]
    heads = ("Dimmer", "Hours", "Gives", "kWh a month", "Cost a month", "")
    print_table(f"Settings that give {wanted} at the middle spot", heads, rows)
    if all(one.is_now for one in floor.choices):
        print_lines("", (_why_none(floor, wanted),))
    print_lines("", dict.fromkeys(f"{one.note.capitalize()}." for one in floor.choices if ":" in one.note))


def _why_none(floor: FloorLight, wanted: str) -> str:
    """Why no other setting is offered."""
    if floor.target_mol_m2_d <= floor.stray_mol_m2_d:
        return f"Stray light alone brings {show(floor.stray_mol_m2_d, 'mol_m2_d')}: no lamp is needed for it."
    lamp = next((one.dli_mol_m2_d - floor.stray_mol_m2_d for one in floor.choices), 0.0)
    set_at = floor.dimmer_frac * floor.lamp_h
    most = floor.stray_mol_m2_d + lamp / set_at * LONGEST_H if set_at > 0.0 else None
    if most is not None and most < floor.target_mol_m2_d:
        return f"No setting gives {wanted}: at full power for 16 hours it is {show(most, 'mol_m2_d')}."
    return f"No setting from 6 to 16 hours comes near {wanted}."


def _choice(one: LightChoice, currency: str) -> tuple[str, ...]:
    return (
        show(one.dimmer_frac, "frac"),
        show(one.lamp_h, "h"),
        show(one.dli_mol_m2_d, "mol_m2_d"),
        f"{one.month_kwh:.3g}" if one.month_kwh is not None else "not known",
        show_money(round(one.month_cost_minor), currency)
        if one.month_cost_minor is not None
        else "not known",
        ": ".join(filter(None, ("now" if one.is_now else "", one.note.partition(":")[0]))),
    )
