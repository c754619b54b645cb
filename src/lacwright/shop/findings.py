"""What an audit finds: every kind of fault with its words and how to mend it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

Ask = Callable[[str], list[Any]]
"""Returns the rows of a question in SQL."""

MOST = 1000
"""Places that are kept of a fault; a broken index differs in every row."""
SHOWN = 3

_REBUILD = "run 'lacwright record rebuild'"
_RESTORE = "bring back a backup with 'lacwright record restore'"

KINDS: dict[str, tuple[str, str]] = {
    "database": ("the database is damaged", f"{_RESTORE}; keep the damaged one"),
    "reference": ("rows refer to nothing", _RESTORE),
    "seal": ("movements were changed outside of this program",
             f"compare them with a backup, or {_RESTORE}"),
    "body": ("movements cannot be worked out", f"correct or take them back, or {_RESTORE}"),
    "version": ("movements stand in for none that is there", _RESTORE),
    "request": ("requests do not belong to their movement", _RESTORE),
    "name": ("movements name what is not there", _RESTORE),
    "place": ("things are not at their own place", _RESTORE),
    "sum": ("postings do not sum to zero", _RESTORE),
    "below-zero": ("places hold less than nothing", _RESTORE),
    "line": ("lines are not what follows from the movements", _RESTORE),
    "balance": ("balances are not the sums of the lines", _REBUILD),
    "event": ("the index of events is not what the movements say", _REBUILD),
    "flow": ("the index of flows is not what the movements say", _REBUILD),
    "file-missing": ("files are missing", "put them back, from a backup or by attaching them anew"),
    "file-damaged": ("files are not what their names say", "put them back from a backup"),
}  # fmt: skip


@dataclass(frozen=True)
class Finding:
    """One kind of fault.

    Parameters
    ----------
    code : str
        Its word, for programs.
    text : str
        What is wrong, and where first.
    mend : str
        What to do.
    count : int
        How often it was found.
    where : tuple of str
        Where, at most `MOST`.
    """

    code: str
    text: str
    mend: str
    count: int
    where: tuple[str, ...]

    def __str__(self) -> str:
        return f"{self.code}: {self.text}; {self.mend}."


class Collector:
    """Gathers faults by kind."""

    def __init__(self) -> None:
        self._where: dict[str, list[str]] = defaultdict(list)
        self._count: dict[str, int] = defaultdict(int)

    def add(self, code: str, where: str) -> None:
        """Note a fault."""
        self._count[code] += 1
        if len(self._where[code]) < MOST:
            self._where[code].append(where)

    def has(self, code: str) -> bool:
        """Return whether there is a fault of a kind."""
        return code in self._count

    def findings(self) -> tuple[Finding, ...]:
        """Return all kinds of faults, the gravest first."""
        return tuple(self._finding(code) for code in KINDS if code in self._count)

    def _finding(self, code: str) -> Finding:
        what, mend = KINDS[code]
        where, count = tuple(self._where[code]), self._count[code]
        told = "; ".join(where[:SHOWN])
        more = f"; {count - SHOWN} more" if count > SHOWN else ""
        return Finding(code, f"{what} ({told}{more})", mend, count, where)
