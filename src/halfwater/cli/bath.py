"""`halfwater bath`: the salts in one bath, or in all of them."""

from datetime import UTC, datetime
from typing import Annotated, Any

import typer

from halfwater.cli.options import argument, option
from halfwater.cli.printing import JsonFlag, print_json, print_lines, print_table
from halfwater.deeds.bath import TankBath, bath_of, baths_of
from halfwater.errors import RefusedInput
from halfwater.plain.bath import BathOutlook, EcVerdict, FilmAdvice, NutrientOutlook
from halfwater.plain.figures import show, show_date, show_range
from halfwater.plain.growing import Span

app = typer.Typer(add_completion=False, rich_markup_mode=None)
HEADS = ("Tank", "EC now", "Siphon", "EC then", "In 90 days", "Limit", "It is")
UNKNOWN = "not known yet"


@app.command()
def bath(
    tank: Annotated[str, argument("[TANK]", "A tank of your book; without it, all of them.")] = "",
    refill: Annotated[str, option("--refill", "NAME", "What would be poured in: a mix or a water.")] = "",
    target: Annotated[str, option("--target", "EC", "The EC to come to, such as “0.9 mS/cm”.")] = "",
    as_json: JsonFlag = False,
) -> None:
    """The EC of a bath now, at the siphon and in 90 days; why it moves; what to siphon and pour in.

    halfwater bath · halfwater bath North · halfwater bath North --refill Rain --target 0.8
    """
    now = datetime.now(UTC)
    if tank:
        found = bath_of(tank, now, refill=refill, target=target)
        if as_json:
            print_json(_object(found))
        else:
            _say(found, now)
        return
    if refill or target:
        raise RefusedInput("tank", "", "the tank whose refill is wanted, such as `halfwater bath North`")
    every = tuple(baths_of(now).values())
    if as_json:
        print_json({"tanks": [_object(one) for one in every]})
    else:
        _say_all(every, now)


def _say_all(every: tuple[TankBath, ...], now: datetime) -> None:
    if not every:
        print_lines("", ("No tank is in use.",))
        return
    print_table("EC in mS/cm; ranges hold in eight of ten cases", HEADS,
                [_line(one, now) for one in every])  # fmt: skip
    whys = [f"{one.tank.name}: {one.why}" for one in every if one.outlook is None and one.why]
    print_lines("Cannot be said", whys)
    due = [
        f"{one.tank.name}: {one.outlook.refill.said}"
        for one in every
        if one.outlook and one.outlook.refill.is_due
    ]
    print_lines("To do", due)


def _line(one: TankBath, now: datetime) -> tuple[str, ...]:
    """One tank on a line."""
    outlook = one.outlook
    if outlook is None:
        return (one.tank.name, "not known", "", "", "", "", "")
    on = outlook.siphon_p50_on
    return (
        one.tank.name,
        f"{outlook.ec_now.p50:.2f}, {_range(outlook.ec_now)}",
        show_date(on, now.date()) if on else "not in sight",
        _range(outlook.ec_at_siphon) if outlook.ec_at_siphon else "",
        _range(outlook.ec_in_90_days),
        f"{outlook.limit.action_ms_cm:g}",
        _moves(outlook.verdict),
    )


def _say(found: TankBath, now: datetime) -> None:
    outlook = found.outlook
    if outlook is None:
        print_lines("", (f"Nothing can be said of the salts in {found.tank.name} yet.",))
        print_lines("Why", (found.why,) if found.why else ())
    else:
        print_lines("", (outlook.said,))
        print_table("", ("EC", "Likely", "80 % range"), _ec_rows(outlook, now))
        print_table("What it holds", ("", "Now", "80 % range", "At the siphon", "In the long run"),
                    [_nutrient(one) for one in outlook.nutrients])  # fmt: skip
        _say_verdict(outlook.verdict)
        print_lines("Siphon and refill", (outlook.refill.said,))
        print_lines("pH", _ph(outlook))
    film = found.film
    print_lines("On the leaves", _film(film, found.plain_days_ago) if film else ())
    if outlook is not None:
        odd = [f"{show(one.ec_ms_cm, 'ms_cm')} of {show_date(one.on, now.date())}" for one in outlook.odd]
        print_lines("Readings set aside", odd)
        how = f'Note it as `halfwater note ec {_word(outlook.tank_name)} "0.62 mS/cm"`.'
        print_lines("Sharper", (outlook.narrows_most, how) if outlook.narrows_most else ())
    cautions = (*(outlook.cautions if outlook else ()), *(film.cautions if film else ()))
    print_lines("Take care", dict.fromkeys(cautions))


