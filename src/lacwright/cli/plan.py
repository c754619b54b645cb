"""`lacwright plan`: from a piece file to a finishing plan."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

import click

from lacwright.cli.show import DAY, DENSITY, MASS, TEMPERATURE, clock, emit, json_option

if TYPE_CHECKING:
    from lacwright.figures import Figure
    from lacwright.plan import Amount, Plan


FINEST_G, COARSEST_G = 1e-3, 1000.0
"""Steps of a scale outside these are slips."""


@click.command()
@click.argument("piece_file", metavar="PIECE.toml")
@click.option("--hand", "hand_file", metavar="FILE", help="Own figures: a file with [hand].")
@click.option("--start", type=DAY, help="First day, in place of the wish's.")
@click.option("--by", type=DAY, help="Wished day, in place of the wish's.")
@click.option("--now", type=DAY, help="The day the plan is made; today by default.")
@click.option("--seed", type=int, default=0, show_default=True, help="Makes a run repeatable.")
@click.option("--draws", type=click.IntRange(0, 100_000), default=2000, show_default=True,
              help="Draws of the uncertain factors; 0 for the central case alone.")  # fmt: skip
@click.option("--density", type=DENSITY, help="Density of the resin, before the piece file's.")
@click.option("--temp", type=TEMPERATURE, help="Of the shop, before the piece file's.")
@click.option("--working", metavar="NAME", help="Formula, inputs and sources of one figure.")
@click.option("--scale-step", type=MASS, default="0.1 g", show_default=True, help="Of your scale.")
@json_option
def plan(
    piece_file: str, hand_file: str | None, start: Any, by: Any, now: Any, seed: int, draws: int,
    density: float | None, temp: float | None, working: str | None, scale_step: float,
    as_json: bool,
) -> None:  # fmt: skip
    """Plan a job: coats, amounts, film, days, shelf, quote, cautions.

    The piece file is TOML; docs/reference/piece-file.md describes it field by field, and
    examples/ holds three.
    """
    import datetime as dt

    from lacwright.figures import Refusal
    from lacwright.files.own import read_hand, with_hand
    from lacwright.files.piece import read_piece
    from lacwright.plan import make_plan

    if not FINEST_G <= scale_step <= COARSEST_G:
        raise Refusal("--scale-step", f"a step of {scale_step:g} g", "write e.g. 0.1 g")
    piece = read_piece(piece_file)
    if hand_file:
        piece = with_hand(piece, read_hand(hand_file))
    if density is not None:
        piece = replace(piece, resin_density_g_ml=density)
    if temp is not None:
        piece = replace(piece, shop=replace(piece.shop, temp_c=temp))
    made = make_plan(
        piece, today=now or dt.date.today(), start=start,
        by=by, n=draws, seed=seed,
    )  # fmt: skip
    if working is not None:
        _show_working(made, working, as_json=as_json)
        return
    from lacwright.cli.plan_text import page

    lines = [] if as_json else page(made, scale_g=scale_step)
    keys, missing = plan_keys(made)
    emit(schema="lacwright.plan/1", keys=keys, figures=made.figures, missing=missing,
         lines=lines, as_json=as_json, cautions=made.cautions, stops=made.stops)  # fmt: skip


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
                "wait_h": c.wait.figure.number(), "wait_source": c.wait.source,
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


def _mix_keys(one: Amount, made: Plan) -> dict[str, Any]:
    from lacwright.figures.units import G_PER_L_PER_CUT

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


def _show_working(made: Plan, name: str, *, as_json: bool) -> None:
    from lacwright.figures import Refusal, nearest

    if name not in made.figures:
        raise Refusal("--working", f"no figure is called '{name}'",
                      nearest(name, made.figures))  # fmt: skip
    figure = made.figures[name]
    emit(schema="lacwright.working/1", keys={"name": name}, figures={name: figure},
         lines=working_lines(name, figure), as_json=as_json, cautions=made.cautions,
         stops=made.stops, short=True)  # fmt: skip


def working_lines(name: str, figure: Figure) -> list[str]:
    """Return a figure with formula, inputs, marks and sources, input by input."""
    from lacwright.cli.show import brief

    def number(f: Figure) -> str:
        if f.value is None:
            return f"not known: {f.missing}"
        text = f"{brief(f.value, 4)} {f.unit}"
        if f.low is not None and f.high is not None and f.high > f.low:
            text += f" ({brief(f.low, 3)} to {brief(f.high, 3)})"
        return text

    lines = [f"{name} = {number(figure)}", f"  {figure.basis}, {figure.mark}"]
    if figure.working is None:
        return [*lines, f"  source: {figure.source}"]
    lines.append(f"  = {figure.working.formula}")
    for key, f in figure.working.inputs:
        lines.append(f"  {key} = {number(f)}; {f.basis}, {f.mark}")
        if f.working is not None:
            lines.append(f"      = {f.working.formula}")
        elif f.source:
            lines.append(f"      {f.source}")
    if figure.working.note:
        lines.append(f"  note: {figure.working.note}")
    return lines
