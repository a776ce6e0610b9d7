"""`halfwater note`: one entry, as it is typed."""

from datetime import UTC, datetime
from typing import Annotated

import typer

from halfwater.book import queries
from halfwater.cli.options import MINUS_IS_NO_OPTION, argument, option, refuse_unknown_options
from halfwater.cli.printing import JsonFlag, print_json
from halfwater.cli.who import who_is_here
from halfwater.deeds.notes import NotedEntry, Typed
from halfwater.deeds.notes import note as note_entry
from halfwater.deeds.pot_notes import TypedPotNote, note_pot
from halfwater.plain.entry import KIND_UNITS, POT_KINDS
from halfwater.plain.figures import show

app = typer.Typer(add_completion=False, rich_markup_mode=None)


@app.command(context_settings=MINUS_IS_NO_OPTION)
def note(
    kind: Annotated[
        str,
        argument(
            "KIND",
            "spray, skip, fill, siphon, waterline, ec, ph, light, air, lamp, leaves, loss, sighting or note; "
            "meter for a check of the EC meter; of one pot also move, cut, rhizome and state.",
        ),
    ],
    tank: Annotated[str, argument("TANK", "The tank's name; - for a note about none.")],
    value: Annotated[
        list[str] | None,
        argument(
            "[VALUE]",
            "180ml, 21mm, “to low line”, "
            "“24C 92%”, “algae much”, “2 rot”, “62 at B4” ... A spray without a value is as planned.",
        ),
    ] = None,
    at: Annotated[str, option("--at", "WHEN", "2026-11-20 or 2026-11-20 21:00; now when left out.")] = "",
    text: Annotated[str, option("--text", "WORDS", "Words to go with it.")] = "",
    mix: Annotated[str, option("--mix", "NAME", "The mix, if not the planned one; or “plain water”.")] = "",
    batch: Annotated[str, option("--batch", "NAME", "The batch it is about.")] = "",
    spot: Annotated[str, option("--spot", "SPOT", "The spot it is about, such as B4.")] = "",
    pot: Annotated[str, option("--pot", "NAME", "The pot it is about, such as “Nana, June 3”.")] = "",
    to: Annotated[str, option("--to", "SPOTS", "Of a cut: where its sections go, “South A1-A2”.")] = "",
    blade: Annotated[str, option("--blade", "WORD", "Of a cut: disinfected or not disinfected.")] = "",
    session: Annotated[str, option("--session", "WHEN", "night or morning.")] = "",
    as_json: JsonFlag = False,
) -> None:
    """Note one entry.

    halfwater note spray North 180ml ·
    halfwater note waterline North 21mm ·
    halfwater note siphon North "to low line" ·
    halfwater note air North "24C 92%" ·
    halfwater note sighting North algae ·
    halfwater note ph North 6.4 ·
    halfwater note light North 62 at B4 ·
    halfwater note meter 1.38 of 1.413 ·
    halfwater note leaves North 7 --spot B4 ·
    halfwater note move North "South A2" --spot B4 ·
    halfwater note cut North 3 --spot B4 --batch "Nana, December" --to "South A1-A2"
    """
    refuse_unknown_options("note", kind, tank, *(value or ()))
    kind, tank, said = _in_order(kind, tank, " ".join(value or ()))
    typed = Typed(kind, tank, said, None, at, text, mix, batch, spot, session)
    noted = _noted(typed, pot, to, blade)
    if as_json:
        print_json(as_object(noted))
    else:
        typer.echo(_sentence(noted))


def _in_order(kind: str, tank: str, value: str) -> tuple[str, str, str]:
    """Kind, tank and value: the tank may be said first, and a meter check is about none."""
    if kind.lower() not in KIND_UNITS and tank.lower() in KIND_UNITS:
        kind, tank = tank, kind
    if kind.lower() == "meter" and tank != "-":
        return kind, "", f"{tank} {value}"
    return kind, tank, value


def _noted(typed: Typed, pot: str, to: str, blade: str) -> NotedEntry:
    """Note what is about one pot as such, everything else as an entry of its tank."""
    kind, now = typed.kind.strip().lower(), datetime.now(UTC)
    if kind not in POT_KINDS and not pot:
        return note_entry(typed, who_is_here(), now)
    about = TypedPotNote(
        kind, typed.value, pot, typed.tank, typed.spot, typed.at, typed.text, to, typed.batch, blade
    )
    entry = note_pot(about, who_is_here(), now)
    return NotedEntry(entry, entry.tank_name, KIND_UNITS[entry.kind], was_there=False)


def as_object(noted: NotedEntry) -> dict[str, object]:
    """The entry as one object for programs."""
    entry = noted.entry
    return {
        "uuid": entry.uuid, "kind": entry.kind, "tank": noted.tank_name or None, "at": entry.at,
        "value": entry.value, "unit": noted.unit or None, "second": entry.second,
        "to_line": entry.to_line or None, "word": entry.word or None, "text": entry.text or None,
        "spot": entry.spot or None, "pot": entry.pot, "was_there": noted.was_there,
    }  # fmt: skip


def _sentence(noted: NotedEntry) -> str:
    said = "Stood in the book already" if noted.was_there else "Noted"
    where = f" at {noted.tank_name}" if noted.tank_name else ""
    return f"{said}: {noted.entry.kind}{where}{shown(noted)} ({str(noted.entry.uuid)[:8]})."


def shown(noted: NotedEntry) -> str:
    """The value as it was typed, or as it was filled in."""
    entry = noted.entry
    if entry.to_line:
        return f", down to the {entry.to_line} line"
    if entry.typed:
        return f", {entry.typed}"
    if entry.value is None:
        return f", {entry.word}" if entry.word and entry.kind == "state" else ""
    return f", {show(entry.value, noted.unit or 'count', queries.nursery().units)}"
