"""Which figure of how much is laid counts: the step, the maker, the method; and its working."""

from __future__ import annotations

import math

import numpy as np
import pytest

from lacwright.figures import Learned, Mark, given
from lacwright.figures.draws import Draws
from lacwright.film import calibrate
from lacwright.plan.laying import liquid_of
from lacwright.plan.loads import Load, load_of
from lacwright.plan.own import OwnFigures
from lacwright.plan.piece import MixSpec, Own, Step
from lacwright.trade import table

MIX = MixSpec("body", 2.0)


def load(step: Step, own: Own | None = None, *, method: str = "brush", n: int = 1) -> Load:
    figures = OwnFigures([own or {}], Draws(400))
    return load_of(step, method=method, n=n, coat="c", area_m2=0.5,
                   liquid=liquid_of(MIX, figures), own=figures)  # fmt: skip


def test_the_default_looks_like_a_default() -> None:
    made = load(Step("coat"))
    row = table("methods")["brush"]
    assert made.used.value == row.number("load")
    assert made.used.basis == "default"
    assert made.landed.value == pytest.approx(95 * 0.95)


def test_the_step_beats_the_maker_and_the_maker_the_default() -> None:
    own = {"spread.brush": given(85.0, "ml/m2")}
    assert load(Step("coat"), own).used.value == 85.0
    assert load(Step("coat", spread_ml_m2=(70.0,)), own).used.value == 70.0


def test_one_figure_a_coat_the_last_repeats() -> None:
    step = Step("coat", spread_ml_m2=(110.0, 90.0))
    assert [load(step, n=n).used.value for n in (1, 2, 3)] == [110.0, 90.0, 90.0]
    own = {"spread.brush.1": given(110.0, "ml/m2"), "spread.brush.2": given(90.0, "ml/m2"),
           "spread.brush": given(90.0, "ml/m2")}  # fmt: skip
    assert [load(Step("coat"), own, n=n).used.value for n in (1, 2, 3)] == [110.0, 90.0, 90.0]


def test_a_wet_film_is_what_lies_on_the_work() -> None:
    made = load(Step("coat", wet_um=60.0, lost_share=0.4), method="spray-hvlp")
    assert made.landed.value == 60.0
    assert made.used.value == pytest.approx(100.0)


def test_weighed_coats_move_the_default_and_narrow_it() -> None:
    hand = calibrate(pairs=[(100, 82), (100, 88), (100, 85)], name="hand.brush")
    made, plain = load(Step("coat"), {"hand.brush": hand}), load(Step("coat"))
    factor, ln_sd = hand.posterior()
    assert made.used.value == pytest.approx(95 * factor)
    assert made.used.basis == "learned"
    assert made.used.high is not None
    assert plain.used.high is not None
    assert made.used.value is not None
    assert made.used.high / made.used.value < plain.used.high / 95
    assert ln_sd < 0.08


def test_a_pad_is_told_as_a_wet_film() -> None:
    made = load(Step("coat"), method="pad")
    row = table("methods")["pad"]
    assert made.landed.value == pytest.approx(row.number("wet"))
    assert made.used.value == pytest.approx(row.number("wet") / row.number("landed"))


def test_a_session_is_so_many_passes() -> None:
    made = load(Step("session"), method="french-polish")
    row = table("methods")["french-polish"]
    assert made.used.value == pytest.approx(row.number("load") * row.number("passes"))


@pytest.mark.parametrize(("name", "unit"), [("spread.brush", "ml/m2"), ("deposit.brush", "um")])
def test_a_coat_lies_about_the_mean_that_the_log_tells(name: str, unit: str) -> None:
    """The log narrows the mean of all coats, not the scatter of one (ln sd .12, see film.csv)."""
    learned = Learned(name, unit, 10.0, 0.35, "prior", Mark.PRACTICE)
    for value in (9.0, 10.0, 11.0):
        learned = learned.observe(value, 0.12)
    made = load(Step("coat"), {name: learned})
    rows = made.used_draws if made.deposit_draws is None else made.deposit_draws
    _, ln_sd = learned.posterior()
    noise = table("film")["coat_ln_sd"].number("value")
    # 400 draws know a spread to about 4 %; three of those.
    assert np.std(np.log(rows[1:])) == pytest.approx(math.hypot(ln_sd, noise), rel=0.12)
