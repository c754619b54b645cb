"""Words of the air of a room as people write them: air changes, limits, coats, alcohol."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TypeVar

from lacwright.figures import Figure, Refusal, given
from lacwright.figures import units as u
from lacwright.figures.quantities import read
from lacwright.room import SLOW, Limit, own_limit
from lacwright.solution import Alcohol, read_alcohol
from lacwright.trade import table

T = TypeVar("T")
KINDS = {"8 h": "8h", "8h": "8h", "15 min": "15min", "15min": "15min", "ceiling": "ceiling"}
_LIMIT = re.compile(
    r"\s*(?P<of>.+?)\s+(?P<n>\d+(?:\.\d+)?)\s*(?P<unit>ppm|mg/m3|mg/m³)(?:\s+(?P<kind>.+?))?\s*",
    re.IGNORECASE,
)
_PERCENT = re.compile(r"\s*(?P<of>.+?)\s+(?P<n>\d+(?:\.\d+)?)\s*%\s*")
_FLOW = re.compile(r"[\d.,\s]+(?:m3|m³|cbm|l/s|cfm|cu ?ft|ft3)", re.IGNORECASE)
_COAT = re.compile(r"\s*(?P<ml>.+?)(?:\s+at\s+(?P<at>.+?))?(?:\s+over\s+(?P<over>.+?))?\s*",
                   re.IGNORECASE)  # fmt: skip
_SLOW = re.compile(r"\b(?:unknown\s+)?(?:slow(?:\s+alcohol)?|retarder)\b(?=\s+\d)", re.IGNORECASE)
_STANDS_IN = "n-butanol"


@dataclass(frozen=True)
class TypedCoat:
    """A coat as it is typed: millilitres, when, over how long [h]."""

    ml: float
    at_h: float
    over_h: float | None


def read_air(text: str, where: str = "air changes") -> Figure:
    """Return how a room is aired: "0.5", "closed", "one-window", "windows", "200 m3/h".

    Returns
    -------
    Figure
        Air changes [1/h], or a flow of clean air [m3/h].
    """
    if _FLOW.match(text.strip()):
        return given(read(text.replace("³", "3"), u.AIR_FLOW, where), "m3/h", "given")
    if re.match(r"\s*[\d.,]", text):
        return given(read(text, u.AIR_CHANGES, where), "1/h", "given")
    return table("room_air_changes").find(text, where).figure()


def read_limits(texts: Sequence[str], where: str = "--limit") -> tuple[Limit, ...]:
    """Read limits: "ethanol 500 ppm", "ethanol 1900 mg/m3 15 min", "n-butanol 50 ppm ceiling"."""
    out = []
    for text in texts:
        match = _LIMIT.fullmatch(text)
        kind = KINDS.get((match["kind"] or "8 h").lower()) if match else None
        if match is None or kind is None:
            raise Refusal(where, f"'{text}' is not a limit",
                          "write e.g. 'ethanol 500 ppm' or 'methanol 250 ppm 15 min'")  # fmt: skip
        value = float(match["n"])
        if match["unit"].lower() == "ppm":
            out.append(own_limit(match["of"], kind=kind, where=where, ppm=value))
        else:
            out.append(own_limit(match["of"], kind=kind, where=where, mg_m3=value))
    seen = [(limit.substance, limit.kind) for limit in out]
    for pair in seen:
        if seen.count(pair) > 1:
            raise Refusal(where, f"{pair[0]} has two of one kind", "give one")
    return tuple(out)


def read_lels(texts: Sequence[str], where: str = "--lel") -> dict[str, float]:
    """Read lower explosive limits [%]: "ethanol 3.3 %"."""
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


def read_coats(texts: Sequence[str], where: str = "--coat") -> tuple[TypedCoat, ...]:
    """Read coats: "250 ml at 0 min over 10 min"; without "at" a coat is laid at the beginning.

    Raises
    ------
    Refusal
        For several coats of which one does not say when, for nothing laid or no time.
    """
    out = []
    for text in texts:
        match = _COAT.fullmatch(text)
        if match is None:
            raise Refusal(where, f"'{text}' is not a coat", "write e.g. '250 ml at 0 min'")
        if match["at"] is None and len(texts) > 1:
            raise Refusal(where, f"'{text}' does not say when it is laid",
                          "write e.g. '250 ml at 60 min'")  # fmt: skip
        ml = read(match["ml"], u.VOLUME, where)
        if ml <= 0:
            raise Refusal(where, f"'{text}' lays nothing", "write e.g. '250 ml at 0 min'")
        over = None if match["over"] is None else read(match["over"], u.TIME, where)
        if over is not None and over <= 0:
            raise Refusal(where, f"'{text}' takes no time", "leave 'over' out, or say how long")
        out.append(TypedCoat(ml, read(match["at"] or "0 h", u.TIME, where), over))
    return tuple(out)


def read_solvent(text: str, where: str = "--alcohol") -> tuple[Alcohol, bool]:
    """Return the alcohol, and whether a slow alcohol in it is an unknown one."""
    typed = _SLOW.sub(_STANDS_IN, text)
    if typed == text:
        return read_alcohol(text, where=where), False
    if len(_SLOW.findall(text)) > 1 or _STANDS_IN in text.lower():
        raise Refusal(where, "two slow alcohols stand there", "add them up as one 'slow'")
    return read_alcohol(typed, where=where, lot=text.strip()), True


def named(parts: Mapping[str, T], *, slow: bool) -> dict[str, T]:
    """Return what is told by substance with an unknown slow alcohol under its own name."""
    return {SLOW if slow and name == _STANDS_IN else name: g for name, g in parts.items()}
