"""A reading as figures: each formula, evaluated anew, gives the value of the model."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lacwright.climate import reading
from lacwright.figures import Basis, Mark
from lacwright.figures import given as said


def read_at(temp_c, rh):
    return reading(temp_c=said(temp_c, "C"), rh=said(rh, "1"))


def evaluated(figure):
    """Evaluate a working, and before it the workings of its inputs."""
    for name, part in figure.working.inputs:
        if part.working is not None:
            assert evaluated(part) == pytest.approx(part.value, rel=1e-9), name
    return figure.working.evaluate()


@given(temp_c=st.floats(-20, 60), rh=st.floats(0.001, 1))
def test_every_formula_gives_its_value(temp_c, rh):
    for name, figure in read_at(temp_c, rh).items():
        if figure.value is not None:
            # The dew point's formula is one step of Newton's method from 0.005 K away.
            assert evaluated(figure) == pytest.approx(figure.value, rel=1e-9, abs=1e-5), name


def test_marks_and_sources():
    figures = read_at(21, 0.5)
    for name in ("vapour_pa", "dew_point_c", "absolute_humidity_g_m3"):
        assert (figures[name].mark, figures[name].basis) == (Mark.PUBLISHED, Basis.COMPUTED)
        assert "ASHRAE Handbook" in figures[name].source
    emc = figures["emc_percent"]
    assert "Wood Handbook" in emc.source
    # The equation is published, the allowance for real boards is not: the weaker mark stands.
    assert emc.mark is Mark.GUESS
    assert (emc.low, emc.high) == (pytest.approx(emc.value - 1), pytest.approx(emc.value + 1))


@pytest.mark.parametrize(("temp_c", "rh"), [(-5, 0.5), (21, 0.03), (21, 0.99)])
def test_outside_the_wood_equation_the_air_is_still_answered(temp_c, rh):
    figures = read_at(temp_c, rh)
    assert figures["dew_point_c"].value is not None
    assert figures["emc_percent"].value is None
    assert "cannot estimate without" in figures["emc_percent"].missing
