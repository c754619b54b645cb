"""Every hard stop triggers by itself, and nothing is ever called harmless."""

import re

import pytest

from lacwright.room import Facts, FirstOrder, Room, Source, estimate, own_limit
from lacwright.trade import table

FIRST = FirstOrder(6.0)
READY = {"pilot_off": True, "sharing": (), "gloves": "butyl"}
HIGH = tuple(own_limit(s, ppm=5000, kind=k) for s in ("ethanol", "methanol", "n-butanol")
             for k in ("8h", "15min"))  # fmt: skip
ASSURANCE = re.compile(r"\b(safe|safely|harmless|OK|acceptable|compliant|non-hazardous|non-toxic|"
                       r"risk-free|guarantee)\b", re.IGNORECASE)  # fmt: skip


def source(grams=5.0, of="ethanol", at=0.0, **more):
    return Source(what="coat 1", start_h=at, grams={of: grams}, emission=FIRST, **more)


def told(*sources, volume=60.0, air=2.0, limits=HIGH, **facts):
    return estimate(sources or [source()], Room(volume, air), own_limits=limits,
                    facts=Facts(**{**READY, **facts}))  # fmt: skip


def codes(*args, **more):
    return {s.code for s in told(*args, **more).stops}


def test_at_its_best_no_stop_is_triggered_and_that_is_all_that_is_said():
    out = told()
    assert out.stops == ()
    assert out.cautions[0].code == "no-stop"
    assert out.cautions[0].text.startswith("No stop triggered by this estimate")


STOPS = {
    # Ten coats in a day: the air takes each away in time, and the bound counts on no air.
    "lel": {"sources": [source(50.0, at=2.0 * k) for k in range(10)], "air": 50.0},
    "spraying": {"sources": [source(sprayed=True)]},
    "ignition-sources": {"ignition": ("stove",)},
    "pilot-light": {"pilot_off": False},
    "enclosure": {"volume": 4.0, "sources": [source(0.1)]},
    "methanol": {"sources": [source(of="methanol")], "gloves": ""},
    "mixture": {"sources": [source(20.0)], "limits": [own_limit("ethanol", ppm=50)]},
    "short-term": {"sources": [source(20.0)], "limits": [own_limit("ethanol", ppm=50, kind="15min"),
                                                         own_limit("ethanol", ppm=5000)]},
    "people": {"sharing": ("a dog",)},
    "amount": {"sources": [source(liquid_ml=4001.0)]},
    "storage": {"stored_ml": 20000.0, "storage_limit_ml": 10000.0},
    "rag-plan": {"oils": ("linseed oil",)},
    "steel-wool-wet": {"wool_after_h": 0.5},
    "no-air-data": {"air": None},
}  # fmt: skip


@pytest.mark.parametrize("code", STOPS)
def test_a_stop_stands_where_its_reason_does_and_alone(code):
    how = dict(STOPS[code])
    assert codes(*how.pop("sources", [source()]), **how) == {code}


def test_a_closed_box_is_an_enclosure_whatever_its_size():
    assert codes(closed_box=True) == {"enclosure"}


def test_steel_wool_with_a_spark_in_the_room():
    assert "steel-wool-sparks" in codes(wool_after_h=48.0, ignition=("battery charger",))


def test_a_declared_booth_lifts_the_stop_and_the_cone_is_spoken_of_all_the_same():
    out = told(source(sprayed=True), booth=True)
    assert out.stops == ()
    cone = next(c.text for c in out.cautions if c.code == "spray-cone")
    assert "above the lower explosive limit" in cone
    assert "licensed engineer" in cone


def test_a_twentieth_of_the_lel_is_warned_of():
    # 60 m3 * 58.4 g/m3 * 0.07 = 245 g
    high = [own_limit("ethanol", ppm=90000, kind=kind) for kind in ("8h", "15min")]
    out = told(source(245.0 / 1.2), limits=high)
    assert "lel-warn" in {c.code for c in out.cautions}
    assert "lel" not in {s.code for s in out.stops}


@pytest.mark.parametrize("of", ["methanol", "unknown"])
def test_methanol_stops_as_an_unknown_alcohol_does(of):
    assert codes(source(of=of)) == set()
    assert codes(source(of=of), gloves="") == {"methanol"}
    assert "methanol" in codes(source(of=of), air=0.0)
    assert "methanol" in codes(source(50.0, of=of), limits=())
    out = told(source(of=of))
    assert {"cartridges", "emergency-methanol", "skin"} <= {c.code for c in out.cautions}


def test_the_limit_for_methanol_is_that_of_the_maker_or_the_file():
    stop = next(s for s in told(source(50.0, of="methanol"), limits=()).stops
                if s.code == "methanol")  # fmt: skip
    assert "is not below 200" in stop.text


def test_the_danger_to_life_counts_whatever_the_other_limits():
    # NIOSH 1994: 3,300 ppm for ethanol, a tenth of its LEL.
    out = told(source(300.0), limits=[own_limit("ethanol", ppm=90000),
                                      own_limit("ethanol", ppm=90000, kind="15min")])  # fmt: skip
    stop = next(s.text for s in out.stops if s.code == "short-term")
    assert "3300 (danger to life, us-niosh, published, 1994)" in stop


def test_the_cautions_belong_to_the_result():
    have = {c.code for c in told().cautions}
    assert {"model-only", "wet-surface", "odour", "limits", "lel-not-health", "one-room",
            "emergency-fire", "ignition", "warm", "eyes-skin", "standing"} <= have  # fmt: skip
    assert told().cautions[-1].code == "standing"
    assert "children-not-said" not in have
    assert "children-not-said" in {c.code for c in told(sharing=None).cautions}


def test_a_rag_plan_lifts_its_stop():
    out = told(oils=("linseed oil",), rag_plan="water-filled can")
    assert out.stops == ()
    assert "rags-oily" in {c.code for c in out.cautions}


def test_slow_alcohols_speak_of_eyes_and_of_their_own_limits():
    have = {c.code for c in told(source(of="slow")).cautions}
    assert {"slow-alcohol-eyes", "slow-alcohol-limits"} <= have


def test_nothing_is_an_assurance():
    for name in ("room_cautions", "room_constants", "room_unknown"):
        for row in table(name):
            for cell in row.fields.values():
                assert not ASSURANCE.search(cell), cell


def test_no_mask_glove_time_or_fan_is_recommended():
    words = " ".join(row.text("text") for row in table("room_cautions")).lower()
    assert "respirator" not in words
    assert "minutes of wear" not in words
    assert "a mask is no way round ventilation" in words
