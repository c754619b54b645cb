"""Lots: what came, what is left, what is known of it."""

import datetime as dt
from decimal import Decimal

import pytest

from lacwright.figures import Refusal
from lacwright.shop.amounts import amount_words, read_amount
from lacwright.shop.ledger import grams, millilitres, units


def test_a_bag_that_came_has_a_price_and_ages_from_the_day_it_was_bought(bench):
    from lacwright.shop.queries.shelf import lots

    bench.flakes("garnet-b12", 1000, price=Decimal("48"), bought=dt.date(2027, 2, 10),
                 supplier="a shop in town", batch="B12")  # fmt: skip
    (line,) = lots(at_us=bench.us(20))
    told = line.as_json()
    assert told["left"] == 1000
    assert (told["price"], told["price_for"]) == (48, 1000)
    assert line.since == dt.date(2027, 2, 10)
    assert (told["supplier"], told["batch"]) == ("a shop in town", "B12")
    nulls = {key for key, value in told.items() if value is None}
    assert nulls == set(told["missing"])


def test_stock_that_was_there_before_the_record_may_be_unknown_and_is_counted_later(bench):
    from lacwright.shop.queries.shelf import lots
    from lacwright.shop.services.lots import count_lot

    bench.flakes("old bag", None, opening=True)
    (line,) = lots()
    assert line.left is None
    assert line.since is None
    assert "how much" in line.as_json()["missing"]["left"]
    bench.alcohol("spirit")
    bench.mix("J1", 2, 100, 400, flakes="old bag")
    assert lots()[1].left is None  # what was taken tells nothing about what is left
    count_lot(name="old bag", amount=grams(250), entry=bench.at(3))
    assert lots()[1].left == 250


def test_a_count_books_the_difference_as_unaccounted_or_spilled(bench):
    from lacwright.shop.models import Balance
    from lacwright.shop.services.lots import count_lot

    bench.flakes("garnet", 1000)
    # 1000 g came, 960 g are there: 40 g are missing. Then 15 g of it are spilled.
    assert count_lot(name="garnet", amount=grams(960), entry=bench.at(2)).data["difference"] == -40
    spilled = count_lot(name="garnet", amount=grams(945), gone="waste", entry=bench.at(3))
    assert spilled.data["difference"] == -15
    held = dict(Balance.objects.filter(lot__key="garnet").values_list("place__key", "ug"))
    assert held == {"supplier": -1000 * 10**6, "store:garnet": 945 * 10**6,
                    "unaccounted": 40 * 10**6, "waste": 15 * 10**6}  # fmt: skip


def test_what_an_alcohol_is_can_be_said_later_and_the_jars_of_it_are_worked_out_anew(bench):
    from lacwright.shop.queries.contents import contents
    from lacwright.shop.services.amend import undo
    from lacwright.shop.services.lots import describe_lot

    bench.flakes("garnet")
    bench.alcohol("can", alcohol="")
    bench.mix("J1", 2, 24, 100, spirit="can")
    before = contents("jar:J1")
    # 0.8 g/ml stands in for an unknown alcohol: volumes hold, weights are not told.
    assert before.by_lot_ug["can"] == 80 * 10**6
    assert before.figures.keys["alcohol_ml"] == pytest.approx(100)
    assert before.figures.keys["alcohol_g"] is None
    assert "can" in before.figures.missing["alcohol_g"]
    said = describe_lot(name="can", changes={"alcohol": "ethanol-190"}, entry=bench.at(3))
    # OIML R 22: 190 proof weighs 0.81135 g/ml at 20 C.
    after = contents("jar:J1")
    assert after.figures.keys["alcohol_g"] == pytest.approx(81.135, rel=1e-4)
    assert after.figures.keys["alcohol_ml"] == pytest.approx(100)
    undo(movement=said.movement, entry=bench.at(4))
    assert contents("jar:J1").by_lot_ug["can"] == 80 * 10**6


