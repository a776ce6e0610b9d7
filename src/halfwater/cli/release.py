"""`halfwater release`: what could be offered, releases with their lines, opened, closed and announced."""

from datetime import UTC, datetime
from typing import Annotated, Any

import typer

from halfwater.book import queries
from halfwater.cli.options import argument, option
from halfwater.cli.printing import JsonFlag, print_json, print_lines, print_table
from halfwater.cli.who import who_is_here
from halfwater.deeds import releases
from halfwater.deeds.announce import FORMS, announce
from halfwater.deeds.clock import read_day
from halfwater.deeds.offerable import Offerable, what_could_be_offered
from halfwater.deeds.prices import taxon_named
from halfwater.errors import RefusedInput
from halfwater.plain.figures import show_money, show_number
from halfwater.plain.selling import ReleaseFacts
from halfwater.plain.stock import GRADES

app = typer.Typer(add_completion=False, rich_markup_mode=None)
LINE_ACCEPTED = f"a taxon, a grade ({', '.join(GRADES)}) and a price: “nana standard 9.50”"
_NO_RELEASE = "No release is in the book yet. `halfwater release --could` shows what could be offered."


@app.command()
def release(
    name: Annotated[str, argument("[NAME]", "A release of your book, or a part of its name.")] = "",
    new: Annotated[str, option("--new", "NAME", "Draft a release of this name.")] = "",
    opens: Annotated[str, option("--opens", "AT", "When it opens: 2026-12-05 19:00.")] = "",
    closes: Annotated[str, option("--closes", "AT", "When it closes.")] = "",
    note: Annotated[str, option("--note", "TEXT", "What buyers should know.")] = "",
    line: Annotated[
        str, option("--line", "LINE", "Add or change a line: “nana standard 9.50”; no price: as it is.")
    ] = "",
    limit: Annotated[str, option("--limit", "N", "Plants one buyer may have of the line, or none.")] = "",
    text: Annotated[str, option("--text", "TEXT", "What buyers should know of the line, or none.")] = "",
    pots: Annotated[str, option("--pots", "POTS", "Pots behind the line: 6, or “South A1-A4”.")] = "",
    is_open: Annotated[bool, typer.Option("--open", help="Open it for orders.")] = False,
    is_close: Annotated[bool, typer.Option("--close", help="Close it; free pots come off.")] = False,
    form: Annotated[str, option("--announce", "FORM", f"Print it as {', '.join(FORMS)}.")] = "",
    could: Annotated[bool, typer.Option("--could", help="What could be offered.")] = False,
    on: Annotated[str, option("--on", "DATE", "With --could: on this day.")] = "",
    as_json: JsonFlag = False,
) -> None:
    """Releases: draft one, put pots behind its lines, open, announce and close it.

    halfwater release --could --on 2026-12-05 ·
    halfwater release --new December --opens "2026-12-05 19:00" ·
    halfwater release December --line "nana standard 9.50" --limit 2 --pots 6 ·
    halfwater release December --open · halfwater release December --announce newsletter
    """
    now, who = datetime.now(UTC), who_is_here()
    if could:
        _say_could(what_could_be_offered(now, read_day(on, "on") if on else None), as_json)
        return
    _refuse_unclear(name, new, any((line, pots, limit, text, opens, closes, note, form, is_open, is_close)))
    if not new and not name:
        _say_all(queries.releases(now), as_json)
        return
    if (pots or limit or text) and not line:
        raise RefusedInput("--line", "", "the line that pots, limit or text are for, such as “nana standard”")
    key = None if new else releases.release_named(name, now).key
    if form and key is not None:
        typer.echo(announce(key, form, now), nl=False)
        return
    asked = releases.Arrangement(
        _typed(key, new, opens, closes, note, now) if new or opens or closes or note else None,
        _line(line) | {"limit": limit, "text": text, "pots": pots} if line else None, is_open, is_close,
    )  # fmt: skip
    done = releases.arrange(key, asked, who, now)
    _say_one(done.key, done.said, now, as_json)


def _refuse_unclear(name: str, new: str, is_asked: bool) -> None:
    """One release must be meant where something is asked of it."""
    if new and name:
        raise RefusedInput("--new", new, "either a release of your book or a new one, not both")
    if is_asked and not new and not name:
        raise RefusedInput("NAME", "", "the release that is meant: halfwater release December --open")


