"""The commands' tests stand on Django, set up on the test run's own folder."""

from collections.abc import Callable

import pytest

from halfwater import config
from halfwater.cli.app import run

config.boot()

Command = Callable[..., tuple[int, str, str]]


@pytest.fixture
def halfwater(capsys: pytest.CaptureFixture[str]) -> Command:
    """Runs a command line; gives exit code, what it printed, and its errors."""

    def command(*words: str) -> tuple[int, str, str]:
        code = run(words)
        out, err = capsys.readouterr()
        return code, out, err

    return command
