"""The maker's own board under films: as a panel of steps, under one film, in full size."""

from __future__ import annotations

import threading
from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from typing import TYPE_CHECKING, Any

import numpy as np

from lacwright.bench import boards
from lacwright.bench.colours import Coat, Own, Wood, own_key, own_now
from lacwright.bench.colours import OwnKey as Key
from lacwright.colour import Pixels, band_edges, bare_for, grade_for, polygon
from lacwright.figures import Figure, Refusal
from lacwright.files.board_photo import BoardPhoto, Shown, board_photo
from lacwright.files.photo_file import encode, image_of
from lacwright.files.photo_marks import read_corners
from lacwright.files.photo_words import Row, across, panel_image

if TYPE_CHECKING:
    from PIL import Image

BOARDS, PICTURES, MADE = 4, 60, 12
MOST_GRADES, MOST_COATS = 6, 12
FLAT, SQUARE = 0.25, 0.75
"""Height of a row of a panel, as a share of its width: of several rows, of one."""
LEAST = 300
"""Least width of what is shown [points]: words must stand on it."""
LETTERS = 0.034
"""Height of the letters on a panel of the page, as a share of its width."""
ROW_POINTS, PANEL_POINTS = 4_000_000, 24_000_000
"""A panel in full size is looked at whole: it and each of its rows are made no larger."""

Box = tuple[float, float, float, float]


@dataclass(frozen=True)
class Marks:
    """What is said about a photo: its wood and light, and where the board is.

    Parameters
    ----------
    sha : str
        The photo.
    wood : Wood
        Its wood, and its colour where that was measured.
    box : tuple of four floats or None
        Left, top, right, bottom of the board as shares [0 to 1]; None for all of the photo.
    card : str
        Corners of a 24-patch card, "" for none.
    """

    sha: str
    wood: Wood = field(default_factory=Wood)
    box: Box | None = None
    card: str = ""


@dataclass(frozen=True)
class Asked:
    """What is to be seen of a board.

    Parameters
    ----------
    marks : Marks
    grades : tuple of str
        Rows.
    coats : int
        Bands: bare, then 1 to so many.
    coat : Coat
    """

    marks: Marks
    grades: tuple[str, ...]
    coats: int
    coat: Coat = field(default_factory=Coat)


@dataclass(frozen=True, eq=False)
class Made:
    """A board, ready to be shown.

    Parameters
    ----------
    board : BoardPhoto
    coat : Figure
        Dry lac of one coat [g/m2].
    films : tuple of Shown
        Of each grade all coats.
    asked : Asked
    """

    board: BoardPhoto
    coat: Figure
    films: tuple[Shown, ...]
    asked: Asked

    def film(self, grade: str, coats: int) -> Shown:
        """Return one film.

        Raises
        ------
        KeyError
            For a grade or a number that was not asked for.
        """
        found = next((f for f in self.films if f.grade.name == grade), None)
        if found is None or not 1 <= coats <= self.asked.coats:
            raise KeyError(grade)
        return self.board.shown(found.grade, coats, self.coat.number())


@dataclass(frozen=True)
class Panel:
    """How a panel of the page is laid out [points]: rows below each other, each with a head."""

    width: int
    row: int
    edges: tuple[int, ...]
    rows: int

    @property
    def letters(self) -> int:
        """Height of the letters."""
        return max(12, round(LETTERS * self.width))

    @property
    def head(self) -> int:
        """Height of what stands above a row."""
        return round(2.6 * self.letters)

    @property
    def height(self) -> int:
        """Height of it all."""
        return self.rows * (self.head + self.row)

    def cell(self, x: float, y: float) -> tuple[int, int] | None:
        """Return row and band at a place [shares], None on a head or outside."""
        across_, down = x * self.width, y * self.height
        row, rest = divmod(down, self.head + self.row)
        band = int(np.searchsorted(self.edges, across_, side="right")) - 1
        inside = 0 <= row < self.rows and rest >= self.head and 0 <= band < len(self.edges) - 1
        return (int(row), band) if inside else None


