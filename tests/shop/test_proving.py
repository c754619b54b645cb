"""Tests on glass and in alcohol: the verdict, what it shuts, what is suspected instead."""

import pytest

from lacwright.figures import Refusal
from lacwright.shop.ledger import grams, millilitres
from lacwright.shop.verdict import (
    CONTROL_FAILED,
    FAILED,
    NOT_JUDGED,
    PASSED,
    RUNNING,
    Limits,
    Times,
    judge_dissolving,
    judge_drying,
    judge_water_spot,
)

# Common practice, no source: tack-free in 15 min, no nail mark at 2 h, powder at 24 h, at 20 to
# 25 C and below 60 %.
LIMITS = Limits(15, 120, 1440, 20, 25, 0.6)
GOOD = Times(8, 80, 1000)
ROOM = {"temp_c": 21.0, "rh": 0.5}


def judged(jar, control=GOOD, **room):
    return judge_drying(jar=jar, control=control, limits=LIMITS, **{**ROOM, **room})


@pytest.mark.parametrize(
    ("jar", "word"),
    [
        (Times(15, 120, 1440), PASSED),  # at the limit is in time
        (Times(16, 100, 1400), FAILED),
        (Times(10, 130, 1400), FAILED),
        (Times(10, 100, 1500), FAILED),
        (Times(seen_min=10), RUNNING),  # not yet, and the limit has not come
        (Times(seen_min=45), FAILED),  # "not yet after 45 min" is a state of its own
        (Times(10, seen_min=60), RUNNING),
        (Times(10, 90), RUNNING),  # the last stage has time left
        (Times(10, 90, seen_min=1440), FAILED),  # gums at 24 h
        (Times(nail_min=12, powder_min=900), PASSED),  # it was tack-free by then
        (Times(), NOT_JUDGED),
    ],
)
def test_the_verdict_follows_from_times_and_limits(jar, word):
    assert judged(jar).word == word


def test_a_late_jar_beside_a_control_in_time_is_the_jar():
    said = judged(Times(seen_min=45))
    assert said.says == ("It was still tacky after 45 min (limit 15 min).",
                         "The control beside it was in time: it is the jar.")  # fmt: skip


def test_a_late_control_clears_the_jar_and_says_what_to_suspect():
    said = judged(Times(seen_min=45), Times(seen_min=45), temp_c=14.0)
    assert said.word == CONTROL_FAILED
    told = " ".join(said.says)
    for suspect in ("says nothing about the jar", "14 C", "alcohol", "flakes", "glass"):
        assert suspect in told


def test_a_control_that_still_has_time_is_waited_for():
    said = judged(Times(seen_min=130), Times(10, seen_min=100))
    # Tacky at 130 min: the jar is late at the first stage, where the control was in time.
    assert said.word == FAILED
    late = judged(Times(10, seen_min=130), Times(10, seen_min=100))
    # Nail: late in the jar, not yet due in the control.
    assert late.word == RUNNING
    assert late.look_min == 120


def test_without_a_control_a_cold_room_says_nothing():
    assert judged(Times(seen_min=45), None).word == FAILED
    assert judged(Times(seen_min=45), None, temp_c=14.0).word == NOT_JUDGED
    assert judged(Times(seen_min=45), None, rh=0.75).word == NOT_JUDGED
    assert judged(Times(10, 90, 1000), None, temp_c=14.0).word == PASSED


@pytest.mark.parametrize(
    "times", [{"tack_free_min": 20, "nail_min": 10}, {"tack_free_min": -1}, {"nail_min": 1e9},
              {"powder_min": 1000, "seen_min": 900}],
)  # fmt: skip
def test_times_in_the_wrong_order_are_refused(times):
    with pytest.raises(Refusal):
        Times(**times)


def test_flakes_are_looked_at_again_before_they_are_rejected():
    # Common practice, no source: 24 h, again at 48 h.
    def said(hours, dissolved):
        return judge_dissolving(hours=hours, dissolved=dissolved, first_h=24, again_h=48)

    assert said(20, True).word == PASSED
    assert said(20, False).word == RUNNING
    again = said(24, False)
    assert (again.word, again.look_min) == (RUNNING, 48 * 60)
    assert said(48, False).word == FAILED
    assert said(40, True).word == PASSED


