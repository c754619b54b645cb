import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lacwright.figures import Refusal
from lacwright.solution import (
    Alcohol,
    Mix,
    Recipe,
    Resin,
    adjust,
    ageing_factor,
    alcohol_named,
    blend_to,
    correct,
    cut_by_rule,
    cut_of_residue,
    decanted,
    dissolve,
    ethanol_water_density,
    give_back,
    make,
    paste_wax,
    planned_coats_equivalent,
    resin_named,
    slow,
    strengthen,
    thin,
)

GARNET, BLONDE = resin_named("garnet", lot="G"), resin_named("blonde", lot="B")
ETHANOL, METHANOL = alcohol_named("ethanol-190"), alcohol_named("methanol")

grams = st.floats(0.5, 5000.0)
share = st.floats(0.01, 0.99)
cuts = st.floats(0.2, 8.0)


@st.composite
def mixes(draw):
    resin = {
        r: draw(grams) for r in draw(st.sampled_from([(GARNET,), (BLONDE,), (GARNET, BLONDE)]))
    }
    kinds = draw(st.sampled_from([(ETHANOL,), (METHANOL,), (ETHANOL, METHANOL)]))
    spirit = {a: draw(st.floats(50.0, 5000.0)) for a in kinds}
    return Mix(resin, spirit, draw(st.floats(0.0, 20.0)))


def books(*held):
    """Grams of every lot, every alcohol and the dye in several mixes together."""
    out: dict[object, float] = {}
    for mix in held:
        for key, amount in (*mix.resin_g.items(), *mix.solvent_g.items(), ("dye", mix.dye_g)):
            out[key] = out.get(key, 0.0) + float(amount)
    return out


def same_books(a, b):
    # The wish is 0.1 %; masses are only multiplied and added, so rounding is all there may be.
    for key in {*a, *b}:
        assert a.get(key, 0.0) == pytest.approx(b.get(key, 0.0), rel=1e-9, abs=1e-9), key


@given(mixes(), mixes(), share)
def test_pouring_and_parting_conserve_every_lot_and_solvent(a, b, part):
    poured = a + b
    same_books(books(poured), books(a, b))
    taken, rest = poured.part(share=part)
    same_books(books(taken, rest), books(poured))
    assert taken.cut_lb_per_gal == pytest.approx(poured.cut_lb_per_gal, rel=1e-9)
    by_ml = poured.part(ml=float(poured.solution_ml) * part)[0]
    by_g = poured.part(g=float(poured.solution_g) * part)[0]
    same_books(books(by_ml), books(taken))
    same_books(books(by_g), books(taken))


@given(mixes(), cuts)
def test_a_mix_brought_to_a_cut_is_at_it_and_lost_nothing(mix, to_cut):
    change = adjust(mix=mix, to_cut=to_cut, alcohol=ETHANOL, resin=GARNET)
    assert change.after.cut_lb_per_gal == pytest.approx(to_cut, rel=1e-9)
    added = Mix({GARNET: change.add_resin_g}, {ETHANOL: change.add_alcohol_g})
    same_books(books(change.before, added), books(change.after))
    assert min(change.add_resin_g, change.add_alcohol_ml) == 0.0


@given(mixes(), share)
def test_thinning_to_solids_reaches_them(mix, part):
    wished = float(mix.solids_mass_fraction) * part
    change = thin(mix=mix, to_solids=wished, alcohol=ETHANOL)
    assert change.after.solids_mass_fraction == pytest.approx(wished, rel=1e-9)
    same_books(books(change.before, Mix({}, {ETHANOL: change.add_alcohol_g})), books(change.after))


@given(mixes(), share)
def test_alcohol_given_back_restores_an_open_jar(mix, part):
    change = give_back(mix=mix, lost_g=float(mix.alcohol_g) * part)
    same_books(books(change.after), books(mix))
    assert change.before.total_resin_g == mix.total_resin_g
    assert change.before.cut_lb_per_gal > mix.cut_lb_per_gal


