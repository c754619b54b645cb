"""`lacwright hours`."""

import json
import xml.etree.ElementTree as ET
from pathlib import Path

import numpy as np
import pytest

from lacwright.cli.main import run
from lacwright.climate import dew_point_c
from lacwright.drying import dry_many
from lacwright.drying.many import Task, WetCoat

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"
BRUSH = ["--method", "brush", "--wet", "100 um", "--cut", "2", "--alcohol", "ethanol-190",
         "--board", "maple", "--thickness", "20 mm", "--air", "0.1"]  # fmt: skip
ROWS = ((20, 55), (20, 45), (20, 44), (20, 75))


@pytest.fixture
def forecast(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("LACWRIGHT_HOME", str(tmp_path / "no-record"))
    rows = [f"2027-03-01 {9 + k:02}:00,{t},{h}" for k, (t, h) in enumerate(ROWS)]
    Path("forecast.csv").write_text("\n".join(["time,temp [C],rh [%]", *rows, ""]))
    return "forecast.csv"


def text(capsys, *args):
    assert run(["hours", *args]) == 0
    return capsys.readouterr().out


def data(capsys, *args):
    return json.loads(text(capsys, *args, "--zone", "UTC", "--json"))


def refusal(capsys, *args):
    assert run(["hours", *args]) == 2
    said = capsys.readouterr().err
    assert "Traceback" not in said
    return said


def test_first_line_is_when_to_lay_it(forecast, capsys):
    said = text(capsys, forecast, *BRUSH)
    assert said.splitlines()[0] == (
        "Lay it on Mon 1 Mar from 10:00 to 11:00: go (film only, air not estimated)."
    )
    assert max(len(line) for line in said.splitlines() if ":00  " in line) <= 80
    assert "Uncalibrated" in said
    assert "Caution" in said


def test_json_is_the_model(forecast, capsys):
    told = data(capsys, forecast, *BRUSH, "--volume", "60 m3")
    coat = WetCoat(100, 2, {"ethanol": 92.4176, "water": 7.5824})
    many = dry_many(tasks=[Task(coat)], temp_c=20.0, rh=np.array(ROWS)[:, 1] / 100, speed_m_s=0.1)
    for k, hour in enumerate(told["hours"]):
        assert hour["room_c"] == 20
        assert hour["dew_point_c"] == pytest.approx(dew_point_c(temp_c=20.0, rh=hour["rh"]))
        assert hour["haze_index"] == pytest.approx(many.haze_index[k, 0])
        assert hour["film_verdict"] == many.verdict[k, 0]
        assert hour["film_min_c_low"] < hour["film_min_c"] < hour["film_min_c_high"]
    assert [h["verdict"] for h in told["hours"]] == ["change", "go", "go", "change"]
    assert told["hours"][0]["time"] == "2027-03-01T09:00:00+00:00"
    changes = {c["kind"]: c for c in told["hours"][0]["change"]}
    assert changes["warm"]["rh_after"] < 0.55
    assert changes["dry"]["unit"] == "kg"
    assert changes["slow_alcohol"]["rh_after"] is None
    assert told["next_go"] == {"from": "2027-03-01T10:00:00+00:00",
                               "until": "2027-03-01T11:00:00+00:00"}  # fmt: skip
    assert "film only, air not estimated" in told["hours"][1]["reason"]
    assert told["calibrated"] == "uncalibrated"
    assert "slow-alcohol-eyes" in [c["code"] for c in told["cautions"]]


def test_an_own_rule_by_hand(forecast, capsys):
    """20 C at 55 %: dew point 10.7 C. Own chill 8 K, margin 4 K: 2.7 K are lacking."""
    told = data(capsys, forecast, "--own-chill", "8 K", "--own-chill-slow", "4",
                "--own-margin", "4", "--volume", "60 m3")  # fmt: skip
    hour = told["hours"][0]
    assert hour["film_min_c"] == 12
    changes = {c["kind"]: c for c in hour["change"]}
    assert list(changes) == ["warm", "dry", "slow_alcohol", "another_hour"]
    assert changes["warm"]["amount"] == pytest.approx(4 + hour["dew_point_c"] - 12)
    assert (hour["verdict"], hour["slow"]["verdict"]) == ("change", "go")
    # Dew point to 8 C: 1073 Pa over 2339 Pa, both remembered.
    assert changes["dry"]["rh_after"] == pytest.approx(1073 / 2339, abs=0.001)
    assert "own rule" in text(capsys, forecast, "--own-chill", "8", "--own-margin", "4")
    # Where it lets pass what the model would not lay, that is said.
    said = text(capsys, forecast, *BRUSH, "--own-chill", "1", "--own-margin", "0")
    assert "Against the model: of 2 hours" in said


def test_the_night_when_the_clock_is_put_back(forecast, capsys):
    rows = ("01:00+02:00", "02:00+02:00", "02:00+01:00", "03:00+01:00")
    lines = [f"2027-10-31T{t},20,{40 + k}" for k, t in enumerate(rows)]
    Path("back.csv").write_text("\n".join(["time,temp [C],rh [%]", *lines, ""]))
    said = text(capsys, "back.csv", "--own-chill", "5", "--zone", "Europe/Berlin")
    assert said.startswith("Lay it on Sun 31 Oct from 1:00 to 3:00: go")
    assert "first, go" in said
    assert "second, go" in said
    args = ["back.csv", "--own-chill", "5", "--zone", "Europe/Berlin", "--json"]
    late = json.loads(text(capsys, *args, "--from", "2027-10-31T02:00+01:00"))
    assert [h["rh"] for h in late["hours"]] == [0.42, 0.43]
    early = json.loads(text(capsys, *args, "--until", "2027-10-31T02:00+02:00"))
    assert [h["time"] for h in early["hours"]] == ["2027-10-31T01:00:00+02:00",
                                                   "2027-10-31T02:00:00+02:00"]  # fmt: skip
    text(capsys, "back.csv", "--own-chill", "5", "--zone", "Europe/Berlin", "--plot", "b.svg")
    assert "Sun 1:00 to Sun 3:00" in Path("b.svg").read_text()


def test_slow_alcohol_comes_with_eyes_and_limits_wherever_it_is_shown(forecast, capsys):
    own = ["--own-chill", "8", "--own-chill-slow", "4"]
    for args in (own, BRUSH, ["--alcohol", "unknown", *own]):
        told = data(capsys, forecast, *args)
        assert any(h["slow"] for h in told["hours"])
        assert {"slow-alcohol-eyes", "slow-alcohol-limits"} <= {c["code"] for c in told["cautions"]}
    said = text(capsys, forecast, "--own-chill", "10", "--own-chill-slow", "4")
    assert "use your slow mix" in said


def test_differences_of_temperature_in_f(forecast, capsys):
    told = data(capsys, forecast, "--own-chill", "14.4 F", "--own-chill-slow", "3 C",
                "--own-margin", "3.6 °F")  # fmt: skip
    assert told["own_rule"]["chill_k"] == pytest.approx(8)
    assert told["own_rule"]["chill_slow_k"] == 3
    assert told["own_rule"]["margin_k"] == pytest.approx(2)


def test_own_figures_come_from_the_record_unless_it_is_left_out(
    forecast, capsys, tmp_path, monkeypatch
):
    from lacwright.shop import close_record

    monkeypatch.setenv("LACWRIGHT_HOME", str(tmp_path / "home"))
    monkeypatch.setenv("LACWRIGHT_HASTY", "1")
    try:
        assert run(["own-figures", "set", "drying.air", "1.3"]) == 0
        capsys.readouterr()
        for args in (BRUSH, ["--piece", str(EXAMPLES / "table.toml"), "--air", "0.1"]):
            told = data(capsys, forecast, *args)
            bare = data(capsys, forecast, *args, "--no-record")
            assert (told["from_record"], bare["from_record"]) == (["drying.air"], [])
            assert told["calibrated"] != "uncalibrated"
            assert bare["calibrated"] == "uncalibrated"
            assert told["hours"][1]["touch_dry_s"] < bare["hours"][1]["touch_dry_s"] / 1.15
            assert "From the record: your own drying.air" in text(capsys, forecast, *args)
        Path("mine.toml").write_text("[hand]\ndrying.air = 1.0\n")
        assert data(capsys, forecast, *BRUSH, "--hand", "mine.toml")["from_record"] == []
        assert "--no-record" in refusal(capsys, forecast, *BRUSH, "--no-record", "--home", "shop")
    finally:
        close_record()


def test_a_piece_is_judged_by_its_worst_coat_and_says_what_it_does_not_judge(forecast, capsys):
    told = data(capsys, forecast, "--piece", str(EXAMPLES / "table.toml"), "--no-record",
                "--air", "0.1")  # fmt: skip
    assert len(told["coats"]) >= 2
    assert all(len(h["coats"]) == len(told["coats"]) for h in told["hours"])
    for hour in told["hours"]:
        worst = next(c for c in hour["coats"] if c["coat"] == hour["coat"])
        assert worst["haze_index"] == hour["haze_index"]
        assert hour["verdict"] != "go" or all(c["verdict"] == "go" for c in hour["coats"])
    assert any("soaks" in s["why"] for s in told["silent"])


def test_a_standing_stop_replaces_the_go(forecast, capsys):
    args = [forecast, "--method", "brush", "--wet", "100 um", "--alcohol", "methanol"]
    told = data(capsys, *args)
    assert "go" not in [h["verdict"] for h in told["hours"]]
    assert told["next_go"] is None
    for hour in told["hours"]:
        assert (hour["verdict"], hour["change"]) == ("wait", [])
        assert hour["reason"].startswith("standing stop: ")
        assert hour["film_verdict"] in ("no stop", "marginal", "will whiten")
        assert (hour["slow"]["verdict"], hour["slow"]["change"]) == ("wait", [])
    assert told["stops"][0]["code"] == "methanol-present"
    assert text(capsys, *args).startswith("Do not start yet.")


def test_a_colder_board_and_outdoor_air(forecast, capsys):
    plain = data(capsys, forecast, *BRUSH)["hours"][1]
    cold = data(capsys, forecast, *BRUSH, "--board-temp", "16")["hours"][1]
    assert cold["film_min_c"] < plain["film_min_c"]
    assert cold["board_c"] == 16
    heated = data(capsys, forecast, *BRUSH, "--heated-to", "24")
    assert [h["room_c"] for h in heated["hours"]] == [24] * 4
    assert heated["hours"][1]["dew_point_c"] == pytest.approx(plain["dew_point_c"], abs=1e-3)
    assert heated["hours"][1]["rh"] < plain["rh"]
    assert any("outdoor" in a for a in heated["assumed"])


def test_hand_narrows_the_band_and_says_so(forecast, capsys):
    Path("hand.toml").write_text("[hand.drying]\nair = 1.2\n")
    plain = data(capsys, forecast, *BRUSH)["hours"][1]
    told = data(capsys, forecast, *BRUSH, "--hand", "hand.toml")
    assert told["hours"][1]["touch_dry_s"] < plain["touch_dry_s"]
    assert told["calibrated"] != "uncalibrated"


def test_the_days_and_columns_that_are_asked_for(forecast, capsys):
    Path("other.csv").write_text("wann;Außen;f\n1.3.2027 9:00;20;45\n2.3.2027 9:00;21;50\n")
    columns = ["--column", "time=wann", "--column", "temp=Außen", "--column", "rh=f"]
    assert len(data(capsys, "other.csv", *columns, *BRUSH)["hours"]) == 2
    day = data(capsys, "other.csv", *columns, *BRUSH, "--from", "2027-03-02")
    assert [h["room_c"] for h in day["hours"]] == [21]
    assert "no unit" in " ".join(day["reports"])
    assert "the table has no hour there" in refusal(
        capsys, "other.csv", *columns, *BRUSH, "--until", "2027-02-01")  # fmt: skip


def test_plot_draws_film_against_dew_point_and_marks_the_usable_hours(forecast, capsys):
    assert "Drawn: out.svg" in text(capsys, forecast, *BRUSH, "--plot", "out.svg")
    drawn = Path("out.svg").read_text()
    root = ET.fromstring(drawn)
    words = [e.text for e in root.iter() if e.tag.endswith("text")]
    assert {"film minimum", "dew point", "hatched: go"} <= set(words)
    boxes = [e for e in root.iter() if e.tag.endswith("rect")]
    assert len(boxes) == 1
    none = text(capsys, forecast, *BRUSH, "--from", "2027-03-01 12:00", "--plot", "none.svg")
    assert "No hour of this table is a go as it is" in none.splitlines()[0]
    assert "No hour is a go" in Path("none.svg").read_text()


@pytest.mark.parametrize(
    ("args", "words"),
    [
        ([], "neither a piece nor a coat is given"),
        (["--method", "brush"], "--alcohol: it is not said"),
        (["--method", "brush", "--alcohol", "unknown"], "its composition is unknown"),
        ([*BRUSH, "--piece", "x.toml"], "leave one of the two out"),
        (["--own-margin", "2"], "neither a piece nor a coat"),
        (["--own-chill", "cold"], "no difference of temperature"),
        (["--own-chill", "90"], "--own-chill: 90 K is outside"),
        ([*BRUSH, "--column", "temp"], "does not say which heading"),
        ([*BRUSH, "--column", "wind=x"], "--column: 'wind' is nothing that a column holds"),
        ([*BRUSH, "--zone", "Vienna"], "did you mean 'Europe/Vienna'"),
        ([*BRUSH, "--slow", "methanol"], "use n-butanol or isobutanol"),
        ([*BRUSH, "--slow-share", "80 %"], "no share of a slow alcohol"),
        ([*BRUSH, "--volume", "60"], "has no unit"),
        ([*BRUSH, "--plot", "x.png"], "is no SVG"),
        ([*BRUSH, "--after", "100 um"], "how long ago"),
    ],
)  # fmt: skip
def test_refusals_say_what_to_mend(forecast, capsys, args, words):
    assert words in refusal(capsys, forecast, *args)


def test_more_vapour_than_the_warmest_hour_holds_is_refused(forecast, capsys):
    # Ethanol at 20 C: 5.9 kPa (NIST WebBook), 5.8 % of the air.
    said = refusal(capsys, forecast, *BRUSH, "--vapour", "ethanol 70000 ppm")
    assert "more ethanol than air of 20 C can hold" in said
    assert run(["hours", forecast, *BRUSH, "--vapour", "ethanol 50000 ppm"]) == 0
    capsys.readouterr()


def test_air_beyond_the_fits_of_the_solvents_is_said(forecast, capsys):
    line = ("the properties of the solvents reach from -5 to 45 C; beyond, they are "
            "extrapolated")  # fmt: skip
    assert line not in data(capsys, forecast, *BRUSH)["assumed"]
    Path("hot.csv").write_text("time,temp [C],rh [%]\n2027-03-01 09:00,46,20\n")
    assert line in data(capsys, "hot.csv", *BRUSH)["assumed"]
    assert line not in data(capsys, "hot.csv", "--own-chill", "3")["assumed"]


def test_an_own_chill_in_f_is_a_difference(forecast, capsys):
    told = data(capsys, forecast, "--own-chill", "9 F", "--own-margin", "3.6 F")
    assert told["own_rule"]["chill_k"] == pytest.approx(5)
    assert told["own_rule"]["margin_k"] == pytest.approx(2)
    assert "film 5 K below the room" in text(capsys, forecast, "--own-chill", "9 F")


def test_an_unknown_alcohol_with_an_own_chill_is_judged_by_the_rule_and_stopped(forecast, capsys):
    told = data(capsys, forecast, "--alcohol", "unknown", "--own-chill", "3")
    assert told["silent"][0]["why"].startswith("the composition of its alcohol is unknown")
    assert told["stops"][0]["code"] == "alcohol-unknown"
    assert "go" not in [h["verdict"] for h in told["hours"]]


def test_a_coat_below_is_waited_for(forecast, capsys):
    told = data(capsys, forecast, *BRUSH, "--after", "100 um 2-lb 30 min ago", "--from",
                "2027-03-01 10:00")  # fmt: skip
    assert [h["verdict"] for h in told["hours"]][:2] == ["wait", "go"]
    assert "not ready" in told["hours"][0]["reason"]


def test_a_long_table_is_told_by_runs_and_may_be_judged_without_changes(tmp_path, capsys):
    rows = [f"2027-03-{1 + k // 24:02} {k % 24:02}:00,20,{75 if k % 24 < 8 else 44}"
            for k in range(96)]  # fmt: skip
    (tmp_path / "long.csv").write_text("\n".join(["time,temp [C],rh [%]", *rows, ""]))
    said = text(capsys, str(tmp_path / "long.csv"), *BRUSH, "--no-changes").splitlines()
    assert "Also on Tue 2 Mar from 8:00 to 23:00" in said[1]
    assert [line.split()[6] for line in said if line.startswith("Mon 1 Mar  ")] == ["wait", "go"]
    assert not any("makes it a go" in line for line in said)


def test_the_example_is_a_forecast_of_two_days(capsys):
    told = data(capsys, str(EXAMPLES / "forecast.csv"), *BRUSH)
    assert len(told["hours"]) == 48
    assert told["reports"] == []
    assert {h["verdict"] for h in told["hours"]} == {"go", "change"}