def test_a_young_film_marks_anyway():
    def said(**more):
        asked = {"hours": 2, "white": True, "film_days": 7, "least_h": 1, "least_days": 7, **more}
        return judge_water_spot(**asked).word

    assert said(white=False) == PASSED
    assert said(white=False, hours=0.5) == RUNNING
    assert said(film_days=3) == NOT_JUDGED
    assert said(film_days=None) == NOT_JUDGED


def test_a_white_water_spot_alone_shuts_nothing_and_says_what_decides(bench):
    # Common practice, no source: water whitens many a sound film of shellac.
    from lacwright.shop.models import Jar
    from lacwright.shop.queries.proving import quarantine
    from lacwright.shop.services.proving import record_test

    bench.shelf()
    bench.mix("J1", 2, 120, 500)
    told = record_test(of_kind="jar", of="J1", test="water-spot", entry=bench.at(12),
                       result={"hours": 2, "white": True, "film_days": 8}).data  # fmt: skip
    assert told["verdict"] == NOT_JUDGED
    assert "a drop on glass beside a drop of a fresh mix" in " ".join(told["says"])
    assert quarantine(Jar.objects.get(key="J1")) is None


def test_a_failed_test_shuts_the_jar_and_a_later_pass_opens_it(bench):
    from lacwright.shop.models import Jar
    from lacwright.shop.queries.proving import quarantine
    from lacwright.shop.services.jars import pour

    bench.shelf()
    bench.mix("J1", 2, 120, 500)
    jar = Jar.objects.get(key="J1")
    assert bench.test("J1", 10, good=False).data["verdict"] == FAILED
    shut = quarantine(jar)
    assert shut is not None
    assert shut.words(bench.NOW.tzinfo) == "failed its drying test of 2027-03-10"
    with pytest.raises(Refusal, match=r"failed its drying test of 2027-03-10 and is shut.*discard"):
        bench.blend("B", 11, ("J1", millilitres(50)))
    pour(jar="J1", to_kind="waste", amount=millilitres(50), entry=bench.at(11))  # that it may
    # A pour of the days before, handed in late, was not wrong then.
    bench.blend("early", 9, ("J1", millilitres(50)))
    bench.test("J1", 12, good=True)
    assert quarantine(jar) is None
    assert quarantine(jar, at_us=bench.us(11)) is not None
    bench.blend("B", 13, ("J1", millilitres(50)))


def test_a_late_control_shuts_nothing(bench):
    from lacwright.shop.models import Jar
    from lacwright.shop.queries.proving import quarantine
    from lacwright.shop.services.proving import record_test

    bench.shelf()
    bench.mix("J1", 2, 120, 500)
    told = record_test(
        of_kind="jar",
        of="J1",
        test="drying",
        jar=Times(seen_min=60),
        control=Times(seen_min=60),
        temp_c=16,
        rh=0.7,
        entry=bench.at(10),
    ).data
    assert told["verdict"] == CONTROL_FAILED
    assert quarantine(Jar.objects.get(key="J1")) is None


def test_what_is_seen_later_goes_on_with_the_running_test(bench):
    from lacwright.shop.models import Event
    from lacwright.shop.services.proving import record_test

    def looked(hour, jar=None, control=None):
        return record_test(of_kind="jar", of="J1", test="drying", jar=jar, control=control,
                           entry=bench.at(10, hour)).data  # fmt: skip

    bench.shelf()
    bench.mix("J1", 2, 120, 500)
    first = looked(9, Times(12), Times(9))
    assert (first["verdict"], first["look_min"]) == (RUNNING, 120)
    assert looked(11, Times(nail_min=100), Times(nail_min=95))["went_on"]
    last = looked(33, Times(powder_min=1300), Times(powder_min=1200))
    assert last["verdict"] == PASSED
    assert last["jar"] == {"tack_free_min": 12, "nail_min": 100, "powder_min": 1300,
                           "seen_min": None}  # fmt: skip
    assert Event.objects.filter(kind="test").count() == 1
    assert not looked(40, Times(12))["went_on"]  # that one is decided: another begins


