"""Which coats an hour is judged for: those of a plan, those that lie on a piece, one by hand."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from lacwright.drying import Planned, Task, own_constants
from lacwright.figures import Figure, Learned, Refusal
from lacwright.files.coat_words import read_below
from lacwright.files.stated_coat import stated_board, stated_coat
from lacwright.plan.cautions import Job as Opened
from lacwright.plan.cautions import cautions_of_job
from lacwright.plan.judged import Wanted, distinct, told_with, with_slow
from lacwright.shop.queries.laid import Laid
from lacwright.solution import NOT_STATED, read_alcohol

Own = Mapping[str, Figure | Learned]


@dataclass(frozen=True)
class ByHand:
    """A coat as it was typed: None or "" where nothing was said."""

    method: str = ""
    wet_um: float | None = None
    cut: float | None = None
    alcohol: str = ""
    wood: str = ""
    thickness_mm: float | None = None
    below: str = ""

    @property
    def said(self) -> bool:
        """Whether anything of the coat itself was said."""
        return bool(self.method or self.alcohol or self.wet_um or self.cut or self.below)


def by_hand(said: ByHand, own: Own, *, ruled: bool) -> Wanted:
    """Return a coat as it was typed.

    Parameters
    ----------
    said : ByHand
        What was typed.
    own : mapping
        Own figures of the shop.
    ruled : bool
        Whether the maker's own measured chill can stand in for the model.

    Raises
    ------
    Refusal
        Where a coat is not told, or its alcohol is unknown, and nothing stands in for the model.
    """
    if not said.said:
        if ruled:
            return Wanted((), (), {}, (), *told_with(NOT_STATED))
        raise Refusal("coats", "neither a job nor a coat is told",
                      "choose one, say method and alcohol, or your own measured chill")  # fmt: skip
    if not said.alcohol:
        raise Refusal("alcohol", "it is not said, and how a coat dries hangs on it", "name it")
    spirit = read_alcohol(said.alcohol, where="alcohol")
    cautions, stops = told_with(spirit, method=said.method)
    if spirit.parts is None and ruled:
        why = "the composition of its alcohol is unknown, and how it dries hangs on what it is"
        return Wanted((), ((said.method or "coat", why),), {}, (), cautions, stops)
    stated = stated_coat(method=said.method, wet_um=said.wet_um, cut=said.cut, alcohol=spirit,
                         own=own)  # fmt: skip
    coat, assumed = stated.coat, stated.assumed
    board, of_board = stated_board(wood=said.wood, thickness_mm=said.thickness_mm)
    below = [text.strip() for text in said.below.split(";") if text.strip()]
    under = read_below(below, coat=coat, own=own, where="below")
    name = f"{said.method.replace('-', ' ') or 'coat'}, {coat.wet_um:.0f} um on {board.wood}"
    return Wanted((Planned(name, Task(coat, under, board)),), (), own_constants(own),
                  (*assumed, *of_board), with_slow(cautions), stops)  # fmt: skip


def of_laid(laid: Iterable[Laid], own: Own) -> Wanted:
    """Return the coats that lie on a piece on top, as one more of each."""
    found = tuple(laid)
    coats = distinct(
        (str(one.event.movement.body["method"] or "coat"), ", ".join(one.parts) or "the piece",
         one.coat, one.board) for one in found
    )  # fmt: skip
    alcohols = tuple(dict.fromkeys(a for one in found for a in one.alcohols)) or (NOT_STATED,)
    cautions, stops = cautions_of_job(Opened(alcohols=alcohols))
    silent = tuple(dict.fromkeys(
        (f"{one.event.movement.body['method'] or 'coat'} on {', '.join(one.parts) or 'the piece'}",
         one.why_not) for one in found if one.coat is None
    ))  # fmt: skip
    told = ("one more coat like the last on each part, on bare board",) if coats else ()
    return Wanted(coats, silent, own_constants(own), told,
                  with_slow(cautions) if coats else cautions, stops)  # fmt: skip
