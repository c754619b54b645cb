"""On what was worked: which job, which piece, which of its parts; what all work has in common."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from lacwright.figures import Refusal, nearest
from lacwright.shop import names
from lacwright.shop.asked import things
from lacwright.shop.models import Job, Piece
from lacwright.shop.services.pieces import WHOLE

MOST_MINUTES = 7 * 24 * 60
"""More working time in one entry is taken for a slip."""
MOST_G = 1e6
"""More of a mix, a jar or a coat in one entry is taken for a slip [g]."""
LONGEST_NOTE = 20_000


@dataclass(frozen=True)
class Work:
    """A piece, and the job on it if there is one."""

    job: Job | None
    piece: Piece

    @property
    def refs(self) -> dict[str, str]:
        """Both by name."""
        refs = {"piece": self.piece.key}
        return refs if self.job is None else {"job": self.job.key, **refs}

    @property
    def place(self) -> str:
        """Where what is laid lies."""
        return names.place_key(Piece, self.piece.key)


def work_of(job: str | None, piece: str | None) -> Work:
    """Return on what was worked.

    Parameters
    ----------
    job : str or None
        Name of the job; a panel needs none.
    piece : str or None
        Name of the piece or panel; that of the job if left out.

    Raises
    ------
    Refusal
        If neither is given, one is not in the record, or the piece is not the job's.
    """
    if job is None and piece is None:
        raise Refusal("--job", "neither a job nor a piece is named",
                      "name the job, or the piece or panel")  # fmt: skip
    of_piece = None if piece is None else names.find(Piece, piece, "--piece")
    if job is None:
        assert of_piece is not None
        return Work(None, of_piece)
    of_job = names.find(Job, job, "--job")
    if of_piece is not None and of_piece.pk != of_job.piece_id:
        raise Refusal("--piece", f"job '{of_job.key}' is about piece '{of_job.piece.key}', not "
                      f"'{of_piece.key}'", "leave out one of the two")  # fmt: skip
    return Work(of_job, of_piece or things(Piece, "WHERE t.id IN ({})", [of_job.piece_id])[0])


def parts_of(piece: Piece, parts: Iterable[str], where: str = "--part") -> list[str]:
    """Return the parts that are meant, as the piece calls them; none is the whole piece.

    Raises
    ------
    Refusal
        For a part that a piece with known parts does not have.
    """
    known = [part for part in piece.areas_m2 if part != WHOLE]
    out: dict[str, None] = {}
    for part in parts:
        name = names.read_name(part, where)
        if known and name not in known:
            raise Refusal(where, f"piece '{piece.key}' has no part '{name}'",
                          nearest(name, known))  # fmt: skip
        out[name] = None
    return list(out)


def area_of(piece: Piece, parts: Iterable[str]) -> float | None:
    """Return the area of some parts (of all, if none is named) [m2]; None if one is not known."""
    wanted = tuple(parts) or tuple(piece.areas_m2)
    if not wanted or any(part not in piece.areas_m2 for part in wanted):
        return None
    return float(sum(piece.areas_m2[part] for part in wanted))


def words(texts: Iterable[str], where: str) -> list[str]:
    """Return names of faces and the like, tidied."""
    return [names.read_name(text, where) for text in texts]


def number(
    value: float | None, where: str, *, zero: bool = True, most: float = MOST_G,
    mend: str = "check the number and its unit",
) -> float | None:  # fmt: skip
    """Return a number that can be, None where it was not said.

    Raises
    ------
    Refusal
        Below 0 (or at 0, if that makes no sense), above `most`, or no number.
    """
    if value is None:
        return None
    if isinstance(value, bool) or not isinstance(value, int | float) or not math.isfinite(value):
        raise Refusal(where, f"{value} is not a number", mend)
    if value < 0 or (value == 0 and not zero):
        raise Refusal(where, f"{value:g} is not above zero", mend)
    if value > most:
        raise Refusal(where, f"{value:g} is more than anybody handles", mend)
    return float(value)


def finite(said: Mapping[str, Any]) -> None:
    """Refuse numbers that are none, before a request is made of them.

    Raises
    ------
    Refusal
        For infinity and what is no number.
    """
    for name, value in said.items():
        if isinstance(value, Mapping):
            finite(value)
        elif isinstance(value, float) and not math.isfinite(value):
            raise Refusal(f"--{name.partition('_')[0]}", f"{value} is not a number",
                          "check the number and its unit")  # fmt: skip


def minutes_of(value: float | None) -> float | None:
    """Return a working time [min]; see `number`."""
    return number(value, "--took", most=MOST_MINUTES, mend="write e.g. 35 min")


def text_of(text: str, where: str, *, needed: bool = False) -> str:
    """Return free text, tidied.

    Raises
    ------
    Refusal
        If it is needed and empty, or longer than a page.
    """
    text = text.strip()
    if needed and not text:
        raise Refusal(where, "nothing is said", "write a few words")
    if len(text) > LONGEST_NOTE:
        raise Refusal(where, f"it has {len(text)} characters", "attach it as a file")
    return text
