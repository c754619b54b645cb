from datetime import date, timedelta

import pytest

from lacwright.figures import Refusal
from lacwright.solution import DatedTest, Period, age, ageing_factor, equivalent_days

MIXED = date(2025, 1, 1)


def test_periods_add_up_and_the_rest_is_at_the_store():
    summer = Period(date(2025, 6, 1), date(2025, 9, 1), 30.0)
    days = equivalent_days(mixed=MIXED, on=date(2026, 1, 1), periods=[summer], q10=2.2)
    assert days == pytest.approx(365 - 92 + 92 * 2.2)
    # What lies before mixing or after the day asked for does not count.
    wide = Period(date(2020, 1, 1), date(2030, 1, 1), 30.0)
    assert equivalent_days(mixed=MIXED, on=date(2025, 1, 11), periods=[wide], q10=2.0) == 20.0


def test_words_are_about_testing():
    ages = [age(kind="waxed", mixed=MIXED, on=on) for on in
            (date(2025, 2, 1), date(2025, 8, 1), date(2026, 6, 1), date(2029, 1, 1))]  # fmt: skip
    assert [a.word for a in ages] == [
        "young", "test if the surface matters", "test before any use",
        "too old to trust untested",
    ]  # fmt: skip
    shares = [a.share for a in ages]
    assert all(s.low < s.value < s.high for s in shares)
    assert all(s.working.evaluate() == pytest.approx(s.value) for s in shares)


def test_a_passed_test_goes_before_the_calendar_for_its_time():
    test = DatedTest(date(2028, 12, 20), True)
    found = age(kind="waxed", mixed=MIXED, on=date(2029, 1, 1), test=test)
    assert found.word == "passed its test"
    assert found.good_until == date(2029, 1, 17)
    later = age(kind="waxed", mixed=MIXED, on=date(2029, 2, 1), test=test)
    assert later.word == "test before any use"
    warm = age(kind="waxed", mixed=MIXED, on=date(2029, 1, 1), temp_c=30.0, test=test)
    assert warm.good_until < found.good_until


def test_a_failed_test_stands():
    found = age(kind="waxed", mixed=MIXED, on=date(2025, 2, 1),
                test=DatedTest(date(2025, 1, 20), False))  # fmt: skip
    assert found.word == "failed its test"
    assert found.good_until is None


def test_the_day_of_the_test_is_nearer_in_the_warm():
    on = date(2025, 3, 1)
    cool, warm = (age(kind="bleached", mixed=MIXED, on=on, temp_c=t).test_by for t in (15.0, 28.0))
    assert warm < cool


def test_refusals():
    with pytest.raises(Refusal, match="not mixed yet"):
        age(kind="waxed", mixed=MIXED, on=date(2024, 1, 1))
    with pytest.raises(Refusal, match="did you mean 'waxed'"):
        age(kind="waxd", mixed=MIXED, on=MIXED)
    with pytest.raises(Refusal, match="overlap"):
        equivalent_days(mixed=MIXED, on=date(2026, 1, 1), periods=[
            Period(date(2025, 2, 1), date(2025, 4, 1), 25.0),
            Period(date(2025, 3, 1), date(2025, 5, 1), 25.0)])  # fmt: skip
    with pytest.raises(Refusal, match="before it starts"):
        equivalent_days(mixed=MIXED, on=date(2026, 1, 1),
                        periods=[Period(date(2025, 4, 1), date(2025, 3, 1), 25.0)])  # fmt: skip
    with pytest.raises(Refusal, match="before the mixing"):
        equivalent_days(mixed=MIXED, on=date(2026, 1, 1),
                        periods=[Period(date(2024, 5, 1), date(2024, 9, 1), 28.0)])  # fmt: skip
    with pytest.raises(Refusal, match="no place"):
        ageing_factor(temp_c=90.0)
    with pytest.raises(Refusal, match="does not lie between"):
        age(kind="waxed", mixed=MIXED, on=date(2025, 2, 1),
            test=DatedTest(date(2025, 3, 1), True))  # fmt: skip


def test_the_day_to_test_walks_the_periods_from_the_mixing_on():
    warm = Period(date(2025, 2, 1), date(2026, 6, 1), 40.0)
    found = age(kind="waxed", mixed=MIXED, on=date(2025, 6, 1), periods=[warm])
    # 31 days at 20 C, then 12 months less those at 2.2 ** 2 = 4.84 times the rate: 69.06 days.
    assert found.test_by == date(2025, 2, 1) + timedelta(days=69)
    for on in (MIXED, date(2025, 3, 1), date(2030, 1, 1)):
        assert age(kind="waxed", mixed=MIXED, on=on, periods=[warm]).test_by == found.test_by
    # On that day the jar is as old as the time to test, to a day at 40 C.
    there = age(kind="waxed", mixed=MIXED, on=found.test_by, periods=[warm])
    assert there.share.value == pytest.approx(1.0, abs=5 / 365)
    cold = Period(date(2025, 2, 1), date(2026, 2, 1), 0.0)
    later = age(kind="waxed", mixed=MIXED, on=date(2025, 6, 1), periods=[cold]).test_by
    left = 12 * 365.25 / 12 - 31 - 365 / 2.2**2
    assert later == date(2026, 2, 1) + timedelta(days=int(left))


def test_the_band_of_the_share_holds_both_bands():
    found = age(kind="waxed", mixed=MIXED, on=date(2026, 1, 1), temp_c=30.0)
    share, spans, life = found.share, found.equivalent_days, found.time_to_test
    for near, one, other in (
        (share.high / share.value, spans.high / spans.value, life.value / life.low),
        (share.value / share.low, spans.value / spans.low, life.high / life.value),
    ):
        assert max(one, other) < near < one * other
    # At 20 C Q10 has no say: the band is that of the time to test alone.
    plain = age(kind="waxed", mixed=MIXED, on=date(2026, 1, 1))
    assert plain.share.low == pytest.approx(plain.share.value * life.value / life.high)
    assert age(kind="waxed", mixed=MIXED, on=MIXED).share.high == 0.0


@pytest.mark.parametrize("kind", ["bleached", "flakes-waxed"])
@pytest.mark.parametrize("days", [0, 1, 31, 400, 1999])
def test_the_bare_share_is_that_of_the_figure_to_the_last_bit(kind, days):
    summers = [Period(date(2025, 7, 1), date(2025, 9, 1), 27.5),
               Period(date(2025, 12, 1), date(2026, 1, 15), 3.0)]  # fmt: skip
    for periods in ([], summers):
        found = age(kind=kind, mixed=MIXED, on=MIXED + timedelta(days), temp_c=18.7,
                    periods=periods)  # fmt: skip
        assert found.share_of_time == found.share.number()
        assert found.calendar_days == days
        assert found.share.working.evaluate() == found.share_of_time
