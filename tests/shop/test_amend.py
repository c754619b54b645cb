"""Undo, correction and late arrival through the services."""

import pytest

from lacwright.figures import Refusal
from lacwright.shop.ledger import grams, millilitres


def laid(root, piece="table"):
    from lacwright.shop.queries.contents import made_of

    return made_of(root, f"piece:{piece}").by_lot_ug


def balances():
    from lacwright.shop.models import Balance

    return {(b.place.key, b.lot.key): b.ug
            for b in Balance.objects.select_related("place", "lot")}  # fmt: skip


def test_a_corrected_weight_changes_every_coat_that_came_of_it(bench):
    from lacwright.shop.services.amend import amend

    bench.shelf()
    bench.piece("table")
    mixed = bench.mix("J1", 2, 100, 400)  # 424.5416 g
    coat = bench.coat(3, "J1", "table", grams(42.45416))
    assert laid(coat) == {"garnet": pytest.approx(10e6, rel=1e-5)}
    takes = [dict(t) for t in mixed.data["takes"]]
    takes[0]["amount"] = grams(200)  # two bags, not one
    amend(movement=mixed.movement, changes={"takes": takes}, entry=bench.at(5))
    # 42.45416 g of 524.5416 g hold 200 x 0.0809358 = 16.187 g.
    assert laid(coat) == {"garnet": pytest.approx(16.1872e6, rel=1e-5)}


def test_what_was_undone_comes_back_by_correcting_it(bench):
    from lacwright.shop.services.amend import amend, undo
    from lacwright.shop.services.lots import count_lot

    bench.shelf()
    before = balances()
    counted = count_lot(name="garnet", amount=grams(900), entry=bench.at(2))
    undo(movement=counted.movement, entry=bench.at(3))
    assert balances() == before
    with pytest.raises(Refusal, match="taken back already"):
        undo(movement=counted.movement, entry=bench.at(3))
    amend(movement=counted.movement, changes={}, entry=bench.at(4))
    assert balances()["store:garnet", "garnet"] == 900 * 10**6
    amend(movement=counted.movement, changes={"amount": grams(950)}, entry=bench.at(5))
    assert balances()["store:garnet", "garnet"] == 950 * 10**6


def test_what_is_used_cannot_be_taken_back_and_the_uses_are_named(bench):
    from lacwright.shop.models import Lot
    from lacwright.shop.services.amend import undo

    bought = bench.flakes("garnet")
    bench.alcohol("spirit")
    bench.piece("table")
    mixed = bench.mix("J1", 2, 100, 400)
    coat = bench.coat(3, "J1", "table", grams(10))
    with pytest.raises(Refusal, match=rf"jar 'J1' is used since: coat \(movement {coat}\)"):
        undo(movement=mixed.movement, entry=bench.at(4))
    with pytest.raises(Refusal, match=rf"'garnet' is used since: mix .movement {mixed.movement}"):
        undo(movement=bought.movement, entry=bench.at(4))
    for movement in (coat, mixed.movement, bought.movement):
        undo(movement=movement, entry=bench.at(4))
    assert {place for (place, _), ug in balances().items() if ug} == {"supplier", "store:spirit"}
    from lacwright.shop import names

    with pytest.raises(Refusal, match="taken back"):
        names.find(Lot, "garnet", "lot")


def test_a_mix_that_comes_back_may_be_laid_again(bench):
    from lacwright.shop.queries.shelf import jars
    from lacwright.shop.services.amend import amend, undo

    bench.shelf()
    mixed = bench.mix("J1", 2, 100, 400)
    undo(movement=mixed.movement, entry=bench.at(3))
    assert jars() == ()
    amend(movement=mixed.movement, changes={}, entry=bench.at(4))
    assert [line.jar.key for line in jars()] == ["J1"]


