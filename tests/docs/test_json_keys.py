"""json.md names every key that a command prints, and no command is forgotten."""

import json
import re
import shutil
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest

from lacwright.cli.main import run

ROOT = Path(__file__).parents[2]
PAGE = ROOT / "docs" / "reference" / "json.md"
COMMON = ("schema", "figures", "missing", "cautions", "stops")
BY_NAME = ("mixes", "grades")  # their keys are names that a person gave

TABLE, UKULELE, CLASS = (f"examples/{n}.toml" for n in ("table", "ukulele", "class"))
EXAMPLES = {
    "plan": [
        ["plan", TABLE, "--now", "2027-02-15", "--draws", "20"],
        ["plan", UKULELE, "--now", "2027-02-15", "--draws", "20"],
        ["plan", CLASS, "--now", "2027-02-15", "--draws", "20"],
        ["plan", "through.toml", "--now", "2027-02-15", "--draws", "20"],
        ["plan", TABLE, "--now", "2027-02-15", "--working", "area.total"],
    ],
    "tonight": [
        ["tonight", "--cut", "1.5", "--make", "200 ml", "--grade", "garnet", "--area", "0.24 m2",
         "--coats", "2", "--now", "2027-03-01"],
        ["tonight", "--cut", "1.5", "--make", "200 ml", "--grade", "blonde", "--area", "0.24 m2",
         "--coats", "2", "--now", "2027-03-01", "--shelf", "through.toml"],
    ],
    "mix make": [
        ["mix", "make", "--cut", "2", "--solution", "600 ml"],
        ["mix", "make", "--cut", "2", "--resin", "40 g", "--dye", "1 %"],
    ],
    "mix cut": [["mix", "cut", "--resin", "2 oz", "--solvent", "1 cup"]],
    "mix thin": [
        ["mix", "thin", "--have", "350 ml", "--cut", "3", "--to", "1.5"],
        ["mix", "thin", "--have", "350 ml", "--cut", "2", "--to", "1"],
        ["mix", "thin", "--have", "350 ml", "--cut", "2", "--to-solids", "0.05"],
    ],
    "mix strengthen": [["mix", "strengthen", "--have", "500 ml", "--cut", "1", "--to", "2"]],
    "mix correct": [
        ["mix", "correct", "--resin", "40 g", "--solvent", "900 ml", "--used", "200 ml",
         "--to", "2"],
        ["mix", "correct", "--resin", "40 g", "--solvent", "900 ml", "--used", "200 ml",
         "--to", "2", "--coats-laid", "2", "--coats-planned", "5", "--planned-cut", "2",
         "--spread", "75 ml/m2"],
    ],
    "mix slow": [["mix", "slow", "--have", "500 ml", "--cut", "2", "--slow", "n-butanol"]],
    "mix blend": [
        ["mix", "blend", "--jar", "300 ml 3-lb garnet", "--jar", "200 ml 1-lb blonde",
         "--to", "2"],
    ],
    "mix loss": [["mix", "loss", "--have", "400 ml", "--cut", "2", "--lost", "50 g"]],
    "mix residue": [["mix", "residue", "--sample", "5 g", "--dry", "0.8 g"]],
    "mix decant": [["mix", "decant", "--have", "500 ml", "--cut", "2", "--grade", "amber"]],
    "mix match": [["mix", "match", "more.toml"], ["mix", "match", "short.toml"]],
    "mix age": [
        ["mix", "age", "--mixed", "2026-09-01", "--kind", "dewaxed", "--on", "2027-03-01"],
        ["mix", "age", "--mixed", "2026-09-01", "--kind", "dewaxed", "--on", "2027-03-01",
         "--tested", "2027-02-20", "--passed"],
    ],
    "mix read": [["mix", "read", "1:4"]],
    "mix shortcut": [
        ["mix", "shortcut", "--cut", "2", "--to", "1"],
        ["mix", "shortcut", "--per-mix", "3"],
        ["mix", "shortcut", "--flakes", "1 cup", "--solvent", "1 cup", "--bulk-density", "0.36"],
    ],
    "mix wax": [["mix", "wax", "--beeswax", "190 g", "--carnauba", "30 g"]],
    "area": [["area", TABLE], ["area", UKULELE]],
    "film": [["film", TABLE, "--draws", "20"], ["film", "through.toml", "--draws", "20"]],
    "spread": [["spread", "--rate", "500 sqft/gal", "--cut", "2"]],
    "climate": [
        ["climate", "--temp", "21", "--rh", "50 %"],
        ["climate", "--temp", "50", "--rh", "2 %"],
    ],
    "names": [["names", "methods"]],
}  # fmt: skip

