"""The first page of Mixes as plain data: mixes, shelf, waters, targets, the meter."""

from dataclasses import dataclass

from django.urls import reverse

from halfwater.deeds.shelf import ShelfRow
from halfwater.plain.chemistry import KeptTarget, KeptWater, MeterPast
from halfwater.plain.figures import show, show_at, show_money
from halfwater.plain.mixes import MixFacts
from halfwater.plain.nursery import NurseryFacts
from halfwater.web.mixes.words import USES, dose_text, label_text, wanted_text


@dataclass(frozen=True, slots=True)
class MixLine:
    """A mix as it is listed."""

    name: str
    use: str
    url: str
    parts: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Line:
    """A feed, a water or a target as it is listed."""

    key: int | None
    name: str
    about: str
    url: str
    more: str = ""
    is_marked: bool = True  # a feed: at hand


@dataclass(frozen=True, slots=True)
class MixesPage:
    """All mixes and what they are made from."""

    answer: str
    mixes: tuple[MixLine, ...]
    shelf: tuple[Line, ...]
    waters: tuple[Line, ...]
    targets: tuple[Line, ...]
    meter: str
    meter_at: str


def mixes_page(
    mixes: tuple[MixFacts, ...],
    shelf: tuple[ShelfRow, ...],
    waters: tuple[KeptWater, ...],
    targets: tuple[KeptTarget, ...],
    meter: tuple[MeterPast, ...],
    nursery: NurseryFacts,
) -> MixesPage:
    """The list."""
    return MixesPage(
        answer=_answer(mixes, shelf, waters),
        mixes=tuple(_mix(mix) for mix in mixes),
        shelf=tuple(_feed(row, nursery.currency) for row in shelf),
        waters=tuple(_water(kept) for kept in waters),
        targets=tuple(_target(kept) for kept in targets),
        meter=meter[0].check.text if meter else "The meter was never checked against a standard.",
        meter_at=show_at(meter[0].at, nursery.time_zone) if meter else "",
    )


def _answer(mixes: tuple[MixFacts, ...], shelf: tuple[ShelfRow, ...], waters: tuple[KeptWater, ...]) -> str:
    at_hand = sum(row.is_at_hand for row in shelf)
    if not shelf:
        return "Describe a feed by its label or a salt by its formula; then a mix can be built."
    count = f"{len(mixes)} mix{'' if len(mixes) == 1 else 'es'} from {len(shelf)} feeds and salts"
    ours = next((kept.water.name for kept in waters if kept.is_ours), "")
    said = f"{count if mixes else f'No mix yet; {len(shelf)} on the shelf'}, {at_hand} at hand"
    return f"{said}, made with {ours}." if ours else f"{said}. Describe your water: every mix starts from it."


def _mix(mix: MixFacts) -> MixLine:
    parts = tuple(
        f"{part.feed.name}, {part.typed or dose_text(part.dose_ml_l, part.dose_g_l)}" for part in mix.parts
    )
    return MixLine(mix.name, USES[mix.use], reverse("mix", args=[mix.key]), parts)


def _feed(row: ShelfRow, currency: str) -> Line:
    pack, feed = "", row.feed
    if feed.pack_minor is not None:
        held = show(feed.pack_g, "g") if feed.pack_g else show(feed.pack_ml, "ml")
        pack = f"{show_money(feed.pack_minor, currency)} for {held}"
    url = reverse("salt" if row.is_salt else "feed", args=[row.key])
    return Line(row.key, row.name, label_text(feed), url, pack or "no price known", row.is_at_hand)


def _water(kept: KeptWater) -> Line:
    water = kept.water
    told = [one for one in ("ca_mg_l", "mg_mg_l", "alkalinity_mg_l") if getattr(water, one) is not None]
    by = "by its analysis" if told else "rain or purified" if water.is_pure else "by its EC alone"
    ec = "" if water.ec_ms_cm is None else show(water.ec_ms_cm, "ms_cm")
    return Line(kept.key, water.name, by, reverse("water", args=[kept.key]), ec, is_marked=kept.is_ours)


def _target(kept: KeptTarget) -> Line:
    target = kept.target
    about = f"{wanted_text(target.wanted)} mg/L"
    if target.ec_ms_cm is not None:
        about = f"{show(target.ec_ms_cm, 'ms_cm')}, in proportions {wanted_text(target.wanted)}"
    url = "" if kept.key is None else reverse("target", args=[kept.key])
    return Line(kept.key, target.name, about, url, target.note, is_marked=kept.key is not None)
