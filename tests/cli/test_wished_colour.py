"""lacwright wished-colour."""

import json

import pytest

from lacwright.cli.main import run
from lacwright.colour import de00, find_bare, find_grade_colour, lab_of_srgb, lab_under
from lacwright.colour.cie import Viewing

BASE = ["wished-colour", "--wood", "cherry", "--load", "3.5 g/m2", "--grade", "amber", "--grade",
        "garnet", "--no-record"]  # fmt: skip


def answer(capsys, *args):
    assert run([*args, "--json"]) == 0, capsys.readouterr().err
    return json.loads(capsys.readouterr().out)


def test_recipes_give_the_colours_they_promise(capsys):
    out = answer(capsys, *BASE, "--target", "50, 20, 35")
    assert out["reachable"] is True
    assert 1 <= len(out["recipes"]) <= 5
    for recipe in out["recipes"]:
        loads = recipe["load_g_m2"]
        lab = lab_under(bare=find_bare("cherry"), grades=[find_grade_colour(n) for n in loads],
                        loads_g_m2=list(loads.values()))  # fmt: skip
        assert recipe["lab"] == pytest.approx(list(lab))
        assert recipe["de00"] == pytest.approx(float(de00(lab, [50, 20, 35])))
        assert sum(recipe["blend"].values()) == pytest.approx(1)
        assert recipe["in_stock"] is None
        assert "in_stock" in recipe["missing"]
    assert out["lab"] == out["recipes"][0]["lab"]
    assert out["basis"] == "grade name only; species default"


def test_first_line_is_the_recipe(capsys):
    assert run([*BASE, "--target", "50, 20, 35"]) == 0
    first = capsys.readouterr().out.splitlines()[0]
    assert first.startswith("Lay ")
    assert "coats of garnet" in first
    assert first.endswith("dE00 from the wished colour.")


def test_what_cannot_be_had_says_so_and_tells_the_nearest(capsys):
    out = answer(capsys, *BASE, "--target", "70, 6, 20")
    assert out["reachable"] is False
    assert out["says"].startswith("Not reachable: shellac only darkens and warms; it is lighter")
    assert out["present_de00"] < out["de00"]
    assert "Nearest is the piece as it is" in out["says"]


def test_a_word_and_its_region(capsys):
    out = answer(capsys, *BASE, "--word", "red-brown")
    assert out["wish"] == "red-brown"
    low, high = out["region"]["lightness"]
    assert low <= out["lab"][0] <= high
    assert out["region"]["mark"] == "guess"
    assert run([*BASE, "--word", "red-brown"]) == 0
    said = capsys.readouterr().out
    assert "inside what red-brown stands for" in said.splitlines()[0]
    assert "against the same wood under a clear film (guess)" in said


def test_a_patch_of_a_photo_is_a_target(capsys):
    out = answer(capsys, *BASE, "--target", "#8a5a34")
    right = lab_of_srgb([0x8A / 255, 0x5A / 255, 0x34 / 255], Viewing())
    assert out["wish_lab"] == pytest.approx(list(right))


def test_what_lies_there_and_the_price_of_the_change(capsys):
    more = ["--on", "amber 7 g/m2", "--flakes-price", "garnet 38 per kg", "--flakes-price",
            "amber 20 per 500 g", "--area", "2 m2"]  # fmt: skip
    out = answer(capsys, *BASE, "--target", "50, 20, 35", *more)
    assert out["on_g_m2"] == {"amber": 7}
    for recipe in out["recipes"]:
        loads = recipe["load_g_m2"]
        right = loads.get("garnet", 0) * 0.038 + loads.get("amber", 0) * 0.04
        assert recipe["flakes_price_per_m2"] == pytest.approx(right)
        assert recipe["flakes_price"] == pytest.approx(2 * right)
    goal = ",".join(str(v) for v in out["present_lab"])
    there = answer(capsys, *BASE, f"--target={goal}", *more)
    assert there["there_already"] is True
    assert there["says"].startswith("Lay none")


def test_the_shelf_of_the_record_is_what_may_be_laid(capsys, tmp_path, monkeypatch):
    monkeypatch.setenv("LACWRIGHT_HOME", str(tmp_path / "shop"))
    monkeypatch.setenv("TZ", "UTC")
    for args in (
        ["lot", "add", "autumn", "--grade", "garnet", "--amount", "500 g", "--price", "19",
         "--price-for", "500 g"],
        ["lot", "add", "pale", "--grade", "dewaxed blonde", "--amount", "500 g"],
    ):  # fmt: skip
        assert run(args) == 0, capsys.readouterr().err
    capsys.readouterr()
    base = [*BASE[:5], "--target", "50, 20, 35"]
    out = answer(capsys, *base)
    assert set(out["grades_tried"]) == {"garnet", "blonde"}
    assert out["grades_from"] == "what the record has on the shelf"
    assert all(r["in_stock"] for r in out["recipes"])
    single = answer(capsys, *base, "--grade", "garnet")["recipes"][0]
    assert single["flakes_price_per_m2"] == pytest.approx(single["load_g_m2"]["garnet"] * 0.038)
    other = answer(capsys, *base, "--grade", "ruby", "--grade", "garnet")
    assert not all(r["in_stock"] for r in other["recipes"])


@pytest.mark.parametrize(
    ("args", "words"),
    [
        ([], "--target or --word"),
        (["--target", "50,20,35", "--word", "warm"], "by a colour or by a word"),
        (["--target", "50,20"], "no colour"),
        (["--target", "150,20,35"], "no colour of a surface"),
        (["--word", "blue"], "--word: 'blue'"),
        (["--word", "warm", "--on", "amber"], "which grade and how much"),
        (["--word", "warm", "--on", "ambre 7 g/m2"], "--on: 'ambre'"),
        (["--word", "warm", "--on", "amber 7 um"], "--on"),
        (["--word", "warm", "--flakes-price", "dear"], "no price"),
        (["--word", "warm", "--flakes-price", "38 per l"], "volume"),
        (["--word", "warm", "--wax", "50 %"], "--wax"),
        (["--word", "warm", "--coats-max", "0"], "--coats-max"),
    ],
)
def test_odd_input_is_one_line(capsys, args, words):
    assert run([*BASE, *args]) == 2
    said = capsys.readouterr()
    assert said.out == ""
    if words != "--target or --word":
        assert words in said.err
    assert len(said.err.splitlines()) == 1
