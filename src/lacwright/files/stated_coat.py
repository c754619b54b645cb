"""A coat, its board and its air as they are stated; what was not said is taken, and told."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from lacwright.climate import saturation_pa
from lacwright.drying import Board, WetCoat
from lacwright.figures import Figure, Learned, Mark, Refusal
from lacwright.figures.draws import Draws
from lacwright.figures.learned import Z95
from lacwright.figures.spoken import trimmed
from lacwright.files.air_table import AirTable, Array
from lacwright.files.coat_words import SESSION, usual_film
from lacwright.plan.own import OwnFigures
from lacwright.solution import Alcohol
from lacwright.trade import table

Own = Mapping[str, Figure | Learned]


@dataclass(frozen=True)
class StatedCoat:
    """A coat as it was stated.

    Parameters
    ----------
    coat : WetCoat
    alcohol : Alcohol
        For its cautions.
    method : str
        Key of the table of methods, "" where none was named.
    wet_ln_sd : float or None
        Spread (ln) of a wet film that nobody measured; None for one that was given.
    assumed : tuple of str
        What was not said, each with the mark and source of what stands in.
    """

    coat: WetCoat
    alcohol: Alcohol
    method: str
    wet_ln_sd: float | None
    assumed: tuple[str, ...]


def stated_coat(
    *, method: str | None, wet_um: float | None, cut: float | None, alcohol: Alcohol,
    own: Own | None = None,
) -> StatedCoat:  # fmt: skip
    """Return the model's coat.

    Parameters
    ----------
    method : str or None
        A method of the table.
    wet_um, cut : float or None
        Wet film [um] and cut [lb/gal]; those of the method where they are not said.
    alcohol : Alcohol
        What the resin is dissolved in.
    own : mapping, optional
        Own figures: spread, lost share, cut and hand of the method, density of the resin.

    Raises
    ------
    Refusal
        At "method", "cut", "wet" or "alcohol": for an alcohol of unknown composition, or without
        a film and a method that has one.
    """
    figures = OwnFigures([own or {}], Draws(0))
    key, assumed = "", []
    if method:
        key = table("methods").find(method, "method").key
        if key == SESSION:
            raise Refusal("method", "a session is many passes, and alcohol leaves between them",
                          "ask for one pass: french-polish-pass")  # fmt: skip
    if cut is None:
        if not key:
            raise Refusal("cut", "it is not said", "say it, or how the coat is laid")
        figure = figures.figure(f"cut.{key}")
        cut = figure.number()
        assumed.append(f"cut {_shown(figure, '-lb')}")
    ln_sd = None
    if wet_um is None:
        if not key:
            raise Refusal("wet", "neither the wet film nor a method is said",
                          "say 100 um, or how the coat is laid: brush")  # fmt: skip
        film = usual_film(key, figures)
        wet_um, ln_sd = film.number(), _ln_sd(film)
        assumed.append(f"wet film {_shown(film, ' um')}")
    density = figures.value("resin_density") if figures.said("resin_density") else None
    parts = None if alcohol.parts is None else dict(alcohol.parts)
    try:
        coat = WetCoat(wet_um, cut, parts, density, key)
    except Refusal as refusal:
        raise refusal.at("wet") if refusal.where == "wet film" else refusal from None
    return StatedCoat(coat, alcohol, key, ln_sd, tuple(assumed))


def stated_board(
    *, wood: str | None, thickness_mm: float | None, **more: Any,
) -> tuple[Board, tuple[str, ...]]:  # fmt: skip
    """Return the model's board, and what was assumed; `more` as `Board` takes it."""
    usual, assumed = Board(), []
    if not wood and thickness_mm is None:
        assumed.append(f"board {usual.thickness_mm:g} mm of {usual.wood}")
    elif not wood:
        assumed.append(f"board of {usual.wood}")
    elif thickness_mm is None:
        assumed.append(f"board {usual.thickness_mm:g} mm thick")
    thick = usual.thickness_mm if thickness_mm is None else thickness_mm
    return Board(wood=wood or usual.wood, thickness_mm=thick, **more), tuple(assumed)


def stated_speed(
    speed_m_s: float | None, air: AirTable | None = None
) -> tuple[Array | float, tuple[str, ...]]:  # fmt: skip
    """Return the speed of the air [m/s]: as said, as the table has it, else still; and say so."""
    if speed_m_s is not None:
        return speed_m_s, ()
    row = table("drying")["still_air"]
    still = row.number("value")
    words = (f"still air, {still:g} m/s over the work: {row.mark}",)
    if air is None or air.speed_m_s is None:
        return still, words
    empty = np.isnan(air.speed_m_s)
    return np.where(empty, still, air.speed_m_s), words if empty.any() else ()


def stated_room(air: AirTable, heated_c: float | None) -> tuple[Array, Array, tuple[str, ...]]:
    """Return the air of the room: the table's, or warmed with the same water in it.

    Parameters
    ----------
    air : AirTable
    heated_c : float or None
        To which the room is warmed [C] where the table is of the air outdoors.

    Returns
    -------
    (array, array, tuple of str)
        Temperature [C], humidity [0-1], and what is assumed.
    """
    if heated_c is None:
        return air.temp_c, air.rh, ("the air of the room is that of the table",)
    temp = np.maximum(air.temp_c, heated_c)
    pressure = air.rh * np.asarray(saturation_pa(temp_c=air.temp_c))
    rh = np.minimum(pressure / np.asarray(saturation_pa(temp_c=temp)), 1.0)
    return temp, rh, (f"the room is {heated_c:g} C or as warm as outdoors, with the water of the "
                      "outdoor air: people, plants and fresh walls add some",)  # fmt: skip


def extrapolated(temp_c: Array | float) -> tuple[str, ...]:
    """Return what to say of air outside the range over which the solvents' properties hold."""
    least, most = (table("drying")[key].number("value") for key in ("fit_least", "fit_most"))
    if least <= np.min(temp_c) and np.max(temp_c) <= most:
        return ()
    return (f"the properties of the solvents reach from {least:g} to {most:g} C; beyond, they are "
            "extrapolated",)  # fmt: skip


def _shown(figure: Figure, unit: str) -> str:
    text = trimmed(figure.number(), 2) + unit
    if figure.low is not None and figure.high is not None and figure.high > figure.low:
        text += f" ({trimmed(figure.low, 2)} to {trimmed(figure.high, 2)})"
    if figure.mark is Mark.OWN:
        return f"{text}, your own figure"
    return f"{text}, as the method has it: {figure.mark}"


def _ln_sd(figure: Figure) -> float | None:
    if not (figure.low and figure.high and figure.high > figure.low):
        return None
    return math.log(figure.high / figure.low) / (2 * Z95)
