"""What every test stands on: a book folder of its own, Django set up on it, and steady property tests."""

import atexit
import os
import shutil
import tempfile

import pytest
from hypothesis import HealthCheck, settings

# Before Django reads its settings: no test may touch the grower's own book.
_home = tempfile.mkdtemp(prefix="halfwater-tests-")
atexit.register(shutil.rmtree, _home, ignore_errors=True)
os.environ["HALFWATER_HOME"] = _home
for _name in ("HALFWATER_DATABASE_URL", "HALFWATER_HOST", "HALFWATER_HTTPS"):
    os.environ.pop(_name, None)
if os.environ.get("HALFWATER_TEST_DATABASE_URL"):  # the same tests on PostgreSQL, in a database of their own
    os.environ["HALFWATER_DATABASE_URL"] = os.environ["HALFWATER_TEST_DATABASE_URL"]
os.environ["DJANGO_SETTINGS_MODULE"] = "halfwater.config.settings"
os.environ |= {"LOGNAME": "grower", "COLUMNS": "100"}  # a table is laid out alike whoever runs the tests
os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "true"  # the browser tests drive Chromium beside a live server

settings.register_profile(
    "halfwater",
    deadline=None,
    max_examples=60,
    derandomize=True,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.function_scoped_fixture],
)
settings.load_profile("halfwater")


def pytest_configure() -> None:
    """Start the house before any test is collected; pytest-django then guards its database."""
    from halfwater import config  # not before the environment above is set

    config.boot()


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    """Count skipped tests out loud, so that a missing browser never passes for a green one."""
    skipped = terminalreporter.stats.get("skipped", [])
    browser = sum(1 for report in skipped if "tests/browser/" in report.nodeid)
    if browser:
        terminalreporter.write_line(f"SKIPPED BROWSER TESTS: {browser} (no Chromium here)", red=True)
    elif skipped:
        terminalreporter.write_line(f"SKIPPED TESTS: {len(skipped)}", yellow=True)
