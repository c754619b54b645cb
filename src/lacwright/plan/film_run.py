"""The film of a planned course: run once with draws, and every number with its working."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from lacwright.figures import Figure, computed, default, exact, given
from lacwright.figures.units import G_PER_L_PER_CUT
from lacwright.film import (
    ADDED_FORMULA,
    SOAKED_FORMULA,
    STRENGTH_FORMULA,
    Abrade,
    Coat,
    EdgeFigures,
    Ground,
    Rules,
    Run,
    Schedule,
    ZoneLike,
    edge_figures,
    run_schedule,
)
from lacwright.film import Laid as FilmLaid
from lacwright.plan.course import Track, sands
from lacwright.plan.laying import Laying, liquid_of, zones_of
from lacwright.plan.own import Array, OwnFigures
from lacwright.plan.piece import MixSpec, Piece
from lacwright.surface import Zone
from lacwright.trade import table


@dataclass(frozen=True)
class FilmMix:
    """A mix as the film sees it: shares of resin, and draws of what a litre of it holds."""

    resin_g: Mapping[str, float]
    resin_g_per_l: Array
    resin_density_g_ml: Array


@dataclass(frozen=True)
class Sanding:
    """One sanding of the course, with the step of the schedule it became."""

    track: str
    index: int
    part: str
    number: int  # 1-based place in the schedule
    faces: tuple[str, ...]
    edges: bool
    removed: Figure


@dataclass(frozen=True)
class FilmPlan:
    """The film of a course and its figures."""

    run: Run
    figures: dict[str, Figure]
    sandings: tuple[Sanding, ...]
    coat_um: dict[tuple[str, str], Figure]  # (key of the laying, part) -> dry film it adds
    number: dict[tuple[str, int, str], int]  # (track, index of step, part) -> schedule number
    notes: tuple[str, ...]


def film_of(
    course: tuple[Track, ...], coats: tuple[Laying, ...], piece: Piece,
    specs: tuple[MixSpec, ...], own: OwnFigures,
) -> FilmPlan:  # fmt: skip
    """Run the film of a course.

    Returns
    -------
    FilmPlan
        Its figures: film.<part>.coat<k>, .flat, .edge, .flat_left, .edge_left for every part,
        and film.flat, film.edge, film.flat_left, film.edge_left of the part on which the least
        is left.
    """
    schedule, sandings, number = _schedule(course, coats, piece, specs, own)
    grounds = grounds_of(coats, piece, own)
    run = run_schedule(grounds=grounds, schedule=schedule, rules=rules_of(own))
    figures: dict[str, Figure] = {}
    coat_um: dict[tuple[str, str], Figure] = {}
    by_number = {number[c.track, c.index, p]: c for c in coats for p in _parts_of(c.zones)}
    for part in dict.fromkeys(g.zone.part for g in grounds):
        laid = list(run.of_main(part))
        if not laid:
            continue
        _figures_of_part(part, run, laid, by_number, sandings, own, figures, coat_um)
    parts = [n.split(".", 1)[1].rsplit(".", 1)[0] for n in figures if n.endswith(".flat_left")]
    if parts:
        least = min(parts, key=lambda p: figures[f"film.{p}.flat_left"].number())
        for name in ("flat", "edge", "flat_left", "edge_left"):
            figures[f"film.{name}"] = figures[f"film.{least}.{name}"]
    notes = [*run.notes, *edges_of(own).notes]
    unsaid = [p.name for p in piece.parts if any(z.wood == "unknown" for z in p.zones)]
    if unsaid:
        notes.append(f"no wood is said for {', '.join(unsaid)}: it is taken to drink like an "
                     "open-pored one")  # fmt: skip
    return FilmPlan(run, figures, sandings, coat_um, number, tuple(notes))


def rules_of(own: OwnFigures) -> Rules:
    """Return the limits of the film from the maker's figures or the table."""
    return Rules(
        least_left_um=own.value("least_left"), through_share=own.value("through_share"),
        warn_um=own.value("warn"), stop_um=own.value("stop"),
    )  # fmt: skip


def edges_of(own: OwnFigures) -> EdgeFigures:
    """Return how film and sanding differ on an arris, the maker's figures before the table's."""
    return edge_figures(
        edge_film=own.figure("edge_film") if own.said("edge_film") else None,
        edge_cut=own.figure("edge_cut") if own.said("edge_cut") else None,
    )


def absorption_of(zone: ZoneLike) -> str:
    """Return the row of the table of absorption for a zone: by kind, faces by their wood."""
    if zone.kind != "face":
        return zone.kind
    woods = table("woods")
    return (
        woods[wood].text("absorption")
        if (wood := getattr(zone, "wood", "")) in woods
        else "open-pored"
    )


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
    low, high = (
        float(np.prod([getattr(f, end) or 0.0 for f in inputs.values()])) for end in ("low", "high")
    )
    return computed("ridge * level_share", "um", inputs).with_band(low, high)


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
    mixes = {spec.name: _film_mix(spec, own) for spec in specs}
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
                    schedule.append(_coat(laying, part, faces, mixes[laying.mix.name]))
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


def _coat(laying: Laying, part: str, faces: tuple[str, ...], mix: FilmMix) -> Coat:
    step, load = laying.step, laying.load
    if load.deposit_draws is not None:
        return Coat(part, laying.method, mix, net_um=load.deposit_draws, faces=faces,
                    what=step.what)  # fmt: skip
    return Coat(part, laying.method, mix, wet_um=load.landed_draws, faces=faces,
                soaks_in=bool(step.soaks_in), what=step.what)  # fmt: skip


