"""`lacwright room`: vapour in the room and near the work, limits, fire, stops."""

from __future__ import annotations

import datetime as dt
from typing import TYPE_CHECKING, Any

import click

from lacwright.cli.plan_made import record_options
from lacwright.cli.plot_file import check_plot, write_plot
from lacwright.cli.room_options import WHERE, room_options, said_room
from lacwright.cli.show import DAY, emit, json_option
from lacwright.figures import Refusal

if TYPE_CHECKING:
    from lacwright.figures import Caution, Stop
    from lacwright.plan import RoomSpec, Vapour

SCHEMA = "lacwright.room/1"
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
    piece_file: str | None, hand_file: str | None, home: str | None, no_record: bool,
    now: dt.date | None, plot_file: str | None, as_json: bool, **asked: Any,
) -> None:  # fmt: skip
    """Vapour of a job in the room and near the work, against limits and the explosive limit.

    An estimate that never says that nothing will happen: at best no stop is triggered by it.
    Label, safety data sheet, local codes and licensed practice come first.

    Example: lacwright room --volume "30 m3" --air-changes 0.5 --alcohol ethanol-190 --cut 2
    --coat "250 ml at 0 min" --coat "250 ml at 60 min over 10 min"
    """
    from lacwright.cli.room_text import room_lines
    from lacwright.plan.vapour_keys import air_keys

    check_plot(plot_file)
    spec = said_room(asked)
    try:
        if piece_file is None:
            air, cautions, stops = _typed(spec, asked)
        else:
            air, cautions, stops = _planned(
                piece_file, spec, asked, hand_file, home, no_record=no_record, now=now
            )
    except Refusal as refusal:
        raise refusal.at(WHERE.get(refusal.where, refusal.where)) from None
    made = air.estimate
    if plot_file is not None:
        from lacwright.bench.charts.vapour import vapour_chart

        if made.curve is None:
            raise Refusal("--plot", "without the air changes there is no curve",
                          "give --air-changes")  # fmt: skip
        write_plot(plot_file, vapour_chart(made.curve, air.sources))
    keys, missing = air_keys(made, air.sources, air.changes, emission=air.spec.emission,
                             notes=air.notes)  # fmt: skip
    keys["plot"] = plot_file
    if plot_file is None:
        missing["plot"] = "not asked for"
    emit(schema=SCHEMA, keys=keys, missing=missing, figures=made.figures(),
         lines=room_lines(made, air.changes, notes=air.notes, stopped=bool(stops),
                          lowest=air.lowest, plot=plot_file),
         as_json=as_json, cautions=cautions, stops=stops)  # fmt: skip


def _typed(
    spec: RoomSpec, asked: dict[str, Any]
) -> tuple[Vapour, tuple[Caution, ...], tuple[Stop, ...]]:
    """Return the air of the coats that the options name, with its own words."""
    from lacwright.files.typed_air import TypedWork, typed_sources
    from lacwright.plan.vapour import vapour

    work = TypedWork(coats=asked["coats"], cleaning=asked["cleaning"], alcohol=asked["alcohol"],
                     cut=asked["cut"], method=asked["method"],
                     wet_um=asked["wet_um"])  # fmt: skip
    room, notes = spec.space()
    sources, taken = typed_sources(work, spec, _say)
    air = vapour(sources, room, spec, spec.facts, (*notes, *taken))
    return air, air.estimate.cautions, air.estimate.stops


def _planned(
    piece_file: str, spec: RoomSpec, asked: dict[str, Any], hand_file: str | None,
    home: str | None, *, no_record: bool, now: dt.date | None,
) -> tuple[Vapour, tuple[Caution, ...], tuple[Stop, ...]]:  # fmt: skip
    """Return the air of a plan, with the words of the plan."""
    from lacwright.cli.plan_made import Asked, made_plan, what_record_has

    for name in _TYPED:
        if asked[name]:
            option = "--coat" if name == "coats" else f"--{name}"
            raise Refusal(option, "the plan says that", "leave one of the two out")
    link = what_record_has(home, no_record=no_record, day=now)
    plan = made_plan(Asked(piece_file=piece_file, today=now or dt.date.today(), draws=DRAWS,
                           hand_file=hand_file, room=spec), link).plan  # fmt: skip
    if plan.no_air is not None:
        raise plan.no_air
    if plan.air is None:
        raise Refusal("--plan", "nothing is laid in it", "name the coats with --coat")
    return plan.air, plan.cautions, plan.stops


def _say(line: str) -> None:
    click.echo(f"{line} ...", err=True)
