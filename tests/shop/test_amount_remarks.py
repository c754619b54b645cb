"""Amounts that look like a slip of the unit are asked back, and written down as they were said."""

from decimal import Decimal

import pytest

from lacwright.figures import Refusal
from lacwright.shop.ledger import ALL, grams, millilitres

ASK = "was ml meant for l"


def asked(answer):
    return [said for said in answer.data["says"] if ASK in said]


def test_more_than_a_jar_takes_is_asked_back(bench):
    from lacwright.shop.services.jars import Take, add_to_jar, fill_jar, pour

    bench.flakes("garnet", 30_000.0)
    bench.alcohol("spirit", 200_000.0)
    # A choice of this program: 20 l, or 20 kg, at once.
    assert asked(bench.mix("J1", 2, 5000, 20_000)) == []
    (said,) = asked(bench.mix("J2", 2, 5000, 25_000))
    assert said.startswith("25000 ml is more than a jar takes at once")
    assert len(asked(bench.mix("J3", 2, 21_000, 25_000))) == 2
    more = add_to_jar(jar="J1", takes=[Take("lot", "spirit", millilitres(50_000))],
                      entry=bench.at(3))  # fmt: skip
    assert len(asked(more)) == 1
    assert len(asked(fill_jar(jar="B", amount=millilitres(250_000), claimed_cut=2,
                              entry=bench.at(3)))) == 1  # fmt: skip
    # All of a large jar is what is in it, and no slip.
    assert asked(pour(jar="J1", to_kind="waste", amount=ALL, entry=bench.at(4))) == []


@pytest.mark.parametrize(("ml", "times"), [(5000, 1), (4000, 0), (800, 0)])
def test_ten_times_what_the_book_has_is_asked_back_and_written_down(bench, ml, times):
    from lacwright.shop.services.jars import pour

    bench.shelf()
    bench.mix("J1", 2, 60, 400)  # about 450 ml
    answer = pour(jar="J1", to_kind="waste", amount=millilitres(ml), entry=bench.at(3))
    assert len(asked(answer)) == times
    assert answer.data["poured"]["g"] == pytest.approx(ml * 0.86, rel=0.05)  # as heavy as the mix
    if times:
        assert "that the book had of jar J1" in asked(answer)[0]


def test_the_same_of_a_lot_that_goes_into_a_jar(bench):
    from lacwright.shop.services.jars import correct_jar

    bench.flakes("crumbs", 9.0)
    bench.flakes("bag", 10.0)
    bench.flakes("empty", 0.01)
    bench.alcohol("spirit")
    (said,) = asked(bench.mix("J1", 2, 90, 400, flakes="crumbs"))
    assert said.startswith("10 times the 9 g that the book had of crumbs")
    assert asked(bench.mix("J2", 2, 60, 400, flakes="bag")) == []
    assert asked(bench.mix("J3", 2, 60, 400, flakes="empty")) == []  # as good as nothing
    bench.alcohol("drop", 10.0)
    made = correct_jar(jar="J2", to_cut=0.5, lot="drop", entry=bench.at(3))
    assert "of drop" in asked(made)[0]


@pytest.mark.parametrize("typed", ["-0", "-0,00", "0"])
def test_a_price_of_nothing_has_no_sign(bench, typed):
    from lacwright.cli.lot_add import read_price
    from lacwright.shop.models import Lot

    price = read_price(typed)
    assert not price.is_signed()
    bench.flakes("gift", price=Decimal(typed.replace(",", ".")))
    assert not Lot.objects.get(key="gift").price.is_signed()


def test_a_text_that_the_record_has_no_room_for_is_refused_not_cut(bench):
    from lacwright.shop.services.jars import describe_jar

    for more in ({"supplier": "x" * 81}, {"batch": "x" * 81}):
        with pytest.raises(Refusal, match="it has 81 characters, 80 are the most"):
            bench.flakes("garnet", **more)
    bench.shelf()
    with pytest.raises(Refusal, match="--purpose: it has 81"):
        bench.mix("J1", 2, 60, 400, purpose="x" * 81)
    bench.mix("J1", 2, 60, 400, purpose="x" * 80)
    with pytest.raises(Refusal, match="--purpose: it has 81"):
        describe_jar(jar="J1", changes={"purpose": "x" * 81}, entry=bench.at(3))
    bench.flakes("more", grams(5)["n"] / 1e6, supplier=f" {'x' * 80} ")
