"""Grain sizes against published tables; each source beside its check."""

import pytest

from lacwright.figures import Mark
from lacwright.film import find_abrasive
from lacwright.trade import table

pytestmark = pytest.mark.published


def median(name):
    return find_abrasive(name, "test").number("median")


@pytest.mark.parametrize(
    ("grade", "um"),
    [
        ("P12", 1815), ("P16", 1324), ("P20", 1000), ("P24", 764), ("P30", 642), ("P36", 538),
        ("P40", 425), ("P50", 336), ("P60", 269), ("P80", 201), ("P100", 162), ("P120", 125),
    ],
)  # fmt: skip
def test_fepa_coarse_grades(grade, um):
    # sizes.com/tools/sandpaper.htm, table of grades, FEPA P-grade, average particle size
    assert median(grade) == um


@pytest.mark.parametrize(
    ("grade", "um"),
    [
        (150, 100), (180, 82), (220, 68), (240, 60), (280, 52), (320, 46), (360, 40), (400, 35),
        (500, 30), (600, 26), (800, 22), (1000, 18), (1200, 15), (1500, 13), (2000, 10), (2500, 8),
    ],
)  # fmt: skip
def test_fepa_fine_grades_against_a_finisher_s_chart(grade, um):
    # "Sandpaper grit comparisons", ruddwoodfinishes.com, column P against micron. It prints whole
    # microns and takes P240 (58.5 um) for 60, hence 1.5 um.
    assert median(f"P{grade}") == pytest.approx(um, abs=1.5)


def test_fepa_ends():
    # reference.com, How do you read a sandpaper grit chart: P12 (1815) to P2500 (8.4); macrogrits
    # 68 to 1815, microgrits 8.4 to 58.4; CAMI 24 (708) to 1000 (10.3)
    assert (median("P12"), median("P220"), median("P2500")) == (1815, 68, 8.4)
    assert median("P240") == pytest.approx(58.4, abs=0.15)  # 58.5 elsewhere
    assert (median("CAMI 24"), median("CAMI 1000")) == (708, 10.3)


@pytest.mark.parametrize(
    ("grade", "um"), [(24, 715), (30, 638), (36, 535), (40, 428), (50, 351), (60, 268), (80, 192),
                      (100, 141)],
)  # fmt: skip
def test_cami_grades_against_a_second_table(grade, um):
    # sizes.com/tools/sandpaper.htm, CAMI grade: the two tables differ by up to 1.2 %
    assert median(f"CAMI {grade}") == pytest.approx(um, rel=0.012)


@pytest.mark.parametrize(("cami", "fepa"), [(400, 800), (500, 1000), (600, 1200), (320, 400)])
def test_like_grades_of_the_two_systems(cami, fepa):
    # the same chart sets CAMI 400 beside P800, 500 beside P1000, 600 beside P1200, 320 beside P400
    assert median(f"CAMI {cami}") == pytest.approx(median(f"P{fepa}"), rel=0.10)


@pytest.mark.parametrize(
    ("number", "um", "tolerance"),
    [
        (240, 57, 3), (280, 48, 3), (320, 40, 2.5), (360, 35, 2), (400, 30, 2), (500, 25, 2),
        (600, 20, 1.5), (700, 17, 1.3), (800, 14, 1), (1000, 11.5, 1), (1200, 9.5, 0.8),
        (1500, 8, 0.6), (2000, 6.7, 0.6), (2500, 5.5, 0.5), (3000, 4, 0.5), (4000, 3, 0.4),
        (6000, 2, 0.4), (8000, 1.2, 0.3),
    ],
)  # fmt: skip
def test_jis_grades(number, um, tolerance):
    # JIS R 6001:1987, 50 % point of the cumulative height, as tabulated at evers.c.ooco.jp/JIS.html
    size = find_abrasive(f"JIS {number}", "test").figure("median", "um")
    assert size.value == um
    assert (size.low, size.high) == pytest.approx((um - tolerance, um + tolerance))


def test_finer_numbers_are_finer_grains_in_every_system():
    for system in ("FEPA", "CAMI", "JIS", "water stone"):
        sizes = [r.number("median") for r in table("abrasives") if r.text("system") == system]
        assert len(sizes) > 4
        assert sizes == sorted(sizes, reverse=True)


def test_what_was_not_read_is_not_called_published():
    # P3000 stands in none of the tables above
    assert table("abrasives")["FEPA P3000"].mark is Mark.REMEMBERED


@pytest.mark.parametrize(
    ("grade", "um"),
    [
        (150, 100), (180, 82), (220, 68), (240, 58.5), (280, 52.2), (320, 46.2), (360, 40.5),
        (400, 35.0), (500, 30.2), (600, 25.8), (800, 21.8), (1000, 18.3), (1200, 15.3),
        (1500, 12.6), (2000, 10.3), (2500, 8.4),
    ],
)  # fmt: skip
def test_fepa_fine_grades_to_the_digit(grade, um):
    # stusshed.wordpress.com/2008/03/24, table "ISO/FEPA, CAMI, average particle diameter"
    assert median(f"P{grade}") == um