def _word(name: str) -> str:
    return f'"{name}"' if " " in name else name


def _ph(outlook: BathOutlook) -> tuple[str, ...]:
    if outlook.ph is not None:
        return tuple(filter(None, (outlook.ph.said, outlook.ph.to_tell)))
    return (f"None is noted: `halfwater note ph {_word(outlook.tank_name)} 6.4` keeps one.",)


def _film(film: FilmAdvice, plain_days_ago: float | None) -> tuple[str, ...]:
    """The night's spray as the leaves feel it, and the night of plain water."""
    span = film.film_range
    spread = f" ({span.p10:.0f} to {span.p90:.0f})" if round(span.p10) < round(span.p90) else ""
    ago = "not within two months, or never" if plain_days_ago is None else _ago(plain_days_ago)
    return (
        film.said,
        f"The feed: {film.strength} by its nitrogen, {film.ec_on_leaf} by its EC; it leaves "
        f"{film.film_ml_m2:.0f} mL on a m² of leaf{spread}, {film.n_mg_m2:.2g} mg of nitrogen in it.",
        f"Plain water: {film.plain_night or 'every night'}; the last {ago}.",
    )


def _ago(days: float) -> str:
    return "today" if days < 0.5 else "yesterday" if days < 1.5 else f"{days:.0f} days ago"


def _ec_rows(outlook: BathOutlook, now: datetime) -> list[tuple[str, ...]]:
    limit = outlook.limit
    whose = f"for {limit.taxon_name}" if limit.taxon_name else "for any plant"
    on = f" ({show_date(outlook.siphon_p50_on, now.date())})" if outlook.siphon_p50_on else ""
    spans = [("now", outlook.ec_now), (f"at the siphon{on}", outlook.ec_at_siphon),
             ("in 90 days", outlook.ec_in_90_days)]  # fmt: skip
    rows = [
        (name, show(span.p50, "ms_cm"), show_range(span.p10, span.p90, "ms_cm"))
        for name, span in spans
        if span is not None
    ]
    if outlook.steady_ms_cm is not None:
        rows.append(("in the long run, at the siphon", show(outlook.steady_ms_cm, "ms_cm"), ""))
    if outlook.low_steady_ms_cm is not None:
        rows.append(("in the long run, refilled", show(outlook.low_steady_ms_cm, "ms_cm"), ""))
    aim = show_range(limit.target_low_ms_cm, limit.target_high_ms_cm, "ms_cm")
    rows.append(("limit", show(limit.action_ms_cm, "ms_cm"), f"{whose}; aim {aim}"))
    rows.append(("chance to be past it now", show(outlook.p_past_action_now_frac, "frac"), ""))
    return rows


def _say_verdict(verdict: EcVerdict) -> None:
    print_lines(f"Why it moves ({_moves(verdict)})", filter(None, (verdict.said, verdict.to_tell)))
    rows = [
        (one.name, f"{one.ms_cm_a_month.p50:+.2f}",
         f"{one.ms_cm_a_month.p10:+.2f} to {one.ms_cm_a_month.p90:+.2f}", one.text)
        for one in verdict.causes
    ]  # fmt: skip
    if rows:
        print_table("", ("Cause", "mS/cm a month", "80 % range", ""), rows)


def _nutrient(one: NutrientOutlook) -> tuple[str, ...]:
    return (
        one.name,
        show(one.mg_l.p50, "mg_l"),
        show_range(one.mg_l.p10, one.mg_l.p90, "mg_l"),
        show(one.at_siphon_mg_l.p50, "mg_l") if one.at_siphon_mg_l else "",
        show(one.steady_mg_l, "mg_l") if one.steady_mg_l is not None else "",
    )


def _moves(verdict: EcVerdict) -> str:
    if verdict.trend == "steady":
        return verdict.word
    return (
        f"{verdict.trend}, not known why" if verdict.word == UNKNOWN else f"{verdict.trend}: {verdict.word}"
    )


def _range(span: Span) -> str:
    return f"{span.p10:.2f}–{span.p90:.2f}"


def _object(found: TankBath) -> dict[str, Any]:
    """The answer for programs; what cannot be said is null with a key why."""
    return {
        "tank": found.tank.name,
        "bath": found.outlook,
        "film": found.film,
        "plain_days_ago": found.plain_days_ago,
        "why": found.why or None,
    }
