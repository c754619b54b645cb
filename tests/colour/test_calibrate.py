"""Panels teach grades and woods: against invented worlds that have what the fit does not know."""

import math
from dataclasses import replace

import numpy as np
import pytest

from lacwright.colour.calibrate import calibrate
from lacwright.colour.cie import Viewing
from lacwright.colour.evidence import Evidence, State, parted, read_evidence, together
from lacwright.colour.grade import find_grade_colour, grade_of_panels
from lacwright.colour.hand import (
    bare_for,
    figures_of,
    grade_for,
    learned_figures,
    learned_state,
    skinless,
)
from lacwright.colour.known import BOUNDS, known
from lacwright.colour.look import bare_lab, lab_under, look
from lacwright.colour.panels import Band, Panel
from lacwright.colour.spaces import de00, lab_of_reflectance
from lacwright.colour.wood import find_bare, measured_bare, recover, with_panels
from lacwright.figures import Refusal, Refusals, given

SEEDS = range(4)
VIEWING = Viewing()


def panel(grade="amber", wood="hard-maple", viewing=None, level=0.0, wetting=0.5, noise=0.0,
          coats=(1, 2, 4, 6, 9), name="", seed=0, **more):  # fmt: skip
    """Return a panel as the model itself would have it."""
    usual, bare = find_grade_colour(grade), find_bare(wood)
    p, s, b = usual.params
    mine = grade_of_panels(grade, (p + level, s, b), np.eye(3),
                           haze_per_g_m2=usual.haze_per_g_m2)  # fmt: skip
    viewing = viewing or Viewing()
    bare = with_panels(bare, k1b=bare.k1b, wetting=(wetting, 0.1))
    loads = np.array([[3.5 * n] for n in coats])
    films = lab_under(bare=bare, grades=[mine], loads_g_m2=loads, viewing=viewing)
    rng = np.random.default_rng(seed)
    read = [bare_lab(bare, viewing), *films]
    read = [tuple(map(float, lab + rng.normal(0, noise, 3))) for lab in read]
    bands = [Band(read[0])] + [
        Band(lab, {grade: n}, {grade: 3.5 * n}) for n, lab in zip(coats, read[1:], strict=True)
    ]
    return Panel(name or f"{grade} on {wood}", wood, tuple(bands), viewing, **more)


# --- what it finds -----------------------------------------------------------------------------


def test_what_the_model_itself_made_is_found_again():
    made = [panel("garnet", wood, level=0.3, wetting=0.5) for wood in ("hard-maple", "walnut")]
    found = calibrate(made)
    truth = find_grade_colour("garnet").params
    # Not to the last digit: the prior holds it a little.
    assert found.grades["garnet"].params[0] == pytest.approx(truth[0] + 0.3, abs=0.05)
    assert found.grades["garnet"].params[1] == pytest.approx(truth[1], abs=0.05)
    assert found.bares["walnut"].wetting[0] == pytest.approx(0.5, abs=0.01)
    assert max(hit.de00_after for hit in found.hits) < 0.15
    assert found.grades["garnet"].basis == "own panels"
    assert found.bares["walnut"].basis == "own panels"
    assert found.grades["garnet"].source == (
        "own panels: garnet on hard-maple; garnet on walnut"
    )  # fmt: skip


@pytest.fixture(scope="module")
def worlds(hidden_truth):
    """Return invented worlds with what was learned there, read by an instrument."""
    return [(world := hidden_truth.World(seed), calibrate(world.panels())) for seed in SEEDS]


def off(hidden_truth, world, found, wood, loads):
    """Return how far the look lies from the truth on a board that was read bare."""
    lab = lab_of_reflectance(recover(world.labs[wood], VIEWING) + world.glare, VIEWING)
    like = found.bares.get(wood, find_bare(wood))
    bare = measured_bare(lab, VIEWING, like=like)
    told = lab_under(bare=bare, grades=[found.grades[g] for g in loads],
                     loads_g_m2=list(loads.values()))  # fmt: skip
    return float(de00(told, world.lab(wood, loads)))


def means(values):
    return float(np.mean(values)), float(np.quantile(values, 0.95))


