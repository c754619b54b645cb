"""Sheen: ceilings, classes, what the last step leaves."""

import math

import pytest

from lacwright.figures import Refusal
from lacwright.film import (
    ceiling_gu,
    classes,
    fresnel,
    gu60_of_roughness,
    last_steps_for,
    sheen_after,
    wished_band,
)
from lacwright.trade import table


@pytest.mark.parametrize("index", [1.44, 1.516, 1.52, 1.567])
@pytest.mark.parametrize("angle", [20.0, 60.0, 85.0])
def test_mirrored_share_by_the_other_form_of_the_equations(index, angle):
    # Fresnel's own sine and tangent form, with the angle of refraction from Snell's law
    inside = math.radians(angle)
    outside = math.asin(math.sin(inside) / index)
    s = math.sin(inside - outside) / math.sin(inside + outside)
    p = math.tan(inside - outside) / math.tan(inside + outside)
    assert fresnel(index=index, angle_deg=angle) == pytest.approx((s * s + p * p) / 2)


def test_no_shellac_film_reads_a_hundred():
    assert [round(ceiling_gu(index=1.52, angle_deg=a), 1) for a in (20, 60, 85)] == [
        87.3, 92.4, 99.3,
    ]  # fmt: skip
    assert round(ceiling_gu(index=1.516), 1) == 91.8
    assert round(ceiling_gu(index=1.44), 0) == 79
    assert round(ceiling_gu(index=1.45), 1) == 80.7
    assert ceiling_gu(index=1.567) == pytest.approx(100.0)
    assert fresnel(index=1.0, angle_deg=60.0) == 0.0


def test_every_last_step_stays_under_the_ceiling_and_says_common_practice():
    for row in table("sheen"):
        if row.text("kind") != "step":
            continue
        sheen = sheen_after(row.key)
        assert sheen.gu60.high <= sheen.ceiling.value + 1e-9
        assert sheen.gu60.low <= sheen.gu60.value <= sheen.gu60.high
        assert sheen.gu60.mark == "common practice"
        assert sheen.classes


def test_finer_papers_leave_more_sheen():
    papers = [sheen_after(f"P{n}").gu60.number() for n in (400, 600, 800, 1000, 1200, 1500, 2000)]
    assert papers == sorted(papers)
    assert sheen_after("CAMI 600").gu60 == sheen_after("P1200").gu60


def test_wax_lowers_a_mirror_and_raises_a_scratched_surface():
    mirror, waxed = sheen_after("spirited off"), sheen_after("spirited off", waxed=True)
    assert waxed.gu60.high < mirror.gu60.high
    assert "lowers" in waxed.note
    assert "raises" in sheen_after("P600", waxed=True).note


def test_unknown_last_steps_are_refused_with_the_mend():
    with pytest.raises(Refusal, match="P400 is 35 um, CAMI 400 is 23 um"):
        sheen_after("400")
    with pytest.raises(Refusal, match="did you mean 'rottenstone'"):
        sheen_after("rottenstone powder")
    with pytest.raises(Refusal, match="no sheen after FEPA P120 is known"):
        sheen_after("P120")


def test_line_between_two_points_holds_only_between_them():
    assert gu60_of_roughness(sa_um=0.3) == pytest.approx(67.0)
    for outside in (0.05, 0.7):
        with pytest.raises(Refusal, match="lies outside"):
            gu60_of_roughness(sa_um=outside)


def test_levels_overlap_and_words_do_not_leave_gaps():
    assert classes(low=22.0) == ("G3", "G4")
    assert classes(low=90.0) == ("G7",)
    assert classes(low=30.0, high=75.0) == ("G4", "G5", "G6")
    assert classes(low=40.5, kind="word") == ("semi-matt", "semi-gloss")
    with pytest.raises(Refusal):
        classes(low=-1.0)


def test_a_wished_sheen_names_last_steps():
    low, high = wished_band("G5", "wish.sheen")
    assert (low, high) == (35.0, 70.0)
    steps = last_steps_for(low=low, high=high)
    assert "FEPA P1200" in steps
    assert "spirited off" not in steps
    assert wished_band("mirror", "wish.sheen")[0] > 90
    with pytest.raises(Refusal, match="semi-gloss"):
        wished_band("semigloss", "wish.sheen")
