"""`lacwright calibrate-drying`."""

import json
import tomllib

import pytest

from lacwright.cli.main import run

PANEL = """\
name = "{name}"
date = 2027-02-01
wet = "100 um"
length = "300 mm"
cut = 2
alcohol = "ethanol-190"
temp = 20
rh = "{rh} %"
wood = "maple"
thickness = "20 mm"
"""
OPTIONS = ("--wet", "100 um", "--length", "300 mm", "--cut", "2", "--alcohol", "ethanol-190",
           "--temp", "20", "--rh", "45 %", "--board", "maple", "--thickness", "20 mm")  # fmt: skip
BRUSH = ("dry", "--wet", "100 um", "--cut", "2", "--alcohol", "ethanol-190", "--temp", "20",
         "--rh", "45 %", "--json")  # fmt: skip


def timed(name="panel 3", rh=45, times='touch_dry = "7 min"\nprint_free = "25 min"\n'):
    return f"[[timed]]\n{PANEL.format(name=name, rh=rh)}{times}\n"


def event(name, rh, whitened):
    return f"[[event]]\n{PANEL.format(name=name, rh=rh)}whitened = {whitened}\n\n"


@pytest.fixture
def file(tmp_path):
    made = tmp_path / "panels.toml"
    made.write_text(timed() + event("lid", 68, "true") + event("foot", 60, "false"))
    return made


def told(capsys, *args):
    assert run([*map(str, args), "--json"]) == 0
    return json.loads(capsys.readouterr().out)


def refused(capsys, *args):
    assert run(["calibrate-drying", *map(str, args)]) == 2
    out = capsys.readouterr()
    assert out.out == ""
    return out.err


def test_prior_observations_and_posterior_are_shown(capsys, file):
    out = told(capsys, "calibrate-drying", file)
    prior, (panel,) = out["prior"], out["timed"]
    assert panel["source"] == "panel 3, 2027-02-01"
    # 7 min instead of 9.4: the air takes more away, and the posterior lies between.
    assert prior["air_factor"]["value"] < out["air_factor"] < panel["air_factor"]
    assert out["air_factor_low"] > prior["air_factor"]["low"]
    assert out["air_factor_high"] < prior["air_factor"]["high"]
    lid, foot = out["events"]
    assert (lid["whitened"], foot["whitened"]) == (True, False)
    # More water puts a coat at haze index 1 only where the film bears more.
    assert lid["tolerance"] > foot["tolerance"]
    assert out["tolerance_below"] == lid["tolerance"]
    assert out["tolerance_above"] == foot["tolerance"]
    assert out["calibrated"] == "calibrated on panel 3, 2027-02-01"
    assert out["missing"] == {"kept": "not asked for"}


def test_the_timed_coat_itself_then_dries_in_its_time(capsys, file, tmp_path):
    # One observation with ln sd 0.10 against a prior of 0.31: a tenth of the way is left.
    hand = tmp_path / "mine.toml"
    told(capsys, "calibrate-drying", file, "--keep", hand)
    before, after = told(capsys, *BRUSH[:-1]), told(capsys, *BRUSH[:-1], "--hand", hand)
    wanted = 7 * 60
    assert abs(after["touch_dry_s"] - wanted) < 0.15 * abs(before["touch_dry_s"] - wanted)
    assert after["calibrated"] == "calibrated on panel 3, 2027-02-01"
    assert after["touch_dry_s_low"] < wanted < after["touch_dry_s_high"]


def test_keeping_leaves_the_rest_of_the_file_as_it_is(capsys, file, tmp_path):
    hand = tmp_path / "mine.toml"
    before = b'# my hand\r\n[hand.wait]\r\nbrush = "2 h"  # slow'
    hand.write_bytes(before)
    out = told(capsys, "calibrate-drying", file, "--keep", hand)
    after = hand.read_bytes()
    assert after.startswith(before + b"\r\n")
    assert b"\n" not in after.replace(b"\r\n", b"")
    kept = tomllib.loads(after.decode())["hand"]
    assert kept["wait"] == {"brush": "2 h"}
    raw = tomllib.loads(file.read_text())
    (row,) = kept["timed"]
    assert {k: v for k, v in row.items() if k != "says"} == raw["timed"][0]
    assert row["says"]["air"] == pytest.approx(out["timed"][0]["air_factor"], rel=1e-5)
    assert out["kept"] == str(hand)


def test_what_is_kept_counts_with_what_comes_later(capsys, file, tmp_path):
    hand, more = tmp_path / "mine.toml", tmp_path / "more.toml"
    first = told(capsys, "calibrate-drying", file, "--keep", hand)
    more.write_text(timed("panel 4", 45) + event("drawer", 62, "false"))
    second = told(capsys, "calibrate-drying", more, "--keep", hand)
    assert second["prior"]["air_factor"]["value"] == pytest.approx(first["air_factor"], rel=1e-5)
    assert second["prior"]["air_factor"]["seen"] == 1
    assert second["tolerance_below"] == pytest.approx(first["tolerance_below"], rel=1e-5)
    whole = tmp_path / "whole.toml"
    whole.write_text(file.read_text() + more.read_text())
    at_once = told(capsys, "calibrate-drying", whole)
    for key in ("air_factor", "diffusion_step"):
        # What the solver's own steps make of an air factor in the fifth figure.
        assert second[key] == pytest.approx(at_once[key], rel=1e-3)
    # The bounds of the first events were found with the air of the first panel alone.
    assert second["water_tolerance"] == pytest.approx(at_once["water_tolerance"], rel=0.01)
    # The kept ones are computed again from the raw observations.
    again = told(capsys, "calibrate-drying", hand)
    assert again["air_factor"] == pytest.approx(second["air_factor"], rel=1e-4)
    assert "kept in" in refused(capsys, more, "--keep", hand)