def _line(typed: str) -> dict[str, str]:
    """Taxon, grade and perhaps a price, told apart by the grade."""
    words = typed.split()
    at = next((n for n, word in enumerate(words) if n and word.lower() in GRADES), None)
    if at is None:
        raise RefusedInput("--line", typed, LINE_ACCEPTED, _grade_fault(words))
    taxon = taxon_named(" ".join(words[:at]))
    return {"taxon": taxon.name, "grade": words[at].lower(), "price": " ".join(words[at + 1 :])}


def _grade_fault(words: list[str]) -> str:
    """What is wrong with a line in which no grade is found: the word in its place, or that none is there."""
    rest = words[1:-1] if words and words[-1][:1].isdigit() else words[1:]
    return f"no grade is called {rest[-1]}" if rest else "the grade is missing"


def _typed(key: int | None, new: str, opens: str, closes: str, note: str, now: datetime) -> dict[str, str]:
    """The release as it shall be: what was not given stays."""
    if key is None:
        return {"name": new, "opens": opens, "closes": closes, "note": note}
    facts = releases.release_view(key, now).facts
    return {
        "name": facts.name,
        "opens": opens or (facts.opens_at.isoformat() if facts.opens_at else ""),
        "closes": closes or (facts.closes_at.isoformat() if facts.closes_at else ""),
        "note": note or facts.note,
    }


def _say_could(lines: tuple[Offerable, ...], as_json: bool) -> None:
    currency = queries.nursery().currency
    if as_json:
        print_json({"currency": currency, "lines": [_could(one) for one in lines]})
        return
    if not lines:
        print_lines("", ("No pot is ready and no grade has a price yet.",))
        return
    rows = [
        (
            one.taxon_name, one.grade, str(len(one.ready)), str(one.protected), str(one.suggested),
            _ahead(one),
            show_money(one.price_minor, currency) if one.price_minor is not None else "no price",
        )
        for one in lines
    ]  # fmt: skip
    heads = ("Taxon", "Grade", "Ready now", "Held back", "Offer", "At it or better then", "Price")
    print_table("What could be offered", heads, rows)
    print_lines("", dict.fromkeys(one.why for one in lines if one.suggested))


def _ahead(one: Offerable) -> str:
    if one.foreseen is None:
        return ""
    return f"{show_number(one.foreseen.p10, 0)} to {show_number(one.foreseen.p90, 0)}"


def _could(one: Offerable) -> dict[str, Any]:
    return {
        "taxon": one.taxon_name, "grade": one.grade, "ready": [pot.name for pot in one.ready],
        "protected": one.protected, "suggested": one.suggested, "foreseen": one.foreseen,
        "price_minor": one.price_minor, "why": one.why,
    }  # fmt: skip


def _say_all(known: tuple[ReleaseFacts, ...], as_json: bool) -> None:
    if as_json:
        print_json({"currency": queries.nursery().currency, "releases": known})
        return
    if not known:
        print_lines("", (_NO_RELEASE,))
        return
    zone = queries.nursery()
    rows = [
        (
            one.name, one.state, releases.show_instant(one.opens_at, zone),
            str(sum(line.offered for line in one.lines)), str(sum(line.ordered for line in one.lines)),
            str(sum(line.free for line in one.lines)),
        )
        for one in known
    ]  # fmt: skip
    print_table("Releases", ("Release", "State", "Opens", "Pots", "Ordered", "Free"), rows)


def _say_one(key: int, changed: str, now: datetime, as_json: bool) -> None:
    view = releases.release_view(key, now)
    nursery = queries.nursery()
    if as_json:
        told = {"currency": nursery.currency, "release": view.facts, "checks": view.checks}
        print_json(told | {"changed": changed})
        return
    facts = view.facts
    rows = [
        (
            one.taxon_name, one.grade, show_money(one.price_minor, nursery.currency), str(one.offered),
            str(one.ordered), str(one.held), str(one.free),
            str(one.limit_per_buyer) if one.limit_per_buyer else "none",
        )
        for one in facts.lines
    ]  # fmt: skip
    opens = releases.show_instant(facts.opens_at, nursery)
    heads = ("Taxon", "Grade", "Price", "Pots", "Ordered", "Held", "Free", "Limit")
    print_table(f"{facts.name}: {facts.state}, opens {opens}", heads, rows)
    print_lines("", (changed,) if changed else ())
    print_lines("Before it opens", view.checks)
