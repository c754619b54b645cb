"""A plan as plain data: bare keys with unit suffixes, and the reason for every null among them."""

from __future__ import annotations

from typing import Any

from lacwright.figures.units import G_PER_L_PER_CUT
from lacwright.plan.amounts import Amount
from lacwright.plan.build import Plan
from lacwright.plan.tasks import Wait
from lacwright.plan.vapour_keys import air_keys

SCHEMA = "lacwright.plan/1"


def plan_keys(made: Plan) -> tuple[dict[str, Any], dict[str, str]]:
    """Return the bare keys of a plan and the reason for every null among them."""
    missing: dict[str, str] = {}
    suit = made.suitability
    if suit.alternative is None:
        missing["suitability.alternative"] = "none is proposed"
    keys: dict[str, Any] = {
        "title": made.piece.title,
        "suitability": {
            "verdict": suit.verdict, "reasons": list(suit.reasons),
            "conditions": list(suit.conditions), "alternative": suit.alternative,
        },
        "coats": [
            {
                "part": c.part, "what": c.laying.step.what, "number": c.laying.number,
                "faces": list(c.laying.step.faces), "method": c.laying.method,
                "cut_lb_per_gal": c.laying.mix.cut_lb_per_gal, "mix": c.laying.mix.name,
                "load_ml_m2": c.laying.load.used.number(), "film_um": c.film.number(),
                **_wait_keys(c.wait),
            }
            for c in made.coats
        ],
        "mixes": {a.spec.name: _mix_keys(a, made) for a in made.mixes},
        "calendar": None, "finish": None,
        "shelf": [
            {"lot": r.lot, "need": r.need.number(), "have": r.have, "left": r.left,
             "unit": r.unit, "word": r.word,
             **({"missing": {"have": r.word, "left": r.word}} if r.have is None else {})}
            for r in made.shelf
        ],
        "refused": [
            {"step": r.what, "part": r.part, "place": r.place, "need_um": r.need_um,
             "have_um": r.have_um, "least_left_um": r.least_left_um, "text": r.text}
            for r in (made.film.run.refused if made.film else ())
        ],
        "notes": list(made.notes),
    }  # fmt: skip
    keys["air"] = None
    if made.air is not None:
        air = made.air
        keys["air"], why = air_keys(air.estimate, air.sources, air.changes,
                                    emission=air.spec.emission, notes=air.notes)  # fmt: skip
        missing |= {f"air.{name}": reason for name, reason in why.items()}
    else:
        missing["air"] = not_told(made)
    course = made.piece.course
    keys["students"] = None if course is None else course.students
    if course is None:
        missing["students"] = "it is no class"
    if made.calendar is None or made.finish is None:
        missing |= {"calendar": "no step is planned", "finish": "no step is planned"}
        return keys, missing
    keys["calendar"] = [
        {"date": e.date.isoformat(), "at": clock(e.hour), "what": e.what, "part": e.part,
         "until": e.until.isoformat()}
        for e in made.calendar.entries
    ]  # fmt: skip
    f = made.finish
    keys["finish"] = {
        "earliest": f.earliest.isoformat(),
        "wished": f.wished.isoformat() if f.wished else None,
        "days_late": f.days_late,
        "latest_start": f.latest_start.isoformat() if f.latest_start else None,
    }
    if f.wished is None:
        missing |= {f"finish.{k}": "no day is wished for"
                    for k in ("wished", "days_late", "latest_start")}  # fmt: skip
    elif f.latest_start is None:
        missing["finish.latest_start"] = "no start within five years is early enough"
    return keys, missing


def not_told(made: Plan) -> str:
    """Return why the air of a plan is not estimated."""
    if made.no_air is None:
        return "nothing is laid in it"
    return f"{made.no_air.what}; {made.no_air.mend}"


def _wait_keys(wait: Wait) -> dict[str, Any]:
    model = wait.model
    keys: dict[str, Any] = {
        "wait_h": wait.figure.number(), "wait_source": wait.source,
        "wait_usual_h": wait.practice.number(), "wait_until": wait.stage or None,
        "wait_model_h": None, "wait_model_h_low": None, "wait_model_h_high": None,
    }  # fmt: skip
    if model is None:
        silent = ("wait_until", "wait_model_h", "wait_model_h_low", "wait_model_h_high")
        return keys | {"missing": dict.fromkeys(silent, "the model has no say here: see the notes")}
    return keys | {"wait_model_h": model.number(), "wait_model_h_low": model.low,
                   "wait_model_h_high": model.high}  # fmt: skip


def _mix_keys(one: Amount, made: Plan) -> dict[str, Any]:
    f, mix, spec = one.figures, one.mix, one.spec
    known = mix is not None and mix.masses_known
    ready = made.figures.get(f"mix.{spec.name}.ready_after")
    keys: dict[str, Any] = {
        "resin_g": f["resin"].number(), "alcohol_ml": f["alcohol"].number(),
        "alcohol_g": mix.alcohol_g if mix and known else None,
        "solution_ml": f["solution"].number(),
        "solution_g": mix.solution_g if mix and known else None,
        "cut_lb_per_gal": spec.cut_lb_per_gal,
        "resin_g_per_l_alcohol": spec.cut_lb_per_gal * G_PER_L_PER_CUT,
        "solids_mass_fraction": mix.solids_mass_fraction if mix and known else None,
        "solids_volume_fraction": mix.solids_volume_fraction if mix else None,
        "ready_after_h": ready.value if ready is not None else None,
        "alcohol": spec.alcohol.lot if spec.alcohol else None,
        "jar": spec.jar, "dye_ml": f["dye"].number() if "dye" in f else 0.0,
        "per_lot": [
            {"lot": name, "resin_g": share * f["resin"].number()} for name, share in one.per_lot
        ],
    }  # fmt: skip
    reason = f["alcohol_g"].missing if mix else "nothing is mixed"
    why = {
        "alcohol_g": reason, "solution_g": reason, "solids_mass_fraction": reason,
        "solids_volume_fraction": "nothing is mixed", "ready_after_h": "the jar is ready",
        "alcohol": "not said", "jar": "it is made new",
    }  # fmt: skip
    keys["missing"] = {k: why[k] for k, v in keys.items() if v is None}
    return keys


def clock(hour: float) -> str:
    """Return an hour of the day as "09:15"."""
    minutes = round(hour * 60)
    return f"{minutes // 60:02d}:{minutes % 60:02d}"
