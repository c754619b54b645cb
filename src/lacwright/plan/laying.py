"""Every coat and session of a course in order: where it goes, from which mix, how much it takes."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from lacwright.figures import (
    Basis,
    Figure,
    Refusal,
    computed,
    exact,
    given,
    nearest,
    weakest,
)
from lacwright.figures.units import G_PER_L_PER_CUT
from lacwright.plan.course import Track, lays, mix_of
from lacwright.plan.loads import Liquid, Load, load_of
from lacwright.plan.mixes import density_of, recipe_of
from lacwright.plan.own import Array, OwnFigures
from lacwright.plan.piece import Lot, MixSpec, Piece, Step
from lacwright.surface import Zone, face_names
from lacwright.trade import table


@dataclass(frozen=True)
class Laying:
    """One coat or session."""

    key: str  # its own name among the figures, "job.coat3"
    track: str
    index: int  # place of its step in the track
    step: Step
    n: int  # which coat of this method it is where it is the earliest, from 1: sets the spread
    number: int  # which of its kind it is where it is the latest, from 1: "Coat 3"
    method: str
    mix: MixSpec
    liquid: Liquid
    zones: tuple[Zone, ...]
    load: Load
    used: Figure  # ml for the whole coat
    used_draws: Array

    @property
    def area_m2(self) -> float:
        """Area it covers."""
        return float(sum(z.area_m2 for z in self.zones))


def liquid_of(spec: MixSpec, own: OwnFigures, shelf: tuple[Lot, ...] = ()) -> Liquid:
    """Return grams of resin per litre of a mix, with the band of the resin's density.

    Volumes add: g/L = cut k / (1 + cut k / (1000 rho) + dye), k = 119.826 g/L for a 1-lb cut.
    """
    density, rows = density_of(spec, shelf, own)
    mix = recipe_of(spec, shelf, rows, temp_c=20.0).make(solution_ml=1000.0)
    formula = "cut * per_lb / (1 + cut * per_lb / (1000 * density))"
    inputs = {
        "cut": given(spec.cut_lb_per_gal, "lb/gal", f"mix {spec.name}"),
        "per_lb": exact(G_PER_L_PER_CUT, "g/l", "1 lb per US gallon"),
        "density": density,
    }
    if spec.dye_ml_per_l:
        formula = "cut * per_lb / (1 + cut * per_lb / (1000 * density) + dye / 1000)"
        inputs["dye"] = given(spec.dye_ml_per_l, "ml/l", f"mix {spec.name}, dye")
    resin = np.asarray(mix.resin_g_per_l)
    return Liquid(computed(formula, "g/l", inputs, draws=resin), density, resin, rows, mix)


def layings(
    course: tuple[Track, ...], piece: Piece, specs: tuple[MixSpec, ...], own: OwnFigures
) -> tuple[Laying, ...]:
    """Return all coats and sessions of a course.

    Raises
    ------
    Refusal
        For a step that covers no finished face.
    """
    liquids = {spec.name: liquid_of(spec, own, piece.shelf) for spec in specs}
    out: list[Laying] = []
    for track in course:
        # Counted by face: the first coat on the legs is a first coat even after three on the top.
        # Where one step covers both, the bare one sets the spread (it must not run short) and
        # the one with most coats the number.
        by_method: Counter[tuple[str, str, str]] = Counter()
        by_kind: Counter[tuple[str, str, str]] = Counter()
        for index, step in enumerate(track.steps):
            if not lays(step):
                continue
            method = method_of(step, track)
            mix = mix_of(step, specs)
            zones = zones_of(step, track, piece)
            faces = {(z.part, z.face) for z in zones}
            by_method.update((method, *f) for f in faces)
            by_kind.update((step.what, *f) for f in faces)
            n = min(by_method[method, *f] for f in faces)
            number = max(by_kind[step.what, *f] for f in faces)
            key = f"{track.name}.{step.what}{len(out) + 1}"
            area = float(sum(z.area_m2 for z in zones))
            load = load_of(step, method=method, n=n, coat=key, area_m2=area,
                           liquid=liquids[mix.name], own=own)  # fmt: skip
            area_draws = sum(
                (z.area_m2 * own.between("area", z.low, 1.0, z.high) for z in zones),
                np.zeros_like(load.used_draws),
            )
            used_draws = load.used_draws * area_draws
            covered = area_figure(zones, piece, "faces the coat covers")
            used = computed("used * area", "ml", {"used": load.used, "area": covered},
                            draws=used_draws)  # fmt: skip
            liquid = liquids[mix.name]
            out.append(Laying(key, track.name, index, step, n, number, method, mix, liquid, zones,
                              load, used, used_draws))  # fmt: skip
    return tuple(out)


def area_figure(zones: tuple[Zone, ...], piece: Piece, what: str) -> Figure:
    """Return the area of zones [m2], as good as the shapes it was got from."""
    parts = {p.name: p for p in piece.parts}
    touched = [parts[name] for name in dict.fromkeys(z.part for z in zones)]
    value, low, high = (
        sum(float(z.area_m2) * share for z, share in pairs)
        for pairs in (
            [(z, 1.0) for z in zones], [(z, z.low) for z in zones], [(z, z.high) for z in zones],
        )
    )  # fmt: skip
    source = "; ".join(dict.fromkeys([what, *(p.source for p in touched)]))
    mark = weakest(*(p.mark for p in touched))
    return Figure(value, low, high, "m2", Basis.COMPUTED, mark, source)


def zones_of(step: Step, track: Track, piece: Piece) -> tuple[Zone, ...]:
    """Return the finished zones that a step works on.

    Raises
    ------
    Refusal
        For a face that its parts do not have.
    """
    wanted = step.parts or track.parts
    zones = [z for p in piece.parts if p.name in wanted for z in p.zones if z.area_m2 > 0]
    if step.faces:
        for face in step.faces:
            if not any(z.on(face) for z in zones):
                where = f"[[step]] {step.what}, faces"
                raise Refusal(where, f"no finished face is called '{face}'",
                              nearest(face, face_names(zones)))  # fmt: skip
        zones = [z for z in zones if any(z.on(face) for face in step.faces)]
    if not zones:
        raise Refusal(f"[[step]] {step.what}", "it covers no finished face",
                      "name parts that have some")  # fmt: skip
    return tuple(zones)


def method_of(step: Step, track: Track) -> str:
    """Return the method of a step, its own or the one its kind or track implies."""
    if step.method:
        return table("methods").find(step.method, f"[[step]] {step.what}, method").key
    if step.what in ("session", "glaze") and "french-polish" in table("methods"):
        return "french-polish"
    return track.method


def uses_by_mix(coats: tuple[Laying, ...]) -> Mapping[str, tuple[Laying, ...]]:
    """Return the coats of each mix by its name."""
    out: dict[str, tuple[Laying, ...]] = {}
    for coat in coats:
        out[coat.mix.name] = (*out.get(coat.mix.name, ()), coat)
    return out
