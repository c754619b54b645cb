"""Words on pictures: across one that is a guess, and round the rows of a step panel."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from lacwright.figures import Refusal
from lacwright.files.photo_file import Pixels, image_of

if TYPE_CHECKING:
    from PIL import Image, ImageFont

SMALLEST = 9
"""Height of letters below which they are not read [points]."""
_MOST_LINES = 4
_PAPER, _INK = (250, 250, 248), (24, 24, 24)


@dataclass(frozen=True, eq=False)
class Row:
    """One row of a step panel.

    Parameters
    ----------
    words : str
        What stands above it.
    bands : tuple of str
        What stands above each band, from left to right.
    edges : sequence of int
        Where each band begins, and where the last ends [points].
    pixels : array of uint32, shape (height, width)
    across : str
        Words across it, "" for none.
    """

    words: str
    bands: tuple[str, ...]
    edges: Sequence[int]
    pixels: Pixels
    across: str


def across(image: Image.Image, words: str) -> Image.Image:
    """Return a picture with words across its whole width, in its lower part.

    They stand so far up that cutting them off would cut off a part of the board.

    Raises
    ------
    Refusal
        If the picture is too small for words.
    """
    from PIL import Image, ImageDraw

    made = image.convert("RGB")
    lines, font = _fitted(words, made.width * 94 // 100, made.height // 3)
    draw = ImageDraw.Draw(made)
    text = "\n".join(lines)
    left, top, right, bottom = draw.multiline_textbbox((0, 0), text, font=font, align="center")
    high = bottom - top
    deep = min(int(1.8 * high), made.height)
    begin = min(int(made.height * 0.72), made.height - deep)
    box = (0, begin, made.width, begin + deep)
    strip = made.crop(box)
    made.paste(Image.blend(strip, Image.new("RGB", strip.size), 0.6), box)
    at = ((made.width - (right - left)) / 2 - left, (box[1] + box[3] - high) / 2 - top)
    draw.multiline_text(at, text, font=font, align="center", fill=(255, 255, 255))
    return made


def panel_image(rows: Sequence[Row], below: Sequence[str]) -> Image.Image:
    """Return a step panel: rows with their words, and what is not claimed below them.

    Raises
    ------
    Refusal
        If the picture is too small for words.
    """
    from PIL import Image, ImageDraw

    width = rows[0].pixels.shape[1]
    size = max(width // 60, SMALLEST + 3)
    gap = size // 2
    font, small = _font(size), _font(max(size * 2 // 3, SMALLEST))
    foot = [line for text in below for line in _wrapped(text, small, width - 2 * gap)]
    head = 2 * size + 2 * gap
    line = size  # of the small letters
    high = sum(head + row.pixels.shape[0] for row in rows) + gap + line * len(foot) + gap
    made = Image.new("RGB", (width, high), _PAPER)
    draw = ImageDraw.Draw(made)
    y = 0
    for row in rows:
        draw.text((gap, y + gap // 2), _cut(row.words, font, width - 2 * gap), font=font, fill=_INK)
        for words, left, right in zip(row.bands, row.edges, row.edges[1:], strict=False):
            told = _cut(words, small, right - left)
            wide = small.getlength(told)
            draw.text(((left + right - wide) / 2, y + gap + size), told, font=small, fill=_INK)
        picture = image_of(row.pixels)
        made.paste(across(picture, row.across) if row.across else picture.convert("RGB"),
                   (0, y + head))  # fmt: skip
        y += head + row.pixels.shape[0]
    y += gap
    for text in foot:
        draw.text((gap, y), text, font=small, fill=_INK)
        y += line
    return made


def _fitted(
    words: str, width: int, height: int
) -> tuple[list[str], ImageFont.FreeTypeFont | ImageFont.ImageFont]:  # fmt: skip
    """Return lines and the largest letters in which they fit."""
    for size in range(max(min(height // 2, width // 36, 160), SMALLEST), SMALLEST - 1, -1):
        font = _font(size)
        lines = _wrapped(words, font, width)
        if (len(lines) <= _MOST_LINES and len(lines) * size * 1.3 <= height
                and all(font.getlength(line) <= width for line in lines)):  # fmt: skip
            return lines, font
    raise Refusal("photo", "it is too small for the words that must stand on it",
                  "use one of 300 points or more each way")  # fmt: skip


def _wrapped(
    words: str, font: ImageFont.FreeTypeFont | ImageFont.ImageFont, width: float
) -> list[str]:
    lines: list[str] = []
    for word in words.split():
        if lines and font.getlength(f"{lines[-1]} {word}") <= width:
            lines[-1] += f" {word}"
        else:
            lines.append(word)
    return lines


def _cut(words: str, font: ImageFont.FreeTypeFont | ImageFont.ImageFont, width: float) -> str:
    if font.getlength(words) <= width:
        return words
    while words and font.getlength(words + "...") > width:
        words = words[:-1]
    return words + "..." if words else ""


def _font(size: int) -> ImageFont.FreeTypeFont | ImageFont.ImageFont:
    from PIL import ImageFont

    return ImageFont.load_default(size)
