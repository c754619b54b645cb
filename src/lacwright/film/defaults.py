"""Figures of the film where the maker gives none of his own."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from lacwright.figures import Figure, Refusal
from lacwright.film.layers import Rules
from lacwright.trade import Row, table


@dataclass(frozen=True)
class EdgeFigures:
    """How film and sanding differ on an arris, and what was taken for granted.

    `edge_film` is the share of a flat's film that lies there, `edge_cut` how many times as much
    sanding takes there.
    """

    edge_film: Figure
    edge_cut: Figure
    notes: tuple[str, ...]


def edge_figures(*, edge_film: Figure | None = None, edge_cut: Figure | None = None) -> EdgeFigures:
    """Return both figures of an arris.

    Parameters
    ----------
    edge_film, edge_cut : Figure, optional
        The maker's own. If only `edge_cut` is given, `edge_film` is 1 and that is said: his one
        factor is then taken to hold all that he sees at the edge. If only `edge_film` is given,
        `edge_cut` is the default; if neither is, both are.
    """
    rows = table("film")
    notes: list[str] = []
    if edge_cut is not None and edge_film is None:
        edge_film = rows["edge_film_alone"].figure("value")
        notes.append(
            "film on edges taken as thick as on flats, since only what sanding takes there is "
            "given: give edge_film as well if it is thinner"
        )
    if edge_film is None:
        edge_film = rows["edge_film"].figure("value")
    if edge_cut is None:
        edge_cut = rows["edge_cut"].figure("value")
    return EdgeFigures(edge_film, edge_cut, tuple(notes))


def default_rules(own: Mapping[str, float] | None = None) -> Rules:
    """Return the limits of the film run; `own` overrides by key of the table of the film.

    Keys: least_left, through_share, warn, stop.
    """
    rows = table("film")
    value = {k: rows[k].number("value") for k in ("least_left", "through_share", "warn", "stop")}
    value |= own or {}
    if any(v < 0 for v in value.values()):
        raise Refusal("film", "a limit below zero", "give 0 or more")
    return Rules(value["least_left"], value["through_share"], value["warn"], value["stop"])


def absorption(*, kind: str, pores: str = "", where: str = "wood") -> Row:
    """Return what a bare zone takes up.

    Parameters
    ----------
    kind : str
        Kind of zone: "face", "edge", "end".
    pores : str
        Class of the wood, read on faces: dense, open-pored, softwood; "sealed" for any zone that
        takes up nothing.
    where : str
        For the refusal.
    """
    rows = table("absorption")
    sealed = pores.strip().lower() in ("sealed", *rows["sealed"].words("also"))
    return rows[kind] if kind in ("edge", "end") and not sealed else rows.find(pores, where)


def unevenness(method: str) -> Figure:
    """Return the spread of a film over a face for a method [share of its mean]."""
    rows = table("film")
    key = f"unevenness.{method}"
    return rows[key if key in rows else "unevenness.brush"].figure("value")
