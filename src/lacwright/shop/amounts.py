"""Amounts as people write them ("60 g", "250 ml", "12 pc"), as the ledger holds them, and back."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from lacwright.figures import Refusal
from lacwright.figures import units as u
from lacwright.figures.quantities import read, read_weight
from lacwright.shop.facts import ABRASIVE, ALCOHOL, DYE, FLAKES, OTHER, WAX
from lacwright.shop.ledger import ALL, Amount, grams, millilitres, units
from lacwright.shop.ledger.moves import MOST

JAR = "jar"
PIECES = "pc"
_COUNTED = re.compile(r"\s*(\d+(?:[.,]\d+)?)\s*(?:pc|pcs|piece|pieces|sheet|sheets|pad|pads)?\s*")
_OUNCES = re.compile(r"\b(oz|ounces?)\b", re.IGNORECASE)
_DRY = (FLAKES, WAX, ABRASIVE)
_WEIGH = {
    FLAKES: "flakes settle loosely or tightly, so weigh them and write e.g. 60 g",
    WAX: "weigh it and write e.g. 60 g", ABRASIVE: "weigh it, or count it and write e.g. 12 pc",
}  # fmt: skip
_EXAMPLE = {FLAKES: "60 g", WAX: "60 g", ABRASIVE: "12 pc", ALCOHOL: "500 ml", DYE: "20 ml",
            JAR: "250 ml", OTHER: "60 g"}  # fmt: skip


def read_amount(text: str, where: str, *, of: str = JAR, unit: str = "g") -> Amount:
    """Read an amount of something of a kind.

    Parameters
    ----------
    text : str
        "60 g", "2 oz", "250 ml", "12 pc"; "all" for all of a jar.
    where : str
        For the refusal.
    of : str
        "flakes", "alcohol", "dye", "wax", "abrasive", "other", or "jar" for a mix.
    unit : str
        "pc" where it is counted.

    Raises
    ------
    Refusal
        For an amount without a unit, a volume of flakes, ounces of a liquid.
    """
    if of == JAR and text.strip().lower() == "all":
        return ALL
    if unit == PIECES:
        match = _COUNTED.fullmatch(text)
        if match is None:
            raise Refusal(where, f"'{text.strip()}' is not a number of pieces",
                          'write e.g. "12 pc"')  # fmt: skip
        return units(float(match[1].replace(",", ".")))
    if of in _DRY:
        return grams(read_weight(text, where, _WEIGH[of]))
    try:
        return millilitres(read(text, u.VOLUME, where))
    except Refusal as refusal:
        volume = refusal
    bare = _OUNCES.sub("", re.sub(r"(?i)\b(fl\.?|fluid|imp|uk)\s*(oz|ounces?)\b", "", text))
    if bare != text and _OUNCES.search(text):
        raise volume  # ounces of a liquid: by volume or by weight?
    try:
        return grams(read(text, u.MASS, where))
    except Refusal as refusal:
        if "has no unit" in refusal.what:
            raise Refusal(where, refusal.what, f"write e.g. {_EXAMPLE[of]}") from None
        raise volume from None


def check_amount(
    amount: Any, where: str, *, zero: bool = False, of: str = "", unit: str = ""
) -> Amount | None:  # fmt: skip
    """Return an amount as it came from a person or a program, checked; None = not said.

    Parameters
    ----------
    amount : object
        A ledger amount or None.
    where : str
        For the refusal.
    zero : bool
        Whether nothing at all is an amount here.
    of : str
        The kind of lot; of flakes a volume is refused.
    unit : str
        "g" or "pc", where that is known.

    Raises
    ------
    Refusal
        For anything else.
    """
    if amount is None:
        return None
    bad = Refusal(where, "it is not an amount", "write e.g. 60 g")
    if not isinstance(amount, Mapping) or amount.get("u") not in ("ug", "ul", "up", "all"):
        raise bad
    if amount["u"] == "all":
        return ALL
    n = amount.get("n")
    if not isinstance(n, int) or isinstance(n, bool) or not 0 <= n <= MOST:
        raise bad
    if n == 0 and not zero:
        raise Refusal(where, "an amount of nothing", "leave it out, or write how much it was")
    if of in _DRY and amount["u"] == "ul":
        raise Refusal(where, "a volume is given, and flakes settle loosely or tightly"
                      if of == FLAKES else "a volume is given, a weight is wanted",
                      "weigh them and write e.g. 60 g")  # fmt: skip
    if unit and (unit == PIECES) != (amount["u"] == "up"):
        raise Refusal(where, "it is counted in pieces" if unit == PIECES else "it is not counted",
                      "write e.g. 12 pc" if unit == PIECES else "write e.g. 60 g")  # fmt: skip
    return {"n": n, "u": amount["u"]}


def amount_words(amount: Amount | None) -> str:
    """Return "60 g", "250 ml", "12 pc", "all of it", "an amount that was not said"."""
    if amount is None:
        return "an amount that was not said"
    if amount["u"] == "all":
        return "all of it"
    per, unit = {"ug": (1e6, "g"), "ul": (1e3, "ml"), "up": (1e6, PIECES)}[amount["u"]]
    return f"{plain_number(amount['n'] / per)} {unit}"


def plain_number(value: float) -> str:
    """Return a number with at most four significant figures, whole ones in full."""
    if abs(value) >= 1000 or value == round(value):
        return f"{value:.0f}"
    places = 3 if abs(value) < 1 else 2 if abs(value) < 100 else 1
    return f"{value:.{places}f}".rstrip("0").rstrip(".")


def said_g(amount: Amount | None, density_g_ml: float) -> float | None:
    """Return an amount in grams (pieces where it is counted), None where it was not said."""
    if amount is None or amount["u"] == "all":
        return None
    return float(amount["n"]) / 1e6 if amount["u"] != "ul" else amount["n"] / 1e3 * density_g_ml


def in_units(amount: Amount | None, density_g_ml: float) -> int | None:
    """Return an amount in micrograms (millionths of a piece where it is counted)."""
    value = said_g(amount, density_g_ml)
    return None if value is None else round(value * 1e6)


def read_area(text: str, where: str = "--area") -> tuple[str, float]:
    """Read "top: 0.5 m2" into part and m2; without a part it is the whole piece, "".

    Raises
    ------
    Refusal
        For an area that cannot be read.
    """
    part, colon, area = text.strip().rpartition(":")
    if colon and not part.strip():
        raise Refusal(where, f"'{text}' names no part", 'write e.g. "top: 0.5 m2"')
    return part.strip(), read(area, u.AREA, where)
