"""Abrasives: system and number together, since one number is several grains."""

from __future__ import annotations

import re

from lacwright.figures import Refusal
from lacwright.trade import Row, table

_SYSTEM = r"(fepa|iso|cami|ansi|jis|p)"


def find_abrasive(name: str, where: str) -> Row:
    """Return the row of an abrasive as people write it.

    Parameters
    ----------
    name : str
        "P400", "FEPA P400", "CAMI 400", "400 CAMI", "JIS #400", "water stone 1000", "0000 wool".
    where : str
        Name of the option or field, for the refusal.

    Raises
    ------
    Refusal
        For an unknown name, and for a bare number: the same number is another grain in another
        system.

    Examples
    --------
    >>> find_abrasive("400 cami", "--abrasive").key
    'CAMI 400'
    """
    abrasives = table("abrasives")
    text = " ".join(re.sub(r"\b(grit|grade|paper|sandpaper)\b", " ", name.lower()).split())
    bare = re.fullmatch(r"#? ?(\d{2,5})", text)
    if bare and set(bare[1]) != {"0"}:
        raise _bare(bare[1], where)
    number = re.fullmatch(rf"{_SYSTEM}\s*[#p]?\s*(\d+)", text)
    turned = re.fullmatch(rf"#?\s*(\d+)\s*{_SYSTEM}", text)
    if number or turned:
        system, n = (number[1], number[2]) if number else (turned[2], turned[1])  # type: ignore[index]
        text = {"cami": f"cami {n}", "ansi": f"cami {n}", "jis": f"jis #{n}"}.get(
            system, f"fepa p{n}"
        )
    return abrasives.find(text, where)


def median_um(row: Row, where: str) -> float:
    """Median grain of an abrasive [um].

    Raises
    ------
    Refusal
        For a powder of which no size was found.
    """
    if not row.has("median"):
        raise Refusal(where, f"no grain size of {row.key} is known", "name a paper by its number")
    return row.number("median")


def _bare(number: str, where: str) -> Refusal:
    abrasives = table("abrasives")
    known = [
        f"{short} is {abrasives[key].number('median'):g} um"
        for short, key in (
            (f"P{number}", f"FEPA P{number}"), (f"CAMI {number}", f"CAMI {number}"),
            (f"JIS #{number}", f"JIS #{number}"),
            (f"water stone {number}", f"water stone {number}"),
        )
        if key in abrasives
    ]  # fmt: skip
    mend = "write system and number together"
    mend += ": " + ", ".join(known) + ": say which" if known else ", e.g. P400 or CAMI 400"
    return Refusal(where, f"'{number}' alone may be several grains", mend)
