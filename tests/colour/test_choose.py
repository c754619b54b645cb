"""Recipes for a wished colour: nothing nearer is left out, and the simplest goes first."""

import itertools

import numpy as np
import pytest

from lacwright.colour import (
    Viewing,
    bare_lab,
    chroma,
    de00,
    find_bare,
    find_grade_colour,
    hue_deg,
    lab_under,
)
from lacwright.colour.choose import ONLY, blends_of, choose, constant
from lacwright.colour.wish import wish_of_lab, wish_of_word, wish_words
from lacwright.figures import Refusal

FOUR = ("blonde", "amber", "garnet", "ruby")


def grades(*names):
    return [find_grade_colour(name) for name in names]


def picked(wood, wish, names=FOUR, load=3.5, **more):
    bare = find_bare(wood)
    if not hasattr(wish, "distance"):
        wish = wish_of_lab(wish, bare.viewing)
    return choose(bare=bare, grades=grades(*names), wish=wish, coat_g_m2=load, **more)


def film(wood, loads, **more):
    return lab_under(bare=find_bare(wood), grades=grades(*loads),
                     loads_g_m2=list(loads.values()), **more)  # fmt: skip


def sealed(wood):
    return lab_under(bare=find_bare(wood), grades=[], loads_g_m2=np.zeros(0))


def test_every_blend_is_there_once():
    for n, count in ((1, 1), (2, 21), (3, 231), (4, 1771)):
        blends = blends_of(n, 20)
        assert len(blends) == count == len({tuple(np.rint(20 * b)) for b in blends})
        assert blends.sum(axis=1) == pytest.approx(1)
    assert ((blends_of(11, 20, 2) > 0).sum(axis=1) <= 2).all()
    assert len(blends_of(11, 20, 2)) == 11 + 55 * 19


def test_nothing_nearer_is_left_out():
    """Against a plain loop over the cases, one by one."""
    wish, names = (50, 20, 35), ("blonde", "amber", "garnet")
    found = picked("cherry", wish, names, load=7.0, coats_most=3)
    best = min(
        float(de00(film("cherry", dict(zip(names, (coats * 7.0 * p / 20 for p in parts),
                                           strict=True))), wish))
        for coats in range(1, 4)
        for parts in itertools.product(range(21), repeat=3) if sum(parts) == 20
    )  # fmt: skip
    assert found.cases == 3 * 231
    nearest = min(r.de00 for r in found.recipes)
    assert nearest - 1e-9 <= best + constant("tie")
    assert found.recipes[0].de00 <= best + constant("tie") + 1e-9


def test_a_film_that_was_laid_is_found_again():
    made = film("maple", {"amber": 4 * 3.5 * 0.7, "garnet": 4 * 3.5 * 0.3})
    found = picked("maple", made, ("amber", "garnet"))
    best = min(found.recipes, key=lambda r: r.de00)
    assert found.reachable
    assert best.de00 < constant("tie")
    assert found.recipes[0].blend == pytest.approx({"amber": 0.7, "garnet": 0.3})
    assert found.recipes[0].coats == 4
    assert found.recipes[0].loads_g_m2 == pytest.approx({"amber": 9.8, "garnet": 4.2})


def test_of_equally_near_recipes_the_simplest_goes_first():
    word = wish_of_word("warm", sealed("cherry"), Viewing())
    first = picked("cherry", word).recipes[0]
    assert len(first.blend) == 1
    # With garnet out of stock another single grade goes before it.
    there = frozenset({"blonde", "amber", "ruby"})
    other = picked("cherry", word, stock=there).recipes[0]
    assert other.in_stock
    assert set(other.blend) <= there
    assert picked("cherry", word).recipes[0].in_stock is None


def test_no_two_recipes_are_neighbours():
    for recipes in (picked("cherry", (50, 20, 35)).recipes, picked("maple", (62, 16, 44)).recipes):
        assert 1 < len(recipes) <= 5
        for one, other in itertools.combinations(recipes, 2):
            apart = max(abs(one.blend.get(n, 0) - other.blend.get(n, 0)) for n in FOUR)
            assert apart > constant("neighbour.share") or (
                abs(one.coats - other.coats) > constant("neighbour.coats")
            )


def test_sensitivities_are_those_of_the_films():
    wish = (50, 20, 35)
    for recipe in picked("cherry", wish).recipes[:3]:

        def off(coats, blend=recipe.blend):
            return float(de00(film("cherry", {n: 3.5 * coats * s for n, s in blend.items()}), wish))

        assert recipe.de00 == pytest.approx(off(recipe.coats))
        assert recipe.coat_more == pytest.approx(off(recipe.coats + 1))
        assert recipe.coat_less == pytest.approx(off(recipe.coats - 1))
        moved = [off(recipe.coats, {**recipe.blend, a: recipe.blend[a] - 0.05,
                                    b: recipe.blend[b] + 0.05})
                 for a, b in itertools.permutations(recipe.blend, 2)]  # fmt: skip
        assert recipe.blend_off == pytest.approx(max(moved, default=recipe.de00))
        assert recipe.part_de00 == pytest.approx(off(recipe.full + recipe.share))
        assert recipe.part_de00 <= recipe.de00 + 1e-12


def test_one_coat_less_than_one_is_the_bare_wood():
    made = film("maple", {"amber": 3.5})
    one = picked("maple", made, ("amber",)).recipes[0]
    assert one.coats == 1
    assert one.coat_less == pytest.approx(float(de00(bare_lab(find_bare("maple")), made)))


