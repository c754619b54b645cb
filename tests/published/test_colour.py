"""Colour against published tables and a general colour library; each names its source."""

import importlib
import warnings
from pathlib import Path

import numpy as np
import pytest

from lacwright.colour import (
    WAVELENGTHS,
    Viewing,
    de00,
    film_over,
    find_bare,
    find_grade_colour,
    inside_film,
    lab_of_reflectance,
    lab_of_srgb,
    lab_of_xyz,
    recover,
    srgb_of_lab,
    tube_absorbance,
    xyz_of_lab,
)
from lacwright.colour.cie import ILLUMINANTS, OBSERVERS, power, weights, white
from lacwright.trade import table

USGS = Path(__file__).parents[1] / "data" / "usgs_splib07_wood_spectra.csv"

# ASTM D1544-04, Standard Test Method for Color of Transparent Liquids (Gardner Color Scale),
# Table 1: x, y of the standards 1 to 17, illuminant C, 2 degrees, and their luminous
# transmittance in %, typed from a copy of the table; number 18 is left out by the program.
D1544 = {
    1: (0.3177, 0.3303, 80), 2: (0.3233, 0.3352, 79), 3: (0.3329, 0.3452, 76),
    4: (0.3437, 0.3644, 75), 5: (0.3558, 0.3840, 74), 6: (0.3767, 0.4061, 71),
    7: (0.4044, 0.4352, 67), 8: (0.4207, 0.4498, 64), 9: (0.4343, 0.4640, 61),
    10: (0.4503, 0.4760, 57), 11: (0.4842, 0.4818, 45), 12: (0.5077, 0.4638, 36),
    13: (0.5392, 0.4458, 30), 14: (0.5646, 0.4270, 22), 15: (0.5857, 0.4089, 16),
    16: (0.6047, 0.3921, 11), 17: (0.6290, 0.3701, 6),
}  # fmt: skip


@pytest.fixture(scope="module")
def colour():
    """Return the general colour library; it warns of what it would like to have beside it."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        return importlib.import_module("colour")


@pytest.mark.published
@pytest.mark.parametrize("number", D1544)
def test_chromaticity_of_a_gardner_standard_d1544_table_1(number):
    light = np.exp(-tube_absorbance(number)) @ weights("C", 2)
    x, y, luminous = D1544[number]
    # The table prints four digits.
    assert light[:2] / light.sum() == pytest.approx([x, y], abs=1e-4)
    row = table("colour_gardner")[str(number)]
    assert (row.number("x"), row.number("y"), row.number("luminous")) == (x, y, luminous)


@pytest.mark.published
def test_luminous_transmittance_of_d1544_is_not_promised():
    """The fit is to x and y: pale glasses take a fifth more light than the model says."""
    ratio = [(np.exp(-tube_absorbance(n)) @ weights("C", 2))[1] / D1544[n][2] for n in range(1, 17)]
    assert ratio[:9] == pytest.approx([1.24] * 9, abs=0.06)
    assert ratio[14:] == pytest.approx([1.0, 1.0], abs=0.06)


@pytest.mark.published
def test_tables_of_the_cie_against_a_colour_library(colour):
    shape = colour.SpectralShape(380, 780, 5)
    names = {2: "CIE 1931 2 Degree Standard Observer", 10: "CIE 1964 10 Degree Standard Observer"}
    for light in ILLUMINANTS:
        power_there = colour.SDS_ILLUMINANTS[light].copy().align(shape).values
        # Nine digits are kept.
        assert power(light) == pytest.approx(power_there, rel=1e-8)
        for observer in OBSERVERS:
            cmfs = colour.MSDS_CMFS[names[observer]].copy().align(shape)
            seen = power_there[:, None] * cmfs.values
            mine = weights(light, observer)
            assert mine == pytest.approx(100 * seen / seen[:, 1].sum(), rel=1e-7, abs=1e-12)
            xy = white(light, observer)[:2] / white(light, observer).sum()
            there = colour.CCS_ILLUMINANTS[names[observer]].get(light)
            # Its white points come of 1 nm, with a wider range and four or five digits.
            assert there is None or xy == pytest.approx(there, abs=6e-4)


@pytest.mark.published
@pytest.mark.parametrize("light", ILLUMINANTS)
@pytest.mark.parametrize("observer", OBSERVERS)
def test_lab_xyz_and_screen_colour_against_a_colour_library(colour, light, observer):
    viewing = Viewing(light, observer)
    rng = np.random.default_rng(7)
    lab = rng.uniform([0, -60, -60], [100, 60, 60], (2000, 3))
    top = white(light, observer)
    xy = top[:2] / top.sum()
    there = colour.Lab_to_XYZ(lab, xy) * 100
    real = (there > 0).all(axis=1)
    # Its white is made of x and y, mine of a sum: twelve digits.
    assert xyz_of_lab(lab, viewing)[real] == pytest.approx(there[real], rel=1e-9)
    assert lab_of_xyz(there, viewing)[real] == pytest.approx(lab[real], abs=1e-8)
    assert lab_of_xyz(there / 1e4, viewing)[real] == pytest.approx(
        colour.XYZ_to_Lab(there / 1e6, xy)[real], abs=1e-8
    )
    screen = colour.XYZ_to_RGB(
        there / 100, "sRGB", xy, chromatic_adaptation_transform="Bradford", apply_cctf_encoding=True
    )
    shown = real & ((screen > 0) & (screen < 1)).all(axis=1)
    assert shown.sum() > 300
    # It has the matrix as the standard prints it, to four digits: a quarter of a level of 255.
    assert srgb_of_lab(lab, viewing)[shown] == pytest.approx(screen[shown], abs=1e-3)
    assert lab_of_srgb(srgb_of_lab(lab, viewing), viewing)[shown] == pytest.approx(
        lab[shown], abs=1e-3
    )


@pytest.mark.published
def test_ciede2000_against_a_colour_library(colour):
    rng = np.random.default_rng(8)
    one = rng.uniform([0, -100, -100], [100, 100, 100], (20_000, 3))
    other = one + rng.normal(0, 1, (20_000, 3)) * 10 ** rng.uniform(-2, 2, (20_000, 1))
    other[:5000] = rng.uniform([0, -100, -100], [100, 100, 100], (5000, 3))
    one[:50, 1:] = 0
    other[25:75, 1:] = 0
    got, there = de00(one, other), colour.delta_E(one, other, method="CIE 2000")
    assert got == pytest.approx(there, abs=1e-9)
    assert de00(other, one) == pytest.approx(got, abs=1e-9)
    assert (de00(one, one) == 0).all()


@pytest.mark.published
def test_a_spectrum_seen_against_a_colour_library(colour):
    """One wood spectrum under every light, by the library's own sum over wavelengths."""
    rng = np.random.default_rng(9)
    spectrum = 0.2 + 0.5 * np.sort(rng.random(81))
    shape = colour.SpectralShape(380, 780, 5)
    sd = colour.SpectralDistribution(dict(zip(WAVELENGTHS, spectrum, strict=True)))
    for light in ILLUMINANTS:
        cmfs = colour.MSDS_CMFS["CIE 1931 2 Degree Standard Observer"].copy().align(shape)
        there = colour.sd_to_XYZ(
            sd, cmfs, colour.SDS_ILLUMINANTS[light].copy().align(shape), method="Integration"
        )
        assert spectrum @ weights(light, 2) == pytest.approx(there, rel=1e-8)