@pytest.mark.crosscheck
def test_the_fit_leaves_less_than_half_a_unit(worlds):
    """An earlier trial in worlds of this kind left 0.6 on average and 1.2 at 95 % (computed)."""
    mean, most = means([hit.de00_after for _, found in worlds for hit in found.hits])
    assert mean < 0.6
    assert most < 1.2


@pytest.mark.crosscheck
def test_coat_numbers_and_blends_that_were_not_on_a_panel(worlds, hidden_truth):
    """An earlier trial: new coat numbers 0.5/1.0, blends 0.5/0.9 (mean/95 %, computed).

    The tail is given half as much again: these are four worlds of another draw.
    """
    coat = hidden_truth.PER_COAT
    singles, blends = [], []
    for world, found in worlds:
        for wood in hidden_truth.WOODS:
            for grade in hidden_truth.GRADES:
                for n in (3, 5, 8):
                    loads = {hidden_truth.SEALER: coat, grade: n * coat}
                    singles.append(off(hidden_truth, world, found, wood, loads))
            for one, other in (("blonde", "ruby"), ("orange", "ruby"), ("blonde", "orange")):
                loads = {hidden_truth.SEALER: coat, one: 2 * coat, other: 2 * coat}
                blends.append(off(hidden_truth, world, found, wood, loads))
    mean, most = means(singles)
    assert mean < 0.5
    assert most < 1.5
    mean, most = means(blends)
    assert mean < 0.5
    assert most < 1.35


@pytest.mark.crosscheck
def test_a_new_wood_costs_more_until_it_has_a_panel(worlds, hidden_truth):
    """An earlier trial: a new wood of which only the bare board is read, 2.0/3.2 (computed)."""
    coat = hidden_truth.PER_COAT
    new = [off(hidden_truth, world, found, wood, {hidden_truth.SEALER: coat, grade: n * coat})
           for world, found in worlds for wood in ("beech", "mahogany")
           for grade in hidden_truth.GRADES for n in (1, 4, 8)]  # fmt: skip
    mean, most = means(new)
    assert 0.5 < mean < 2.0
    assert most < 3.2


@pytest.mark.crosscheck
def test_a_camera_leaves_more(hidden_truth):
    """An earlier trial with a noise of 1.5 dE: 1.3/2.3 on the panels (computed)."""
    left, first = [], []
    for seed in SEEDS:
        world = hidden_truth.World(seed, noise=1.5)
        made = [replace(one, reader="camera", sd=None) for one in world.panels()]
        found = calibrate(made)
        left += [hit.de00_after for hit in found.hits]
        first += [hit.de00_before for hit in found.hits]
        assert found.grades["ruby"].basis == "own panels by camera"
    mean, most = means(left)
    assert mean < 1.3
    assert most < 2.3
    assert np.mean(first) > 2 * mean


def test_bands_are_narrower_and_hold_the_truth(worlds, hidden_truth):
    inside = []
    coat = hidden_truth.PER_COAT
    for world, found in worlds:
        for wood in hidden_truth.WOODS:
            for grade in hidden_truth.GRADES:
                named = look(bare=find_bare(wood), grades=[find_grade_colour(grade)],
                             loads_g_m2=[4 * coat], draws=100)  # fmt: skip
                own = look(bare=found.bares[wood], grades=[found.grades[grade]],
                           loads_g_m2=[4 * coat], draws=100)  # fmt: skip
                assert own.de00_band[1] < named.de00_band[1]
                truth = world.lab(wood, {grade: 4 * coat})
                inside.append(float(de00(own.lab, truth)) < own.de00_band[1])
    assert np.mean(inside) > 0.9


def test_most_bands_lay_within_what_was_foretold(worlds):
    inside = [hit.inside for _, found in worlds for hit in found.hits]
    assert np.mean(inside) > 0.9  # 95 of 100 should, in worlds drawn from the priors


def test_a_world_far_from_the_names_is_told_as_misses(hidden_truth):
    # Levels up to five spreads off: then the band that was foretold must not hold them.
    made = [panel(grade, "hard-maple", level=shift)
            for grade, shift in (("blonde", 2.5), ("orange", 1.8))]  # fmt: skip
    found = calibrate(made)
    assert not all(hit.inside for hit in found.hits)
    assert np.mean([hit.de00_after for hit in found.hits]) < 0.7


