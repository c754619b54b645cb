"""The maker's own board under films, as its page shows it."""

from __future__ import annotations

from dataclasses import dataclass

from lacwright.bench import boards
from lacwright.bench.board_pictures import Made, Panel, panel_of
from lacwright.bench.forms.board import BARE, seen_of
from lacwright.colour import colour_words
from lacwright.figures import Figure

WIDTHS = {"wide": 720, "narrow": 320}
"""Widths in which a picture that is tapped is shown [px]; where it was tapped is told in these."""


@dataclass(frozen=True)
class Cell:
    """One field of the panel: which, how it is called, and whether it is the one that is seen."""

    see: str
    words: str
    here: bool


@dataclass(frozen=True)
class Tapped:
    """A picture that can be tapped, in one width."""

    name: str
    width: int
    height: int


@dataclass(frozen=True)
class Seen:
    """The one film that is seen.

    Parameters
    ----------
    see, called, words : str
        Which, what it is called, and its colour in words.
    sure, near, far, basis, marked : str
        What may be said of it; "" for the bare board.
    guessed : bool
    width, height : int
        [points]
    """

    see: str
    called: str
    words: str
    sure: str
    near: str
    far: str
    basis: str
    marked: str
    guessed: bool
    width: int
    height: int


@dataclass(frozen=True)
class BoardShown:
    """A board under films."""

    seen: Seen
    rows: tuple[tuple[str, tuple[Cell, ...]], ...]
    tapped: tuple[Tapped, ...]
    coat: Figure
    usual: bool
    light: str
    notes: tuple[str, ...]
    guessed: tuple[str, ...]
    not_claimed: tuple[str, ...]


def board_shown(made: Made, one: boards.Known, see: str) -> BoardShown:
    """Return a board under films as its page shows it.

    Raises
    ------
    Refusal
        If what is marked of the photo is too small.
    """
    seen = _seen(made, one, see)
    cells = range(made.asked.coats + 1)
    return BoardShown(
        seen,
        tuple((film.grade.name, tuple(_cell(film.grade.name, n, seen.see) for n in cells))
              for film in made.films),
        tapped(panel_of(made)), made.coat, made.asked.coat.load_g_m2 is None, made.board.light,
        made.board.notes, tuple(f.grade.name for f in made.films if f.guessed),
        tuple(c.text for c in made.board.cautions(made.films)),
    )  # fmt: skip


def tapped(panel: Panel) -> tuple[Tapped, ...]:
    """Return a panel in the widths in which it is shown."""
    return tuple(Tapped(name, width, round(width * panel.height / panel.width))
                 for name, width in WIDTHS.items())  # fmt: skip


def see_at(made: Made, x: float, y: float) -> str | None:
    """Return what lies at a place of the panel [shares], None for nothing."""
    cell = panel_of(made).cell(x, y)
    if cell is None:
        return None
    row, band = cell
    return f"{made.films[row].grade.name}:{band}" if band else BARE


def _cell(grade: str, coats: int, seen: str) -> Cell:
    see = f"{grade}:{coats}" if coats else BARE
    return Cell(see, str(coats) if coats else "bare", see == seen)


def _seen(made: Made, one: boards.Known, see: str) -> Seen:
    width, height = one.small_size
    grade, coats = seen_of(see)
    if see == BARE:
        words = colour_words(made.board.lab)
        return Seen(BARE, "Bare", words, "", "", "", "", "", False, width, height)
    try:
        film = made.film(grade, coats)
    except KeyError:
        film = made.films[0]
    claim = film.claim
    return Seen(
        f"{film.grade.name}:{film.coats}", film.called, film.words, claim.words,
        f"{claim.typical:.2g}", f"{claim.most:.2g}", film.basis, str(film.mark), film.guessed,
        width, height,
    )  # fmt: skip