def _film_mix(spec: MixSpec, own: OwnFigures) -> FilmMix:
    liquid = liquid_of(spec, own)
    shares = dict(spec.flakes) or {spec.grade or spec.name: 1.0}
    return FilmMix(shares, liquid.resin_g_per_l_draws, liquid.resin_density_draws)


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


def _figures_of_part(
    part: str, run: Run, laid: list[FilmLaid], by_number: dict[int, Laying],
    sandings: tuple[Sanding, ...], own: OwnFigures,
    figures: dict[str, Figure], coat_um: dict[tuple[str, str], Figure],
) -> None:  # fmt: skip
    layer = run.main(part)
    zone = layer.zone
    surface = absorption_of(zone)
    before: Figure = given(0.0, "ml/m2", "nothing has landed yet")
    inputs: dict[str, Figure] = {}
    for k, one in enumerate(laid, 1):
        laying = by_number[one.step]
        name = f"film.{part}.coat{k}"
        figure, before = _coat_figure(name, one, laying, surface, before, own, figures)
        figures[name] = inputs[f"coat{k}"] = coat_um[laying.key, part] = figure
    flat_rows = sum((np.asarray(x.added_um) for x in laid), np.zeros(1))
    edge_rows = sum((np.asarray(x.edge_added_um) for x in laid), np.zeros(1))
    arris = edges_of(own)
    flat = computed(" + ".join(inputs), "um", inputs, draws=flat_rows)
    edge = computed("edge_film * flat", "um", {"edge_film": arris.edge_film, "flat": flat},
                    draws=edge_rows)  # fmt: skip
    taken = _taken(part, laid, run, sandings)
    sand_inputs = {f"sand{k}": s.removed for k, s in enumerate(taken, 1)}
    minus = "".join(f" - {n}" for n in sand_inputs)
    both = {n: s.removed for n, s in zip(sand_inputs, taken, strict=True) if s.edges}
    edge_minus = f" - edge_cut * ({' + '.join(both)})" if both else ""
    figures[f"film.{part}.flat"], figures[f"film.{part}.edge"] = flat, edge
    note = f"{zone.face} of {part}"
    figures[f"film.{part}.flat_left"] = computed(
        "flat" + minus, "um", {"flat": flat, **sand_inputs},
        draws=np.asarray(layer.film_um), note=note,
    )  # fmt: skip
    figures[f"film.{part}.edge_left"] = computed(
        "edge" + edge_minus, "um",
        {"edge": edge, **({"edge_cut": arris.edge_cut} if both else {}), **both},
        draws=np.asarray(layer.edge_um), note=note,
    )  # fmt: skip


def _coat_figure(
    name: str, one: FilmLaid, laying: Laying, surface: str, before: Figure, own: OwnFigures,
    figures: dict[str, Figure],
) -> tuple[Figure, Figure]:  # fmt: skip
    """Return (film this coat adds, what has landed by now as the reference mix)."""
    load = laying.load
    if load.deposit is not None:
        return load.deposit, before
    liquid = liquid_of(laying.mix, own)
    row = table("absorption")[surface]
    strength = computed(
        STRENGTH_FORMULA, "1",
        {
            "resin_g_per_l": liquid.resin_g_per_l,
            "reference_cut": default(row.number("reference_cut"), "lb/gal", row.mark, row.source),
            "lb_per_gal": exact(G_PER_L_PER_CUT, "g/l", "1 lb per US gallon"),
            "resin_density_g_ml": liquid.resin_density,
        },
    )  # fmt: skip
    if one.how == "soaked in":
        soaked = given(load.landed.number(), "ml/m2", "counts as wholly soaked in")
    elif one.how == "sealed":
        soaked = given(0.0, "ml/m2", "sealed by what was laid before")
    else:
        soaked = computed(
            SOAKED_FORMULA, "ml/m2",
            {
                "capacity_ml_m2": own.figure(f"absorption.{surface}"), "strength": strength,
                "start_share": own.figure(f"soak_start.{surface}"), "before_ml_m2": before,
                "landed_ml_m2": load.landed,
            },
            draws=np.asarray(one.soaked_ml_m2),
        )  # fmt: skip
        figures[f"{name}.soaked"] = soaked
    added = computed(
        ADDED_FORMULA, "um",
        {
            "landed_ml_m2": load.landed, "soaked_ml_m2": soaked,
            "resin_g_per_l": liquid.resin_g_per_l, "resin_density_g_ml": liquid.resin_density,
        },
        draws=np.asarray(one.added_um),
    )  # fmt: skip
    landed_so_far = computed(
        "before + landed * strength", "ml/m2",
        {"before": before, "landed": load.landed, "strength": strength},
    )  # fmt: skip
    return added, landed_so_far


def _taken(
    part: str, laid: list[FilmLaid], run: Run, sandings: tuple[Sanding, ...]
) -> list[Sanding]:
    """Return the sandings that really took film off the main zone of a part."""
    zone = run.main(part).zone
    refused = {r.step for r in run.refused}
    steps = {x.step: float(np.ravel(x.added_um)[0]) for x in laid}
    out, film = [], 0.0
    last = 0
    for s in sandings:
        if s.part != part or s.number in refused or (s.faces and zone.face not in s.faces):
            continue
        film += sum(um for number, um in steps.items() if last < number < s.number)
        last = s.number
        if film > 0:  # on bare wood it takes raised fibres only
            out.append(s)
            film -= s.removed.number()
    return out


def _parts_of(zones: tuple[Zone, ...]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(z.part for z in zones))
