"""What is worth a remark about a coat: cut, grade, wait and jar against the plan; none refuses."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from lacwright.figures.spoken import trimmed
from lacwright.shop import clock
from lacwright.shop.asked import body_of, rows
from lacwright.shop.facts import DYE, FLAKES, density_of
from lacwright.shop.ledger import UNACCOUNTED
from lacwright.shop.models import Jar
from lacwright.shop.queries.contents import Contents, contents, made_of
from lacwright.shop.queries.jobs import open_on
from lacwright.shop.queries.own_figures import own_figure
from lacwright.shop.queries.preferences import zone
from lacwright.shop.queries.progress import (
    ABRADE,
    COAT,
    STRIP,
    Done,
    Lane,
    Step,
    lanes,
    lanes_of,
    zones_of,
)
from lacwright.shop.services.amend import Body
from lacwright.shop.services.work import Work
from lacwright.trade import table

TRACES = 0.05
"""A grade of less than this share of the resin is not worth a remark."""
CLOSE = "close"


@dataclass(frozen=True)
class Before:
    """How things stood when the coat was begun."""

    work: Work
    jar: Jar
    inside: Contents
    touched: tuple[Lane, ...]
    planned: Step | None
    closed_us: int | None


def before(
    work: Work, jar: Jar, parts: Iterable[str], faces: Iterable[str], what: str | None, at_us: int
) -> Before:
    """Return how things stood at a moment: the jar, and how far the parts had come."""
    job = work.job
    kinds = (COAT, ABRADE, STRIP, CLOSE)
    found = rows(_DONE, [work.piece.pk], kinds, also=[at_us])
    events = [
        Done(root, at, kind, body_of(body)) for root, at, kind, body, of_job in found
        if job is None or of_job == job.pk
    ]  # fmt: skip
    plan = None if job is None else job.plan
    work_done = [e for e in events if e.kind != CLOSE]
    told = lanes(plan, work.piece.areas_m2, work_done)
    touched = lanes_of(told, {"parts": list(parts), "faces": list(faces)}, zones_of(plan))
    planned = next((s for s in (lane.next_to_lay(what) for lane in touched) if s is not None), None)
    closed = max((e.at_us for e in events if e.kind == CLOSE), default=None)
    return Before(work, jar, contents(jar.place.key, at_us=at_us), tuple(touched), planned, closed)


_DONE = """
SELECT e.root_id, e.at_us, e.kind, m.body, e.job_id
FROM shop_event e JOIN shop_movement m ON m.id = e.movement_id
WHERE e.piece_id IN ({}) AND e.kind IN ({}) AND e.at_us <= %s AND NOT e.void
ORDER BY e.at_us, e.root_id
"""


def remarks(state: Before, body: Body, at_us: int) -> list[str]:
    """Return what differs from the plan, in a sentence each."""
    out = [*_of_the_jar(state, body), *_of_the_plan(state, body),
           *_of_the_wait(state, body, at_us)]  # fmt: skip
    if state.work.job is None:
        out += [f"Job '{name}' is open on this piece: name it, or the coat is not counted there."
                for name in open_on(state.work.piece)]  # fmt: skip
    elif state.closed_us is not None:
        out.append(f"Job '{state.work.job.key}' was closed on "
                   f"{clock.day_of(state.closed_us, zone())}.")  # fmt: skip
    return out


def landed(
    root: int, place_key: str, jar_key: str, facts: Mapping[str, Any]
) -> dict[str, Any]:  # fmt: skip
    """Return what a coat that was just written took and left: by weight, by lot, by m2."""
    on = made_of(root, place_key)
    said = facts["amount_basis"] != "not said"
    area = facts["area_m2"] if said else None
    um = sum(h.g / density_of(h.lot) for h in on.held if h.lot.kind == FLAKES)
    known = all(h.lot.kind in (FLAKES, DYE) for h in on.held)
    return {
        "taken_g": -sum(made_of(root, place).total_g for place in (jar_key, UNACCOUNTED))
        - (facts["evaporated_g"] or 0.0) if said else None,
        "landed_g": on.total_g if said else None,
        "landed_g_m2": on.total_g / area if area else None,
        "film_um_on_sealed_wood": um / area if area and known else None,
        "lots": [{"lot": h.lot.key, "g": h.g} for h in on.held],
    }  # fmt: skip


def _of_the_jar(state: Before, body: Body) -> list[str]:
    out, inside, name = [], state.inside, state.jar.key
    amount = body.moves[0]["amount"]
    if amount is not None and not inside.unsaid:
        held = inside.total_g
        if amount["u"] != "ug" and not inside.empty:
            held = inside.figures.keys["solution_ml"]
        taken = amount["n"] / (1e6 if amount["u"] == "ug" else 1e3)
        if held is not None and taken > held:
            unit = "g" if amount["u"] == "ug" else "ml"
            out.append(
                f"The record has only {trimmed(held)} {unit} in jar '{name}'; "
                f"{trimmed(taken - held)} {unit} are booked as unaccounted: weigh the jar and "
                "write it down."
            )
    planned = state.planned
    if planned is None or inside.no_cut is not None:
        return out
    cut, wished = float(inside.mix.cut_lb_per_gal), float(planned["cut_lb_per_gal"])
    if abs(cut / wished - 1) > table("practice")["jar.cut_off"].number("value"):
        word = "weaker" if cut < wished else "stronger"
        out.append(f"Jar '{name}' holds a {cut:.2g}-lb cut, {word} than the {wished:g}-lb of the "
                   "plan.")  # fmt: skip
    grades = _grades(inside)
    if planned["grades"] and grades - set(planned["grades"]):
        out.append(f"Jar '{name}' holds {' and '.join(sorted(grades))}; planned is "
                   f"{' and '.join(planned['grades'])}.")  # fmt: skip
    return out


def _of_the_plan(state: Before, body: Body) -> list[str]:
    job, planned, facts = state.work.job, state.planned, body.facts
    if job is None or not (job.plan or {}).get("steps"):
        return []
    if planned is None:
        where = ", ".join(facts["parts"]) or "this piece"
        return [f"The plan has no more coats for {where}."]
    out = []
    if planned["jar"] and planned["jar"] != state.jar.key:
        out.append(f"The plan lays it from jar '{planned['jar']}'.")
    if facts["method"] is not None and facts["method"] != planned["method"]:
        out.append(f"It is laid by {facts['method']}; the plan says {planned['method']}.")
    if facts["what"] != planned["what"]:
        out.append(f"The plan has a {planned['what']} next, not a {facts['what']}.")
    return out


def _of_the_wait(state: Before, body: Body, at_us: int) -> list[str]:
    method = body.facts["method"]
    usual = own_figure(f"wait.{method}").number() if method else 0.0
    there = zone()
    due = [(lane.earliest_us(there, usual), lane) for lane in state.touched
           if lane.last is not None and lane.last.kind == COAT]  # fmt: skip
    late = max(((us, lane) for us, lane in due if us is not None and us > at_us),
               key=lambda pair: pair[0], default=None)  # fmt: skip
    if late is None:
        return []
    us, lane = late
    assert lane.last is not None
    where = f" on {lane.part}" if lane.part else ""
    by = "by the plan" if lane.last_step is not None else "as usual"
    return [f"The coat before{where} was finished at {clock.plain(lane.last.end_us, there)}; {by} "
            f"the next is due at {clock.plain(us, there)}: if it is soft, more coats shut the "
            "alcohol in."]  # fmt: skip


def _grades(inside: Contents) -> set[str]:
    resins = [h for h in inside.held if h.lot.kind == FLAKES and h.lot.grade]
    whole = sum(h.ug for h in resins)
    return {h.lot.grade for h in resins if h.ug > TRACES * whole}
