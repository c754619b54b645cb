"""Nothing is done with a jar before it was made or after it was washed out, however it is typed."""

import pytest

from lacwright.figures import Refusal
from lacwright.shop.ledger import grams, millilitres


@pytest.fixture
def table(bench):
    from lacwright.shop.services.pieces import add_piece

    bench.shelf()
    bench.mix("J1", 5, 120, 500)
    bench.mix("J2", 2, 120, 500)
    add_piece(name="table", areas_m2={"": 0.5}, entry=bench.at(1, 8))
    return bench


def lay(bench, day, **more):
    from lacwright.shop.services.coats import lay_coat

    told = {"piece": "table", "jar": "J1", "method": "brush", "used_ml": 20,
            "entry": bench.at(day), **more}  # fmt: skip
    return lay_coat(**told)


def test_before_it_was_made_nothing_comes_out_of_a_jar_or_into_it(table):
    from lacwright.shop.services.jars import Take, add_to_jar, pour, weigh_jar

    only = "jar 'J1' was mixed only at 2027-03-05 12:00"
    takes = [Take("lot", "garnet", grams(1))]
    for write in (
        lambda: lay(table, 4),
        lambda: table.blend("B", 4, ("J1", millilitres(5))),
        lambda: pour(jar="J1", to_kind="waste", amount=millilitres(5), entry=table.at(4)),
        lambda: pour(jar="J2", to_kind="jar", to_name="J1", amount=millilitres(5),
                     entry=table.at(4)),
        lambda: add_to_jar(jar="J1", takes=takes, entry=table.at(4)),
        lambda: weigh_jar(jar="J1", net_g=400, entry=table.at(4)),
        lambda: table.test("J1", 4, good=True),
    ):  # fmt: skip
        with pytest.raises(Refusal, match=only) as refusal:
            write()
        assert "record amend" in refusal.value.mend


def test_a_correction_of_the_time_is_refused_like_a_new_entry(table):
    from lacwright.shop.models import Jar
    from lacwright.shop.services.amend import amend
    from lacwright.shop.services.jars import discard_jar

    coat = lay(table, 6).movement
    mix = Jar.objects.get(key="J1").opened_id
    with pytest.raises(Refusal, match="mixed only at"):
        amend(movement=coat, changes={}, at_us=table.us(4), entry=table.at(8))
    with pytest.raises(Refusal, match=rf"used before 2027-03-07 12:00: coat \(movement {coat}\)"):
        amend(movement=mix, changes={}, at_us=table.us(7), entry=table.at(8))
    amend(movement=mix, changes={}, at_us=table.us(3), entry=table.at(8))
    amend(movement=coat, changes={}, at_us=table.us(4), entry=table.at(8))
    with pytest.raises(Refusal, match=rf"used after 2027-03-03 18:00: coat \(movement {coat}\)"):
        discard_jar(jar="J1", entry=table.at(3, 18))
    discard_jar(jar="J1", entry=table.at(9))
    with pytest.raises(Refusal, match="washed out by movement"):
        lay(table, 10)
    with pytest.raises(Refusal, match="washed out by movement"):
        amend(movement=coat, changes={}, at_us=table.us(10), entry=table.at(11))


def test_a_mix_of_a_lot_that_came_later_is_questioned(table):
    from lacwright.shop.models import Lot
    from lacwright.shop.services.amend import amend

    table.flakes("late", day=10)
    told = table.mix("J3", 4, 50, 200, flakes="late").data
    assert told["short"] == {}  # said in its own sentence
    assert "Lot 'late' came only at 2027-03-10 09:00" in " ".join(told["says"])
    came = Lot.objects.get(key="garnet").opened_id
    says = amend(movement=came, changes={}, at_us=table.us(20), entry=table.at(21)).data["says"]
    assert "Something was taken of lot 'garnet' before it came" in " ".join(says)


def test_an_amount_that_was_never_said_is_not_scolded(table):
    from lacwright.shop.services.jars import pour
    from lacwright.shop.services.lots import count_lot

    table.flakes("old bag", None, opening=True)
    assert table.mix("J4", 3, 50, 200, flakes="old bag").data["short"] == {}
    count_lot(name="old bag", amount=grams(10), entry=table.at(4))
    assert table.mix("J5", 5, 50, 200, flakes="old bag").data["short"] == {
        "old bag": pytest.approx(40)
    }
    table.blend("B", 6, ("J2", None))
    poured = pour(jar="B", to_kind="waste", amount=millilitres(5), entry=table.at(7))
    assert poured.data["short"] == {}


