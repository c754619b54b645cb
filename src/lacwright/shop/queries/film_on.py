"""The film on a piece as its coats and sandings left it, part by part, with bands.

The same film model as the plan's, fed with what really happened: the resin that landed by weight,
what bare wood takes up, what was sanded off. Nothing is refused here: it has been done.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from lacwright.figures import Basis, Figure, Mark, Num, unknown, weakest
from lacwright.figures.draws import Draws, band
from lacwright.film import Abrade, Coat, Ground, Rules, Run, Schedule, run_schedule
from lacwright.plan.film_figures import absorption_of
from lacwright.plan.own import Array, OwnFigures
from lacwright.shop.facts import FLAKES, density_of
from lacwright.shop.models import Lot
from lacwright.shop.queries.contents import Contents
from lacwright.shop.queries.own_figures import for_plans, own_figures
from lacwright.shop.queries.preferences import own_given
from lacwright.shop.queries.progress import ABRADE, COAT, STRIP, Done, zones_meant
from lacwright.shop.queries.remembered import remembered
from lacwright.surface import Zone
from lacwright.trade import table

N = 400
"""Draws: enough for a band of two figures."""
COUNTED = ("weighed", "measured")
_LET_PASS = Rules(least_left_um=-1e9, through_share=2.0, warn_um=1e9, stop_um=1e9)
"""What was done was done: no sanding is refused, no film too thick."""


@dataclass(frozen=True)
class Landed:
    """What one coat left on the piece."""

    by_lot: Mapping[Lot, float]  # dry [g]
    inside: Contents | None  # the jar just before

    @property
    def resin_g(self) -> float:
        """Its resin [g]."""
        return sum(g for lot, g in self.by_lot.items() if lot.kind == FLAKES)

    @property
    def density_g_ml(self) -> float:
        """Of its resin [g/ml]."""
        flakes = {lot: g for lot, g in self.by_lot.items() if lot.kind == FLAKES}
        return self.resin_g / sum(g / density_of(lot) for lot, g in flakes.items())


@dataclass(frozen=True)
class FilmOn:
    """The film of a piece: of every coat on every part, and what is there now."""

    coats: dict[tuple[int, str], Figure] = field(default_factory=dict)
    now: dict[str, Figure] = field(default_factory=dict)


@dataclass(frozen=True, eq=False)
class _Liquid:
    """What the film needs to know of a mix."""

    resin_g: Mapping[Any, Any]
    resin_g_per_l: Any
    resin_density_g_ml: Any


def film_on(
    *, zones: Iterable[Zone], events: Sequence[Done], landed: Mapping[int, Landed]
) -> FilmOn:
    """Return the film on a piece.

    Parameters
    ----------
    zones : iterable of Zone
        Its finished zones.
    events : sequence of Done
        Coats, sandings and strippings, in the order of time.
    landed : mapping of root to Landed
        What every coat left on it.
    """
    all_zones = tuple(zones)
    methods = {e.body["method"] for e in events if e.kind == COAT and e.body["method"]}
    names = [f"{family}.{m}" for m in sorted(methods) for family in ("spread", "lost")]
    learned = remembered(("own figures", *names), lambda: own_figures(only=names))
    own = OwnFigures([own_given() | for_plans(learned)], Draws(N))
    out = FilmOn()
    for part in dict.fromkeys(z.part for z in all_zones):
        mine = [z for z in all_zones if z.part == part]
        _part(part, mine, [e for e in events if _touches(e, part)], landed, own, out)
    return out


def _touches(event: Done, part: str) -> bool:
    parts = event.body.get("parts") or ()
    return not parts or part in parts


def _part(
    part: str, zones: list[Zone], events: list[Done], landed: Mapping[int, Landed],
    own: OwnFigures, out: FilmOn,
) -> None:  # fmt: skip
    """Work through one part, anew after every stripping."""
    since: list[Done] = []
    for event in events:
        if event.kind == STRIP:
            _stretch(part, zones, since, landed, own, out)
            since = []
        else:
            since.append(event)
    out.now[part] = _stretch(part, zones, since, landed, own, out)


def _stretch(
    part: str, zones: list[Zone], events: list[Done], landed: Mapping[int, Landed],
    own: OwnFigures, out: FilmOn,
) -> Figure:  # fmt: skip
    schedule: list[Coat | Abrade] = []
    coats: dict[int, Done] = {}
    missing: str | None = None
    method = ""
    for event in events:
        if event.kind == ABRADE:
            schedule.append(_abrade(event, part, zones, method, own))
            continue
        why = _unknown(event, landed.get(event.root))
        if why is not None:
            missing = missing or why
            out.coats[event.root, part] = unknown("um", why)
            continue
        method = event.body["method"] or method
        schedule.append(_coat(event, part, zones, landed[event.root], own))
        coats[len(schedule)] = event
    if not coats:
        return unknown("um", missing) if missing else Figure(
            0.0, 0.0, 0.0, "um", Basis.COMPUTED, Mark.OWN, "no coat is on record"
        )  # fmt: skip
    run = _run(zones, tuple(schedule), own)
    for laid in run.of_main(part):
        event = coats[laid.step]
        out.coats[event.root, part] = _figure(laid.added_um, [event], zones)
    if missing:
        return unknown("um", missing)
    return _figure(run.main(part).film_um, list(coats.values()), zones)


def _run(zones: list[Zone], schedule: Schedule, own: OwnFigures) -> Run:
    grounds = []
    for zone in zones:
        surface = absorption_of(zone)
        grounds.append(Ground(
            zone, capacity_ml_m2=own.draw(f"absorption.{surface}"),
            start_share=np.clip(own.draw(f"soak_start.{surface}"), 0.0, 1.0),
            reference_cut_lb_per_gal=table("absorption")[surface].number("reference_cut"),
        ))  # fmt: skip
    return run_schedule(grounds=grounds, schedule=schedule, rules=_LET_PASS)


def _unknown(event: Done, landed: Landed | None) -> str | None:
    """Return why the film of a coat cannot be told, None if it can."""
    body = event.body
    if body["amount_basis"] == "not said" or landed is None or not landed.by_lot:
        return "cannot estimate without the amount of every coat: one was not said"
    if not body["area_m2"]:
        return "cannot estimate without the area of every coat: one is not known"
    if landed.inside is None or landed.inside.no_cut is not None:
        return "cannot estimate without what is in the jar of every coat"
    if any(lot.kind not in (FLAKES, "dye") for lot in landed.by_lot) or landed.resin_g <= 0:
        return "cannot estimate with a liquid of which nobody said what it is"
    return None


def _coat(event: Done, part: str, zones: list[Zone], landed: Landed, own: OwnFigures) -> Coat:
    body = event.body
    inside = landed.inside
    assert inside is not None
    g_per_l = float(inside.mix.resin_g_per_l)
    mix = _Liquid({lot.key: g for lot, g in landed.by_lot.items() if lot.kind == FLAKES}, g_per_l,
                  landed.density_g_ml)  # fmt: skip
    wet: Num = 1000.0 * landed.resin_g / body["area_m2"] / g_per_l
    wet = wet * _not_known(event, own)
    return Coat(part, body["method"] or "brush", mix, wet_um=wet, faces=_faces(body, zones),
                what=event.what)  # fmt: skip


def _not_known(event: Done, own: OwnFigures) -> Array:
    """Return by how much what landed may be off: an estimate, and what stayed in the pad."""
    body, factor = event.body, own.noise("none", 0.0)
    method = body["method"]
    if body["amount_basis"] not in COUNTED:
        spread = own.figure(f"spread.{method}")
        hand = own.draw_figure(spread, f"hand.{method}") / spread.number()
        factor = factor * hand * own.noise(f"coat.{event.root}", own.value("coat_ln_sd"))
    if body["left_g"] is None:
        share = body.get("lost_share") or 0.0
        rows = np.clip(own.draw(f"lost.{method}"), 0.0, 0.99)
        factor = factor * (1 - rows) / (1 - rows[0]) if share else factor
    return factor


def _abrade(event: Done, part: str, zones: list[Zone], method: str, own: OwnFigures) -> Abrade:
    body = event.body
    removed: Num
    if body["removes_um"] is not None:
        removed = float(body["removes_um"])
    elif body["what"] != "level" or own.said("removal.level"):
        removed = own.draw(f"removal.{body['what']}")
    else:
        ridge = own.draw(f"removal.ridge.{method or 'brush'}")
        removed = ridge * own.draw("removal.level_share")
    return Abrade(part, body["what"], removed, body["abrasive"], _faces(body, zones))


def _faces(body: Mapping[str, Any], zones: list[Zone]) -> tuple[str, ...]:
    """Return the faces that are meant as the zones call them, none where none has a name."""
    if not body["faces"]:
        return ()
    return tuple(dict.fromkeys(z.face for z in zones_meant(zones, (), body["faces"]) if z.face))


def _figure(um: Num, coats: list[Done], zones: list[Zone]) -> Figure:
    value, low, high = band(np.asarray(um))
    marks = [Mark.OWN]
    words = []
    guessed = sum(1 for c in coats if c.body["amount_basis"] not in COUNTED)
    if guessed:
        marks.append(Mark.PRACTICE)
        words.append(f"{guessed} of {len(coats)} estimated" if len(coats) > 1 else "estimated")
    surfaces = {absorption_of(z) for z in zones} - {"sealed"}
    if surfaces:
        marks += [table("absorption")[s].mark for s in surfaces]
        words.append("wood drinks as usual")
    source = "from the record" + (f": {', '.join(words)}" if words else ", weighed")
    return Figure(value, low, high, "um", Basis.COMPUTED, weakest(*marks), source)
