"""`lacwright climate`."""

import json

import pytest

from lacwright.cli.main import run


def answer(capsys, *args):
    assert run(["climate", *args, "--json"]) == 0
    out = capsys.readouterr()
    assert out.err == ""
    return json.loads(out.out)


def test_first_line_is_the_sentence(capsys):
    assert run(["climate", "--temp", "21", "--rh", "0.5"]) == 0
    lines = capsys.readouterr().out.splitlines()
    # The numbers: PsychroLib 2.5.0 has 10.18 C; USDA Wood Handbook, Table 4-2, 9.2 % at 70 F.
    assert lines[0] == "At 21.0 C and 50 % the dew point is 10.2 C; wood settles at 9.2 % moisture."
    assert "10.2 C (50.3 F)" in "\n".join(lines)
    assert "21.0 C (69.8 F)" in "\n".join(lines)
    assert "8.2 to 10.2 %" in "\n".join(lines)


def test_json_has_stable_keys(capsys):
    data = answer(capsys, "--temp", "21", "--rh", "0.5")
    assert list(data) == [
        "schema", "temp_c", "rh", "dew_point_c", "emc_percent", "absolute_humidity_g_m3",
        "figures", "missing", "cautions", "stops",
    ]  # fmt: skip
    assert data["schema"] == "lacwright.climate/1"
    for key in ("dew_point_c", "emc_percent", "absolute_humidity_g_m3"):
        assert data["figures"][key]["value"] == data[key]
        assert data["figures"][key]["source"]
    assert data["missing"] == {}


def test_fahrenheit_and_per_cent(capsys):
    in_f = answer(capsys, "--temp", "70 F", "--rh", "50 %")
    assert in_f["temp_c"] == pytest.approx(21.111, abs=1e-3)
    assert in_f["rh"] == 0.5
    assert answer(capsys, "--temp", "-5", "--rh", "50%")["temp_c"] == -5


def test_null_has_its_reason(capsys):
    data = answer(capsys, "--temp", "-5", "--rh", "0.5")
    assert data["emc_percent"] is None
    assert "-1.11 to 60 C" in data["missing"]["emc_percent"]
    assert data["dew_point_c"] < -5
    assert run(["climate", "--temp", "-5", "--rh", "0.5"]) == 0
    assert "no figure for wood" in capsys.readouterr().out.splitlines()[0]


@pytest.mark.parametrize(
    ("args", "words"),
    [
        (["--temp", "21", "--rh", "45"], "write '45 %' or 0.45"),
        (["--temp", "21", "--rh", "0"], "relative humidity"),
        (["--temp", "21", "--rh", "145 %"], "--rh"),
        (["--temp", "70", "--rh", "0.5"], "70 F"),
        (["--temp", "21 K", "--rh", "0.5"], "--temp"),
        (["--temp", "warm", "--rh", "0.5"], "--temp"),
        (["--rh", "0.5"], "--temp"),
        (["--temp", "21"], "--rh"),
        (["--temp", "21", "--rh", "0.5", "--hot"], "--hot"),
        (["--temp", "21", "--rh", "0.5", "now"], "now"),
    ],
)
def test_bad_input_is_one_line_and_exit_2(capsys, args, words):
    assert run(["climate", *args]) == 2
    out = capsys.readouterr()
    assert out.out == ""
    assert len(out.err.splitlines()) == 1
    assert words in out.err