@given(mixes(), mixes(), cuts, share)
def test_blending_to_a_cut_and_volume_conserves(a, b, to_cut, part):
    whole = blend_to(jars=[a, b], to_cut=to_cut, alcohol=METHANOL, resin=BLONDE)[1]
    volume = float(whole.after.solution_ml) * part
    poured, change = blend_to(jars=[a, b], to_cut=to_cut, alcohol=METHANOL, resin=BLONDE,
                              solution_ml=volume)  # fmt: skip
    assert poured == pytest.approx(part, rel=1e-9)
    assert change.after.solution_ml == pytest.approx(volume, rel=1e-9)
    added = Mix({BLONDE: change.add_resin_g}, {METHANOL: change.add_alcohol_g})
    same_books(books(change.after), books(a.scaled(poured), b.scaled(poured), added))


@given(mixes(), st.floats(0.01, 0.5))
def test_a_slow_alcohol_is_the_share_that_was_asked(mix, part):
    butanol = Alcohol("n-butanol", (("n-butanol", 1.0),))
    change = slow(mix=mix, alcohol=butanol, share=part)
    assert change.add_alcohol_ml / change.after.alcohol_ml == pytest.approx(part, rel=1e-9)
    same_books(books(change.after), books(mix, Mix({}, {butanol: change.add_alcohol_g})))


@given(mixes())
def test_decanting_takes_only_wax(mix):
    clear, wax = decanted(mix=mix)
    assert clear.total_resin_g + wax == pytest.approx(mix.total_resin_g, rel=1e-12)
    assert clear.alcohol_g == mix.alcohol_g
    assert wax == pytest.approx(sum(g * 0.045 for r, g in mix.resin_g.items() if r is GARNET))


@given(cuts, st.floats(10.0, 20000.0), st.floats(0.0, 0.05), st.floats(-10.0, 35.0))
def test_a_recipe_makes_the_volume(cut, volume, dye, temp_c):
    recipe = Recipe(cut, {GARNET: 3, BLONDE: 1}, {ETHANOL: 0.95, METHANOL: 0.05}, dye, temp_c)
    mix = recipe.make(volume)
    assert mix.solution_ml == pytest.approx(volume, rel=1e-9)
    assert mix.cut_lb_per_gal == pytest.approx(cut, rel=1e-9)
    assert mix.resin_g[GARNET] == pytest.approx(3 * mix.resin_g[BLONDE], rel=1e-9)
    same_books(books(recipe.make(alcohol_ml=mix.alcohol_ml)), books(mix))
    same_books(books(recipe.make(resin_g=mix.total_resin_g)), books(mix))


@settings(max_examples=20)
@given(st.lists(cuts, min_size=2, max_size=5), st.floats(1.05, 1.2))
def test_arrays_give_what_floats_give(cut_list, density):
    array = make(cut_lb_per_gal=np.array(cut_list), solution_ml=600.0,
                 resin=Resin("L", "amber", density), alcohol=ETHANOL)  # fmt: skip
    for n, cut in enumerate(cut_list):
        one = make(cut_lb_per_gal=cut, solution_ml=600.0, resin=Resin("L", "amber", density),
                   alcohol=ETHANOL)  # fmt: skip
        for name in ("total_resin_g", "alcohol_ml", "solids_mass_fraction", "resin_g_per_l"):
            assert getattr(array, name)[n] == pytest.approx(getattr(one, name), rel=1e-12)


def test_a_band_of_resin_density_can_be_drawn():
    density = np.array([1.14, 1.05, 1.2])
    mix = make(cut_lb_per_gal=2.0, alcohol_ml=1000.0, resin=Resin("L", "amber", density))
    assert mix.solution_ml.shape == (3,)
    assert mix.solution_ml[1] > mix.solution_ml[0] > mix.solution_ml[2]
    assert mix.resin_density_g_ml == pytest.approx(density)


def test_the_volume_of_an_unknown_alcohol_comes_back_whatever_it_is():
    known = make(cut_lb_per_gal=2.0, solution_ml=600.0, alcohol=ETHANOL)
    unknown = make(cut_lb_per_gal=2.0, solution_ml=600.0)
    assert unknown.alcohol_ml == pytest.approx(known.alcohol_ml, rel=1e-12)
    assert not unknown.masses_known
    assert known.masses_known


