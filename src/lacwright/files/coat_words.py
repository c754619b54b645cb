"""Wet coats, their age, and the air over them, as people write them on a line or in a file."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import replace
from itertools import pairwise

from lacwright.drying import Under, WetCoat
from lacwright.figures import Figure, Learned, Refusal, computed
from lacwright.figures import units as u
from lacwright.figures.draws import Draws
from lacwright.figures.quantities import read, read_cut
from lacwright.plan.own import OwnFigures
from lacwright.trade import table

Own = Mapping[str, Figure | Learned]
SPEEDS = {"still": "still_air", "draught": "draught_air"}
"""Words for the speed of the air, with their rows in the table of the drying coat."""
SESSION = "french-polish"
_UM_MM = 1000.0
_NUMBER = r"\d*[.,]?\d+(?:/\d+)?"
_AGE = re.compile(
    rf"(?P<coat>.*?)[\s,]+(?P<age>(?:{_NUMBER}\s*(?:s|sec\w*|min\w*|h|hrs?|hours?|d|days?|weeks?)"
    r"\s*)+)\s*ago\s*", re.IGNORECASE,
)  # fmt: skip
_FILM = re.compile(
    rf"\s*(?P<film>{_NUMBER}\s*(?:um|µm|μm|microns?|micrometres?|mm|mils?|thou|in|inch(?:es)?"
    r"|(?:ml|m)[2²]?/(?:m[2²]|l)|sq\.? ?ft/gal|ft[2²]/gal))(?!\w)[\s,]*(?P<rest>.*)",
    re.IGNORECASE,
)
_VAPOUR = re.compile(rf"\s*(?P<of>.+?)\s+(?P<n>{_NUMBER})\s*(?P<unit>ppm|pa)\s*", re.IGNORECASE)
_KELVIN = re.compile(r"(?P<sign>[-+]?)\s*(?P<n>\d*[.,]?\d+)\s*(?P<unit>k|kelvins?|°?\s*c|°?\s*f)?")
_PRESSURE = u.Kind("amount of vapour", "Pa", {}, "50 Pa, 500 ppm", bare=True, most=1e6)


def read_speed(text: str | float, where: str) -> float:
    """Read a speed of air [m/s]: a number, or one of the words of `SPEEDS`."""
    if isinstance(text, str) and (word := text.strip().lower()) in SPEEDS:
        return table("drying")[SPEEDS[word]].number("value")
    mend = "write e.g. 0.1 m/s, still or draught"
    try:
        speed = read(text, u.SPEED, where)
    except Refusal as refusal:
        raise Refusal(where, refusal.what, mend) from None
    most = table("drying")["speed_most"].number("value")
    if speed > most:
        raise Refusal(where, f"{speed:g} m/s is a gale, the model is for rooms (up to {most:g} "
                      "m/s)", mend)  # fmt: skip
    return speed


def read_kelvin(text: str, where: str) -> float:
    """Read a difference of temperature [K]: "2", "2 K", "2 C", "3.6 F" (a degree F is 5/9 K).

    Raises
    ------
    Refusal
        For anything else. Whether it may be below zero is for the caller to say.
    """
    found = _KELVIN.fullmatch(text.strip().lower())
    if found is None:
        raise Refusal(where, f"'{text}' is no difference of temperature",
                      "write e.g. 2, '2 K' or '3.6 F'")  # fmt: skip
    size = float(found["n"].replace(",", "."))
    if (found["unit"] or "").endswith("f"):
        size *= u.TEMPERATURE.units["f"]
    return -size if found["sign"] == "-" else size


def read_film(text: str | float, where: str) -> float:
    """Read a wet film [um]: a film, what lies on an area (ml/m2 are um), or a length.

    Raises
    ------
    Refusal
        For a number without a unit, or with one of none of these.
    """
    mend = "write e.g. 100 um, 4 mil, 100 ml/m2 or 400 sqft/gal"
    first: Refusal | None = None
    for kind, um in ((u.FILM, 1.0), (u.SPREAD, 1.0), (u.LENGTH, _UM_MM)):
        try:
            return read(text, kind, where) * um
        except Refusal as refusal:
            if "is not a unit of" not in refusal.what:
                raise Refusal(where, refusal.what, mend) from None
            first = first or refusal
    assert first is not None
    raise Refusal(where, first.what, mend)


def read_vapours(
    texts: Sequence[str], where: str = "--vapour", *, temp_c: float | None = None
) -> dict[str, float]:  # fmt: skip
    """Read vapours in a room into pascals by substance: "ethanol 500 ppm", "ethanol 50 Pa".

    Parameters
    ----------
    texts : sequence of str
    where : str
        For the refusal.
    temp_c : float, optional
        Of the room [C]: no vapour there exceeds what the liquid gives off in the end.

    Raises
    ------
    Refusal
        For a substance the model does not know, or one that stands there twice; for more of it
        than air can hold.
    """
    whole = table("drying")["pressure"].number("value")
    found: dict[str, float] = {}
    for text in texts:
        match = _VAPOUR.fullmatch(text)
        if match is None:
            raise Refusal(where, f"'{text}' is not a vapour and how much of it there is",
                          "write e.g. 'ethanol 500 ppm' or 'ethanol 50 Pa'")  # fmt: skip
        name = table("drying_solvents").find(match["of"], where).key
        if name == "water":
            raise Refusal(where, "water in the air is its humidity", "give the humidity")
        if name in found:
            raise Refusal(where, f"{name} stands there twice", "add them up")
        pressure = read(match["n"], _PRESSURE, where)
        if match["unit"].lower() == "ppm":
            pressure *= 1e-6 * whole
        most = whole if temp_c is None else min(whole, _saturation_pa(name, temp_c))
        if pressure > most:
            at = "" if temp_c is None else f" of {temp_c:g} C"
            raise Refusal(where, f"'{text}' is more {name} than air{at} can hold ({most:.0f} Pa, "
                          f"{1e6 * most / whole:.0f} ppm)", "check the number and its unit"
                          )  # fmt: skip
        found[name] = pressure
    if sum(found.values()) > whole:
        raise Refusal(where, "together they are more than the pressure of the air",
                      "check the numbers and their units")  # fmt: skip
    return found


def _saturation_pa(name: str, temp_c: float) -> float:
    """Return the vapour pressure of a solvent: the equation in the heading of its table."""
    row = table("drying_solvents")[name]
    a, b_k, c_k = (row.number(column) for column in ("a", "b_k", "c_k"))
    above_k = temp_c + u.ZERO_C_K + c_k
    return math.exp(a - b_k / above_k) if above_k > 0 else 0.0


def read_below(
    texts: Sequence[str], *, coat: WetCoat, own: Own | None = None, where: str = "--after"
) -> tuple[Under, ...]:
    """Read the coats below, in any order: "100 um 2-lb 6 h ago", "pad 30 min ago".

    Parameters
    ----------
    texts : sequence of str
        A wet film or a method, a cut where it is another, and how long ago.
    coat : WetCoat
        The coat that is asked about: its alcohol, and its cut where none is said.
    own : mapping, optional
        Own figures, for the film of a method.
    where : str
        For the refusal.

    Returns
    -------
    tuple of Under
        The oldest first.

    Raises
    ------
    Refusal
        For words that say no film or no age, or two coats of the same age.
    """
    found = sorted((_below(text, coat, own, where) for text in texts), key=lambda x: -x.age_s)
    for one, other in pairwise(found):
        if one.age_s == other.age_s:
            raise Refusal(where, "two coats were laid at the same time",
                          "say how long ago each was laid")  # fmt: skip
    return tuple(found)


def _below(text: str, coat: WetCoat, own: Own | None, where: str) -> Under:
    mend = "write e.g. '100 um 2-lb 6 h ago' or 'pad 30 min ago'"
    match = _AGE.fullmatch(text)
    if match is None:
        raise Refusal(where, f"'{text}' does not say which coat, or how long ago", mend)
    age_s = read(match["age"], u.TIME, where) * 3600
    if film := _FILM.fullmatch(match["coat"]):
        wet_um, rest = read_film(film["film"], where), film["rest"]
    else:
        word, _, rest = match["coat"].strip().partition(" ")
        method = table("methods").find(word, where).key
        if method == SESSION:
            raise Refusal(where, "a session is many passes, not one wet coat", mend)
        wet_um = usual_film(method, OwnFigures([own or {}], Draws(0))).number()
    cut = read_cut(rest, where) if rest.strip() else coat.cut_lb_per_gal
    try:
        return Under(replace(coat, wet_um=wet_um, cut_lb_per_gal=cut), age_s)
    except Refusal as refusal:
        raise refusal.at(where) from None


def usual_film(method: str, own: OwnFigures) -> Figure:
    """Return the wet film of a method as it lands [um], the maker's own figures first.

    Parameters
    ----------
    method : str
        Key of the table of methods.
    own : OwnFigures
        Spread, lost share and hand of the method.
    """
    row, said = table("methods")[method], own.said(f"spread.{method}")
    if row.has("wet") and not said:
        film = row.figure("wet", "um")
    else:
        # One millilitre on a square metre is one micrometre.
        film = computed("spread * (1 - lost)", "um", {
            "spread": own.figure(f"spread.{method}"), "lost": own.figure(f"lost.{method}"),
        })  # fmt: skip
    if said or not own.said(f"hand.{method}"):
        return film
    hand = own.figure(f"hand.{method}")
    learned = computed("film * hand", "um", {"film": film, "hand": hand})
    return learned.with_band(film.number() * (hand.low or 1), film.number() * (hand.high or 1))
