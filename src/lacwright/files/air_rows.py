"""Rows of a table of air in the order of their times: what is doubled, skipped, missing is told."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from lacwright.drying.moments import GAP, usual_step_s
from lacwright.figures.spoken import counted
from lacwright.files.air_cells import Moment

MOST_TOLD = 20


@dataclass(frozen=True)
class Row:
    """One line of a table that can be used."""

    line: int
    moment: Moment
    temp_c: float
    rh: float
    board_c: float
    speed_m_s: float

    def says(self) -> tuple[float, ...]:
        """Return what was read, comparable: a cell that is not filled is -1000."""
        read = (self.temp_c, self.rh, self.board_c, self.speed_m_s)
        return tuple(-1000.0 if np.isnan(v) else v for v in read)


UNUSED = Row(0, Moment(dt.datetime(1970, 1, 1), "skipped"), 0, 0, 0, 0)
"""Stands for a line that was told and left out."""


def in_order(rows: list[Row], zone: dt.tzinfo) -> tuple[list[tuple[float, Row]], list[str]]:
    """Return rows by their second, each once, and what is odd about their times."""
    told: list[str] = []
    rows = [r for r in rows if r is not UNUSED]
    skipped = [r.line for r in rows if r.moment.kind == "skipped"]
    if skipped:
        told.append(f"{lines_of(skipped)}: the clocks skip that hour in this zone, so it is not "
                    "known when it was; not used. Write the offset, or name the zone of the "
                    "logger.")  # fmt: skip
    timed = [r for r in rows if r.moment.kind != "skipped"]
    timed, lone = _doubled_hours(timed, told)
    seconds = [(r.moment.second(zone), r) for r in timed if r not in lone]
    back = sum(1 for (a, _), (b, _) in pairwise(seconds) if b < a)
    if back:
        told.append(f"The lines are not in the order of their times ({counted(back, 'place')}): "
                    "sorted.")  # fmt: skip
    seconds.sort(key=lambda pair: (pair[0], pair[1].line))
    return _each_once(seconds, told), told


def _doubled_hours(rows: list[Row], told: list[str]) -> tuple[list[Row], list[Row]]:
    """Settle times that the clock strikes twice: two lines of one time are first and second."""
    by_wall: dict[dt.datetime, list[int]] = {}
    for k, row in enumerate(rows):
        if row.moment.kind == "twice":
            by_wall.setdefault(row.moment.wall, []).append(k)
    out, lone, paired = list(rows), [], []
    down = _runs_down(rows)
    for places in by_wall.values():
        if len(places) == 2:
            second = places[0 if down else 1]
            wall = rows[second].moment.wall.replace(fold=1)
            out[second] = replace(rows[second], moment=Moment(wall, "twice"))
            paired += [rows[k].line for k in places]
        else:
            lone += [out[k] for k in places]
    if paired:
        order = ("below is taken for the first, the one above" if down
                 else "above is taken for the first, the one below")  # fmt: skip
        told.append(f"{lines_of(paired)}: the clock strikes that hour twice; the line {order} for "
                    "the second.")  # fmt: skip
    if lone:
        told.append(f"{lines_of([r.line for r in lone])}: the clock strikes that hour twice, and "
                    "which it is, is not said; not used. Write the offset.")  # fmt: skip
    return out, lone


def _runs_down(rows: Sequence[Row]) -> bool:
    """Return whether the newest line stands first."""
    walls = [r.moment.wall.replace(tzinfo=None) for r in rows]
    steps = [(b > a) - (b < a) for a, b in pairwise(walls)]
    return sum(steps) < 0


def _each_once(rows: list[tuple[float, Row]], told: list[str]) -> list[tuple[float, Row]]:
    groups: dict[float, list[Row]] = {}
    for second, row in rows:
        groups.setdefault(second, []).append(row)
    same, differ = [], []
    out = []
    for second, each in groups.items():
        if len({r.says() for r in each}) > 1:
            differ += [r.line for r in each]
            continue
        same += [r.line for r in each[1:]]
        out.append((second, each[0]))
    if same:
        told.append(f"{lines_of(same)}: the same time and air once more; counted once.")
    if differ:
        told.append(f"{lines_of(differ)}: the same time with different air; none of them is used.")
    return out


def gaps(at: Sequence[dt.datetime]) -> list[str]:
    """Return a sentence for every gap: more than one and a half of the usual step.

    Two rows alone do not show the step: whether hours between them are missing is not known.
    """
    seconds = np.array([a.timestamp() for a in at])
    steps = np.diff(seconds).tolist()
    usual = usual_step_s(steps)
    if len(steps) == 1 and steps[0] > GAP * usual:
        return [f"Two rows alone, {_spoken(at[0])} and {_spoken(at[1])} ({_long(steps[0])} apart), "
                "do not show the step of the table: whether any are missing between them is not "
                "known; not filled in."]  # fmt: skip
    found = [k for k, step in enumerate(steps) if step > GAP * usual]
    told = [f"Nothing between {_spoken(at[k])} and {_spoken(at[k + 1])} ({_long(steps[k])}); "
            "not filled in." for k in found[:MOST_TOLD]]  # fmt: skip
    if len(found) > MOST_TOLD:
        told.append(f"And {counted(len(found) - MOST_TOLD, 'more gap')}.")
    return told


def _spoken(at: dt.datetime) -> str:
    return f"{at:%a} {at.day} {at:%b} {at:%H:%M}"


def _long(seconds: float) -> str:
    if seconds < 5400:
        return f"{seconds / 60:.0f} min"
    return f"{seconds / 3600:.3g} h" if seconds < 48 * 3600 else f"{seconds / 86400:.3g} days"


def lines_of(numbers: Sequence[int]) -> str:
    """Return "Line 3", "Lines 3, 4 and 9"."""
    each = sorted(numbers)
    if len(each) == 1:
        return f"Line {each[0]}"
    if len(each) > 8:
        return f"Lines {', '.join(map(str, each[:7]))} and {len(each) - 7} more"
    return f"Lines {', '.join(map(str, each[:-1]))} and {each[-1]}"
