"""The light over a tank's floor: from a few readings to every spot, whom it suits, and other settings."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

import numpy as np

from halfwater.book import queries
from halfwater.deeds.bath_facts import NO_PLANTS, plants_by_tank
from halfwater.deeds.floor import StandingSpot, floor_of
from halfwater.deeds.light_words import CAUTION, light_said, map_workings
from halfwater.errors import RefusedByBook, RefusedInput
from halfwater.plain.entry import EntryFact
from halfwater.plain.growing import Span
from halfwater.plain.lighting import FloorLight, LightRead, SpotLight, TaxonLight
from halfwater.plain.stock import TaxonFacts
from halfwater.plain.tank import TankFacts
from halfwater.planning.light_choices import light_choices, spot_word
from halfwater.science import starting
from halfwater.science.light import ppfd_from_lux
from halfwater.science.light_map import LightMap, LightReading, evenness, map_light, spot_daily_light
from halfwater.science.units import read_quantity

READINGS_AT_MOST = 60  # the newest; older ones tell of an older lamp
OFF_FRAC = 0.02  # a dimmer below this is off: the reading is stray light
SEED = 20  # of the draws behind the evenness: the same map gives the same figure
DAILY_WANTED = "a daily light above 0 and up to 60 mol/m2/d such as 2.5"
_AN_INSTANT = timedelta(seconds=1)
_DLI = "dli_mol_m2_d"


@dataclass(frozen=True, slots=True)
class LampNow:
    """How a tank's lamp is set, and what reaches its floor from elsewhere."""

    dimmer_frac: float
    lamp_h: float
    stray_ppfd_umol_m2_s: float
    stray_mol_m2_d: float


def light_map_of(name: str, now: datetime, *, target: str = "", taxon: str = "") -> FloorLight:
    """The light at every spot of the tank of this name, at today's dimmer and hours.

    `target` is a wanted daily light; `taxon` names whom the choices are for, instead of what stands there.

    Raises
    ------
    RefusedByBook
        If the tank has neither a reading nor a lamp whose light is known, or no pots are described for it.
    """
    tank = queries.tank_named(name)
    spots = _floor(tank)
    entries = queries.entries(
        tank=tank.key, kinds=("light",), until=now + _AN_INSTANT, limit=READINGS_AT_MOST
    )
    lamp = lamp_now(tank, entries)
    reads = _reads(entries, spots, lamp)
    light, used = _map(tank, spots, reads)
    daily = np.stack(spot_daily_light(light, lamp.dimmer_frac, lamp.lamp_h, lamp.stray_mol_m2_d))
    taxa = queries.taxa()
    standing = _standing(tank, taxa)
    wants = {one.name.casefold(): one for one in taxa}
    asked = _asked(taxon, taxa, standing)
    tariff = next((one.kwh_minor for one in queries.tariffs() if one.from_on <= now.date()), None)
    wanted = _target(target, asked, wants, standing, spots)
    read_next = spots[light.read_next].name if used else _middle(tank, spots)
    floor = FloorLight(
        tank=tank.key,
        tank_name=tank.name,
        spots=_spot_lights(spots, light, daily, lamp, wants),
        readings=_with_odd(reads, {id(used[i]) for i in light.odd if i < len(used)}),
        evenness=_evenness(light),
        read_next=read_next,
        suits=_suits(spots, daily, standing if asked is None else [asked, *standing], taxa),
        choices=light_choices(
            float(np.median(light.ppfd_umol_m2_s)), wanted, min(lamp.stray_mol_m2_d, 60.0),
            power_w=tank.lamp.power_w if tank.lamp else None,
            kwh_minor=tariff, now=(lamp.dimmer_frac, lamp.lamp_h),
        ),
        target_mol_m2_d=wanted,
        dimmer_frac=lamp.dimmer_frac,
        lamp_h=lamp.lamp_h,
        stray_mol_m2_d=lamp.stray_mol_m2_d,
        said="",
        narrows_most=_narrows(len(used), read_next),
        cautions=(CAUTION,),
    )  # fmt: skip
    return replace(floor, said=light_said(floor), workings=map_workings(floor, len(used)))


def _standing(tank: TankFacts, taxa: Sequence[TaxonFacts]) -> list[TaxonFacts]:
    here = {one.key for one in plants_by_tank().get(tank.key, NO_PLANTS).taxa}
    return [one for one in taxa if one.key in here]


def _floor(tank: TankFacts) -> tuple[StandingSpot, ...]:
    spots = floor_of(tank)
    if not spots:
        raise RefusedByBook(f"{tank.name} has no pots described, so it has no spots to map.", tank.name)
    return spots


