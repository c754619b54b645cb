"""`lacwright calibrate-colour`."""

import json
import tomllib

import pytest

from lacwright.cli.main import run

READ = {"bare": "83.2, 3.5, 17.1", "sealed": "79.6, 4.6, 22.0", 1: "78.9, 4.7, 24.4",
        2: "78.0, 4.9, 26.4", 4: "76.6, 5.4, 29.9", 9: "73.2, 7.0, 37.3"}  # fmt: skip


def panel(name="panel 7", wood="maple", read=READ, more=""):
    text = f'[[panel]]\nname = "{name}"\ndate = 2027-02-01\nwood = "{wood}"\ngrade = "amber"\n'
    text += 'sealed_with = "blonde"\n'
    text += f'load_per_coat = {{ blonde = "3 g/m2", amber = "3.5 g/m2" }}\n{more}'
    for coats, lab in read.items():
        words = f'"{coats}"' if isinstance(coats, str) else coats
        text += f"[[panel.band]]\ncoats = {words}\nlab = [{lab}]\n"
    return text


@pytest.fixture
def file(tmp_path):
    made = tmp_path / "panels.toml"
    made.write_text(panel())
    return made


def told(capsys, *args):
    assert run([*map(str, args), "--json"]) == 0
    return json.loads(capsys.readouterr().out)


def refused(capsys, *args):
    assert run(["calibrate-colour", *map(str, args)]) == 2
    out = capsys.readouterr()
    assert out.out == ""
    return out.err


def constants(out, grade="amber"):
    return next(one for one in out["grades"] if one["name"] == grade)["constants"]


def test_prior_seen_and_posterior_are_shown_for_each_constant(capsys, file):
    out = told(capsys, "calibrate-colour", file)
    assert out["panels"] == [{
        "name": "panel 7, 2027-02-01", "wood": "hard-maple", "grades": ["blonde", "amber"],
        "reader": "instrument", "illuminant": "D65", "observer_deg": 2, "geometry": "45/0",
    }]  # fmt: skip
    level = constants(out)["level"]
    assert level["low"] < level["value"] < level["high"]
    assert level["prior"]["low"] < level["low"]
    assert level["high"] < level["prior"]["high"]
    assert [one["panel"] for one in level["seen"]] == ["panel 7, 2027-02-01"]
    assert level["seen"][0]["value"] == pytest.approx(level["value"])
    assert out["figures"]["colour.amber.level"]["basis"] == "learned"
    (wood,) = out["woods"]
    assert (wood["name"], set(wood["constants"])) == ("hard-maple", {"wetting", "skin"})
    assert out["missing"] == {"kept": "not asked for"}


def test_bands_are_shown_as_foretold_and_as_fitted(capsys, file):
    out = told(capsys, "calibrate-colour", file)
    bands = [hit["band"] for hit in out["hits"]]
    assert bands[:2] == ["1 coat blonde", "1 coat blonde and 1 coat amber"]
    for hit in out["hits"]:
        assert hit["inside"] is (hit["de00_foretold"] <= hit["de00_band"])
        assert hit["de00"] < hit["de00_foretold"]
    assert out["of"] == 5
    assert out["inside"] == sum(hit["inside"] for hit in out["hits"])
    assert out["de00_after"] < 0.5 < out["de00_before"]


def test_kept_panels_are_the_base_and_are_fitted_again(capsys, file, tmp_path):
    hand = tmp_path / "mine.toml"
    hand.write_bytes(b'[hand.wait]\r\nbrush = "2 h"\r\n')
    first = told(capsys, "calibrate-colour", file, "--keep", hand)
    assert first["kept"] == str(hand)
    text = hand.read_bytes()
    assert text.startswith(b'[hand.wait]\r\nbrush = "2 h"\r\n\r\n[[hand.panel]]\r\n')
    kept = tomllib.loads(text.decode())["hand"]["panel"][0]
    assert kept["band"][1] == {"coats": "sealed", "lab": [79.6, 4.6, 22.0]}
    assert kept["says"]["wood"] == "hard-maple"
    again = told(capsys, "calibrate-colour", hand)
    assert constants(again)["level"]["value"] == pytest.approx(
        constants(first)["level"]["value"], rel=1e-4
    )
    second = tmp_path / "more.toml"
    second.write_text(panel("panel 8", "walnut", {
        "bare": "53, 7, 17", "sealed": "43, 9, 20", 2: "42.2, 9.5, 22.0", 6: "41, 10.4, 24.8",
    }))  # fmt: skip
    out = told(capsys, "calibrate-colour", second, "--hand", hand)
    prior = constants(out)["level"]["prior"]
    assert prior["value"] == pytest.approx(constants(first)["level"]["value"], rel=1e-4)
    assert constants(out)["level"]["high"] / constants(out)["level"]["low"] <= (
        prior["high"] / prior["low"]
    )
    assert "is kept in" in refused(capsys, file, "--keep", hand)


def test_without_keep_nothing_is_written(capsys, file, tmp_path):
    hand = tmp_path / "mine.toml"
    assert run(["calibrate-colour", str(file), "--keep", str(hand), "--dry-run"]) == 0
    assert "[[hand.panel]]" in capsys.readouterr().out
    assert not hand.exists()
    assert run(["calibrate-colour", str(file)]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert lines[0].startswith("Blonde and amber on hard maple, from 1 panel: your bands now lie")
    assert "Nothing was written; --keep HAND.toml keeps it." in lines


def test_a_plan_takes_a_hand_file_with_panels(capsys, file, tmp_path):
    hand = tmp_path / "mine.toml"
    told(capsys, "calibrate-colour", file, "--keep", hand)
    out = told(capsys, "plan", "examples/table.toml", "--now", "2027-02-15", "--draws", "20",
               "--no-record", "--hand", hand)  # fmt: skip
    assert out["schema"].startswith("lacwright.plan/")


def test_how_panels_are_made_is_told_without_a_file(capsys):
    out = told(capsys, "calibrate-colour")
    assert [one["of"] for one in out["protocol"]] == ["boards", "bands", "load", "cure", "read",
                                                      "say"]  # fmt: skip
    assert {one["mark"] for one in out["protocol"]} == {"common practice"}


def test_readings_that_do_not_fit_together_are_told(capsys, tmp_path):
    made = tmp_path / "wild.toml"
    made.write_text(panel(read=READ | {2: "78.0, 12.9, 26.4", 4: "76.6, -4, 29.9"}))
    assert run(["calibrate-colour", str(made)]) == 0
    assert "times as far as such readings should" in capsys.readouterr().out


def test_refusals_name_file_band_and_mend(capsys, file, tmp_path):
    wrong = tmp_path / "wrong.toml"
    wrong.write_text(panel(read=READ | {9: "81.0, 7.0, 37.3"}) + panel(read={"bare": "1, 1, 1"}))
    lines = refused(capsys, wrong).splitlines()
    assert lines[0].startswith("wrong.toml, [[panel]] 1 1 coat blonde and 9 coats amber: it reads")
    assert "L* 1 is no reading" in lines[1]
    wrong.write_text(panel() + panel())
    assert "two panels are called so" in refused(capsys, wrong)
    assert refused(capsys, file, "--dry-run").startswith("--dry-run: ")
    assert refused(capsys, "--keep", tmp_path / "x.toml").startswith("FILE: there is no panel")
    assert refused(capsys, file, "--keep", "a", "--hand", "b").startswith("--hand: ")
    assert "there is no such file" in refused(capsys, tmp_path / "none.toml")
