"""`lacwright room`: vapour in the room and near the work, limits, fire, stops."""

from __future__ import annotations

import datetime as dt
from typing import TYPE_CHECKING, Any

import click

from lacwright.cli.plan_made import record_options
from lacwright.cli.plot_file import check_plot, write_plot
from lacwright.cli.room_options import (
    read_lels,
    read_limits,
    room_options,
    stated_facts,
    stated_room,
)
from lacwright.cli.show import DAY, emit, json_option
from lacwright.figures import Refusal

if TYPE_CHECKING:
    from lacwright.plan import Plan
    from lacwright.room import Facts

DRAWS = 256
_TYPED = ("coats", "cleaning", "alcohol", "cut", "method")


@click.command()
@room_options
@click.option("--hand", "hand_file", metavar="FILE", help="Own figures of a plan.")
@record_options
@click.option("--now", type=DAY, help="The day a plan is made; today by default.")
@click.option("--plot", "plot_file", metavar="FILE",
              help="Draws the vapour over time into FILE, an SVG.")  # fmt: skip
@json_option
def room(
    piece_file: str | None, emission: str, jurisdiction: str | None, hold: float,
    extra: float | None, hand_file: str | None, home: str | None, no_record: bool,
    now: dt.date | None, plot_file: str | None, as_json: bool, **asked: Any,
) -> None:  # fmt: skip
    """Vapour of a job in the room and near the work, against limits and the explosive limit.

    An estimate that never says that nothing will happen: at best no stop is triggered by it.
    Label, safety data sheet, local codes and licensed practice come first.

    Example: lacwright room --volume "30 m3" --air-changes 0.5 --alcohol ethanol-190 --cut 2
    --coat "250 ml at 0 min" --coat "250 ml at 60 min over 10 min"
    """
    from lacwright.cli.room_keys import SCHEMA, room_keys
    from lacwright.cli.room_text import room_lines
    from lacwright.room import estimate, smallest_changes

    check_plot(plot_file)
    space, notes = stated_room(volume_m3=asked["volume_m3"], furnished=asked["furnished"],
                               air=asked["air"], factor=asked["factor"])  # fmt: skip
    facts, plan = stated_facts(asked), None
    if piece_file is None:
        from lacwright.cli.room_coats import typed_sources

        sources, _, taken = typed_sources(asked, emission=emission)
    else:
        from lacwright.cli.room_plan import plan_sources

        plan = _planned(piece_file, asked, hand_file, home, no_record=no_record, now=now)
        sources, taken = plan_sources(plan, emission=emission, temp_c=asked["temp_c"],
                                      rh=asked["rh"])  # fmt: skip
        facts = _with_shop(facts, plan)
    how: dict[str, Any] = {
        "facts": facts, "jurisdiction": jurisdiction, "own_limits": read_limits(asked["limits"]),
        "own_lel": read_lels(asked["lels"]), "extra_share": extra, "hold_share": hold,
    }  # fmt: skip
    made = estimate(sources, space, **how)
    changes = smallest_changes(sources, space, made, **how)
    cautions, stops = made.cautions, made.stops
    if plan is not None:
        from lacwright.cli.room_plan import with_plan

        cautions, stops = with_plan(plan, cautions, stops)
    if plot_file is not None:
        from lacwright.cli.room_plot import vapour_chart

        if made.curve is None:
            raise Refusal("--plot", "without the air changes there is no curve",
                          "give --air-changes")  # fmt: skip
        write_plot(plot_file, vapour_chart(made.curve, sources))
    notes = (*notes, *taken)
    keys, missing = room_keys(made, sources, changes, emission=emission, notes=notes,
                              plot=plot_file)  # fmt: skip
    emit(schema=SCHEMA, keys=keys, missing=missing, figures=made.figures(),
         lines=room_lines(made, changes, notes=notes, stopped=bool(stops), plot=plot_file),
         as_json=as_json, cautions=cautions, stops=stops)  # fmt: skip


def _planned(
    piece_file: str, asked: dict[str, Any], hand_file: str | None, home: str | None, *,
    no_record: bool, now: dt.date | None,
) -> Plan:  # fmt: skip
    from lacwright.cli.plan_made import Asked, made_plan, what_record_has

    for name in _TYPED:
        if asked[name]:
            option = "--coat" if name == "coats" else f"--{name}"
            raise Refusal(option, "the plan says that", "leave one of the two out")
    link = what_record_has(home, no_record=no_record, day=now)
    return made_plan(Asked(piece_file=piece_file, today=now or dt.date.today(), draws=DRAWS,
                           hand_file=hand_file), link).plan  # fmt: skip


def _with_shop(facts: Facts, plan: Plan) -> Facts:
    """Return the facts with what the piece file says of the shop."""
    from dataclasses import replace

    shop = plan.piece.shop
    sharing = facts.sharing
    if shop.children:
        sharing = (*(sharing or ()), "a child")
    return replace(facts, ignition=(*facts.ignition, *shop.ignition), sharing=sharing,
                   rag_plan=facts.rag_plan or shop.rag_plan or "")  # fmt: skip
