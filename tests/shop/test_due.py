"""What is due: the calendar says when to test, a test goes before it."""

import datetime as dt

from lacwright.shop.ledger import grams, millilitres
from lacwright.shop.verdict import Times


def told(bench, day):
    from lacwright.shop.queries.due import due

    return [(d.what, d.kind, d.name) for d in due(at_us=bench.us(day))]


def test_jars_come_due_by_what_is_in_them(bench):
    # Common practice, no source: a test is due after 12 months for waxed garnet, 6 for bleached;
    # young below 0.3 of it, too old above 2.5 times.
    bench.shelf()
    bench.flakes("pale", grade="bleached", bought=dt.date(2027, 3, 1))
    bench.mix("garnet jar", 2, 100, 400)
    bench.mix("pale jar", 2, 100, 400, flakes="pale")
    assert told(bench, 30) == []
    # 100 days: 3.3 of 6 months for the pale, 3.3 of 12 for the garnet.
    assert told(bench, 102) == [("test if it matters", "jar", "pale jar")]
    assert told(bench, 202)[0] == ("test", "jar", "pale jar")
    # A blend of both keeps no longer than the pale.
    bench.blend("blend", 3, ("garnet jar", millilitres(50)), ("pale jar", millilitres(5)))
    assert ("test", "jar", "blend") in told(bench, 202)


def test_a_passed_test_goes_before_the_calendar_for_four_weeks(bench):
    from lacwright.shop.queries.due import due
    from lacwright.shop.services.proving import record_test

    bench.shelf()
    bench.mix("J1", 2, 100, 400)
    late = 400
    assert told(bench, late)[0] == ("test", "jar", "J1")
    entry = bench.at(late, now_us=bench.us(late))
    record_test(of_kind="jar", of="J1", test="drying", jar=Times(10, 90, 1200), entry=entry)
    assert told(bench, late + 20) == []  # a proposal of this program: 28 days
    (again,) = due(at_us=bench.us(late + 40))
    assert (again.what, again.name, again.days) == ("test", "J1", 438)


def test_failed_first_then_running_then_old(bench):
    from lacwright.shop.services.proving import record_test

    bench.flakes("old bag", grade="bleached", bought=dt.date(2026, 1, 1))
    bench.flakes("undated", opening=True)
    bench.alcohol("spirit")
    for jar in ("J1", "J2"):
        bench.mix(jar, 2, 10, 50, flakes="undated")
    bench.test("J1", 5, good=False)
    record_test(of_kind="jar", of="J2", test="drying", jar=Times(12), entry=bench.at(5))
    assert told(bench, 6) == [
        ("discard", "jar", "J1"), ("go on with the test", "jar", "J2"),
        # 14 months of 9 for dry bleached flakes; of the other bag neither date nor test is known.
        ("test", "lot", "old bag"), ("test", "lot", "undated"),
    ]  # fmt: skip


def test_what_is_empty_or_washed_out_is_not_due(bench):
    from lacwright.shop.services.jars import discard_jar, pour
    from lacwright.shop.services.lots import count_lot

    bench.flakes("bag", grade="bleached", bought=dt.date(2025, 1, 1))
    bench.alcohol("spirit")
    bench.mix("J1", 2, 10, 50, flakes="bag")
    bench.mix("J2", 2, 10, 50, flakes="bag")
    assert len(told(bench, 300)) == 3
    discard_jar(jar="J1", entry=bench.at(3))
    pour(jar="J2", to_kind="waste", amount={"u": "all"}, entry=bench.at(3))
    count_lot(name="bag", amount=grams(0), entry=bench.at(3))
    assert told(bench, 300) == []


def test_due_lists_ask_as_many_questions_for_many_jars_as_for_few(bench, django_queries):
    from lacwright.shop.queries.due import due

    bench.shelf()

    def asked(n):
        bench.mix(f"J{n}", 2, 10, 50)
        with django_queries() as queries:
            due(at_us=bench.us(300))
        return len(queries)

    assert asked(1) == asked(2) == asked(3)


def test_a_jar_nobody_knows_the_age_of_is_tested_first(bench):
    from lacwright.shop.queries.due import due
    from lacwright.shop.services.jars import fill_jar

    fill_jar(jar="old", amount=millilitres(300), opening=True, entry=bench.at(2))
    fill_jar(jar="tin", amount=millilitres(300), claimed_cut=2, grade="amber", opening=True,
             bought=dt.date(2026, 3, 2), entry=bench.at(2))  # fmt: skip
    found = {d.name: d for d in due(at_us=bench.us(3))}
    assert found["old"].word == "neither date nor test is known"
    assert found["old"].by is None
    # Bought a year before: amber is waxed as a rule, a test is due after 12 months.
    assert found["tin"].days == 366
    bench.test("old", 4, good=True)
    assert "old" not in {d.name for d in due(at_us=bench.us(5))}
