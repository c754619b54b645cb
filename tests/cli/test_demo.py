"""`lacwright demo`, as it is typed. What it makes is tested with the record."""

import json
import os
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

os.environ["LACWRIGHT_HASTY"] = "1"

from lacwright.cli.main import run


@pytest.fixture(autouse=True)
def let_go() -> Iterator[None]:
    """Close whatever a command left open."""
    yield
    from lacwright.shop import close_record

    close_record()


def test_a_dry_run_tells_what_and_where(tmp_path: Path, capsys: Any) -> None:
    folder = tmp_path / "demo"
    told = ["demo", "--home", str(folder), "--now", "2027-03-10", "--dry-run"]
    assert run(told) == 0
    assert capsys.readouterr().out == (
        f"Would make an invented shop in {folder}: 40 lots, 60 jobs with their jars, coats and "
        "tests in two years to 2027-03-10. Nothing was written.\n")  # fmt: skip
    assert run([*told, "--json"]) == 0
    answer = json.loads(capsys.readouterr().out)
    assert answer["schema"] == "lacwright.demo/1"
    assert answer["counts"] == {"lots": 40, "jobs": 60, "panels": 10, "customers": 14}
    assert answer["bad_jar"] is None
    assert set(answer["missing"]) == {"bad_jar", "jobs_with_plan"}
    assert not folder.exists()


def test_a_record_of_ones_own_is_refused(tmp_path: Path, capsys: Any) -> None:
    home = str(tmp_path / "mine")
    assert run(["lot", "add", "garnet", "--kind", "flakes", "--home", home]) == 0
    capsys.readouterr()
    for more in ([], ["--again"], ["--dry-run"], ["--json"]):
        assert run(["demo", "--home", home, *more]) == 2
        said = capsys.readouterr()
        assert said.out == ""
        assert said.err == (f"--home: there is a record in {home}, and it is no demo; name another "
                            "folder; nothing was changed.\n")  # fmt: skip
    assert run(["lot", "show", "garnet", "--home", home, "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["name"] == "garnet"


@pytest.mark.parametrize("told", [["--now", "soon"], ["--seed", "x"], ["--home", "{file}"]])
def test_bad_input_is_one_line(told: list[str], tmp_path: Path, capsys: Any) -> None:
    file = tmp_path / "file"
    file.write_text("x")
    home = [] if "--home" in told else ["--home", str(tmp_path / "demo")]
    assert run(["demo", *home, *(t.format(file=file) for t in told)]) == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert len(said.err.splitlines()) == 1
    assert not (tmp_path / "demo").exists()
