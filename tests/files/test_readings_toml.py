"""The file of readings, and the words of colour on a line."""

from pathlib import Path

import pytest

from lacwright.colour import Viewing
from lacwright.figures import Refusal, Refusals
from lacwright.files.colour_words import (
    blend_words,
    read_blend,
    read_lab,
    read_laid,
    read_price,
    read_target,
)
from lacwright.files.readings_toml import read_readings
from lacwright.files.reference import filled

DOC = Path(__file__).parents[2] / "docs/reference/colour-readings.md"
GOOD = 'scale = "L*"\ntarget = 50\ntolerance = 1\n'


def test_the_page_names_every_key():
    text = DOC.read_text(encoding="utf-8")
    assert filled(text) == text, "run docs/refresh.py"


def test_every_fault_is_told_at_once(tmp_path):
    file = tmp_path / "r.toml"
    file.write_text('scale = "L*"\ntarget = "50"\n[[reading]]\ncoats = 1.5\nvalue = 60\n')
    with pytest.raises(Refusals) as told:
        read_readings(file)
    places = [r.where for r in told.value.each]
    assert any("target" in p for p in places)
    assert any("tolerance" in p for p in places)
    assert any("reading 1, coats" in p for p in places)


def test_several_readings_of_a_band_count_each(tmp_path):
    file = tmp_path / "r.toml"
    file.write_text(GOOD + "reading = [{ coats = 1, value = [60, 61] }, { coats = 2, value = 50 }]")
    row = read_readings(file)
    assert [(r.coats, r.value) for r in row.readings] == [(1, 60), (1, 61), (2, 50)]
    assert row.load_ratio == 1.0


@pytest.mark.parametrize("text", ["45,18,30", "45, 18, 30", "45 18 30", "45; 18; 30"])
def test_a_colour_is_read_as_people_write_it(text):
    assert read_lab(text, "--target") == (45, 18, 30)


@pytest.mark.parametrize("text", ["45,18", "45,18,30,1", "red", "", "45,18,x"])
def test_no_colour_is_refused(text):
    with pytest.raises(Refusal, match="no colour"):
        read_lab(text, "--target")


def test_a_patch_of_white_is_white():
    assert read_target("#ffffff", Viewing(), "--target") == pytest.approx((100, 0, 0), abs=0.01)


@pytest.mark.parametrize(
    ("text", "blend"),
    [
        ("amber", {"amber": 1}),
        ("amber 70 % + garnet 30 %", {"amber": 0.7, "garnet": 0.3}),
        ("70 % amber + 30% orange flakes", {"amber": 0.7, "orange flakes": 0.3}),
        ("amber 0.25 + garnet 0.75", {"amber": 0.25, "garnet": 0.75}),
        ("a 33 % + b 33 % + c 33 %", {"a": 1 / 3, "b": 1 / 3, "c": 1 / 3}),
    ],
)
def test_a_blend_is_read_as_people_write_it(text, blend):
    told = read_blend(text, "--grade")
    assert told == pytest.approx(blend, abs=0.004)
    assert sum(told.values()) == pytest.approx(1)


@pytest.mark.parametrize(
    "text",
    ["", "+", "amber + garnet", "amber 70 % + garnet 20 %", "70 % + 30 %", "amber 0 % + garnet 1",
     "amber 50 % + amber 50 %", " + ".join(f"g{c} 14 %" for c in "abcdefg")],
)  # fmt: skip
def test_no_blend_is_refused(text):
    with pytest.raises(Refusal) as told:
        read_blend(text, "--grade")
    assert told.value.where == "--grade"


def test_blends_in_words():
    assert blend_words({"amber": 1.0}) == "amber"
    assert blend_words({"a": 0.5, "b": 0.3, "c": 0.2}) == "a 50 %, b 30 % and c 20 %"


def test_what_lies_there_and_what_it_costs():
    assert read_laid("orange flakes 7 g/m2", "--on") == ("orange flakes", 7.0)
    assert read_laid("amber: 0.7 mg/cm2", "--on") == ("amber", pytest.approx(7.0))
    assert read_price("garnet 38 per kg", "p") == ("garnet", pytest.approx(0.038))
    assert read_price("40/500 g", "p") == ("", pytest.approx(0.08))
    for text in ("amber", "7 g/m2", "amber 0 g/m2", "amber 7"):
        with pytest.raises(Refusal):
            read_laid(text, "--on")
    for text in ("38", "garnet per kg", "garnet 38 per 0 g", "garnet 38 per bag"):
        with pytest.raises(Refusal):
            read_price(text, "p")