def test_a_description_taken_back_leaves_the_last_one_that_counts(bench):
    from lacwright.shop.models import Lot
    from lacwright.shop.services.amend import undo
    from lacwright.shop.services.lots import describe_lot

    bench.flakes("garnet", supplier="first")
    second = describe_lot(name="garnet", changes={"supplier": "second"}, entry=bench.at(2))
    third = describe_lot(name="garnet", changes={"supplier": "third"}, entry=bench.at(3))
    undo(movement=second.movement, entry=bench.at(4))
    assert Lot.objects.get(key="garnet").supplier == "third"
    undo(movement=third.movement, entry=bench.at(5))
    assert Lot.objects.get(key="garnet").supplier == "first"


def test_grade_wax_and_bleaching_are_three_things(bench):
    bench.flakes("a", grade="dewaxed garnet", bleached=False)
    from lacwright.shop.models import Lot

    lot = Lot.objects.get(key="a")
    assert (lot.grade, lot.waxed, lot.bleached) == ("garnet", False, False)
    with pytest.raises(Refusal, match="contradict"):
        bench.flakes("b", grade="dewaxed garnet", waxed=True)


def test_sheets_are_counted(bench):
    from lacwright.shop.queries.shelf import lots
    from lacwright.shop.services.lots import add_lot

    add_lot(name="paper", kind="abrasive", amount=units(50), unit="pc", grade="P320",
            order_below=units(60), entry=bench.at(1))  # fmt: skip
    (line,) = lots()
    assert (line.left, line.word) == (50, "reorder")
    with pytest.raises(Refusal, match="counted"):
        add_lot(name="more", kind="abrasive", amount=grams(50), unit="pc", entry=bench.at(1))


def test_what_does_not_suit_shellac_is_said(bench):
    said = bench.alcohol("rubbing", alcohol="isopropanol 70, water 30").data["says"]
    assert "does not suit" in said[0]


@pytest.mark.parametrize(
    ("told", "where"),
    [
        ({"amount": millilitres(500)}, "flakes settle"),
        ({"grade": "garnett"}, "garnet"),
        ({"name": "a:b"}, "colon"),
        ({"density_g_ml": 2.5}, "1.035"),
        ({"price": Decimal("-1")}, "price"),
        ({"amount": None, "price": Decimal("5")}, "how much"),
        ({"alcohol": "ethanol-190"}, "composition"),
        ({"bought": dt.date(2099, 1, 1)}, "still to come"),
    ],
)
def test_a_lot_that_cannot_be_is_refused_and_nothing_is_written(bench, told, where):
    from lacwright.shop.models import Lot, Movement
    from lacwright.shop.services.lots import add_lot

    asked = {"name": "bag", "kind": "flakes", "amount": grams(100), "entry": bench.at(1), **told}
    with pytest.raises(Refusal, match=where):
        add_lot(**asked)
    assert not Movement.objects.exists()
    assert not Lot.objects.filter(key="bag").exists()


def test_amounts_are_read_as_people_write_them():
    assert read_amount("2 oz", "x", of="flakes") == grams(56.69904625)
    assert read_amount("1/2 pint", "x", of="alcohol") == millilitres(236.5882365)
    assert read_amount("250 g", "x") == grams(250)
    assert read_amount("all", "x") == {"u": "all"}
    assert read_amount("12 sheets", "x", of="abrasive", unit="pc") == units(12)
    with pytest.raises(Refusal, match="by volume or by weight"):
        read_amount("8 oz", "x", of="alcohol")
    with pytest.raises(Refusal, match="settle loosely"):
        read_amount("1 cup", "x", of="flakes")
    with pytest.raises(Refusal, match="no unit"):
        read_amount("250", "x")
    assert [amount_words(a) for a in (grams(60), millilitres(12.5), units(3), None)] == [
        "60 g", "12.5 ml", "3 pc", "an amount that was not said"]  # fmt: skip


def test_the_shelf_is_listed_without_a_query_for_every_row(bench, django_queries):
    from lacwright.shop.queries.shelf import stock

    def listed(n: int) -> int:
        bench.flakes(f"bag {n}")
        bench.mix(f"J{n}", 2, 10, 50)
        with django_queries() as asked:
            assert len(stock().jars) == n
        return len(asked)

    bench.shelf()
    assert listed(1) == listed(2) == listed(3)
