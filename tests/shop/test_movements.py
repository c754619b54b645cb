"""The log: every movement in a plain sentence, with what stands in for what."""

import pytest

from lacwright.figures import Refusal
from lacwright.shop.ledger import grams, millilitres


def words(**asked):
    from lacwright.shop.queries.movements import log

    return [line.words for line in log(**asked).lines]


def test_every_kind_says_what_was_done(bench):
    from lacwright.shop.services.amend import undo
    from lacwright.shop.services.applicators import add_applicator, wash_applicator
    from lacwright.shop.services.jars import correct_jar, discard_jar, fill_jar, pour, weigh_jar
    from lacwright.shop.services.lots import count_lot, describe_lot

    bench.shelf()
    bench.mix("J1", 2, 120, 500)
    correct_jar(jar="J1", to_cut=1.5, lot="spirit", entry=bench.at(3))
    weigh_jar(jar="J1", net_g=600, entry=bench.at(3))
    pour(jar="J1", to_kind="waste", amount=millilitres(50), entry=bench.at(3))
    bench.test("J1", 4, good=False)
    discard_jar(jar="J1", entry=bench.at(5))
    fill_jar(jar="tin", amount=millilitres(500), claimed_cut=2, entry=bench.at(5))
    add_applicator(name="pad", kind="pad", entry=bench.at(5))
    wash_applicator(name="pad", entry=bench.at(5))
    count_lot(name="garnet", amount=grams(800), gone="waste", entry=bench.at(5))
    described = describe_lot(name="garnet", changes={"supplier": "A"}, entry=bench.at(5))
    undo(movement=described.movement, entry=bench.at(6))
    assert words()[::-1] == [
        "1000 g of lot garnet came.",
        "5000 ml of lot spirit came.",
        "Mixed jar J1 from 120 g of lot garnet and 500 ml of lot spirit.".replace("lot ", ""),
        "Added 167.6 ml of spirit to jar J1 to correct it to a 1.5-lb cut.",
        "Weighed jar J1: 600 g of mix (what is missing evaporated).",
        "Poured 50 ml of jar J1 into the waste.",
        "Drying test of jar J1: failed (It was still tacky after 45 min (limit 15 min). The "
        "control beside it was in time: it is the jar).",
        "Washed out jar J1.",
        "Filled jar tin with 500 ml of a bought 2-lb cut, as claimed.",
        "Wrote down applicator pad.",
        "Washed out pad.",
        "Counted 800 g of lot garnet (what is missing was spilled).",
        "Changed the description of lot garnet: supplier from not said to A.",
        "Took back: describe of lot garnet.",
    ]


def test_it_is_filtered_by_kind_thing_and_time(bench):
    from lacwright.shop.models import Jar, Lot

    bench.shelf()
    bench.mix("J1", 2, 120, 500)
    bench.mix("J2", 3, 120, 500)
    bench.blend("B", 4, ("J1", millilitres(50)))
    assert len(words(kind="mix")) == 3
    # What went out of J1 into B concerns it, though it is B that was mixed.
    assert [w.split()[2] for w in words(about=Jar.objects.get(key="J1"))] == ["B", "J1"]
    assert len(words(about=Lot.objects.get(key="garnet"))) == 3  # came, and into two jars
    assert len(words(since_us=bench.us(3), until_us=bench.us(4))) == 1


def test_versions_name_what_they_replace(bench):
    from lacwright.shop.queries.movements import log
    from lacwright.shop.services.amend import amend, undo

    made = bench.flakes("garnet", entry=bench.at(1, author="Ada"))
    amend(movement=made.movement, changes={"amount": grams(900)},
          entry=bench.at(2, author="Bo", reason="read the scale wrong"))  # fmt: skip
    undo(movement=made.movement, entry=bench.at(3))
    versions = log(number=made.movement).lines
    assert [(v.kind, v.counts) for v in versions] == [
        ("void", False), ("receive", False), ("receive", False)]  # fmt: skip
    assert [v.replaces for v in versions] == [versions[1].number, versions[2].number, None]
    assert (versions[1].author, versions[1].reason) == ("Bo", "read the scale wrong")
    assert len({v.root for v in versions}) == 1


def test_it_is_paged_and_asks_as_many_questions_for_many_as_for_few(bench, django_queries):
    from lacwright.shop.queries.movements import log

    bench.shelf()
    for n in range(6):
        bench.mix(f"J{n}", 2, 1, 5)
    first = log(limit=3)
    second = log(limit=3, before=first.before)
    assert [line.words.split()[2] for line in first.lines] == ["J5", "J4", "J3"]
    assert [line.words.split()[2] for line in second.lines] == ["J2", "J1", "J0"]
    assert log(limit=3, before=second.before).before is None

    def asked(limit):
        with django_queries() as queries:
            log(limit=limit)
        return len(queries)

    assert asked(1) == asked(7)
    with pytest.raises(Refusal, match="no page"):
        log(limit=0)
