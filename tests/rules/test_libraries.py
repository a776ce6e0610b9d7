"""The libraries we ask for load without a warning on the Python that runs them."""

import os
import subprocess
import sys

LOADING = """
import django
import django.conf

django.conf.settings.configure()
django.setup()

import ninja
import periodictable
import phreeqpython
import schemathesis
"""


def test_libraries_load_without_a_warning() -> None:
    """Warnings are errors in our tests, so a library that warns when it is loaded would break them all."""
    done = subprocess.run(
        [sys.executable, "-W", "error", "-c", LOADING],
        env={name: value for name, value in os.environ.items() if not name.startswith("DJANGO_")},
        capture_output=True,
        text=True,
        timeout=60,
    )
    assert (done.returncode, done.stdout, done.stderr) == (0, "", "")
