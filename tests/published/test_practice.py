"""Facts of the trade that are common practice: held as such, never as published."""

import pytest

from lacwright.figures import Mark
from lacwright.trade import table

pytestmark = pytest.mark.crosscheck


def test_padded_coats_follow_in_minutes():
    # Common practice (a forum thread, finewoodworking.com/forum/shellac-time-between-coats):
    # second coat after 15 min, third after 30 min more, later ones 2 h.
    wait = table("practice")["wait.pad"].figure()
    assert wait.low == 0.25
    assert wait.low <= wait.value <= 1.0
    assert wait.high == 2.0
    assert wait.mark is Mark.PRACTICE
    assert wait.value < table("practice")["wait.brush"].figure().value


@pytest.mark.parametrize(
    "key", ["rest.sessions", "rest.pumice", "rest.before_load", "rest.before_rub", "wait.stain",
            "wait.french-polish", "coats_per_day.french-polish", "prove.hours"],
)  # fmt: skip
def test_rests_are_not_called_published(key):
    row = table("practice")[key]
    assert row.mark is Mark.PRACTICE
    assert row.source.startswith("common practice")
