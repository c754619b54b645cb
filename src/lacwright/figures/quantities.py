"""Quantities as people write them, read into bench units; odd input is refused with the mend."""

from __future__ import annotations

import datetime as dt
import math
import re

from lacwright.figures import units as u
from lacwright.figures.refusal import Refusal, nearest
from lacwright.figures.spoken import a_cut, an

FIRST_YEAR, LAST_YEAR = 1900, 2200
"""Years outside these are taken for slips."""

_FRACTIONS = {
    "½": "1/2", "¼": "1/4", "¾": "3/4", "⅓": "1/3", "⅔": "2/3",
    "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8",
}  # fmt: skip
_PLAIN = str.maketrans({
    "µ": "u", "μ": "u", "\u2212": "-", "\u2044": "/", "\u00a0": " ", "\u202f": " ", "\u2009": " ",
    "\u2019": "'", "\u2032": "'", "\u201d": '"', "\u2033": '"',
})  # fmt: skip
# "5 ft 6 in" is one length; two temperatures or two cuts in a row are a slip.
_ADDED = (u.MASS, u.VOLUME, u.LENGTH, u.TIME)
_NUMBER = re.compile(
    r"(?P<whole>\d+)[ -](?P<n>\d+)/(?P<d>\d+)|(?P<n2>\d+)/(?P<d2>\d+)"
    r"|(?P<dec>\d*[.,]?\d+(?:e-?\d+)?)"
)


def read(text: str | float, kind: u.Kind, where: str) -> float:
    """Read a quantity into the bench unit of its kind.

    Parameters
    ----------
    text : str or float
        "2 oz", "1 1/2 cups", "0,5 l", "5 ft 6 in". A bare number only where `kind.bare`.
    kind : Kind
        One of `lacwright.figures.units`.
    where : str
        Name of the option or field, for the refusal.

    Returns
    -------
    float
        In `kind.unit`.

    Raises
    ------
    Refusal
        For an unknown or missing unit, a negative or ambiguous number, ounces of a liquid, a
        cup of flakes.

    Examples
    --------
    >>> read("1 cup", u.VOLUME, "--solvent")
    236.5882365
    >>> round(read("500 sqft/gal", u.SPREAD, "--rate"), 1)
    81.5
    """
    if isinstance(text, bool):
        raise Refusal(where, f"true or false is not {an(kind.name)}", f"write e.g. {kind.example}")
    if isinstance(text, int | float):
        return _bare(text, kind, where)
    text = text.strip()  # what stands round it is not told back
    clean = _clean(text)
    if not clean:
        raise Refusal(where, f"no {kind.name} was given", f"write e.g. {kind.example}")
    negative = clean.startswith("-")
    rest, total, last = re.sub(r"^[-+] ?", "", clean), 0.0, math.inf
    while rest:
        match = _NUMBER.match(rest)
        if match is None:
            raise Refusal(where, f"'{text}' is not {an(kind.name)}", f"write e.g. {kind.example}")
        number = _number(match, text, where)
        unit, rest = _split_unit(rest[match.end() :])
        if negative:
            number = -number
        if not unit:
            if rest or last < math.inf:
                raise Refusal(where, f"'{text}' is not one {kind.name}",
                              f"write e.g. {kind.example}")  # fmt: skip
            return _bare(number, kind, where)
        one = _in_bench_unit(1.0, unit, kind, text, where) if rest or last < math.inf else 0.0
        if one >= last or (one and kind not in _ADDED):
            raise Refusal(where, f"'{text}' is not one {kind.name}", f"write e.g. {kind.example}")
        total, last = total + _in_bench_unit(number, unit, kind, text, where), one
    if not abs(total) <= kind.most:
        raise _too_much(text, kind, where)
    if total < 0 and kind is not u.TEMPERATURE:
        raise Refusal(where, f"{an(kind.name)} below zero", f"write e.g. {kind.example}")
    return total


