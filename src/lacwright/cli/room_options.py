"""What `lacwright room` is asked: its options, read into the room as it was said."""

from __future__ import annotations

import functools
from collections.abc import Callable
from typing import TYPE_CHECKING, Any, TypeVar

import click

from lacwright.cli.show import CUT, FILM, RH, SHARE, TEMPERATURE, TIME, VOLUME, Quantity
from lacwright.figures import Figure, Refusal
from lacwright.figures import units as u

if TYPE_CHECKING:
    from lacwright.plan import RoomSpec

F = TypeVar("F", bound=Callable[..., Any])
FIRST_ORDER, INSTANT, WHILE_LAYING, DRYING = "first-order", "instant", "while-laying", "drying"
EMISSIONS = (FIRST_ORDER, INSTANT, WHILE_LAYING, DRYING)


class AirChanges(click.ParamType[Figure]):
    """An option that takes air changes: a number, a flow, or closed, one-window, windows."""

    name = "air changes"

    def convert(
        self, value: Any, param: click.Parameter | None, ctx: click.Context | None
    ) -> Figure:
        """Read the text; raise Refusal with the option's name."""
        from lacwright.files.room_words import read_air

        return read_air(value, param.opts[0] if param else "--air-changes")

    def get_metavar(self, param: click.Parameter, ctx: click.Context | None = None) -> str:
        """Return an example as the placeholder of the help."""
        return '"0.5"'


_WORK: tuple[Callable[[Any], Any], ...] = (
    click.option("--coat", "coats", multiple=True, metavar='"250 ml at 0 min over 10 min"',
                 help="Mix that is laid, when, and over how long."),
    click.option("--cleaning", multiple=True, metavar='"30 ml at 2 h"',
                 help="Alcohol for cleaning, or a spill."),
    click.option("--alcohol", help='A name ("ethanol-190", "unknown") or "ethanol 85, methanol 10, '
                 'water 5" by weight; "slow 5" is an unknown slow alcohol, "other 5" an unnamed '
                 'rest.'),
    click.option("--cut", type=CUT, help="Cut of the mix."),
    click.option("--method", help="How it is laid; spray is a stop."),
    click.option("--plan", "piece_file", metavar="PIECE.toml",
                 help="Coats and cleaning of a plan in place of these."),
)  # fmt: skip
_AIR: tuple[Callable[[Any], Any], ...] = (
    click.option("--volume", "volume_m3", type=Quantity(u.ROOM),
                 help="Air in the room: length, width, height, less the furniture."),
    click.option("--furnished", is_flag=True, help="Takes a fifth off for the furniture."),
    click.option("--air-changes", "air", type=AirChanges(),
                 help="How often an hour: measured, or closed, one-window, windows; or a known "
                 "flow, 200 m3/h. Without it the bounds alone are told."),
    click.option("--factor", type=float,
                 help="Mixing factor, 1 to 10; 1 where a decay was measured [3]."),
    click.option("--emission", type=click.Choice(EMISSIONS),
                 help="How a coat sets its solvent free [first-order]."),
    click.option("--extra", type=SHARE, help="Brush, rag and dish, on top of the coats [20 %]."),
    click.option("--session", "session_h", type=TIME,
                 help="Of a class: in which all of them lay one coat."),
)  # fmt: skip
_DRYING: tuple[Callable[[Any], Any], ...] = (
    click.option("--temp", "temp_c", type=TEMPERATURE, help="Of the room, for drying."),
    click.option("--rh", type=RH, help="Relative humidity, for drying."),
    click.option("--wet", "wet_um", type=FILM, help="Wet film, for drying [the method's]."),
)  # fmt: skip
_LIMITS: tuple[Callable[[Any], Any], ...] = (
    click.option("--jurisdiction", metavar="NAME",
                 help="Whose limits count: us-osha, us-niosh, acgih, ca-on, eu, de, nl, uk [the "
                 "lowest on file]."),
    click.option("--limit", "limits", multiple=True, metavar='"ethanol 500 ppm"',
                 help="Your own, of 8 h, or with '15 min' or 'ceiling' behind it."),
    click.option("--lel", "lels", multiple=True, metavar='"ethanol 3.3 %"',
                 help="Your own lower explosive limit."),
    click.option("--hold", type=SHARE,
                 help="Share of the limit that the needed air holds [100 %]."),
)  # fmt: skip
_FACTS: tuple[Callable[[Any], Any], ...] = (
    click.option("--pilot-off", is_flag=True,
                 help="Every pilot light, heater and flame is known to be out."),
    click.option("--alone", is_flag=True, help="Nobody else shares the air."),
    click.option("--sharing", multiple=True,
                 help="Who shares it: a child, somebody asleep or pregnant, an animal."),
    click.option("--gloves", default="", help="Of which material, as the data sheet names it."),
    click.option("--booth", is_flag=True, help="A rated booth or exhaust; it is not judged here."),
    click.option("--closed-box", is_flag=True, help="It dries in a box, cabinet, tent, vehicle."),
    click.option("--stored", "stored_ml", type=VOLUME, help="Flammable liquid stored."),
    click.option("--storage-limit", "storage_limit_ml", type=VOLUME, help="What you may store."),
)  # fmt: skip
_RAGS: tuple[Callable[[Any], Any], ...] = (
    click.option("--ignition", multiple=True, help="Heat, flame or spark in the room."),
    click.option("--oil", "oils", multiple=True, help="Drying oil in the job."),
    click.option("--rag-plan", default="", help="Where its rags go."),
    click.option("--steel-wool", "wool_after_h", type=TIME,
                 help="Time from wet alcohol to steel wool."),
)  # fmt: skip


