"""Which coats an hour is judged for: those of a plan, those that lie on a piece, one by hand."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Any

from lacwright.drying import Board, Planned, Task, WetCoat, own_constants
from lacwright.figures import Caution, Figure, Hand, Learned, Mark, Refusal, Stop
from lacwright.figures.draws import Draws
from lacwright.figures.spoken import trimmed
from lacwright.files.coat_words import SESSION, read_below, usual_film
from lacwright.plan import Plan
from lacwright.plan.cautions import Job as Opened
from lacwright.plan.cautions import cautions_of_job
from lacwright.plan.own import OwnFigures
from lacwright.plan.wet import LaidCoat, hand_of, laid_coats
from lacwright.shop.queries.laid import Laid
from lacwright.solution import NOT_STATED, Alcohol, caution, read_alcohol
from lacwright.trade import table

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


@dataclass(frozen=True)
class Wanted:
    """What is judged, and what is told with it.

    Parameters
    ----------
    coats : tuple of Planned
        Each distinct coat once.
    silent : tuple of (str, str)
        Coats of which the model says nothing, and why.
    hand : mapping
        The shop's own constants of the drying coat.
    assumed : tuple of str
        What was not said, and what stands in.
    cautions, stops
        Standing.
    """

    coats: tuple[Planned, ...]
    silent: tuple[tuple[str, str], ...]
    hand: Hand
    assumed: tuple[str, ...]
    cautions: tuple[Caution, ...]
    stops: tuple[Stop, ...]


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
            return Wanted((), (), {}, (), *_told_with(NOT_STATED))
        raise Refusal("coats", "neither a job nor a coat is told",
                      "choose one, say method and alcohol, or your own measured chill")  # fmt: skip
    if not said.alcohol:
        raise Refusal("alcohol", "it is not said, and how a coat dries hangs on it", "name it")
    spirit = read_alcohol(said.alcohol, where="alcohol")
    cautions, stops = _told_with(spirit, method=said.method)
    if spirit.parts is None and ruled:
        why = "the composition of its alcohol is unknown, and how it dries hangs on what it is"
        return Wanted((), ((said.method or "coat", why),), {}, (), cautions, stops)
    coat, assumed = _coat(said, spirit, OwnFigures([own], Draws(0)))
    board, of_board = _board(said)
    below = [text.strip() for text in said.below.split(";") if text.strip()]
    under = read_below(below, coat=coat, own=own, where="below")
    name = f"{said.method.replace('-', ' ') or 'coat'}, {coat.wet_um:.0f} um on {board.wood}"
    return Wanted((Planned(name, Task(coat, under, board)),), (), own_constants(own),
                  (*assumed, *of_board), _with_slow(cautions), stops)  # fmt: skip


def of_plan(plan: Plan) -> Wanted:
    """Return the distinct coats of a plan; none where it lays none that the model knows."""
    laid = laid_coats(plan)
    coats = _distinct((one.method, one.part, one.coat, one.board) for one in laid)
    cautions = tuple(plan.cautions)
    return Wanted(coats, _silent(laid), hand_of(plan.own), (),
                  _with_slow(cautions) if coats else cautions, tuple(plan.stops))  # fmt: skip


def of_laid(laid: Iterable[Laid], own: Own) -> Wanted:
    """Return the coats that lie on a piece on top, as one more of each."""
    found = tuple(laid)
    coats = _distinct(
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
                  _with_slow(cautions) if coats else cautions, stops)  # fmt: skip


def _distinct(
    found: Iterable[tuple[str, str, WetCoat | None, Board]],
) -> tuple[Planned, ...]:
    """Return every distinct coat once, named by method, film and the first part it lies on."""
    out: dict[tuple[Any, ...], Planned] = {}
    for method, part, coat, board in found:
        if coat is None:
            continue
        board = replace(board, length_m=round(board.length_m, 2))
        key = (method, round(coat.wet_um, 1), round(coat.cut_lb_per_gal, 2),
               tuple(sorted(coat.parts.items())), board)  # fmt: skip
        name = f"{method.replace('-', ' ')} on {part}, {coat.wet_um:.0f} um"
        out.setdefault(key, Planned(name, Task(coat, (), board)))
    return tuple(out.values())


def _silent(laid: Iterable[LaidCoat]) -> tuple[tuple[str, str], ...]:
    return tuple(dict.fromkeys((f"{c.method.replace('-', ' ')} on {c.part}", c.why_not)
                               for c in laid if c.coat is None))  # fmt: skip


def _coat(
    said: ByHand, spirit: Alcohol, own: OwnFigures
) -> tuple[WetCoat, tuple[str, ...]]:  # fmt: skip
    """Return the coat, and what stands in for what was not said of it."""
    if said.method == SESSION:
        raise Refusal("method", "a session is many passes, and alcohol leaves between them",
                      "ask for one pass: french-polish-pass")  # fmt: skip
    cut, wet_um, assumed = said.cut, said.wet_um, []
    for name, value in (("cut", cut), ("wet", wet_um)):
        if value is None and not said.method:
            raise Refusal(name, "it is not said", "say it, or how the coat is laid")
    if cut is None:
        figure = own.figure(f"cut.{said.method}")
        cut = figure.number()
        assumed.append(f"cut {_shown(figure, '-lb')}")
    if wet_um is None:
        film = usual_film(said.method, own)
        wet_um = film.number()
        assumed.append(f"wet film {_shown(film, ' um')}")
    density = own.value("resin_density") if own.said("resin_density") else None
    parts = None if spirit.parts is None else dict(spirit.parts)
    return WetCoat(wet_um, cut, parts, density, said.method), tuple(assumed)


def _board(said: ByHand) -> tuple[Board, tuple[str, ...]]:
    usual = Board()
    assumed = []
    if not said.wood:
        assumed.append(f"board of {usual.wood}")
    if said.thickness_mm is None:
        assumed.append(f"board {usual.thickness_mm:g} mm thick")
    thick = usual.thickness_mm if said.thickness_mm is None else said.thickness_mm
    return Board(wood=said.wood or usual.wood, thickness_mm=thick), tuple(assumed)


def _shown(figure: Figure, unit: str) -> str:
    text = trimmed(figure.number(), 2) + unit
    if figure.low is not None and figure.high is not None and figure.high > figure.low:
        text += f" ({trimmed(figure.low, 2)} to {trimmed(figure.high, 2)})"
    if figure.mark is Mark.OWN:
        return f"{text}, your own figure"
    return f"{text}, as the method has it: {figure.mark}"


def _told_with(
    alcohol: Alcohol, *, method: str = ""
) -> tuple[tuple[Caution, ...], tuple[Stop, ...]]:  # fmt: skip
    sprays = bool(method) and table("methods")[method].text("kind") == "spray"
    return cautions_of_job(Opened(alcohols=(alcohol,), sprays=sprays))


def _with_slow(cautions: tuple[Caution, ...]) -> tuple[Caution, ...]:
    """Return the cautions with those of a slow alcohol, which is judged and proposed here."""
    slow = (caution("slow-alcohol-eyes"), caution("slow-alcohol-limits"))
    return tuple(dict.fromkeys((*cautions[:-1], *slow, *cautions[-1:])))
