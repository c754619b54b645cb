"""Times of the record: microseconds since 1970 in UTC, shown in the shop's zone."""

from __future__ import annotations

import datetime as dt
import difflib
import re
import time
from collections.abc import Iterable
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from lacwright.figures import Refusal
from lacwright.figures.quantities import FIRST_YEAR, LAST_YEAR

SECOND = 1_000_000
DAY = 86_400 * SECOND
NEAR_ZONES = 3
_EPOCH = dt.datetime(1970, 1, 1, tzinfo=dt.UTC)


def now_us() -> int:
    """Return the time now."""
    return time.time_ns() // 1000


def to_us(moment: dt.datetime) -> int:
    """Return a moment (which knows its zone) in microseconds."""
    return (moment - _EPOCH) // dt.timedelta(microseconds=1)


def from_us(us: int, zone: dt.tzinfo = dt.UTC) -> dt.datetime:
    """Return microseconds as a moment in a zone."""
    return (_EPOCH + dt.timedelta(microseconds=us)).astimezone(zone)


def day_of(us: int, zone: dt.tzinfo) -> dt.date:
    """Return the day on which it was in a zone."""
    return from_us(us, zone).date()


def iso(us: int, zone: dt.tzinfo) -> str:
    """Return a moment as "2027-03-01T09:15:00+01:00", to the second."""
    return from_us(us, zone).isoformat(timespec="seconds")


def plain(us: int, zone: dt.tzinfo) -> str:
    """Return a moment as a person reads it: "2027-03-01 09:15"."""
    return from_us(us, zone).strftime("%Y-%m-%d %H:%M")


def read_moment(text: str, zone: dt.tzinfo, where: str) -> int:
    """Read "2027-03-01 09:15", "2027-03-01" (then noon), or with seconds and an offset.

    Raises
    ------
    Refusal
        For anything else, an hour the clocks skip, or one they show twice: which of the two is
        asked, not guessed.
    """
    us, second = read_twice(text, zone, where)
    if second is not None:
        one, other = (_with_offset(moment, zone) for moment in (us, second))
        raise Refusal(where, f"the clocks show {text.strip()} twice in this zone",
                      f'write "{one}" for the first time, "{other}" for the second')  # fmt: skip
    return us


def read_twice(text: str, zone: dt.tzinfo, where: str) -> tuple[int, int | None]:
    """Read a moment as `read_moment` does; in an hour that the clocks show twice return both.

    Returns
    -------
    (int, int or None)
        The moment, the first of two; the second, None where there is one alone.

    Raises
    ------
    Refusal
        For what is not a moment, or an hour the clocks skip.
    """
    text = text.strip()
    mend = 'write e.g. "2027-03-01 09:15"'
    if re.fullmatch(r"\d{4}-\d{2}-\d{2}", text):
        text += " 12:00"
    try:
        moment = dt.datetime.fromisoformat(text)
    except ValueError:
        raise Refusal(where, f"'{text}' is not a day and an hour", mend) from None
    if not FIRST_YEAR <= moment.year <= LAST_YEAR:
        raise Refusal(where, f"the year {moment.year} is a slip", mend)
    if moment.tzinfo is not None:
        return to_us(moment), None
    us, other = (to_us(moment.replace(tzinfo=zone, fold=fold)) for fold in (0, 1))
    if us > other:  # read by the clock before the jump it lies after the jump, and the other way
        raise Refusal(where, f"the clocks skip {text} in this zone",
                      f'write what the clock showed, such as "{plain(us, zone)}"')  # fmt: skip
    return us, other if other > us else None


def _with_offset(us: int, zone: dt.tzinfo) -> str:
    return from_us(us, zone).isoformat(sep=" ", timespec="minutes")


def read_zone(name: str, where: str = "zone") -> dt.tzinfo:
    """Return a time zone by its name, such as "Europe/Vienna" or "UTC".

    Raises
    ------
    Refusal
        For an unknown name.
    """
    try:
        return ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        from zoneinfo import available_timezones

        raise Refusal(where, f"'{name}' is no time zone",
                      _near_zones(name, available_timezones())) from None  # fmt: skip


def _near_zones(name: str, zones: Iterable[str]) -> str:
    """Return the clause that names the few zones that may be meant, by their whole name or city."""
    by_word: dict[str, list[str]] = {}
    for zone in sorted(zones):
        for word in {zone.lower(), zone.lower().rpartition("/")[2]}:
            by_word.setdefault(word, []).append(zone)
    asked = re.sub(r"\s+", "_", name.strip().lower())[:60]
    close = difflib.get_close_matches(asked, by_word, n=NEAR_ZONES, cutoff=0.7)
    near = list(dict.fromkeys(zone for word in close for zone in by_word[word]))[:NEAR_ZONES]
    if not near:
        return "write e.g. Europe/Vienna, America/New_York or UTC"
    return "did you mean " + " or ".join(f"'{zone}'" for zone in near)


def zone_here() -> str:
    """Return the name of this machine's time zone, "UTC" where it does not tell."""
    import os

    told = os.environ.get("TZ", "").lstrip(":")
    link = os.path.realpath("/etc/localtime").partition("zoneinfo/")[2]
    for name in (told, link):
        try:
            if name:
                ZoneInfo(name)
                return name
        except (ZoneInfoNotFoundError, ValueError, OSError):
            continue
    return "UTC"
