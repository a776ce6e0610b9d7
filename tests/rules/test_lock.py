"""requirements.lock: exact versions with hashes, from no named address, and nothing missing."""

import re
import sys
import tomllib
from importlib.metadata import Distribution, distributions

from tests.rules.reading import ROOT, hold, python_files

LOCK = (ROOT / "requirements.lock").read_text(encoding="utf-8")
# Tools run by name, the build, the driver that Django loads itself, and the table of time zones.
TOOLS = {"editables", "hatchling", "import-linter", "mypy", "psycopg", "ruff", "tzdata"}
TOOLS |= {"pytest-django", "pytest-xdist"}
PEERS = (ROOT / "benchmarks" / "requirements.lock").read_text(
    encoding="utf-8"
)  # installed by make bench only
PIN = re.compile(r"^([a-z0-9._-]+)==(\S+)", flags=re.MULTILINE)
PINS, PEER_PINS = dict(PIN.findall(LOCK)), dict(PIN.findall(PEERS))


def test_every_line_is_a_pin_or_a_hash() -> None:
    """Nothing stands in the lock but name==version and its sha256 hashes: no address, no option."""
    pin = r"[a-z0-9._-]+==\S+(?: ; [^\\]+?)? \\"
    line = re.compile(rf"(?:{pin}|    --hash=sha256:[0-9a-f]{{64}}(?: \\)?)")
    hold(text for text in (LOCK + PEERS).splitlines() if not line.fullmatch(text))


def test_the_peers_of_the_benchmarks_fit_the_rest() -> None:
    """A package that both locks name has one version, so that make bench changes nothing that was there."""
    hold(name for name, version in PEER_PINS.items() if PINS.get(name, version) != version)


def test_every_pin_has_a_hash() -> None:
    """Each pinned package is followed by at least one hash."""
    blocks = re.split(r"^(?=[a-z0-9])", LOCK, flags=re.MULTILINE)[1:]
    hold(block.splitlines()[0] for block in blocks if "--hash=sha256:" not in block)
    assert len(blocks) == len(PINS)


def test_every_dependency_is_locked() -> None:
    """What pyproject.toml and requirements.in ask for is in the lock."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    lines = project["project"]["dependencies"] + project["build-system"]["requires"]
    lines += (ROOT / "requirements.in").read_text(encoding="utf-8").splitlines()
    names = [re.match(r"[a-z0-9-]+", line) for line in lines if not line.startswith("#")]
    hold(name.group(0) for name in names if name and name.group(0) not in PINS)


def test_no_import_is_missing_from_the_lock() -> None:
    """Every library that the package or its tests import comes with the lock, a benchmark's with its own."""
    home = {module: dist.name.lower() for dist in distributions() for module in _modules(dist)}
    asked = set()
    for path in python_files("src", "tests", "benchmarks"):
        text = path.read_text(encoding="utf-8")
        found = set(re.findall(r"^\s*(?:from|import) ([a-zA-Z_]\w*)", text, flags=re.MULTILINE))
        in_bench = path.is_relative_to(ROOT / "benchmarks")
        asked |= {name for name in found if not (in_bench and home.get(name, "") in PEER_PINS)}
    known = sys.stdlib_module_names | {"halfwater", "tests", "benchmarks"}
    homes = {module: home.get(module, "").replace("_", "-") for module in asked - known if module in home}
    hold(f"{module} comes with {name}" for module, name in homes.items() if name not in PINS)


def test_nothing_is_asked_for_that_nothing_uses() -> None:
    """Each library that we ask for is imported somewhere, or is a tool or data by itself."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    lines = project["project"]["dependencies"] + (ROOT / "requirements.in").read_text("utf-8").splitlines()
    found = [re.match(r"[a-z0-9-]+", line) for line in lines if not line.startswith("#")]
    names = {name.group(0) for name in found if name} - TOOLS
    modules = {dist.name.lower().replace("_", "-"): _modules(dist) for dist in distributions()}
    text = "\n".join(path.read_text(encoding="utf-8") for path in python_files("src", "tests", "benchmarks"))
    used = set(re.findall(r"^\s*(?:from|import) ([a-zA-Z_]\w*)", text, flags=re.MULTILINE))
    used |= set(re.findall(r"\"(\w+)\.", text))  # what Django's settings name as text
    hold(name for name in sorted(names) if not modules[name] & used)


def _modules(dist: Distribution) -> set[str]:
    files = (file for file in dist.files or [] if file.suffix == ".py" and ".." not in file.parts)
    return {file.parts[0].removesuffix(".py") for file in files}
