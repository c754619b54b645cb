"""Parting micrograms: exact, never more than there is."""

from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lacwright.shop.ledger import split

HOLDINGS = st.dictionaries(
    st.sampled_from(["a", "b", "c", "d", "e"]), st.integers(1, 10**15), min_size=1
)


@st.composite
def parted(draw: st.DrawFn) -> tuple[int, dict[str, int]]:
    holdings = draw(HOLDINGS)
    return draw(st.integers(0, sum(holdings.values()))), holdings


@given(parted())
@settings(max_examples=200, deadline=None)
def test_parts_are_exact_and_within_one_microgram_of_their_share(
    case: tuple[int, dict[str, int]],
) -> None:
    total, holdings = case
    parts = split(total, holdings)
    whole = sum(holdings.values())
    assert sum(parts.values()) == total
    for lot, held in holdings.items():
        got = parts.get(lot, 0)
        assert 0 <= got <= held
        assert abs(got - Fraction(total * held, whole)) < 1


@given(parted())
@settings(max_examples=100, deadline=None)
def test_the_order_of_the_lots_does_not_count(case: tuple[int, dict[str, int]]) -> None:
    total, holdings = case
    turned = dict(reversed(holdings.items()))
    assert split(total, holdings) == split(total, turned)


@given(HOLDINGS, st.integers(0, 10**18))
@settings(max_examples=100, deadline=None)
def test_more_than_there_is_parts_in_proportion(holdings: dict[str, int], more: int) -> None:
    total = sum(holdings.values()) + more
    parts = split(total, holdings)
    assert sum(parts.values()) == total
    assert all(got >= holdings[lot] for lot, got in parts.items())


@given(parted(), st.lists(st.integers(0, 10**6), max_size=8))
@settings(max_examples=100, deadline=None)
def test_pouring_on_and_on_never_goes_below_zero_and_the_last_pour_empties(
    case: tuple[int, dict[str, int]], pours: list[int]
) -> None:
    _, held = case
    for total in [*pours, sum(held.values())]:
        parts = split(min(total, sum(held.values())), held)
        held = {lot: ug - parts.get(lot, 0) for lot, ug in held.items()}
        assert min(held.values()) >= 0
    assert sum(split(sum(held.values()), held).values()) == sum(held.values())


def test_leftovers_go_to_the_largest_remainders_then_by_name() -> None:
    # 10 over 3 : 3 : 1, worked by hand: 30/7 = 4 2/7 twice, 10/7 = 1 3/7; one left for c.
    assert split(10, {"a": 3, "b": 3, "c": 1}) == {"a": 4, "b": 4, "c": 2}
    # 1 over 1 : 1 : 1: all remainders alike, the first by name gets it.
    assert split(1, {"c": 1, "a": 1, "b": 1}) == {"a": 1}


def test_what_cannot_be_parted_is_a_fault_of_the_program() -> None:
    assert split(0, {}) == {}
    for total, holdings in ((1, {}), (-1, {"a": 5}), (2, {"a": 0})):
        with pytest.raises(ValueError, match="cannot be parted"):
            split(total, holdings)