def _evenness(light: LightMap) -> Span | None:
    """How even the lamp's light is; nothing for a floor of one spot."""
    if len(light.places_mm) < 2:
        return None
    even = evenness(light, np.random.default_rng(SEED))
    return Span(even.low_frac, even.least_over_mean_frac, even.high_frac)


def _with_odd(reads: tuple[LightRead, ...], odd: set[int]) -> tuple[LightRead, ...]:
    return tuple(replace(read, is_odd=read.is_odd or id(read) in odd) for read in reads)


def lamp_now(tank: TankFacts, readings: Sequence[EntryFact] = ()) -> LampNow:
    """The lamp as it was noted to be set last, or as described; stray light as read with the lamp off."""
    noted = queries.last_entries(kinds=("lamp",)).get((tank.key, "lamp"))
    dimmer, hours = tank.lamp_dimmer_frac, tank.lamp_hours
    if noted is not None:
        dimmer = dimmer if noted.value is None else noted.value
        hours = hours if noted.second is None else noted.second
    off = [entry.value for entry in readings if _is_off(entry) and entry.value is not None]
    stray = float(np.mean(off)) if off else tank.stray_ppfd_umol_m2_s
    return LampNow(dimmer, hours, stray, 0.0036 * stray * tank.stray_hours)


def _is_off(entry: EntryFact) -> bool:
    return entry.second is not None and entry.second < OFF_FRAC


def _reads(
    entries: Sequence[EntryFact], spots: Sequence[StandingSpot], lamp: LampNow
) -> tuple[LightRead, ...]:
    """Readings of the lamp, oldest first; one that is not above its stray light is odd from the start."""
    known = {spot.name for spot in spots}
    off = {entry.spot: entry.value for entry in reversed(entries) if _is_off(entry)}
    found = []
    for entry in reversed(entries):
        if _is_off(entry) or entry.spot not in known or entry.value is None:
            continue
        stray = entry.third if entry.third is not None else off.get(entry.spot)
        stray = lamp.stray_ppfd_umol_m2_s if stray is None else stray
        dimmer = lamp.dimmer_frac if entry.second is None else entry.second
        is_dark = entry.value - stray < 0.05 * dimmer or dimmer < OFF_FRAC
        found.append(LightRead(entry.day, entry.spot, entry.value, dimmer, stray, is_dark))
    return tuple(found)


def _map(
    tank: TankFacts, spots: Sequence[StandingSpot], reads: Sequence[LightRead]
) -> tuple[LightMap, list[LightRead]]:
    """The map over the middles of all spots, and the readings it rests on; else the lamp as described."""
    at = {spot.name: (spot.x_mm, spot.y_mm) for spot in spots}
    used = [read for read in reads if not read.is_odd]
    readings = [
        LightReading(*at[read.spot], read.ppfd_umol_m2_s, read.dimmer_frac, read.stray_ppfd_umol_m2_s)
        for read in used
    ]
    if not readings:
        full = _described(tank)
        readings = [LightReading(tank.length_mm / 2.0, tank.width_mm / 2.0, full)]
    places = [[spot.x_mm, spot.y_mm] for spot in spots]
    return map_light(readings, tank.length_mm, tank.width_mm, places), used


def _middle(tank: TankFacts, spots: Sequence[StandingSpot]) -> str:
    """The spot nearest the middle of the floor, where a first reading belongs."""
    x, y = tank.length_mm / 2.0, tank.width_mm / 2.0
    return min(spots, key=lambda spot: (spot.x_mm - x) ** 2 + (spot.y_mm - y) ** 2).name


def _described(tank: TankFacts) -> float:
    lamp = tank.lamp
    full = lamp.ppfd_umol_m2_s if lamp is not None else None
    if full is None and lamp is not None and lamp.lux is not None and lamp.lux_per_umol is not None:
        full = float(ppfd_from_lux(lamp.lux, lamp.lux_per_umol))
    if not full:
        raise RefusedByBook(
            f"Nothing is known of the light in {tank.name}: note a reading (`halfwater note light "
            f"{tank.name} 62 at B4`), or describe its lamp by its PPFD, or by lux and the lamp's own factor.",
            tank.name,
        )
    return full


def _wants(taxon: TaxonFacts | None) -> tuple[float, float, float]:
    """What a taxon takes: least, best and most daily light."""
    for prior in taxon.priors if taxon is not None else ():
        if prior.quantity == _DLI:
            return prior.low, prior.mean, prior.high
    return starting.REFERENCE_DLI_MOL_M2_D / 2.0, starting.REFERENCE_DLI_MOL_M2_D, 5.0


