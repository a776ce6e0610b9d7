"""The floor of a tank: where its spots are and what stands on them."""

from dataclasses import dataclass

from halfwater.book import queries
from halfwater.errors import RefusedInput
from halfwater.plain.tank import KeepOut, TankFacts
from halfwater.science.packing import lay_out, pack_floor


@dataclass(frozen=True, slots=True)
class StandingSpot:
    """A spot with its place on the floor and the pot on it."""

    name: str
    x_mm: float
    y_mm: float
    state: str  # "empty" or a pot state
    batch_name: str
    taxon_name: str
    leaves: int | None


def floor_of(tank: TankFacts) -> tuple[StandingSpot, ...]:
    """The spots of a floor in reading order; none where no pot type is described."""
    if tank.pot is None or not tank.pots:
        return ()
    standing = {spot.name: spot for spot in queries.spots(tank.key)}
    placed = _placed(tank.length_mm, tank.width_mm, tank.pot.top_mm, tank.pots, tank.keep_outs)
    spots = []
    for name, x_mm, y_mm in placed:
        pot = standing.get(name)
        spots.append(
            StandingSpot(
                name=name,
                x_mm=x_mm,
                y_mm=y_mm,
                state=pot.state if pot and pot.state else "empty",
                batch_name=pot.batch_name if pot else "",
                taxon_name=pot.taxon_name if pot else "",
                leaves=pot.leaves if pot else None,
            )
        )
    return tuple(spots)


def spot_names(
    length_mm: float, width_mm: float, pot_mm: float, pots: int, outs: tuple[KeepOut, ...]
) -> list[str]:
    """The names of the spots of a floor, in reading order."""
    return [name for name, _, _ in spot_places(length_mm, width_mm, pot_mm, pots, outs)]


def spot_places(
    length_mm: float, width_mm: float, pot_mm: float, pots: int, outs: tuple[KeepOut, ...]
) -> list[tuple[str, float, float]]:
    """The spots of a floor by name with their middles, in reading order."""
    return _placed(length_mm, width_mm, pot_mm, pots, outs) if pots else []


def most_pots(length_mm: float, width_mm: float, pot_mm: float, outs: tuple[KeepOut, ...] = ()) -> int:
    """As many pots as fit."""
    return pack_floor(length_mm, width_mm, pot_mm, keep_outs=_rectangles(outs)).count


def _placed(
    length_mm: float, width_mm: float, pot_mm: float, pots: int, outs: tuple[KeepOut, ...]
) -> list[tuple[str, float, float]]:
    try:
        spots = lay_out(length_mm, width_mm, pot_mm, pots, _rectangles(outs))
    except RefusedInput as refused:
        raise RefusedInput("pots", pots, refused.accepted) from refused
    return [(spot.name, spot.x_mm, spot.y_mm) for spot in spots]


def _rectangles(outs: tuple[KeepOut, ...]) -> tuple[tuple[float, float, float, float], ...]:
    return tuple((out.x_mm, out.y_mm, out.length_mm, out.width_mm) for out in outs)
