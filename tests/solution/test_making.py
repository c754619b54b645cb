import pytest

from lacwright.figures import Refusal
from lacwright.solution import (
    alcohol_named,
    blend,
    correct,
    cut_by_rule,
    cut_of_residue,
    decanted,
    dissolve,
    evaporated,
    give_back,
    make,
    parts_to_thin,
    paste_wax,
    planned_coats_equivalent,
    pour_to_cut,
    ready_after_h,
    resin_named,
    strengthen,
    thin,
)

ETHANOL = alcohol_named("ethanol-200")


def test_wrong_direction_is_refused_with_the_mend():
    mix = make(cut_lb_per_gal=2.0, solution_ml=500.0)
    with pytest.raises(Refusal, match="use strengthen"):
        thin(mix=mix, to_cut=3.0)
    with pytest.raises(Refusal, match="use thin"):
        strengthen(mix=mix, to_cut=1.0)
    assert thin(mix=mix, to_cut=2.0).add_alcohol_ml == pytest.approx(0.0, abs=1e-9)


def test_correcting_counts_only_what_is_left():
    made = dissolve(resin_g=40.0, alcohol_ml=900.0, resin=resin_named("amber"))
    change = correct(made=made, used_ml=200.0, to_cut=2.0)
    left = 1 - 200.0 / (900 + 40 / 1.14)
    assert change.before.total_resin_g == pytest.approx(40 * left)
    assert change.add_resin_g == pytest.approx(left * (900 * 0.2396529 - 40), rel=1e-6)
    assert change.after.cut_lb_per_gal == pytest.approx(2.0)
    strong = correct(made=dissolve(resin_g=400.0, alcohol_ml=900.0), used_ml=0.0, to_cut=2.0)
    assert strong.add_resin_g == 0
    assert strong.add_alcohol_ml > 0
    with pytest.raises(Refusal, match="nothing is left"):
        correct(made=made, used_ml=940.0, to_cut=2.0)


def test_coats_laid_with_a_wrong_mix_in_planned_coats():
    wrong = dissolve(resin_g=40.0, alcohol_ml=900.0)
    planned = make(cut_lb_per_gal=2.0, solution_ml=1000.0)
    # 42.78 g in a litre of the wrong mix against 198.0 in the planned one.
    equivalent = planned_coats_equivalent(coats_laid=2, laid=wrong, planned=planned)
    assert equivalent == pytest.approx(2 * 42.78 / 198.0, rel=1e-3)
    same = planned_coats_equivalent(coats_laid=2, laid=planned, planned=planned)
    assert same == pytest.approx(2.0)


def test_open_jar():
    # 60 g gone from 500 ml of 2-lb in absolute ethanol: a 2.45-lb cut, 76 ml to give back
    # (derived by hand to three digits).
    mix = make(cut_lb_per_gal=2.0, solution_ml=500.0, alcohol=ETHANOL)
    change = give_back(mix=mix, lost_g=60.0)
    assert change.before.cut_lb_per_gal == pytest.approx(2.45, abs=0.005)
    assert change.add_alcohol_ml == pytest.approx(76.0, abs=0.1)
    with pytest.raises(Refusal, match="solvent"):
        evaporated(mix=mix, lost_g=400.0)
    with pytest.raises(Refusal, match="gained"):
        evaporated(mix=mix, lost_g=-1.0)


@pytest.mark.parametrize(
    # By weight in alcohol of 0.789 g/ml (derived): 1-lb 13.2 %, 2 23.3, 3 31.3, 4 37.8.
    ("percent", "cut"), [(13.2, 1.0), (18.6, 1.5), (23.3, 2.0), (31.3, 3.0), (37.8, 4.0)],
)  # fmt: skip
def test_residue(percent, cut):
    found = cut_of_residue(sample_g=100.0, dry_g=percent, alcohol_density_g_ml=0.789)
    assert found == pytest.approx(cut, rel=0.005)


