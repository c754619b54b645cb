"""The [room] table of a piece file: where it is laid, how it is aired, whose limits count."""

from __future__ import annotations

from typing import Annotated, Any

from pydantic import AfterValidator, BeforeValidator, InstanceOf

from lacwright.figures import Figure, Refusal
from lacwright.figures import units as u
from lacwright.files import words as w
from lacwright.files.checks import FileTable, check, entry
from lacwright.files.room_words import read_air, read_lels, read_limits
from lacwright.plan.room_spec import EMISSIONS, RoomSpec
from lacwright.room import Facts
from lacwright.trade import table


def _air(value: Any) -> Figure:
    if isinstance(value, bool) or not isinstance(value, str | int | float):
        raise Refusal("", f"{w.shown(value)} is no number of air changes",
                      'write e.g. 2, "one-window" or "200 m3/h"')  # fmt: skip
    return read_air(str(value), "")


def _emission(value: str) -> str:
    if value not in EMISSIONS:
        raise Refusal("", f"{w.shown(value)} is no way in which a coat sets solvent free",
                      f"use one of: {', '.join(EMISSIONS)}")  # fmt: skip
    return value


def _jurisdiction(value: str) -> str:
    return table("room_jurisdictions").find(value, "").key


Volume = Annotated[float, BeforeValidator(lambda value: w.amount(value, u.ROOM, zero=False))]
Air = Annotated[InstanceOf[Figure], BeforeValidator(_air)]
Emission = Annotated[w.Text, AfterValidator(_emission)]
Jurisdiction = Annotated[w.Text, AfterValidator(_jurisdiction)]


class RoomTable(FileTable):
    """The air of the room."""

    volume: Volume | None = entry("air in the room: length, width, height, less the furniture",
                                  '"60 m3"', unit="m3",
                                  default="the air is not estimated")  # fmt: skip
    furnished: bool | None = entry("takes a fifth off the volume for the furniture", "true",
                                   default="false")  # fmt: skip
    air_changes: Air | None = entry(
        "how often an hour the air changes, as measured; closed, one-window, windows; or a known "
        "flow of clean air", '"one-window"', unit="1/h or m3/h",
        default="the two bounds alone are told",
    )  # fmt: skip
    factor: float | None = entry("mixing factor, 1 to 10; 1 where a decay was measured", "3.0",
                                 ge=1, le=10, default="3")  # fmt: skip
    emission: Emission | None = entry(
        "how a coat sets its solvent free: first-order, instant, while-laying, drying",
        '"first-order"', default="first-order",
    )  # fmt: skip
    extra: w.Share | None = entry("brush, rag and dish on top of the coats", '"20 %"', unit="1",
                                  default="20 %")  # fmt: skip
    jurisdiction: Jurisdiction | None = entry(
        "whose limits count: us-osha, us-niosh, acgih, ca-on, eu, de, nl, uk", '"uk"',
        default="the lowest on file",
    )  # fmt: skip
    limits: w.Texts = entry("your own limits, of 8 h, or with 15 min or ceiling behind it",
                            '["ethanol 500 ppm"]', many=True, default="those on file")  # fmt: skip
    lel: w.Texts = entry("your own lower explosive limits", '["ethanol 3.3 %"]', many=True,
                         default="the lowest on file")  # fmt: skip
    session: w.Hours | None = entry("of a class: in which all of them lay one coat", '"45 min"',
                                    unit="h", default="the air of a class is not told")  # fmt: skip
    pilot_off: bool | None = entry("every pilot light, heater and flame is known to be out",
                                   "true", default="not known: a stop")  # fmt: skip
    alone: bool | None = entry("nobody else shares the air", "true",
                               default="not asked about")  # fmt: skip
    sharing: w.Texts = entry("who shares it: a child, somebody asleep or pregnant, an animal",
                             '["a dog"]', many=True, default="not asked about")  # fmt: skip
    gloves: w.Text | None = entry("of which material, as the data sheet names it", '"butyl"',
                                  default="not said")  # fmt: skip
    booth: bool | None = entry("a rated spray booth or exhaust; it is not judged", "true",
                               default="none: spraying is a stop")  # fmt: skip
    closed_box: bool | None = entry("it dries in a box, cabinet, tent or vehicle", "true",
                                    default="false")  # fmt: skip
    stored: w.Ml | None = entry("flammable liquid stored", '"5 l"', unit="ml",
                                default="not said")  # fmt: skip
    storage_limit: w.Ml | None = entry("what may be stored where you live", '"10 l"', unit="ml",
                                       default="not said")  # fmt: skip


def room_of(data: Any) -> tuple[RoomSpec | None, list[Refusal]]:
    """Return the room of a [room] table and all that is wrong with it."""
    row, wrong = check(RoomTable, data, "[room]")
    if row is None:
        return None, wrong
    limits, lels = row.limits, row.lel
    if row.alone and row.sharing:
        wrong.append(Refusal("[room] alone", "somebody shares the air as well",
                             "leave one of the two out"))  # fmt: skip
    spec = RoomSpec(
        volume_m3=row.volume, furnished=bool(row.furnished), air=row.air_changes,
        mixing_factor=row.factor, emission=row.emission or EMISSIONS[0],
        extra_share=row.extra, jurisdiction=row.jurisdiction,
        session_h=row.session,
        facts=Facts(
            booth=bool(row.booth), pilot_off=bool(row.pilot_off), closed_box=bool(row.closed_box),
            gloves=row.gloves or "", sharing=tuple(row.sharing) if row.sharing or row.alone
            else None, stored_ml=row.stored, storage_limit_ml=row.storage_limit,
        ),
    )  # fmt: skip
    try:
        return spec.with_limits(read_limits(limits, "[room] limits"),
                                read_lels(lels, "[room] lel")), wrong  # fmt: skip
    except Refusal as refusal:
        return spec, [*wrong, refusal]