def test_own_limits_count_from_then_on_and_old_verdicts_stay(bench):
    from lacwright.shop.models import Setting
    from lacwright.shop.services.amend import undo
    from lacwright.shop.services.proving import limits_now, set_own

    bench.shelf()
    bench.mix("J1", 2, 120, 500)
    old = bench.test("J1", 10, good=True)
    made = set_own(name="test.tack_free", text="9 min", entry=bench.at(11))
    assert Setting.objects.get(key="own.test.tack_free").value == {
        "value": 0.15, "unit": "h", "said": "9 min"}  # fmt: skip
    assert limits_now()["tack_free_min"] == pytest.approx(9)
    new = bench.test("J1", 12, good=True)
    assert (old.data["verdict"], new.data["verdict"]) == (PASSED, FAILED)  # 10 min, both
    assert new.data["limits"]["tack_free_min"] == pytest.approx(9)
    from lacwright.shop.models import Event

    kept = Event.objects.get(root=old.movement).movement.body
    assert (kept["verdict"], kept["limits"]["tack_free_min"]) == (PASSED, 15)
    undo(movement=made.movement, entry=bench.at(13))
    assert limits_now()["tack_free_min"] == 15
    with pytest.raises(Refusal, match="no figure of your own"):
        set_own(name="test.tack_free", text="", entry=bench.at(14))
    with pytest.raises(Refusal, match=r"test\.tack_free"):
        set_own(name="test.tack_free", text="a while", entry=bench.at(14))


def test_flakes_that_do_not_dissolve_are_shut(bench):
    from lacwright.shop.queries.shelf import lots
    from lacwright.shop.services.proving import record_test

    bench.shelf()
    told = record_test(
        of_kind="lot",
        of="garnet",
        test="dissolve",
        result={"hours": 24, "dissolved": False},
        entry=bench.at(4),
    ).data
    assert told["verdict"] == RUNNING
    record_test(of_kind="lot", of="garnet", test="dissolve",
                result={"hours": 48, "dissolved": False}, entry=bench.at(5))  # fmt: skip
    assert [line.word for line in lots(at_us=bench.us(6)) if line.lot.key == "garnet"] == [
        "failed its test"]  # fmt: skip
    with pytest.raises(Refusal, match="lot 'garnet' failed its dissolve test"):
        bench.mix("J1", 6, 10, 50)
    with pytest.raises(Refusal, match="one of flakes"):
        record_test(of_kind="lot", of="spirit", test="dissolve",
                    result={"hours": 24, "dissolved": True}, entry=bench.at(6))  # fmt: skip


def test_a_dried_sample_stands_beside_the_cut_of_the_book(bench):
    from lacwright.shop.services.amend import amend
    from lacwright.shop.services.proving import record_test

    bench.shelf()
    bench.mix("J1", 2, 120, 500)
    made = record_test(of_kind="jar", of="J1", test="residue",
                       result={"sample_g": 5.0, "dry_g": 1.0}, entry=bench.at(3))  # fmt: skip
    told = made.data
    # 1 g in 4 g of alcohol at 0.81135 g/ml: 0.25 * 811.35 / 119.82643 = 1.69276 lb/gal.
    assert told["result"]["cut_lb_per_gal"] == pytest.approx(1.69276, rel=1e-4)
    assert told["result"]["book_cut_lb_per_gal"] == pytest.approx(2.0029, rel=1e-4)
    assert told["verdict"] == NOT_JUDGED
    bench.blend("B", 4, ("J1", grams(100)))
    amend(movement=made.movement, changes={"result": {**told["result"], "dry_g": 1.1}},
          entry=bench.at(5))  # fmt: skip
    from lacwright.shop.models import Event

    again = Event.objects.get(root=made.movement).movement.body["result"]
    # 1.1 / 3.9 * 811.35 / 119.82643 = 1.90978; the book stays as it stood on the third.
    assert again["cut_lb_per_gal"] == pytest.approx(1.90978, rel=1e-4)
    assert again["book_cut_lb_per_gal"] == pytest.approx(2.0029, rel=1e-4)


def test_a_test_is_made_of_the_right_thing(bench):
    from lacwright.shop.services.proving import record_test

    bench.shelf()
    bench.mix("J1", 2, 120, 500)
    with pytest.raises(Refusal, match="not made of a jar"):
        record_test(of_kind="jar", of="J1", test="dissolve", entry=bench.at(3))
    with pytest.raises(Refusal, match="nothing is said of the drop"):
        record_test(of_kind="jar", of="J1", test="drying", entry=bench.at(3))
    with pytest.raises(Refusal, match="did you mean 'drying'"):
        record_test(of_kind="jar", of="J1", test="driying", entry=bench.at(3))
