"""Values as people write them in a file: each reader takes what TOML gave and returns bench units.

A reader raises Refusal with an empty place; the place (table and key) is added by the caller, who
knows it. The annotated types at the end are the words of which the tables of a file are made.
"""

from __future__ import annotations

import datetime as dt
import math
import re
import sys
from collections.abc import Callable
from dataclasses import dataclass
from typing import Annotated, Any

from pydantic import AfterValidator, BeforeValidator, InstanceOf, StringConstraints

from lacwright.figures import Refusal, nearest
from lacwright.figures import units as u
from lacwright.figures.quantities import read, read_cut, read_day, read_rh, read_size
from lacwright.figures.spoken import an
from lacwright.film import find_abrasive, wished_band
from lacwright.plan.suitability import side_table
from lacwright.trade import table

WEEKDAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
DYE = u.Kind(
    "share of dye", "ml/l",
    {"ml/l": 1.0, "%": 10.0, "fl oz/gal": 1000 / 128, "fl oz/qt": 1000 / 32}, "10 ml/l, 1 %",
)  # fmt: skip
LONGEST_CLOSED_DAYS = 366
"""A longer time away is taken for a slip in one of its two dates."""
_DAY_UNIT = re.compile(r"\d\s*(?:d|days?|weeks?)\b", re.IGNORECASE)
LONGEST_REST = 4  # digits of a number of working days
_WORKING = re.compile(r"\s*(\d+)\s*work(?:ing)?[ -]days?\s*", re.IGNORECASE)
_CLOCK = re.compile(r"(\d{1,2}):(\d{2})")


@dataclass(frozen=True)
class RestTime:
    """A rest: hours, calendar days or working days, one of them."""

    hours: float | None = None
    days: float | None = None
    working_days: int | None = None


@dataclass(frozen=True)
class Deposit:
    """What stays on the work for good: um of dry film or g of resin on each m2."""

    um: float | None = None
    g_m2: float | None = None


@dataclass(frozen=True)
class Reserve:
    """What is mixed on top of the need: a share of it or a fixed amount."""

    share: float | None = None
    ml: float | None = None


def amount(value: Any, kind: u.Kind, *, zero: bool = True) -> float:
    """Read a quantity of a kind; `zero` says whether nothing at all makes sense."""
    if isinstance(value, bool) or not isinstance(value, str | int | float):
        raise Refusal("", f"{shown(value)} is not {an(kind.name)}", f"write e.g. {kind.example}")
    number = read_cut(value, "") if kind is u.CUT else read(value, kind, "")
    if not math.isfinite(number):
        raise Refusal("", f"{shown(value)} is no amount", f"write e.g. {kind.example}")
    if number == 0 and not zero:
        raise Refusal("", f"{an(kind.name)} of zero", f"write e.g. {kind.example}, or leave it out")
    return number


def share(value: Any) -> float:
    """Read a share of a whole, 0 to 1: "5 %" or 0.05."""
    number = amount(value, u.SHARE)
    if number > 1:
        raise Refusal("", f"{shown(value)} is more than the whole", 'write e.g. "5 %" or 0.05')
    return number


def hours(value: Any) -> float:
    """Read a time in hours: "90 min", "2 h", "1:30"."""
    if isinstance(value, str) and (clock := _CLOCK.fullmatch(value.strip())):
        if int(clock[2]) > 59:
            raise Refusal("", f"{shown(value)} has more than 59 minutes", "write e.g. 1:30")
        return int(clock[1]) + int(clock[2]) / 60
    return amount(value, u.TIME)


def hour_of_day(value: Any) -> float:
    """Read an hour of the day: "9:00", "9 h", a TOML time."""
    if isinstance(value, dt.time):
        return value.hour + value.minute / 60
    number = hours(value)
    if number >= 24:
        raise Refusal("", f"{shown(value)} is no hour of the day", "write e.g. 9:00")
    return number


def days(value: Any) -> float:
    """Read a number of calendar days: "5 days", "1 week", "36 h"."""
    if isinstance(value, str) and _WORKING.fullmatch(value):
        raise Refusal("", "a rest of the hand is counted in calendar days",
                      "write calendar days, or give working days at the [[step]]")  # fmt: skip
    return amount(value, u.TIME) / 24


