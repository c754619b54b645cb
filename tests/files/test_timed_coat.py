"""Timed coats and events: what a film weighs, what a hand file keeps."""

import tomllib
from pathlib import Path

import pytest

from lacwright.drying import AIR, STEP, TOLERANCE, prior
from lacwright.figures import Figure, Learned, Mark
from lacwright.files import reference
from lacwright.files.own import read_own
from lacwright.files.timed_coat import EventTable, TimedTable, observation

DOC = Path(__file__).parents[2] / "docs/reference/timed-coat.md"
PANEL = """\
name = "panel 3"
date = 2027-02-01
cut = 2
alcohol = "ethanol-190"
temp = "68 F"
rh = "45 %"
wood = "maple"
thickness = "20 mm"
size = "100x100 mm"
"""


def table(text, model=TimedTable):
    row, wrong = observation(model, tomllib.loads(PANEL + text), "[[timed]] 1")
    assert wrong == []
    assert row is not None
    return row


@pytest.mark.parametrize(
    ("film", "wet_um", "off"),
    [
        ('wet = "4 mil"', 101.6, 1e-9),
        ('used = "1 ml"', 100.0, 1e-9),
        # By hand: 239.7 g of resin of 1.14 g/ml and 1000 ml of 0.8114 g/ml in 1210 ml weigh
        # 0.8685 g/ml, so 0.86 g on 0.01 m2 lie 99.0 um thick. The density of 92.4 % ethanol is
        # good to a few units in the fourth digit.
        ('weighed = "0.86 g"', 99.0, 0.3),
        ('before = "112.40 g"\nafter = "113.26 g"', 99.0, 0.3),  # a panel gains
        ('before = "113.26 g"\nafter = "112.40 g"', 99.0, 0.3),  # a jar loses
    ],
)
def test_the_wet_film_is_told_in_four_ways(film, wet_um, off):
    timed = table(f'{film}\ntouch_dry = "9 min"').timed()
    assert timed.coat.wet_um == pytest.approx(wet_um, abs=off)


def test_it_is_read_into_what_the_model_takes():
    timed = table(
        'wet = "100 um"\ntouch_dry = "9 min"\nrecoat = "1 h"\nair = "draught"\n'
        'below = ["100 um 6 h ago", "pad 1-lb 1 day ago"]'
    ).timed()
    assert timed.touch_dry_s == pytest.approx(540)
    assert (timed.late_s, timed.late) == (pytest.approx(3600), "recoat")
    assert timed.source == "panel 3, 2027-02-01"
    assert timed.board.length_m == pytest.approx(0.1)  # the panel's
    assert (timed.air.temp_c, timed.air.speed_m_s) == (pytest.approx(20), 0.5)
    assert [u.age_s for u in timed.under] == [86400, 21600]
    assert [u.coat.cut_lb_per_gal for u in timed.under] == [1, 2]


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ('touch_dry = "9 min"', "the wet film must be said once"),
        ('wet = "1 mil"\nused = "1 ml"\ntouch_dry = "9 min"', "the wet film must be said once"),
        ('before = "1 g"\ntouch_dry = "9 min"', "one weighing tells nothing"),
        ('before = "1 g"\nafter = "1 g"\ntouch_dry = "9 min"', "nothing was laid"),
        ('wet = "1 mil"\narea = "1 m2"\ntouch_dry = "9 min"', "the area is said twice"),
        ('wet = "1 mil"', "touch_dry: it is missing"),
        ('wet = "9 mm"\ntouch_dry = "9 min"', "[[timed]] 1 wet: 9000 um is outside"),
        ('wet = "1 mil"\ntouch_dry = "9 min"\nbelow = ["a coat"]', "how long ago"),
    ],
)
def test_odd_tables_are_refused(text, words):
    row, wrong = observation(TimedTable, tomllib.loads(PANEL + text), "[[timed]] 1")
    assert row is None
    assert words in str(wrong[0])


KEPT = "[[hand.timed]]\n" + PANEL + 'wet = "100 um"\ntouch_dry = "7 min"\n'
EVENT = "[[hand.event]]\n" + PANEL + 'wet = "100 um"\nwhitened = true\n'


def hand(text):
    return read_own(tomllib.loads(text)["hand"], "hand file")


def test_kept_observations_are_learned_without_computing_a_coat():
    made, wrong = hand(
        KEPT + "says = { air = 1.2, diffusion = 0.43 }\n" + EVENT + "says = { tolerance = 0.5 }\n"
    )
    assert wrong == []
    air, step, water = (made.own[name] for name in (AIR, STEP, TOLERANCE))
    assert isinstance(air, Learned)
    assert [(s.value, s.source) for s in air.seen] == [(1.2, "panel 3, 2027-02-01")]
    # By hand: precisions 1/0.3112^2 and 1/0.10^2 of the logarithms 0 and ln 1.2 give 1.180.
    assert air.posterior()[0] == pytest.approx(1.180, abs=0.001)
    assert isinstance(step, Learned)
    assert isinstance(water, Learned)
    assert water.posterior()[0] < prior(TOLERANCE).mid  # it whitened below


def test_two_of_a_kind_add_up():
    made, wrong = hand(2 * (KEPT + "says = { air = 1.2 }\n"))
    assert wrong == []
    air = made.own[AIR]
    assert isinstance(air, Learned)
    assert len(air.seen) == 2
    assert STEP not in made.own


@pytest.mark.parametrize(
    ("text", "words"),
    [
        (KEPT, "not reckoned yet"),
        (EVENT + "says = { air = 1.2 }\n", "not reckoned yet"),
        ("[hand]\ndrying.air = 1.3\n" + KEPT + "says = { air = 1.2 }\n", "keep one of them"),
        ("[hand]\ndrying.air = 130\n", "outside 0.05 to 20"),
        ("[hand]\ndrying.diffusion = 4\n", "outside"),
        ("[hand]\ntimed = 3\n", "is not a list of tables"),
        ("[hand]\ndrying.wind = 3\n", "no own figure is called 'drying.wind'"),
    ],
)
def test_what_a_hand_file_cannot_hold(text, words):
    _, wrong = hand(text)
    assert words in "\n".join(map(str, wrong))


def test_a_plain_value_is_his_own():
    made, wrong = hand("[hand.drying]\nair = { value = 1.3, low = 1.1, high = 1.5 }\n")
    assert wrong == []
    air = made.own[AIR]
    assert isinstance(air, Figure)
    assert (air.value, air.low, air.high, air.mark) == (1.3, 1.1, 1.5, Mark.OWN)


def test_an_event_says_whether_it_whitened():
    assert table('wet = "100 um"\nwhitened = false', EventTable).event().whitened is False


def test_the_description_of_the_file_is_up_to_date():
    text = DOC.read_text(encoding="utf-8")
    assert reference.filled(text) == text, "run python -m lacwright.files.reference on it"
