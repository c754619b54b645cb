"""The [room] table of a piece file."""

import pytest

from lacwright.figures import Refusal
from lacwright.files.room_table import room_of
from lacwright.files.room_words import read_air


def test_everything_that_is_said_is_read():
    spec, wrong = room_of({
        "volume": "60 m3", "air_changes": "one-window", "jurisdiction": "ontario",
        "limits": ["ethanol 500 ppm"], "lel": "ethanol 3.3 %", "session": "45 min",
        "pilot_off": True, "sharing": ["a dog"], "gloves": "butyl", "extra": "10 %", "factor": 5.0,
    })  # fmt: skip
    assert wrong == []
    assert (spec.volume_m3, spec.air.value, spec.jurisdiction) == (60, 0.5, "ca-on")
    assert spec.limits[0].ppm == 500
    assert spec.lel_percent == {"ethanol": 3.3}
    assert (spec.session_h, spec.extra_share, spec.mixing_factor) == (0.75, 0.1, 5)
    assert spec.facts.pilot_off
    assert spec.facts.sharing == ("a dog",)


def test_what_is_not_said_stays_not_said():
    spec, _ = room_of({})
    assert (spec.volume_m3, spec.air, spec.facts.sharing) == (None, None, None)
    assert room_of({"alone": True})[0].facts.sharing == ()


@pytest.mark.parametrize(
    ("table", "where"),
    [
        ({"volume": "60"}, "[room] volume"),
        ({"air_changes": "windy"}, "[room] air_changes"),
        ({"air_changes": True}, "[room] air_changes"),
        ({"jurisdiction": "moon"}, "[room] jurisdiction"),
        ({"limits": ["ethanol"]}, "[room] limits"),
        ({"lel": ["ethanol"]}, "[room] lel"),
        ({"emission": "slowly"}, "[room] emission"),
        ({"factor": 0.5}, "[room] factor"),
        ({"alone": True, "sharing": ["a dog"]}, "[room] alone"),
        ({"volumes": "60 m3"}, "[room] volumes"),
    ],
)
def test_what_is_wrong_is_said_at_its_key(table, where):
    _, wrong = room_of(table)
    assert [one.where for one in wrong] == [where]


def test_air_is_a_number_a_word_or_a_flow():
    assert read_air("0.5").unit == "1/h"
    assert read_air("closed").value == 0.2
    assert read_air("200 m3/h").unit == "m3/h"
    # 1 cubic foot a minute is 1.699 m3/h: 60 times 0.3048 m cubed.
    assert read_air("100 cfm").value == pytest.approx(169.9, abs=0.05)
    with pytest.raises(Refusal):
        read_air("much")