# --- priors, evidence --------------------------------------------------------------------------


def test_panels_add_up_in_any_order():
    made = [panel("orange", "hard-maple", level=0.4, noise=0.1),
            panel("orange", "walnut", level=0.4, noise=0.1, seed=1)]  # fmt: skip
    found = calibrate(made)
    kept = [read_evidence(e.as_json(), e.source) for e in found.evidence]
    one, other = learned_state(kept), learned_state(kept[::-1])
    for name in one.names:
        assert one.value(name) == pytest.approx(other.value(name), rel=1e-6, abs=1e-9)
        assert one.value(name) == pytest.approx(found.after.value(name), rel=1e-4, abs=1e-6)
        assert one.sd(name) == pytest.approx(found.after.sd(name), rel=1e-3)
        assert one.sd(name) <= found.before.sd(name) * (1 + 1e-9)


def test_panels_one_by_one_say_what_they_say_together():
    made = [panel("orange", "hard-maple", level=0.4, noise=0.1),
            panel("orange", "walnut", level=0.4, noise=0.1, seed=1)]  # fmt: skip
    together_ = calibrate(made).after
    apart = learned_state([e for one in made for e in calibrate([one]).evidence])
    # Linear in the constants only near where each was fitted: a fifth of a spread.
    for name in apart.names:
        assert abs(apart.value(name) - together_.value(name)) < 0.5 * together_.sd(name)


def test_what_is_kept_is_the_base_of_the_next_fit():
    first = calibrate([panel("orange", level=0.4, noise=0.05)])
    again = calibrate([panel("orange", level=0.4, noise=0.05, seed=2, name="second")],
                      grades=first.grades, bares=first.bares)  # fmt: skip
    name = "colour.orange.level"
    assert again.before.value(name) == pytest.approx(first.after.value(name))
    assert again.after.sd(name) < first.after.sd(name)


def test_figures_make_the_same_grades_and_woods():
    found = calibrate([panel("garnet", wood, level=0.3, noise=0.05)
                       for wood in ("hard-maple", "walnut")])  # fmt: skip
    own = figures_of(found.after, found.evidence)
    grade, bare = grade_for("garnet", own), bare_for("walnut", own)
    mine = found.grades["garnet"]
    assert grade.params == pytest.approx(mine.params)
    assert np.array(grade.cov)[:2, :2] == pytest.approx(np.array(mine.cov)[:2, :2], rel=1e-6)
    assert grade.haze_per_g_m2 == pytest.approx(mine.haze_per_g_m2)
    assert grade.basis == "own panels"
    assert bare.wetting == pytest.approx(found.bares["walnut"].wetting)
    assert bare.k1b[0] == pytest.approx(found.bares["walnut"].k1b[0])
    assert bare.lab == pytest.approx(found.bares["walnut"].lab)
    # A name without own figures is that of the table.
    assert grade_for("blonde", own).params == find_grade_colour("blonde").params
    assert bare_for("oak", own) == find_bare("oak")


def test_a_value_that_was_typed_goes_before_the_table():
    own = {"colour.amber.level": given(0.003, "m2/g"), "wait.brush": given(2, "h")}
    grade = grade_for("amber", own)
    assert math.exp(grade.params[0]) == pytest.approx(0.003)
    assert grade.params[1] == find_grade_colour("amber").params[1]
    assert grade.sd[0] < find_grade_colour("amber").sd[0]
    with pytest.raises(Refusal, match=r"colour\.amber\.slope: 3 is outside"):
        grade_for("amber", {"colour.amber.slope": given(3, "1/100 nm")})


def test_a_constant_is_held_at_its_bound_and_the_others_follow():
    """By hand: least of (x - 1)^2 + (y + 1)^2 + 2 (x + y)^2 with y not below 0 is x = 1/3."""
    prior = State(("colour.amber.level", "colour.amber.band"), np.array([1.0, -1.0]),
                  np.eye(2))  # fmt: skip
    more = Evidence(prior.names, (0.0, 0.0), ((2.0, 2.0), (2.0, 2.0)))
    after = together(prior, [more], {"band": (0.0, 1.0)})
    assert after.mid == pytest.approx([1 / 3, 0.0])


