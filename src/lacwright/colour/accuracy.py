"""What may be claimed of a predicted colour, by what grade and wood rest on; what may not."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from lacwright.colour import grade as of_grade
from lacwright.colour import wood as of_wood
from lacwright.colour.cie import Array
from lacwright.colour.constants import constant, row
from lacwright.colour.grade import GradeColour
from lacwright.colour.wood import Bare
from lacwright.figures import Caution, Mark
from lacwright.trade import table

CAMERA = "own panels by camera"
"""Basis of a grade whose panels were read by a camera."""

_ORDER = (of_grade.NAME, of_grade.GARDNER, CAMERA, of_grade.PANELS)
_FILM_KEYS = {of_grade.NAME: "name", of_grade.GARDNER: "gardner", CAMERA: "camera",
              of_grade.PANELS: "panels"}  # fmt: skip
_WOOD_KEYS = {of_wood.SPECIES: "species", of_wood.BOARD: "board", of_wood.PANELS: "panels"}


@dataclass(frozen=True)
class Claim:
    """How good a prediction of this kind is, as judged.

    Parameters
    ----------
    basis : str
        What it rests on: "grade name only; measured board".
    typical, most : float
        What half and what 90 to 95 % of such predictions are off by [CIEDE2000].
    least : tuple of two floats
        Lower ends of both: no computed band is told below them.
    words : str
        What may be said of it: "direction and rank only".
    model_sd : float
        What the model itself may miss, of each of L*, a*, b*.
    mark : Mark
    source : str
    """

    basis: str
    typical: float
    most: float
    least: tuple[float, float]
    words: str
    model_sd: float
    mark: Mark
    source: str


def claim_of(bare: Bare, grades: Sequence[GradeColour], loads_g_m2: Array) -> Claim:
    """Return what may be claimed of a film of these grades on this wood.

    The weakest grade that is in the film decides.
    """
    used = [g for g, load in zip(grades, np.ravel(loads_g_m2), strict=True) if load > 0]
    film = min((g.basis for g in used), key=_ORDER.index, default=of_grade.NAME)
    key = _key(bare, film, used)
    one = table("colour_accuracy")[key]
    told = film if used else "no grade in the film"
    return Claim(
        f"{told}; {bare.basis}", one.number("typical"), one.number("most"),
        (one.number("typical_low"), one.number("most_low")), one.text("words"),
        one.number("model"), one.mark, one.source,
    )  # fmt: skip


def cautions_of(
    bare: Bare, used: Sequence[GradeColour], load_g_m2: float, wax_share: float | None
) -> tuple[Caution, ...]:
    """Return what is not claimed of a film, most particular first."""
    named = [g for g in used if g.basis == of_grade.NAME]
    dyed = [g for g in named if g.params[2] > 0]
    called = [
        *(["remembered-wood"] if bare.basis == of_wood.SPECIES else []),
        *(["guessed-grade"] if named else []),
        *(["red-guess"] if dyed else []),
        *(["dark-wood"] if _dark(bare) else []),
        *(["wax-haze"] if _hazy(used, wax_share) else []),
        *(["sealed"] if load_g_m2 == 0 else []),
        "soaks", "smooth", "figure", "ageing", "screen",
    ]  # fmt: skip
    return tuple(
        Caution(
            f"colour-{key}",
            table("colour_cautions")[key]
            .text("text")
            .format(wood=bare.name, grades=_names(dyed if key == "red-guess" else named)),
        )
        for key in called
    )


def _names(grades: Sequence[GradeColour]) -> str:
    return " and ".join(dict.fromkeys(g.name for g in grades))


def _key(bare: Bare, film: str, used: Sequence[GradeColour]) -> str:
    wood = _WOOD_KEYS[bare.basis]
    if film == of_grade.NAME:
        if wood == "species":
            return "name.species"
        return "name.board.dark" if any(not _pale(g) for g in used) else "name.board.pale"
    if film == of_grade.GARDNER:
        return "gardner.species" if wood == "species" else "gardner.board"
    if wood == "panels":
        return f"{_FILM_KEYS[film]}.panels"
    return f"panels.{wood}"


def _pale(grade: GradeColour) -> bool:
    """Return whether a gram takes no more at 500 nm than one of the darkest pale grade."""
    edge = of_grade.grade_of_gardner(constant("pale.gardner")).params[0]
    return grade.params[0] <= edge and grade.params[2] == 0


def _dark(bare: Bare) -> bool:
    """Return whether bare skin is a large part of what is read."""
    darkest = of_wood.reflectance_at_least(bare)
    return row("skin").number("high") > constant("skin.most") * darkest


def _hazy(used: Sequence[GradeColour], wax_share: float | None) -> bool:
    if wax_share is not None:
        return wax_share > 0 and bool(used)
    return any(g.haze_per_g_m2 > 0 for g in used)
