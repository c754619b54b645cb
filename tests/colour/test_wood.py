"""Woods: from a colour to a spectrum and under a film."""

import dataclasses

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lacwright.colour import (
    BOARD,
    PANELS,
    SPECIES,
    Viewing,
    film_over,
    find_bare,
    inside_film,
    internal_reflectance,
    lab_of_reflectance,
    measured_bare,
    recover,
    with_panels,
)
from lacwright.figures import Mark, Refusal
from lacwright.trade import table

woods = st.tuples(st.floats(24, 90), st.floats(0, 18), st.floats(2, 34)).filter(
    lambda lab: lab[2] < 0.8 * lab[0] < 85 - lab[2]
)
viewings = st.builds(Viewing, st.sampled_from(["D65", "D50", "A", "C"]), st.sampled_from([2, 10]))


@settings(max_examples=60, deadline=None)
@given(woods, viewings)
def test_a_recovered_spectrum_has_the_colour(lab, viewing):
    spectrum = recover(lab, viewing)
    assert spectrum.shape == (81,)
    assert ((spectrum > 0) & (spectrum < 1)).all()
    # A thousandth of what the eye tells.
    assert lab_of_reflectance(spectrum, viewing) == pytest.approx(lab, abs=1e-3)


def test_many_colours_at_once_are_each_by_itself():
    rng = np.random.default_rng(2)
    labs = np.column_stack([rng.uniform(25, 90, 3000), rng.uniform(0, 15, 3000),
                            rng.uniform(4, 32, 3000)])  # fmt: skip
    many = recover(labs.reshape(30, 100, 3), Viewing())
    assert many.shape == (30, 100, 81)
    for i in (0, 1234, 2999):
        assert many.reshape(-1, 81)[i] == pytest.approx(recover(labs[i], Viewing()), abs=1e-5)


def test_a_colour_no_reflectance_has_is_refused_or_approached():
    with pytest.raises(Refusal, match=r"no wood has the colour 95.0,80.0,80.0"):
        recover([95, 80, 80], Viewing())
    near = recover([[95, 80, 80], [60, 8, 20]], Viewing(), nearest=True)
    assert lab_of_reflectance(near[1], Viewing()) == pytest.approx([60, 8, 20], abs=1e-3)
    assert ((near > 0) & (near < 1)).all()


def test_every_wood_of_the_table_is_found_by_all_its_names_or_refused_with_the_mend():
    on_file, found = set(table("colour_woods").rows), 0
    for row in table("woods"):
        for name in row.names():
            if row.key not in on_file | {"maple"}:
                with pytest.raises(Refusal, match=r"no colour of .* is on file") as refusal:
                    find_bare(name)
                assert "give the colour of the bare board" in refusal.value.mend
                assert "hard-maple" in refusal.value.mend
                continue
            bare = find_bare(name)
            found += 1
            assert bare.basis == SPECIES
            assert bare.mark == Mark.GUESS  # skin and wetting are guesses
            assert "from memory" in bare.source
    assert found > 30
    assert find_bare("Maple").name == "hard maple"
    assert find_bare("american walnut").name == "black walnut"
    assert find_bare("aged cherry").lab[0] < find_bare("cherry").lab[0]
    with pytest.raises(Refusal, match="did you mean 'cherry'"):
        find_bare("chery")


def test_a_measured_board_takes_its_reading_and_the_rest_of_its_kind():
    walnut = find_bare("black walnut")
    fitted = with_panels(walnut, k1b=(0.03, 0.002), wetting=(0.55, 0.04), source="two stripes")
    mine = measured_bare([44, 7.5, 14], Viewing("D50", 10), walnut)
    assert (mine.lab, mine.viewing.illuminant, mine.basis) == ((44, 7.5, 14), "D50", BOARD)
    assert (mine.k1b, mine.wetting) == (walnut.k1b, walnut.wetting)
    assert mine.lab_sd < walnut.lab_sd
    own = measured_bare([44, 7.5, 14], Viewing(), fitted)
    assert (own.name, mine.name) == ("measured black walnut",) * 2
    assert measured_bare([44, 7.5, 14], Viewing(), name="lid").name == "lid"
    assert (own.basis, own.mark, own.wetting) == (PANELS, Mark.OWN, (0.55, 0.04))


@pytest.mark.parametrize("lab", [[3, 0, 0], [101, 0, 0], [60, 8], [60, float("nan"), 8],
                                 [95, 90, 90], [50, 60, -60], [60, 22, 75]])  # fmt: skip
def test_what_is_no_reading_of_wood_is_refused(lab):
    with pytest.raises(Refusal, match=r"^wood: "):
        measured_bare(lab, Viewing())


@settings(max_examples=60, deadline=None)
@given(woods)
def test_without_a_skin_and_dry_the_wood_is_its_old_self_under_the_index_of_wood(lab):
    """A film of the index of wood on dry wood shows the bare reading again, up to the entry."""
    bare = recover(lab, Viewing())
    dry = inside_film(bare, 1e-12, 1.0)
    k2 = float(internal_reflectance(0, 1.55))
    assert (1 - k2) * dry / (1 - k2 * dry) == pytest.approx(bare, abs=1e-9)


@settings(max_examples=60, deadline=None)
@given(woods, st.floats(0.3, 0.99))
def test_wetting_darkens_the_base(lab, wetting):
    bare = recover(lab, Viewing())
    assert (inside_film(bare, 0.035, wetting) < inside_film(bare, 0.035, 1.0)).all()
    # Straight up a smooth surface lets out more than its mean over all ways: 1.0044 of a white.
    assert (film_over(inside_film(bare, 0.035, wetting), 0, "45/0") < 1.0045).all()


def test_the_skin_is_held_back_smoothly_on_dark_wood():
    """From far below the limit to far above it the base moves without a kink."""
    spectrum = np.full((400, 81), np.linspace(0.01, 0.2, 400)[:, None])
    base = inside_film(spectrum, 0.035, 0.6)[:, 0]
    assert (base > 0).all()
    slope = np.diff(base)
    assert (slope > 0).all()
    # A kink would make neighbouring slopes differ at once: here by less than a twentieth.
    assert np.abs(np.diff(slope)).max() < 0.05 * slope.max()


def test_a_wood_may_be_kept_in_a_set():
    assert len({find_bare("oak"), find_bare("oak"), dataclasses.replace(find_bare("oak"))}) == 1