def room_options(command: F) -> F:
    """Add every option of the estimate."""
    return _with(command, (*_WORK, *_AIR, *_DRYING, *_LIMITS, *_FACTS, *_RAGS))


def plan_room_options(command: F) -> F:
    """Add the options of the room in which a plan is carried out."""
    return _with(command, (*_AIR, *_LIMITS, *_FACTS))


def said_room(asked: dict[str, Any]) -> RoomSpec:
    """Take the options of the room out of what was asked, and return the room as it was said."""
    from lacwright.files.room_words import read_lels, read_limits
    from lacwright.plan import RoomSpec
    from lacwright.room import Facts

    told = {name: asked.pop(name) for name in _NAMES if name in asked}
    if told["alone"] and told["sharing"]:
        raise Refusal("--alone", "somebody shares the air as well", "leave one of the two out")
    sharing = tuple(told["sharing"]) if told["alone"] or told["sharing"] else None
    usual = RoomSpec()
    return RoomSpec(
        volume_m3=told["volume_m3"], furnished=told["furnished"], air=told["air"],
        mixing_factor=told["factor"], emission=told["emission"] or usual.emission,
        temp_c=told.get("temp_c"), rh=told.get("rh"), extra_share=told["extra"],
        hold_share=usual.hold_share if told["hold"] is None else told["hold"],
        jurisdiction=told["jurisdiction"], limits=read_limits(told["limits"]),
        lel_percent=read_lels(told["lels"]), session_h=told["session_h"],
        facts=Facts(
            booth=told["booth"], ignition=tuple(told.get("ignition", ())),
            pilot_off=told["pilot_off"], closed_box=told["closed_box"], gloves=told["gloves"],
            sharing=sharing, stored_ml=told["stored_ml"],
            storage_limit_ml=told["storage_limit_ml"], oils=tuple(told.get("oils", ())),
            rag_plan=told.get("rag_plan", ""), wool_after_h=told.get("wool_after_h"),
        ),
    )  # fmt: skip


WHERE = {"room volume": "--volume", "air changes": "--air-changes", "mixing factor": "--factor",
         "[room] volume": "--volume", "[room] session": "--session",
         "[room] emission": "--emission", "extra share": "--extra",
         "share of the limit": "--hold"}  # fmt: skip
"""From the place a refusal of the model names to the option."""
_NAMES = ("volume_m3", "furnished", "air", "factor", "emission", "extra", "session_h", "temp_c",
          "rh", "jurisdiction", "limits", "lels", "hold", "pilot_off", "ignition", "alone",
          "sharing", "gloves", "booth", "closed_box", "stored_ml", "storage_limit_ml", "oils",
          "rag_plan", "wool_after_h")  # fmt: skip


def _with(command: F, options: tuple[Callable[[Any], Any], ...]) -> F:
    return functools.reduce(lambda made, option: option(made), reversed(options), command)
