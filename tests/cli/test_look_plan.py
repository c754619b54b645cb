"""lacwright look --plan."""

import json

import pytest

from lacwright.cli.main import run
from lacwright.colour import find_bare, find_grade_colour, lab_under

PIECE = """
[wish]
use = ["furniture"]
grade = "garnet"

[[part]]
name = "top"
shape = "panel"
wood = "cherry"
size = "400x300x20 mm"
method = "brush"

[[part]]
name = "leg"
shape = "panel"
wood = "black walnut"
size = "400x60x20 mm"
method = "brush"

[[mix]]
name = "brushing"
cut = 2
{lac}
alcohol = "ethanol-190"

[[step]]
what = "seal"
mix = "brushing"

[[step]]
what = "coat"
mix = "brushing"
times = 4
{more}
"""


@pytest.fixture
def piece(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)

    def write(lac='grade = "garnet"', more=""):
        (tmp_path / "piece.toml").write_text(PIECE.format(lac=lac, more=more))
        return ["look", "--plan", "piece.toml", "--no-record"]

    return write


def told(capsys, *args):
    assert run([*args, "--json"]) == 0, capsys.readouterr().err
    return json.loads(capsys.readouterr().out)


def test_every_part_is_a_row_of_what_the_plan_leaves_on_it(piece, capsys):
    out = told(capsys, *piece())
    assert run(["plan", "piece.toml", "--no-record", "--json"]) == 0
    figures = json.loads(capsys.readouterr().out)["figures"]
    assert [(f["part"], f["wood"]) for f in out["films"]] == [
        ("top", "cherry"), ("leg", "black walnut"),
    ]  # fmt: skip
    for film in out["films"]:
        load = film["load_g_m2"]["garnet"]
        # Dry lac is as dense as the plan has it; its film on the flat is what is left there.
        density = figures["resin_density"]["value"] if "resin_density" in figures else None
        left = figures[f"film.{film['part']}.flat_left"]["value"]
        assert 1.035 <= load / left <= 1.21
        assert density is None or load == pytest.approx(left * density)
        right = lab_under(bare=find_bare(film["wood"]), grades=[find_grade_colour("garnet")],
                          loads_g_m2=[load])  # fmt: skip
        assert film["lab"] == pytest.approx(list(right), abs=1e-6)
    assert out["lab"] == out["films"][0]["lab"]
    assert out["plan"] == "piece.toml"
    assert out["load_per_coat_g_m2"] is None
    codes = [c["code"] for c in out["cautions"]]
    assert "colour-soaks" not in codes


def test_sanding_takes_colour_away_and_the_spread_of_the_plan_widens_the_band(piece, capsys):
    full = told(capsys, *piece())["films"][0]
    sanded = told(capsys, *piece(more='[[step]]\nwhat = "level"\nremoves = "10 um"'))["films"][0]
    assert sanded["load_g_m2"]["garnet"] < full["load_g_m2"]["garnet"] - 8
    assert sanded["lab"][0] > full["lab"][0]
    alone = told(capsys, "look", "--wood", "cherry", "--grade", "garnet", "--coats", "1", "--load",
                 f"{full['load_g_m2']['garnet']} g/m2", "--no-record")  # fmt: skip
    assert alone["lab"] == pytest.approx(full["lab"], abs=1e-6)
    assert full["de00_band"] != alone["films"][0]["de00_band"]


def test_a_dewaxed_lot_of_the_plan_has_no_wax(piece, capsys):
    lot = '\n[[lot]]\nname = "g-1"\nkind = "flakes"\nhave = "1 kg"\ngrade = "garnet"\nwax = "{}"'
    dry = told(capsys, *piece('lot = "g-1"', lot.format("dewaxed")))
    waxed = told(capsys, *piece('lot = "g-1"', lot.format("waxed")))
    assert "g-1: no wax, as it is dewaxed" in dry["notes"]
    assert not any("no wax" in note for note in waxed["notes"])
    # Haze of wax shows on the dark leg.
    assert dry["films"][1]["lab"][0] < waxed["films"][1]["lab"][0]
    said = told(capsys, *piece('lot = "g-1"', lot.format("waxed")), "--wax", "0")
    assert said["films"][1]["lab"] == pytest.approx(dry["films"][1]["lab"])


def test_the_text_says_that_it_comes_from_the_plan(piece, capsys):
    assert run(piece()) == 0
    lines = capsys.readouterr().out.splitlines()
    assert lines[0].startswith("Top in cherry, as piece.toml plans it: ")
    assert "L*" not in lines[0]
    assert sum(line.startswith("Part ") for line in lines) == 2
    assert any(line.startswith("Plan      piece.toml: dry lac on the flats") for line in lines)


def refused(capsys, args):
    assert run(args) == 2
    return capsys.readouterr().err


def test_what_the_plan_says_is_not_said_twice(piece, capsys):
    base = piece()
    for more in (["--coats", "3"], ["--grade", "amber"], ["--steps"], ["--wood", "oak"]):
        assert more[0] in refused(capsys, [*base, *more])
    assert "several woods" in refused(capsys, [*base, "--bare", "70,8,20"])


def test_a_part_of_which_nothing_is_known_is_said_and_the_others_told(piece, tmp_path, capsys):
    base = piece()
    file = tmp_path / "piece.toml"
    file.write_text(file.read_text().replace("black walnut", "koa"))
    out = told(capsys, *base)
    assert [f["part"] for f in out["films"]] == ["top"]
    assert any(n.startswith("leg is not told: no colour of koa is on file") for n in out["notes"])
    file.write_text(file.read_text().replace("cherry", "koa"))
    assert "no colour of koa is on file" in refused(capsys, base)


def test_a_lac_of_no_grade_is_refused(piece, tmp_path, capsys):
    base = piece("")
    file = tmp_path / "piece.toml"
    file.write_text(file.read_text().replace('grade = "garnet"', ""))
    assert "of which grade the lac on top is is not said" in refused(capsys, base)