def made_of(asked: Asked, *, whole: bool = False) -> Made:
    """Return a board with its films: of the smaller photo, or of the whole one.

    Raises
    ------
    Refusal
        For a photo that is gone, a wood, grade, card or load that cannot be.
    """
    own = own_now()
    if whole:
        return _ready(asked, own, whole=True)
    made = _made(asked, own_key(own))
    if isinstance(made, Refusal):
        raise made.with_traceback(None)
    return made


def panel_of(made: Made) -> Panel:
    """Return how the panel of the page is laid out.

    Raises
    ------
    Refusal
        If what is marked of the photo is too small for words.
    """
    left, top, right, bottom = _points(made)
    width, height = right - left, bottom - top
    if width < LEAST or height < LEAST // 4:
        raise Refusal("right", "so small a part of the photo has no room for the words that must "
                      "stand on it", "mark more of it, or send a larger photo")  # fmt: skip
    flat = FLAT if len(made.films) > 1 else SQUARE
    return Panel(width, max(1, min(height, round(flat * width))),
                 tuple(band_edges(width, made.asked.coats + 1)), len(made.films))  # fmt: skip


def panel_picture(asked: Asked) -> bytes:
    """Return the panel of the page: the middle of the board in bands, grades as rows [JPEG]."""
    return _kept(asked, "", 0, own_key(own_now()))


def one_picture(asked: Asked, grade: str, coats: int) -> bytes:
    """Return the board under one film, bare without coats [JPEG].

    Raises
    ------
    KeyError
        For a grade or a number that was not asked for.
    """
    return _kept(asked, grade or "-", coats, own_key(own_now()))


def full_picture(asked: Asked, grade: str, coats: int) -> bytes:
    """Return the same in the size of the photo; without a grade the whole panel [JPEG].

    Raises
    ------
    Refusal
        See `made_of`.
    KeyError
        For a grade or a number that was not asked for.
    """
    made = made_of(asked, whole=True)
    if grade:
        return encode(_one(made, grade, coats), "JPEG")
    return encode(_whole_panel(made), "JPEG")


_alone = threading.Lock()


@lru_cache(maxsize=PICTURES)
def _kept(asked: Asked, grade: str, coats: int, key: Key) -> bytes:
    with _alone:  # one at a time: a picture takes memory, and the processor has two cores
        made = _made(asked, key)
        if isinstance(made, Refusal):
            raise made.with_traceback(None)
        image = _one(made, grade, coats) if grade else _panel(made)
        return encode(image, "JPEG")


@lru_cache(maxsize=MADE)
def _made(asked: Asked, key: Key) -> Made | Refusal:
    try:
        return _ready(asked, key.own, whole=False)
    except Refusal as refusal:
        return refusal.with_traceback(None)


def _ready(asked: Asked, own: Own, *, whole: bool) -> Made:
    coat = asked.coat.figure(own)
    board = _board(asked.marks, own, whole=True) if whole else _small_board(
        asked.marks, own_key(own)
    )  # fmt: skip
    films = tuple(board.shown(grade_for(name, own), asked.coats, coat.number())
                  for name in asked.grades)  # fmt: skip
    return Made(board, coat, films, asked)


@lru_cache(maxsize=BOARDS)
def _small_board(marks: Marks, key: Key) -> BoardPhoto:
    return _board(marks, key.own, whole=False)


def _board(marks: Marks, own: Own, *, whole: bool) -> BoardPhoto:
    one = boards.find(marks.sha)
    if one is None:
        raise Refusal("photo", "it is gone", "send it again")
    photo = boards.photo(one, whole=whole)
    where = None
    if marks.box is not None:
        left, top, right, bottom = marks.box
        where = polygon([[left, top], [right, top], [right, bottom], [left, bottom]],
                        photo.width, photo.height, "box")  # fmt: skip
    return board_photo(
        photo, board=where, wood=bare_for(marks.wood.name, own) if marks.wood.name else None,
        lab=marks.wood.lab, viewing=None if marks.wood.lab is None else marks.wood.viewing,
        card=read_corners(marks.card, "card") if marks.card else None,
    )  # fmt: skip


def _one(made: Made, grade: str, coats: int) -> Image.Image:
    if not coats:
        return image_of(made.board.bare_pixels()).convert("RGB")
    film = made.film(grade, coats)
    image = image_of(made.board.pixels(film))
    return across(image, film.across) if film.guessed else image.convert("RGB")


