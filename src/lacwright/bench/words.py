"""Words and numbers of the templates: how a figure, an amount, an hour is written."""

from __future__ import annotations

import datetime as dt
import math
import re
from functools import lru_cache
from typing import Any

from django import template
from django.utils.html import format_html
from django.utils.safestring import SafeString

from lacwright.bench import elements
from lacwright.figures import Figure

register = template.Library()


@register.filter
def amount(value: float | None, digits: int = 3) -> str:
    """Return a number with so many significant figures and no exponent."""
    if value is None:
        return "not known"
    if value == 0:
        return "0"
    places = max(0, digits - 1 - math.floor(math.log10(abs(value))))
    return f"{value:.{places}f}"


@register.filter
def brief(value: float) -> str:
    """Return a number as it was said: 2, 1.5, 0.25."""
    return f"{value:.4g}"


@register.filter
def to_step(value: float | None, step: float = 1.0) -> str:
    """Return an amount rounded to the step of a scale or a measure."""
    if value is None:
        return "not known"
    digits = len(f"{step:.6f}".rstrip("0").partition(".")[2])
    return f"{round(value / step) * step:.{digits}f}"


@register.filter
def band(figure: Figure) -> str:
    """Return the range of a figure: "29 to 61", "" where it has none."""
    if figure.low is None or figure.high is None or figure.high <= figure.low:
        return ""
    return f"{amount(figure.low, 2)} to {amount(figure.high, 2)}"


@register.filter
@lru_cache(maxsize=1024)
def unit(text: str) -> str:
    """Return a unit as it is printed: "um" is µm, "ml/m2" ml/m², "C" °C."""
    printed = re.sub(r"(?<=m)([23])\b", lambda power: {"2": "²", "3": "³"}[power[1]], text)
    return re.sub(r"(?<!°)\bC\b", "°C", re.sub(r"\bum\b", "µm", printed))


@register.filter
def degrees(text: str) -> str:
    """Return a sentence with its degrees as they are printed: "at most 40 °C"."""
    return re.sub(r"(?<=\d) C\b", " °C", text)


@register.simple_tag
def figure(figure: Figure, digits: int = 3) -> SafeString:
    """Return a figure that shows range, basis, mark, source and working when it is opened."""
    return elements.figure_of(figure, digits, amount=amount, band=band, unit=unit)


@register.filter
def clock(at: dt.datetime) -> str:
    """Return the hour: "19:00"."""
    return f"{at:%H:%M}"


@register.filter
def hours_since(at: dt.datetime, begin: dt.datetime) -> str:
    """Return the hours from one moment to another: "2.5"."""
    return f"{(at - begin).total_seconds() / 3600:.2f}".rstrip("0").rstrip(".")


@register.filter
def day(at: dt.date) -> str:
    """Return a day as it is said: "Mon 1 Mar 2027"."""
    return f"{at:%a} {at.day} {at:%b %Y}"


@register.simple_tag
def moment(at: dt.datetime) -> SafeString:
    """Return a day and an hour, readable by machines too."""
    return format_html(
        '<time datetime="{}">{} {}</time>', at.isoformat(timespec="minutes"), day(at), clock(at)
    )


@register.filter
def get(mapping: Any, key: str) -> Any:
    """Return a value by its key."""
    return mapping.get(key)


@register.filter
def oz(grams: float) -> str:
    """Return grams in ounces."""
    from lacwright.figures.units import OZ_G

    return amount(grams / OZ_G, 3)


@register.filter
def fl_oz(ml: float) -> str:
    """Return millilitres in US fluid ounces."""
    from lacwright.figures.units import US_GAL_ML

    return amount(ml / (US_GAL_ML / 128), 3)
