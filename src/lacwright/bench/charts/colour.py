"""Colours side by side: the steps of a strip, and what is wished beside what comes of it."""

from __future__ import annotations

from collections.abc import Sequence

from lacwright.bench.charts.draw import NARROW, WIDE, Sheet
from lacwright.colour import Step

HEAD, FOOT, GAP = 24.0, 24.0, 12.0
HIGH, HIGH_NARROW = 84.0, 64.0
LETTERS = 7.5
"""Width of a letter at most."""

Row = tuple[str, Sequence[Step]]


def steps_chart(rows: Sequence[Row], width: float = WIDE) -> str:
    """Return strips of a wood: bare, then 1 to N coats; one below the other.

    Parameters
    ----------
    rows : sequence of (str, sequence of Step)
        At least one, each with what it is called.
    width : float
        Of the drawing.
    """
    high = HIGH_NARROW if width <= NARROW else HIGH
    each = HEAD + high + FOOT + GAP
    told = " ".join(
        f"{called}: {'; '.join(f'{step.called} {step.words}' for step in steps)}."
        for called, steps in rows
    )
    sheet = Sheet(width, each * len(rows) - GAP, "Coats side by side", told)
    for n, (called, steps) in enumerate(rows):
        top = n * each
        sheet.text(0, top + 16, called)
        band = width / len(steps)
        for k, step in enumerate(steps):
            # A hair wider, so that no ground shows between two fields.
            sheet.field(k * band, top + HEAD, band + (0.5 if k + 1 < len(steps) else 0), high,
                        step.hex)  # fmt: skip
            wide = band >= 5 * LETTERS
            words = str(step.coats) if step.coats else "bare" if wide else "0"
            sheet.text((k + 0.5) * band, top + HEAD + high + 17, words, "m soft")
    return sheet.svg()


def beside_chart(
    fields: Sequence[tuple[str, str]], width: float = NARROW, *, words: bool = True
) -> str:
    """Return colours that touch each other, each with its word below.

    Parameters
    ----------
    fields : sequence of (str, str)
        Words and "#rrggbb".
    width : float
        Of the drawing.
    words : bool
        Whether the words stand there; a small drawing has no room for them.
    """
    told = ", ".join(called for called, _ in fields)
    sheet = Sheet(width, HIGH_NARROW + (FOOT if words else 0), "Colours side by side",
                  f"From left to right: {told}.")  # fmt: skip
    band = width / len(fields)
    for k, (called, colour) in enumerate(fields):
        sheet.field(k * band, 0, band + (0.5 if k + 1 < len(fields) else 0), HIGH_NARROW, colour)
        if words:
            sheet.text((k + 0.5) * band, HIGH_NARROW + 17, called, "m soft")
    return sheet.svg()