def test_volumes_follow_the_temperature_and_masses_do_not():
    cold = make(cut_lb_per_gal=2.0, solution_ml=600.0, alcohol=ETHANOL, temp_c=5.0)
    warm = cold.at(30.0)
    assert warm.solution_g == cold.solution_g
    assert 1.02 < warm.alcohol_ml / cold.alcohol_ml < 1.035


def test_moisture_counts_in_the_cut_but_not_in_the_solids():
    moist = resin_named("bleached", moisture_share=0.06)
    mix = dissolve(resin_g=100.0, resin=moist, alcohol_ml=500.0, alcohol=ETHANOL)
    dry = dissolve(resin_g=100.0, resin=resin_named("bleached"), alcohol_ml=500.0, alcohol=ETHANOL)
    assert mix.cut_lb_per_gal == dry.cut_lb_per_gal
    assert mix.solids_mass_fraction == pytest.approx(0.94 * dry.solids_mass_fraction)


def test_refusals():
    mix = make(cut_lb_per_gal=2.0, solution_ml=600.0)
    with pytest.raises(Refusal, match="more is taken out than there is"):
        mix.part(ml=601.0)
    with pytest.raises(Refusal, match="below zero"):
        Mix({GARNET: -1.0}, {})
    with pytest.raises(Refusal, match="empty"):
        _ = Mix({}, {}).density_g_ml
    with pytest.raises(Refusal, match="no alcohol"):
        _ = Mix({GARNET: 1.0}, {}).cut_lb_per_gal
    with pytest.raises(Refusal, match="no room for alcohol"):
        dissolve(resin_g=1000.0, solution_ml=500.0)
    with pytest.raises(Refusal, match=r"1\.035"):
        Resin("", "", 11.4)
    with pytest.raises(TypeError):
        mix.part(ml=1.0, g=1.0)


def test_one_lot_cannot_have_two_densities_so_no_volume_is_lost():
    light, dense = (dissolve(resin_g=100.0, alcohol_ml=500.0, alcohol=ETHANOL,
                             resin=Resin("L", "amber", d)) for d in (1.08, 1.16))  # fmt: skip
    with pytest.raises(Refusal, match=r"amber L .*1\.08 and 1\.16"):
        _ = light + dense
    named = dissolve(resin_g=100.0, alcohol_ml=500.0, alcohol=ETHANOL,
                     resin=Resin("M", "amber", 1.16))  # fmt: skip
    both = light + named
    assert both.solution_ml == pytest.approx(light.solution_ml + named.solution_ml, rel=1e-12)
    moist = Mix({Resin("L", "amber", 1.08, moisture_share=0.05): 10.0}, {})
    with pytest.raises(Refusal, match="share of water"):
        _ = light + moist
    weighed = Alcohol(ETHANOL.lot, ETHANOL.parts, 0.79)
    with pytest.raises(Refusal, match="ethanol-190"):
        light.with_alcohol(weighed, ml=10.0)
    same = Alcohol(ETHANOL.lot, ETHANOL.parts, float(ETHANOL.density_g_ml()))
    assert len(light.with_alcohol(same, ml=10.0).solvent_g) == 1


def test_drawn_densities_of_one_lot_merge_only_where_they_are_the_same():
    draws = np.array([1.14, 1.05, 1.2])
    one, again, other = (
        Mix({Resin("L", "amber", d): 100.0}, {ETHANOL: 400.0})
        for d in (draws, draws.copy(), draws[[0, 2, 1]])
    )
    assert (one + again).solution_ml == pytest.approx(2 * one.solution_ml)
    for strange in (other, Mix({Resin("L", "amber", 1.14): 1.0}, {})):
        with pytest.raises(Refusal, match="the same lot of amber L"):
            _ = one + strange


