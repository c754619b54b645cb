"""The lac that a plan leaves on the flats of each part, by grade: what their colour comes from."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from lacwright.figures import Num, central
from lacwright.film import Layer
from lacwright.plan.build import Plan
from lacwright.solution import Resin

LEAST = 0.01
"""Draws that sand through count as so much of the middle: their logarithm has no end."""


@dataclass(frozen=True)
class GradeLeft:
    """What is left of one grade.

    Parameters
    ----------
    grade : str
        A key of the table of grades, "" where nobody said.
    lot : str
        A lot of it, "" where there is only a grade.
    dewaxed : bool
        Whether somebody said that it is.
    g_m2 : float
        Resin in the film [g/m2].
    """

    grade: str
    lot: str
    dewaxed: bool
    g_m2: float


@dataclass(frozen=True)
class LacLeft:
    """What is left on faces of a part that got the same.

    Parameters
    ----------
    part : str
    faces : tuple of str
        Empty where all coated faces of the part got the same.
    wood : str
        Key of the table of woods, "unknown" where nobody said.
    coats : int
        That were laid.
    grades : tuple of GradeLeft
        After soak-in, sanding and rubbing.
    ln_sd : float or None
        How well the whole is known (spread of its logarithm); None where nothing is left.
    """

    part: str
    faces: tuple[str, ...]
    wood: str
    coats: int
    grades: tuple[GradeLeft, ...]
    ln_sd: float | None

    @property
    def g_m2(self) -> float:
        """All grades together [g/m2]."""
        return sum(one.g_m2 for one in self.grades)

    @property
    def called(self) -> str:
        """Part and faces: "top", "top (underside)"."""
        return f"{self.part} ({', '.join(self.faces)})" if self.faces else self.part


def lac_left(plan: Plan) -> tuple[LacLeft, ...]:
    """Return the lac on every part of a plan, part by part.

    Of a part with faces the faces are told, not its edges and end grain. What soaked in is left
    out: it lies in the wood.

    Parameters
    ----------
    plan : Plan
        With draws, for the spread.
    """
    out: list[LacLeft] = []
    for part in dict.fromkeys(layer.zone.part for layer in plan.layers):
        layers = [x for x in plan.layers if x.zone.part == part and x.coats]
        layers = [x for x in layers if x.zone.kind == "face"] or layers
        groups: dict[tuple[Any, ...], list[Layer]] = {}
        for layer in layers:
            groups.setdefault(_signature(layer), []).append(layer)
        for alike in groups.values():
            faces = tuple(dict.fromkeys(x.zone.face for x in alike)) if len(groups) > 1 else ()
            first = alike[0]
            out.append(LacLeft(part, faces, _wood(first), first.coats,
                               _grades(first.resin_g_m2), _ln_sd(first)))  # fmt: skip
    return tuple(out)


def _signature(layer: Layer) -> tuple[Any, ...]:
    """Return what is equal for faces of one colour."""
    left = tuple((g.grade, g.dewaxed, round(g.g_m2, 6)) for g in _grades(layer.resin_g_m2))
    return _wood(layer), layer.coats, left


def _wood(layer: Layer) -> str:
    return str(getattr(layer.zone, "wood", "unknown"))


def _grades(resins: Mapping[Resin, Num]) -> tuple[GradeLeft, ...]:
    out: dict[tuple[str, bool], GradeLeft] = {}
    for resin, grams in resins.items():
        key = resin.grade, resin.wax_stated and not resin.waxed
        before = out[key].g_m2 if key in out else 0.0
        out[key] = GradeLeft(resin.grade, resin.lot, key[1], before + float(central(grams)))
    return tuple(out.values())


def _ln_sd(layer: Layer) -> float | None:
    whole = np.atleast_1d(np.asarray(sum(layer.resin_g_m2.values(), 0.0), dtype=float))
    if len(whole) < 2 or whole[0] <= 0:
        return None
    return float(np.log(np.maximum(whole[1:], LEAST * whole[0])).std())
