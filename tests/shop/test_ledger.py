"""Moves to lines, worked by hand; amounts in micrograms unless a test is about volumes."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import pytest

from lacwright.figures import Refusal
from lacwright.shop.ledger import (
    AIR,
    ALL,
    NOT_SAID,
    SUPPLIER,
    UNACCOUNTED,
    WASTE,
    Derived,
    LotFacts,
    Move,
    clear,
    come,
    derive,
    dry,
    found,
    grams,
    lay,
    millilitres,
    take,
    units,
)

FACTS = {"flakes": LotFacts(1250.0, False), "dye": LotFacts(1000.0, False),
         "spirit": LotFacts(800.0, True), NOT_SAID: LotFacts(1000.0, False)}  # fmt: skip
Held = Mapping[str, Mapping[str, int]]


def work(*moves: Move, held: Held | None = None, came: Held | None = None) -> Derived:
    return derive(moves, held=lambda p: (held or {}).get(p, {}),
                  came=lambda p: (came or {}).get(p, {}), facts=FACTS)  # fmt: skip


def ug(n: int) -> dict[str, Any]:
    return {"n": n, "u": "ug"}


def test_what_comes_goes_from_the_supplier_into_the_store() -> None:
    done = work(come(lot="flakes", to="store:flakes", amount=ug(500)))
    assert done.lines == {(SUPPLIER, "flakes"): -500, ("store:flakes", "flakes"): 500}
    assert done.edges == [(SUPPLIER, "store:flakes", "flakes", False)]


def test_an_amount_not_said_moves_nothing_but_leaves_its_trace() -> None:
    done = work(come(lot="flakes", to="store:flakes", amount=None),
                take(source="store:flakes", to="jar:a", amount=None))  # fmt: skip
    assert done.lines == {}
    assert [edge[:2] for edge in done.edges] == [(SUPPLIER, "store:flakes"),
                                                 ("store:flakes", "jar:a")]  # fmt: skip


def test_a_pour_takes_of_every_lot_in_proportion() -> None:
    held = {"jar:a": {"flakes": 300, "spirit": 700}}
    done = work(take(source="jar:a", to="jar:b", amount=ug(100)), held=held)
    assert done.lines == {("jar:a", "flakes"): -30, ("jar:a", "spirit"): -70,
                          ("jar:b", "flakes"): 30, ("jar:b", "spirit"): 70}  # fmt: skip


def test_a_volume_is_weighed_by_the_volumes_of_its_lots_added() -> None:
    # 250 ug flakes in 0.2 ul and 800 ug spirit in 1 ul: 1050 ug in 1.2 ul; 0.6 ul are half of it.
    held = {"jar:a": {"flakes": 250_000, "spirit": 800_000}}
    done = work(take(source="jar:a", to="jar:b", amount={"n": 600, "u": "ul"}), held=held)
    assert done.lines["jar:b", "flakes"] == 125_000
    assert done.lines["jar:b", "spirit"] == 400_000


def test_all_empties_a_place() -> None:
    done = work(take(source="jar:a", to=WASTE, amount=ALL), held={"jar:a": {"flakes": 7}})
    assert done.lines == {("jar:a", "flakes"): -7, (WASTE, "flakes"): 7}


def test_the_shortfall_comes_from_unaccounted_in_the_jars_own_proportions() -> None:
    held = {"jar:a": {"flakes": 300, "spirit": 700}}
    done = work(take(source="jar:a", to="jar:b", amount=ug(1500)), held=held)
    assert done.lines["jar:a", "flakes"] == -300
    assert done.lines["jar:a", "spirit"] == -700
    assert done.lines[UNACCOUNTED, "flakes"] == -150
    assert done.lines[UNACCOUNTED, "spirit"] == -350
    assert done.lines["jar:b", "flakes"] == 450


def test_an_empty_jar_pours_what_it_once_was_a_store_its_own_lot_else_nobody_knows() -> None:
    came = {"jar:a": {"flakes": 1, "spirit": 3}}
    done = work(take(source="jar:a", to="jar:b", amount=ug(8)), came=came)
    assert done.lines["jar:b", "flakes"] == 2
    assert done.lines[UNACCOUNTED, "spirit"] == -6
    done = work(take(source="store:dye", to="jar:b", amount=ug(8)))
    assert done.lines == {(UNACCOUNTED, "dye"): -8, ("jar:b", "dye"): 8}
    done = work(take(source="jar:c", to="jar:b", amount=ug(8)))
    assert done.lines == {(UNACCOUNTED, NOT_SAID): -8, ("jar:b", NOT_SAID): 8}


def test_a_later_move_finds_what_an_earlier_one_left() -> None:
    done = work(take(source="store:flakes", to="jar:a", amount=ug(30)),
                take(source="store:spirit", to="jar:a", amount=ug(70)),
                take(source="jar:a", to="jar:b", amount=ug(10)),
                held={"store:flakes": {"flakes": 30}, "store:spirit": {"spirit": 100}})  # fmt: skip
    assert done.lines["jar:b", "flakes"] == 3
    assert done.lines["jar:b", "spirit"] == 7
    assert done.lines["jar:a", "flakes"] == 27


def test_only_solvent_dries_and_never_more_than_there_is() -> None:
    held = {"jar:a": {"flakes": 300, "spirit": 700}}
    assert work(dry(source="jar:a", amount=ug(50)), held=held).lines == {
        ("jar:a", "spirit"): -50, (AIR, "spirit"): 50}  # fmt: skip
    assert work(dry(source="jar:a", amount=ug(5000)), held=held).lines[AIR, "spirit"] == 700


def test_a_weighing_that_finds_less_lets_solvent_go_first_the_rest_is_unaccounted() -> None:
    held = {"jar:a": {"flakes": 300, "spirit": 100}}
    done = work(found(place="jar:a", amount=ug(250), gone=AIR), held=held)
    assert done.lines == {("jar:a", "spirit"): -100, (AIR, "spirit"): 100,
                          ("jar:a", "flakes"): -50, (UNACCOUNTED, "flakes"): 50}  # fmt: skip
    done = work(found(place="jar:a", amount=ug(200), gone=WASTE), held=held)
    assert done.lines[WASTE, "flakes"] == 150
    assert done.lines[WASTE, "spirit"] == 50


def test_a_weighing_that_finds_more_takes_it_from_unaccounted() -> None:
    done = work(found(place="jar:a", amount=ug(500), gone=AIR),
                held={"jar:a": {"flakes": 300, "spirit": 100}})  # fmt: skip
    assert done.lines[UNACCOUNTED, "flakes"] == -75
    assert done.lines["jar:a", "spirit"] == 25


def test_a_coat_through_a_pad_leaves_solids_in_it_and_solvent_in_the_air() -> None:
    held = {"jar:a": {"flakes": 2_000, "spirit": 8_000}, "applicator:p": {"dye": 100}}
    done = work(lay(source="jar:a", through="applicator:p", on="piece:x", amount=ug(1_000),
                    lost_ppm=250_000), held=held)  # fmt: skip
    # 200 flakes and 800 spirit go into the pad; a quarter of the 200 stays, beside the old 100.
    assert done.lines[AIR, "spirit"] == 800
    laid = done.lines["piece:x", "flakes"] + done.lines["piece:x", "dye"]
    assert laid == 200 + 100 - 150
    # The pad gives of what it holds: 150 of 300 are 100 flakes and 50 dye.
    assert done.lines["piece:x", "dye"] == 50
    assert done.lines["applicator:p", "flakes"] == 100
    assert done.edges == [("jar:a", "applicator:p", None, False),
                          ("applicator:p", "piece:x", None, False)]  # fmt: skip


def test_what_was_weighed_in_the_pad_counts_before_the_usual_loss() -> None:
    held = {"jar:a": {"flakes": 2_000, "spirit": 8_000}}
    done = work(lay(source="jar:a", through="applicator:p", on="piece:x", amount=ug(1_000),
                    left_ug=20, lost_ppm=900_000), held=held)  # fmt: skip
    assert done.lines["piece:x", "flakes"] == 180
    assert done.lines["applicator:p", "flakes"] == 20


def test_without_a_pad_what_is_lost_is_waste() -> None:
    held = {"jar:a": {"flakes": 2_000, "spirit": 8_000}}
    done = work(lay(source="jar:a", through=None, on="piece:x", amount=ug(1_000),
                    lost_ppm=100_000), held=held)  # fmt: skip
    assert done.lines == {("jar:a", "flakes"): -200, ("jar:a", "spirit"): -800,
                          (AIR, "spirit"): 800, ("piece:x", "flakes"): 180,
                          (WASTE, "flakes"): 20}  # fmt: skip
    assert done.edges == [("jar:a", "piece:x", None, False)]


def test_washing_out_carries_nothing_on() -> None:
    done = work(clear(place="applicator:p"), held={"applicator:p": {"flakes": 5}})
    assert done.lines == {("applicator:p", "flakes"): -5, (WASTE, "flakes"): 5}
    assert done.edges == [("applicator:p", WASTE, None, True)]


def test_amounts_are_whole_and_bounded() -> None:
    assert grams(1.5) == {"n": 1_500_000, "u": "ug"}
    assert millilitres(0.25) == {"n": 250, "u": "ul"}
    assert units(3) == {"n": 3_000_000, "u": "up"}
    for wrong in (-1.0, 1e12):
        with pytest.raises(Refusal, match="not an amount anybody handles"):
            grams(wrong)