def test_a_dry_run_writes_nothing(capsys, file, tmp_path):
    hand = tmp_path / "mine.toml"
    assert run(["calibrate-drying", str(file), "--keep", str(hand), "--dry-run"]) == 0
    assert "[[hand.timed]]" in capsys.readouterr().out
    assert not hand.exists()


def test_one_coat_as_options(capsys):
    out = told(capsys, "calibrate-drying", "--name", "panel 3", "--on", "2027-02-01", *OPTIONS,
               "--touch-dry", "7 min")  # fmt: skip
    assert out["timed"][0]["diffusion_step"] is None
    assert out["calibrated"] == (
        "touch-dry calibrated on panel 3, 2027-02-01, later times uncalibrated"
    )
    clear = told(capsys, "calibrate-drying", "--name", "lid", *OPTIONS, "--stayed-clear")
    assert clear["events"][0]["whitened"] is False
    # A clear coat in dry air says next to nothing.
    assert clear["water_tolerance"] == pytest.approx(
        clear["prior"]["water_tolerance"]["value"], rel=0.02
    )


def test_events_that_contradict_each_other_are_named(capsys, tmp_path):
    file = tmp_path / "odd.toml"
    file.write_text(event("lid", 55, "true") + event("foot", 72, "false"))
    assert run(["calibrate-drying", str(file)]) == 0
    assert "contradict each other" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("args", "words"),
    [
        ((), "FILE: there is no observation"),
        (("--name", "x", *OPTIONS), "--touch-dry: it is missing; write e.g. --touch-dry"),
        (("--name", "x", *OPTIONS[2:], "--touch-dry", "7 min"), "--wet: the wet film"),
        (("--name", "x", *OPTIONS, "--touch-dry", "7"), "--touch-dry"),
        (("--name", "x", *OPTIONS, "--touch-dry", "7 min", "--whitened"), "--touch-dry"),
        (("--name", "x", *OPTIONS, "--touch-dry", "1 s"), "no air of the model"),
        (("--name", "x", *OPTIONS, "--touch-dry", "7 min", "--print-free", "5 min"), "touch-dry"),
        (("--name", "x", *OPTIONS[:7], "unknown", *OPTIONS[8:], "--touch-dry", "7 min"),
         "--alcohol: its composition is unknown"),
        (("--name", "x", *OPTIONS, "--touch-dry", "7 min", "--dry-run"), "--dry-run"),
    ],
)  # fmt: skip
def test_odd_options_are_one_line(capsys, args, words):
    said = refused(capsys, *args)
    assert words in said
    assert len(said.splitlines()) == 1


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "there is no timed coat"),
        (timed().replace("rh", "humidity"), "humidity"),
        (timed().replace('wood = "maple"', 'wood = "brick"'), "[[timed]] 1 wood"),
        (timed(times='touch_dry = "7 min"\nprint_free = "9 min"\nrecoat = "1 h"\n'), "recoat"),
        (timed().replace('wet = "100 um"', 'weighed = "2 g"'), "size"),
        ("[timer]\n", "did you mean 'timed'"),
    ],
)
def test_odd_files_are_refused_with_their_place(capsys, tmp_path, text, words):
    file = tmp_path / "odd.toml"
    file.write_text(text)
    said = refused(capsys, file)
    assert words in said
    assert "odd.toml" in said


def test_a_value_given_by_hand_is_not_written_over(capsys, file, tmp_path):
    hand = tmp_path / "mine.toml"
    hand.write_text("[hand]\ndrying.air = 1.3\n")
    said = refused(capsys, file, "--keep", hand)
    assert "keep one of them" in said
    assert hand.read_text() == "[hand]\ndrying.air = 1.3\n"


def test_a_butyl_alcohol_comes_with_its_own_limits(capsys):
    slow = [*OPTIONS, "--alcohol", "ethanol 85, n-butanol 8, water 7", "--name", "slow",
            "--touch-dry", "11 min"]  # fmt: skip
    codes = [c["code"] for c in told(capsys, "calibrate-drying", *slow)["cautions"]]
    at = codes.index("slow-alcohol-eyes")
    assert codes[at + 1] == "slow-alcohol-limits"
    assert {"ignition", "standing"} <= set(codes)
    plain = told(capsys, "calibrate-drying", *OPTIONS, "--name", "p", "--touch-dry", "8 min")
    assert not any("slow" in c["code"] for c in plain["cautions"])


def test_the_wet_film_of_a_panel_may_be_what_lies_on_an_area(capsys):
    as_area = [*OPTIONS, "--wet", "100 ml/m2", "--name", "p", "--touch-dry", "8 min"]
    out = told(capsys, "calibrate-drying", *as_area)
    same = told(capsys, "calibrate-drying", *OPTIONS, "--name", "p", "--touch-dry", "8 min")
    assert out["timed"] == same["timed"]
