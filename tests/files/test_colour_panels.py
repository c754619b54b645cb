"""Panels whose colour was read: bands, loads, ways of saying a colour, what a hand file keeps."""

import tomllib
from pathlib import Path

import numpy as np
import pytest

from lacwright.colour.cie import Viewing
from lacwright.colour.hand import bare_for, grade_for
from lacwright.colour.spaces import hex_of_lab
from lacwright.figures import Basis, Mark, Refusal, Refusals
from lacwright.files import reference
from lacwright.files.colour_panels import read_lab, read_panel, read_panels, read_srgb
from lacwright.files.own import read_own

DOC = Path(__file__).parents[2] / "docs/reference/colour-panels.md"
HEAD = """\
name = "panel 7"
date = 2027-02-01
wood = "maple"
grade = "amber"
sealed_with = "blond"
load_per_coat = { blonde = "3 g/m2", amber = "3.5 g/m2" }
"""
BANDS = """\
band = [
  { coats = "bare", lab = [83.2, 3.5, 17.1] },
  { coats = "sealed", lab = "79.6, 4.6, 22.0" },
  { coats = 2, readings = [[78.2, 4.9, 26.3], [77.8, 4.9, 26.6], [78.0, 4.9, 26.3]] },
  { coats = 9, lab = [73.2, 7.0, 37.3] },
]
"""


def read(text):
    row, panel, wrong = read_panel(tomllib.loads(text), "[[panel]] 1")
    assert wrong == []
    assert row is not None
    return panel


def refused(text):
    _, panel, wrong = read_panel(tomllib.loads(text), "[[panel]] 1")
    assert panel is None
    return [str(r) for r in wrong]


def test_bands_are_read_with_coats_loads_and_colours():
    panel = read(HEAD + BANDS)
    assert panel.name == "panel 7, 2027-02-01"
    assert (panel.wood, panel.grades) == ("hard-maple", ("blonde", "amber"))
    assert panel.viewing == Viewing()
    bare, sealed, two, nine = panel.bands
    assert bare.bare
    assert sealed.loads_g_m2 == {"blonde": 3.0}
    # The seal lies below the coats.
    assert two.coats == {"blonde": 1, "amber": 2}
    assert two.loads_g_m2 == {"blonde": 3.0, "amber": 7.0}
    assert nine.words == "1 coat blonde and 9 coats amber"
    assert two.lab == pytest.approx((78.0, 4.9, 26.4))
    assert sealed.lab == (79.6, 4.6, 22.0)


def test_the_spread_of_three_readings_is_that_of_their_mean():
    """By hand: sd of L* 0.2, of b* 0.173; sqrt(0.04 + 0.03) / sqrt(3) is 0.153, below 0.4."""
    assert read(HEAD + BANDS).bands[2].sd == pytest.approx(0.4)
    wide = BANDS.replace("[78.2, 4.9, 26.3]", "[81.2, 4.9, 26.3]")
    # 81.2, 77.8, 78.0: sd 1.908; with b* 0.173: 1.916 / sqrt(3) = 1.106
    assert read(HEAD + wide).bands[2].sd == pytest.approx(1.106, abs=0.002)
    assert read(HEAD + "noise = 0.7\n" + BANDS).bands[2].sd is None


def test_a_panel_may_say_loads_band_by_band():
    text = """\
name = "p"
wood = "walnut"
light = "d50"
observer = 10
geometry = "SCI"
reader = "camera"
[[band]]
coats = 0
srgb = "#8a7256"
[[band]]
coats = { blonde = 1 }
load = "3 g/m2"
srgb = [110, 82, 58]
[[band]]
coats = { blonde = 1, garnet = 2 }
load = { blonde = "3 g/m2", garnet = "0.8 mg/cm2" }
srgb = "5f4129"
"""
    panel = read(text)
    assert panel.viewing == Viewing("D50", 10, "8/d")
    assert panel.bands[2].loads_g_m2 == {"blonde": 3.0, "garnet": 8.0}
    assert hex_of_lab(np.array(panel.bands[0].lab), panel.viewing) == "#8a7256"
    assert hex_of_lab(np.array(panel.bands[1].lab), panel.viewing) == "#6e523a"


