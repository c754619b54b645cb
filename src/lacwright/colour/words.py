"""A colour in words, and against another."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from lacwright.colour.spaces import chroma, hue_deg
from lacwright.trade import table


def colour_words(lab: ArrayLike) -> str:
    """Return what people would call a colour of wood.

    Examples
    --------
    >>> colour_words([60.0, 14.0, 42.0])
    'warm brown'
    """
    lab = np.asarray(lab, dtype=float)
    measures = {
        "lightness": float(lab[0]),
        "hue": float(hue_deg(lab)),
        "chroma": float(chroma(lab)),
    }
    for row in table("colour_words"):
        if all(row.number(f"{k}_from") <= v < row.number(f"{k}_to") for k, v in measures.items()):
            return row.text("words")
    return "a colour without a name here"


def difference_words(lab: ArrayLike, before: ArrayLike, called: str = "the bare wood") -> str:
    """Return how a colour stands against another: "clearly darker than the bare wood"."""
    lab, before = np.asarray(lab, dtype=float), np.asarray(before, dtype=float)
    step = float(lab[0] - before[0])
    turn = float((hue_deg(lab) - hue_deg(before) + 180) % 360 - 180)
    richer = float(chroma(lab) - chroma(before))
    said = []
    if abs(step) >= _edge("a-little"):
        grade = next(w for k, w in _GRADES if abs(step) >= _edge(k))
        said.append(f"{grade} {'darker' if step < 0 else 'lighter'}")
    if abs(turn) >= _edge("turn") and min(chroma(lab), chroma(before)) >= _edge("coloured"):
        said.append("redder" if turn < 0 else "yellower")
    elif abs(richer) >= _edge("richer"):
        said.append("richer in colour" if richer > 0 else "duller")
    if not said:
        return f"hardly different from {called}"
    return f"{' and '.join(said)} than {called}"


_GRADES = (("much", "much"), ("clearly", "clearly"), ("a-little", "a little"))


def _edge(key: str) -> float:
    return table("colour_constants")[f"words.{key}"].number("value")
