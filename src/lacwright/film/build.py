"""The film after every coat and sanding, on flats and on arrises, zone by zone."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np

from lacwright.figures import Caution, Num, Refusal, Stop, central, nearest, plain
from lacwright.figures.learned import Z95
from lacwright.film.landing import added_um, landed_ml_m2, soaked_ml_m2, strength, used_ml_m2
from lacwright.film.layers import (
    Ground,
    Laid,
    Layer,
    Refused,
    Rules,
    Run,
    StepFilm,
    main_layer,
)
from lacwright.film.removal import through_share
from lacwright.film.steps import Abrade, Coat, MixLike, Schedule


def run_schedule(
    *, grounds: Sequence[Ground], schedule: Schedule, rules: Rules, central_only: bool = False,
) -> Run:  # fmt: skip
    """Lay and sand in order.

    Parameters
    ----------
    grounds : sequence of Ground
        All finished zones of all parts.
    schedule : tuple of Coat, Abrade, Rest, Clean
        In order of work. A number may be draws on the last axis, column 0 the central case.
    rules : Rules
        Limits.
    central_only : bool
        Compute column 0 alone: for decisions, which are taken once.

    Returns
    -------
    Run
        A sanding that would leave less than `rules.least_left_um` in the central case at the
        thinnest place it touches (flat, arris, side edge, end grain) is not applied there or
        anywhere; it is listed with need and have. Draws never go below zero.

    Raises
    ------
    Refusal
        For a step on a part or face that is not among the grounds.

    Notes
    -----
    Where no film lies at all (a coat that soaked in), there is nothing to go through: sanding
    then takes raised fibres and is let pass with a note. Coats of shellac melt into each other,
    so sanding takes each resin in proportion.
    """
    state = [Layer(g.zone) for g in grounds]
    if central_only:
        grounds = [_central_ground(g) for g in grounds]
    solids: dict[int, _Solids] = {}
    log = _Log()
    for number, step in enumerate(schedule, start=1):
        if isinstance(step, Coat):
            hit = _touched(grounds, step.part, step.faces, step.what)
            if id(step.mix) not in solids:
                solids[id(step.mix)] = _Solids.of(step.mix, central_only)
            _coat(number, _central_coat(step) if central_only else step,
                  solids[id(step.mix)], grounds, state, hit, rules, log)  # fmt: skip
        elif isinstance(step, Abrade):
            hit = _touched(grounds, step.part, step.faces, step.what)
            if not step.edges_too:
                hit = [i for i in hit if step.faces or grounds[i].zone.kind == "face"]
                if not hit:
                    log.notes.append(f"{step.what} on {step.part}: it has no flats to sand")
                    continue
            if central_only:
                step = replace(step, removed_um=central(step.removed_um))
            _abrade(number, step, grounds, state, hit, rules, log)
    layers = tuple(_with_thinnest(layer, g) for layer, g in zip(state, grounds, strict=True))
    return Run(tuple(log.steps), layers, tuple(log.laid), tuple(log.refused),
               tuple(dict.fromkeys(log.notes)), tuple(log.cautions), tuple(log.stops))  # fmt: skip


@dataclass(frozen=True)
class _Solids:
    """What a coat needs of its mix, worked out once."""

    g_per_l: Num
    density: Num
    shares: Mapping[Any, Num]

    @classmethod
    def of(cls, mix: MixLike, central_only: bool) -> _Solids:
        take: Callable[[Any], Num] = central if central_only else lambda x: x
        grams = {resin: take(g) for resin, g in mix.resin_g.items()}
        total: Any = sum(grams.values())
        return cls(
            take(mix.resin_g_per_l), take(mix.resin_density_g_ml),
            {resin: g / total for resin, g in grams.items()} if np.all(total > 0) else {},
        )  # fmt: skip


@dataclass
class _Log:
    """What a run has to tell, gathered in order."""

    steps: list[StepFilm] = field(default_factory=list)
    laid: list[Laid] = field(default_factory=list)
    refused: list[Refused] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    cautions: list[Caution] = field(default_factory=list)
    stops: list[Stop] = field(default_factory=list)
    counts: dict[tuple[str, str], int] = field(default_factory=dict)

    def name(self, what: str, part: str) -> str:
        """Return the step's word with its count on the part: "coat 2"."""
        n = self.counts[what, part] = self.counts.get((what, part), 0) + 1
        return f"{what} {n}"


