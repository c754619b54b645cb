"""Colours, blends and loads as people write them on a line."""

from __future__ import annotations

import re

from lacwright.colour import Viewing, lab_of_srgb
from lacwright.figures import Refusal
from lacwright.figures import units as u
from lacwright.figures.quantities import read

Lab = tuple[float, float, float]
MOST_IN_BLEND = 6

_SHARE = re.compile(r"\d*[.,]?\d+\s*(?:%|percent|per cent)|\b0?[.,]\d+")
_LOAD = re.compile(r"(?P<name>.*?[a-z)])[\s,:]+(?P<load>\d*[.,]?\d+\s*\S.*)", re.IGNORECASE)
_HEX = re.compile(r"#?([0-9a-fA-F]{6})")
_PRICE = re.compile(
    r"(?:(?P<name>[a-z][a-z -]*?)\s+)?(?P<price>\d*[.,]?\d+)\s*(?:per|/|for)\s*(?P<of>.+)",
    re.IGNORECASE,
)
_WHOLE = 0.011  # shares typed to a whole percent: thirds sum to 99


def read_lab(text: str, where: str) -> Lab:
    """Read "45, 18, 30", "45 18 30" or "45; 18; 30" as L*, a*, b*.

    Raises
    ------
    Refusal
        For anything that is not three numbers.
    """
    parts = [p for p in re.split(r"\s*[,;]\s*|\s+", text.strip().replace("\u2212", "-")) if p]
    try:
        light, red, yellow = (float(p) for p in parts)
    except ValueError:
        raise Refusal(where, f"'{text}' is no colour",
                      'write L*, a*, b* with points, as in "45, 18, 30"') from None  # fmt: skip
    return light, red, yellow


def read_load(text: str, where: str) -> float:
    """Read a load of dry lac [g/m2]: "3.5 g/m2".

    Raises
    ------
    Refusal
        Without a unit, or for nothing.
    """
    load = read(text, u.LOAD, where)
    if load == 0:
        raise Refusal(where, "a load of nothing", "write e.g. 3.5 g/m2")
    return load


def read_laid(text: str, where: str) -> tuple[str, float]:
    """Read what lies on a piece: "amber 7 g/m2" as (name, g/m2).

    Raises
    ------
    Refusal
        Without a grade or a load.
    """
    found = _LOAD.fullmatch(text.strip())
    if found is None:
        raise Refusal(where, f"'{text}' does not say which grade and how much of it lies there",
                      "write e.g. 'amber 7 g/m2'")  # fmt: skip
    return found["name"].strip(), read_load(found["load"], where)


def read_blend(text: str, where: str) -> dict[str, float]:
    """Read a grade, or a blend by weight of resin: "amber 70 % + garnet 30 %".

    Returns
    -------
    dict of str to float
        Shares by name as typed; they sum to 1.

    Raises
    ------
    Refusal
        For shares that are missing or do not make a whole.
    """
    mend = "write e.g. 'amber 70 % + garnet 30 %'"
    parts = [p.strip() for p in re.split(r"\s*\+\s*|\s*,\s*(?=\D)", text) if p.strip()]
    if not parts:
        raise Refusal(where, "no grade is named", "write e.g. amber")
    if len(parts) > MOST_IN_BLEND:
        raise Refusal(where, f"{len(parts)} grades in one blend", f"name {MOST_IN_BLEND} at most")
    out: dict[str, float] = {}
    for part in parts:
        said = _SHARE.search(part)
        name = " ".join(_SHARE.sub(" ", part).split()).removeprefix("of ").strip()
        if not name:
            raise Refusal(where, f"'{part}' names no grade", mend)
        if said is None and len(parts) > 1:
            raise Refusal(where, f"'{part}' has no share", mend)
        share = 1.0 if said is None else read(said.group(), u.SHARE, where)
        if share == 0:
            raise Refusal(where, f"'{part}' is none of it", "leave it out")
        if name in out:
            raise Refusal(where, f"{name} stands there twice", "add its shares up")
        out[name] = share
    total = sum(out.values())
    if abs(total - 1) > _WHOLE:
        raise Refusal(where, f"the shares make {total:.0%}", f"{mend}, 100 % together")
    return {name: share / total for name, share in out.items()}


def blend_words(blend: dict[str, float]) -> str:
    """Return a blend as it is told: "amber 70 % and garnet 30 %", "amber"."""
    if len(blend) == 1:
        return next(iter(blend))
    *first, last = (f"{name} {100 * share:.3g} %" for name, share in blend.items())
    return f"{', '.join(first)} and {last}"


def read_target(text: str, viewing: Viewing, where: str) -> Lab:
    """Read a wished colour: L*, a*, b*, or a patch of a corrected photo as "#c08a4a".

    Raises
    ------
    Refusal
        For anything else.
    """
    if found := _HEX.fullmatch(text.strip()):
        code = [int(found[1][n : n + 2], 16) / 255 for n in (0, 2, 4)]
        light, red, yellow = (float(v) for v in lab_of_srgb(code, viewing))
        return light, red, yellow
    return read_lab(text, where)


def read_price(text: str, where: str) -> tuple[str, float]:
    """Read a price of flakes: "garnet 38 per kg", "60 per 500 g" as (grade or "", per g).

    Raises
    ------
    Refusal
        Without an amount of flakes.
    """
    mend = "write e.g. 'garnet 38 per kg'"
    found = _PRICE.fullmatch(text.strip())
    if found is None:
        raise Refusal(where, f"'{text}' is no price of flakes", mend)
    of = found["of"].strip()
    grams = read(of if of[:1].isdigit() else f"1 {of}", u.MASS, where)
    if grams == 0:
        raise Refusal(where, f"'{text}' is for nothing", mend)
    return (found["name"] or "").strip(), float(found["price"].replace(",", ".")) / grams
