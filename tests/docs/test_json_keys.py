"""json.md names every key that a command prints, and no command is forgotten."""

import json
import os
import re
import shlex
import shutil
import subprocess
import sys
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest

from lacwright.cli.main import run

ROOT = Path(__file__).parents[2]
PAGE = ROOT / "docs" / "reference" / "json.md"
COMMON = ("schema", "figures", "missing", "cautions", "stops")
# Their keys are names that a person gave, or names of fields and tables. Of "lots" only where
# it is an object (g by name) and not a list.
BY_NAME = ("mixes", "grades", "composition", "areas_m2", "short", "was", "now", "counts", "rows",
           "changed", "lots", "evaporated_g", "solvent_g", "lel_percent", "room", "near",
           "one_coat", "all", "perfect", "with_factor", "film",
           "blend", "load_g_m2", "on_g_m2")  # fmt: skip
RECORD = Path(__file__).parent / "record_examples.txt"

PANEL = ("--wet", "100 um", "--size", "100x100 mm", "--cut", "2", "--alcohol", "ethanol-190",
         "--temp", "20", "--rh", "45 %", "--board", "maple", "--thickness", "20 mm")  # fmt: skip
TABLE, UKULELE, CLASS = (f"examples/{n}.toml" for n in ("table", "ukulele", "class"))
FORECAST = "examples/forecast.csv"
EXAMPLES = {
    "plan": [
        ["plan", TABLE, "--now", "2027-02-15", "--draws", "20"],
        ["plan", UKULELE, "--now", "2027-02-15", "--draws", "20"],
        ["plan", CLASS, "--now", "2027-02-15", "--draws", "20"],
        ["plan", "through.toml", "--now", "2027-02-15", "--draws", "20"],
        ["plan", TABLE, "--now", "2027-02-15", "--working", "area.total"],
        ["plan", "shelf.toml", "--now", "2027-02-15", "--draws", "20"],
        ["plan", TABLE, "--now", "2027-02-15", "--draws", "20", "--no-record"],
        ["plan", TABLE, "--now", "2027-02-15", "--draws", "20", "--no-record", "--volume",
         "60 m3", "--air-changes", "2"],
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
    "look": [
        ["look", "--wood", "maple", "--grade", "amber", "--grade", "amber 70 % + garnet 30 %",
         "--coats", "2", "--steps", "--plot", "strip.svg"],
        ["look", "--wood", "maple", "--gardner", "12", "--coats", "2", "--load", "3.5 g/m2"],
    ],
    "wished-colour": [
        ["wished-colour", "--wood", "cherry", "--target", "45,18,30", "--grade", "amber",
         "--grade", "garnet", "--on", "amber 7 g/m2", "--flakes-price", "40 per kg", "--area",
         "1 m2", "--no-record"],
        ["wished-colour", "--wood", "cherry", "--word", "warm", "--grade", "amber", "--load",
         "3.5 g/m2", "--no-record"],
    ],
    "coats-to-go": [["coats-to-go", "readings.toml"], ["coats-to-go", "few.toml"]],
    "render": [
        ["render", "examples/board.jpg", "--wood", "maple", "--grade", "amber", "--coats", "2",
         "-o", "out.jpg"],
        ["render", "examples/board.jpg", "--grade", "amber", "--coats", "2", "--load", "6 g/m2",
         "--panel", "-o", "out.png"],
    ],
    "unwrap": [
        ["unwrap", "--first", "4", "--later", "9 after 30 min", "--temp", "22", "--rh", "50 %"],
    ],
    "dry": [
        ["dry", "--method", "brush", "--alcohol", "ethanol-190", "--temp", "20", "--rh", "45 %",
         "--after", "pad 2 h ago", "--vapour", "ethanol 100 ppm", "--plot", "film.svg"],
        ["dry", "--method", "brush", "--alcohol", "ethanol-190", "--temp", "20", "--rh", "80 %"],
    ],
    "hours": [
        ["hours", FORECAST, "--piece", TABLE, "--no-record", "--until", "2027-03-01 01:00"],
        ["hours", FORECAST, "--method", "brush", "--alcohol", "ethanol-190", "--after",
         "pad 2 h ago", "--from", "2027-03-02 11:00", "--until", "2027-03-02 13:00"],
        ["hours", FORECAST, "--own-chill", "5", "--own-margin", "2"],
    ],
    "calibrate-drying": [
        ["calibrate-drying", "--name", "panel", *PANEL, "--touch-dry", "7 min", "--print-free",
         "22 min", "--keep", "mine.toml"],
        ["calibrate-drying", "--name", "panel", *PANEL, "--touch-dry", "7 min"],
        ["calibrate-drying", "--name", "lid", *PANEL, "--whitened"],
    ],
    "label": [
        ["label", "--alcohol", "ethanol 85, methanol 10, water 5", "--codes", "H225 P210",
         "--signal", "Danger"],
        ["label", "--alcohol", "unknown"],
    ],
    "calibrate-colour": [
        ["calibrate-colour"],
        ["calibrate-colour", "panels.toml", "--keep", "colours.toml"],
        ["calibrate-colour", "panels.toml"],
    ],
    "room": [
        ["room", "--volume", "30 m3", "--air-changes", "0.5", "--alcohol",
         "ethanol 90, other 5, water 5", "--cut", "2", "--coat", "250 ml at 0 min", "--coat",
         "250 ml at 60 min over 10 min", "--plot", "air.svg"],
        ["room", "--volume", "30 m3", "--alcohol", "unknown", "--cut", "2", "--coat", "50 ml"],
        ["room", "--volume", "200 m3", "--air-changes", "2", "--plan", TABLE, "--no-record",
         "--now", "2027-02-15", "--jurisdiction", "uk"],
    ],
    "names": [["names", "methods"]],
}  # fmt: skip


def of_the_record() -> dict[str, list[list[str]]]:
    """Return the commands of the file of examples, by the heading they stand under."""
    found: dict[str, list[list[str]]] = {}
    for line in RECORD.read_text(encoding="utf-8").splitlines():
        if line.startswith("## "):
            words = found.setdefault(line[3:], [])
        elif line and not line.startswith("#"):
            words.append(shlex.split(line))
    return found


EXAMPLES |= of_the_record()
PREPARED = EXAMPLES.pop("prepared")

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
STRIP = """\
[[panel]]
grade = "amber"
load_per_coat = "3.5 g/m2"
noise = 0.5
light = "D65"
observer = 2
geometry = "45/0"
reader = "camera"
sealed_with = "amber"
[[panel.band]]
coats = "bare"
lab = [70.0, 6.0, 20.0]
[[panel.band]]
coats = 2
load = "7 g/m2"
readings = [[63.0, 8.1, 28.0], [63.2, 8.0, 27.6]]
[[panel.band]]
coats = 6
srgb = "#a98850"
"""
PANELS = STRIP.replace('grade = "amber"\n', 'name = "panel 7"\nwood = "oak"\ngrade = "amber"\n', 1)
SHELF = """\
title = "Shelf"
[wish]
use = ["indoors"]
start = 2027-02-15
grade = "blonde"
[[part]]
name = "shelf"
shape = "panel"
wood = "oak"
size = "800x250x20 mm"
method = "brush"
[[mix]]
name = "body"
cut = 2
lot = "pale"
alcohol = "drum"
[[step]]
what = "coat"
times = 4
"""
READINGS = """\
scale = "L*"
target = 52
tolerance = 1
reading = [{ coats = 1, value = 66.0 }, { coats = 2, value = 63.1 }, { coats = 4, value = 57.4 }]
"""
PIECE = """\
piece = { coats = 2, now = 62.4, area = "0.8 m2", coat_price = 45 }
coat = { spread = "75 ml/m2", cut = 2 }
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
    (folder / "shelf.toml").write_text(SHELF)
    (folder / "strip.toml").write_text(STRIP)
    (folder / "panels.toml").write_text(PANELS)
    (folder / "note.txt").write_text("The back too.\n")
    (folder / "stock.csv").write_text("name,kind,amount\nsummer-bag,flakes,1 kg\n")
    (folder / "logger.csv").write_text("time,temp\n2027-02-14 08:00,18\n")
    (folder / "readings.toml").write_text(READINGS + PIECE)
    (folder / "few.toml").write_text(READINGS)
    (folder / "more.toml").write_text(MORE.replace("HAVE", "80 g").replace("TESTED", "true"))
    (folder / "short.toml").write_text(MORE.replace("HAVE", "5 g").replace("TESTED", "false"))
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("LACWRIGHT_HOME", str(folder / "shop"))
        patch.setenv("TZ", "UTC")
        patch.chdir(folder)
        wrong = [args for args in PREPARED if run(args) != 0]
    assert wrong == []
    return folder


def section(name: str) -> str:
    """Return the part of the page about a command, with what it refers to."""
    parts = PAGE.read_text(encoding="utf-8").split("\n## ")[1:]
    page = {head: rest for head, _, rest in (p.partition("\n") for p in parts)}
    text = page[f"lacwright {name}"]
    told = [head for head in page if f"(#{head.lower().replace(' ', '-')})" in text]
    return "\n".join([text, *(page[head] for head in told)])


def printed_keys(value: Any, name: str = "") -> set[str]:
    """Return every key of an object, also of those in it, without names that persons gave."""
    if isinstance(value, list):
        return set().union(*(printed_keys(v) for v in value))
    if not isinstance(value, dict):
        return set()
    # What was written down is told as it was: its names are those of every kind of movement.
    apart = (*COMMON, "facts")
    inner = set().union(*(printed_keys(v, k) for k, v in value.items() if k not in apart))
    return inner | (set() if name in BY_NAME or name == "missing" else set(value))


def test_every_command_has_an_example(make_reference: ModuleType) -> None:
    leaves = {n for n, command in make_reference.walk() if not hasattr(command, "commands")}
    # It answers only once it serves: tests/bench/test_serve.py reads what it prints.
    assert leaves - {"serve"} == set(EXAMPLES)


@pytest.mark.parametrize("name", EXAMPLES)
def test_every_key_is_named_and_every_name_is_a_key(
    name: str,
    folder: Path,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    here = shutil.copytree(folder, tmp_path / "here")
    monkeypatch.chdir(here)
    monkeypatch.setenv("LACWRIGHT_HOME", str(here / "shop"))
    capsys.readouterr()
    printed: set[str] = set()
    for args in EXAMPLES[name]:
        assert run([*args, "--json"]) == 0, capsys.readouterr().err
        out = json.loads(capsys.readouterr().out)
        assert set(COMMON) <= out.keys()
        schema = out["schema"].partition("/")[0].removeprefix("lacwright.")
        if schema in (name.replace(" ", "."), "working"):  # others only prepare
            printed |= printed_keys(out) - set(COMMON)
    assert printed
    text = section(name)
    rows = [line for line in text.splitlines() if line.startswith("| `")]
    named = set(re.findall(r"`(\w+)`", text))
    assert printed - named == set()
    # What a row promises in its first column is printed by at least one example.
    promised = {k for row in rows for k in re.findall(r"`(\w+)`", row.split(" | ")[0])}
    assert promised - printed == set()


def test_every_command_of_the_record_runs_in_a_process_of_its_own(
    folder: Path, tmp_path: Path
) -> None:
    """What one command imports must not rest on what another imported before it."""
    orders = [(args, str(tmp_path / str(n))) for n, args in enumerate(
        words for name, examples in of_the_record().items() for words in examples[:1]
        if name not in ("prepared", "demo", "record restore", "record import", "own-figures unset")
    )]  # fmt: skip
    for _, here in orders:
        shutil.copytree(folder, here)
    told = subprocess.run(
        [sys.executable, str(Path(__file__).with_name("fresh.py"))],
        input="".join(f"{json.dumps([here, f'{here}/shop', args])}\n" for args, here in orders),
        capture_output=True, text=True, check=False,
        env={**os.environ, "LACWRIGHT_HASTY": "1", "TZ": "UTC", "PYTHONPATH": str(ROOT / "src")},
    )  # fmt: skip
    ended = [json.loads(line) for line in told.stdout.splitlines()]
    assert len(ended) == len(orders), told.stderr
    wrong = [(args, said) for (args, _), (code, said) in zip(orders, ended, strict=True) if code]
    assert wrong == []
