"""How amounts and moments are written: in both systems of units, in the shop's zone."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from functools import lru_cache

from lacwright.bench.words import amount
from lacwright.figures.units import OZ_G, SQFT_M2, US_GAL_ML
from lacwright.shop import clock

FL_OZ_ML = US_GAL_ML / 128
DAYS = 4096
"""So many days are kept as they are said: a long list names the same ones over and over."""
LEAST = 5.0
"""Grams or millilitres below which ounces say nothing."""


def weight(g: float | None) -> str:
    """Return a weight: "48.1 g (1.70 oz)"."""
    if g is None:
        return "not known"
    return f"{amount(g)} g ({amount(g / OZ_G)} oz)" if abs(g) >= LEAST else f"{amount(g, 2)} g"


def volume(ml: float | None) -> str:
    """Return a volume: "272 ml (9.20 fl oz)"."""
    if ml is None:
        return "not known"
    if abs(ml) < LEAST:
        return f"{amount(ml, 2)} ml"
    return f"{amount(ml)} ml ({amount(ml / FL_OZ_ML)} fl oz)"


def area(m2: float | None) -> str:
    """Return an area: "0.620 m² (6.67 sq ft)"."""
    return "not known" if m2 is None else f"{m2:.3g} m² ({m2 / SQFT_M2:.3g} sq ft)"


def of_lot(amount_u: float | None, unit: str, ml: float | None = None) -> str:
    """Return what is left of a lot: of a liquid its volume, of what is counted the number."""
    if amount_u is None:
        return "amount not said"
    if unit == "pc":
        return f"{amount_u:g} pieces"
    return weight(amount_u) if ml is None else volume(ml)


@dataclass(frozen=True)
class When:
    """A moment for people and machines.

    Parameters
    ----------
    iso : str
        For machines.
    words : str
        "today 14:00", "tomorrow 09:00", "Mon 1 Mar 09:00".
    """

    iso: str
    words: str

    def __str__(self) -> str:
        return self.words


def when(us: int, zone: dt.tzinfo, now_us: int | None = None) -> When:
    """Return a moment as it is said now."""
    at = clock.from_us(us, zone)
    now = clock.from_us(clock.now_us() if now_us is None else now_us, zone)
    told = f"{_said(at.date(), now.date())} {at.hour:02}:{at.minute:02}"
    return When(at.isoformat(timespec="minutes"), told)


@lru_cache(maxsize=DAYS)
def _said(day: dt.date, today: dt.date) -> str:
    days = (day - today).days
    named = {-1: "yesterday", 0: "today", 1: "tomorrow"}
    told = named.get(days) or f"{day:%a} {day.day} {day:%b}"
    return f"{told} {day.year}" if abs(days) > 300 else told


def spoken_day(day: dt.date) -> When:
    """Return a day: "Mon 1 Mar 2027"."""
    return When(day.isoformat(), f"{day:%a} {day.day} {day:%b %Y}")


def days_words(days: int) -> str:
    """Return an age: "today", "1 day", "12 days", "14 months"."""
    if days < 1:
        return "less than a day"
    if days < 90:
        return f"{days} day{'s' if days > 1 else ''}"
    return f"{round(days / 30.4)} months" if days < 730 else f"{days / 365.25:.1f} years"
