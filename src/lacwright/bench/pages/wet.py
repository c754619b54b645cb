"""The wet coat now: how far it has come, what comes when, and what it would take.

What the model says of a coat holds as long as nothing is written down: it is worked out once and
kept, and only told anew for the minute in which one looks.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

from lacwright.bench.pages.happened import where
from lacwright.bench.pages.measures import When, when
from lacwright.drying import FILM_ONLY, UNCALIBRATED
from lacwright.drying.gate import spoken
from lacwright.figures import Caution, Figure, Stop
from lacwright.shop.models import Job, Piece
from lacwright.shop.queries.laid import NO_AIR
from lacwright.shop.queries.remembered import remembered
from lacwright.shop.queries.wet_now import (
    BEYOND,
    MOMENTS,
    YOUNG_US,
    Moment,
    WetNow,
    cautions_of,
    wet_coats,
    wet_now,
)

WORDS = {"touch_dry": "Touch-dry", "print_free": "Print-free", "recoat": "Next coat",
         "sandable": "Sandable"}  # fmt: skip
SAID = {"touch_dry": "a fingertip takes nothing off", "print_free": "it can be handled",
        "recoat": "the next coat lies clean on it", "sandable": "paper does not load"}  # fmt: skip

Air = tuple[float | None, float | None]


@dataclass(frozen=True)
class Stage:
    """One stage of drying: whether it has come, and when."""

    words: str
    means: str
    past: bool
    at: When | None
    span: str
    why: str


@dataclass(frozen=True)
class Coat:
    """A coat as its page shows it."""

    number: int
    head: str
    laid: When
    age: str
    state: str
    next: Stage | None
    stages: tuple[Stage, ...]
    verdict: str
    warning: str
    why_not: str
    no_air: bool
    now: tuple[tuple[str, str], ...]
    figures: tuple[tuple[str, Figure, int], ...]
    calibrated: str
    uncalibrated: bool
    air: str
    rests_on: tuple[str, ...]
    movement: int


@dataclass(frozen=True)
class WetPage:
    """The last coats of a job or piece."""

    coats: tuple[Coat, ...]
    cautions: tuple[Caution, ...]
    stops: tuple[Stop, ...]


def wet_page(
    work: Job | Piece, *, zone: dt.tzinfo, now_us: int, air: Air = (None, None)
) -> WetPage:  # fmt: skip
    """Return how far the last coats have come."""
    found = wet(work, now_us=now_us, air=air)
    coats = tuple(_coat(n, one, zone, now_us) for n, one in enumerate(found))
    return WetPage(coats, *cautions_of(found))


def wet(work: Job | Piece, *, now_us: int, air: Air = (None, None)) -> tuple[WetNow, ...]:
    """Return the last coats and what the model says of them, worked out once."""
    kept, key = _kept(), (*_key(work), *air)
    if key not in kept:
        laid = wet_coats(work, now_us=now_us, temp_c=air[0], rh=air[1])
        kept[key] = wet_now(laid, now_us=now_us)
    return _told_now(kept[key], now_us)


def told_before(work: Job | Piece, *, now_us: int) -> tuple[WetNow, ...]:
    """Return the same where it was worked out already; nothing where it was not."""
    return _told_now(_kept().get((*_key(work), None, None), ()), now_us)


def recoat_words(found: Sequence[WetNow], part: str, zone: dt.tzinfo, now_us: int) -> str:
    """Return when the next coat may be laid on a part by the model: "by the model 16:10"."""
    for one in found:
        moment = one.moments.get("recoat")
        elsewhere = bool(one.laid.parts) and part not in one.laid.parts
        if moment is None or moment.at_us is None or elsewhere:
            continue
        if moment.at_us <= now_us:
            return "by the model, of the film alone, the next coat may follow"
        return f"by the model, of the film alone, {_span(moment, zone, now_us)}"
    return ""


def _kept() -> dict[Any, tuple[WetNow, ...]]:
    """Return what was worked out since the record was last written to."""
    return remembered(("wet coats",), dict)


def _key(work: Job | Piece) -> tuple[str, str]:
    return ("job" if isinstance(work, Job) else "piece", work.key)


def _told_now(found: Sequence[WetNow], now_us: int) -> tuple[WetNow, ...]:
    return tuple(replace(one, now_us=now_us) for one in found
                 if one.laid.at_us >= now_us - YOUNG_US)  # fmt: skip


def _coat(number: int, one: WetNow, zone: dt.tzinfo, now_us: int) -> Coat:
    body = one.laid.event.movement.body
    how = f", {body['method'].replace('-', ' ')}" if body["method"] else ""
    stages = tuple(_stage(k, one.moments[k], zone, now_us) for k in MOMENTS if k in one.moments)
    reading = one.laid.reading
    air = ""
    if reading is not None and reading.temp_c is not None and reading.rh is not None:
        read = "" if not reading.movement else f", read {when(reading.at_us, zone, now_us).words}"
        air = f"{reading.temp_c:.1f} °C, {100 * reading.rh:.0f} %{read}"
    made, on = one.made, where(list(one.laid.parts), list(one.laid.faces))
    return Coat(
        number, f"{str(body['what']).capitalize()}{on}{how}", when(one.laid.at_us, zone, now_us),
        spoken(one.age_s), one.state,
        next((s for s in stages if not s.past and s.at is not None), None), stages,
        "" if made is None else f"{made.verdict}, {made.reason}: {FILM_ONLY}", one.warning,
        one.why_not, one.why_not == NO_AIR, _now(one), _figures(one),
        "" if made is None else made.calibrated,
        made is not None and made.calibrated == UNCALIBRATED, air,
        (*((one.laid.amount,) if one.laid.amount else ()), *one.laid.assumed),
        one.laid.event.root_id,
    )  # fmt: skip


def _stage(name: str, moment: Moment, zone: dt.tzinfo, now_us: int) -> Stage:
    if moment.at_us is None:
        return Stage(WORDS[name], SAID[name], False, None, "", moment.why)
    return Stage(WORDS[name], SAID[name], moment.at_us <= now_us,
                 when(moment.at_us, zone, now_us), _band(moment, zone, now_us), "")  # fmt: skip


def _span(moment: Moment, zone: dt.tzinfo, now_us: int) -> str:
    assert moment.at_us is not None
    band = _band(moment, zone, now_us)
    return f"{when(moment.at_us, zone, now_us).words}{f', {band}' if band else ''}"


def _band(moment: Moment, zone: dt.tzinfo, now_us: int) -> str:
    if moment.low_us is None or moment.high_us is None:
        return ""
    if moment.open_ended:
        return f"from {when(moment.low_us, zone, now_us).words} to {BEYOND}"
    low, high = (when(us, zone, now_us).words for us in (moment.low_us, moment.high_us))
    day, _, clock = high.rpartition(" ")
    same = clock if low.rpartition(" ")[0] == day else high
    return f"between {low} and {same}"


def _now(one: WetNow) -> tuple[tuple[str, str], ...]:
    if one.made is None or one.film_c is None:
        return ()
    dew = one.made.dew_point_c.number()
    told = [("Film now", f"{one.film_c:.1f} °C, {one.film_c - dew:.1f} K above the dew point"),
            ("Coldest", "it is past" if one.coldest_passed else "it is still to come")]  # fmt: skip
    if one.left_g_m2 is not None:
        told.append(("Still in it", f"{one.left_g_m2:.1f} g of alcohol and water on a m²"))
    return tuple(told)


def _figures(one: WetNow) -> tuple[tuple[str, Figure, int], ...]:
    made = one.made
    if made is None:
        return ()
    told = (("Film down to", made.film_min_c, 3), ("Dew margin", made.dew_margin_k, 2),
            ("Haze index", made.haze_index, 2))  # fmt: skip
    return told
