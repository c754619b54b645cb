"""Headings and cells of a table of air: what a column holds, what a cell says."""

from __future__ import annotations

import datetime as dt
import math
import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from lacwright.figures import Refusal
from lacwright.figures import units as u
from lacwright.figures.quantities import FIRST_YEAR, LAST_YEAR

LOWEST_C, HIGHEST_C = -60.0, 60.0
"""A temperature outside is taken for a slip, or for the other scale."""
FIRST_SECOND = 10**9
"""A bare number from here on is a count of seconds since 1970."""

HOLDS: dict[str, tuple[str, ...]] = {
    "date": ("date", "day", "datum"),
    "time": (
        "time", "when", "at", "moment", "hour", "timestamp", "date time", "datetime", "date/time",
        "date and time", "local time", "utc", "zeit", "zeitpunkt", "datum/zeit",
        "datum zeit", "uhrzeit", "heure", "date heure",
    ),
    "temp": (
        "temp", "temperature", "air temp", "air temperature", "room temp", "room temperature",
        "t", "ta", "t air", "celsius", "fahrenheit", "temperatur", "lufttemperatur",
        "raumtemperatur", "température",
    ),
    "rh": (
        "rh", "humidity", "relative humidity", "rel humidity", "rel hum", "hum", "humid", "r h",
        "air humidity", "luftfeuchte", "luftfeuchtigkeit", "relative luftfeuchte", "feuchte",
        "rel feuchte", "humidité", "humidité relative",
    ),
    "dew": ("dew", "dew point", "dewpoint", "dewpt", "dew pt", "td", "taupunkt",
            "point de rosée"),
    "board": ("board", "board temp", "board temperature", "surface temp", "surface temperature",
              "wood temp", "wood temperature", "piece temp", "piece temperature"),
    "speed": ("air speed", "speed", "draught", "draft", "air velocity", "luftgeschwindigkeit"),
}  # fmt: skip
"""What a column may hold, by the words its heading may use."""

_UNITS = {
    "c": "C", "degc": "C", "deg c": "C", "celsius": "C", "f": "F", "degf": "F", "deg f": "F",
    "fahrenheit": "F", "%": "%", "%rh": "%", "% rh": "%", "pct": "%", "percent": "%",
    "per cent": "%", "rh%": "%", "0-1": "share", "0 to 1": "share", "share": "share",
    "fraction": "share", "m/s": "m/s", "ft/min": "ft/min", "fpm": "ft/min", "km/h": "km/h",
    "utc": "UTC", "gmt": "UTC",
}  # fmt: skip
_SUITS = {"temp": ("C", "F"), "dew": ("C", "F"), "board": ("C", "F"), "rh": ("%", "share"),
          "speed": tuple(u.SPEED.units)}  # fmt: skip
_CELL = re.compile(r"([-+]?\d+(?:[.,]\d+)?|[-+]?[.,]\d+)\s*(.*)")
_NOTHING = ("", "-", "--", "nan", "na", "n/a", "null", "none", "---")


@dataclass(frozen=True)
class Column:
    """What a column holds, its unit ("" where the heading has none) and its heading."""

    holds: str
    unit: str
    words: str


@dataclass(frozen=True)
class Moment:
    """A time as it was read.

    Parameters
    ----------
    wall : datetime
        With its offset, or without one where the zone of the table holds.
    kind : str
        "plain"; "twice" where the clock strikes that hour twice; "skipped" where it skips it.
    """

    wall: dt.datetime
    kind: str = "plain"

    def second(self, zone: dt.tzinfo) -> float:
        """Return the second since 1970."""
        if self.wall.tzinfo is not None:
            return self.wall.timestamp()
        return self.wall.replace(tzinfo=zone).timestamp()


def columns_of(
    heads: Sequence[str], wanted: Mapping[str, str], where: str
) -> list[Column | None]:  # fmt: skip
    """Return what each column holds, None for one that is not read.

    Parameters
    ----------
    heads : sequence of str
        The headings.
    wanted : mapping of str to str
        Headings that were named, by what they hold; they go before the words.
    where : str
        For a refusal.

    Raises
    ------
    Refusal
        If a heading that was named is not there, two columns hold the same, or there is no time,
        no temperature, or neither humidity nor dew point.
    """
    by_word = {word: holds for holds, words in HOLDS.items() for word in words}
    asked: dict[str, str] = {}
    for what, head in wanted.items():
        found = [h for h in heads if head.strip().casefold() in (h.casefold(), parted(h)[0])]
        if not found:
            raise Refusal(where, f"no column is called '{head}'", "headings are: "
                          + ", ".join(f"'{h}'" for h in heads[:20]))  # fmt: skip
        asked[found[0]] = what
    out: list[Column | None] = []
    for head in heads:
        plain, unit = parted(head)
        holds: str | None = asked.get(head, by_word.get(plain))
        if head not in asked and holds in wanted:
            holds = None  # another column was named for it
        if holds is not None and any(c is not None and c.holds == holds for c in out):
            raise Refusal(where, f"two columns hold the same ('{head}')",
                          f"name the one that is meant: --column '{holds}={head}'")  # fmt: skip
        if holds is not None and unit and holds in _SUITS and unit not in _SUITS[holds]:
            raise Refusal(where, f"'{head}' has a unit that is none of {holds}",
                          "mend the heading")  # fmt: skip
        out.append(None if holds is None else Column(holds, unit, head))
    held = {c.holds for c in out if c is not None}
    for need, words in ((("time", "date"), "time"), (("temp",), "temp"), (("rh", "dew"), "rh")):
        if not held & set(need):
            raise Refusal(where, f"no column is called {words}", "name the columns time, temp, "
                          f"rh, or say which it is: --column '{words}=HEADING'")  # fmt: skip
    return out


