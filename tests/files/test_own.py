"""The maker's own figures: every name that is accepted, how it is read, who goes before whom."""

import datetime as dt
import tomllib
from pathlib import Path

import pytest

from lacwright.figures import Basis, Figure, Learned, Mark, Refusal, Refusals
from lacwright.files.own import OwnKey, example, own_keys, read_hand, read_own, with_hand
from lacwright.files.piece import piece_of
from lacwright.plan.piece import Own, Piece

TOP = '[[part]]\nname = "top"\nshape = "panel"\nwood = "cherry"\nsize = "500x400x20 mm"\n'


def own(text: str) -> Own:
    hand, wrong = read_own(tomllib.loads(text).get("hand", {}), "piece file")
    assert wrong == []
    return hand.own


def figure(text: str, name: str) -> Figure:
    found = own(text)[name]
    assert isinstance(found, Figure)
    return found


def refused(text: str) -> str:
    _, wrong = read_own(tomllib.loads(text).get("hand", {}), "piece file")
    (only,) = wrong
    return str(only)


def hand_file(folder: Path, text: str) -> Path:
    file = folder / "mine.toml"
    file.write_text(text)
    return file


def piece(text: str = "") -> Piece:
    return piece_of(tomllib.loads(TOP + text), "test")


def test_an_own_figure_is_given_his_own_and_says_where_it_stands() -> None:
    wait = figure('[hand.wait]\nbrush = "90 min"', "wait.brush")
    assert (wait.value, wait.low, wait.high, wait.unit) == (1.5, 1.5, 1.5, "h")
    assert (wait.basis, wait.mark, wait.source) == (
        Basis.GIVEN, Mark.OWN, "piece file, hand.wait.brush"
    )  # fmt: skip


def test_a_range_is_read_whole() -> None:
    wait = figure('[hand.wait]\nbrush = { value = "2 h", low = "1 h", high = "180 min" }',
                  "wait.brush")  # fmt: skip
    assert (wait.low, wait.value, wait.high) == (1, 2, 3)


@pytest.mark.parametrize(
    ("text", "name", "value", "unit"),
    [
        ('rest.before_rub = "1 week"', "rest.before_rub", 7, "days"),
        ("coats_per_day.brush = 2", "coats_per_day.brush", 2, "1"),
        ('reserve.share = "5 %"', "reserve.share", 0.05, "1"),
        ('lost.brush = "12 %"', "lost.brush", 0.12, "1"),
        ('deposit.french-polish = "4 um"', "deposit.french-polish", 4, "um"),
        ('deposit.french-polish = "4.5 g/m2"', "deposit.french-polish", 4.5, "g/m2"),
        ('uses.french-polish = "20 ml"', "uses.french-polish", 20, "ml"),
        ('uses."french polish" = "20 ml"', "uses.french-polish", 20, "ml"),
        ('absorption.end = "120 ml/m2"', "absorption.end", 120, "ml/m2"),
        ('removal.scuff = "2.5 um"', "removal.scuff", 2.5, "um"),
        ('least_left = "8 um"', "least_left", 8, "um"),
        ("edge_cut = 2.5", "edge_cut", 2.5, "1"),
        ('resin_density = "1.10 g/ml"', "resin_density", 1.1, "g/ml"),
        ("weekend_rests = false", "weekend_rests", 0, "1"),
        ('day.start = "8:30"', "day.start", 8.5, "h"),
        ("day.start = 08:30:00", "day.start", 8.5, "h"),
        ('seal_cut = "120 g/l"', "seal_cut", pytest.approx(1.0015, abs=0.0001), "lb/gal"),
    ],
)
def test_each_kind_is_read_into_its_bench_unit(
    text: str, name: str, value: float, unit: str
) -> None:
    # 120 g/l over 119.826 g/l for a 1-lb cut is 1.0015.
    found = figure(f"[hand]\n{text}", name)
    assert (found.value, found.unit) == (value, unit)


