"""What is done with one pot: counted, moved, measured, graded by hand, cut; each as typed on its page."""

from collections.abc import Mapping
from datetime import datetime
from uuid import UUID

from halfwater.book import changes, queries
from halfwater.deeds.cutting import NewCut, NotedCut, ParentCut, note_cut, read_onto
from halfwater.deeds.said import read_said
from halfwater.deeds.sheet import Sheet
from halfwater.deeds.stock_take import note_count
from halfwater.errors import HalfwaterError, RefusedInput
from halfwater.plain.stock import BLADES, GRADES, PIECES

KINDS = ("count", "state", "lose", "move", "rhizome", "grade")


def care_for_pot(
    pot: int, kind: str, typed: Mapping[str, str], uuid: UUID, who: str, now: datetime
) -> UUID | None:
    """Do what was typed, and give the entry it left; a grade by hand leaves none."""
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
    raise RefusedInput("kind", kind, f"one of {', '.join(KINDS)}")


def cut_from_pot(pot: int, typed: Mapping[str, str], uuid: UUID, who: str, now: datetime) -> NotedCut:
    """Cut one pot: its sections, the new batch and the spots these went onto."""
    sheet = Sheet(typed, queries.nursery().units)
    sections, left = _whole(sheet, "sections"), _whole(sheet, "leaves_left")
    if sections is None and not sheet.refused:
        sheet.refuse("sections", "how many sections it gave, such as 3, the piece that stays included")
    cut = NewCut(
        parents=(ParentCut(pot, sections or 0, left),),
        batch_name=sheet.needed("batch", str, "", "a name for the new batch such as “Nana, December”"),
        onto=sheet.needed("to", read_onto, {}, "a tank and its spots such as “South A1-A4”"),
        blade=sheet.choice("blade", ("", *BLADES), ""),
        piece=sheet.choice("piece", ("", *PIECES), ""),
        section_mm=sheet.quantity("section", "length"),
        first_leaves=_whole(sheet, "first_leaves"),
    )
    sheet.finish()
    return note_cut(cut, uuid, who, now)


def _whole(sheet: Sheet, name: str) -> int | None:
    """A whole number, or None where the field is left empty."""
    value = sheet.quantity(name, "count")
    if value is not None and value != int(value):
        sheet.refuse(name, "a whole number such as 3")
    return None if value is None else int(value)


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
