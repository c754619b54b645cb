"""The lock files: whole, hashed, without addresses, and of one mind."""

import re
import tomllib
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
LEVELS = ("build", "run", "dev")


def pins(level: str) -> dict[str, str]:
    """Return {name: version} of a lock file."""
    text = (ROOT / "requirements" / f"{level}.lock").read_text(encoding="utf-8")
    return dict(re.findall(r"(?m)^([\w.-]+)==([\w.]+)", text))


def names(requirements: list[str]) -> set[str]:
    """Return the bare names of requirement lines, without comments and options."""
    found = (re.match(r"[\w.-]+", line) for line in requirements if not line.startswith("-"))
    return {match[0].lower() for match in found if match}


@pytest.mark.parametrize("level", LEVELS)
def test_every_line_is_a_pin_or_a_hash(level: str) -> None:
    text = (ROOT / "requirements" / f"{level}.lock").read_text(encoding="utf-8")
    pin = r"[\w.-]+==[\w.]+( ; [^\\]+)? \\"
    digest = r"    --hash=sha256:[0-9a-f]{64}( \\)?"
    assert [line for line in text.splitlines() if not re.fullmatch(f"{pin}|{digest}", line)] == []
    entries = re.split(r"(?m)^(?=\w)", text)[1:]
    assert [entry for entry in entries if "--hash" not in entry] == []


@pytest.mark.parametrize("level", LEVELS)
def test_what_is_asked_for_is_locked(level: str) -> None:
    asked = (ROOT / "requirements" / f"{level}.in").read_text(encoding="utf-8").splitlines()
    assert names(asked) <= pins(level).keys()


def test_the_three_locks_agree() -> None:
    build, run, dev = (pins(level) for level in LEVELS)
    assert run.items() <= dev.items()
    assert {name: dev[name] for name in build.keys() & dev.keys()}.items() <= build.items()


def test_pyproject_asks_for_what_is_locked() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    assert names(project["project"]["dependencies"]) <= pins("run").keys()
    assert names(project["build-system"]["requires"]) <= pins("build").keys()
