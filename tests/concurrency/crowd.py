"""A crowd of writers at one book at once, in several processes, some of them killed at any instant.

A writer is a function `work(writer, notes, **arguments)` named "package.module:function". It says
`notes.asked(key)` before a call and `notes.acknowledged(key)` once the call has returned. Both are on the
disk before they return, so that of a killed writer it is known what it was told, and what it may have got.

    told = crowd("tests.concurrency.sprays:note", store.environment, tmp_path, kill=1, arguments={"tank": 1})
"""

import json
import os
import random
import subprocess
import sys
import time
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import IO

from tests.book.programs import ROOT

MARKS = ("asked", "acknowledged", "failed", "ended")


@dataclass(frozen=True, slots=True)
class Notes:
    """What a writer writes down as it goes: one line a word, on the disk at once."""

    file: int

    def asked(self, key: str) -> None:
        """I am about to ask for this."""
        self.write("asked", key)

    def acknowledged(self, key: str) -> None:
        """I was told that this is done."""
        self.write("acknowledged", key)

    def write(self, mark: str, key: str) -> None:
        """One line, whole or not at all."""
        os.write(self.file, (json.dumps([mark, key]) + "\n").encode())
        os.fdatasync(self.file)


@dataclass(frozen=True, slots=True)
class Told:
    """What one writer wrote down."""

    writer: int
    asked: tuple[str, ...]
    acknowledged: tuple[str, ...]
    failed: str  # what it stumbled over; "" if nothing
    ended: bool  # false for a writer that was killed


@dataclass(frozen=True, slots=True)
class Crowd:
    """What all writers wrote down, and how many processes were killed before they were done."""

    told: tuple[Told, ...]
    killed: int
    seconds: float  # from the start signal until the last process was gone

    @property
    def acknowledged(self) -> tuple[str, ...]:
        """Every key that any writer was told is done, as often as it was told."""
        return tuple(key for one in self.told for key in one.acknowledged)

    @property
    def asked(self) -> tuple[str, ...]:
        """Every key that any writer asked for."""
        return tuple(key for one in self.told for key in one.asked)

    @property
    def failed(self) -> tuple[str, ...]:
        """What any writer stumbled over."""
        return tuple(one.failed for one in self.told if one.failed)


def crowd(
    work: str,
    environment: Mapping[str, str],
    folder: Path,
    *,
    arguments: Mapping[str, object] | None = None,
    processes: int = 4,
    threads: int = 13,
    kill: int = 0,
    within_s: float = 0.3,
    seed: int = 0,
    limit_s: float = 60.0,
) -> Crowd:
    """Let `processes` x `threads` writers go at one signal; kill `kill` of the processes within `within_s`.

    `environment` names the book (see tests/stores.py), `folder` takes what the writers write down.
    Writers are numbered from 0; those of process p are p, p + processes, p + 2 processes, and so on.
    """
    notes = folder / "notes"
    notes.mkdir()
    running: list[subprocess.Popen[str]] = []
    try:
        for number in range(processes):
            running.append(_start(environment))
            writers = list(range(number, processes * threads, processes))
            _send(running[-1], work=work, writers=writers, folder=str(notes), arguments=dict(arguments or {}))
        for one in running:
            assert _pipe(one.stdout).readline() == "ready\n", one.communicate()[1]
        began = time.monotonic()
        for one in running:
            _send(one, go=True)
        killed = _kill(running, kill, within_s, random.Random(seed))
        for one in running:
            _, said = one.communicate(timeout=limit_s)
            assert one.returncode in (0, -9), said
        seconds = time.monotonic() - began
    finally:
        for one in running:
            one.kill()
            one.communicate()
    return Crowd(tuple(_read(notes, writer) for writer in range(processes * threads)), killed, seconds)


def _start(environment: Mapping[str, str]) -> subprocess.Popen[str]:
    kept = {k: v for k, v in os.environ.items() if not k.startswith(("HALFWATER_", "DJANGO_"))}
    return subprocess.Popen(
        [sys.executable, "-m", "tests.concurrency.writer_program"],
        cwd=ROOT,
        env=kept | {"PYTHONPATH": f"{ROOT / 'src'}{os.pathsep}{ROOT}"} | environment,
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )


def _kill(running: list[subprocess.Popen[str]], kill: int, within_s: float, chance: random.Random) -> int:
    """Kill so many of the processes, each at an instant of its own; gives how many were not done yet."""
    doomed = chance.sample(running, kill)
    killed, since = 0, time.monotonic()
    for at, one in sorted(((chance.uniform(0.0, within_s), one) for one in doomed), key=lambda pair: pair[0]):
        time.sleep(max(0.0, since + at - time.monotonic()))
        one.kill()
        killed += one.wait() == -9
    return killed


def _send(one: subprocess.Popen[str], **words: object) -> None:
    _pipe(one.stdin).write(json.dumps(words) + "\n")
    _pipe(one.stdin).flush()


def _read(notes: Path, writer: int) -> Told:
    file = notes / f"{writer}.jsonl"
    whole = file.read_text(encoding="utf-8").rpartition("\n")[0] if file.exists() else ""
    lines = [json.loads(line) for line in whole.splitlines()]
    by = {mark: tuple(key for said, key in lines if said == mark) for mark in MARKS}
    return Told(writer, by["asked"], by["acknowledged"], "".join(by["failed"]), bool(by["ended"]))


def _pipe(pipe: IO[str] | None) -> IO[str]:
    assert pipe is not None
    return pipe
