"""The gate: go by the model, by the maker's own rule, and by the coat below."""

import numpy as np
import pytest

from lacwright.climate import dew_point_c
from lacwright.drying import (
    MARGINAL,
    NO_STOP,
    WHITENS,
    Board,
    Rooms,
    Rule,
    Task,
    Under,
    WetCoat,
    dry_many,
    judge,
)
from lacwright.drying.gate import passes
from lacwright.figures import Refusal

SPIRIT_190 = {"ethanol": 92.4176, "water": 7.5824}
BRUSH, PAD = Task(WetCoat(100, 2, SPIRIT_190)), Task(WetCoat(12, 2, SPIRIT_190))
RH = np.array([0.40, 0.55, 0.75])


def rooms(rh=RH, temp=20.0, **more):
    return Rooms.of(temp_c=temp, rh=rh, speed_m_s=0.1, **more)


def test_go_is_the_models_no_stop_and_nothing_else():
    told = judge(tasks=[BRUSH, PAD], rooms=rooms())
    many = dry_many(tasks=[BRUSH, PAD], temp_c=20.0, rh=RH, speed_m_s=0.1)
    assert told.word.tolist() == many.verdict.tolist()
    assert set(told.word[:, 0]) == {NO_STOP, MARGINAL, WHITENS}
    assert (told.go == (many.verdict == NO_STOP)).all()
    for name in ("film_min_c", "dew_margin_k", "haze_index", "touch_dry_s"):
        assert np.array_equal(told.values[name], getattr(many, name), equal_nan=True)
        fine = ~np.isnan(told.values[name])
        assert (told.low[name] <= told.values[name])[fine].all()
        assert (told.values[name] <= told.high[name])[fine].all()
    assert told.withheld.tolist() == [[False, False], [False, False], [True, True]]
    assert np.isnan(told.values["recoat_s"][2, 0])
    assert "haze index" in told.reason(1, 0)


def test_the_worst_coat_decides():
    told = judge(tasks=[PAD, BRUSH], rooms=rooms())
    assert told.worst.tolist() == [1, 1, 1]
    own = judge(tasks=[PAD, BRUSH], rooms=rooms(), rule=Rule(margin_k=6.0))
    assert own.worst.tolist() == [1, 1, 1]


def test_an_own_chill_is_held_against_the_dew_point_without_any_model():
    """By hand: 20 C less 5 K is 15.0 C; the dew points are 6.0, 10.7 and 15.4 C."""
    told = judge(tasks=[], rooms=Rooms.of(temp_c=20.0, rh=RH), rule=Rule(chill_k=5, margin_k=4))
    assert told.own
    assert told.values["film_min_c"][:, 0] == pytest.approx([15, 15, 15])
    dew = [dew_point_c(temp_c=20.0, rh=x) for x in RH]
    assert dew == pytest.approx([6.0, 10.7, 15.4], abs=0.06)
    assert told.go[:, 0].tolist() == [True, True, False]
    assert "your own rule: film at 15.0 C, 0.4 K below the dew point" in told.reason(2, 0)
    assert np.isnan(told.values["haze_index"]).all()
    # Just kept is kept.
    exact = Rule(chill_k=5, margin_k=15 - float(dew[1]))
    assert judge(tasks=[], rooms=Rooms.of(temp_c=20.0, rh=RH), rule=exact).go[1, 0]


def test_an_own_chill_overrides_the_model_and_says_what_the_model_says():
    told = judge(tasks=[BRUSH], rooms=rooms(), rule=Rule(chill_k=0.5))
    assert told.go[:, 0].tolist() == [True, True, True]
    assert told.word[2, 0] == WHITENS
    assert "your own rule" in told.reason(2, 0)
    assert "the model: will whiten" in told.reason(2, 0)
    assert told.rule.least_k == 2


