"""The demo's waters, salts and target, and what its grower read of EC, pH and light."""

from collections.abc import Mapping, Sequence
from dataclasses import asdict, replace
from datetime import time
from zoneinfo import ZoneInfo

import numpy as np

from halfwater.book import changes
from halfwater.deeds.salt_label import label_of_salt
from halfwater.demo.chemistry import SALTS, TARGET, WATERS, read_chemistry, read_standard
from halfwater.demo.keeping import EVENING_HOUR
from halfwater.demo.lamp_light import SpotMm, read_light
from halfwater.demo.noting import Pen
from halfwater.demo.nursery import NURSERY, PLACES
from halfwater.demo.simulator import DemoBook
from halfwater.plain.entry import NewEntry

SEED = 1413


def fill_demo_shelf(who: str) -> None:
    """The waters of the demo, its salts and its target, into the book."""
    for water, is_ours in WATERS:
        changes.save_water(who=who, is_ours=is_ours, **asdict(water))
    for name, formula, purity_frac, pack_minor, pack_g in SALTS:
        changes.save_feed(
            who=who,
            name=name,
            form="dry",
            formula=formula,
            purity_frac=purity_frac,
            pack_minor=pack_minor,
            pack_g=pack_g,
            **label_of_salt(formula, purity_frac),
        )
    wanted = [(one.what, one.strength_mg_l, one.weight) for one in TARGET.wanted]
    changes.save_target(who=who, name=TARGET.name, wanted=wanted, ec_ms_cm=TARGET.ec_ms_cm, note=TARGET.note)


def with_readings(demo: DemoBook, floors: Mapping[str, Sequence[SpotMm]]) -> DemoBook:
    """The demo with what was read of its baths, its lamps and of the meter's standard."""
    rng = np.random.default_rng(SEED)
    evening = time(EVENING_HOUR, tzinfo=ZoneInfo(NURSERY.time_zone))
    more: list[NewEntry] = [*read_standard(rng, Pen(rng, 0, demo.first_on, evening))]
    for place in PLACES:
        pen = Pen(rng, place.facts.key, demo.first_on, evening)
        read_chemistry(rng, pen, demo.truths[place.facts.name])
        read_light(rng, pen, place, floors[place.facts.name])
        more += pen.entries()
    return replace(demo, entries=tuple(sorted((*demo.entries, *more), key=lambda entry: entry.at)))
