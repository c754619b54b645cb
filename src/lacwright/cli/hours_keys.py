"""An hour of the hour table as plain data."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from lacwright.drying import Change, CoatHour, Hour

SAME_AIR = "the air is not changed"
NOT_TOLD = "more than a day, or withheld where the film may be two-phase"


def hour_keys(hour: Hour) -> dict[str, Any]:
    """Return an hour; the figures are those of the coat that decides."""
    worst = hour.worst
    keys: dict[str, Any] = {
        "time": hour.at.isoformat(timespec="seconds"), "room_c": hour.room_c, "rh": hour.rh,
        "dew_point_c": hour.dew_point_c, "verdict": hour.verdict, "reason": hour.reason,
        "change": [change_keys(c) for c in hour.change], "film_verdict": worst.film_verdict,
        "board_c": hour.board_c, "coat": worst.name, **worst.values,
        "coats": [coat_keys(c) for c in hour.coats] if len(hour.coats) > 1 else [],
        "slow": None if hour.slow is None else coat_keys(hour.slow),
    }  # fmt: skip
    missing = dict(worst.missing)
    if hour.slow is None:
        missing["slow"] = "no chill of your slow alcohol is given"
    return keys | {"missing": missing}


def coat_keys(coat: CoatHour) -> dict[str, Any]:
    """Return a coat in an hour."""
    return {
        "coat": coat.name, "verdict": coat.verdict, "reason": coat.reason,
        "film_verdict": coat.film_verdict, **coat.values,
        "change": [change_keys(c) for c in coat.change], "missing": dict(coat.missing),
    }  # fmt: skip


def change_keys(change: Change) -> dict[str, Any]:
    """Return a change."""
    keys: dict[str, Any] = {"kind": change.kind, "amount": change.amount, "unit": change.unit,
                            "rh_after": change.rh_after, "words": change.words,
                            "alcohol": change.alcohol}  # fmt: skip
    missing = {} if change.rh_after is not None else {"rh_after": SAME_AIR}
    if change.kind == "slow_alcohol":
        keys |= {"recoat_s": change.recoat_s, "recoat_plain_s": change.recoat_plain_s}
        missing |= {k: NOT_TOLD for k in ("recoat_s", "recoat_plain_s") if keys[k] is None}
    return keys | {"missing": missing}


def window_keys(window: tuple[Hour, Hour]) -> dict[str, str]:
    """Return a run of goes."""
    return {"from": window[0].at.isoformat(timespec="seconds"),
            "until": window[1].at.isoformat(timespec="seconds")}  # fmt: skip
