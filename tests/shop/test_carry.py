"""The recall: what carries a jar, forward in time, and where a lot went."""

from decimal import Decimal

import pytest

from lacwright.shop.ledger import ALL, grams, millilitres


def recall(jar, **more):
    from lacwright.shop.models import Jar
    from lacwright.shop.queries import carry

    return carry.recall(Jar.objects.get(key=jar), **more)


def listed(found):
    """Return the coats on the list by piece."""
    return {p.name: [c.movement for c in p.coats] for p in (*found.pieces, *found.panels)}


@pytest.fixture
def trouble(bench):
    """J1 is laid, passes its test, is laid again, blended twice over, and fails."""
    bench.shelf()
    for piece in ("table", "box", "chair", "clean"):
        bench.piece(piece)
    bench.piece("board", kind="panel")
    bench.mix("J1", 2, 120, 500, entry=bench.at(2))
    bench.mix("J2", 2, 120, 500)
    bench.mix("J3", 2, 120, 500)
    coats = {"before": bench.coat(3, "J1", "table", millilitres(50), number=1)}
    bench.test("J1", 5, good=True)
    coats["after"] = bench.coat(6, "J1", "table", millilitres(50), number=2, parts=("top",))
    bench.blend("B", 7, ("J1", millilitres(100)), ("J2", millilitres(100)))
    coats["blend"] = bench.coat(8, "B", "box", millilitres(20))
    bench.blend("C", 9, ("B", millilitres(50)), ("J3", millilitres(100)))
    coats["second blend"] = bench.coat(10, "C", "board", millilitres(20))
    bench.blend("D", 11, ("C", millilitres(20)), ("J3", millilitres(20)))
    coats["third blend"] = bench.coat(12, "D", "chair", millilitres(20))
    coats["elsewhere"] = bench.coat(12, "J3", "clean", millilitres(20))
    coats["early"] = bench.coat(6, "J2", "clean", millilitres(20))
    bench.test("J1", 20, good=False)
    return coats


def test_it_goes_forward_through_three_blends_from_the_last_passed_test(bench, trouble):
    found = recall("J1", now_us=bench.us(21))
    assert listed(found) == {
        "table": [trouble["after"]], "box": [trouble["blend"]],
        "board": [trouble["second blend"]], "chair": [trouble["third blend"]],
    }  # fmt: skip
    assert [p.name for p in found.panels] == ["board"]
    assert {j.name for j in found.jars} == {"J1", "B", "C", "D"}
    assert found.left_out == 1
    assert found.since_words == "since its last passed test on 2027-03-05 12:00"
    # What is left in the blends is lost too; the fresh mix stands for J1 and the coats alone.
    assert [jar for jar, _ in found.replacement.beside] == ["B", "C", "D"]
    assert found.age_days == 19  # mixed on the second, looked at on the twenty-first
    chair = next(p for p in found.pieces if p.name == "chair").coats[0]
    assert chair.via == ("J1", "B", "C", "D")
    assert chair.way == ("jar J1", "jar B", "jar C", "jar D")
    assert (chair.jar, chair.what) == ("D", "coat")
    table = found.pieces[0].coats[0]
    assert (table.number, table.parts) == (2, ("top",))


def test_all_of_it_or_from_a_moment_on(bench, trouble):
    everything = recall("J1", everything=True)
    assert listed(everything)["table"] == [trouble["before"], trouble["after"]]
    assert everything.left_out == 0
    late = recall("J1", since_us=bench.us(8))
    # The blend B was poured on the seventh, before it went bad: it is clean.
    assert listed(late) == {}
    assert [j.name for j in late.jars] == ["J1"]
    assert late.left_out == 2


def test_the_list_does_not_depend_on_the_order_of_typing(bench, trouble):
    # A coat of the sixth, handed in at the very end, stands where it belongs.
    late = bench.coat(6, "J1", "chair", millilitres(10), hour=9)
    found = listed(recall("J1"))
    assert found["chair"] == [late, trouble["third blend"]]