THROUGH = """\
title = "A shelf that is levelled too soon"
[wish]
use = ["indoors"]
start = 2027-03-01
[[part]]
name = "shelf"
shape = "panel"
wood = "oak"
size = "400x200x18 mm"
[[mix]]
name = "body"
jar = "jar 7"
[[lot]]
name = "jar 7"
kind = "jar"
have = "400 ml"
grade = "blonde"
cut = 2
date = 2027-02-01
tested = 2027-02-14
passed = true
[[step]]
what = "coat"
method = "brush"
times = 1
[[step]]
what = "level"
removes = "15 um"
abrasive = "P400"
"""
MORE = """\
[recipe]
cut = "2-lb"
make = "500 ml"
resin = [{ grade = "garnet", share = 1 }]
alcohol = [{ name = "ethanol-190" }]
[[flakes]]
lot = "autumn"
grade = "garnet"
have = "HAVE"
[[jar]]
name = "jar 4"
have = "120 ml"
cut = 3
resin = [{ grade = "garnet" }]
alcohol = [{ name = "ethanol-190" }]
tested = TESTED
[[alcohol]]
name = "blue can"
composition = "ethanol-190"
have = "1 l"
"""


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a folder with the files of the examples."""
    folder = tmp_path_factory.mktemp("json")
    shutil.copytree(ROOT / "examples", folder / "examples")
    (folder / "through.toml").write_text(THROUGH)
    (folder / "more.toml").write_text(MORE.replace("HAVE", "80 g").replace("TESTED", "true"))
    (folder / "short.toml").write_text(MORE.replace("HAVE", "5 g").replace("TESTED", "false"))
    return folder


def section(name: str) -> str:
    """Return the part of the page about a command, with what it refers to."""
    parts = PAGE.read_text(encoding="utf-8").split("\n## ")[1:]
    page = {head: rest for head, _, rest in (p.partition("\n") for p in parts)}
    text = page[f"lacwright {name}"]
    return text + (page["Keys of every mix"] if "#keys-of-every-mix" in text else "")


def printed_keys(value: Any, name: str = "") -> set[str]:
    """Return every key of an object, also of those in it, without names that persons gave."""
    if isinstance(value, list):
        return set().union(*(printed_keys(v) for v in value))
    if not isinstance(value, dict):
        return set()
    inner = set().union(*(printed_keys(v, k) for k, v in value.items() if k not in COMMON))
    return inner | (set() if name in BY_NAME or name == "missing" else set(value))


def test_every_command_has_an_example(make_reference: ModuleType) -> None:
    leaves = {n for n, command in make_reference.walk() if not hasattr(command, "commands")}
    assert leaves == set(EXAMPLES)


@pytest.mark.parametrize("name", EXAMPLES)
def test_every_key_is_named_and_every_name_is_a_key(
    name: str, folder: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(folder)
    printed: set[str] = set()
    for args in EXAMPLES[name]:
        assert run([*args, "--json"]) == 0, capsys.readouterr().err
        out = json.loads(capsys.readouterr().out)
        assert set(COMMON) <= out.keys()
        assert (
            out["schema"].startswith(f"lacwright.{name.replace(' ', '.')}/")
            or "working" in (out["schema"])
        )
        printed |= printed_keys(out) - set(COMMON)
    text = section(name)
    rows = [line for line in text.splitlines() if line.startswith("| `")]
    named = set(re.findall(r"`(\w+)`", text))
    assert printed - named == set()
    # What a row promises in its first column is printed by at least one example.
    promised = {k for row in rows for k in re.findall(r"`(\w+)`", row.split(" | ")[0])}
    assert promised - printed == set()
