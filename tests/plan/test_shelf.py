"""What age and tests say about a lot, and the word of a shelf line."""

from __future__ import annotations

import datetime as dt

import pytest

from lacwright.figures import given
from lacwright.plan.piece import Lot, Piece
from lacwright.plan.quote import Use
from lacwright.plan.shelf import Needs, shelf_lines
from lacwright.plan.stock import age_word, ageing_kind

ON = dt.date(2027, 3, 1)


def lot(**more: object) -> Lot:
    kind: dict[str, object] = {"name": "x", "kind": "jar", "have": 100.0, "unit": "ml",
                               "grade": "blonde"}  # fmt: skip
    return Lot(**{**kind, **more})  # type: ignore[arg-type]


def test_age_asks_for_a_test_and_a_dated_test_overrides() -> None:
    # Dewaxed unbleached: a test is due after about 9 months (common practice), 2.5 times that is
    # too old to trust.
    assert age_word(lot(date=ON - dt.timedelta(days=60)), ON) == ""
    old = lot(date=ON - dt.timedelta(days=400))
    assert age_word(old, ON) == "test first"
    assert age_word(lot(date=ON - dt.timedelta(days=1000)), ON) == "too old to trust untested"
    passed = lot(date=old.date, tested=ON - dt.timedelta(days=3), passed=True)
    assert age_word(passed, ON) == ""
    failed = lot(date=ON - dt.timedelta(days=5), tested=ON - dt.timedelta(days=3), passed=False)
    assert age_word(failed, ON) == "failed its test"


def test_alcohol_does_not_age_and_of_an_undated_lot_only_a_test_tells() -> None:
    assert age_word(lot(kind="alcohol", date=dt.date(2000, 1, 1)), ON) == ""
    assert age_word(lot(), ON) == ""
    assert age_word(lot(tested=ON - dt.timedelta(days=3), passed=True), ON) == ""
    assert age_word(lot(tested=ON - dt.timedelta(days=300), passed=True), ON) == "test first"


def test_a_test_without_its_result_tells_nothing() -> None:
    old = lot(date=ON - dt.timedelta(days=400), tested=ON - dt.timedelta(days=3))
    assert age_word(old, ON) == "test first"


@pytest.mark.parametrize(
    ("more", "kind"),
    [
        ({"kind": "flakes", "grade": "bleached"}, "flakes-bleached"),
        ({"kind": "flakes", "grade": "amber"}, "flakes-waxed"),
        ({"kind": "flakes", "grade": "amber", "waxed": False}, "flakes-dewaxed"),
        ({"kind": "jar", "grade": "garnet"}, "waxed"),
    ],
)
def test_wax_is_a_field_of_its_own(more: dict[str, object], kind: str) -> None:
    assert ageing_kind(lot(**more)) == kind


@pytest.mark.parametrize(
    ("have", "aged", "word"),
    [
        (100.0, "", "enough"), (100.0, "test first", "test first"), (5.0, "", "reorder"),
        (5.0, "test first", "reorder"), (100.0, "failed its test", "failed its test"),
        (5.0, "too old to trust untested", "too old to trust untested"),
        (None, "", "amount not said"), (None, "test first", "test first"),
    ],
)  # fmt: skip
def test_words(have: float | None, aged: str, word: str) -> None:
    import numpy as np

    use = Use(lot(have=have), given(10.0, "ml"), np.array([10.0]))
    (line,) = shelf_lines(Piece("p", ()), Needs((use,), ()), lambda _: aged)
    assert line.word == word
    assert line.left == (None if have is None else have - 10.0)


def test_what_one_word_cannot_say_stands_in_a_note() -> None:
    import numpy as np

    from lacwright.plan.shelf import shelf_notes

    uses = Needs(
        (Use(lot(name="undated"), given(10.0, "ml"), np.array([10.0])),
         Use(lot(name="short", have=5.0, date=ON), given(10.0, "ml"), np.array([10.0])),
         Use(lot(name="tight", date=ON), given(90.0, "ml", high=120.0), np.array([90.0]))), (),
    )  # fmt: skip
    lines = shelf_lines(Piece("p", ()), uses, lambda x: "test first" if x.name == "short" else "")
    notes = shelf_notes(lines, uses, lambda x: "test first" if x.name == "short" else "")
    assert notes == (
        "undated: neither date nor passed test is said: test it first",
        "short: test first as well",
        "tight may run short: up to 120 ml can be needed",
    )
