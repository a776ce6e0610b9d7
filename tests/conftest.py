"""What every test stands on: a book folder of its own, Django set up on it, and steady property tests."""

import atexit
import os
import shutil
import tempfile
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings
from hypothesis.internal.conjecture import providers

from tests import postgres_server
from tests.stores import file_home, postgres_url, store  # noqa: F401

# Before Django reads its settings: no test may touch the grower's own book.
_home = tempfile.mkdtemp(prefix="halfwater-tests-")
atexit.register(shutil.rmtree, _home, ignore_errors=True)
if "PYTEST_XDIST_WORKER" not in os.environ:  # the workers share the folder of the process that starts them
    os.environ["HALFWATER_TEST_RUN"] = _home
os.environ["HALFWATER_HOME"] = _home
for _name in ("HALFWATER_DATABASE_URL", "HALFWATER_HOST", "HALFWATER_HTTPS"):
    os.environ.pop(_name, None)
if os.environ.get("HALFWATER_TEST_STORE") == "postgres":  # the same tests, on a database of each worker's own
    _run = Path(os.environ["HALFWATER_TEST_RUN"])
    os.environ["HALFWATER_DATABASE_URL"] = postgres_server.address("halfwater", _run)
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
# Hypothesis mixes in numbers from those modules of ours that happen to be loaded; which ones are depends on
# the tests that a worker ran before, and a red test must be red twice.
providers._get_local_constants = lambda _none=providers._local_constants: _none  # type: ignore[assignment]


def pytest_configure() -> None:
    """Start the house before any test is collected; pytest-django then guards its database."""
    from halfwater import config  # not before the environment above is set

    config.boot()


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Mark what asks for PostgreSQL, and skip it where there is none."""
    here = postgres_server.programs() is not None
    for item in items:
        if "postgres_url" in getattr(item, "fixturenames", ()):
            item.add_marker("postgres")
        if not here and item.get_closest_marker("postgres"):
            item.add_marker(pytest.mark.skip(reason="no PostgreSQL on this machine"))


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    """Count skipped tests out loud, so that a missing browser never passes for a green one."""
    skipped = terminalreporter.stats.get("skipped", [])
    browser = sum(1 for report in skipped if "tests/browser/" in report.nodeid)
    stored = sum(1 for report in skipped if "postgres" in report.keywords)
    if browser:
        terminalreporter.write_line(f"SKIPPED BROWSER TESTS: {browser} (no Chromium here)", red=True)
    if stored:
        terminalreporter.write_line(f"SKIPPED POSTGRESQL TESTS: {stored} (no PostgreSQL here)", red=True)
    if rest := len(skipped) - browser - stored:
        terminalreporter.write_line(f"SKIPPED TESTS: {rest}", yellow=True)
