"""The one way the model says no: what is wrong, where, and how to mend it."""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterable

ECHO = 60
"""Characters of what was typed that a refusal repeats; a person knows the rest."""
ALIKE = 0.65
"""Share of its letters that a word must have in common with another to be meant: a slip of one or
two letters leaves more, two words of a trade that have nothing to do with each other less."""
WHERE, WHAT, MEND = 160, 400, 700
"""Longest place, fault and mend: what is longer is a text that was typed without its quotes."""


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
        self.where = one_line(where, most=WHERE)
        self.what = one_line(what, most=WHAT)
        # A command that mends it is told whole, whatever name stands in it.
        self.mend = _shorter(_printable(mend), MEND)
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
    close = difflib.get_close_matches(word.lower()[:60], lower, n=1, cutoff=ALIKE)
    if close:
        return f"did you mean '{lower[close[0]]}'"
    if len(known) <= 24:
        return "use one of: " + ", ".join(known)
    return "use one of: " + ", ".join(known[:24]) + ", ..."


def one_line(text: str, *, most: int = WHAT) -> str:
    """Return a text that fits on a line: no line breaks, no terminal codes, quotes cut short.

    Parameters
    ----------
    text : str
        May quote what was typed, between single or double quotes.
    most : int
        Longest text; more of it is left out in the middle.
    """
    # A text of a megabyte is not looked through for quotes.
    return _shorter(_QUOTED.sub(_short_quote, _printable(_shorter(text, 10 * most))), most)


_QUOTED = re.compile(r"(?<!\w)(['\"])(.*?)\1(?!\w)")


def _short_quote(match: re.Match[str]) -> str:
    mark, said = match.groups()
    return match[0] if len(said) <= ECHO else f"{mark}{said[: ECHO - 3]}...{mark}"


def _shorter(text: str, most: int) -> str:
    if len(text) <= most:
        return text
    return f"{text[: most // 2]} ... {text[-(most // 2 - 5) :]}"


def _printable(text: str) -> str:
    return "".join(c if c.isprintable() else " " for c in text)
