"""lacwright look."""

import json
import xml.etree.ElementTree as ET

import pytest

from lacwright.bench.charts.strip import SCREEN, Strip, strip_chart
from lacwright.cli.main import run
from lacwright.colour import find_bare, find_grade_colour, lab_under, steps

BASE = ["look", "--wood", "maple", "--grade", "amber", "--coats", "4", "--load", "3.5 g/m2"]


def answer(capsys, *args):
    assert run([*args, "--json"]) == 0, capsys.readouterr().err
    return json.loads(capsys.readouterr().out)


def test_json_is_the_model(capsys):
    out = answer(capsys, *BASE)
    right = lab_under(bare=find_bare("maple"), grades=[find_grade_colour("amber")],
                      loads_g_m2=[14.0])  # fmt: skip
    assert out["lab"] == pytest.approx(list(right))
    assert all(0 <= v <= 1 for v in out["srgb"])
    assert out["de00_band"][0] < out["de00_band"][1]
    assert out["basis"] == "grade name only; species default"
    assert out["films"][0]["load_g_m2"] == {"amber": 14.0}
    assert out["strips"] == []
    assert {"value", "low", "high", "mark"} <= out["figures"]["lightness"].keys()
    assert any("from memory" in c["text"] for c in out["cautions"])
    assert "--light, --observer, --geometry" in out["notes"][0]


def test_first_line_is_words_and_no_numbers_of_colour(capsys):
    assert run(BASE) == 0
    first = capsys.readouterr().out.splitlines()[0]
    assert first.startswith("Hard maple under 4 coats of amber: ")
    assert "than the bare wood" in first
    assert "L*" not in first


def test_blends_stand_side_by_side_and_each_caution_once(capsys):
    out = answer(capsys, *BASE, "--grade", "amber 70 % + garnet 30 %", "--steps")
    amber, blend = out["films"]
    assert blend["blend"] == pytest.approx({"amber": 0.7, "garnet": 0.3})
    assert blend["lab"][0] < amber["lab"][0]
    assert [len(s["steps"]) for s in out["strips"]] == [5, 5]
    assert out["strips"][1]["steps"][4]["lab"] == pytest.approx(blend["lab"])
    assert out["strips"][0]["steps"][0]["lab"] == [84.0, 3.2, 16.5]
    codes = [c["code"] for c in out["cautions"]]
    assert len(codes) == len(set(codes))


def test_a_measured_board_and_the_number_of_a_jar_narrow_it(capsys):
    wide = answer(capsys, *BASE)
    board = [*BASE, "--bare", "82,3.5,17", "--light", "D65", "--observer", "2", "--geometry",
             "45/0"]  # fmt: skip
    near = answer(capsys, *board)
    jar = answer(capsys, *board, "--gardner", "12", "--solution", "volume")
    assert wide["de00_band"][1] > near["de00_band"][1] >= jar["de00_band"][1]
    assert near["bare_lab"] == [82, 3.5, 17]
    assert jar["basis"] == "Gardner number; measured board"
    assert near["notes"] == jar["notes"] == []
    mass = answer(capsys, *board, "--gardner", "12")
    # 20 g in 100 ml are more lac than 20 % by weight, so a gram of that lac takes less light.
    assert mass["lab"][2] > jar["lab"][2]
    assert any("20 % by mass" in n for n in mass["notes"])


def test_wax_matters_on_dark_wood(capsys):
    dark = [*BASE[:2], "black-walnut", *BASE[3:-1], "12 g/m2"]
    clear, waxed = (answer(capsys, *dark, "--wax", w)["lab"][0] for w in ("0", "5 %"))
    assert waxed > clear + 0.5


def test_without_a_load_the_usual_coat_is_taken_and_said(capsys):
    out = answer(capsys, *BASE[:-2])
    assert out["method"] == "brush"
    figure = out["figures"]["load_per_coat_g_m2"]
    assert figure["low"] < out["load_per_coat_g_m2"] < figure["high"]


def test_plot_draws_rows_of_labelled_fields(capsys, tmp_path):
    file = tmp_path / "strip.svg"
    assert run([*BASE, "--grade", "garnet", "--plot", str(file)]) == 0
    drawn = ET.fromstring(file.read_text(encoding="utf-8"))
    ns = "{http://www.w3.org/2000/svg}"
    fields = [r.get("fill") for r in drawn.iter(f"{ns}rect")]
    assert len(fields) == 10
    assert fields[0] == fields[5]  # bare
    words = [t.text for t in drawn.iter(f"{ns}text")]
    assert words.count("bare wood") == 2
    assert words.count("4 coats") == 2
    assert any("amber" in w for w in words)
    assert "Screen colours" in " ".join(words)
    assert SCREEN in drawn.find(f"{ns}desc").text


@pytest.mark.parametrize("width", [720.0, 360.0])
def test_a_long_strip_goes_on_below_inside_the_drawing(width):
    strip = steps(bare=find_bare("maple"), grades=[find_grade_colour("ruby")], coat_g_m2=[4],
                  coats=12)  # fmt: skip
    drawn = ET.fromstring(strip_chart([Strip("ruby & more", strip, "a guess")], "t", width))
    *_, wide, high = map(float, drawn.get("viewBox").split())
    rects = list(drawn.iter("{http://www.w3.org/2000/svg}rect"))
    assert len(rects) == 13
    places = set()
    for rect in rects:
        x, y, w, h = (float(rect.get(k)) for k in ("x", "y", "width", "height"))
        assert x + w <= wide + 0.1
        assert y + h < high
        places.add((x, y))
    assert len(places) == 13


@pytest.mark.parametrize(
    ("args", "words"),
    [
        (["--grade", "ambre"], "--grade: 'ambre'"),
        (["--grade", "amber 70 % + garnet 20 %"], "make 90%"),
        (["--grade", "amber + garnet"], "has no share"),
        (["--grade", "amber 50 % + orange flakes 50 %", "--gardner", "12"], "one grade"),
        (["--grade", ""], "no grade is named"),
        (["--gardner", "19"], "outside 1 to 17"),
        (["--solution", "mass"], "belongs to a Gardner number"),
        (["--wax", "30 %"], "outside 0 to 0.2"),
        (["--light", "moon"], "--light: 'moon'"),
        (["--observer", "5"], "no standard observer"),
        (["--geometry", "sce"], "not modelled"),
        (["--bare", "82,3.5"], "--bare"),
        (["--bare", "84,60,-10"], "--bare"),
        (["--method", "brush"], "leave one of the two out"),
        (["--plot", "strip.png"], "no SVG"),
        (["--wood", "teak"], "no colour of teak"),
        (["--wood", "oakk"], "--wood: 'oakk'"),
    ],
)
def test_odd_input_is_one_line(capsys, args, words):
    base = [a for a in BASE if a not in ("--grade", "amber")] if "--grade" in args else BASE
    assert run([*base, *args]) == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert words in said.err
    assert len(said.err.splitlines()) == 1


def test_neither_wood_nor_board_is_refused(capsys):
    assert run(["look", "--grade", "amber", "--coats", "2"]) == 2
    assert "measure the board" in capsys.readouterr().err
    assert run(["look", "--wood", "maple", "--coats", "2"]) == 2
    assert "no grade is named" in capsys.readouterr().err
