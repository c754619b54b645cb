"""What holds something that failed its test: said wherever it is used, shown or due."""

import pytest

from lacwright.figures import Refusal
from lacwright.shop.ledger import grams, millilitres


def taints(jar):
    from lacwright.shop.models import Jar
    from lacwright.shop.queries.tainted import taints as found

    return [(t.kind, t.name, t.proved_us is not None) for t in found(Jar.objects.get(key=jar))]


def line(jar):
    from lacwright.shop.models import Jar
    from lacwright.shop.queries.shelf import jar_line

    return jar_line(Jar.objects.get(key=jar))


@pytest.fixture
def blended(bench):
    """J1 passes, is blended into B, B into C, and fails; what is in early came before it passed."""
    from lacwright.shop.services.pieces import add_piece

    bench.shelf()
    for jar in ("J1", "J2"):
        bench.mix(jar, 2, 120, 500)
    bench.blend("early", 3, ("J1", millilitres(20)), ("J2", millilitres(20)))
    bench.test("J1", 5, good=True)
    bench.blend("B", 6, ("J1", millilitres(100)), ("J2", millilitres(100)))
    bench.blend("C", 7, ("B", millilitres(50)), ("J2", millilitres(50)))
    add_piece(name="table", areas_m2={"": 0.5}, entry=bench.at(1, 8))
    bench.test("J1", 10, good=False)
    return bench


def lay(bench, day, **more):
    from lacwright.shop.services.coats import lay_coat

    told = {"piece": "table", "method": "brush", "used_ml": 20, "entry": bench.at(day), **more}
    return lay_coat(**told)


def test_the_taint_goes_through_blends_from_the_last_passed_test(blended):
    assert taints("B") == taints("C") == [("jar", "J1", False)]
    assert taints("early") == taints("J2") == taints("J1") == []
    assert line("C").word == "holds some of what failed its test"
    assert line("early").word == ""


def test_one_line_and_the_whole_shelf_say_the_same(blended):
    from lacwright.shop.queries import shelf

    whole = {row.jar.key: [t.name for t in row.taints] for row in shelf.jars()}
    assert whole == {jar: [t.name for t in line(jar).taints] for jar in whole}
    assert whole["C"] == ["J1"]


def test_a_coat_of_it_is_laid_and_the_failed_jar_named(blended):
    says = " ".join(lay(blended, 12, jar="C").data["says"])
    assert "Jar 'C' holds something of jar 'J1', which failed its drying test of 2027-03-10" in says
    assert "on the list of 'jar recall J1'" in says
    assert "beside a drop of a fresh mix" in says
    assert "recall" not in " ".join(lay(blended, 12, jar="J2").data["says"])


def test_a_passed_test_of_its_own_is_told_beside(blended):
    blended.test("C", 13, good=True)
    assert taints("C") == [("jar", "J1", True)]
    assert line("C").suspect == ()
    says = " ".join(lay(blended, 14, jar="C").data["says"])
    assert "itself passed its test of 2027-03-13" in says


def test_it_is_due_for_a_test_before_what_is_only_old(blended):
    from lacwright.shop.queries.due import due

    found = [(d.what, d.name) for d in due(at_us=blended.us(11))]
    assert found[:3] == [("discard", "J1"), ("test", "B"), ("test", "C")]


def test_pouring_and_mixing_from_it_say_so(blended):
    from lacwright.shop.services.jars import pour

    told = pour(jar="B", to_kind="jar", to_name="J2", amount=millilitres(5), entry=blended.at(12))
    assert "Jar B holds something of jar 'J1'" in " ".join(told.data["says"])
    mixed = blended.blend("D", 12, ("B", millilitres(10)))
    assert "Jar D holds something of jar 'J1'" in " ".join(mixed.data["says"])
    assert taints("J2") == [("jar", "J1", False)]


