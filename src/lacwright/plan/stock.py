"""What age and tests say about a lot of the shelf, and when a mix is ready."""

from __future__ import annotations

import datetime as dt

from lacwright.figures import Figure
from lacwright.plan.own import OwnFigures
from lacwright.plan.piece import Lot, MixSpec
from lacwright.solution import DatedTest, age, ready_after_h
from lacwright.solution.ageing import BEFORE_USE, EXPECT_FAILURE, FAILED, PASSED
from lacwright.solution.resin import ageing_class, read_grade, resin_named
from lacwright.trade import table

TEST_FIRST, TOO_OLD, FAILED_WORD = "test first", "too old to trust untested", "failed its test"


def age_word(lot: Lot, on: dt.date) -> str:
    """Return "", "test first", "too old to trust untested" or "failed its test".

    Parameters
    ----------
    lot : Lot
        Flakes or a jar; alcohol does not age this way.
    on : date
        The day the shelf is looked at. A lot dated later counts as new.
    """
    if lot.passed is False:
        return FAILED_WORD
    if lot.kind not in ("flakes", "jar") or (lot.date is not None and lot.date > on):
        return ""
    test = None
    if lot.tested is not None and lot.passed and lot.tested <= on:
        test = DatedTest(lot.tested, passed=True)
    if lot.date is None:
        # Nobody knows how old it is: a test that no longer counts asks for another. Without
        # one the shelf says in a note that neither date nor test is known.
        if test is None:
            return ""
        word = age(kind=ageing_kind(lot), mixed=test.on, on=on, test=test).word
        return "" if word == PASSED else TEST_FIRST
    if test is not None and test.on < lot.date:
        test = None
    word = age(kind=ageing_kind(lot), mixed=lot.date, on=on, test=test).word
    return {BEFORE_USE: TEST_FIRST, EXPECT_FAILURE: TOO_OLD, FAILED: FAILED_WORD}.get(word, "")


def ageing_kind(lot: Lot) -> str:
    """Return the row of the table of ageing for flakes or a jar."""
    wax = None if lot.waxed is None else "waxed" if lot.waxed else "dewaxed"
    kind = ageing_class(resin_named(lot.grade or "", wax=wax, where=lot.name))
    return f"flakes-{kind}" if lot.kind == "flakes" else kind


def ready_figure(spec: MixSpec, own: OwnFigures, shelf: tuple[Lot, ...] = ()) -> Figure | None:
    """Return the hours until a mix has dissolved, or None for a jar that is ready.

    Of several flakes it is the slowest's. A maker's own figure goes before the table.
    """
    if spec.jar is not None:
        return None
    if own.said("dissolve.hours"):
        return own.figure("dissolve.hours")
    lots = {lot.name: lot.grade for lot in shelf}
    names = [name for name, _ in spec.flakes] or ([spec.grade] if spec.grade else [])
    times = []
    for name in names:
        grade = lots.get(name, name) or ""
        known = grade and _is_grade(grade)
        times.append(ready_after_h(grade=read_grade(grade)[0].key if known else ""))
    return max(times, key=Figure.number, default=ready_after_h())


def _is_grade(name: str) -> bool:
    from lacwright.figures import Refusal

    try:
        read_grade(name)
    except Refusal:
        return name in table("grades")
    return True
