import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lacwright.figures import Refusal
from lacwright.solution import (
    Mix,
    Recipe,
    Source,
    alcohol_named,
    differs,
    dye_density_g_ml,
    exact_volume_ml,
    make,
    match_recipe,
    resin_named,
)

GARNET, BLONDE, RUBY = (resin_named(g, lot=g[0].upper()) for g in ("garnet", "blonde", "ruby"))
ETHANOL = alcohol_named("ethanol-190")
RECIPE = Recipe(2.0, {resin_named("garnet"): 0.6, resin_named("blonde"): 0.4}, {ETHANOL: 1.0}, 0.01)


def flakes(resin, grams):
    return Source(resin.lot, "flakes", Mix({resin: grams}, {}))


def can(ml):
    return Source("can", "alcohol", Mix({}, {}).with_alcohol(ETHANOL, ml=ml))


def dye(ml):
    return Source("dye", "dye", Mix({}, {}, ml * dye_density_g_ml()))


def jar(name, resin, cut, ml, *, tested=True, use_all=False, alcohol=ETHANOL):
    content = make(cut_lb_per_gal=cut, solution_ml=ml, resin=resin, alcohol=alcohol)
    return Source(name, "jar", content, tested, use_all)


FULL = [flakes(GARNET, 200.0), flakes(BLONDE, 200.0), can(2000.0), dye(30.0)]


def of_line(mix, grade):
    return sum(g for r, g in mix.resin_g.items() if r.grade == grade)


def test_exact_from_flakes_alone():
    found = match_recipe(recipe=RECIPE, solution_ml=600.0, sources=FULL)
    assert found.exact
    assert found.made.solution_ml == pytest.approx(600.0, rel=1e-9)
    assert found.made.cut_lb_per_gal == pytest.approx(2.0, rel=1e-9)
    assert of_line(found.made, "garnet") == pytest.approx(0.6 * found.made.total_resin_g)
    assert differs(found.made, RECIPE) == []
    assert found.ready_now is None


@settings(max_examples=40, deadline=None)
@given(st.floats(1.0, 4.0), st.floats(20.0, 150.0), st.floats(1.0, 4.0), st.floats(20.0, 150.0))
def test_tested_jars_go_in_first_and_what_they_bring_is_counted(cut_a, ml_a, cut_b, ml_b):
    jars = [jar("a", GARNET, cut_a, ml_a), jar("b", BLONDE, cut_b, ml_b)]
    found = match_recipe(recipe=RECIPE, solution_ml=1000.0, sources=[*FULL, *jars])
    assert found.exact
    assert found.made.solution_ml == pytest.approx(1000.0, rel=1e-6)
    assert found.made.cut_lb_per_gal == pytest.approx(2.0, rel=1e-6)
    used = {u.source.name: u for u in found.uses}
    # 120 and 80 g of resin are wished and no jar holds more alcohol than the mix.
    assert used["a"].left == pytest.approx(0.0, abs=1e-6)
    assert used["b"].left == pytest.approx(0.0, abs=1e-6)
    for use in found.uses:
        assert -1e-9 <= use.use <= use.have + 1e-9
    total = sum(float(u.taken.total_resin_g) for u in found.uses)
    assert total == pytest.approx(float(found.made.total_resin_g), rel=1e-12)


def test_an_untested_jar_is_the_last_resort():
    jars = [jar("old", GARNET, 2.0, 300.0, tested=False)]
    found = match_recipe(recipe=RECIPE, solution_ml=600.0, sources=[*FULL, *jars])
    assert {u.source.name: u.use for u in found.uses}["old"] == 0
    short = [flakes(GARNET, 30.0), *FULL[1:], *jars]
    found = match_recipe(recipe=RECIPE, solution_ml=600.0, sources=short)
    assert found.exact
    assert {u.source.name: u.use for u in found.uses}["old"] > 0


def test_short_of_a_lot_gives_the_nearest_and_the_exact_volume():
    sources = [flakes(GARNET, 30.0), *FULL[1:]]
    found = match_recipe(recipe=RECIPE, solution_ml=600.0, sources=sources)
    assert not found.exact
    (short,) = found.short
    target = 600.0 * 0.2396529 / (1 + 0.2396529 / 1.14 + 0.01) * 0.6
    assert (short.line, short.unit) == ("garnet", "g")
    assert short.amount == pytest.approx(target - 30.0, rel=1e-4)
    assert found.reorder(found.uses[0])
    assert not found.reorder(found.uses[1])
    volume = exact_volume_ml(recipe=RECIPE, solution_ml=600.0, sources=sources)
    assert volume == pytest.approx(600.0 * 30.0 / target, rel=1e-4)
    # The volume gives before the recipe does, unless the whole volume is asked for.
    assert found.differs() == []
    assert found.made.solution_ml == pytest.approx(volume, rel=1e-6)
    assert found.exact_ml == pytest.approx(volume)
    whole = match_recipe(recipe=RECIPE, solution_ml=600.0, sources=sources, whole=True)
    assert any("garnet" in words for words in whole.differs())
    assert whole.made.solution_ml > 1.1 * volume