def rest(value: Any) -> RestTime:
    """Read a rest: "7 days" (calendar days), "5 working days", "36 h"."""
    if isinstance(value, str):
        if working := _WORKING.fullmatch(value):
            days = working[1].lstrip("0") or "0"
            if len(days) > LONGEST_REST:
                raise Refusal("", f"{shown(value)} is no rest", 'write e.g. "5 working days"')
            # No working days at all is a rest of nothing, and said as such.
            return RestTime(working_days=int(days)) if days != "0" else RestTime(days=0.0)
        number = amount(value, u.TIME)
        return RestTime(days=number / 24) if _DAY_UNIT.search(value) else RestTime(hours=number)
    raise Refusal("", f"{shown(value)} is not a rest", 'write e.g. "7 days" or "5 working days"')


def deposit(value: Any) -> Deposit:
    """Read what a coat leaves for good: "4 um" or "4.5 g/m2"."""
    if isinstance(value, str) and "/" in value:
        return Deposit(g_m2=amount(value, u.LOAD, zero=False))
    if isinstance(value, str):
        return Deposit(um=amount(value, u.FILM, zero=False))
    raise Refusal("", f"{shown(value)} is not a deposit", 'write e.g. "4 um" or "4.5 g/m2"')


def reserve(value: Any) -> Reserve:
    """Read a reserve: "10 %" of the need, "50 ml", or 0 for none."""
    if isinstance(value, str):
        if "%" in value or "percent" in value:
            return Reserve(share=share(value))
        return Reserve(ml=amount(value, u.VOLUME))
    if value == 0 and not isinstance(value, bool):
        return Reserve(share=0.0)
    raise Refusal("", f"{shown(value)} may be a share or an amount",
                  'write "10 %", "50 ml" or 0 for none')  # fmt: skip


def date(value: Any) -> dt.date:
    """Read a date: a TOML date or "2027-03-01"."""
    if isinstance(value, str) or (
        isinstance(value, dt.date) and not isinstance(value, dt.datetime)
    ):
        return read_day(value, "")
    raise Refusal("", f"{shown(value)} is not a date", "write year-month-day, e.g. 2027-03-01")


def dates(value: Any) -> tuple[dt.date, ...]:
    """Read a date, or a time away "2027-07-26 to 2027-08-06" with both its ends."""
    if not (isinstance(value, str) and " to " in value):
        return (date(value),)
    first, last = (date(part) for part in value.split(" to ", 1))
    span = (last - first).days
    if not 0 <= span <= LONGEST_CLOSED_DAYS:
        raise Refusal("", f"{shown(value)} ends before it begins or lasts longer than a year",
                      "write the earlier date first")  # fmt: skip
    return tuple(first + dt.timedelta(days=n) for n in range(span + 1))


def weekday(value: Any) -> int:
    """Read a day of the week, Monday is 0."""
    if isinstance(value, str):
        word = value.strip().lower()
        for n, name in enumerate(WEEKDAYS):
            if len(word) >= 3 and _FULL[n].startswith(word):
                return n
            if word == name:
                return n
        raise Refusal("", f"{shown(value)} is no day of the week", nearest(word, WEEKDAYS))
    raise Refusal("", f"{shown(value)} is no day of the week", 'write e.g. ["mon", "tue"]')


def area(value: Any) -> float:
    """Read the area of one side of a flat thing: "0.06 m2" or "300x200 mm"."""
    if isinstance(value, str) and re.search(r"\d\s*(?:x|×|by)|['\"a-z]\s+(?:x|×|by)\s", value):
        sides = read_size(value, "")
        if len(sides) != 2:
            raise Refusal("", f"{shown(value)} has {len(sides)} lengths, a side has two",
                          "write e.g. 300x200 mm")  # fmt: skip
        return sides[0] * sides[1] / 1e6
    return amount(value, u.AREA, zero=False)


def stock(value: Any, kind: str) -> tuple[float, str]:
    """Read how much of a lot there is, and its unit: flakes in g, liquids in ml, other things."""
    if kind == "flakes":
        return amount(value, u.MASS), "g"
    if kind != "other":
        return amount(value, u.VOLUME), "ml"
    if not isinstance(value, str):
        return count(value), "pieces"
    for of, unit in ((u.MASS, "g"), (u.VOLUME, "ml")):
        try:
            return amount(value, of), unit
        except Refusal:
            continue
    raise Refusal("", f"{shown(value)} is neither a count, a weight nor a volume",
                  "write e.g. 12 (pieces), 500 g, 500 ml")  # fmt: skip