def test_one_amount_of_a_mix_that_was_not_said_withholds_its_cut(table):
    from lacwright.shop.queries.contents import contents
    from lacwright.shop.services.applicators import add_applicator, wash_applicator
    from lacwright.shop.services.jars import Take, mix_jar, pour

    takes = [Take("lot", "garnet", None), Take("lot", "spirit", millilitres(100))]
    mix_jar(jar="J6", takes=takes, entry=table.at(3))
    assert contents("jar:J6").unsaid == ("store:garnet",)
    add_applicator(name="pad", kind="pad", entry=table.at(1, 8))
    pour(jar="J2", to_kind="applicator", to_name="pad", amount=None, entry=table.at(3))
    assert contents("applicator:pad").unsaid == ("jar:J2",)
    wash_applicator(name="pad", entry=table.at(4))
    assert contents("applicator:pad").unsaid == ()
    assert contents("applicator:pad", at_us=table.us(3, 18)).unsaid == ("jar:J2",)


def test_more_cannot_stay_in_a_pad_than_came_into_it(table):
    from lacwright.shop.services.amend import amend
    from lacwright.shop.services.applicators import add_applicator

    add_applicator(name="pad", kind="pad", entry=table.at(1, 8))
    # 20 ml of 120 g in 605.26 ml hold 3.97 g.
    with pytest.raises(Refusal, match=r"9 g of dry resin stayed, and there were only 3\.97 g"):
        lay(table, 6, applicator="pad", method="pad", left_g=9)
    coat = lay(table, 6, applicator="pad", method="pad", left_g=3).movement
    with pytest.raises(Refusal, match=r"3\.97 g came with this coat, 3 g were in pad before"):
        lay(table, 7, applicator="pad", method="pad", left_g=9)
    lay(table, 7, applicator="pad", method="pad", left_g=6)
    with pytest.raises(Refusal, match="9 g of dry resin stayed"):
        amend(movement=coat, changes={"left_g": 9.0}, entry=table.at(8))
    guessed = lay(table, 8, applicator="pad", method="pad", used_ml=None, left_g=30).data["says"]
    assert any("(estimated): weigh the jar" in text for text in guessed)


def test_jar_pad_and_piece_of_a_coat_can_be_put_right(table):
    from lacwright.shop.corrections import read_corrections
    from lacwright.shop.models import Event, Movement
    from lacwright.shop.queries.contents import contents
    from lacwright.shop.services.amend import amend
    from lacwright.shop.services.applicators import add_applicator
    from lacwright.shop.services.pieces import add_piece

    add_piece(name="box", areas_m2={"": 0.5}, entry=table.at(1, 8))
    add_applicator(name="pad", kind="pad", entry=table.at(1, 8))
    coat = lay(table, 6).movement
    changes = read_corrections(movement=Movement.objects.get(id=coat),
                               texts=["piece=box", "jar=J2", "applicator=pad"])  # fmt: skip
    amend(movement=coat, changes=changes, entry=table.at(8))
    event = Event.objects.get(root=coat)
    assert (event.piece.key, event.jar.key, event.applicator.key) == ("box", "J2", "pad")
    assert contents("piece:table").empty
    assert not contents("piece:box").empty
    with pytest.raises(Refusal, match="what a mix is about cannot be changed") as refusal:
        read_corrections(movement=Movement.objects.get(id=event.jar.opened_id), texts=["jar=J1"])
    assert "record undo" in refusal.value.mend


def test_an_alcohol_that_does_not_suit_is_said_at_the_mix(table):
    table.alcohol("rub", alcohol="rubbing-alcohol")
    assert "rub does not suit shellac: about a third" in " ".join(
        table.mix("R", 3, 10, 100, spirit="rub").data["says"])  # fmt: skip
    table.alcohol("weak", alcohol="ethanol 60, water 40")
    assert "40% of it by weight is water" in " ".join(
        table.mix("W", 3, 10, 100, spirit="weak").data["says"])  # fmt: skip
    table.alcohol("slow", alcohol="isobutanol 100")
    assert "slow suits shellac only in part: slow alcohol" in " ".join(
        table.mix("S", 3, 10, 100, spirit="slow").data["says"])  # fmt: skip
