"""What `lacwright room` is asked: its options, read into the room, the limits and the facts."""

from __future__ import annotations

import functools
import re
from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, Any, TypeVar

import click

from lacwright.cli.show import CUT, FILM, RH, SHARE, TEMPERATURE, TIME, VOLUME, Quantity
from lacwright.figures import Figure, Refusal
from lacwright.figures import units as u
from lacwright.figures.quantities import read

if TYPE_CHECKING:
    from lacwright.room import Facts, Limit, Room

F = TypeVar("F", bound=Callable[..., Any])
FIRST_ORDER, INSTANT, WHILE_LAYING, DRYING = "first-order", "instant", "while-laying", "drying"
EMISSIONS = (FIRST_ORDER, INSTANT, WHILE_LAYING, DRYING)
KINDS = {"8 h": "8h", "8h": "8h", "15 min": "15min", "15min": "15min", "ceiling": "ceiling"}
_LIMIT = re.compile(
    r"\s*(?P<of>.+?)\s+(?P<n>\d+(?:\.\d+)?)\s*(?P<unit>ppm|mg/m3|mg/m³)(?:\s+(?P<kind>.+?))?\s*",
    re.IGNORECASE,
)
_PERCENT = re.compile(r"\s*(?P<of>.+?)\s+(?P<n>\d+(?:\.\d+)?)\s*%\s*")


class AirChanges(click.ParamType[Figure]):
    """An option that takes air changes: a number, or closed, one-window, windows."""

    name = "air changes"

    def convert(
        self, value: Any, param: click.Parameter | None, ctx: click.Context | None
    ) -> Figure:
        """Read the text; raise Refusal with the option's name."""
        from lacwright.figures import given
        from lacwright.trade import table

        where = param.opts[0] if param else "--air-changes"
        if re.match(r"\s*[\d.,]", value):
            return given(read(value, u.AIR_CHANGES, where), "1/h", "given")
        return table("room_air_changes").find(value, where).figure()

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
    click.option("--volume", "volume_m3", type=Quantity(u.ROOM), required=True,
                 help="Air in the room: length, width, height, less the furniture."),
    click.option("--furnished", is_flag=True, help="Takes a fifth off for the furniture."),
    click.option("--air-changes", "air", type=AirChanges(),
                 help="How often an hour: measured, or closed, one-window, windows. Without it the "
                 "bounds alone are told."),
    click.option("--factor", type=float,
                 help="Mixing factor, 1 to 10; 1 where a decay was measured [3]."),
    click.option("--emission", type=click.Choice(EMISSIONS), default=FIRST_ORDER,
                 show_default=True, help="How a coat sets its solvent free."),
    click.option("--extra", type=SHARE, help="Brush, rag and dish, on top of the coats [20 %]."),
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
    click.option("--hold", type=SHARE, default="100 %", show_default=True,
                 help="Share of the limit that the needed air holds."),
)  # fmt: skip
_FACTS: tuple[Callable[[Any], Any], ...] = (
    click.option("--pilot-off", is_flag=True,
                 help="Every pilot light, heater and flame is known to be out."),
    click.option("--ignition", multiple=True, help="Heat, flame or spark in the room."),
    click.option("--alone", is_flag=True, help="Nobody else shares the air."),
    click.option("--sharing", multiple=True,
                 help="Who shares it: a child, somebody asleep or pregnant, an animal."),
    click.option("--gloves", default="", help="Of which material, as the data sheet names it."),
    click.option("--booth", is_flag=True, help="A rated booth or exhaust; it is not judged here."),
    click.option("--closed-box", is_flag=True, help="It dries in a box, cabinet, tent, vehicle."),
    click.option("--stored", "stored_ml", type=VOLUME, help="Flammable liquid stored."),
    click.option("--storage-limit", "storage_limit_ml", type=VOLUME, help="What you may store."),
    click.option("--oil", "oils", multiple=True, help="Drying oil in the job."),
    click.option("--rag-plan", default="", help="Where its rags go."),
    click.option("--steel-wool", "wool_after_h", type=TIME,
                 help="Time from wet alcohol to steel wool."),
)  # fmt: skip


