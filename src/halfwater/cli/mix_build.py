"""How recipes, looks at mixes, stock solutions and comparisons are printed."""

from collections.abc import Sequence

from halfwater.book import queries
from halfwater.cli.printing import measured, print_lines, print_table
from halfwater.deeds.mix_build import Built
from halfwater.deeds.shelf import ShelfRow
from halfwater.plain.chemistry import (
    KeptTarget,
    KeptWater,
    MixLook,
    RecipePart,
    Settling,
    StockPlan,
    StrengthLine,
)
from halfwater.plain.figures import show, show_money, show_number, show_range, show_small_money

MAIN = ("N", "N-NO3", "N-NH4", "N-urea", "P", "K", "Ca", "Mg", "S")  # what a comparison shows


def say_recipe(built: Built) -> None:
    """Print a recipe: what to measure, what it gives, what it misses and why."""
    recipe = built.recipe
    print_lines("", (recipe.sentence,))
    rows = [_part(part) for part in recipe.parts]
    volume = show(recipe.volume_l, "l", queries.nursery().units)
    rows.append(("water", f"to {volume}", built.water_name, ""))
    print_table("To measure", ("", "Amount", "A litre takes", "Costs"), rows)
    print_lines("", [one.small.text for one in recipe.parts if one.small is not None])
    missed = [
        (
            one.what,
            show(one.wanted_mg_l, "mg_l"),
            show(one.in_all_mg_l, "mg_l"),
            f"{one.off_frac:+.0%}",
            one.why,
        )
        for one in recipe.missed
    ]
    if missed:
        print_table("Not met", ("", "Wanted", "There", "Off by", "Why"), missed)
    say_look(recipe.look)


def _part(part: RecipePart) -> tuple[str, ...]:
    litre = show(part.dose_ml_l, "ml_l") if part.dose_ml_l is not None else show(part.dose_g_l, "g_l")
    amount = measured(part.amount_ml, part.amount_g) if part.amount_ml or part.amount_g else "nothing"
    return (part.item.name, amount, litre, _cost(part.cost_minor))


def _cost(minor: float | None) -> str:
    return "" if minor is None else show_small_money(minor, queries.nursery().currency)


def say_look(look: MixLook) -> None:
    """Print what a mix is: strengths, EC, charges, what may fall out, cost."""
    rows = [_strength(one) for one in sorted(look.strengths, key=_place)]
    temp = show(look.temp_c, "c", queries.nursery().units)
    title = f"{look.name[:1].upper()}{look.name[1:]} in {look.water}, at {temp}"
    print_table(title, ("", "Wanted", "From the water", "In all", ""), rows)
    print_lines("EC", (_ec(look), look.ec.text))
    print_lines("pH", _ph(look))
    print_lines("Charges", (look.charge.text,))
    print_lines(
        "Clear or not", [one.text for one in look.settlings if one.state != "clear"] or (_clear(look),)
    )
    if look.cost_minor is not None:
        print_lines("A litre costs", (_cost(look.cost_minor),))
    elif look.unpriced:
        print_lines("A litre costs", (f"not known: no price for {', '.join(look.unpriced)}.",))
    print_lines("Not worked out", look.not_modelled)
    print_lines("Take care", look.cautions)


def _ec(look: MixLook) -> str:
    one = look.ec
    spread = show_range(one.ec_low_ms_cm, one.ec_high_ms_cm, "ms_cm")
    over = show(one.ec_above_source_ms_cm, "ms_cm")
    return f"{show(one.ec_ms_cm, 'ms_cm')} ({spread}), {over} of it over the water."


def _clear(look: MixLook) -> str:
    return "It stays clear." if look.settlings else "Nothing that could fall out is known to be in it."


def _place(one: StrengthLine) -> int:
    return MAIN.index(one.what) if one.what in MAIN else len(MAIN)


def _strength(one: StrengthLine) -> tuple[str, ...]:
    wanted = show(one.wanted_mg_l, "mg_l") if one.wanted_mg_l is not None else ""
    water = show(one.water_mg_l, "mg_l") if one.water_mg_l is not None else "not known"
    return (one.what, wanted, water, show(one.in_all_mg_l, "mg_l"), f"{one.in_all_mmol_l:.3g} mmol/L")