def test_evidence_that_is_none_is_refused():
    good = Evidence(("colour.amber.level",), (1.0,), ((2.0,),)).as_json()
    assert read_evidence(good, "x").pull == (1.0,)
    for bad in ({}, {**good, "pull": [1, 2]}, {**good, "information": [[float("nan")]]},
                {**good, "names": ["colour.amber.weight"]}, {**good, "bare": [1, 2]},
                {**good, "reader": "eye"}):  # fmt: skip
        with pytest.raises(Refusal, match="not what a panel says"):
            read_evidence(bad, "x")


def test_weak_priors_hold_where_the_names_are_surer():
    state = known([find_grade_colour("orange")], [find_bare("walnut")])
    assert state.sd("colour.orange.level") >= 0.7
    assert state.sd("colour.orange.slope") >= 0.5
    assert state.sd("colour.walnut.wetting") == pytest.approx(0.2)
    assert state.sd("colour.walnut.skin") == pytest.approx(0.01)
    assert all(parted(name)[1] in BOUNDS for name in state.names)


# --- ways of looking ---------------------------------------------------------------------------


@pytest.mark.parametrize("viewing", [Viewing("D50", 2), Viewing("D65", 10), Viewing("A", 10)])
def test_every_panel_is_foretold_as_it_was_read(viewing):
    here = calibrate([panel("orange", level=0.4)])
    there = calibrate([panel("orange", level=0.4, viewing=viewing)])
    name = "colour.orange.level"
    assert there.after.value(name) == pytest.approx(here.after.value(name), abs=0.03)
    # Of a board read under another light the colour is told as the tables have it.
    assert there.evidence[0].bare == pytest.approx(here.evidence[0].bare, abs=0.1)


def test_gloss_included_is_fitted_and_its_board_not_taken_for_a_bare_one():
    made = panel("orange", "walnut", level=0.4, viewing=Viewing(geometry="8/d"))
    found = calibrate([made])
    assert found.grades["orange"].params[0] == pytest.approx(
        find_grade_colour("orange").params[0] + 0.4, abs=0.1
    )
    assert found.evidence[0].bare is None
    assert found.bares["walnut"].lab == find_bare("walnut").lab


def test_a_skin_read_with_the_gloss_is_no_own_figure_and_the_rest_is():
    sphere = Viewing(geometry="8/d")
    made = panel("orange", "walnut", level=0.4, viewing=sphere, noise=0.3)
    (evidence,) = calibrate([made]).evidence
    told = learned_figures([evidence])
    whole = figures_of(learned_state([evidence]), [evidence])
    assert set(whole) - set(told) == {"colour.walnut.skin"}
    # Reckoned out, not struck out: what the panel says of all else is as wide as it was.
    for name in told:
        assert told[name].value == pytest.approx(whole[name].value, rel=1e-6)
        assert told[name].high == pytest.approx(whole[name].high, rel=1e-6)
    assert "skin left out" in told["colour.walnut.wetting"].source
    assert bare_for("walnut", told).k1b[0] == find_bare("walnut").k1b[0]
    # Beside a panel read without the gloss the skin is that one's alone.
    flat = panel("orange", "walnut", name="flat", noise=0.3, seed=1)
    (plain,) = calibrate([flat]).evidence
    both = learned_figures([evidence, plain])
    assert both["colour.walnut.skin"].source == "from your panels, n = 1: flat"


def test_an_own_skin_is_not_taken_where_the_gloss_is_counted():
    own = {"colour.walnut.skin": given(0.03, "1", "typed"),
           "colour.walnut.wetting": given(0.5, "1", "typed")}  # fmt: skip
    flat, sphere = Viewing(), Viewing(geometry="8/d")
    assert bare_for("walnut", own, flat).k1b[0] == pytest.approx(0.03)
    bare = bare_for("walnut", own, sphere)
    assert bare.k1b[0] == find_bare("walnut").k1b[0]
    assert bare.wetting[0] == 0.5
    assert "usual skin" in bare.source
    assert set(skinless(own)) == {"colour.walnut.wetting"}
    assert skinless(own, ["ebony"]) == own


