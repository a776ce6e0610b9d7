"""A PostgreSQL of this test run's own: started at the first test that asks, gone when the run is gone.

The workers of a run share one server. Each holds a pipe open; when the last of them is gone, in
whichever way, the keeper of the server reads the end of the pipe, stops it and clears its folder away.
"""

import fcntl
import os
import pwd
import shlex
import shutil
import subprocess
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from functools import cache
from pathlib import Path

import psycopg

USER = "halfwater"
SECONDS = 30.0
# Nothing here has to outlive a power cut, and two workers may each send fifty writers.
SETTINGS = {
    "listen_addresses": "",
    "max_connections": "240",
    "shared_buffers": "32MB",
    "fsync": "off",
    "synchronous_commit": "off",
    "full_page_writes": "off",
}


def programs() -> Path | None:
    """The newest folder on this machine with PostgreSQL's own programs."""
    named = shutil.which("initdb")
    if named and shutil.which("postgres"):
        return Path(named).parent
    found = [one.parent for one in Path("/usr/lib/postgresql").glob("*/bin/initdb")]
    return max(found, key=lambda one: float(one.parent.name), default=None)


def address(name: str, run: Path) -> str:
    """The address of the database `name` on this run's server, which is started if it is not there."""
    return f"postgresql://{USER}@/{name}?host={_folder(run)}"


def make_database(name: str, run: Path, template: str = "template0") -> str:
    """A database of that name on this run's server, copied from `template`; gives its address."""
    with psycopg.connect(address("postgres", run), autocommit=True) as server:
        server.execute(f'CREATE DATABASE "{name}" TEMPLATE "{template}"')
    return address(name, run)


def drop_database(name: str, run: Path) -> None:
    """Away with it, whoever is still connected."""
    with psycopg.connect(address("postgres", run), autocommit=True) as server:
        server.execute(f'DROP DATABASE IF EXISTS "{name}" WITH (FORCE)')


@contextmanager
def alone(run: Path, what: str) -> Iterator[Path]:
    """Only one worker of the run at a time; gives a file in which it may say that it was done."""
    with (run / f"{what}.lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        yield run / what


@cache
def _folder(run: Path) -> Path:
    """The folder of the running server; this process holds its pipe open from now on."""
    with alone(run, "postgres") as said:
        if not said.exists():
            said.write_text(str(_start()))
        folder = Path(said.read_text())
        os.open(folder / "held", os.O_WRONLY)
    return folder


def _start() -> Path:
    """Make a cluster, start it under its keeper, and give its folder once it answers."""
    where = programs()
    assert where is not None, "no PostgreSQL on this machine"
    folder = Path(tempfile.mkdtemp(prefix="hw-pg-", dir="/tmp"))  # a socket's path must be short
    os.mkfifo(folder / "held", 0o600)
    as_user: dict[str, object] = {}
    if os.getuid() == 0:  # PostgreSQL runs as anyone but root
        user = _plain_user()
        as_user = {"user": user.pw_uid, "group": user.pw_gid, "extra_groups": []}
        for path in (folder, folder / "held"):
            os.chown(path, user.pw_uid, user.pw_gid)
    subprocess.run(
        ["sh", "-c", _keeping(where, folder)],
        check=True,
        cwd=folder,
        env={"LC_ALL": "C.UTF-8", "PATH": os.defpath},
        stdin=subprocess.DEVNULL,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
        start_new_session=True,
        **as_user,  # type: ignore[call-overload]
    )
    _wait(folder)
    return folder


def _keeping(where: Path, folder: Path) -> str:
    """What the keeper runs: make, start, wait until nobody holds the pipe any more, stop, clear away."""
    options = " ".join(f"-c {name}={shlex.quote(value)}" for name, value in SETTINGS.items())
    return (
        "{\n"
        f"{where}/initdb -D data -U {USER} --auth=trust --encoding=UTF8 --no-sync >said 2>&1 || exit 1\n"
        f"{where}/postgres -D data -k {folder} {options} >>said 2>&1 & server=$!\n"
        "cat held >/dev/null\n"
        f"kill -INT $server; wait $server; cd /; rm -rf {folder}\n"
        "} &\n"
    )


def _wait(folder: Path) -> None:
    """Until the server answers; the pipe is held meanwhile by the process that opens it here."""
    until = time.monotonic() + SECONDS
    with (folder / "held").open("r+b", buffering=0):
        while True:
            try:
                psycopg.connect(f"postgresql://{USER}@/postgres?host={folder}").close()
                os.open(folder / "held", os.O_WRONLY)
                return
            except psycopg.OperationalError:
                if time.monotonic() > until:
                    raise RuntimeError((folder / "said").read_text()) from None
                time.sleep(0.05)


def _plain_user() -> pwd.struct_passwd:
    known = {one.pw_name: one for one in pwd.getpwall()}
    return known.get("postgres") or known["nobody"]