def test_resin_and_value_that_are_lost_and_what_to_mix_anew(bench):
    bench.flakes("garnet", 1000, price=Decimal("50"))  # 0.05 a gram
    bench.alcohol("spirit")  # no price: said
    bench.piece("table")
    bench.mix("J1", 2, 120, 500)  # 525.675 g; 120 + 500 ml: 605.263 ml
    # A fifth of it, 105.135 g, is laid: 24 g of resin, a tenth of which is lost.
    bench.coat(3, "J1", "table", grams(105.135), lost_ppm=100_000)
    bench.test("J1", 20, good=False)
    found = recall("J1", now_us=bench.us(21))
    # 96 g are left in the jar, 21.6 g lie on the table.
    assert found.loss.resin_g == pytest.approx(117.6, rel=1e-5)
    assert found.loss.value == Decimal("5.88")
    assert found.loss.unpriced == ("spirit",)
    fresh = found.replacement
    # As much as there was: the fifth that was laid and the four fifths that are left.
    assert fresh.solution_ml == pytest.approx(605.263, rel=1e-5)
    assert fresh.cut == pytest.approx(2.0029, rel=1e-4)
    assert fresh.flakes == (("garnet", pytest.approx(120, rel=1e-5)),)
    assert fresh.alcohol_ml == pytest.approx(500, rel=1e-5)
    assert fresh.why_not is None


def test_the_fresh_mix_comes_from_a_good_lot_or_it_is_said_that_there_is_none(bench):
    from lacwright.shop.services.proving import record_test

    bench.shelf()
    bench.mix("J1", 2, 120, 500)
    bench.test("J1", 20, good=False)
    record_test(of_kind="lot", of="garnet", test="dissolve",
                result={"hours": 50, "dissolved": False}, entry=bench.at(20))  # fmt: skip
    assert recall("J1").replacement.flakes == ()
    assert "no lot of garnet" in recall("J1").replacement.why_not
    bench.flakes("blonde", grade="blonde", day=20)
    assert recall("J1").replacement.flakes == ()
    bench.flakes("garnet 2", 50, day=20)
    short = recall("J1").replacement
    assert short.flakes[0][0] == "garnet 2"
    assert short.why_not == "garnet 2 has 50 g of the 120 g of garnet that are needed"
    bench.flakes("garnet 3", 500, day=20)
    assert recall("J1").replacement.flakes == (("garnet 3", pytest.approx(120, rel=1e-5)),)
    assert recall("J1").replacement.why_not is None


def test_a_pad_carries_on_until_it_is_washed_out(bench):
    from lacwright.shop.services.applicators import add_applicator, wash_applicator

    bench.shelf()
    for piece in ("a", "b", "c", "d"):
        bench.piece(piece)
    add_applicator(name="pad", kind="pad", entry=bench.at(1))
    add_applicator(name="brush", kind="brush", entry=bench.at(1))
    bench.mix("bad", 2, 120, 500)
    bench.mix("good", 2, 120, 500)
    first = bench.coat(3, "bad", "a", millilitres(10), pad="pad", lost_ppm=100_000)
    second = bench.coat(4, "good", "b", millilitres(10), pad="pad", lost_ppm=100_000)
    wash_applicator(name="pad", entry=bench.at(5))
    bench.coat(6, "good", "c", millilitres(10), pad="pad", lost_ppm=100_000)
    last = bench.coat(7, "bad", "d", millilitres(10), pad="brush", lost_ppm=100_000)
    found = recall("bad")
    assert listed(found) == {"a": [first], "b": [second], "d": [last]}
    carried = next(p for p in found.pieces if p.name == "b").coats[0]
    assert carried.via == ("bad", "pad")
    assert carried.way == ("jar bad", "pad")
    # The pad was washed out since; the brush was not.
    assert [(a.name, a.kind) for a in found.applicators] == [("brush", "brush")]
    # Back in the bad jar it carries again.
    bench.coat(8, "bad", "a", millilitres(10), pad="pad", lost_ppm=100_000)
    again = bench.coat(9, "good", "c", millilitres(10), pad="pad", lost_ppm=100_000)
    assert listed(recall("bad"))["c"] == [again]