# --- spectra of real wood ------------------------------------------------------------------------


def spectra():
    """Return the three woods of the extract by name, shape (81,) each."""
    lines = [x for x in USGS.read_text(encoding="utf-8").splitlines() if not x.startswith("#")]
    names = lines[0].split(",")[1:]
    rows = np.array([[float(cell) for cell in x.split(",")] for x in lines[1:]])
    assert rows[:, 0].tolist() == WAVELENGTHS.tolist()
    return dict(zip(names, rows[:, 1:].T, strict=True))


@pytest.mark.published
@pytest.mark.parametrize("wood", spectra())
def test_three_numbers_stand_for_a_wood_spectrum_under_a_film(wood):
    """USGS Spectral Library Version 7, Kokaly et al. 2017 (Data Series 1035): pine and cedar.

    Spectrum to Lab to spectrum again, then a film over both: the difference is to stay below 0.2.
    With the guessed skin, cedar comes to 0.54: the skin is held below a share of the lowest
    reflectance, and that, at 380 nm, three numbers do not tell (0.025 read, 0.030 recovered).
    """
    true, viewing = spectra()[wood], Viewing()
    again = recover(lab_of_reflectance(true, viewing), viewing)
    for grade, load in (("blonde", 57), ("amber", 137), ("orange", 60), ("garnet", 60)):
        taken = find_grade_colour(grade).absorption() * load
        for way in ("45/0", "8/d"):
            for skin, most in ((0.01, 0.2), (0.035, 0.6)):
                seen = [
                    lab_of_reflectance(film_over(inside_film(r, skin, 0.6), taken, way), viewing)
                    for r in (true, again)
                ]
                assert de00(*seen) < most, (grade, way, skin)


@pytest.mark.crosscheck
def test_lab_of_the_usgs_spectra_of_an_earlier_trial():
    """Computed by an earlier trial of the same sum: one digit printed."""
    seen = {n: lab_of_reflectance(s, Viewing()) for n, s in spectra().items()}
    assert seen["pine_beam_new_GDS363"] == pytest.approx([64.9, 5.4, 17.4], abs=0.06)
    assert seen["cedar_shake_fresh_GDS357"] == pytest.approx([41.8, 13.6, 25.5], abs=0.06)


@pytest.mark.published
def test_remembered_woods_lie_in_the_published_range():
    """98 tropical species: L* 24.0 to 84.4, a* 2.6 to 20.4, b* 1.8 to 36.6 (abstract of a study).

    Woods of other climates may be a little outside; ebony's a* and bleached tones are.
    """
    for row in table("colour_woods"):
        lightness, red, yellow = find_bare(row.key).lab
        assert 24.0 <= lightness <= 84.4
        assert row.key == "ebony" or 2.6 <= red <= 20.4
        assert 1.8 <= yellow <= 36.6