def test_a_list_of_spreads_is_one_figure_a_coat_and_the_last_for_all_others() -> None:
    found = own('[hand.spread]\nbrush = ["100 ml/m2", "90 ml/m2", "80 ml/m2"]')
    assert {name: f.value for name, f in found.items() if isinstance(f, Figure)} == {
        "spread.brush.1": 100, "spread.brush.2": 90, "spread.brush.3": 80, "spread.brush": 80
    }  # fmt: skip


def test_weighed_coats_move_the_factor_of_the_hand() -> None:
    """Three coats at 82, 88 and 85 of 100 expected: near their geometric mean, 0.850.

    The prior (no hand known, ln sd 0.35) pulls the mean of three (ln sd 0.12 each) up by less
    than one hundredth.
    """
    rows = "".join(
        f'[[hand.weighed]]\nmethod = "brushed"\nexpected = "100 ml"\nweighed = "{w} ml"\n'
        for w in (82, 88, 85)
    )
    hand = own(rows)["hand.brush"]
    assert isinstance(hand, Learned)
    assert len(hand.seen) == 3
    assert 0.850 < hand.posterior()[0] < 0.860


def test_working_days_go_to_the_shop() -> None:
    assert piece('[hand]\nworking_days = ["wed", "tue"]').shop.working_days == (1, 2)
    assert piece("[hand]\nworking_days = 4").shop.working_days == (0, 1, 2, 3)
    with pytest.raises(Refusal, match="keep one"):
        piece('[hand]\nworking_days = 4\n[shop]\nworking_days = ["mon"]')


@pytest.mark.parametrize("key", own_keys(), ids=lambda key: key.name)
def test_every_name_is_read_as_its_example_says(key: OwnKey) -> None:
    for name in key.filled():
        quoted = ".".join(f'"{part}"' for part in name.split("."))
        hand, wrong = read_own(
            tomllib.loads(f"[hand]\n{quoted} = {example(key)}")["hand"], "piece file"
        )
        assert wrong == []
        if name == "working_days":
            assert hand.working_days == (1, 2, 3, 4)
        else:
            assert name in hand.own


@pytest.mark.parametrize(
    ("text", "where", "mend"),
    [
        ('[hand.wait]\nbrsh = "2 h"', "[hand.wait] brsh", "did you mean 'wait.brush'"),
        ('[hand.wiat]\nbrush = "2 h"', "[hand] wiat", "did you mean"),
        ('[hand]\nleast_lft = "8 um"', "[hand] least_lft", "did you mean 'least_left'"),
        ("[hand.wait]\nbrush = 90", "[hand.wait] brush", "30 min"),
        ("[hand.wait]\nbrush = []", "[hand.wait] brush", "30 min"),
        ('[hand.wait]\nbrush = { low = "1 h" }', "[hand.wait] brush", "value"),
        ('[hand.wait]\nbrush = { value = "1 h", lo = "1 h" }', "[hand.wait] brush", "'low'"),
        ('[hand.wait]\nbrush = { value = "1 h", low = "2 h" }', "[hand.wait] brush", "mend"),
        ('[hand.rest]\nbefore_rub = "5 working days"', "[hand.rest] before_rub", "calendar"),
        ("[hand.coats_per_day]\nbrush = 0", "[hand.coats_per_day] brush", "1 or more"),
        ("[hand]\nlevels_every = '2'", "[hand] levels_every", "write e.g. 2"),
        ("[hand]\nweekend_rests = 1", "[hand] weekend_rests", "true or false"),
        ("[hand.lost]\nbrush = 1.0", "[hand.lost] brush", "below 100 %"),
        ("[hand.spread]\nbrush = []", "[hand.spread] brush", "95 ml/m2"),
        ("[hand]\nworking_days = ['mnday']", "[hand] working_days", "mon"),
        ("[hand]\nweighed = 3", "[hand] weighed", "[[hand.weighed]]"),
        ('[[hand.weighed]]\nmethod = "brush"\nexpected = "90 ml"', "[[hand.weighed]] 1, weighed",
         '"78 ml"'),
        ("hand = 3", "[hand]", "[hand] on a line"),
    ],
)  # fmt: skip
def test_a_figure_is_refused_with_place_and_mend(text: str, where: str, mend: str) -> None:
    line = refused(text)
    assert line.startswith(where + ": ")
    assert mend in line


