"""Where a number comes from: its mark, its basis, and which of several marks is the weakest."""

from __future__ import annotations

from enum import StrEnum


class Mark(StrEnum):
    """How far the source of a value can be trusted, strongest first."""

    EXACT = "exact"  # a definition or plain arithmetic
    OWN = "own"  # weighed, measured or decided by the maker himself
    PUBLISHED = "published"  # seen in the named source
    LIBRARY = "library"  # taken from a named general library
    REMEMBERED = "remembered"  # from memory, the named source was not opened
    PRACTICE = "common practice"  # said by many, no source
    GUESS = "guess"  # nothing but a reasoned guess


class Basis(StrEnum):
    """How a figure got its value in this run."""

    GIVEN = "given"
    COMPUTED = "computed"
    DEFAULT = "default"
    LEARNED = "learned"


_ORDER = tuple(Mark)


def weakest(*marks: Mark) -> Mark:
    """Return the weakest of the marks; of none, `Mark.EXACT`."""
    return max(marks, key=_ORDER.index, default=Mark.EXACT)