def test_what_settles_is_wax_first_and_the_rest_stays():
    waxed = Mix({Resin("L", "garnet", 1.14, 0.045): 100.0}, {ETHANOL: 400.0})
    ((part, grams),) = decanted(mix=waxed, settles=0.01)[0].resin_g.items()
    assert grams == pytest.approx(99.0)
    assert part.wax_share * grams == pytest.approx(4.5 - 1.0)
    ((clear, _),) = decanted(mix=waxed, settles=0.06)[0].resin_g.items()
    assert clear.wax_share == 0.0
    for odd in (1.0, -0.1, math.nan):
        with pytest.raises(Refusal, match="settles"):
            decanted(mix=waxed, settles=odd)


def test_a_residue_holds_no_water_and_a_cut_counts_flakes_as_weighed():
    flakes = resin_named("garnet", moisture_share=0.05)
    mix = dissolve(resin_g=100.0, resin=flakes, alcohol_ml=500.0, alcohol=ETHANOL)
    cut = cut_of_residue(sample_g=mix.solution_g, dry_g=mix.dry_resin_g, moisture_share=0.05,
                         alcohol_density_g_ml=ETHANOL.density_g_ml())  # fmt: skip
    assert cut == pytest.approx(mix.cut_lb_per_gal, rel=1e-12)
    with pytest.raises(Refusal, match="no alcohol is left"):
        cut_of_residue(sample_g=5.0, dry_g=4.9, moisture_share=0.2, alcohol_density_g_ml=0.8)


NAN = math.nan
PLAIN = make(cut_lb_per_gal=2.0, solution_ml=600.0, alcohol=ETHANOL)
NOT_A_NUMBER = {
    "resin density": lambda: Resin("", "", NAN),
    "resin density drawn": lambda: Resin("", "", np.array([1.14, NAN])),
    "alcohol density": lambda: Alcohol("x", None, NAN),
    "amount": lambda: Mix({GARNET: NAN}, {}),
    "temperature": lambda: ethanol_water_density(ethanol_share=1.0, temp_c=NAN),
    "share of ethanol": lambda: ethanol_water_density(ethanol_share=NAN),
    "cut": lambda: make(cut_lb_per_gal=NAN, solution_ml=600.0),
    "volume": lambda: make(cut_lb_per_gal=2.0, solution_ml=NAN),
    "share of a recipe": lambda: Recipe(2.0, {GARNET: 1.0, BLONDE: NAN}),
    "dissolve": lambda: dissolve(resin_g=1.0, alcohol_ml=NAN),
    "part": lambda: PLAIN.part(share=NAN),
    "thin": lambda: thin(mix=PLAIN, to_cut=NAN),
    "thin to solids": lambda: thin(mix=PLAIN, to_solids=NAN),
    "strengthen": lambda: strengthen(mix=PLAIN, to_cut=NAN),
    "correct": lambda: correct(made=PLAIN, used_ml=NAN, to_cut=2.0),
    "coats": lambda: planned_coats_equivalent(coats_laid=NAN, laid=PLAIN, planned=PLAIN),
    "slow": lambda: slow(mix=PLAIN, alcohol=METHANOL, share=NAN),
    "blend": lambda: blend_to(jars=[PLAIN], solution_ml=NAN),
    "loss": lambda: give_back(mix=PLAIN, lost_g=NAN),
    "residue": lambda: cut_of_residue(sample_g=5.0, dry_g=NAN, alcohol_density_g_ml=0.8),
    "retained": lambda: cut_of_residue(sample_g=5.0, dry_g=1.0, alcohol_density_g_ml=0.8,
                                       retained=NAN),
    "wax": lambda: paste_wax(beeswax_g=NAN),
    "firmness": lambda: paste_wax(beeswax_g=1.0, firmness=NAN),
    "rule": lambda: cut_by_rule(cut_lb_per_gal=3.0, to_cut=NAN, resin_density_g_ml=1.14),
    "store": lambda: ageing_factor(temp_c=NAN),
    "q10": lambda: ageing_factor(temp_c=20.0, q10=NAN),
}  # fmt: skip


@pytest.mark.parametrize("name", NOT_A_NUMBER)
def test_nan_is_refused(name):
    with pytest.raises(Refusal):
        NOT_A_NUMBER[name]()
