"""What a tank is sprayed with on an ordinary day: its plan, or its habit, or the starting value."""

from halfwater.book import queries
from halfwater.plain.tank import TankFacts
from halfwater.science import starting


def planned_volume(tank: TankFacts, session: str) -> float | None:
    """Litres of one planned spray; None where the plan has no such spray."""
    if session == "morning":
        return tank.plan.morning_volume_l
    if tank.plan.night_volume_l is not None:
        return tank.plan.night_volume_l
    return usual_volume(tank.key)


def usual_volume(tank_key: int) -> float:
    """What a drench of this tank has taken lately: the middle of its last sprays that say an amount."""
    sprays = queries.entries(tank=tank_key, kinds=("spray",), limit=15)
    amounts = sorted(entry.value for entry in sprays if entry.value)
    return amounts[len(amounts) // 2] if amounts else starting.SPRAY_VOLUME_L
