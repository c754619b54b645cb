"""A cold piece brought into a warm room."""

import math

import pytest
from hypothesis import given as drawn
from hypothesis import strategies as st

from lacwright.climate import dew_point_c, warming
from lacwright.figures import Refusal, given


def asked(first=4.0, later=9.0, after=30.0, room=22.0, rh=0.5, margin=2.0, coat_at=18.0):
    return warming(
        first_c=given(first, "C"), later_c=given(later, "C"), after_min=given(after, "min"),
        room_c=given(room, "C"), rh=given(rh, "1"),
        margin_k=None if margin is None else given(margin, "K"),
        coat_at_c=None if coat_at is None else given(coat_at, "C"),
    )  # fmt: skip


def test_worked_by_hand():
    # Hand-worked: 18 K below the room becomes 13 K in 30 min, so the constant is 30 / ln(18/13);
    # the dew point, 11.11 C, is PsychroLib's (2.5.0) at 22 C and 50 %.
    told = asked()
    constant = 30 / math.log(18 / 13)
    assert told["warming_constant_min"].number() == pytest.approx(constant)
    assert told["dew_point_c"].number() == pytest.approx(11.11, abs=0.01)
    assert told["dew_point_min"].number() == pytest.approx(constant * math.log(18 / 10.89), abs=0.1)
    assert told["unwrap_min"].number() == pytest.approx(constant * math.log(18 / 8.89), abs=0.1)
    assert told["coat_min"].number() == pytest.approx(constant * math.log(18 / 4))


@drawn(
    first=st.floats(-15, 8), room=st.floats(16, 28), constant=st.floats(20, 600),
    rh=st.floats(0.2, 0.7),
)  # fmt: skip
def test_recovers_what_made_the_readings(first, room, constant, rh):
    after = 0.5 * constant
    later = room - (room - first) * math.exp(-0.5)
    told = asked(first, later, after, room, rh, 2.0, room - 1.5)
    assert told["warming_constant_min"].number() == pytest.approx(constant)
    at = told["unwrap_min"].number()
    if at > 0:
        skin = room - (room - first) * math.exp(-at / constant)
        assert skin == pytest.approx(dew_point_c(temp_c=room, rh=rh) + 2)
    assert told["dew_point_min"].number() <= at <= told["coat_min"].number()


def test_every_time_has_a_band_around_it():
    told = asked()
    for key in ("warming_constant_min", "dew_point_min", "unwrap_min", "coat_min"):
        assert told[key].low < told[key].number() < told[key].high
    wide = asked(later=6.0)
    ratio = [t["coat_min"].high / t["coat_min"].number() for t in (told, wide)]
    assert ratio[1] > ratio[0]  # readings that lie close together say less


def test_what_is_above_the_dew_point_already_is_unwrapped_at_once():
    told = asked(first=14.0, later=16.0, rh=0.3)
    assert told["dew_point_min"].number() == told["unwrap_min"].number() == 0
    assert told["coat_min"].number() > 0


def test_nothing_is_coated_before_it_is_unwrapped():
    told = asked(rh=0.75, coat_at=12.0)
    assert told["coat_min"].number() == told["unwrap_min"].number() > 0


def test_defaults_are_told_as_such():
    told = asked(margin=None, coat_at=None)
    assert told["coat_at_c"].number() == 21.0
    assert told["unwrap_min"].number() == asked()["unwrap_min"].number()
    assert told["coat_at_c"].mark == "guess"


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        ({"first": 22.0}, "as warm as the room"),
        ({"later": 21.9}, "as warm as the room"),
        ({"later": 4.2}, "too little to tell"),
        ({"later": 1.0}, "too little to tell"),
        ({"after": 0.0}, "cannot be"),
        ({"after": 20000.0}, "cannot be"),
        ({"rh": 0.95}, "never gets there"),
        ({"coat_at": 22.0}, "never gets there"),
        ({"margin": -1.0}, "below 0 K"),
    ],
)
def test_readings_that_say_nothing_are_refused(wrong, words):
    with pytest.raises(Refusal, match=words):
        asked(**wrong)