def test_without_a_seal_coat_the_first_is_of_its_own_grade():
    panel = read(HEAD.replace('sealed_with = "blond"\n', "") + BANDS)
    assert [band.loads_g_m2 for band in panel.films] == [
        {"amber": 3.5}, {"amber": 7.0}, {"amber": 31.5},
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("was", "now", "where", "says"),
    [
        ('wood = "maple"', 'wood = "mapel"', "wood", "did you mean 'maple'"),
        ('grade = "amber"', 'grade = "ambre"', "grade", "did you mean 'amber'"),
        ('grade = "amber"\n', "", "band 3 coats", "of which grade is not said"),
        ('"79.6, 4.6, 22.0"', '"79.6, 4.6"', "band 2, lab", "is not L*, a* and b*"),
        (", lab = [73.2, 7.0, 37.3]", "", "band 4, lab", "must be said once"),
        ("lab = [73.2, 7.0, 37.3]", 'lab = [73.2, 7.0, 37.3], srgb = "#aabbcc"', "band 4, srgb",
         "must be said once"),
        ("[73.2, 7.0, 37.3]", "[180, 7.0, 37.3]", "1 coat blonde and 9 coats amber",
         "L* 180 is no reading"),
        ("[73.2, 7.0, 37.3]", "[81.2, 7.0, 37.3]", "9 coats amber", "a film only darkens"),
        ("coats = 9", "coats = -1", "band 4, coats", "is no number of coats"),
        ("coats = 9", 'coats = "nine"', "band 4, coats", "is no number of coats"),
        ("coats = 9,", 'coats = 9, load = "30 g/m2",', "band 4 load", "one load of two grades"),
        ('coats = "bare",', 'coats = "bare", load = "3 g/m2",', "band 1 load",
         "a load on the bare wood"),
        (', amber = "3.5 g/m2"', "", "2 coats amber", "what amber lies on it is not said"),
        ("date =", 'light = "candle"\ndate =', "light", "'candle' is not on file"),
        ("date =", 'geometry = "SCE"\ndate =', "geometry", "gloss trap"),
        ("date =", "observer = 4\ndate =", "observer", "no standard observer"),
        ("date =", 'reader = "eye"\ndate =', "reader", "is not 'instrument' or 'camera'"),
        ("date =", "noise = 0\ndate =", "noise", "is not above 0"),
        ("date =", "colour = 3\ndate =", "[[panel]] 1", "nothing is called 'colour'"),
        ("  { coats = 9, lab = [73.2, 7.0, 37.3] },\n", "", "", ""),
        ('  { coats = "bare", lab = [83.2, 3.5, 17.1] },\n', "", "", "no band is bare"),
    ],
)  # fmt: skip
def test_what_is_wrong_is_told_with_its_place(was, now, where, says):
    text = HEAD + BANDS
    assert was in text
    text = text.replace(was, now, 1)
    if not says:
        assert len(read(text).bands) == 3
        return
    (line, *_) = refused(text)
    assert line.startswith("[[panel]] 1")
    assert where in line
    assert says in line


def test_all_faults_are_told_at_once(tmp_path):
    path = tmp_path / "panels.toml"
    path.write_text(
        "[[panel]]\n" + HEAD.replace("maple", "mapel").replace("amber", "ambre", 1) + BANDS
        + "[[panel]]\n" + HEAD + BANDS.replace("[73.2, 7.0, 37.3]", '"x"') + "\n[panl]\n"
    )  # fmt: skip
    with pytest.raises(Refusals) as caught:
        read_panels(path)
    places = [r.where for r in caught.value.each]
    assert places == ["panels.toml, [[panel]] 1, wood", "panels.toml, [[panel]] 1, grade",
                      "panels.toml, [[panel]] 2, band 4, lab", "panels.toml"]  # fmt: skip


def test_a_file_without_a_panel_is_refused(tmp_path):
    path = tmp_path / "none.toml"
    path.write_text("[hand]\n")
    with pytest.raises(Refusal, match="there is no panel in it"):
        read_panels(path)


@pytest.mark.parametrize("bad", [True, "1 2", [1, 2, True], [1, 2, float("nan")], {}, 3, None])
def test_a_colour_is_three_numbers(bad):
    with pytest.raises(Refusal):
        read_lab(bad)
    with pytest.raises(Refusal):
        read_srgb(bad)


def test_what_a_hand_file_keeps_is_read_without_a_fit():
    says = {"names": ["colour.amber.level", "colour.amber.slope", "colour.amber.band",
                      "colour.hard-maple.wetting", "colour.hard-maple.skin"],
            "pull": [-600.0, -150.0, 0.0, 120.0, 0.0],
            "information": [[100.0, 0, 0, 0, 0], [0, 90.0, 0, 0, 0], [0, 0, 1e6, 0, 0],
                            [0, 0, 0, 200.0, 0], [0, 0, 0, 0, 100.0]],
            "wood": "hard-maple", "bare": [83.2, 3.5, 17.1]}  # fmt: skip
    kept = {**tomllib.loads(HEAD + BANDS), "says": says}
    hand, wrong = read_own({"panel": [kept]}, "hand file")
    assert wrong == []
    level = hand.own["colour.amber.level"]
    assert (level.basis, level.mark) == (Basis.LEARNED, Mark.OWN)
    assert level.source == "from your panels, n = 1: panel 7, 2027-02-01"
    # By hand: the prior ln 0.00129 with 1/0.7^2 (or wider), beside -6.0 with 100.
    assert np.log(level.value) == pytest.approx(-6.0, abs=0.02)
    assert grade_for("amber", hand.own).basis == "own panels"
    assert bare_for("maple", hand.own).lab == (83.2, 3.5, 17.1)
    _, wrong = read_own(
        {"panel": [kept], "colour": {"amber": {"level": "0.003 m2/g"}}}, "hand file"
    )
    assert [str(r) for r in wrong] == [
        "[hand.colour.amber] level: it is given, and learned from [[hand.panel]] as well; "
        "keep one of them."
    ]
    _, wrong = read_own({"panel": [tomllib.loads(HEAD + BANDS)]}, "hand file")
    assert "not reckoned yet" in str(wrong[0])
    _, wrong = read_own({"panel": [{**kept, "says": {**says, "pull": [1.0]}}]}, "hand file")
    assert "not what a panel says" in str(wrong[0])


def test_the_reference_is_made_from_the_tables():
    text = DOC.read_text(encoding="utf-8")
    assert reference.filled(text) == text