def test_the_hour_alone_can_be_corrected(bench):
    from lacwright.shop.models import Event
    from lacwright.shop.services.amend import amend
    from lacwright.shop.services.jars import Take, add_to_jar

    bench.shelf()
    bench.piece("table")
    bench.mix("J1", 2, 100, 400)
    thinned = add_to_jar(jar="J1", takes=[Take("lot", "spirit", millilitres(400))], why="thin",
                         entry=bench.at(5))  # fmt: skip
    coat = bench.coat(4, "J1", "table", grams(42.45416))
    assert laid(coat) == {"garnet": pytest.approx(10e6, rel=1e-5)}
    # It was thinned on the third, before the coat: 42.45416 of 749.0831 g.
    amend(movement=thinned.movement, changes={}, at_us=bench.us(3), entry=bench.at(6))
    assert laid(coat) == {"garnet": pytest.approx(5.66748e6, rel=1e-5)}
    assert Event.objects.get(root=thinned.movement).at_us == bench.us(3)
    with pytest.raises(Refusal, match="future"):
        amend(movement=thinned.movement, changes={}, at_us=bench.us(200), entry=bench.at(6))


def test_late_arrivals_end_as_if_typed_right_at_first(bench):
    from lacwright.shop.services.jars import Take, add_to_jar, pour

    def thin(day):
        add_to_jar(jar="J1", takes=[Take("lot", "spirit", millilitres(100))], why="thin",
                   entry=bench.at(day))  # fmt: skip

    def spill(day):
        pour(jar="J1", to_kind="waste", amount=millilitres(60), entry=bench.at(day))

    bench.shelf()
    bench.piece("table")
    bench.mix("J1", 2, 100, 400)
    coat = bench.coat(6, "J1", "table", millilitres(50))
    spill(5)
    thin(3)
    # Thinned to 100 g in 500 ml (587.719 ml), 60 ml spilled, 50 ml laid: 50 / 587.719 of 100 g.
    assert laid(coat) == {"garnet": pytest.approx(100e6 * 50 / 587.719, rel=1e-5)}


def test_weighing_is_corrected_from_net_to_gross(bench):
    from lacwright.shop.services.amend import amend
    from lacwright.shop.services.jars import weigh_jar

    bench.shelf()
    bench.mix("J1", 2, 100, 400, tare_g=200)
    made = weigh_jar(jar="J1", net_g=600, entry=bench.at(3))  # that was with the jar
    amend(movement=made.movement, changes={"gross_g": 600}, entry=bench.at(4))
    assert balances()["jar:J1", "spirit"] == 300 * 10**6
    assert balances()["jar:J1", "garnet"] == 100 * 10**6


def test_a_claimed_cut_is_corrected_in_the_jar_and_in_its_row(bench):
    from lacwright.shop.models import Jar
    from lacwright.shop.services.amend import amend
    from lacwright.shop.services.jars import fill_jar

    made = fill_jar(jar="tin", amount=millilitres(500), claimed_cut=2, grade="amber",
                    entry=bench.at(2))  # fmt: skip
    amend(movement=made.movement, changes={"claimed_cut": 3.0}, entry=bench.at(3))
    assert Jar.objects.get(key="tin").claimed_cut == 3
    # 500 ml of a 3-lb cut hold 136.650 g.
    assert balances()["jar:tin", "tin resin"] == pytest.approx(136.650e6, rel=1e-5)
    with pytest.raises(Refusal, match='lot change "tin resin"'):
        amend(movement=made.movement, changes={"grade": "garnet"}, entry=bench.at(4))


@pytest.mark.parametrize(
    ("changes", "told"),
    [
        ({"colour": 1}, "not among what can be corrected"),
        ({"amount": {"n": 5, "u": "furlong"}}, "not an amount"),
        ({"amount": millilitres(5)}, "settle"),
        ({}, "nothing is corrected"),
    ],
)
def test_a_correction_that_makes_no_sense_is_refused(bench, changes, told):
    from lacwright.shop.services.amend import amend

    made = bench.flakes("garnet")
    before = balances()
    with pytest.raises(Refusal, match=told):
        amend(movement=made.movement, changes=changes, entry=bench.at(2))
    assert balances() == before


def test_an_unknown_movement_is_refused(bench):
    from lacwright.shop.services.amend import undo

    with pytest.raises(Refusal, match="no movement 7"):
        undo(movement=7, entry=bench.at(2))


def test_a_dry_run_of_an_undo_leaves_everything(bench):
    from lacwright.shop.services.amend import undo

    made = bench.flakes("garnet")
    before = balances()
    assert undo(movement=made.movement, entry=bench.at(2, dry_run=True)).data["undone"]
    assert balances() == before