def _coat(
    number: int, coat: Coat, mix: _Solids, grounds: Sequence[Ground], state: list[Layer],
    hit: list[int], rules: Rules, log: _Log,
) -> None:  # fmt: skip
    name = log.name(coat.what, coat.part)
    for i in hit:
        ground, old = grounds[i], state[i]
        laid = _lay(number, coat, mix, ground, old)
        grams = laid.added_um * mix.density
        soaked_g = laid.soaked_ml_m2 * mix.g_per_l / 1000
        state[i] = replace(
            old,
            resin_g_m2=_plus(old.resin_g_m2, mix.shares, grams),
            soaked_g_m2=_plus(old.soaked_g_m2, mix.shares, soaked_g),
            film_um=old.film_um + laid.added_um,
            edge_um=old.edge_um + laid.edge_added_um,
            soaked_ml_m2=old.soaked_ml_m2 + laid.soaked_ml_m2,
            before_ml_m2=old.before_ml_m2 + laid.landed_ml_m2 * laid.strength,
            coats=old.coats + 1,
            sealed=old.sealed or coat.soaks_in or coat.net,
        )
        log.laid.append(laid)
    shown = main_layer([state[i] for i in hit])
    log.steps.append(
        StepFilm(number, name, coat.part, shown.film_um, shown.edge_um, shown.zone)
    )  # fmt: skip
    _watch_thickness(name, coat.part, central(shown.film_um), rules, log)


def _lay(number: int, coat: Coat, mix: _Solids, ground: Ground, old: Layer) -> Laid:
    soaked: Num = 0.0
    counted: Num = 0.0
    if coat.net:
        how = "net"
        if coat.net_um is not None:
            added = coat.net_um
        else:
            assert coat.net_g_m2 is not None
            added = coat.net_g_m2 / mix.density
        landed = added * mix.density / mix.g_per_l * 1000
        used = used_ml_m2(landed_ml_m2=landed, lost_share=coat.lost_share)
    else:
        if coat.load_ml_m2 is not None:
            used = coat.load_ml_m2
            landed = landed_ml_m2(load_ml_m2=used, lost_share=coat.lost_share)
        else:
            assert coat.wet_um is not None
            landed = coat.wet_um  # 1 ml/m2 is 1 um
            used = used_ml_m2(landed_ml_m2=landed, lost_share=coat.lost_share)
        counted = strength(
            resin_g_per_l=mix.g_per_l, resin_density_g_ml=mix.density,
            reference_cut_lb_per_gal=ground.reference_cut_lb_per_gal,
        )  # fmt: skip
        how = "soaked in" if coat.soaks_in else "sealed" if old.sealed else "law"
        if how == "soaked in":
            soaked = landed
        elif how == "law":
            soaked = soaked_ml_m2(
                before_ml_m2=old.before_ml_m2, landed_ml_m2=landed,
                capacity_ml_m2=ground.capacity_ml_m2, start_share=ground.start_share,
                strength=counted,
            )  # fmt: skip
        added = added_um(landed_ml_m2=landed, soaked_ml_m2=soaked,
                         resin_g_per_l=mix.g_per_l, resin_density_g_ml=mix.density)  # fmt: skip
    edge = added * ground.edge_film if ground.has_arris else added
    return Laid(number, old.coats + 1, coat.part, ground.zone, how, used, landed, soaked, added,
                edge, old.before_ml_m2, counted)  # fmt: skip


def _abrade(
    number: int, step: Abrade, grounds: Sequence[Ground], state: list[Layer], hit: list[int],
    rules: Rules, log: _Log,
) -> None:  # fmt: skip
    name = log.name(step.what, step.part)
    covered = [i for i in hit if central(state[i].film_um) > 0]
    if len(covered) < len(hit) and central(step.removed_um) > 0:
        log.notes.append(
            f"{name} on {step.part}: where no film lies yet it takes raised fibres only"
        )
    places = [p for i in covered for p in _places(step, grounds[i], state[i], rules)]
    worst = min(places, key=lambda p: p.have_um - p.need_um, default=None)
    refused = worst is not None and _short(worst, rules)
    share = max((p.through_share for p in places), default=0.0)
    if worst is not None and refused:
        log.refused.append(replace(worst, step=number, what=name))
    else:
        for i in covered:
            state[i] = _sanded(step, grounds[i], state[i])
        if share > rules.through_share:
            log.notes.append(
                f"{name} on {step.part} leaves film in the mean but goes through on about "
                f"{share:.0%} of its thinnest place: go light there"
            )
    shown = main_layer([state[i] for i in hit])
    log.steps.append(
        StepFilm(number, name, step.part, shown.film_um, shown.edge_um, shown.zone,
                 step.removed_um, refused, share)
    )  # fmt: skip