def parted(head: str) -> tuple[str, str]:
    """Return words and unit of a heading: ("board temp", "F") for "Board temp [°F]"."""
    text = head.strip().lower().replace("°", "").replace("º", "").replace("\ufffd", "")
    text = " ".join(re.sub(r"[_\s]+", " ", text).split())
    match = re.fullmatch(r"(.*?)\s*[\[(]\s*(.*?)\s*[\])]", text) or re.fullmatch(
        r"(.+?)\s*,\s*(%|%? ?rh|c|f|m/s)", text
    )
    if match:
        return _words(match[1]), _UNITS.get(match[2], "")
    match = re.fullmatch(r"(.+?)(?: (c|f|percent|pct|utc|gmt)| ?(%|% ?rh))", text)
    if match:
        return _words(match[1]), _UNITS[(match[2] or match[3])]
    return _words(text), _UNITS.get(text, "") if text in ("celsius", "fahrenheit", "utc") else ""


def read_number(cell: str, column: Column, where: str) -> tuple[float, bool]:
    """Read a temperature [C] or a speed [m/s]; tell whether neither cell nor heading had a unit.

    Returns
    -------
    (float, bool)
        NaN for a cell that says that there is nothing.

    Raises
    ------
    Refusal
        For anything else, and for a temperature that no weather has.
    """
    found = _split(cell, where, "write e.g. 21.5")
    if found is None:
        return math.nan, False
    value, said = found
    unit = said or column.unit
    if column.holds == "speed":
        if unit not in ("", *u.SPEED.units):
            raise Refusal(where, f"'{cell}' is no speed", "write e.g. 0.1 m/s")
        return value * u.SPEED.units.get(unit, 1.0), not unit
    if unit not in ("", "C", "F"):
        raise Refusal(where, f"'{cell}' is no temperature", "write e.g. 21 C, or 70 F")
    temp = (value - 32) * 5 / 9 if unit == "F" else value
    if not LOWEST_C <= temp <= HIGHEST_C:
        mend = "check it" if unit else "name the unit in the heading: temp [F]"
        raise Refusal(where, f"{temp:g} C is no temperature of air or board", mend)
    return temp, not unit


def read_humidities(
    cells: Iterable[tuple[str, Column, str] | None],
) -> tuple[list[float], list[Refusal], list[str]]:
    """Read a column of relative humidities [0-1].

    Without a unit in heading or cell the column as a whole says what it is: nothing above 1, a
    share; nothing at or below 1 but 0, per cent. One that mixes both is refused.

    Returns
    -------
    (list of float, list of Refusal, list of str)
        NaN where there is nothing; what is wrong; what to report.
    """
    read: list[tuple[str, float, str] | None] = []
    wrong: list[Refusal] = []
    for each in cells:
        if each is None:
            read.append(None)
            continue
        where, column, cell = each
        try:
            found = _split(cell, f"{where}, {column.words}", "write e.g. 45 %")
        except Refusal as refusal:
            wrong.append(refusal)
            found = None
        if found is not None and found[1] not in ("", "%"):
            wrong.append(Refusal(f"{where}, {column.words}", f"'{cell}' is no humidity",
                                 "write e.g. 45 %"))  # fmt: skip
            found = None
        at = f"{where}, {column.words}"
        read.append(None if found is None else (at, found[0], found[1] or column.unit))
    bare = [r[1] for r in read if r is not None and not r[2]]
    share = bool(bare) and max(bare) <= 1
    report = []
    if bare:
        report.append("The relative humidity has no unit: read as "
                      + ("a share, 0 to 1." if share else "per cent."))  # fmt: skip
    out: list[float] = []
    for one in read:
        if one is None:
            out.append(math.nan)
            continue
        where, value, unit = one
        whole = 1.0 if unit == "share" or (not unit and share) else 100.0
        if not 0 < value <= whole or (whole == 100 and value <= 1):
            wrong.append(Refusal(
                where, f"{value:g} is no relative humidity in "
                + ("shares of 1" if whole == 1 else "per cent"),
                "write the whole column in one unit and name it in the heading: rh [%]",
            ))  # fmt: skip
            value = math.nan
        out.append(value / whole)
    return out, wrong, report