def test_an_own_margin_alone_is_held_against_the_models_film():
    model = judge(tasks=[BRUSH], rooms=rooms())
    margin = float(model.values["dew_margin_k"][1, 0])
    for least, kept in ((margin - 0.01, True), (margin + 0.01, False)):
        told = judge(tasks=[BRUSH], rooms=rooms(), rule=Rule(margin_k=least))
        assert bool(told.go[1, 0]) is kept
        assert told.values["film_min_c"] == pytest.approx(model.values["film_min_c"])


def test_a_board_colder_than_the_room():
    """A board of 16 C in a room of 20 C: his film starts at the board."""
    there = Rooms.of(temp_c=20.0, rh=RH, board_c=16.0)
    told = judge(tasks=[], rooms=there, rule=Rule(chill_k=5))
    assert told.values["film_min_c"][:, 0] == pytest.approx([11, 11, 11])
    assert told.values["chill_k"][:, 0] == pytest.approx([9, 9, 9])
    cold = judge(tasks=[BRUSH], rooms=rooms(board_c=[16.0, np.nan, 16.0]))
    plain = judge(tasks=[BRUSH], rooms=rooms())
    assert cold.values["film_min_c"][0, 0] < plain.values["film_min_c"][0, 0]
    assert cold.values["film_min_c"][1, 0] == plain.values["film_min_c"][1, 0]


def test_slow_alcohol_has_its_own_chill():
    rule = Rule(chill_k=6, chill_slow_k=3, margin_k=2)
    there = Rooms.of(temp_c=20.0, rh=0.65)
    assert not judge(tasks=[], rooms=there, rule=rule).go.any()
    assert judge(tasks=[], rooms=there, rule=rule, slow=True).go.all()


def test_a_coat_below_that_is_not_ready_keeps_the_next_one_waiting():
    """A brush coat is ready after an hour: one half an hour old is not, an hour on it is."""
    young = Task(BRUSH.coat, (Under(BRUSH.coat, 1800.0),))
    told = judge(tasks=[young], rooms=rooms(rh=[0.4] * 4))
    recoat = dry_many(tasks=[BRUSH], temp_c=20.0, rh=0.4, speed_m_s=0.1).recoat_s[0, 0]
    assert told.ready_in_s[:, 0] == pytest.approx(
        np.maximum(recoat - 1800 - 3600 * np.arange(4), 0))  # fmt: skip
    assert told.go[:, 0].tolist() == [False, True, True, True]
    assert "the coat below is not ready yet" in told.reason(0, 0)
    # Each hour it is an hour older, and gives less back to the new coat.
    assert (np.diff(told.values["recoat_s"][:, 0]) < 0).all()


def test_where_no_hour_tells_when_the_coat_below_is_ready_it_is_not():
    young = Task(PAD.coat, (Under(BRUSH.coat, 3600.0),))
    told = judge(tasks=[young], rooms=rooms(rh=[0.74, 0.74]))
    assert not told.go.any()
    assert np.isinf(told.ready_in_s).all()


def test_own_rules_and_airs_that_cannot_be():
    with pytest.raises(Refusal, match="own chill: 40 K"):
        Rule(chill_k=40)
    with pytest.raises(Refusal, match="own margin: -1 K"):
        Rule(margin_k=-1)
    with pytest.raises(Refusal, match="give your own measured chill"):
        judge(tasks=[], rooms=rooms(), rule=Rule(margin_k=2))
    with pytest.raises(Refusal, match="air speed"):
        judge(tasks=[BRUSH], rooms=Rooms.of(temp_c=20.0, rh=0.5))
    with pytest.raises(Refusal, match="there are none"):
        Rooms.of(temp_c=[], rh=[])


def test_a_film_that_never_gets_touch_dry_is_no_go():
    told = judge(tasks=[Task(WetCoat(100, 2, SPIRIT_190), (), Board())], rooms=rooms(rh=[1.0]))
    assert not told.go.any()
    assert passes(word=np.array([NO_STOP]), margin_k=np.array([np.nan]), rule=Rule(margin_k=2)
                  ).tolist() == [False]  # fmt: skip
