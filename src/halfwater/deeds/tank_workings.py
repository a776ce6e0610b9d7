"""How a tank's figures were worked out: equations, what went in, what came out, where it is from."""

from collections.abc import Iterable

from halfwater.deeds.water import Bath, air_volume
from halfwater.plain.working import Working
from halfwater.science import starting
from halfwater.science.light import LightAnswer

_MODEL = "durbin-koopman-2012, chapter 4; own definition"


def water_workings(bath: Bath) -> Iterable[Working]:
    """The steps from the tank's shape and its entries to the siphon date."""
    answer, water, tank = bath.answer, bath.water, bath.tank
    if answer is None or water is None:
        return
    lines = water.lines
    yield Working(
        "Lines",
        "clay line = clay fill × pot height; limit line = clay line − margin",
        (
            ("pot height", f"{water.vessel.pot_height_mm:.0f} mm"),
            ("clay fill", f"{100 * tank.clay_fill_frac:.0f} %"),
            ("margin", f"{tank.margin_mm:.0f} mm"),
            (
                "low line",
                f"{lines.low_line_mm:.0f} mm" + ("" if tank.low_line_mm else " (a third of the pot)"),
            ),
        ),
        f"clay line {lines.clay_line_mm:.0f} mm, limit line {lines.limit_line_mm:.0f} mm",
        "own definition",
    )
    yield Working(
        "Bath",
        "V(h) = A h − n ∫ π r(z)² (1 − φ) dz, up to the clay line",
        (
            ("floor", f"{tank.length_mm:.0f} × {tank.width_mm:.0f} mm"),
            ("pots", f"{tank.pots}"),
            ("voids of the clay", f"{100 * tank.clay_porosity_frac:.0f} %"),
            ("depth", f"{answer.depth_mm:.1f} mm ({answer.depth_low_mm:.1f} to {answer.depth_high_mm:.1f})"),
        ),
        f"{answer.volume_l:.2f} L, give or take {1.28 * answer.volume_sd_l:.2f} L",
        "own definition",
        "depths from the floor to the rim",
    )
    yield Working(
        "Catch and loss",
        "volume tomorrow = volume + catch × spray + fill − siphon − loss + noise; readings correct all three",
        (
            ("spray of an evening, blanks counted in", f"{1000 * answer.spray_l_evening:.0f} mL"),
            ("evenings noted lately", f"{100 * answer.noted_share_frac:.0f} %"),
            ("starting catch", f"{100 * starting.CATCH_FRAC:.0f} %"),
            ("vapour through the lid, from the settings", f"{1000 * water.vapour_l_day:.0f} mL a day"),
            ("air under the lid", f"{air_volume(tank):.0f} L"),
        ),
        f"catch {100 * answer.catch_frac:.0f} % (± {100 * answer.catch_sd_frac:.0f}), "
        f"loss {1000 * answer.loss_l_day:.0f} mL a day (± {1000 * answer.loss_sd_l_day:.0f})",
        _MODEL,
    )
    yield Working(
        "Siphon date",
        "first evening on which a drawn future passes the limit line; dates by 10, 50 and 90 % of the futures",
        (
            ("net rise", f"{1000 * answer.net_l_day:.0f} mL a day"),
            ("limit line", f"{lines.limit_line_mm:.0f} mm"),
            ("to take out, limit line to low line", f"{answer.siphon_volume_l:.2f} L"),
        ),
        _dates(bath),
        "cox-miller-1965, section 5.7; chhikara-folks-1989, chapter 2",
        "about 400 days ahead",
    )


def light_working(light: LightAnswer) -> Working:
    """The daily light from its sources."""
    inputs = tuple(
        (source.name, f"{source.ppfd_umol_m2_s:.0f} µmol/m²/s for {source.lit_h:g} h")
        for source in light.sources
    )
    dli = light.dli_mol_m2_d
    return Working(
        "Light",
        "DLI = Σ 0.0036 × PPFD × hours",
        inputs,
        light.why if dli is None else f"{dli:.2f} mol/m² a day",
        "purdue-ho-238",
    )


def _dates(bath: Bath) -> str:
    answer = bath.answer
    days = (
        [bath.day_in(d) for d in (answer.siphon_p10_day, answer.siphon_p50_day, answer.siphon_p90_day)]
        if answer
        else []
    )
    said = [on.isoformat() if on is not None else "not in sight" for on in days]
    return f"{said[1]} (80 %: {said[0]} to {said[2]})" if said else ""