def test_what_was_washed_off_since_is_flagged(bench):
    bench.shelf()
    bench.piece("table")
    bench.mix("J1", 2, 120, 500)
    bench.coat(3, "J1", "table", millilitres(10), parts=("top",))
    bench.coat(3, "J1", "table", millilitres(10), parts=("leg",), hour=14)
    bench.strip(4, "table", parts=("top",))
    bench.coat(5, "J1", "table", millilitres(10), parts=("top",))
    coats = recall("J1").pieces[0].coats
    assert [c.washed_off_us for c in coats] == [bench.us(4), None, None]
    bench.strip(6, "table")
    coats = recall("J1").pieces[0].coats
    assert [c.washed_off_us for c in coats] == [bench.us(4), bench.us(6), bench.us(6)]


def test_a_coat_without_an_amount_is_on_the_list_all_the_same(bench):
    bench.shelf()
    bench.piece("table")
    bench.mix("J1", 2, 120, 500)
    bench.coat(3, "J1", "table", None)
    found = recall("J1")
    assert found.pieces[0].coats[0].resin_g is None
    assert found.loss.coats_not_said == 1


def test_a_jar_that_was_washed_out_no_longer_carries(bench):
    from lacwright.shop.services.jars import discard_jar

    bench.shelf()
    bench.mix("J1", 2, 120, 500)
    bench.blend("B", 3, ("J1", millilitres(50)))
    discard_jar(jar="B", entry=bench.at(4))
    jars = {j.name: j.discarded_us for j in recall("J1").jars}
    assert jars == {"J1": None, "B": bench.us(4)}


def test_the_advice_says_wash_off_no_burying_no_cure_and_flammable(bench, trouble):
    words = " ".join(text for _, text in recall("J1").advice)
    for said in ("Wash the listed coats off", "Do not bury", "do not cure", "flammable",
                 "local codes", "Test the jar"):  # fmt: skip
        assert said in words
    assert {of for of, _ in recall("J1").advice} == {"piece", "panel", "jar", "waste"}


def test_loops_between_jars_end(bench):
    from lacwright.shop.services.jars import pour

    bench.shelf()
    bench.piece("table")
    bench.mix("A", 2, 120, 500)
    bench.mix("B", 2, 120, 500)
    for day in range(3, 9):
        source, to = ("A", "B") if day % 2 else ("B", "A")
        pour(jar=source, to_kind="jar", to_name=to, amount=millilitres(10), entry=bench.at(day))
    coat = bench.coat(10, "B", "table", millilitres(10))
    assert listed(recall("A")) == {"table": [coat]}
    # From B on the second: A is reached on the fourth, and nothing was laid from it.
    assert {j.name for j in recall("B").jars} == {"A", "B"}


def test_a_top_up_from_a_bad_jar_taints_from_then_on(bench):
    from lacwright.shop.services.jars import Take, add_to_jar

    bench.shelf()
    bench.piece("table")
    bench.mix("bad", 2, 120, 500)
    bench.mix("J1", 2, 120, 500)
    bench.coat(3, "J1", "table", millilitres(10))
    add_to_jar(jar="J1", takes=[Take("jar", "bad", millilitres(20))], why="top-up",
               entry=bench.at(4))  # fmt: skip
    after = bench.coat(5, "J1", "table", millilitres(10))
    assert listed(recall("bad")) == {"table": [after]}