# A file of its own -------------------------------------------------------------------------------


def test_a_hand_file_gives_figures_shop_and_quote(tmp_path: Path) -> None:
    hand = read_hand(
        hand_file(tmp_path, "[hand]\nlevels_every = 2\n[shop]\nrh = 0.5\n[quote]\nrate = 45\n")
    )
    found = hand.own["levels_every"]
    assert isinstance(found, Figure)
    assert found.source == "hand file, hand.levels_every"
    assert hand.shop is not None
    assert hand.shop.rh == 0.5
    assert hand.quote is not None
    assert hand.quote.rate_per_h == 45


def test_everything_wrong_with_a_hand_file_names_the_file(tmp_path: Path) -> None:
    with pytest.raises(Refusals) as caught:
        read_hand(hand_file(tmp_path, "[hand]\nlevels_every = 0\n[shop]\nrh = 45\n[wish]\n"))
    assert {r.where for r in caught.value.each} == {
        "mine.toml", "mine.toml, [hand] levels_every", "mine.toml, [shop] rh"
    }  # fmt: skip


@pytest.mark.parametrize("value", ["3.5", "0.01"])
def test_a_constant_of_the_drying_coat_that_cannot_be_names_the_file(
    tmp_path: Path, value: str
) -> None:
    with pytest.raises(Refusal, match=r"mine\.toml, \[hand\.drying\] water_tolerance"):
        read_hand(hand_file(tmp_path, f"[hand]\ndrying.water_tolerance = {value}\n"))


def test_the_end_of_the_range_of_a_constant_is_taken(tmp_path: Path) -> None:
    hand = read_hand(hand_file(tmp_path, "[hand]\ndrying.water_tolerance = 3\n"))
    assert hand.own["drying.water_tolerance"].value == 3  # type: ignore[union-attr]


def test_the_piece_file_goes_before_the_hand_file(tmp_path: Path) -> None:
    hand = read_hand(
        hand_file(
            tmp_path,
            '[hand]\nlevels_every = 2\nworking_days = 4\n[hand.wait]\nbrush = "3 h"\n'
            '[hand.spread]\nbrush = ["90 ml/m2", "80 ml/m2"]\n'
            '[shop]\nrh = 0.5\nchildren = true\n[quote]\nrate = 45\ncurrency = "EUR"\n',
        )
    )
    both = with_hand(
        piece('[hand.wait]\nbrush = "2 h"\n[hand.uses]\nbrush = "20 ml"\n'
              "[shop]\nrh = 0.4\nclosed = [2027-05-03]\nchildren = false\n[quote]\nrate = 50\n"),
        hand,
    )  # fmt: skip
    values = {n: f.value for n, f in both.own.items() if isinstance(f, Figure)}
    # "20 ml a coat" takes the place of every spread of the hand file, not of its last one only.
    assert values == {"levels_every": 2, "wait.brush": 2, "uses.brush": 20}
    assert (both.shop.rh, both.shop.children) == (0.4, False)
    assert both.shop.working_days == (0, 1, 2, 3)
    assert both.shop.closed == (dt.date(2027, 5, 3),)
    assert both.quote is not None
    assert (both.quote.rate_per_h, both.quote.currency) == (50, "EUR")


def test_a_hand_file_serves_a_piece_that_says_nothing(tmp_path: Path) -> None:
    hand = read_hand(hand_file(tmp_path, "[hand]\nworking_days = 3\n[quote]\nrate = 45\n"))
    both = with_hand(piece(), hand)
    assert both.shop.working_days == (0, 1, 2)
    assert both.quote is not None
    assert both.quote.rate_per_h == 45
