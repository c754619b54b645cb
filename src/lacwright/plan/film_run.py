"""The film of a planned course: run once with draws, and every number with its working."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from lacwright.figures import Figure, computed, given
from lacwright.film import (
    Abrade,
    Coat,
    Ground,
    Rules,
    Run,
    Schedule,
    default_rules,
    run_schedule,
)
from lacwright.plan.course import Track, sands
from lacwright.plan.film_figures import Place, Sanding, absorption_of, edges_of, figures_of
from lacwright.plan.laying import Laying, zones_of
from lacwright.plan.own import OwnFigures
from lacwright.plan.piece import MixSpec, Piece
from lacwright.surface import Zone
from lacwright.trade import table


@dataclass(frozen=True)
class FilmPlan:
    """The film of a course and its figures."""

    schedule: Schedule
    run: Run
    figures: dict[str, Figure]
    places: tuple[Place, ...]
    coat_um: dict[tuple[str, str], Figure]  # (key of the laying, part) -> dry film it adds
    refused: frozenset[tuple[str, int, str]]  # (track, index of step, part) not sanded
    notes: tuple[str, ...]


def film_of(
    course: tuple[Track, ...], coats: tuple[Laying, ...], piece: Piece,
    specs: tuple[MixSpec, ...], own: OwnFigures,
) -> FilmPlan:  # fmt: skip
    """Run the film of a course and give every number its working.

    Returns
    -------
    FilmPlan
        Its figures: film.<part>.coat<k>, .flat, .edge, .flat_left, .edge_left for every part,
        of the face on which the least is left; film.<part>.<face>.* for faces that got another
        course; and film.flat, film.edge, film.flat_left, film.edge_left of the part on which
        the least is left.
    """
    schedule, sandings, number = _schedule(course, coats, piece, specs, own)
    grounds = grounds_of(coats, piece, own)
    run = run_schedule(grounds=grounds, schedule=schedule, rules=rules_of(own))
    by_number = {number[c.track, c.index, p]: c for c in coats for p in _parts_of(c.zones)}
    told = figures_of(run, by_number, sandings, own)
    notes = [*run.notes, *edges_of(own).notes]
    unsaid = [p.name for p in piece.parts if any(z.wood == "unknown" for z in p.zones)]
    if unsaid:
        notes.append(f"no wood is said for {', '.join(unsaid)}: it is taken to drink like an "
                     "open-pored one")  # fmt: skip
    uncoated = [f"{z.face} of {z.part}" for z in (x.zone for x in run.layers if not x.coats)]
    if uncoated:
        notes.append(f"no coat is laid on {', '.join(uncoated)}, though it is to be finished")
    refused = {(s.track, s.index, s.part) for s in sandings
               if s.number in {r.step for r in run.refused}}  # fmt: skip
    return FilmPlan(
        schedule, run, told.figures, told.places, told.coat_um, frozenset(refused), tuple(notes)
    )


def rules_of(own: OwnFigures) -> Rules:
    """Return the limits of the film, the maker's figures before the table's."""
    names = ("least_left", "through_share", "warn", "stop")
    return default_rules({name: own.value(name) for name in names})


def removal_of(track: Track, index: int, own: OwnFigures) -> Figure:
    """Return what a sanding step takes off a flat: said at the step, the maker's, or usual.

    The usual levelling is reckoned from the height of the marks a method leaves.
    """
    step = track.steps[index]
    if step.removes_um is not None:
        return given(step.removes_um, "um", f"piece file, step {step.what}")
    if step.what != "level" or own.said("removal.level"):
        return own.figure(f"removal.{step.what}")
    method = next(
        (s.method for s in reversed(track.steps[:index]) if s.method), None
    ) or track.method  # fmt: skip
    inputs = {
        "ridge": own.figure(f"removal.ridge.{method}"),
        "level_share": own.figure("removal.level_share"),
    }
    return computed("ridge * level_share", "um", inputs)


def schedule_of(
    course: tuple[Track, ...], coats: tuple[Laying, ...], piece: Piece,
    specs: tuple[MixSpec, ...], own: OwnFigures,
) -> Schedule:  # fmt: skip
    """Return the coats and sandings of a course as the film sees them."""
    return _schedule(course, coats, piece, specs, own)[0]


def _schedule(
    course: tuple[Track, ...], coats: tuple[Laying, ...], piece: Piece,
    specs: tuple[MixSpec, ...], own: OwnFigures,
) -> tuple[Schedule, tuple[Sanding, ...], dict[tuple[str, int, str], int]]:  # fmt: skip
    by_step = {(c.track, c.index): c for c in coats}
    schedule: list[Coat | Abrade] = []
    sandings: list[Sanding] = []
    number: dict[tuple[str, int, str], int] = {}
    for track in course:
        for index, step in enumerate(track.steps):
            laying = by_step.get((track.name, index))
            zones = laying.zones if laying else zones_of(step, track, piece) if sands(step) else ()
            for part in _parts_of(zones):
                faces = tuple(dict.fromkeys(z.face for z in zones if z.part == part))
                faces = faces if step.faces else ()
                if laying:
                    schedule.append(_coat(laying, part, faces))
                elif sands(step):
                    edges = True if step.edges is None else step.edges
                    removed = removal_of(track, index, own)
                    factor = f"removal.{track.name}.{step.what}"
                    rows = own.draw_figure(removed, factor)
                    schedule.append(
                        Abrade(part, step.what, rows, step.abrasive or "", faces, edges)
                    )
                    sandings.append(Sanding(track.name, index, part, len(schedule), faces, edges,
                                            removed))  # fmt: skip
                number[track.name, index, part] = len(schedule)
    return tuple(schedule), tuple(sandings), number


def _coat(laying: Laying, part: str, faces: tuple[str, ...]) -> Coat:
    step, load, mix = laying.step, laying.load, laying.liquid.mix
    if load.deposit_draws is not None:
        return Coat(part, laying.method, mix, net_um=load.deposit_draws, faces=faces,
                    what=step.what)  # fmt: skip
    return Coat(part, laying.method, mix, wet_um=load.landed_draws, faces=faces,
                soaks_in=bool(step.soaks_in), what=step.what)  # fmt: skip


def grounds_of(coats: tuple[Laying, ...], piece: Piece, own: OwnFigures) -> tuple[Ground, ...]:
    """Return every finished zone with what it drinks and how its arris differs."""
    edges = edges_of(own)
    edge_rows = np.clip(own.draw_figure(edges.edge_film, "edge_film"), 1e-6, 1.0)
    cut_rows = np.maximum(own.draw_figure(edges.edge_cut, "edge_cut"), 1.0)
    methods: dict[str, str] = {}
    for coat in coats:
        for zone in coat.zones:
            methods[zone.part] = coat.method
    grounds = []
    for part in piece.parts:
        for zone in part.zones:
            surface = absorption_of(zone)
            method = methods.get(zone.part, "brush")
            grounds.append(
                Ground(
                    zone,
                    capacity_ml_m2=own.draw(f"absorption.{surface}"),
                    start_share=np.clip(own.draw(f"soak_start.{surface}"), 0.0, 1.0),
                    reference_cut_lb_per_gal=table("absorption")[surface].number("reference_cut"),
                    edge_film=edge_rows, edge_cut=cut_rows,
                    unevenness=own.value(f"unevenness.{method}"),
                )
            )  # fmt: skip
    return tuple(grounds)


def _parts_of(zones: tuple[Zone, ...]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(z.part for z in zones))