def test_an_undone_pour_is_out_of_the_recall(bench):
    from lacwright.shop.services.amend import undo

    bench.shelf()
    bench.piece("table")
    bench.mix("J1", 2, 120, 500)
    coat = bench.coat(3, "J1", "table", millilitres(10))
    assert listed(recall("J1")) == {"table": [coat]}
    undo(movement=coat, entry=bench.at(4))
    assert listed(recall("J1")) == {}


def test_where_a_lot_went_sums_to_what_came(bench):
    from lacwright.shop.models import Lot
    from lacwright.shop.queries.carry import where_went
    from lacwright.shop.services.applicators import add_applicator
    from lacwright.shop.services.jars import pour

    bench.shelf()
    bench.piece("table")
    add_applicator(name="pad", kind="pad", entry=bench.at(1))
    bench.mix("J1", 2, 120, 500)  # 525.675 g
    # 105.135 g: 24 g of resin, of which 2.4 stay in the pad; the same without a pad: 2.4 to waste.
    through = bench.coat(3, "J1", "table", grams(105.135), pad="pad", lost_ppm=100_000)
    bench.coat(4, "J1", "table", grams(105.135), lost_ppm=100_000, number=2)
    pour(jar="J1", to_kind="waste", amount=grams(105.135), entry=bench.at(5))
    went = where_went(Lot.objects.get(key="garnet"))
    near = {"rel": 1e-5}
    assert (went.came, went.in_store) == (1000, 880)
    assert {h.name: h.amount for h in went.jars} == {"J1": pytest.approx(48, **near)}
    assert {h.name: h.amount for h in went.applicators} == {"pad": pytest.approx(2.4, **near)}
    assert {h.name: h.amount for h in went.pieces} == {"table": pytest.approx(43.2, **near)}
    assert went.waste == pytest.approx(2.4 + 24, **near)
    first = went.pieces[0].coats[0]
    assert (first.movement, first.number) == (through, None)
    whole = went.in_store + went.air + went.waste + went.unaccounted + sum(
        h.amount for h in (*went.jars, *went.applicators, *went.pieces))  # fmt: skip
    assert whole == pytest.approx(went.came, abs=1e-9)
    spirit = where_went(Lot.objects.get(key="spirit"))
    assert spirit.air == pytest.approx(2 * 81.135, rel=1e-4)


def test_where_a_lot_went_without_amounts_is_said(bench):
    from lacwright.shop.models import Lot
    from lacwright.shop.queries.carry import recall_lot, where_went

    bench.shelf()
    bench.piece("table")
    bench.mix("J1", 2, 120, 500)
    bench.coat(3, "J1", "table", None)
    garnet = Lot.objects.get(key="garnet")
    assert where_went(garnet).not_said == ("table",)
    found = recall_lot(garnet)
    assert listed(found).keys() == {"table"}
    assert [j.name for j in found.jars] == ["J1"]


def test_a_bought_liquid_is_recalled_by_what_came_in_it(bench):
    from lacwright.shop.models import Lot
    from lacwright.shop.queries.carry import recall_lot
    from lacwright.shop.services.jars import fill_jar

    bench.piece("table")
    fill_jar(jar="tin", amount=millilitres(500), claimed_cut=2, entry=bench.at(2))
    coat = bench.coat(3, "tin", "table", millilitres(10))
    assert listed(recall_lot(Lot.objects.get(key="tin resin"))) == {"table": [coat]}


def test_the_recall_asks_as_many_questions_for_many_coats_as_for_few(bench, django_queries):
    bench.shelf()
    bench.piece("table")
    bench.mix("J1", 2, 120, 500)
    bench.blend("B", 3, ("J1", ALL))

    def asked():
        bench.coat(4, "B", "table", millilitres(1))
        with django_queries() as queries:
            recall("J1", now_us=bench.us(20))
        return len(queries)

    assert asked() == asked() == asked()


def test_every_null_has_its_reason(bench, trouble):
    from lacwright.cli.show import _nulls

    assert list(_nulls({"recall": recall("J1").as_json()})) == []
