"""The claim: filter and forecast of one tank from ten years of its entries, nothing kept, take at most 40 ms.

Peer: one call of statsmodels' compiled filter on the same length of history, in the same run; it gives no
forecast of a passage.
"""

import sys

import numpy as np
from waterline_filter import DAYS, rival, seconds, ten_years

from halfwater.science.evenings import WaterRow
from halfwater.science.reckoning import reckon_water
from halfwater.science.vessel import Vessel, bath_depth, lines
from halfwater.science.water_facts import TankWater

EVENING = 20.0 / 24.0
VESSEL = Vessel(914.4, 457.2, 400.0, 119, 50.8, 38.0, 50.8, 0.625, 0.44)


def entries(tank: TankWater) -> list[WaterRow]:
    """Ten years: a spray on nine evenings of ten, a reading a week, a siphon when the limit line is near."""
    rng = np.random.default_rng(3)
    rows = []
    volume = 6.0
    for day in range(DAYS):
        if day % 7 == 0:
            depth = float(bath_depth(VESSEL, volume)) + rng.normal(0.0, 0.8)
            rows.append(WaterRow(day + EVENING - 0.01, "waterline", round(max(depth, 0.0))))
            if depth > tank.lines.limit_line_mm - 1.0:
                rows.append(WaterRow(day + EVENING - 0.005, "siphon", None, "low"))
                volume = 5.4
        if rng.random() < 0.9:
            rows.append(WaterRow(day + EVENING, "spray", 0.15, word="night"))
            volume += 0.55 * 0.15
        volume -= 0.03
    return rows


def main() -> int:
    """Print the time, the ratio and whether the claim holds."""
    tank = TankWater(VESSEL, lines(VESSEL, 6.0, None), 0.0, EVENING, 0.15)
    rows = entries(tank)
    now = DAYS + 0.5
    mine = seconds(lambda: reckon_water([tank], [rows], now), 9)
    late = [row for row in rows if row.day >= DAYS - 35]
    kept = reckon_water([tank], [rows], now, keep_days=[DAYS - 34.5])[0].kept[0]
    resumed = seconds(lambda: reckon_water([tank], [late], now, starts=[kept]), 9)
    _, spray, reading = ten_years(1)
    peer = seconds(rival(spray, reading).filter, 9)
    print(f"ten years of entries to a siphon date   {mine * 1e3:.1f} ms   at most 40 ms")
    print(f"the same from a kept state              {resumed * 1e3:.1f} ms")
    print(f"ratio to one statsmodels filter call    {mine / peer:.2f} (peer {peer * 1e3:.1f} ms)")
    held = mine <= 0.040
    print("holds" if held else "DOES NOT HOLD")
    return 0 if held else 1


if __name__ == "__main__":
    sys.exit(main())
