"""`lacwright unwrap`."""

import json

import pytest

from lacwright.cli.main import run

GOOD = ["unwrap", "--first", "4", "--later", "9 after 30 min", "--temp", "22", "--rh", "0.5"]


def first_line(capsys, *more):
    assert run([*GOOD, *more]) == 0
    return capsys.readouterr().out.splitlines()[0]


def test_first_line_is_what_to_do(capsys):
    said = first_line(capsys, "--coat-at", "18")
    assert said == (
        "Leave it wrapped for 65 min from the first reading; coat it 2.3 h after the first reading."
    )


def test_above_the_dew_point_it_is_unwrapped_now(capsys):
    assert first_line(capsys, "--rh", "0.2").startswith("Unwrap it now")
    assert "coat it now" in first_line(capsys, "--rh", "0.2", "--coat-at", "3")


def test_json_and_fahrenheit(capsys):
    assert run([*GOOD, "--later", "48.2 F after 0.5 h", "--coat-at", "18", "--json"]) == 0
    data = json.loads(capsys.readouterr().out)
    assert list(data)[:7] == [
        "schema", "dew_point_c", "warming_constant_min", "dew_point_min", "unwrap_min",
        "coat_at_c", "coat_min",
    ]  # fmt: skip
    assert data["notes"][0].startswith("It is the skin that is read: the core lags behind")
    assert "moisture settles" in data["notes"][0]
    assert data["unwrap_min"] == pytest.approx(65.0, abs=0.1)
    assert data["coat_min"] == pytest.approx(138.7, abs=0.1)


@pytest.mark.parametrize(
    ("more", "words"),
    [
        (["--later", "9"], "after how long"),
        (["--later", "warm after 30 min"], "--later"),
        (["--later", "9 after lunch"], "--later"),
        (["--later", "4.1 after 30 min"], "read again"),
        (["--unwrap-margin", "nan"], "--unwrap-margin"),
        (["--unwrap-margin", "-1"], "margin"),
        (["--unwrap-margin", "2 mm"], "'2 K'"),
        (["--rh", "1.0"], "write '100 %' or '1 %'"),
    ],
)
def test_odd_input_is_one_line(capsys, more, words):
    assert run([*GOOD, *more]) == 2
    out = capsys.readouterr()
    assert out.out == ""
    assert words in out.err
    assert len(out.err.splitlines()) == 1


@pytest.mark.parametrize("margin", ["2", "2 K", "2K", "2 C", "2,0 K", "3.6 F"])
def test_a_margin_is_a_difference(capsys, margin):
    assert run([*GOOD, "--unwrap-margin", margin, "--json"]) == 0
    data = json.loads(capsys.readouterr().out)
    # The constant of its warming, -30 / ln(13/18), times ln(18 / (22 - 11.11 - 2)).
    assert data["unwrap_min"] == pytest.approx(65.0, abs=0.1)
    assert run([*GOOD, "--unwrap-margin", "5 K", "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["unwrap_min"] > data["unwrap_min"] + 30


@pytest.mark.parametrize(("coat_at", "words"), [("3", "first reading already"), ("5", "by then")])
def test_a_skin_that_is_warm_enough_before_is_coated_when_unwrapped(capsys, coat_at, words):
    assert run([*GOOD, "--coat-at", coat_at]) == 0
    (line,) = [x for x in capsys.readouterr().out.splitlines() if x.startswith("Coat  ")]
    assert "when it is unwrapped" in line
    assert words in line
    assert "its skin at" not in line
    assert run([*GOOD, "--coat-at", coat_at, "--json"]) == 0
    data = json.loads(capsys.readouterr().out)
    assert data["coat_min"] == data["unwrap_min"]
    assert any("coated when it is unwrapped" in note for note in data["notes"])