def count(value: Any) -> float:
    """Read a bare number that is not below zero: 2, 2.5."""
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise Refusal("", f"{shown(value)} is not a number (without quotes)", "write e.g. 2")
    if not 0 <= value <= sys.float_info.max:
        raise Refusal("", f"{shown(value)} cannot be a number of things", "write e.g. 2")
    return float(value)


def named(name: str) -> Callable[[str], str]:
    """Return the reader of a name that must stand in the table of that name."""

    def find(value: str) -> str:
        return table(name).find(value, "").key

    return find


def sheen(value: str) -> str:
    """Read a class of gloss or a word for it: "G4", "satin"."""
    wished_band(value, "")
    return value


def side(of: str) -> Callable[[str], str]:
    """Return the reader of what lies "under" the film or comes "over" it."""

    def find(value: str) -> str:
        side_table(of).find(value, "")
        return value

    return find


def shown(value: Any) -> str:
    """Return a value of the file as the person wrote it, cut short."""
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, str):
        return f"'{value}'" if len(value) <= 40 else f"'{value[:37]}...'"
    if isinstance(value, dict):
        return "a table"
    if isinstance(value, list):
        return "a list"
    text = str(value)
    return text if len(text) <= 40 else f"{text[:37]}..."


_FULL = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")


def _of(kind: u.Kind, *, zero: bool = True) -> BeforeValidator:
    return BeforeValidator(lambda value: amount(value, kind, zero=zero))


def _one_or_more(value: Any) -> Any:
    return value if isinstance(value, list) else [value]


def _written(value: Any) -> Any:
    if isinstance(value, bool) or not isinstance(value, str | int | float):
        raise Refusal("", f"{shown(value)} is no amount", 'write e.g. "400 g"')
    return value


def _rh(value: Any) -> float:
    if isinstance(value, bool) or not isinstance(value, str | int | float):
        raise Refusal("", f"{shown(value)} is not a relative humidity", 'write e.g. "45 %"')
    return read_rh(value, "")


Written = Annotated[Any, BeforeValidator(_written)]
Text = Annotated[str, StringConstraints(strip_whitespace=True, min_length=1)]
Texts = Annotated[list[Text], BeforeValidator(_one_or_more)]
Uses = Annotated[
    list[Annotated[Text, AfterValidator(named("uses"))]], BeforeValidator(_one_or_more)
]
Under = Annotated[
    list[Annotated[Text, AfterValidator(side("under"))]], BeforeValidator(_one_or_more)
]
Over = Annotated[list[Annotated[Text, AfterValidator(side("over"))]], BeforeValidator(_one_or_more)]
Grade = Annotated[Text, AfterValidator(named("grades"))]
Method = Annotated[Text, AfterValidator(named("methods"))]
Abrasive = Annotated[Text, AfterValidator(lambda value: find_abrasive(value, "").key)]
Sheen = Annotated[Text, AfterValidator(sheen)]
StepKind = Annotated[Text, AfterValidator(named("steps"))]
Ml = Annotated[float, _of(u.VOLUME, zero=False)]
MlOrNone = Annotated[float, _of(u.VOLUME)]
Um = Annotated[float, _of(u.FILM, zero=False)]
UmOrNone = Annotated[float, _of(u.FILM)]
Cut = Annotated[float, _of(u.CUT, zero=False)]
Density = Annotated[float, _of(u.DENSITY, zero=False)]
Spread = Annotated[float, _of(u.SPREAD, zero=False)]
Spreads = Annotated[list[Spread], BeforeValidator(_one_or_more)]
Temperature = Annotated[float, _of(u.TEMPERATURE)]
Humidity = Annotated[float, BeforeValidator(_rh)]
DyeShare = Annotated[float, _of(DYE)]
Hours = Annotated[float, BeforeValidator(hours)]
Share = Annotated[float, BeforeValidator(share)]
Rest = Annotated[InstanceOf[RestTime], BeforeValidator(rest)]
DepositOf = Annotated[InstanceOf[Deposit], BeforeValidator(deposit)]
ReserveOf = Annotated[InstanceOf[Reserve], BeforeValidator(reserve)]
Date = Annotated[dt.date, BeforeValidator(date)]
Dates = Annotated[tuple[dt.date, ...], BeforeValidator(dates)]
Weekday = Annotated[int, BeforeValidator(weekday)]
Area = Annotated[float, BeforeValidator(area)]
