"""`lacwright plan`: from a piece file to a finishing plan."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from lacwright.cli.plan_made import Asked, made_plan, plan_options, record_options, what_record_has
from lacwright.cli.room_options import plan_room_options, said_room
from lacwright.cli.show import DAY, MASS, emit, json_option

if TYPE_CHECKING:
    from lacwright.figures import Figure
    from lacwright.plan import Plan


FINEST_G, COARSEST_G = 1e-3, 1000.0
"""Steps of a scale outside these are slips."""


@click.command()
@click.argument("piece_file", metavar="PIECE.toml")
@plan_options
@plan_room_options
@click.option("--now", type=DAY, help="The day the plan is made; today by default.")
@click.option("--working", metavar="NAME", help="Formula, inputs and sources of one figure.")
@click.option("--scale-step", type=MASS, default="0.1 g", show_default=True, help="Of your scale.")
@record_options
@json_option
def plan(
    piece_file: str, now: Any, working: str | None, scale_step: float, home: str | None,
    no_record: bool, as_json: bool, **asked: Any,
) -> None:  # fmt: skip
    """Plan a job: coats, amounts, film, days, shelf, quote, cautions.

    The piece file is TOML; docs/reference/piece-file.md describes it field by field, and
    examples/ holds three. Where a record exists, its stock, own figures and last reading fill in
    what the file does not say. With the volume of the room and how often its air changes, of the
    file or of the options, the vapour is estimated too.
    """
    import datetime as dt

    from lacwright.figures import Refusal
    from lacwright.plan.keys import SCHEMA, plan_keys

    if not FINEST_G <= scale_step <= COARSEST_G:
        raise Refusal("--scale-step", f"a step of {scale_step:g} g", "write e.g. 0.1 g")
    room = said_room(asked)
    link = what_record_has(home, no_record=no_record, day=now)
    made = made_plan(Asked(piece_file=piece_file, today=now or dt.date.today(), room=room,
                           **asked), link)  # fmt: skip
    if working is not None:
        _show_working(made.plan, working, as_json=as_json)
        return
    from lacwright.cli.plan_text import page

    lines = [] if as_json else page(made.plan, scale_g=scale_step)
    if made.line is not None:
        lines[1:1] = [made.line]
    keys, missing = plan_keys(made.plan)
    keys["record"], why = made.record_keys()
    emit(schema=SCHEMA, keys=keys, figures=made.plan.figures, missing=missing | why,
         lines=lines, as_json=as_json, cautions=made.plan.cautions,
         stops=made.plan.stops)  # fmt: skip


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
