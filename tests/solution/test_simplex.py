import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lacwright.solution.simplex import best_amounts


@st.composite
def programmes(draw):
    n, m = draw(st.integers(1, 5)), draw(st.integers(1, 4))
    number = st.integers(0, 9).map(float)
    uses = [[draw(number) for _ in range(n)] for _ in range(m)]
    limits = [draw(number) for _ in range(m)]
    wish = [draw(st.integers(-5, 9)) for _ in range(n)]
    # Every amount is limited, so that there is a best one.
    uses += [[float(i == j) for j in range(n)] for i in range(n)]
    return wish, uses, limits + [1.0] * n


@settings(max_examples=60, deadline=None)
@given(programmes())
def test_against_a_library(programme):
    from scipy.optimize import linprog

    wish, uses, limits = programme
    found = best_amounts(wishes=[wish], uses=uses, limits=limits)
    for row, limit in zip(uses, limits, strict=True):
        assert sum(u * x for u, x in zip(row, found, strict=True)) <= limit + 1e-7
    oracle = linprog([-w for w in wish], A_ub=uses, b_ub=limits)
    value = sum(w * x for w, x in zip(wish, found, strict=True))
    assert value == pytest.approx(-oracle.fun, abs=1e-6)


def test_the_second_wish_decides_only_among_the_best_of_the_first():
    # Either amount fills the one limit; the second wish prefers the second amount.
    found = best_amounts(wishes=[[1, 1], [0, 1]], uses=[[1, 1], [1, 0], [0, 1]], limits=[1, 1, 0.7])
    assert found == pytest.approx([0.3, 0.7])


def test_a_drop_from_a_barrel_does_not_turn_in_circles():
    # Sources that hold a million times what is wished: unscaled, rounding led round and round.
    fills = [
        [2898711.7007706827, 0.0, 0.0, 0.0, 537173.5986463054],
        [0.0, 0.0, 3484800.9997566226, 3879054.007822147, 652148.2977794779],
        [0.0, 272706.4899421821, 0.0, 0.0, 0.0],
    ]
    wishes = [
        [sum(column) for column in zip(*fills, strict=True)],
        [0.0, 0.0, 0.0, 0.0, 0.21273681230233163],
        [0.0] * 5,
        [-0.2744665305445289, -0.11924171411133043, -2.695090859314789, -4.0, -1.0636840615116583],
    ]
    each = [[1.0 if i == j else 0.0 for j in range(5)] for i in range(5)]
    found = best_amounts(wishes=wishes, uses=[*fills, *each], limits=[1.0] * 8)
    # All three lines are filled, the second from the jar of the second wish as far as it goes.
    for row in fills:
        assert sum(a * x for a, x in zip(row, found, strict=True)) == pytest.approx(1.0)
    assert found[4] * 652148.2977794779 == pytest.approx(1.0)
