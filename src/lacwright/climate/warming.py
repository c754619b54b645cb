"""A cold piece brought into a warm room: when to unwrap it, when to coat it."""

from __future__ import annotations

from lacwright.climate.reading import reading
from lacwright.climate.water import dew_point_c
from lacwright.figures import Figure, Refusal, computed, exact
from lacwright.trade import table

CONSTANT_FORMULA = "after_min / log((room_c - first_c) / (room_c - later_c))"
"""Equation 1: the skin comes nearer to the room by the same share in the same time (Newton)."""
REACHED_FORMULA = (
    "after_min * log((room_c - first_c) / (room_c - wanted_c))"
    " / log((room_c - first_c) / (room_c - later_c))"
)
"""Equation 2: equation 1 solved for the time at which a temperature is reached."""
LATEST_MIN = 7 * 24 * 60
"""A later reading is of another day's weather."""


def warming(
    *, first_c: Figure, later_c: Figure, after_min: Figure, room_c: Figure, rh: Figure,
    margin_k: Figure | None = None, coat_at_c: Figure | None = None,
) -> dict[str, Figure]:  # fmt: skip
    """When a cold piece no longer draws dew, may be unwrapped, may be coated.

    Two readings of its skin, in the wrapping and in the room where it will be coated, give the
    constant of its warming (equation 1); the rest follows from it (equation 2).

    Parameters
    ----------
    first_c, later_c : Figure
        Temperature of the skin at two times [C], rising, both below the room's.
    after_min : Figure
        From the first reading to the later one [min], above 0, up to a week.
    room_c : Figure
        Temperature of the room [C].
    rh : Figure
        Relative humidity of the room, as a fraction.
    margin_k : Figure, optional
        By how much the skin must be above the dew point before it is unwrapped [K], 0 or more; a
        row of the climate table if left out.
    coat_at_c : Figure, optional
        Temperature from which on it may be coated [C], below the room's; a little below the room
        (a row of the climate table) if left out.

    Returns
    -------
    dict of str to Figure
        dew_point_c [C]; coat_at_c [C]; warming_constant_min; dew_point_min, unwrap_min, coat_min:
        minutes from the first reading, 0 where the piece was as warm as that at the first reading.

    Raises
    ------
    Refusal
        If the piece does not get warmer, is as warm as the room, or the readings are too near to
        one another to tell how fast it warms; if a temperature is asked for that the room cannot
        give it.

    Notes
    -----
    It is the skin that is read: the core lags behind, and the wood's moisture takes days. Without
    its wrapping a piece warms faster, so the time to coat is rather too long than too short.
    """
    error = table("climate")["unwrap.reading_error"].number("value")
    first, later, room = first_c.number(), later_c.number(), room_c.number()
    _check(first, later, room, after_min.number(), error)
    readings = {"after_min": after_min, "first_c": _read(first_c, error),
                "later_c": _read(later_c, error), "room_c": room_c}  # fmt: skip
    constant = computed(CONSTANT_FORMULA, "min", readings)
    dew = _dew_point(room_c, rh)
    margin = margin_k or table("climate")["unwrap.margin"].figure()
    if margin.number() < 0:
        raise Refusal("margin", "is below 0 K", "give 0 K or more")
    unwrap_at = computed("dew_point_c + margin_k", "C", {"dew_point_c": dew, "margin_k": margin})
    coat_at = coat_at_c or computed(
        "room_c - below_k", "C",
        {"room_c": room_c, "below_k": table("climate")["unwrap.coat_below_room"].figure()},
    )  # fmt: skip
    unwrap = _reached(unwrap_at, "the dew point and its margin", readings)
    coat = _reached(coat_at, "the temperature to coat at", readings)
    return {
        "dew_point_c": dew,
        "coat_at_c": coat_at,
        "warming_constant_min": constant,
        "dew_point_min": _reached(dew, "the dew point", readings),
        "unwrap_min": unwrap,
        "coat_min": coat if coat.number() >= unwrap.number() else unwrap,
    }


def _check(first: float, later: float, room: float, after_min: float, error: float) -> None:
    if not 0 < after_min <= LATEST_MIN:
        raise Refusal("later reading", f"{after_min:g} min after the first cannot be",
                      "read it again half an hour later, say")  # fmt: skip
    if first >= room - 2 * error:
        raise Refusal("first reading", f"the piece is as warm as the room ({first:g} C, "
                      f"{room:g} C)", "then there is nothing to wait for")  # fmt: skip
    if later >= room - 2 * error:
        raise Refusal("later reading", f"by then the piece is as warm as the room ({later:g} C, "
                      f"{room:g} C)", "then there is nothing to wait for")  # fmt: skip
    if later - first < 3 * error:
        raise Refusal("later reading", f"it is only {later - first:.1f} K above the first, too "
                      "little to tell how fast it warms", "wait longer and read again")  # fmt: skip


def _read(figure: Figure, error: float) -> Figure:
    return figure.with_band(figure.number() - error, figure.number() + error)


def _dew_point(room_c: Figure, rh: Figure) -> Figure:
    """Return the dew point with the band of a common hygrometer."""
    error = table("climate")["unwrap.hygrometer_error"].number("value")
    room, share = room_c.number(), rh.number()
    low, high = (
        float(dew_point_c(temp_c=room, rh=min(max(share + off, 0.01), 1.0)))
        for off in (-error, error)
    )
    return reading(temp_c=room_c, rh=rh)["dew_point_c"].with_band(low, high)


def _reached(wanted: Figure, what: str, readings: dict[str, Figure]) -> Figure:
    """Return when a temperature is reached, from equation 2."""
    room, first = readings["room_c"].number(), readings["first_c"].number()
    if wanted.number() >= room:
        raise Refusal(what, f"{wanted.number():.1f} C is not below the room's {room:.1f} C, so it "
                      "never gets there", "warm or dry the room, or wish for less")  # fmt: skip
    if wanted.number() <= first:
        return exact(0.0, "min")
    return computed(REACHED_FORMULA, "min", {**readings, "wanted_c": wanted})