def read_rh(text: str | float, where: str) -> float:
    """Read a relative humidity as a fraction.

    "45 %" and 0.45 are read; a bare 45 is refused, since a slip of a factor of a hundred here
    would turn a wet day into a dry one.

    Raises
    ------
    Refusal
        For a bare number of 1 or more, or a value outside 0 to 1.
    """
    value = read(text, u.SHARE, where)
    if 1 <= value <= 100 and re.search(r"[%p]", _clean(str(text))) is None:
        if value == 1:
            raise Refusal(where, f"{text} may be all of it or one in a hundred",
                          "write '100 %' or '1 %'")  # fmt: skip
        raise Refusal(where, f"{value:g} is not below 1 and has no unit",
                      f"write '{value:g} %' or {value / 100:g}")  # fmt: skip
    if not 0 <= value <= 1:
        raise Refusal(where, f"a relative humidity of {value:.0%} cannot be", "write e.g. '45 %'")
    return value


def read_cut(text: str | float, where: str) -> float:
    """Read a cut as pounds of flakes per US gallon of alcohol.

    Raises
    ------
    Refusal
        Beside `read`'s, for a cut of nothing or above 12 lb: nobody can pour that.
    """
    value = read(text, u.CUT, where)
    if value <= 0:
        raise Refusal(where, "a cut of nothing", "write pounds of flakes per gallon, such as 2")
    if value > 12:
        raise Refusal(where, f"'{text}' is {a_cut(value, 6)}, thicker than anything that pours",
                      "write pounds per gallon (2), or the unit: '240 g/l'")  # fmt: skip
    return value


def read_size(text: str, where: str) -> tuple[float, ...]:
    """Read "300x200x120 mm" (or "12 in x 8 in") into millimetres.

    Raises
    ------
    Refusal
        Without a unit, or for a length of zero.
    """
    text = text.strip()
    parts = [p.strip() for p in re.split(r"\s*(?:x|×|\bby\b)\s*", _clean(text)) if p.strip()]
    last = re.search(r"[a-z\"']+$", parts[-1]) if parts else None
    if last is None:
        raise Refusal(where, f"'{text}' has no unit", "write e.g. 300x200x120 mm or 12x8 in")
    full = [p if re.search(r"[a-z\"']$", p) else f"{p} {last.group()}" for p in parts]
    sizes = tuple(read(p, u.LENGTH, where) for p in full)
    if any(s <= 0 for s in sizes):
        raise Refusal(where, f"'{text}' has a length of zero", "write e.g. 300x200x120 mm")
    return sizes


def read_weight(text: str | float, where: str, mend: str = "weigh it and write e.g. 40 g") -> float:
    """Read a weight [g] where a volume cannot stand in for it; `mend` says what to do instead.

    Raises
    ------
    Refusal
        Beside `read`'s: for a volume, with that mend.
    """
    try:
        return read(text, u.MASS, where)
    except Refusal:
        try:
            read(text, u.VOLUME, where)
        except Refusal:
            pass
        else:
            raise Refusal(where, f"'{text}' is a volume, a weight is wanted", mend) from None
        raise


def read_day(text: str | dt.date, where: str) -> dt.date:
    """Read a day: "2027-03-01", or a date as it is.

    Raises
    ------
    Refusal
        For anything else, a day that is not in the calendar, or a year outside 1900 to 2200.
    """
    mend = "write year-month-day, e.g. 2027-03-01"
    day = text
    if isinstance(text, str):
        text = text.strip()
        if not re.fullmatch(r"\d{4}-\d{2}-\d{2}", text):
            raise Refusal(where, f"'{text}' is not a day", mend)
        try:
            day = dt.date.fromisoformat(text)
        except ValueError:
            raise Refusal(where, f"there is no day {text}", mend) from None
    if isinstance(day, dt.datetime) or not isinstance(day, dt.date):
        raise Refusal(where, f"{text} is not a day", mend)
    if not FIRST_YEAR <= day.year <= LAST_YEAR:
        raise Refusal(where, f"the year {day.year} is a slip", mend)
    return day


def _clean(text: str) -> str:
    for sign, plain in _FRACTIONS.items():
        text = text.replace(sign, " " + plain)
    text = re.sub(r"(?<=[a-zA-Z])[²³]", lambda m: "2" if m[0] == "²" else "3", text)
    return re.sub(r"\s+", " ", text.translate(_PLAIN)).strip().lower()