def _spot_lights(
    spots: Sequence[StandingSpot],
    light: LightMap,
    daily: np.ndarray,
    lamp: LampNow,
    taxa: dict[str, TaxonFacts],
) -> tuple[SpotLight, ...]:
    ends = (light.low_umol_m2_s, light.ppfd_umol_m2_s, light.high_umol_m2_s)
    ppfd = lamp.dimmer_frac * np.stack(ends)
    found = []
    for i, spot in enumerate(spots):
        low, _, high = _wants(taxa.get(spot.taxon_name.casefold()))
        day = [float(value) for value in daily[:, i]]
        word = spot_word(day[0], day[1], day[2], (low, high)) if spot.taxon_name else "not known"
        found.append(
            SpotLight(
                spot.name, spot.x_mm, spot.y_mm, Span(*(float(value) for value in ppfd[:, i])), Span(*day),
                spot.taxon_name, word,
            )
        )  # fmt: skip
    return tuple(found)


def _suits(
    spots: Sequence[StandingSpot],
    daily: np.ndarray,
    standing: Sequence[TaxonFacts],
    taxa: Sequence[TaxonFacts],
) -> tuple[TaxonLight, ...]:
    """Which spots suit each taxon: those of `standing` first."""
    ordered = {taxon.key: taxon for taxon in (*standing, *taxa)}
    return tuple(_suit(taxon, spots, daily) for taxon in ordered.values())


def _suit(taxon: TaxonFacts, spots: Sequence[StandingSpot], daily: np.ndarray) -> TaxonLight:
    low, best, high = _wants(taxon)
    middle = daily[1]
    dim = tuple(spot.name for spot, value in zip(spots, middle, strict=True) if value < low)
    bright = tuple(spot.name for spot, value in zip(spots, middle, strict=True) if value > high)
    fitting = [
        (abs(float(np.log(value / best))), i) for i, value in enumerate(middle) if low <= value <= high
    ]
    good = tuple(spots[i].name for _, i in sorted(fitting))
    said = f"{len(good)} of {len(spots)} spots suit {taxon.name}"
    wrong = [f"{len(some)} too {word}" for some, word in ((dim, "dim"), (bright, "bright")) if some]
    if wrong:
        said += f" ({', '.join(wrong)})"
    return TaxonLight(taxon.key, taxon.name, low, best, high, good, dim, bright, f"{said}.")


def _asked(typed: str, taxa: Sequence[TaxonFacts], standing: Sequence[TaxonFacts]) -> TaxonFacts | None:
    """The taxon that is meant: by its name, or by a part that one alone has, here or in the book."""
    wanted = " ".join(typed.split()).casefold()
    if not wanted:
        return None
    exact = [one for one in taxa if one.name.casefold() == wanted]
    here, every = ([one for one in some if wanted in one.name.casefold()] for some in (standing, taxa))
    for found in (exact, here, every):
        if len(found) == 1:
            return found[0]
    names = "; ".join(one.name for one in every or taxa) or "your taxa, and none is described yet"
    raise RefusedInput("taxon", typed, f"one of {names}")


def _target(
    typed: str,
    asked: TaxonFacts | None,
    taxa: dict[str, TaxonFacts],
    standing: Sequence[TaxonFacts],
    spots: Sequence[StandingSpot],
) -> float:
    """The wanted daily light: as typed, a taxon's best, or the mean of what stands here."""
    if typed.strip():
        bare = typed.lower().replace("mol/m2/d", "").replace("mol/m²/d", "").replace("mol", "").strip()
        try:
            wanted = read_quantity(bare, "ppfd", field="target")
        except RefusedInput as refused:
            raise RefusedInput("target", typed, DAILY_WANTED) from refused
        if not 0.0 < wanted <= 60.0:
            raise RefusedInput("target", typed, DAILY_WANTED)
        return wanted
    if asked is not None:
        return _wants(asked)[1]
    best = [_wants(taxa.get(spot.taxon_name.casefold()))[1] for spot in spots if spot.taxon_name]
    if not best and standing:
        best = [_wants(one)[1] for one in standing]
    return float(np.mean(best)) if best else starting.REFERENCE_DLI_MOL_M2_D


def _narrows(readings: int, spot: str) -> str:
    if readings == 0:
        return f"One reading at the pots, at {spot}, narrows this most: the map is the lamp as described."
    if readings < 5:
        return (
            f"A reading at {spot} narrows this most; five, in the middle and near the corners, make the map."
        )
    return f"A reading at {spot} narrows this most."
