"""The working of the film: every coat, sanding and what is left, as figures with formulas."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from lacwright.figures import Figure, Refusal, computed, default, exact, given
from lacwright.figures.units import G_PER_L_PER_CUT
from lacwright.film import (
    ADDED_FORMULA,
    SOAKED_FORMULA,
    STRENGTH_FORMULA,
    EdgeFigures,
    Layer,
    Run,
    ZoneLike,
    absorption,
    edge_figures,
)
from lacwright.film import Laid as FilmLaid
from lacwright.plan.laying import Laying
from lacwright.plan.own import OwnFigures
from lacwright.trade import table

LEFT = ("flat", "edge", "flat_left", "edge_left")


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
class Place:
    """Faces of a part that got the same course, and the prefix of their figures."""

    part: str
    faces: tuple[str, ...]
    prefix: str


@dataclass(frozen=True)
class FilmFigures:
    """All figures of the film."""

    figures: dict[str, Figure]
    places: tuple[Place, ...]
    coat_um: dict[tuple[str, str], Figure]


@dataclass(frozen=True)
class _Story:
    """What happened on one zone: its coats and the sandings that took film off it."""

    layer: Layer
    laid: tuple[FilmLaid, ...]
    layings: tuple[Laying, ...]
    taken: tuple[Sanding, ...]

    @property
    def signature(self) -> tuple[object, ...]:
        """Equal for zones whose figures are the same."""
        zone = self.layer.zone
        return (absorption_of(zone), zone.kind == "face", tuple(c.key for c in self.layings),
                tuple((s.track, s.index) for s in self.taken))  # fmt: skip


def figures_of(
    run: Run, by_number: Mapping[int, Laying], sandings: tuple[Sanding, ...], own: OwnFigures
) -> FilmFigures:
    """Return the figures of a film run.

    Parameters
    ----------
    run : Run
        With draws.
    by_number : mapping
        The laying of every coat of the schedule, by its number there.
    sandings : tuple of Sanding
        In order.
    own : OwnFigures
        The maker's figures.
    """
    figures: dict[str, Figure] = {}
    coat_um: dict[tuple[str, str], Figure] = {}
    places: list[Place] = []
    # Parts with the same course and wood share their figures.
    known: dict[tuple[object, ...], dict[str, Figure]] = {}
    for part in dict.fromkeys(x.zone.part for x in run.layers):
        groups: dict[tuple[object, ...], list[_Story]] = {}
        for story in _stories(part, run, by_number, sandings):
            groups.setdefault(story.signature, []).append(story)
        for signature, stories in groups.items():
            if signature not in known:
                known[signature] = _of_story(stories[0], own)
            for laying, name in zip(stories[0].layings, _coat_names(stories[0]), strict=True):
                coat_um.setdefault((laying.key, part), known[signature][name])
        if not groups:
            continue
        least = min(groups, key=lambda s: known[s]["flat_left"].number())
        for signature, stories in groups.items():
            faces = tuple(dict.fromkeys(s.layer.zone.face for s in stories))
            prefix = f"film.{part}" if len(groups) == 1 else f"film.{part}.{faces[0]}"
            places.append(Place(part, faces if len(groups) > 1 else (), prefix))
            figures |= {f"{prefix}.{k}": f for k, f in known[signature].items()}
        figures |= {f"film.{part}.{k}": f for k, f in known[least].items()}
    if places:
        thinnest = min(places, key=lambda p: figures[f"{p.prefix}.flat_left"].number())
        figures |= {f"film.{k}": figures[f"{thinnest.prefix}.{k}"] for k in LEFT}
    return FilmFigures(figures, tuple(places), coat_um)


def edges_of(own: OwnFigures) -> EdgeFigures:
    """Return how film and sanding differ on an arris, the maker's figures before the table's."""
    for name in ("edge_film", "edge_cut"):
        if own.said(name) and own.value(name) <= 0:
            raise Refusal(f"[hand] {name}", "a factor of zero", "write e.g. 0.65 or 2.5")
    return edge_figures(
        edge_film=own.figure("edge_film") if own.said("edge_film") else None,
        edge_cut=own.figure("edge_cut") if own.said("edge_cut") else None,
    )


def absorption_of(zone: ZoneLike) -> str:
    """Return the row of the table of absorption for a zone: by kind, faces by their wood."""
    wood = table("woods").rows.get(getattr(zone, "wood", ""), table("woods")["unknown"])
    return absorption(kind=zone.kind, pores=wood.text("absorption")).key


def _stories(
    part: str, run: Run, by_number: Mapping[int, Laying], sandings: tuple[Sanding, ...]
) -> list[_Story]:
    """Return the coated faces of a part; its edges and end grain where it has no face."""
    layers = [x for x in run.layers if x.zone.part == part and x.coats]
    layers = [x for x in layers if x.zone.kind == "face"] or layers
    out = []
    for layer in layers:
        laid = tuple(x for x in run.laid if x.zone is layer.zone)
        taken = _taken(layer, laid, run, sandings)
        out.append(_Story(layer, laid, tuple(by_number[x.step] for x in laid), taken))
    return out


def _taken(
    layer: Layer, laid: tuple[FilmLaid, ...], run: Run, sandings: tuple[Sanding, ...]
) -> tuple[Sanding, ...]:
    """Return the sandings that really took film off a zone."""
    zone = layer.zone
    refused = {r.step for r in run.refused}
    out, film, last = [], 0.0, 0
    for s in sandings:
        if s.part != zone.part or s.number in refused or (s.faces and zone.face not in s.faces):
            continue
        if zone.kind != "face" and not (s.edges or s.faces):
            continue
        film += sum(float(np.ravel(x.added_um)[0]) for x in laid if last < x.step < s.number)
        last = s.number
        if film > 0:  # on bare wood it takes raised fibres only
            out.append(s)
            film -= s.removed.number()
    return tuple(out)


def _coat_names(story: _Story) -> tuple[str, ...]:
    return tuple(f"coat{k}" for k in range(1, len(story.laid) + 1))


def _of_story(story: _Story, own: OwnFigures) -> dict[str, Figure]:
    layer, zone = story.layer, story.layer.zone
    figures: dict[str, Figure] = {}
    before: Figure = exact(0.0, "ml/m2", "nothing has landed yet")
    inputs: dict[str, Figure] = {}
    for name, one, laying in zip(_coat_names(story), story.laid, story.layings, strict=True):
        added, before = _coat_figure(name, one, laying, absorption_of(zone), before, own, figures)
        figures[name] = inputs[name] = added
    flat_rows = sum((np.asarray(x.added_um) for x in story.laid), np.zeros(1))
    edge_rows = sum((np.asarray(x.edge_added_um) for x in story.laid), np.zeros(1))
    flat = computed(" + ".join(inputs), "um", inputs, draws=flat_rows)
    arris = edges_of(own)
    on_face = zone.kind == "face"
    of_edge = {"edge_film": arris.edge_film, "flat": flat} if on_face else {"flat": flat}
    edge = computed(" * ".join(of_edge), "um", of_edge, draws=edge_rows)
    sands = {f"sand{k}": s.removed for k, s in enumerate(story.taken, 1)}
    both = {n: s.removed for n, s in zip(sands, story.taken, strict=True) if s.edges}
    note = f"{zone.face} of {zone.part}"
    figures["flat"], figures["edge"] = flat, edge
    figures["flat_left"] = computed(
        " - ".join(["flat", *sands]), "um", {"flat": flat, **sands},
        draws=np.asarray(layer.film_um), note=note,
    )  # fmt: skip
    cut = {"edge_cut": arris.edge_cut} if both and on_face else {}
    times = "edge_cut * " if cut else ""
    figures["edge_left"] = computed(
        "edge" + (f" - {times}({' + '.join(both)})" if both else ""), "um",
        {"edge": edge, **cut, **both}, draws=np.asarray(layer.edge_um), note=note,
    )  # fmt: skip
    return figures


def _coat_figure(
    name: str, one: FilmLaid, laying: Laying, surface: str, before: Figure, own: OwnFigures,
    figures: dict[str, Figure],
) -> tuple[Figure, Figure]:  # fmt: skip
    """Return (film this coat adds, what has landed by now as the reference mix)."""
    load = laying.load
    if load.deposit is not None:
        return load.deposit, before
    liquid = laying.liquid
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
        soaked = exact(0.0, "ml/m2", "sealed by what was laid before")
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
