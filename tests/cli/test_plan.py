"""`lacwright plan`, `film` and `tonight` as a person calls them."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from lacwright.cli.main import run

EXAMPLES = Path(__file__).parents[2] / "examples"
NOW = ["--now", "2027-02-01", "--draws", "100"]


def answer(capsys: pytest.CaptureFixture[str], *args: str) -> dict[str, Any]:
    assert run([*args, "--json"]) == 0
    out, err = capsys.readouterr()
    assert err == ""
    assert "NaN" not in out
    found: dict[str, Any] = json.loads(out)
    return found


def lines(capsys: pytest.CaptureFixture[str], *args: str) -> list[str]:
    assert run(list(args)) == 0
    out, err = capsys.readouterr()
    assert err == ""
    return out.splitlines()


@pytest.mark.parametrize("name", ["table", "ukulele", "class"])
def test_plan_has_the_promised_keys(capsys: pytest.CaptureFixture[str], name: str) -> None:
    made = answer(capsys, "plan", str(EXAMPLES / f"{name}.toml"), *NOW)
    assert made["schema"] == "lacwright.plan/1"
    assert made["suitability"]["verdict"] in ("suited", "conditional", "unsuited")
    for mix in made["mixes"].values():
        wanted = {"resin_g", "alcohol_ml", "alcohol_g", "solution_ml", "solution_g",
                  "cut_lb_per_gal", "resin_g_per_l_alcohol", "solids_mass_fraction",
                  "solids_volume_fraction", "ready_after_h", "per_lot"}  # fmt: skip
        assert wanted <= set(mix)
    for row in made["shelf"]:
        assert {"lot", "need", "have", "left", "unit", "word"} <= set(row)
    for key in ("value", "low", "high", "unit", "basis", "mark", "source", "working"):
        assert all(key in f for f in made["figures"].values())
    if name != "class":
        for coat in made["coats"]:
            assert {"part", "method", "cut_lb_per_gal", "mix", "load_ml_m2", "film_um", "wait_h",
                    "wait_source"} <= set(coat)  # fmt: skip
        assert {"earliest", "wished", "days_late", "latest_start"} <= set(made["finish"])
        assert {"date", "what", "part"} <= set(made["calendar"][0])
        for key in ("area.total", "film.flat", "film.edge", "film.flat_left", "film.edge_left",
                    "quote.labour", "quote.materials", "quote.total"):  # fmt: skip
            assert key in made["figures"]
    else:
        for key in ("class.per_head", "class.total", "quote.per_student"):
            assert key in made["figures"]


def test_cautions_stand_in_text_and_json_alike(capsys: pytest.CaptureFixture[str]) -> None:
    made = answer(capsys, "plan", str(EXAMPLES / "ukulele.toml"), *NOW)
    text = "\n".join(lines(capsys, "plan", str(EXAMPLES / "ukulele.toml"), *NOW))
    assert made["cautions"]
    for caution in made["cautions"]:
        assert caution["text"] in text


def test_not_by_that_day_comes_first(capsys: pytest.CaptureFixture[str]) -> None:
    out = lines(capsys, "plan", str(EXAMPLES / "table.toml"), *NOW, "--by", "2027-03-04")
    assert out[0].startswith("Not by Thu 4 Mar 2027.")


def test_a_stop_stands_before_the_amounts(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    text = (EXAMPLES / "table.toml").read_text(encoding="utf-8")
    path = tmp_path / "stove.toml"
    path.write_text(text.replace("ignition = []", 'ignition = ["wood stove"]'), encoding="utf-8")
    out = lines(capsys, "plan", str(path), *NOW)
    assert out[1].startswith("STOP: In the room: wood stove.")


def test_the_working_of_a_figure(capsys: pytest.CaptureFixture[str]) -> None:
    out = lines(capsys, "plan", str(EXAMPLES / "table.toml"), *NOW, "--working", "mix.body.resin")
    assert out[0].startswith("mix.body.resin = ")
    assert any("alcohol * cut * per_lb / 1000" in line for line in out)
    assert run(["plan", str(EXAMPLES / "table.toml"), *NOW, "--working", "mix.body.resins"]) == 2
    assert "did you mean 'mix.body.resin'" in capsys.readouterr().err


def test_a_hand_file_fills_what_the_piece_leaves_open(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    hand = tmp_path / "hand.toml"
    hand.write_text(
        '[hand.left_in]\nbrush = "33 ml"\n[hand.wait]\nbrush = "9 h"\n', encoding="utf-8"
    )
    made = answer(capsys, "plan", str(EXAMPLES / "table.toml"), *NOW, "--hand", str(hand))
    inputs = made["figures"]["mix.body.applicators"]["working"]["inputs"]
    assert inputs["left_in1"]["value"] == 33.0
    assert "hand file" in inputs["left_in1"]["source"]
    # The piece file says how long it waits, and goes before the hand file.
    assert all(c["wait_h"] != 9.0 for c in made["coats"])


@pytest.mark.parametrize(
    ("args", "said"),
    [
        (["plan", "no-such-file.toml"], "no-such-file.toml"),
        (["plan", str(EXAMPLES)], "examples"),
        (["plan"], "PIECE.toml"),
        (["plan", str(EXAMPLES / "table.toml"), "--by", "soon"], "--by"),
        (["film", "no-such-file.toml"], "no-such-file.toml"),
        (["tonight", "--cut", "2", "--make", "200 ml", "--grade", "garnet", "--coats", "2"],
         "--box"),
        (["tonight", "--cut", "2", "--make", "200 ml", "--grade", "garnit", "--coats", "2",
          "--area", "1 m2"], "garnet"),
        (["tonight", "--cut", "2", "--make", "8 oz", "--grade", "garnet", "--coats", "2",
          "--area", "1 m2"], "fl oz"),
        (["tonight", "--cut", "2", "--make", "200 ml", "--grade", "garnet", "--coats", "2",
          "--area", "1 m2", "--from", "25:00"], "--from"),
    ],
)  # fmt: skip
def test_bad_input_ends_in_one_line(
    capsys: pytest.CaptureFixture[str], args: list[str], said: str
) -> None:
    assert run(args) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert said in err
    assert "Traceback" not in err


def test_film(capsys: pytest.CaptureFixture[str]) -> None:
    made = answer(capsys, "film", str(EXAMPLES / "table.toml"), "--draws", "100")
    for step in made["steps"]:
        assert {"what", "part", "flat_um", "edge_um"} <= set(step)
    plan = answer(capsys, "plan", str(EXAMPLES / "table.toml"), *NOW)
    last = [s for s in made["steps"] if s["part"] == "top"][-1]
    assert last["flat_um"] == pytest.approx(plan["figures"]["film.top.flat_left"]["value"])
    assert last["edge_um"] == pytest.approx(plan["figures"]["film.top.edge_left"]["value"])


def test_tonight(capsys: pytest.CaptureFixture[str]) -> None:
    args = ["tonight", "--cut", "1.5", "--make", "200 ml", "--grade", "garnet", "--box",
            "300x200x120 mm", "--coats", "2", "--method", "brush", "--from", "19:00",
            "--now", "2027-03-01"]  # fmt: skip
    out = lines(capsys, *args)
    assert len(out) <= 10
    assert "31.1 g of garnet into 173 ml" in out[0]
    made = answer(capsys, *args)
    assert made["area_m2"] == pytest.approx(0.24)
    assert made["coats_with_ready_jar"][0]["at"] == "2027-03-01T19:00"
    assert made["missing"]["alcohol_g"].startswith("cannot estimate without the alcohol")
    assert made["needed_ml"] + made["left_ml"] == pytest.approx(200.0)
