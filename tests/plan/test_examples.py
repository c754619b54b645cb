"""The shipped examples: every figure's working gives its value, bands hold it, runs repeat."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import pytest

from lacwright.figures import Figure, Mark, weakest
from lacwright.files.piece import read_piece
from lacwright.plan import Plan, make_plan

EXAMPLES = Path(__file__).parents[2] / "examples"
NAMES = ["table", "ukulele", "class"]
TODAY = dt.date(2027, 2, 1)


@pytest.fixture(scope="module", params=NAMES)
def plan(request: pytest.FixtureRequest) -> Plan:
    return make_plan(read_piece(EXAMPLES / f"{request.param}.toml"), today=TODAY, n=300)


def all_figures(plan: Plan) -> dict[str, Figure]:
    """Every figure and every input of a working, by path; a shared input once."""
    found: dict[str, Figure] = {}
    seen: set[int] = set()

    def walk(name: str, figure: Figure) -> None:
        if id(figure) in seen:
            return
        seen.add(id(figure))
        found[name] = figure
        for key, inner in figure.working.inputs if figure.working else ():
            walk(f"{name} <- {key}", inner)

    for name, figure in plan.figures.items():
        walk(name, figure)
    return found


def test_the_working_of_every_figure_gives_its_value(plan: Plan) -> None:
    checked = 0
    for name, figure in all_figures(plan).items():
        if figure.working is not None and figure.value is not None:
            # The vectorised model and the formula are two ways to the same number.
            assert figure.working.evaluate() == pytest.approx(figure.value, rel=1e-9, abs=1e-9), (
                name
            )
            checked += 1
    assert checked > 20


def test_value_lies_in_its_band_and_the_mark_is_the_weakest(plan: Plan) -> None:
    for name, figure in all_figures(plan).items():
        if figure.value is None:
            assert figure.missing, name
            continue
        assert figure.low is not None, name
        assert figure.high is not None, name
        assert figure.low <= figure.value <= figure.high, name
        assert figure.source or figure.working, name
        if figure.working is not None and figure.working.inputs:
            marks = [Mark(f.mark) for _, f in figure.working.inputs]
            assert figure.mark == weakest(*marks), name


@pytest.mark.parametrize("name", NAMES)
def test_a_run_repeats_and_the_seed_moves_only_bands(name: str) -> None:
    piece = read_piece(EXAMPLES / f"{name}.toml")
    one, same, other = (make_plan(piece, today=TODAY, n=100, seed=s) for s in (1, 1, 2))
    assert {k: f.value for k, f in one.figures.items()} == {
        k: f.value for k, f in other.figures.items()
    }
    for k, f in one.figures.items():
        assert (f.low, f.high) == (same.figures[k].low, same.figures[k].high)
    assert any(f.low != other.figures[k].low for k, f in one.figures.items())


def test_a_plan_without_draws_has_the_same_central_case() -> None:
    piece = read_piece(EXAMPLES / "table.toml")
    many, none = (make_plan(piece, today=TODAY, n=n) for n in (100, 0))
    for name, figure in none.figures.items():
        assert figure.value == pytest.approx(many.figures[name].value), name


def test_the_hand_is_common_to_all_coats() -> None:
    """The band of a sum of coats does not shrink as if every coat had another hand."""
    text = (EXAMPLES / "table.toml").read_text(encoding="utf-8")
    assert "[hand.spread]" not in text
    piece = read_piece(EXAMPLES / "table.toml")
    from dataclasses import replace

    own = {k: f for k, f in piece.own.items() if not k.startswith(("hand.", "spread."))}
    plan = make_plan(replace(piece, own=own), today=TODAY, n=2000)
    coat, flat = plan.figures["film.top.coat3"], plan.figures["film.top.flat"]
    assert coat.high is not None
    assert flat.high is not None
    one, all_coats = coat.high / coat.number() - 1, flat.high / flat.number() - 1
    # Independent coats would bring it below half; the hand's share of the spread stays.
    assert all_coats > 0.7 * one
