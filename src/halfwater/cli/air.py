"""`halfwater air`: the air under a lid, and the algae below it."""

from datetime import UTC, datetime
from typing import Annotated

import typer

from halfwater.book import queries
from halfwater.cli.options import argument
from halfwater.cli.printing import JsonFlag, print_json, print_lines, print_table
from halfwater.deeds.air import air_of, airs_of
from halfwater.deeds.algae import algae_of, algae_watch
from halfwater.plain.figures import show, show_date, show_number, show_range
from halfwater.plain.growing import Span
from halfwater.plain.lid import AlgaeWatch, LidAir

app = typer.Typer(add_completion=False, rich_markup_mode=None)


@app.command()
def air(
    tank: Annotated[str, argument("[TANK]", "A tank of your book; without it, all of them.")] = "",
    as_json: JsonFlag = False,
) -> None:
    """How damp it is under the lid, what leaves as vapour, what carbon comes in, dew; the algae watch.

    halfwater air · halfwater air North
    """
    now = datetime.now(UTC)
    if tank:
        inside, algae = air_of(tank, now), algae_of(tank, now)
        if as_json:
            print_json({"air": inside, "algae": algae})
        else:
            _say(inside, algae, now)
        return
    airs, watched = airs_of(now), algae_watch(now)
    if as_json:
        print_json({"tanks": [{"air": one, "algae": watched.get(one.tank)} for one in airs]})
    else:
        _say_all(airs, watched)


def _say_all(airs: tuple[LidAir, ...], watched: dict[int, AlgaeWatch]) -> None:
    if not airs:
        print_lines("", ("No tank is in use.",))
        return
    units = queries.nursery().units
    rows = [
        (one.tank_name, show(one.temp_c, "c", units), show(one.rh_frac, "frac"), one.how_known,
         show_range(one.vapour_l_day.p10, one.vapour_l_day.p90, "l", units),
         _shares(one.growth_frac),
         show(watched[one.tank].p_month.p50, "frac") if one.tank in watched else "")
        for one in airs
    ]  # fmt: skip
    heads = ("Tank", "Air", "Damp", "By", "Vapour a day", "Growth the air allows", "Algae in a month")
    print_table("", heads, rows)
    acts = [
        f"{watch.tank_name}: {act.said}" for watch in watched.values() for act in watch.acts if act.is_next
    ]
    print_lines("Against algae, one thing at a time", acts)


def _say(inside: LidAir, algae: AlgaeWatch, now: datetime) -> None:
    print_lines("", (inside.said,))
    print_table("", ("Air", "Likely", "80 % range"), _rows(inside))
    print_lines("To find out", (inside.experiment,) if inside.experiment else ())
    print_lines("Sharper", (inside.narrows_most,) if inside.narrows_most else ())
    print_lines("Algae", (algae.said, _learned(algae, now)))
    rows = [
        (f"{place}. {act.lever}{', now' if act.is_next else ''}", act.said, show(act.p_after_frac, "frac"))
        for place, act in enumerate(algae.acts, 1)
    ]
    if rows:
        print_table("One thing at a time (common practice, no source)", ("", "", "A month after"), rows)
    print_lines("Take care", inside.cautions)


def _learned(algae: AlgaeWatch, now: datetime) -> str:
    months = f"{algae.months} months of tanks here, {algae.seen_months} of them with algae"
    if algae.seen_on is None:
        return f"Learned from {months}."
    word = f", {algae.seen_word}" if algae.seen_word else ""
    return f"Noted last on {show_date(algae.seen_on, now.date())}{word}; learned from {months}."


def _shares(span: Span) -> str:
    return f"{100 * span.p10:.0f} to {100 * span.p90:.0f} %"


def _degrees(difference_c: float, units: str) -> str:
    """A difference of temperatures, which has no zero to shift."""
    return f"{1.8 * difference_c:.1f} °F" if units == "us" else f"{difference_c:.1f} °C"


def _rows(inside: LidAir) -> list[tuple[str, str, str]]:
    units = queries.nursery().units
    vapour, level, growth, carbon = (
        inside.vapour_l_day, inside.waterline_mm_day, inside.growth_frac, inside.co2_umol_mol
    )  # fmt: skip
    changes, loss = inside.air_changes_per_h, inside.loss_l_day
    rows = [
        ("warmth inside", show(inside.temp_c, "c", units), f"room {show(inside.room_temp_c, 'c', units)}"),
        ("damp inside", show(inside.rh_frac, "frac"),
         f"{inside.how_known}; room {show(inside.room_rh_frac, 'frac')}"),
        ("air changes an hour", show_number(changes.p50),
         f"{show_number(changes.p10)} to {show_number(changes.p90)}"),
        ("vapour a day", show(vapour.p50, "l", units), show_range(vapour.p10, vapour.p90, "l", units)),
        ("waterline by it", show(level.p50, "mm_day", units),
         show_range(level.p10, level.p90, "mm_day", units)),
    ]  # fmt: skip
    if loss is not None:
        spread = show_range(loss.p10, loss.p90, "l", units)
        rows.append(("all that leaves, as learned", show(loss.p50, "l", units), spread))
    rows += [
        ("carbon dioxide by day", f"{carbon.p50:.0f} ppm", f"{carbon.p10:.0f} to {carbon.p90:.0f} ppm"),
        ("growth the air allows", f"{100 * growth.p50:.0f} %", f"{_shares(growth)} of open air"),
        ("plant made in 30 days", show(inside.made_g_30d, "g"),
         f"of {show(inside.wanted_g_30d, 'g')} in the room's air"),
        ("leaves above the dew point by", _degrees(inside.dew_margin_c, units),
         "the lid is wet" if inside.lid_condenses else "the lid stays dry"),
    ]  # fmt: skip
    if inside.lid_light_loss_frac is not None:
        rows.append(("light lost on the wet lid", show(inside.lid_light_loss_frac, "frac"), ""))
    return rows