def test_where_nothing_exact_can_be_had_the_cut_holds():
    found = match_recipe(recipe=RECIPE, solution_ml=600.0, sources=[FULL[0], *FULL[2:]])
    assert not found.exact
    assert found.exact_ml == 0
    assert found.made.cut_lb_per_gal == pytest.approx(2.0, rel=1e-9)
    assert found.differs() == [
        "garnet 100% of the resin instead of 60%", "blonde 0% of the resin instead of 40%",
    ]  # fmt: skip
    assert {s.line for s in found.short} == {"blonde"}


@pytest.mark.parametrize("cut", [1.0, 5.0])
def test_a_strange_pot_counts_with_its_resin_and_its_alcohol(cut):
    pot = jar("pot", RUBY, cut, 100.0, use_all=True)
    found = match_recipe(recipe=RECIPE, solution_ml=600.0, sources=[*FULL, pot])
    assert not found.exact
    assert found.short == ()
    # Ruby takes the place of garnet and blonde alike, so volume and cut are what was asked.
    assert found.made.solution_ml == pytest.approx(600.0, rel=1e-6)
    assert found.made.cut_lb_per_gal == pytest.approx(2.0, rel=1e-6)
    assert of_line(found.made, "garnet") / of_line(found.made, "blonde") == pytest.approx(1.5)
    assert of_line(found.made, "ruby") == pytest.approx(float(pot.content.total_resin_g))
    assert any(words.startswith("ruby") for words in found.differs())
    assert found.exact_ml == 0


def test_a_strange_alcohol_in_the_pot_is_told():
    pot = jar("pot", GARNET, 2.0, 60.0, use_all=True, alcohol=alcohol_named("methanol"))
    found = match_recipe(recipe=RECIPE, solution_ml=600.0, sources=[*FULL, pot])
    assert not found.exact
    assert found.made.solution_ml == pytest.approx(600.0, rel=1e-6)
    assert found.made.cut_lb_per_gal == pytest.approx(2.0, rel=1e-6)
    assert any("methanol 10%" in words for words in found.differs())


def test_a_thin_pot_without_flakes_is_as_near_the_cut_as_can_be():
    pot = jar("pot", GARNET, 1.0, 300.0, use_all=True)
    found = match_recipe(recipe=RECIPE, solution_ml=600.0, sources=[FULL[2], pot])
    assert {u.source.name: u.use for u in found.uses}["can"] == 0
    assert found.made.cut_lb_per_gal == pytest.approx(1.0)


@pytest.mark.parametrize("use_all", [False, True])
def test_untested_jars_that_are_poured_are_named(use_all):
    old = jar("old", GARNET, 2.0, 400.0, tested=False, use_all=use_all)
    found = match_recipe(recipe=RECIPE, solution_ml=600.0,
                         sources=[flakes(GARNET, 30.0), *FULL[1:], old])  # fmt: skip
    assert found.test_first == ("old",)
    left = match_recipe(recipe=RECIPE, solution_ml=600.0,
                        sources=[*FULL, jar("old", GARNET, 2.0, 400.0, tested=False)])  # fmt: skip
    assert left.test_first == ()


def test_a_jar_of_another_grade_or_alcohol_is_left_standing():
    odd = [jar("ruby", RUBY, 2.0, 100.0),
           jar("meth", GARNET, 2.0, 100.0, alcohol=alcohol_named("methanol"))]  # fmt: skip
    found = match_recipe(recipe=RECIPE, solution_ml=600.0, sources=[*FULL, *odd])
    assert set(found.unused) == {"ruby", "meth"}
    found = match_recipe(recipe=RECIPE, solution_ml=600.0, sources=[*FULL, *odd], any_alcohol=True)
    assert set(found.unused) == {"ruby"}
    assert {u.source.name: u.left for u in found.uses}["meth"] == pytest.approx(0.0, abs=1e-9)


def test_the_rest_in_the_pot_goes_in_wholly_and_makes_more_where_it_must():
    pot = jar("pot", GARNET, 4.0, 400.0, use_all=True)
    found = match_recipe(recipe=RECIPE, solution_ml=300.0, sources=[*FULL, pot])
    assert found.exact
    assert {u.source.name: u.left for u in found.uses}["pot"] == 0
    assert found.made.solution_ml > 300.0
    assert found.made.cut_lb_per_gal == pytest.approx(2.0, rel=1e-6)


def test_ready_now_is_tested_jars_brought_to_the_cut():
    sources = [*FULL, jar("a", GARNET, 3.0, 120.0), jar("b", BLONDE, 3.0, 50.0, tested=False)]
    now = match_recipe(recipe=RECIPE, solution_ml=600.0, sources=sources).ready_now
    assert now.cut_lb_per_gal == pytest.approx(2.0)
    assert set(now.resin_g) == {GARNET}
    assert differs(now, RECIPE) == [
        "garnet 100% of the resin instead of 60%", "blonde 0% of the resin instead of 40%",
    ]  # fmt: skip


def test_refusals():
    with pytest.raises(Refusal, match="have this name"):
        match_recipe(recipe=RECIPE, solution_ml=600.0, sources=[can(1.0), can(2.0)])
    with pytest.raises(Refusal, match="nothing on it serves"):
        match_recipe(recipe=RECIPE, solution_ml=600.0, sources=[flakes(RUBY, 100.0)])
