"""Pads and brushes: what stays in them, and washing out."""

import pytest

from lacwright.figures import Refusal
from lacwright.shop.ledger import grams


def test_what_stays_in_a_pad_goes_into_the_next_coat_until_it_is_washed(bench):
    from lacwright.shop.queries.carriers import applicators
    from lacwright.shop.queries.contents import made_of
    from lacwright.shop.services.applicators import add_applicator, wash_applicator

    bench.shelf()
    bench.flakes("blonde", grade="blonde")
    bench.piece("box")
    add_applicator(name="pad 1", kind="pad", entry=bench.at(1))
    bench.mix("J1", 2, 100, 400)  # 100 + 324.54 = 424.54 g
    bench.mix("J2", 2, 100, 400, flakes="blonde")
    # 42.454 g hold 10 g of garnet; a tenth of it stays in the pad.
    bench.coat(3, "J1", "box", grams(42.454), pad="pad 1", lost_ppm=100_000)
    (line,) = applicators()
    assert not line.clean
    assert line.contents.by_lot_ug == {"garnet": pytest.approx(1e6, rel=1e-5)}
    # Then 10 g of blonde: 1 g of garnet and 10 of blonde are in the pad, and 1 + 0.1 x 10 = 2 g
    # stay: 9 of 11 parts are laid, so 0.818 g of garnet goes onto the box.
    second = bench.coat(4, "J2", "box", grams(42.454), pad="pad 1", lost_ppm=100_000)
    assert made_of(second, "piece:box").by_lot_ug == {
        "blonde": pytest.approx(10e6 * 9 / 11, rel=1e-5),
        "garnet": pytest.approx(1e6 * 9 / 11, rel=1e-5)}  # fmt: skip
    washed = wash_applicator(name="pad 1", entry=bench.at(5)).data
    assert washed["washed_out"]["g"] == pytest.approx(2, rel=1e-5)
    assert washed["applicator"]["clean"] is True
    third = bench.coat(6, "J2", "box", grams(42.454), pad="pad 1", lost_ppm=100_000)
    assert set(made_of(third, "piece:box").by_lot_ug) == {"blonde"}


def test_a_pad_is_named_once(bench):
    from lacwright.shop.services.applicators import add_applicator, wash_applicator

    add_applicator(name="pad 1", kind="pad", entry=bench.at(1))
    with pytest.raises(Refusal, match="already"):
        add_applicator(name="pad 1", kind="pad", entry=bench.at(1))
    with pytest.raises(Refusal, match="did you mean 'brush'"):
        add_applicator(name="b", kind="brsh", entry=bench.at(1))
    with pytest.raises(Refusal, match="did you mean 'pad 1'"):
        wash_applicator(name="pad 2", entry=bench.at(1))