def _ph(look: MixLook) -> tuple[str, ...]:
    if look.ph is None:
        return ()
    later = f", {look.ph_standing:.1f} once it has stood" if look.ph_standing is not None else ""
    return (f"About {look.ph:.1f} as mixed{later}.",)


def say_compared(looks: Sequence[MixLook]) -> None:
    """Print mixes side by side."""
    held = [{one.what: one.in_all_mg_l for one in look.strengths} for look in looks]
    rows: list[tuple[str, ...]] = [
        ("EC, mS/cm", *(f"{one.ec.ec_ms_cm:.2f} ({one.ec.ec_low_ms_cm:.2f} to {one.ec.ec_high_ms_cm:.2f})"
                        for one in looks)),
        ("over the water", *(f"{one.ec.ec_above_source_ms_cm:.2f}" for one in looks)),
    ]  # fmt: skip
    rows += [
        (f"{what}, mg/L", *(show_number(one.get(what), 1) if what in one else "" for one in held))
        for what in MAIN
        if any(one.get(what) for one in held)
    ]
    rows += [
        ("pH", *(f"{one.ph:.1f}" if one.ph is not None else "not known" for one in looks)),
        ("clear or not", *(one.state for one in looks)),
        ("a litre costs", *(_cost(one.cost_minor) or "not known" for one in looks)),
    ]
    print_table(f"In {looks[0].water}", ("", *(one.name for one in looks)), rows)
    print_lines("Take care", dict.fromkeys(caution for one in looks for caution in one.cautions))


def say_stocks(plan: StockPlan) -> None:
    """Print stock solutions, whether they stay clear, and what they make."""
    print_lines("", (plan.sentence,))
    for stock in plan.stocks:
        rows = [
            (one.name, measured(one.amount_ml, one.amount_g) if one.amount_ml or one.amount_g else "",
             one.text, f"{one.most_g_l:.0f} g/L" if one.most_g_l is not None else "no table says")
            for one in stock.parts
        ]  # fmt: skip
        volume = show(plan.stock_l, "l", queries.nursery().units)
        heads = ("", f"For {volume}", "", "At most dissolves")
        print_table(f"Stock {stock.name}: {stock.state}", heads, rows)
        print_lines("", (*_unclear(stock.settlings), *stock.cautions))
    dose = f"{show(plan.dose_ml_l, 'ml_l')} of {'each' if len(plan.stocks) > 1 else 'the'} stock."
    mix = plan.diluted
    print_lines("Diluted", (dose, f"EC {_ec(mix)}", mix.ec.text, *_unclear(mix.settlings)))
    print_lines("Take care", plan.cautions)


def _unclear(settlings: tuple[Settling, ...]) -> list[str]:
    return [one.text for one in settlings if one.state != "clear"]


def say_shelf(rows: Sequence[ShelfRow], targets: Sequence[KeptTarget], waters: Sequence[KeptWater]) -> None:
    """Print what there is to mix from, the waters, and the targets there are."""
    currency = queries.nursery().currency
    if rows:
        packs = [
            (row.name, row.feed.formula if row.is_salt else f"feed, {row.feed.form}", _pack(row, currency))
            for row in rows
        ]
        print_table("On the shelf", ("", "It is", "A pack"), packs)
    else:
        print_lines("On the shelf", ("Nothing yet: describe a feed or a salt on the page Mixes.",))
    kept = [f"{one.water.name}{' (ours)' if one.is_ours else ''}" for one in waters]
    print_lines("Waters", ("; ".join((*kept, "rain", "purified")),))
    print_table(
        "Targets",
        ("", "Wanted, mg/L", ""),
        [(one.target.name, ", ".join(f"{part.what} {part.strength_mg_l:.3g}" for part in one.target.wanted),
          "yours" if one.key is not None else f"published: {one.target.source}") for one in targets],
    )  # fmt: skip


def _pack(row: ShelfRow, currency: str) -> str:
    item = row.item
    size = show(item.pack_g, "g") if item.pack_g else show(item.pack_ml, "ml") if item.pack_ml else ""
    price = show_money(item.pack_minor, currency) if item.pack_minor else ""
    return f"{size} at {price}" if size and price else size or price