def room_options(command: F) -> F:
    """Add every option of the estimate."""
    options = (*_WORK, *_AIR, *_LIMITS, *_FACTS)
    return functools.reduce(lambda made, option: option(made), reversed(options), command)


def stated_room(
    *, volume_m3: float, furnished: bool, air: Figure | None, factor: float | None
) -> tuple[Room, tuple[str, ...]]:
    """Return the room, with what was taken off."""
    from lacwright.room import Room
    from lacwright.trade import table

    notes: tuple[str, ...] = ("the volume is as given: nothing is taken off for furniture",)
    if furnished:
        row = table("room_constants")["furniture_share"]
        volume_m3 *= 1 - row.number("value")
        notes = (f"{100 * row.number('value'):g} % of the volume is furniture ({row.mark})",)
    try:
        return Room(volume_m3, None if air is None else air.number(), factor, air), notes
    except Refusal as refusal:
        raise refusal.at(_OPTION.get(refusal.where, refusal.where)) from None


_OPTION = {"room volume": "--volume", "air changes": "--air-changes", "mixing factor": "--factor"}


def stated_facts(asked: dict[str, Any]) -> Facts:
    """Return what else is in the room."""
    from lacwright.room import Facts

    if asked["alone"] and asked["sharing"]:
        raise Refusal("--alone", "somebody shares the air as well", "leave one of the two out")
    sharing = tuple(asked["sharing"]) if asked["alone"] or asked["sharing"] else None
    return Facts(
        booth=asked["booth"], ignition=tuple(asked["ignition"]), pilot_off=asked["pilot_off"],
        closed_box=asked["closed_box"], gloves=asked["gloves"], sharing=sharing,
        stored_ml=asked["stored_ml"], storage_limit_ml=asked["storage_limit_ml"],
        oils=tuple(asked["oils"]), rag_plan=asked["rag_plan"], wool_after_h=asked["wool_after_h"],
    )  # fmt: skip


def read_limits(texts: Sequence[str], where: str = "--limit") -> tuple[Limit, ...]:
    """Read limits: "ethanol 500 ppm", "ethanol 1900 mg/m3 15 min", "n-butanol 50 ppm ceiling"."""
    from lacwright.room import own_limit

    out = []
    for text in texts:
        match = _LIMIT.fullmatch(text)
        kind = KINDS.get((match["kind"] or "8 h").lower()) if match else None
        if match is None or kind is None:
            raise Refusal(where, f"'{text}' is not a limit",
                          "write e.g. 'ethanol 500 ppm' or 'methanol 250 ppm 15 min'")  # fmt: skip
        unit = {"ppm": "ppm"}.get(match["unit"].lower(), "mg_m3")
        out.append(own_limit(match["of"], kind=kind, where=where, **{unit: float(match["n"])}))
    seen = [(limit.substance, limit.kind) for limit in out]
    for pair in seen:
        if seen.count(pair) > 1:
            raise Refusal(where, f"{pair[0]} has two of one kind", "give one")
    return tuple(out)


def read_lels(texts: Sequence[str], where: str = "--lel") -> dict[str, float]:
    """Read lower explosive limits [%]: "ethanol 3.3 %"."""
    from lacwright.trade import table

    out = {}
    for text in texts:
        match = _PERCENT.fullmatch(text)
        if match is None:
            raise Refusal(where, f"'{text}' is not a limit", "write e.g. 'ethanol 3.3 %'")
        percent = float(match["n"])
        if not 0 < percent < 100:
            raise Refusal(where, f"{percent:g} % cannot be", "write e.g. 'ethanol 3.3 %'")
        out[table("substances").find(match["of"], where).key] = percent
    return out