def order_of_dates(days: Iterable[str], where: str) -> str | None:
    """Return "dmy" or "mdy" where days are written with strokes; None where none is.

    Raises
    ------
    Refusal
        If the days do not tell which it is, or contradict each other.
    """
    firsts: set[int] = set()
    seconds: set[int] = set()
    for day in days:
        if match := re.match(r"\s*(\d{1,2})/(\d{1,2})/\d{2,4}", day):
            firsts.add(int(match[1]))
            seconds.add(int(match[2]))
    if not firsts:
        return None
    day_first, month_first = max(firsts) > 12, max(seconds) > 12
    if day_first == month_first:
        raise Refusal(where, "they do not tell whether day or month stands first"
                      if not day_first else "day and month change places between lines",
                      "say it: --dates dmy or --dates mdy")  # fmt: skip
    return "dmy" if day_first else "mdy"


def read_moment(text: str, zone: dt.tzinfo, dates: str | None, where: str) -> Moment:
    """Read a time: "2027-03-01 09:15", "1.3.2027 9:15", "3/1/2027 9:15 PM", "...T09:15Z".

    Raises
    ------
    Refusal
        For anything else.
    """
    mend = 'write e.g. "2027-03-01 09:15"'
    plain = " ".join(text.strip().split())
    if re.fullmatch(r"\d{10}(\.\d+)?", plain) and float(plain) >= FIRST_SECOND:
        return Moment(dt.datetime.fromtimestamp(float(plain), dt.UTC))
    try:
        moment = dt.datetime.fromisoformat(_iso(plain, dates))
    except ValueError:
        raise Refusal(where, f"'{text}' is not a day and an hour", mend) from None
    if not re.search(r"\d:\d\d|T\d\d", plain, re.IGNORECASE):
        raise Refusal(where, f"'{text}' has no hour", mend)
    if not FIRST_YEAR <= moment.year <= LAST_YEAR:
        raise Refusal(where, f"the year {moment.year} is a slip", mend)
    if moment.tzinfo is not None:
        return Moment(moment)
    there = moment.replace(tzinfo=zone)
    if there.astimezone(dt.UTC).astimezone(zone).replace(tzinfo=None) != moment:
        return Moment(moment, "skipped")
    twice = there.utcoffset() != there.replace(fold=1).utcoffset()
    return Moment(moment, "twice" if twice else "plain")


def _iso(text: str, dates: str | None) -> str:
    """Return the time in ISO 8601, as far as it is one of the ways to write it."""
    half = re.search(r"\s*([ap])\.?m\.?$", text, re.IGNORECASE)
    if half:
        text = text[: half.start()]
    match = re.match(r"(\d{1,2})([./])(\d{1,2})\2(\d{4}|\d{2}),?(?=\s|T|$)", text)
    if match:
        one, mark, two, year = match.groups()
        day, month = (two, one) if mark == "/" and dates == "mdy" else (one, two)
        year = year if len(year) == 4 else f"20{year}"
        text = f"{year}-{int(month):02}-{int(day):02}{text[match.end() :]}"
    text = re.sub(r"^(\d{4})/(\d{1,2})/(\d{1,2})", _dashed, text)
    text = re.sub(r"^(\d{4}-\d\d-\d\d)[ T]+(\d):", r"\1 0\2:", text)
    text = re.sub(r"\s*(?:UTC|GMT|Z)$", "+00:00", text, flags=re.IGNORECASE)
    text = re.sub(r"\s+([+-]\d\d:?\d\d)$", r"\1", text)
    if half:
        clock = re.search(r"(?<=[ T])(\d\d):", text)
        if clock is None or not 1 <= int(clock[1]) <= 12:
            raise ValueError(text)
        hour = int(clock[1]) % 12 + (12 if half[1].lower() == "p" else 0)
        text = f"{text[: clock.start()]}{hour:02}:{text[clock.end() :]}"
    return text


def _dashed(match: re.Match[str]) -> str:
    return f"{match[1]}-{int(match[2]):02}-{int(match[3]):02}"


def _split(cell: str, where: str, mend: str) -> tuple[float, str] | None:
    text = cell.strip().replace("\u2212", "-").replace("\u00a0", " ").lower()
    if text in _NOTHING:
        return None
    match = _CELL.fullmatch(text.replace("°", "").replace("º", ""))
    if match is None:
        raise Refusal(where, f"'{cell}' is no number", mend)
    unit = " ".join(match[2].split())
    if unit and unit not in _UNITS:
        raise Refusal(where, f"'{cell}' has a unit that is not known", mend)
    return float(match[1].replace(",", ".")), _UNITS.get(unit, "")


def _words(text: str) -> str:
    return " ".join(text.replace(".", " ").replace("-", " ").split())