def _places(step: Abrade, ground: Ground, layer: Layer, rules: Rules) -> list[Refused]:
    """Return need and have at every kind of place of a zone that a sanding touches."""
    zone = ground.zone
    flat = "flat" if zone.kind == "face" else zone.kind
    found = [(flat, central(step.removed_um), central(layer.film_um))]
    if step.edges_too and ground.has_arris:
        found.append(("arris", central(step.removed_um * ground.edge_cut), central(layer.edge_um)))
    cv = central(ground.unevenness)
    return [
        Refused(0, step.what, step.part, place, zone.face, need, have, rules.least_left_um,
                float(np.asarray(through_share(need_um=need, film_um=have, unevenness=cv))))
        for place, need, have in found
    ]  # fmt: skip


def _short(place: Refused, rules: Rules) -> bool:
    """Return whether too little would be left; a sanding that takes nothing never is."""
    return place.need_um > 0 and place.have_um - place.need_um < rules.least_left_um - 1e-9


def _sanded(step: Abrade, ground: Ground, old: Layer) -> Layer:
    film = _floor(old.film_um - step.removed_um)
    edge = film if not ground.has_arris else old.edge_um
    if step.edges_too and ground.has_arris:
        edge = _floor(old.edge_um - step.removed_um * ground.edge_cut)
    left: Any = np.asarray(film) / np.where(np.asarray(old.film_um) > 0, old.film_um, 1.0)
    grams = {resin: plain(g * left) for resin, g in old.resin_g_m2.items()}
    return replace(old, film_um=film, edge_um=edge, resin_g_m2=grams)


def _watch_thickness(name: str, part: str, film_um: float, rules: Rules, log: _Log) -> None:
    """Warn once and stop once for a part, at the coat that passes the limit."""
    code = f"film.thick.{part}"
    stopped = any(stop.code == code for stop in log.stops)
    warned = stopped or any(caution.code == code for caution in log.cautions)
    so_far = f"{name} on {part} brings the film to {film_um:.0f} um"
    if film_um > rules.stop_um and not stopped:
        log.stops.append(Stop(code, f"{so_far}, beyond {rules.stop_um:g} um: shellac so thick may "
                              "stay soft and crack. Lay fewer coats."))  # fmt: skip
    elif film_um > rules.warn_um and not warned:
        log.cautions.append(Caution(code, f"{so_far}, above {rules.warn_um:g} um: a film so thick "
                                    "is prone to crack."))  # fmt: skip


def _touched(grounds: Sequence[Ground], part: str, faces: tuple[str, ...], what: str) -> list[int]:
    """Return the indices of the grounds that a step on these faces of a part touches."""
    mine = [i for i, g in enumerate(grounds) if g.zone.part == part]
    if not mine:
        raise Refusal(f"{what} on {part}", "there is no such part",
                      nearest(part, {g.zone.part for g in grounds}))  # fmt: skip
    known = {grounds[i].zone.face for i in mine}
    for face in faces:
        if face not in known:
            raise Refusal(f"{what} on {part}", f"the part has no finished face '{face}'",
                          nearest(face, known))  # fmt: skip
    return [i for i in mine if not faces or grounds[i].zone.face in faces]


def _with_thinnest(layer: Layer, ground: Ground) -> Layer:
    thin: Any = np.minimum(layer.film_um, layer.edge_um) * (1 - Z95 * ground.unevenness)
    return replace(layer, thinnest_um=_floor(plain(thin)))


def _plus(have: Mapping[Any, Num], shares: Mapping[Any, Num], grams: Num) -> Mapping[Any, Num]:
    out = dict(have)
    for resin, share in shares.items():
        out[resin] = out.get(resin, 0.0) + share * grams
    return out


def _central_coat(coat: Coat) -> Coat:
    take = {
        name: central(value)
        for name in ("load_ml_m2", "wet_um", "net_um", "net_g_m2", "lost_share")
        if (value := getattr(coat, name)) is not None
    }
    return replace(coat, **take)  # type: ignore[arg-type]


def _central_ground(ground: Ground) -> Ground:
    names = ("capacity_ml_m2", "start_share", "edge_film", "edge_cut", "unevenness")
    return replace(ground, **{n: central(getattr(ground, n)) for n in names})  # type: ignore[arg-type]


def _floor(value: Num) -> Num:
    return plain(np.maximum(value, 0.0))