def _number(match: re.Match[str], text: str, where: str) -> float:
    if match["whole"]:
        top, bottom, whole = match["n"], match["d"], float(match["whole"])
    elif match["n2"]:
        top, bottom, whole = match["n2"], match["d2"], 0.0
    else:
        if re.fullmatch(r"[1-9]\d{0,2},\d{3}", match["dec"]):
            raise Refusal(where, f"'{text}' may mean a thousand or a fraction",
                          "write 1000 without a comma, or 1.0 with a point")  # fmt: skip
        return float(match["dec"].replace(",", "."))
    if float(bottom) == 0:
        raise Refusal(where, f"'{text}' divides by zero", "write e.g. 1/2")
    return whole + float(top) / float(bottom)


def _split_unit(text: str) -> tuple[str, str]:
    """Split " ft 6 in" into the unit "ft" and the rest "6 in"."""
    text = text.strip().lstrip("-").strip()
    # "g/100 ml" and "1/h" carry digits of their own; any other ends where the next number begins.
    match = re.match(
        r"g ?/ ?100 ?ml|1/h\b|(?:[a-z%°\"'/.]|(?<=[a-z])[23](?![\d.])|[ -](?=[a-z/%]))*", text
    )
    unit = match.group() if match else ""
    return unit.strip(), text[len(unit) :].strip()


def _canonical(unit: str) -> str:
    unit = unit.replace(".", "").replace("-", " ").strip()
    unit = re.sub(r"\s*/\s*", "/", unit)
    unit = re.sub(r"\bper\b", "/", unit).replace(" / ", "/")
    unit = unit.replace("imperial", "imp").replace("litre", "l").replace("liter", "l")
    unit = unit.replace("square feet", "sqft").replace("sq ft", "sqft")
    return re.sub(r"\bgallons?\b", "gal", unit)


def _in_bench_unit(number: float, unit: str, kind: u.Kind, text: str, where: str) -> float:
    if kind is u.TEMPERATURE and _canonical(unit) in ("f", "°f"):
        return (number - 32) * 5 / 9
    for name in (unit, _canonical(unit)):
        if name in kind.units:
            return number * kind.units[name]
        if kind is u.SPREAD:
            for names, factor in u.SPREAD_INVERSE.items():
                if name in names.split("|"):
                    if number <= 0:
                        raise Refusal(where, "a spread of zero", f"write e.g. {kind.example}")
                    return factor / number
    raise _unknown_unit(unit, kind, text, where)


def _unknown_unit(unit: str, kind: u.Kind, text: str, where: str) -> Refusal:
    unit = _canonical(unit)
    if kind is u.VOLUME and unit in ("oz", "ounce", "ounces"):
        return Refusal(where, f"'{text}' of a liquid may be by volume or by weight",
                       "write 'fl oz' for volume, or weigh the liquid and write grams")  # fmt: skip
    if kind is u.MASS and unit in u.VOLUME.units:
        return Refusal(where, f"'{text}' is a volume, a weight is wanted",
                       f"weigh it and write e.g. {kind.example}")  # fmt: skip
    if kind is u.VOLUME and unit in u.MASS.units:
        return Refusal(where, f"'{text}' is a weight, a volume is wanted",
                       f"write e.g. {kind.example}")  # fmt: skip
    known = [name for name in kind.units if name.isascii()]
    return Refusal(where, f"'{unit}' is not a unit of {kind.name}",
                   f"{nearest(unit, known)} (for example {kind.example})")  # fmt: skip


def _bare(number: float, kind: u.Kind, where: str) -> float:
    try:
        number = float(number)
    except OverflowError:  # a whole number of hundreds of digits
        number = math.inf
    if not math.isfinite(number):
        raise Refusal(where, f"{number} is not {an(kind.name)}", f"write e.g. {kind.example}")
    if not kind.bare:
        raise Refusal(where, f"{number:g} has no unit", f"write e.g. {kind.example}")
    if number < 0 and kind is not u.TEMPERATURE:
        raise Refusal(where, f"{an(kind.name)} below zero", f"write e.g. {kind.example}")
    if abs(number) > kind.most:
        raise _too_much(f"{number:g}", kind, where)
    return number


def _too_much(text: str, kind: u.Kind, where: str) -> Refusal:
    return Refusal(where, f"'{text}' is more than anybody handles ({kind.most:,.0f} {kind.unit})",
                   f"check the number and its unit; write e.g. {kind.example}")  # fmt: skip
