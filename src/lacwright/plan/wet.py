"""The coats of a plan as the model of the drying coat sees them: what lies wet, and on what."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from lacwright.drying import Board, WetCoat
from lacwright.drying.coat import LENGTH_M, THICKNESS_MM
from lacwright.drying.hand import ROWS, own_constants
from lacwright.figures import Hand, Num, Refusal, central
from lacwright.film import soaked_ml_m2, strength
from lacwright.plan.film_figures import absorption_of
from lacwright.plan.laying import Laying
from lacwright.plan.own import OwnFigures
from lacwright.plan.piece import Piece
from lacwright.surface import Part, Zone
from lacwright.trade import table

if TYPE_CHECKING:
    from lacwright.plan.build import Plan

SESSION = "a session is many thin passes, not one wet coat"
SOAKS_IN = "it soaks into the bare wood"
UNKNOWN = "the composition of its alcohol is not known"
PLATES = ("top", "back", "ribs")


@dataclass(frozen=True)
class LaidCoat:
    """A coat on one part, as the model sees it.

    Parameters
    ----------
    key : str
        The laying it belongs to, `Laying.key`.
    part, method : str
        On which part, by which method.
    coat : WetCoat or None
        What lands, ml on a square metre counted as um; None where the model has no authority.
    board : Board
        The main face of the part that the coat covers.
    why_not : str
        Why there is no coat; empty where there is.
    below : WetCoat or None
        What of it lies on the wood and is dissolved again by the coats that follow: the coat
        itself, or what a coat that soaks in leaves above; None where that is not known.
    """

    key: str
    part: str
    method: str
    coat: WetCoat | None
    board: Board
    why_not: str
    below: WetCoat | None = None
    face: str = ""  # the face that the board stands for


def laid_coats(plan: Plan) -> tuple[LaidCoat, ...]:
    """Return each coat of a plan on each of its parts, in order, as the model sees it."""
    layings = tuple({c.laying.key: c.laying for c in plan.coats}.values())
    return coats_of(layings, plan.piece, plan.own)


def coats_of(layings: Sequence[Laying], piece: Piece, own: OwnFigures) -> tuple[LaidCoat, ...]:
    """Return each coat on each of its parts, in order: `laid_coats` before there is a plan.

    Parameters
    ----------
    layings : sequence of Laying
        In the order in which they are laid on a part.
    piece : Piece
        Whose parts they are laid on.
    own : OwnFigures
        What the wood drinks.
    """
    parts = {p.name: p for p in piece.parts}
    drunk: dict[tuple[str, str], float] = {}  # by part and face, as the law of absorption counts
    out = []
    for laying in layings:
        for name in dict.fromkeys(z.part for z in laying.zones):
            zones = [z for z in laying.zones if z.part == name]
            main = max(zones, key=lambda z: central(z.area_m2))
            first = (name, main.face) not in drunk
            soaked = {z.face: _soaked(laying, z, drunk, own) for z in zones}
            coat, below, why = _wet(laying, soaked[main.face], first=first)
            out.append(LaidCoat(laying.key, name, laying.method, coat,
                                board_of(main, parts[name]), why, below, main.face))  # fmt: skip
    return tuple(out)


def hand_of(own: OwnFigures) -> Hand:
    """Return the maker's own constants of the drying coat."""
    told = {name: found for name in ROWS if (found := own.told(name)) is not None}
    return own_constants(told)


def board_of(zone: Zone, part: Part) -> Board:
    """Return what a coat on a zone lies on.

    Its thickness is that of the zone; where the shape has none, that of a plate for the body of
    an instrument and of a usual board for the rest. Air reaches the back of a face whose opposite
    is left bare and open.
    """
    rows, usual = table("drying"), Board()
    if zone.thickness_mm is not None:
        thick = central(zone.thickness_mm)
    elif zone.face in PLATES:
        thick = rows["plate_thickness"].number("value")
    else:
        thick = usual.thickness_mm
    along = math.sqrt(central(zone.area_m2) / part.count)
    return Board(
        wood=zone.wood, thickness_mm=_kept(thick, THICKNESS_MM), length_m=_kept(along, LENGTH_M),
        free_both_sides=zone.face in _OPPOSITE
        and any(z.face == _OPPOSITE[zone.face] for z in part.bare),
    )  # fmt: skip


_OPPOSITE = {"top": "bottom", "bottom": "top"}


def _kept(value: float, reach: tuple[float, float]) -> float:
    return min(max(value, reach[0]), reach[1])


def _wet(
    laying: Laying, soaked_ml_m2: float, *, first: bool
) -> tuple[WetCoat | None, WetCoat | None, str]:
    """Return the coat, what of it lies above the wood, and why there is no coat."""
    if laying.step.what in ("session", "glaze") or laying.method.startswith("french-polish"):
        return None, None, SESSION
    landed = laying.load.landed.number()
    try:
        coat = _coat(laying, landed)
        most = 0.0 if first else table("drying")["soaks_most"].number("value") * landed
        if soaked_ml_m2 <= most:
            return coat, coat, ""
        stays = landed - soaked_ml_m2
        return None, _coat(laying, stays) if stays >= 1 else None, SOAKS_IN
    except Refusal as refusal:
        unknown = _composition(laying) is None
        return None, None, UNKNOWN if unknown else f"{refusal.where}: {refusal.what}"


def _coat(laying: Laying, wet_um: float) -> WetCoat:
    return WetCoat(
        wet_um=wet_um, cut_lb_per_gal=laying.mix.cut_lb_per_gal, alcohol=_composition(laying),
        resin_density_g_ml=laying.liquid.resin_density.number(), method=laying.method,
    )  # fmt: skip


def _composition(laying: Laying) -> dict[str, float] | None:
    """Return the shares by weight of all that the resin is dissolved in, None if unknown."""
    shares: dict[str, float] = {}
    for alcohol, grams in laying.liquid.mix.solvent_g.items():
        if alcohol.parts is None:
            return None
        for substance, share in alcohol.parts:
            shares[substance] = shares.get(substance, 0.0) + share * central(grams)
    whole = sum(shares.values())
    return {k: v / whole for k, v in shares.items()} if whole > 0 else None


def _soaked(
    laying: Laying, zone: Zone, drunk: dict[tuple[str, str], float], own: OwnFigures
) -> float:
    """Return what of a coat soaks into a zone [ml/m2], and count it to what landed before."""
    key, landed = (zone.part, zone.face), laying.load.landed.number()
    before = drunk.get(key, 0.0)
    if laying.load.deposit is not None or laying.step.soaks_in:
        drunk[key] = math.inf  # as in the film: nothing soaks in after it
        return landed if laying.step.soaks_in else 0.0
    if math.isinf(before):
        return 0.0
    surface = absorption_of(zone)
    counted: Num = strength(
        resin_g_per_l=laying.liquid.resin_g_per_l.number(),
        resin_density_g_ml=laying.liquid.resin_density.number(),
        reference_cut_lb_per_gal=table("absorption")[surface].number("reference_cut"),
    )
    drunk[key] = before + landed * central(counted)
    return central(soaked_ml_m2(
        before_ml_m2=before, landed_ml_m2=landed,
        capacity_ml_m2=own.value(f"absorption.{surface}"),
        start_share=min(max(own.value(f"soak_start.{surface}"), 0.0), 1.0), strength=counted,
    ))  # fmt: skip
