"""`lacwright area`: text, JSON, exit codes."""

import json

import pytest

from lacwright.cli.main import run

TABLE = """
title = "side table"

[wish]
use = ["drinks"]

[[part]]
name = "top"
shape = "panel"
size = "1200x700x22 mm"
wood = "cherry"
finish = ["top", "edges"]

[[part]]
name = "legs"
shape = "leg"
head = "45 mm"
foot = "25 mm"
length = "400 mm"
wood = "cherry"
count = 4

[[part]]
name = "spindle"
shape = "turned"
stations = [[0, 30], [500, 30]]
unit = "mm"
wood = "ash"
"""


@pytest.fixture
def piece(tmp_path):
    file = tmp_path / "table.toml"
    file.write_text(TABLE)
    return str(file)


def test_text(piece, capsys):
    assert run(["area", piece]) == 0
    lines = capsys.readouterr().out.splitlines()
    # 0.9236 + 0.22657 + 0.048538 m2
    assert lines[0] == "1.20 m2 (12.9 sqft) to finish in 3 parts (6 pieces)."
    assert " ".join(lines[1].split()) == (
        "top faces 0.840 m2 (9.04 sqft), edges 0.0528 m2 (0.568 sqft), "
        "end grain 0.0308 m2 (0.332 sqft), arrises 7.69 m"
    )
    assert lines[2].split() == ["named:", "top,", "side", "edges,", "end", "edges"]
    assert lines[3].strip().startswith("legs x 4")
    assert any(line.startswith("Note: top: left bare: bottom") for line in lines)


def test_json(piece, capsys):
    assert run(["area", piece, "--json"]) == 0
    out = json.loads(capsys.readouterr().out)
    assert out["schema"] == "lacwright.area/1"
    assert out["area_m2"] == pytest.approx(0.9236 + 4 * 0.0566425 + 0.0485376, abs=1e-5)
    assert out["area_m2"] == pytest.approx(sum(z["area_m2"] for z in out["zones"]))
    assert set(out["zones"][0]) >= {
        "part", "face", "kind", "area_m2", "length_m", "wood", "thickness_mm",
    }  # fmt: skip
    assert {z["kind"] for z in out["zones"]} == {"face", "edge", "end"}
    for zone in out["zones"]:
        assert (zone["thickness_mm"] is None) == ("thickness_mm" in zone["missing"])
    assert [p["part"] for p in out["parts"]] == ["top", "legs", "spindle"]
    assert out["parts"][0]["bare"] == ["bottom"]
    assert any("bottom" in w for w in out["warnings"])
    total = out["figures"]["area.total"]
    assert total["value"] == pytest.approx(out["area_m2"])
    assert total["low"] == pytest.approx(total["value"])
    assert total["working"]["formula"] == "part_1 + part_2 + part_3"


def test_a_drawn_body_shows_its_band(tmp_path, capsys):
    file = tmp_path / "violin.toml"
    file.write_text('[[part]]\nname = "v"\nshape = "violin"\nsize = "violin"\nwood = "maple"\n')
    assert run(["area", str(file)]) == 0
    first = capsys.readouterr().out.splitlines()[0]
    assert first.startswith("0.143 m2 (1.54 sqft) to finish in 1 part, 0.13")
    assert first.endswith("m2 expected.")


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("[[parts]]\nname = 'a'", "did you mean [[part]]"),
        (TABLE + "[[prat]]\nname = 'a'", "did you mean [[part]]"),
        ("title = 'a'", "there is no part"),
        ("[part]\nname = 'a'", "begin each part with [[part]]"),
        ("[[part]]\nname = 'a'\nshape = 'panel'\nsize = '1x1'", "part 1 (a): size"),
        ("[[part]", "line 1"),
    ],
)
def test_bad_files_are_told_in_words(tmp_path, capsys, text, said):
    file = tmp_path / "bad.toml"
    file.write_text(text)
    assert run(["area", str(file)]) == 2
    captured = capsys.readouterr()
    assert captured.out == ""
    assert said in captured.err
    assert "Traceback" not in captured.err


def test_a_missing_file(tmp_path, capsys):
    assert run(["area", str(tmp_path / "none.toml")]) == 2
    assert "there is no such file" in capsys.readouterr().err
    assert run(["area"]) == 2
