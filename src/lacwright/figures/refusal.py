"""The one way the model says no: what is wrong, where, and how to mend it."""

from __future__ import annotations

import difflib
from collections.abc import Iterable


class Refusal(ValueError):
    """Input that cannot be worked with.

    Parameters
    ----------
    where : str
        The field, option or file position, as the person wrote it.
    what : str
        What is wrong with it, without a full stop.
    mend : str
        What to write or do instead, without a full stop.
    """

    def __init__(self, where: str, what: str, mend: str) -> None:
        # One line on the screen, whatever was typed: no line breaks, no terminal codes.
        self.where, self.what, self.mend = (_printable(part) for part in (where, what, mend))
        super().__init__(self.where, self.what, self.mend)

    def __str__(self) -> str:
        return f"{self.where}: {self.what}; {self.mend}."

    def at(self, where: str) -> Refusal:
        """Return the same refusal placed at `where` (a file position, say)."""
        return Refusal(where, self.what, self.mend)


class Refusals(Refusal):
    """Several refusals told at once, each with its own place."""

    def __init__(self, refusals: Iterable[Refusal]) -> None:
        self.each = tuple(refusals)
        first = self.each[0]
        super().__init__(first.where, first.what, first.mend)

    def __str__(self) -> str:
        return "\n".join(str(r) for r in self.each)


def nearest(word: str, words: Iterable[str]) -> str:
    """Return the clause "the nearest is 'x'" or a list of what is accepted."""
    known = sorted(words)
    lower = {w.lower(): w for w in known}
    close = difflib.get_close_matches(word.lower()[:60], lower, n=1, cutoff=0.55)
    if close:
        return f"did you mean '{lower[close[0]]}'"
    if len(known) <= 24:
        return "use one of: " + ", ".join(known)
    return "use one of: " + ", ".join(known[:24]) + ", ..."


def _printable(text: str) -> str:
    return "".join(c if c.isprintable() else " " for c in text)