def test_what_two_sources_say_is_not_known_to_hang_together():
    (evidence,) = calibrate([panel("orange", noise=0.3)]).evidence
    told = learned_figures([evidence])
    assert abs(grade_for("orange", told).cov[0, 1]) > 0
    mixed = {**told, "colour.orange.level": given(0.003, "m2/g", "hand file, hand.colour")}
    assert grade_for("orange", mixed).cov[0, 1] == 0
    assert grade_for("orange", mixed).cov[1, 2] == pytest.approx(
        grade_for("orange", told).cov[1, 2]
    )


# --- refusals ----------------------------------------------------------------------------------


def refused(*panels):
    with pytest.raises(Refusal) as caught:
        calibrate(panels)
    several = caught.value
    return [str(r) for r in several.each] if isinstance(several, Refusals) else [str(several)]


def test_what_teaches_nothing_or_cannot_be_is_refused():
    good = panel("orange")
    bands = good.bands
    bare, first, last = bands[0], bands[1], bands[-1]
    assert "there is none" in refused()[0]
    assert "no band is bare" in refused(replace(good, bands=bands[1:]))[0]
    assert "2 bands are bare" in refused(replace(good, bands=(bare, *bands)))[0]
    assert "1 film tells neither" in refused(replace(good, bands=(bare, first)))[0]
    same = replace(first, lab=first.lab)
    assert "1 film tells neither" in refused(replace(good, bands=(bare, first, same)))[0]
    line = refused(replace(good, bands=(bare, replace(first, loads_g_m2={}), last)))
    assert "what orange lies on it is not said" in line[0]
    assert "a count of coats tells no film" in line[0]
    line = refused(replace(good, bands=(bare, replace(first, lab=(180.0, 0, 0)), last)))
    assert "L* 180 is no reading" in line[0]
    line = refused(replace(good, bands=(bare, replace(last, lab=(60.0, 70.0, 20.0)), first)))
    assert "a* 70 is no reading" in line[0]
    lighter = replace(last, lab=(first.lab[0] + 1.5, *last.lab[1:]))
    line = refused(replace(good, bands=(*bands[:-1], lighter)))
    assert "lighter than" in line[0]
    assert "a film only darkens" in line[0]
    assert "two panels are called so" in refused(good, good)[0]
    assert "must be above zero" in refused(replace(good, sd=-1.0))[0]
    assert "reads no colour" in refused(replace(good, reader="eye"))[0]


def test_a_rise_within_the_noise_is_borne():
    good = panel("blonde")
    bands = list(good.bands)
    bands[2] = replace(bands[2], lab=(bands[1].lab[0] + 0.3, *bands[2].lab[1:]))
    assert calibrate([replace(good, bands=tuple(bands))]).misfit > 0
    # A camera may be off by more.
    bands[2] = replace(bands[2], lab=(bands[1].lab[0] + 1.5, *bands[2].lab[1:]))
    assert calibrate([replace(good, bands=tuple(bands), reader="camera")]).misfit > 0


def test_two_geometries_on_one_wood_are_refused_on_two_they_are_not():
    sphere = Viewing(geometry="8/d")
    here, there = panel("orange"), panel("orange", viewing=sphere, name="sphere")
    assert "nothing converts one into the other" in refused(here, there)[0]
    other = panel("orange", "walnut", viewing=sphere)
    assert calibrate([here, other]).grades["orange"].basis == "own panels"


def test_a_dark_wood_may_rise_when_it_is_sealed_with_the_gloss_counted():
    made = panel("blonde", "ebony", viewing=Viewing(geometry="8/d"))
    assert made.bands[1].lab[0] > made.bands[0].lab[0]
    assert calibrate([made]).misfit > 0


def test_readings_that_do_not_fit_together_widen_the_ranges():
    good = panel("garnet", noise=0.05)
    bands = [replace(b, lab=(b.lab[0], b.lab[1] + 6 * (-1) ** n, b.lab[2]))
             for n, b in enumerate(good.bands)]  # fmt: skip
    wild = calibrate([replace(good, bands=tuple(bands))])
    calm = calibrate([good])
    assert wild.misfit > 2 > calm.misfit
    name = "colour.garnet.slope"
    assert wild.after.sd(name) > calm.after.sd(name)
