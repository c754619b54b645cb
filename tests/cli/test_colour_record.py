"""Own figures and lots of the record in the commands of colour."""

import json
import os
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

import lacwright
from lacwright.cli.main import run

LOOK = ["look", "--wood", "oak", "--grade", "amber", "--coats", "4", "--load", "3.5 g/m2"]
WISH = ["wished-colour", "--wood", "oak", "--target", "55, 12, 35", "--load", "3.5 g/m2"]
STRIP = """\
[[panel]]
geometry = "{geometry}"
grade = "amber"
load_per_coat = "3.5 g/m2"
[[panel.band]]
coats = "bare"
lab = [70.0, 6.0, 20.0]
[[panel.band]]
coats = 2
lab = [62.9, 8.1, 27.0]
[[panel.band]]
coats = 6
lab = [60.6, 9.3, 33.0]
"""


@pytest.fixture
def home(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("LACWRIGHT_HOME", str(tmp_path / "shop"))
    return tmp_path


def told(capsys, *args):
    assert run([*args, "--json"]) == 0, capsys.readouterr().err
    return json.loads(capsys.readouterr().out)


def written(capsys, *args):
    assert run([*args, "--now", "2027-02-10 09:00"]) == 0, capsys.readouterr().err
    capsys.readouterr()


def read_panel(capsys, home, geometry="45/0"):
    (home / "strip.toml").write_text(STRIP.format(geometry=geometry))
    written(capsys, "piece", "add", "panel 3", "--panel", "--wood", "oak")
    written(capsys, "piece", "test", "panel 3", "--colour", "strip.toml")


def test_look_takes_what_panels_taught_and_says_so(home, capsys):
    read_panel(capsys, home)
    mine, usual = told(capsys, *LOOK), told(capsys, *LOOK, "--no-record")
    assert mine["basis"] == "own panels; own panels"
    assert usual["basis"] == "grade name only; species default"
    assert {"colour.amber.level", "colour.oak.skin", "colour.oak.lightness"} <= {
        *mine["from_record"]
    }  # fmt: skip
    assert usual["from_record"] == []
    assert mine["lab"] != usual["lab"]
    assert run(LOOK) == 0
    out = capsys.readouterr().out
    assert "Record    your own figures: amber, oak\n" in out
    # Of another wood and grade nothing of it is taken, and nothing is said.
    assert run(["look", "--wood", "maple", "--grade", "blonde", *LOOK[5:]]) == 0
    assert "Record" not in capsys.readouterr().out
    # The colour of a measured board is that which was given.
    board = told(capsys, *LOOK, "--bare", "72, 6, 21")
    assert "colour.oak.lightness" not in board["from_record"]
    assert "colour.oak.skin" in board["from_record"]


def test_a_hand_file_goes_before_the_record(home, capsys):
    read_panel(capsys, home)
    (home / "mine.toml").write_text('[hand]\n"colour.amber.level" = 0.004\n')
    mine = told(capsys, *LOOK, "--hand", "mine.toml")
    assert "colour.amber.level" not in mine["from_record"]
    assert "colour.amber.slope" in mine["from_record"]
    assert mine["lab"] != told(capsys, *LOOK)["lab"]


def test_the_usual_coat_is_that_of_the_shop(home, capsys):
    written(capsys, "own-figures", "set", "cut.brush", "1.2-lb")
    out = told(capsys, *LOOK[:-2])
    assert out["from_record"] == ["cut.brush"]
    assert out["load_per_coat_g_m2"] < told(capsys, *LOOK[:-2], "--no-record")["load_per_coat_g_m2"]
    # A load that is given leaves it out.
    assert told(capsys, *LOOK)["from_record"] == []


def test_render_takes_them_too(home, capsys):
    read_panel(capsys, home)
    Image.fromarray(np.full((320, 400, 3), [222, 198, 166], dtype=np.uint8)).save("board.png")
    args = ["render", "board.png", "--wood", "oak", "--grade", "amber", "--coats", "4", "--load",
            "3.5 g/m2", "-o", "out.png"]  # fmt: skip
    mine, usual = told(capsys, *args), told(capsys, *args, "--no-record")
    assert not mine["pictures"][0]["guessed"]
    assert usual["pictures"][0]["guessed"]
    assert "colour.amber.level" in mine["from_record"]
    assert "colour.oak.red" not in mine["from_record"]  # the photo's own
    assert usual["from_record"] == []


def test_wished_colour_says_what_came_from_the_record(home, capsys):
    read_panel(capsys, home)
    out = told(capsys, *WISH, "--grade", "amber")
    assert "colour.amber.level" in out["from_record"]
    assert run([*WISH, "--grade", "amber"]) == 0
    assert "Record    your own figures: amber, oak\n" in capsys.readouterr().out
    assert told(capsys, *WISH, "--grade", "amber", "--no-record")["from_record"] == []


def test_a_dewaxed_lot_has_no_wax(home, capsys):
    written(capsys, "lot", "add", "g-1", "--grade", "garnet", "--dewaxed", "--amount", "1 kg")
    written(capsys, "lot", "add", "a-1", "--grade", "amber", "--amount", "1 kg")
    out = told(capsys, *WISH)
    assert "garnet: no wax, as its lots on the shelf are dewaxed" in out["notes"]
    assert not any(note.startswith("amber: no wax") for note in out["notes"])
    dark = ["wished-colour", "--wood", "black-walnut", "--target", "30, 12, 15", "--load",
            "20 g/m2", "--grade", "garnet", "--coats-max", "3"]  # fmt: skip
    dry = told(capsys, *dark)
    assert dry["lab"] == told(capsys, *dark, "--wax", "0", "--no-record")["lab"]
    assert dry["lab"] != told(capsys, *dark, "--no-record")["lab"]
    # What is said of the wax goes before the shelf.
    waxed = told(capsys, *dark, "--wax", "4 %")
    assert waxed["lab"] == told(capsys, *dark, "--wax", "4 %", "--no-record")["lab"]
    assert not any("no wax" in note for note in waxed["notes"])
    # A second lot of which nobody said: it may be either.
    written(capsys, "lot", "add", "g-2", "--grade", "garnet", "--amount", "1 kg")
    assert told(capsys, *dark)["lab"] == told(capsys, *dark, "--no-record")["lab"]


def test_a_jar_of_dewaxed_flakes_has_no_wax_in_a_plan(home, capsys):
    written(capsys, "lot", "add", "gar", "--grade", "garnet", "--dewaxed", "--amount", "1 kg")
    written(capsys, "lot", "add", "drum", "--alcohol", "ethanol-190", "--amount", "5 l")
    written(capsys, "jar", "mix", "body-1", "--cut", "2", "--solution", "800 ml", "--flakes", "gar",
            "--alcohol", "drum")  # fmt: skip
    written(capsys, "own-figures", "set", "spread.brush", "80 ml/m2")
    read_panel(capsys, home)
    (home / "piece.toml").write_text(PLANNED)
    out = told(capsys, "look", "--plan", "piece.toml")
    assert "gar: no wax, as it is dewaxed" in out["notes"]
    # Of the panel's amber nothing lies on it; of its wood all that was learned counts.
    assert {"spread.brush", "colour.oak.skin"} <= {*out["from_record"]}
    assert not any(name.startswith("colour.amber") for name in out["from_record"])
    assert out["basis"] == "grade name only; own panels"


PLANNED = """
[wish]
use = ["furniture"]
[[part]]
name = "top"
shape = "panel"
wood = "oak"
size = "400x300x20 mm"
method = "brush"
[[mix]]
name = "brushing"
jar = "body-1"
[[step]]
what = "coat"
mix = "brushing"
times = 4
"""


def test_a_skin_read_with_the_gloss_is_not_taken_for_one_without(home, capsys):
    read_panel(capsys, home, geometry="8/d")
    out = told(capsys, *LOOK)
    assert "colour.oak.wetting" in out["from_record"]
    assert not any(n.endswith((".skin", ".lightness")) for n in out["from_record"])
    assert run(LOOK) == 0
    assert "skin left out" in capsys.readouterr().out
    line = told(capsys, "own-figures", "colour.oak.skin")["own_figures"][0]
    assert line["seen"] == []
    assert "gloss included" in line["left_out"][0]["why"]


def test_an_own_skin_is_left_out_where_the_look_counts_the_gloss(home, capsys):
    read_panel(capsys, home)
    sphere = [*LOOK, "--geometry", "8/d"]
    assert "colour.oak.skin" not in told(capsys, *sphere)["from_record"]
    assert run(sphere) == 0
    assert "the usual skin, since your own was learned without the gloss" in (
        capsys.readouterr().out
    )  # fmt: skip
    assert run(LOOK) == 0
    assert "the usual skin" not in capsys.readouterr().out


PROBE = """
import sys
from lacwright.cli.main import run
code = run({args!r})
print("django" in sys.modules, "scipy" in sys.modules, file=sys.stderr)
sys.exit(code)
"""


@pytest.mark.parametrize("args", [LOOK, [*WISH, "--grade", "amber"]])
def test_without_a_record_nothing_of_it_is_loaded(home, args):
    there = {**os.environ, "PYTHONPATH": str(Path(lacwright.__file__).parents[1])}
    done = subprocess.run([sys.executable, "-c", PROBE.format(args=args)], capture_output=True,
                          text=True, check=False, env=there)  # fmt: skip
    assert done.returncode == 0, done.stderr
    assert done.stderr.splitlines()[-1] == "False False"


def test_the_number_of_a_jar_goes_before_the_record(home, capsys):
    read_panel(capsys, home)
    out = told(capsys, *LOOK, "--gardner", "12")
    assert out["basis"] == "Gardner number; own panels"