def _points(made: Made) -> tuple[int, int, int, int]:
    """Return the box of the board [points]."""
    height, width = made.board.palette.index.shape
    left, top, right, bottom = made.asked.marks.box or (0.0, 0.0, 1.0, 1.0)
    x0, y0 = min(int(left * width), width - 2), min(int(top * height), height - 2)
    return x0, y0, max(round(right * width), x0 + 2), max(round(bottom * height), y0 + 2)


def _bands(made: Made, film: Shown, rows: slice) -> Pixels:
    """Return rows of the board in bands: bare, then 1 to all coats."""
    left, _, right, _ = _points(made)
    edges = band_edges(right - left, film.coats + 1)
    out = None
    for n in range(film.coats + 1):
        whole = (made.board.pixels(made.film(film.grade.name, n)) if n
                 else made.board.bare_pixels())  # fmt: skip
        part = whole[rows, left:right]
        out = np.empty_like(part) if out is None else out
        out[:, edges[n] : edges[n + 1]] = part[:, edges[n] : edges[n + 1]]
    assert out is not None
    return out


def _panel(made: Made) -> Image.Image:
    from PIL import Image, ImageDraw, ImageFont

    laid = panel_of(made)
    _, top, _, bottom = _points(made)
    begin = top + (bottom - top - laid.row) // 2
    sheet = Image.new("RGB", (laid.width, laid.height), (250, 250, 248))
    draw, font = ImageDraw.Draw(sheet), ImageFont.load_default(laid.letters)
    for n, film in enumerate(made.films):
        y = n * (laid.head + laid.row)
        draw.text((4, y), film.grade.name, font=font, fill=(24, 24, 24))
        for k, (left, right) in enumerate(zip(laid.edges, laid.edges[1:], strict=False)):
            words = str(k) if k else "bare" if right - left > 2.5 * laid.letters else "0"
            wide = font.getlength(words)
            draw.text(((left + right - wide) / 2, y + 1.3 * laid.letters), words, font=font,
                      fill=(24, 24, 24))  # fmt: skip
        picture = image_of(_bands(made, film, slice(begin, begin + laid.row)))
        told = across(picture, film.across_bands) if film.guessed else picture.convert("RGB")
        sheet.paste(told, (0, y + laid.head))
    return sheet


def _whole_panel(made: Made) -> Any:
    rows: list[Row] = []
    _, top, _, bottom = _points(made)
    for film in made.films:
        bands = _smaller(_bands(made, film, slice(top, bottom)), len(made.films))
        edges = band_edges(bands.shape[1], film.coats + 1)
        rows.append(Row(
            f"{film.grade.name}, 0 to {film.coats} coats of {made.coat.number():.3g} g/m2",
            ("bare", *(str(n) for n in range(1, film.coats + 1))), edges, bands,
            film.across_bands,
        ))  # fmt: skip
    return panel_image(rows, [f"{c.text}." for c in made.board.cautions(made.films)])


def _smaller(pixels: Pixels, rows: int) -> Pixels:
    most = min(ROW_POINTS, PANEL_POINTS // rows)
    if pixels.size <= most:
        return pixels
    share = (most / pixels.size) ** 0.5
    size = (max(int(pixels.shape[1] * share), 1), max(int(pixels.shape[0] * share), 1))
    image = image_of(pixels).convert("RGB").resize(size, reducing_gap=2.0)
    flat = np.frombuffer(image.tobytes("raw", "RGBX"), dtype="<u4") & 0xFFFFFF
    return flat.reshape(image.height, image.width).astype(np.uint32)


def box_of(shares: Sequence[float | None]) -> Box | None:
    """Return left, top, right, bottom; None where nothing was said.

    Raises
    ------
    Refusal
        For a box that holds nothing.
    """
    if all(share is None for share in shares):
        return None
    left, top, right, bottom = (
        usual if share is None else share
        for share, usual in zip(shares, (0.0, 0.0, 1.0, 1.0), strict=True)
    )
    for name, low, high in (("right", left, right), ("bottom", top, bottom)):
        if not 0 <= low < high <= 1:
            raise Refusal(name, "the box of the board holds nothing",
                          "left and top come first, right and bottom lie behind")  # fmt: skip
    return left, top, right, bottom
