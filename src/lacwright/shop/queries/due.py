"""What is due: jars and flakes to test, tests that are running, what is to be discarded."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from lacwright.shop import clock
from lacwright.shop.facts import FLAKES
from lacwright.shop.queries import shelf
from lacwright.shop.queries.proving import Proof
from lacwright.shop.verdict import minutes
from lacwright.solution.ageing import EXPECT_FAILURE, MATTERS, PASSED, YOUNG

DISCARD, GO_ON, TEST, TEST_SOON = "discard", "go on with the test", "test", "test if it matters"
ORDER = (DISCARD, GO_ON, TEST, TEST_SOON)
SUSPECT = 1e3
"""What holds some of a failed mix goes before all that is only old."""
_HOW = {"jar": "a drop on glass beside a drop of a fresh mix",
        "lot": "a few grams in fresh alcohol, shaken now and then"}  # fmt: skip


@dataclass(frozen=True)
class Due:
    """One thing that is due.

    Parameters
    ----------
    what : str
        "discard", "go on with the test", "test", "test if it matters".
    kind, name : str
        "jar" or "lot", and its name.
    word : str
        Why, as the shelf says it.
    days : int or None
        Its age in days.
    by : date or None
        From when on; None where no date is known.
    how : str
        What to do.
    urgency : float
        The larger, the sooner: its age as a share of the time to a test.
    """

    what: str
    kind: str
    name: str
    word: str
    days: int | None
    by: dt.date | None
    how: str
    urgency: float

    def as_json(self) -> dict[str, Any]:
        """Return it as plain data with the reason for every null."""
        out: dict[str, Any] = {
            "what": self.what,
            "kind": self.kind,
            "name": self.name,
            "word": self.word,
            "age_days": self.days,
            "by": self.by and self.by.isoformat(),
            "how": self.how,
        }
        return {**out, "missing": {k: "its day is not on record" for k, v in out.items()
                                   if v is None}}  # fmt: skip


def due(*, at_us: int | None = None) -> tuple[Due, ...]:
    """Return what is due on a day, the most urgent first.

    Parameters
    ----------
    at_us : int, optional
        The moment; now if not given.
    """
    stock = shelf.stock(at_us=at_us)
    return due_among(jars=stock.jars, lots=stock.lots)


def due_among(
    *, jars: Iterable[shelf.JarLine], lots: Iterable[shelf.LotLine]
) -> tuple[Due, ...]:  # fmt: skip
    """Return what is due of some lines of the shelf, the most urgent first."""
    found = [*_jars(jars), *_flakes(lots)]
    return tuple(sorted(found, key=lambda d: (ORDER.index(d.what), -d.urgency, d.name)))


def _jars(lines: Iterable[shelf.JarLine]) -> Iterable[Due]:
    for line in lines:
        if line.empty or line.discarded_us is not None:
            continue
        days = None if line.age is None else line.age.calendar_days
        if line.failed:
            how = f"'jar recall \"{line.jar.key}\"' lists what carries it"
            yield Due(DISCARD, "jar", line.jar.key, shelf.FAILED, days, None, how, 1.0)
            continue
        yield from _running("jar", line.jar.key, line.proof, line.zone)
        if line.suspect:
            if not line.proof.running:
                held = " and ".join(t.words(line.zone) for t in line.suspect)
                yield Due(TEST, "jar", line.jar.key, f"it holds {held}", days, None,
                          f"{_HOW['jar']}, or discard it", SUSPECT)  # fmt: skip
            continue
        if line.since is None and not line.proof.running:
            yield Due(TEST, "jar", line.jar.key, "neither date nor test is known", None, None,
                      _HOW["jar"], 1.0)  # fmt: skip
        if line.age is None or line.proof.running or line.age.word in (YOUNG, PASSED):
            continue
        old = line.age.word == EXPECT_FAILURE
        yield Due(
            TEST_SOON if line.age.word == MATTERS else TEST, "jar", line.jar.key, line.age.word,
            days, line.age.test_by,
            f"{_HOW['jar']}, or discard it" if old else _HOW["jar"], line.age.share_of_time,
        )  # fmt: skip


def _flakes(lines: Iterable[shelf.LotLine]) -> Iterable[Due]:
    for line in lines:
        lot = line.lot
        if lot.kind != FLAKES or (line.left is not None and line.left <= 0):
            continue
        on = clock.day_of(line.at_us, line.zone)
        days = None if line.since is None else (on - line.since).days
        if line.failed:
            yield Due(DISCARD, "lot", lot.key, shelf.FAILED, days, None,
                      "do not dissolve it; take another lot", 1.0)  # fmt: skip
            continue
        yield from _running("lot", lot.key, line.proof, line.zone)
        tested = line.proof.dated("lot", line.zone)
        if line.since is None and tested is None:
            yield Due(TEST, "lot", lot.key, "neither date nor test is known", None, None,
                      _HOW["lot"], 1.0)  # fmt: skip
        elif line.age_word and not line.proof.running:
            urgency = 2.0 if line.age_word == shelf.TOO_OLD else 1.0
            yield Due(TEST, "lot", lot.key, line.age_word, days, None if line.since is None
                      else line.test_by, _HOW["lot"], urgency)  # fmt: skip


def _running(kind: str, name: str, proof: Proof, zone: dt.tzinfo) -> Iterable[Due]:
    for test in proof.running:
        look, at = test.body.get("look_min"), test.look_us
        when = "" if look is None else f", {minutes(look)} from its beginning"
        yield Due(GO_ON, kind, name, f"its {test.test} test is running", None,
                  None if at is None else clock.day_of(at, zone), f"look again{when}",
                  1.0)  # fmt: skip
