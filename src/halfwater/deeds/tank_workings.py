"""How a tank's figures were worked out: equations, what went in, what came out, where it is from."""

from halfwater.deeds.water import Bath, air_volume
from halfwater.plain.figures import show, show_dates, show_range
from halfwater.plain.tank import TankFacts
from halfwater.plain.working import Working
from halfwater.science import starting
from halfwater.science.light import LightAnswer
from halfwater.science.water_facts import TankWater, WaterAnswer

_P10_SD = 1.28


def water_workings(bath: Bath, units: str) -> tuple[Working, ...]:
    """The steps from the tank's shape and its entries to the siphon date."""
    answer, water = bath.answer, bath.water
    if answer is None or water is None:
        return ()
    return (
        _lines(bath.tank, water, units),
        _bath(bath.tank, answer, units),
        _catch_and_loss(bath.tank, water, answer, units),
        _siphon_date(bath, water, answer, units),
    )


def _lines(tank: TankFacts, water: TankWater, units: str) -> Working:
    lines = water.lines
    clay, limit, low = (
        show(line, "mm", units) for line in (lines.clay_line_mm, lines.limit_line_mm, lines.low_line_mm)
    )
    return Working(
        "Lines",
        "clay line = clay fill × pot height; limit line = clay line − margin",
        (
            ("pot height", show(water.vessel.pot_height_mm, "mm", units)),
            ("clay fill", show(tank.clay_fill_frac, "frac")),
            ("margin", show(tank.margin_mm, "mm", units)),
            ("low line", low if tank.low_line_mm is not None else f"{low} (a third of the pot)"),
        ),
        f"clay line {clay}, limit line {limit}",
        "own definition",
    )


def _bath(tank: TankFacts, answer: WaterAnswer, units: str) -> Working:
    depth = show_range(answer.depth_low_mm, answer.depth_high_mm, "mm", units)
    return Working(
        "Bath",
        "V(h) = A h − n ∫ π r(z)² (1 − φ) dz, up to the clay line",
        (
            ("floor", f"{show(tank.length_mm, 'mm', units)} × {show(tank.width_mm, 'mm', units)}"),
            ("pots", str(tank.pots)),
            ("voids of the clay", show(tank.clay_porosity_frac, "frac")),
            ("depth", f"{show(answer.depth_mm, 'mm', units)} (80 %: {depth})"),
        ),
        f"{show(answer.volume_l, 'l', units)}, give or take {show(_P10_SD * answer.volume_sd_l, 'l', units)}",
        "own definition",
        "depths from the floor to the rim",
    )


def _catch_and_loss(tank: TankFacts, water: TankWater, answer: WaterAnswer, units: str) -> Working:
    catch, catch_sd = (show(value, "frac") for value in (answer.catch_frac, answer.catch_sd_frac))
    loss, loss_sd = (show(value, "l_day", units) for value in (answer.loss_l_day, answer.loss_sd_l_day))
    return Working(
        "Catch and loss",
        "volume tomorrow = volume + catch × spray + fill − siphon − loss + noise; readings correct all three",
        (
            ("spray of an evening, blanks counted in", show(answer.spray_l_evening, "l", units)),
            ("evenings noted lately", show(answer.noted_frac, "frac")),
            ("starting catch", show(starting.CATCH_FRAC, "frac")),
            ("vapour through the lid, from the settings", show(water.vapour_l_day, "l_day", units)),
            ("air under the lid", show(air_volume(tank), "l", units)),
        ),
        f"catch {catch} (± {catch_sd}), loss {loss} (± {loss_sd})",
        "durbin-koopman-2012, chapter 4; own definition",
    )


def _siphon_date(bath: Bath, water: TankWater, answer: WaterAnswer, units: str) -> Working:
    days = (answer.siphon_p10_day, answer.siphon_p50_day, answer.siphon_p90_day)
    return Working(
        "Siphon date",
        "the evening by which 10, 50 and 90 % of the drawn futures have passed the limit line",
        (
            ("net rise", show(answer.net_l_day, "l_day", units)),
            ("limit line", show(water.lines.limit_line_mm, "mm", units)),
            ("to take out, limit line to low line", show(answer.siphon_volume_l, "l", units)),
        ),
        show_dates(*(bath.day_in(day) for day in days)),
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
