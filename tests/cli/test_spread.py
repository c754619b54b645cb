"""lacwright spread."""

import json

import pytest

from lacwright.cli.main import run
from lacwright.figures import evaluate_formula


def answer(capsys, *args):
    assert run(["spread", *args, "--json"]) == 0
    return json.loads(capsys.readouterr().out)


def test_rate_and_cut(capsys):
    out = answer(capsys, "--rate", "500 sqft/gal", "--cut", "2")
    # 500 ft2/gal is 81.5 ml/m2; a 2-lb cut of resin at 1.14 g/ml is 17.4 % by volume
    assert out["schema"] == "lacwright.spread/1"
    assert out["spread_ml_per_m2"] == pytest.approx(81.49, abs=0.005)
    assert out["wet_um"] == out["spread_ml_per_m2"]
    assert out["wet_mil"] == pytest.approx(3.208, abs=0.001)
    assert out["solids_volume_fraction"] == pytest.approx(0.1737, abs=0.0001)
    assert out["dry_um"] == pytest.approx(81.49 * 0.1737, abs=0.01)
    assert out["dry_mil"] == pytest.approx(out["dry_um"] / 25.4)
    assert out["m2_per_l"] == pytest.approx(12.271, abs=0.001)
    assert out["sqft_per_gal"] == pytest.approx(500.0)
    assert out["figures"]["dry_um"]["low"] < out["dry_um"] < out["figures"]["dry_um"]["high"]


def test_every_working_gives_its_value(capsys):
    for args in (
        ("--rate", "12 m2/l", "--cut", "1.5"),
        ("--dry", "15 um", "--cut", "2", "--density", "1.1"),
        ("--dry", "1 mil", "--solids", "35 %"),
    ):
        figures = answer(capsys, *args)["figures"]
        assert len(figures) == 5
        for name, figure in figures.items():
            if figure["working"]:
                values = {k: v["value"] for k, v in figure["working"]["inputs"].items()}
                value = evaluate_formula(figure["working"]["formula"], values)
                assert value == pytest.approx(figure["value"]), name


@pytest.mark.published
def test_published_spreading_rates_through_the_command(capsys):
    # scribd.com/document/343849341: 65 % at 5 mil dry covers 208.5 ft2/gal (it takes 1604)
    out = answer(capsys, "--dry", "5 mil", "--solids", "65 %")
    assert out["sqft_per_gal"] == pytest.approx(208.52, rel=2e-4)
    # and 65 % at 125 um 5.2 m2/l
    out = answer(capsys, "--dry", "125 um", "--solids", "0.65")
    assert out["m2_per_l"] == pytest.approx(5.2)


def test_text_begins_with_a_sentence(capsys):
    assert run(["spread", "--rate", "75 ml/m2", "--cut", "2"]) == 0
    first = capsys.readouterr().out.splitlines()[0]
    assert first == "A 2-lb cut spread at 75.0 ml/m2 lies 75.0 um wet and dries to 13.0 um."


@pytest.mark.parametrize(
    ("args", "words"),
    [
        (["--rate", "500", "--cut", "2"], "has no unit"),
        (["--rate", "75 ml/m2"], "--cut or --solids"),
        (["--rate", "75 ml/m2", "--cut", "2", "--solids", "0.2"], "--cut or --solids"),
        (["--cut", "2"], "--rate or --dry"),
        (["--rate", "75 ml/m2", "--cut", "0"], "cut"),
        (["--rate", "0 ml/m2", "--cut", "2"], "nothing is spread"),
        (["--dry", "0 um", "--cut", "2"], "nothing is spread"),
        (["--rate", "75 ml/m2", "--solids", "140 %"], "cannot be"),
        (["--rate", "75 ml/m2", "--cut", "2", "--density", "11"], "density"),
        (["--rate", "75 ml/m2", "--solids", "0.2", "--density", "1.1"], "leave it out"),
        (["--rate", "75 ml/m2", "--cuts", "2"], "No such option"),
    ],
)
def test_bad_input_is_one_clear_line(capsys, args, words):
    assert run(["spread", *args]) == 2
    caught = capsys.readouterr()
    assert caught.out == ""
    assert words in caught.err
    assert len(caught.err.strip().splitlines()) == 1
