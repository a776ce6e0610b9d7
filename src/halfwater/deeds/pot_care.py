"""What is done with one pot: moved, cut, measured, graded by hand; each as typed on its page."""

from collections.abc import Mapping
from datetime import datetime
from uuid import UUID

from halfwater.book import changes, queries
from halfwater.deeds.said import read_said
from halfwater.deeds.sheet import Sheet
from halfwater.deeds.stock_take import note_count
from halfwater.errors import HalfwaterError, RefusedInput
from halfwater.plain.stock import BLADES, GRADES

KINDS = ("count", "state", "lose", "move", "rhizome", "cut", "grade")


def care_for_pot(
    pot: int, kind: str, typed: Mapping[str, str], uuid: UUID, who: str, now: datetime
) -> UUID | None:
    """Do what was typed, and give the entry it left; a grade by hand leaves none."""
    if kind not in KINDS:
        raise RefusedInput("kind", kind, f"one of {', '.join(KINDS)}")
    if kind in ("count", "state", "lose"):
        return _count(pot, kind, typed, uuid, who, now)
    sheet = Sheet(typed, queries.nursery().units)
    if kind == "grade":
        grade = sheet.choice("grade", ("", *GRADES), "")
        sheet.finish()
        changes.set_grade(pot, grade, who=who)
        return None
    if kind == "move":
        return _move(pot, sheet, uuid, who, now)
    if kind == "rhizome":
        rhizome_mm = sheet.quantity("rhizome", "length")
        if rhizome_mm is None:
            sheet.refuse("rhizome", "a length such as 45 mm or 1.75 in")
        sheet.finish()
        return changes.measure_rhizome(pot, rhizome_mm or 0.0, who=who, at=now, uuid=uuid, now=now)
    sections = sheet.quantity("sections", "count")
    if sections is None or sections != int(sections):
        sheet.refuse("sections", "how many sections it gave, such as 3")
    blade = sheet.choice("blade", ("", *BLADES), "")
    sheet.finish()
    return changes.cut_pot(pot, int(sections or 0), blade, who=who, at=now, uuid=uuid, now=now)


def _count(pot: int, kind: str, typed: Mapping[str, str], uuid: UUID, who: str, now: datetime) -> UUID:
    name = {"count": "leaves", "state": "state", "lose": "cause"}[kind]
    text = typed.get(name, "")
    if kind == "count" and not text.strip().isdecimal():
        raise RefusedInput(name, text, "a number of leaves such as 7")
    said = f"lost {text}" if kind == "lose" else text
    try:
        read_said(said, name)
        return note_count(pot, said, uuid, who, now).uuid
    except RefusedInput as refused:
        raise RefusedInput(name, text, refused.accepted) from refused


def _move(pot: int, sheet: Sheet, uuid: UUID, who: str, now: datetime) -> UUID:
    tank = sheet.needed("tank", queries.tank_named, None, "a tank of the nursery")
    spot = sheet.text("spot")
    if not spot:
        sheet.refuse("spot", "an empty spot such as B4")
    sheet.finish()
    if tank is None:
        raise RefusedInput("tank", "", "a tank of the nursery")
    try:
        return changes.move_pot(pot, tank.key, spot, who=who, at=now, uuid=uuid, now=now)
    except HalfwaterError as refusal:
        raise RefusedInput("spot", spot, str(refusal).rstrip(".")) from refusal
