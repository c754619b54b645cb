"""Step strips: grades as rows, the bare wood and 1 to N coats beside each other."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from lacwright.bench.charts.draw import WIDE, Sheet
from lacwright.colour import Step, colour_words

FIELD, GAP, LINE = 64.0, 6.0, 16.0
LEAST = 94.0
"""Least width of a field: its words must be read."""
LETTER = 7.6
"""About the width of a letter; what is longer goes onto the next line."""
HEAD, ROW_GAP, WORD_LINES = 22.0, 18.0, 3
SCREEN = "Screen colours of an estimate; a screen that was not calibrated shows others."


@dataclass(frozen=True)
class Strip:
    """One row.

    Parameters
    ----------
    called : str
        Such as "amber, coats of 3.5 g/m2".
    steps : sequence of Step
        From bare to the last coat.
    sure : str
        What may be claimed of it: "direction and rank only".
    """

    called: str
    steps: Sequence[Step]
    sure: str


def strip_chart(strips: Sequence[Strip], title: str, width: float = WIDE) -> str:
    """Return strips as a drawing: each field with its coats and its colour in words.

    Parameters
    ----------
    strips : sequence of Strip
    title : str
        Such as "Maple under amber and garnet".
    width : float
        Of the drawing; a strip that is longer goes on below.
    """
    across = max(int((width + GAP) // (LEAST + GAP)), 1)
    foot = _wrapped(SCREEN, width)
    heights = [HEAD + _lines(s, across) * (FIELD + (1 + WORD_LINES) * LINE + GAP) for s in strips]
    heads = [_wrapped(f"{s.called}: {s.sure}", width) for s in strips]
    height = sum(heights) + sum(LINE * (len(h) - 1) for h in heads) + ROW_GAP * len(strips)
    sheet = Sheet(width, height + LINE * len(foot) + 8, title, told(strips))
    top = 0.0
    for strip, head, high in zip(strips, heads, heights, strict=True):
        for n, line in enumerate(head):
            sheet.text(0, top + LINE * (n + 1), line)
        begin = top + HEAD + LINE * (len(head) - 1)
        for k, step in enumerate(strip.steps):
            _field(sheet, step, (k % across) * (LEAST + GAP),
                   begin + (k // across) * (FIELD + (1 + WORD_LINES) * LINE + GAP))  # fmt: skip
        top += high + LINE * (len(head) - 1) + ROW_GAP
    for n, line in enumerate(foot):
        sheet.text(0, top + LINE * (n + 1) - 4, line, "soft")
    return sheet.svg()


def told(strips: Sequence[Strip]) -> str:
    """Return the strips in words, for who cannot see them."""
    rows = []
    for strip in strips:
        fields = "; ".join(f"{s.called}: {colour_words(s.lab)}" for s in strip.steps)
        rows.append(f"{strip.called} ({strip.sure}). {fields}.")
    return f"{SCREEN} {' '.join(rows)}"


def _lines(strip: Strip, across: int) -> int:
    return math.ceil(len(strip.steps) / across)


def _field(sheet: Sheet, step: Step, left: float, top: float) -> None:
    sheet.field(left, top, LEAST, FIELD, step.hex)
    sheet.text(left, top + FIELD + LINE, step.called)
    for n, line in enumerate(_wrapped(colour_words(step.lab), LEAST)[:WORD_LINES]):
        sheet.text(left, top + FIELD + LINE * (n + 2), line, "soft")


def _wrapped(words: str, width: float) -> list[str]:
    lines = [""]
    for word in words.split():
        longer = f"{lines[-1]} {word}".strip()
        if lines[-1] and len(longer) * LETTER > width:
            lines.append(word)
        else:
            lines[-1] = longer
    return lines
