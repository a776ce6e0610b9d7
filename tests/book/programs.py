"""Programs run on a book of their own, in a process of their own."""

import os
import signal
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parents[2]


def run(
    home: Path, *arguments: str, check: bool = True, **environment: str
) -> subprocess.CompletedProcess[str]:
    """Run Python with `arguments` on the book in `home`."""
    return subprocess.run(
        [sys.executable, *arguments],
        env=_environment(home) | environment,
        capture_output=True,
        text=True,
        check=check,
        timeout=120,
    )


def start(home: Path, *arguments: str) -> subprocess.Popen[str]:
    """Start Python with `arguments` on the book in `home`, and do not wait for its end."""
    return subprocess.Popen(
        [sys.executable, *arguments],
        env=_environment(home),
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        preexec_fn=lambda: signal.signal(signal.SIGINT, signal.default_int_handler),
    )


def _environment(home: Path) -> dict[str, str]:
    kept = {
        name: value for name, value in os.environ.items() if not name.startswith(("HALFWATER_", "DJANGO_"))
    }
    return kept | {"HALFWATER_HOME": str(home), "PYTHONPATH": f"{ROOT / 'src'}{os.pathsep}{ROOT}"}


def run_code(home: Path, code: str, **environment: str) -> str:
    """Run lines of Python on the book in `home` and give what they print."""
    return run(home, "-c", code, **environment).stdout.strip()