def test_a_last_coat_at_part_strength():
    """Half a coat between two whole ones is found, where coats are strong."""
    made = film("maple", {"garnet": 2.5 * 20})
    recipe = picked("maple", made, ("garnet",), load=20.0).recipes[0]
    assert (recipe.full, recipe.share) == (2, pytest.approx(0.5))
    assert recipe.part_de00 == pytest.approx(0, abs=1e-9)
    assert recipe.de00 > constant("tie")


def test_what_lies_there_counts():
    amber = find_grade_colour("amber")
    goal = film("maple", {"amber": 7 + 2 * 3.5})
    found = picked("maple", goal, ("amber",), on=[(amber, 7.0)])
    assert found.present == pytest.approx(tuple(film("maple", {"amber": 7})))
    assert found.recipes[0].coats == 2
    # A grade on the piece need not be one that may be laid, and the order makes no difference.
    mixed = film("maple", {"garnet": 3.5, "amber": 7})
    laid = picked("maple", mixed, ("garnet",), on=[(amber, 7.0)]).recipes[0]
    assert laid.blend == {"garnet": 1.0}
    assert laid.coats == 1


def test_a_piece_that_is_there_gets_no_coat():
    amber = find_grade_colour("amber")
    assert picked("maple", film("maple", {"amber": 14}), ("amber",), on=[(amber, 14)]).there_already
    assert not picked("maple", film("maple", {"amber": 40}), ("amber",)).there_already


@pytest.mark.parametrize(
    ("wood", "wish", "why"),
    [
        ("cherry", (70, 6, 20), "lighter than this wood under a clear film"),
        ("maple", (20, 10, 15), "darker than the most coats"),
        ("maple", (60, 8, 15), "duller"),
        ("cherry", (50, 10, 75), "stronger in colour"),
    ],
)
def test_what_cannot_be_had_is_said_plainly_with_the_nearest(wood, wish, why):
    found = picked(wood, wish)
    assert not found.reachable
    assert found.why.startswith(ONLY)
    assert why in found.why
    assert found.recipes[0].de00 > constant("reach")


def test_of_many_grades_two_at_once_and_then_the_best_four():
    names = [*FOUR, "lemon", "orange", "button"]
    made = film("maple", {"orange": 9.0, "ruby": 12.0})
    found = picked("maple", made, names, load=3.0)
    assert found.recipes[0].de00 < constant("tie")
    assert found.cases == 12 * (len(blends_of(7, 20, 2)) + 1771)
    assert "four" not in found.searched
    assert "then every blend of the 4" in found.searched


def test_the_viewing_is_that_of_the_wish():
    sphere = Viewing("D50", 10, "8/d")
    made = film("cherry", {"garnet": 14.0}, viewing=sphere)
    found = picked("cherry", wish_of_lab(made, sphere), ("garnet",))
    assert found.recipes[0].coats == 4
    assert found.recipes[0].de00 == pytest.approx(0, abs=1e-6)
    other = picked("cherry", wish_of_lab(made, Viewing()), ("garnet",))
    assert other.recipes[0].de00 > 0.5


@pytest.mark.parametrize("wood", ["maple", "cherry", "black walnut"])
@pytest.mark.parametrize("word", wish_words())
def test_a_word_is_a_region_that_can_be_had_on_pale_and_dark_wood(word, wood):
    under = sealed(wood)
    wish = wish_of_word(word, under, Viewing())
    found = picked(wood, wish, ("amber", "garnet", "ruby"), load=7.0)
    assert found.reachable
    assert wish.distance(wish.lab) == pytest.approx(0, abs=1e-6)
    # Where the recipe lies inside, lightness, chroma and hue are in their spans.
    best = min(found.recipes, key=lambda r: r.de00)
    near = wish.nearest(best.lab)
    region = wish.region
    assert region.lightness[0] - 1e-9 <= near[0] <= region.lightness[1] + 1e-9
    assert region.chroma[0] - 1e-9 <= chroma(near) <= region.chroma[1] + 1e-9
    turn = (hue_deg(near) - hue_deg(under) + 180) % 360 - 180
    assert region.turn[0] - 1e-6 <= turn <= region.turn[1] + 1e-6


def test_words_stand_in_their_order():
    """Pale is lighter than honey, honey than brown, brown than dark; red is redder than golden."""
    at = {w: wish_of_word(w, sealed("maple"), Viewing()).lab for w in wish_words()}
    depth = [at[w][0] for w in ("pale", "honey", "brown", "dark")]
    assert depth == sorted(depth, reverse=True)
    assert hue_deg(at["red"]) < hue_deg(at["amber"]) < hue_deg(at["golden"])


@pytest.mark.parametrize(
    ("more", "words"),
    [
        ({"names": ()}, "0 grades"),
        ({"names": ("amber", "amber")}, "twice"),
        ({"load": 0.0}, "nothing"),
        ({"load": float("nan")}, "nothing"),
        ({"coats_most": 0}, "coats at most"),
        ({"on": [(find_grade_colour("amber"), -1.0)]}, "below zero"),
    ],
)
def test_what_cannot_be_asked_is_refused(more, words):
    with pytest.raises(Refusal, match=words):
        picked("maple", (60, 15, 40), **more)


@pytest.mark.parametrize("lab", [(0, 0, 0), (101, 0, 0), (50, 300, 0), (50, float("nan"), 0)])
def test_a_wish_that_is_no_colour_is_refused(lab):
    with pytest.raises(Refusal):
        wish_of_lab(lab, Viewing())


def test_a_word_starts_from_the_colour_of_the_wood():
    with pytest.raises(Refusal, match="hardly a colour"):
        wish_of_word("honey", sealed("ebony"), Viewing())


def test_an_unknown_word_is_refused_with_the_nearest():
    with pytest.raises(Refusal, match="did you mean 'honey'"):
        wish_of_word("hony", sealed("maple"), Viewing())
