"""Small nurseries for the tests of deeds and commands."""

from datetime import UTC, date, datetime, timedelta

from halfwater.book import changes
from halfwater.deeds.notes import NotedEntry, Typed, note

NOW = datetime(2026, 11, 20, 20, 30, tzinfo=UTC)  # 21:30 in Berlin: the round is being walked
TODAY = date(2026, 11, 20)
WHO = "tester"


def a_nursery(units: str = "metric") -> None:
    """Settings of a nursery in Berlin that walks its round at 20 h."""
    changes.save_nursery(
        who=WHO, name="Test", units=units, time_zone="Europe/Berlin", evening_hour=20, is_set_up=True
    )


def a_mix(name: str = "Night", use: str = "night") -> int:
    """A mix of one feed, half a millilitre a litre."""
    feed = changes.save_feed(
        who=WHO,
        name=f"Leaf for {name}",
        form="liquid",
        density_kg_l=1.2,
        n_frac=0.09,
        p2o5_frac=0.03,
        k2o_frac=0.06,
    )
    parts = [{"feed": feed, "dose_ml_l": 0.5, "dose_g_l": None, "typed": "0.5 ml/l"}]
    return changes.save_mix(who=WHO, name=name, use=use, parts=parts)


def a_tank(name: str = "North", **fields: object) -> int:
    """A tank of 119 two-inch pots, sprayed with 150 mL a night."""
    pot = changes.save_pot(who=WHO, name=f"two inch of {name}", top_mm=50.0, base_mm=38.0, height_mm=48.0)
    usual: dict[str, object] = {
        "name": name, "length_mm": 900.0, "width_mm": 450.0, "height_mm": 400.0, "pot": pot, "pots": 119,
        "clay_fill_frac": 0.625, "clay_porosity_frac": 0.44, "margin_mm": 6.0, "set_up_on": date(2026, 8, 1),
        "night_volume_l": 0.15,
    }  # fmt: skip
    return changes.save_tank(who=WHO, **(usual | fields))


def noted(kind: str, tank: str = "North", value: str = "", at: str = "", **more: str) -> NotedEntry:
    """Note one entry as it would be typed."""
    return note(Typed(kind=kind, tank=tank, value=value, at=at, **more), WHO, NOW)


def evenings(count: int, tank: str = "North", value: str = "150ml") -> None:
    """A spray on each of the last evenings before today."""
    for back in range(count, 0, -1):
        noted("spray", tank, value, (TODAY - timedelta(days=back)).isoformat())