def test_retained_alcohol_makes_the_cut_read_high():
    true = make(cut_lb_per_gal=2.0, alcohol_ml=1000.0, alcohol=ETHANOL)
    dry = float(true.total_resin_g) / 0.9  # 10 % of the dry sample is alcohol
    density = ETHANOL.density_g_ml()
    apparent = cut_of_residue(sample_g=true.solution_g, dry_g=dry, alcohol_density_g_ml=density)
    assert apparent == pytest.approx(2.30, abs=0.005)
    back = cut_of_residue(sample_g=true.solution_g, dry_g=dry, alcohol_density_g_ml=density,
                          retained=0.1)  # fmt: skip
    assert back == pytest.approx(2.0, rel=1e-9)
    with pytest.raises(Refusal, match="dish"):
        cut_of_residue(sample_g=5.0, dry_g=5.0, alcohol_density_g_ml=0.789)


def test_decanting_lowers_the_cut_by_about_the_wax():
    mix = make(cut_lb_per_gal=2.0, solution_ml=500.0, resin=resin_named("amber", wax_share=0.05))
    clear, _ = decanted(mix=mix)
    assert clear.cut_lb_per_gal == pytest.approx(1.9)
    dewaxed = make(cut_lb_per_gal=2.0, solution_ml=500.0, resin=resin_named("dewaxed amber"))
    assert decanted(mix=dewaxed)[1] == 0


def test_two_jars_poured_to_a_cut_between():
    strong = make(cut_lb_per_gal=3.0, solution_ml=300.0)
    weak = make(cut_lb_per_gal=1.0, solution_ml=300.0)
    a, b = pour_to_cut(strong=strong, weak=weak, to_cut=2.0, solution_ml=250.0)
    assert a + b == pytest.approx(250.0)
    poured = blend(jars=[strong.part(ml=a)[0], weak.part(ml=b)[0]])
    assert poured.cut_lb_per_gal == pytest.approx(2.0)
    with pytest.raises(Refusal, match="does not lie between"):
        pour_to_cut(strong=strong, weak=weak, to_cut=4.0, solution_ml=100.0)
    with pytest.raises(Refusal, match="first jar"):
        pour_to_cut(strong=strong, weak=weak, to_cut=2.9, solution_ml=500.0)


def test_what_shortcuts_give():
    # Derived by hand at 1.14 g/ml: "3-lb to 1-lb, 2 parts" leaves 0.83, "3 to 2, half" 1.81;
    # exact additions 1.52 and 0.38.
    for to, left, exact in ((1.0, 0.83, 1.52), (2.0, 1.81, 0.38)):
        args = {"cut_lb_per_gal": 3.0, "to_cut": to, "resin_density_g_ml": 1.14}
        assert cut_by_rule(**args) == pytest.approx(left, abs=0.006)
        assert parts_to_thin(**args) == pytest.approx(exact, abs=0.006)


def test_paste_wax_rule():
    # A published rule: beeswax its own weight of turpentine, carnauba three times.
    paste = paste_wax(beeswax_g=190.0, carnauba_g=30.0)
    assert paste.turpentine_g == pytest.approx(280.0)
    assert paste_wax(beeswax_g=190.0, carnauba_g=30.0, firmness=0.56).turpentine_g == pytest.approx(
        500.0, rel=0.01
    )
    assert paste_wax(beeswax_g=25.0, carnauba_g=25.0).turpentine_g == pytest.approx(100.0)
    with pytest.raises(Refusal, match="no wax"):
        paste_wax()


def test_dissolving_times_rise_from_powder_to_buttons():
    hours = [ready_after_h(form="powder")] + [ready_after_h(grade=g) for g in ("lemon", "button")]
    assert [h.value for h in hours] == sorted(h.value for h in hours)
    assert all(h.low < h.value < h.high for h in hours)
    assert all(h.mark == "common practice" for h in hours)