def test_a_pad_that_was_not_washed_out_says_so(blended):
    from lacwright.shop.services.applicators import add_applicator, wash_applicator

    add_applicator(name="pad", kind="pad", entry=blended.at(1, 8))
    lay(blended, 8, jar="B", applicator="pad", method="pad")
    says = " ".join(lay(blended, 12, jar="J2", applicator="pad", method="pad").data["says"])
    assert "'pad' carries something of jar 'J1'" in says
    wash_applicator(name="pad", entry=blended.at(13))
    says = " ".join(lay(blended, 14, jar="J2", applicator="pad", method="pad").data["says"])
    assert "carries something" not in says


def test_flakes_that_failed_are_named(blended):
    from lacwright.shop.services.proving import record_test

    record_test(of_kind="lot", of="garnet", test="dissolve",
                result={"hours": 50, "dissolved": False}, entry=blended.at(11))  # fmt: skip
    assert taints("J2") == [("lot", "garnet", False)]
    assert "lot 'garnet', which failed its dissolve test" in " ".join(
        lay(blended, 12, jar="J2").data["says"])  # fmt: skip


def test_good_stock_does_not_cure_a_shut_jar(blended):
    from lacwright.shop.services.jars import Take, add_to_jar, correct_jar, pour

    flakes = [Take("lot", "garnet", grams(10))]
    with pytest.raises(Refusal, match="fresh flakes or fresh alcohol do not cure it") as refusal:
        add_to_jar(jar="J1", takes=flakes, entry=blended.at(12))
    assert "--in-spite" in refusal.value.mend
    with pytest.raises(Refusal, match="do not cure it"):
        pour(jar="J2", to_kind="jar", to_name="J1", amount=millilitres(5), entry=blended.at(12))
    with pytest.raises(Refusal, match="do not cure it"):
        correct_jar(jar="J1", to_cut=1, lot="spirit", entry=blended.at(12))
    add_to_jar(jar="J1", takes=flakes, entry=blended.at(9))  # before it failed
    add_to_jar(jar="J1", takes=flakes, in_spite="to see", entry=blended.at(12))


def test_no_coat_leaves_a_list_silently(blended):
    from lacwright.shop.services.amend import amend, undo

    coat = lay(blended, 8, jar="B").movement
    says = amend(movement=coat, changes={"jar": "J2"}, entry=blended.at(12)).data["says"]
    assert any(f"1 coat (movement {coat}) is no longer on the list of what carries jar 'J1'" in s
               for s in says)  # fmt: skip
    says = amend(movement=coat, changes={"jar": "C"}, entry=blended.at(12)).data["says"]
    assert any("is now on the list of what carries jar 'J1'" in s for s in says)
    poured = blended.blend("E", 8, ("B", millilitres(10))).movement
    lay(blended, 9, jar="E")
    takes = [{"kind": "jar", "name": "J2", "amount": millilitres(10)}]
    says = amend(movement=poured, changes={"takes": takes}, entry=blended.at(12)).data["says"]
    assert any("no longer on the list" in s for s in says)
    assert undo(movement=coat, entry=blended.at(12)).data["says"] == []


def test_a_pass_from_before_a_bad_pour_offers_a_jar_to_no_plan(bench):
    from lacwright.shop.plan_link import plan_jar
    from lacwright.shop.services.jars import Take, add_to_jar

    bench.shelf()
    for jar in ("J1", "J2"):
        bench.mix(jar, 2, 120, 500)
        bench.test(jar, 3, good=True)
    add_to_jar(jar="J2", takes=[Take("jar", "J1", millilitres(20))], entry=bench.at(4))
    assert plan_jar(line("J2")).passed is True
    bench.test("J1", 5, good=False)
    lot = plan_jar(line("J2"))
    assert (lot.passed, lot.tested) == (None, None)
    assert plan_jar(line("J1")).passed is False
    bench.test("J2", 6, good=True)
    assert plan_jar(line("J2")).passed is True
