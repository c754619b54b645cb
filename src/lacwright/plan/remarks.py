"""What a maker would want to be told of a plan, beside its numbers."""

from __future__ import annotations

from collections.abc import Mapping

from lacwright.figures import Figure
from lacwright.plan.laying import Laying
from lacwright.plan.own import OwnFigures
from lacwright.plan.piece import Piece


def cut_notes(coats: tuple[Laying, ...], own: OwnFigures) -> tuple[str, ...]:
    """Return a note where a washcoat or seal coat is laid from a mix that is not thin."""
    out = []
    for what, key in (("washcoat", "washcoat_cut"), ("seal", "seal_cut")):
        usual = own.figure(key)
        thick = {c.mix.name: c.mix.cut_lb_per_gal for c in coats if c.step.what == what}
        for name, cut in thick.items():
            if usual.high is not None and cut > usual.high:
                out.append(f"the {what} is laid from mix {name}, a {cut:g}-lb cut; usual is "
                           f"{usual.number():g} lb: add a [[mix]] named {what}")  # fmt: skip
    return tuple(out)


def edge_notes(figures: Mapping[str, Figure], piece: Piece) -> tuple[str, ...]:
    """Return a note for parts whose edges are bare in a bad case, though not in the middle."""
    out = []
    for part in piece.parts:
        edge = figures.get(f"film.{part.name}.edge_left")
        if edge is not None and edge.value and (edge.low or 0.0) <= 0:
            out.append(f"{part.name}: in a bad case the sandings go through on the edges; keep off "
                       "them or go light")  # fmt: skip
    return tuple(out)
