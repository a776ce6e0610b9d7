"""Whole commands on the demo book, each a process of its own.

Claims: `halfwater tonight` within 1.5 s and `halfwater --help` within 0.25 s.
Peers in the same run, turn about: `python -c pass`, and `python -c "import numpy, django"`.
"""

import os
import statistics
import subprocess
import sys
import tempfile
import time
from datetime import UTC, datetime

REPEATS = 9
CLAIMS_S = {"halfwater tonight": 1.5, "halfwater --help": 0.25}
RUN = "import sys; from halfwater.cli.app import main; main()"
COMMANDS = {
    "python -c pass": ["-c", "pass"],
    'python -c "import numpy, django"': ["-c", "import numpy, django"],
    "halfwater --help": ["-c", RUN, "--help"],
    "halfwater tonight": ["-c", RUN, "tonight"],
}
LOAD = """
from datetime import UTC, datetime
from halfwater.config import open_book
open_book()
from halfwater.deeds.demo import load_demo
print(load_demo(datetime.now(UTC)).entries)
"""


def main() -> int:
    """Load the demo into a folder of its own, then time the commands turn about."""
    with tempfile.TemporaryDirectory(prefix="halfwater-bench-") as home:
        surroundings = {**os.environ, "HALFWATER_HOME": home}
        surroundings.pop("HALFWATER_DATABASE_URL", None)
        loaded = subprocess.run(
            [sys.executable, "-c", LOAD], env=surroundings, check=True, capture_output=True, text=True
        )
        print(
            f"demo book of {loaded.stdout.strip()} entries, {datetime.now(UTC):%Y-%m-%d}; median of {REPEATS}"
        )
        taken: dict[str, list[float]] = {name: [] for name in COMMANDS}
        for turn in range(REPEATS + 1):
            for name, arguments in COMMANDS.items():
                took = timed([sys.executable, *arguments], surroundings)
                if turn:  # the first turn warms the files of all four alike
                    taken[name].append(took)
    return report({name: statistics.median(all_of) for name, all_of in taken.items()})


def timed(command: list[str], surroundings: dict[str, str]) -> float:
    """Seconds from start to end of a process that must succeed."""
    start = time.perf_counter()
    ended = subprocess.run(command, env=surroundings, capture_output=True, text=True, check=False)
    took = time.perf_counter() - start
    if ended.returncode:
        raise SystemExit(f"{' '.join(command[-2:])} ended with {ended.returncode}: {ended.stderr.strip()}")
    return took


def report(median_s: dict[str, float]) -> int:
    """Seconds and ratios beside the claims; 1 if one does not hold."""
    bare, libraries = list(median_s.values())[:2]
    holds = True
    for name, took in median_s.items():
        ratios = f"{took / bare:5.1f} x bare python  {took / libraries:5.2f} x numpy and django"
        line = f"{name:34} {took:6.3f} s  {ratios}"
        if name in CLAIMS_S:
            is_kept = took <= CLAIMS_S[name]
            holds &= is_kept
            line += f"  (claim: {CLAIMS_S[name]} s) {'holds' if is_kept else 'DOES NOT HOLD'}"
        print(line)
    return 0 if holds else 1


if __name__ == "__main__":
    raise SystemExit(main())
