"""A sheet of SVG: lines, areas, text, in the ink of the pages, light and dark."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from xml.sax.saxutils import escape

STYLE = (Path(__file__).parent / "ink.css").read_text(encoding="utf-8")

Point = tuple[float, float]
WIDE, NARROW = 720.0, 360.0
"""Width of a drawing on a laptop and on a phone: letters then have the size of the text."""


@dataclass
class Sheet:
    """A drawing of a size in user units, with a title and a description for who cannot see it."""

    width: float
    height: float
    title: str
    told: str
    parts: list[str] = field(default_factory=list)

    def line(self, points: Sequence[Point], kind: str = "line") -> None:
        """Draw a line through points."""
        path = " ".join(f"{x:.1f},{y:.1f}" for x, y in points)
        self.parts.append(f'<polyline class="{kind}" points="{path}"/>')

    def area(self, points: Sequence[Point], kind: str = "band") -> None:
        """Draw a closed area."""
        path = " ".join(f"{x:.1f},{y:.1f}" for x, y in points)
        self.parts.append(f'<polygon class="{kind}" points="{path}"/>')

    def box(self, x: float, y: float, width: float, height: float, kind: str = "bar") -> None:
        """Draw a rectangle."""
        self.parts.append(f'<rect class="{kind}" x="{x:.1f}" y="{y:.1f}" width="{width:.1f}" '
                          f'height="{height:.1f}"/>')  # fmt: skip

    def field(self, x: float, y: float, width: float, height: float, colour: str) -> None:
        """Fill a rectangle with a colour of its own, "#rrggbb": one that is shown."""
        self.parts.append(f'<rect fill="{colour}" x="{x:.1f}" y="{y:.1f}" width="{width:.1f}" '
                          f'height="{height:.1f}"/>')  # fmt: skip

    def text(self, x: float, y: float, words: str, kind: str = "") -> None:
        """Write words; kind "n" ends at x, "m" is centred on it, "soft" is quiet."""
        self.parts.append(f'<text class="{kind}" x="{x:.1f}" y="{y:.1f}">{escape(words)}</text>')

    def svg(self) -> str:
        """Return the drawing."""
        return (
            f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {self.width:g} '
            f'{self.height:g}" role="img" aria-labelledby="t d"><title id="t">'
            f'{escape(self.title)}</title><desc id="d">{escape(self.told)}</desc>'
            f"<style>{STYLE}</style>{''.join(self.parts)}</svg>"
        )


@dataclass(frozen=True)
class Scale:
    """From a value to a place on the sheet."""

    low: float
    high: float
    at_low: float
    at_high: float

    def __call__(self, value: float) -> float:
        """Return the place of a value."""
        share = (value - self.low) / ((self.high - self.low) or 1.0)
        return self.at_low + share * (self.at_high - self.at_low)


def ticks(low: float, high: float, about: int = 5) -> list[float]:
    """Return round values between two ends."""
    span = high - low
    if span <= 0:
        return [low]
    rough = span / about
    power = 10.0 ** math.floor(math.log10(rough))
    step = next(m * power for m in (1, 2, 5, 10) if m * power >= rough)
    first = math.ceil(low / step - 1e-9)
    last = math.floor(high / step + 1e-9)
    return [k * step for k in range(first, last + 1)]


def joined(words: Iterable[str]) -> str:
    """Return "a, b and c"."""
    *first, last = words
    return f"{', '.join(first)} and {last}" if first else last


APART = 16.0
"""Least distance of two lines of words."""


def name_lines(sheet: Sheet, left: float, places: Mapping[str, float]) -> None:
    """Write each name beside the end of its line, none over another."""
    last = -math.inf
    for words, place in sorted(places.items(), key=lambda item: item[1]):
        last = max(place + 5, last + APART)
        sheet.text(left, last, words)


def legend(sheet: Sheet, left: float, top: float, lines: Mapping[str, str]) -> None:
    """Write what each kind of line is, two beside each other; a kind "" has words alone."""
    for n, (words, kind) in enumerate(lines.items()):
        at, down = left + 150.0 * (n % 2), top + APART * (n // 2)
        if kind:
            sheet.line([(at, down), (at + 26, down)], kind)
        sheet.text(at + (32 if kind else 0), down + 5, words)
