"""Sheen: what a perfect film can read at most, and what the last abrasive leaves."""

from __future__ import annotations

import math
from dataclasses import dataclass

from lacwright.figures import Figure, Refusal, default, nearest
from lacwright.film.abrasive import find_abrasive
from lacwright.trade import Row, table


@dataclass(frozen=True)
class Sheen:
    """An estimate of sheen.

    Parameters
    ----------
    gu60 : Figure
        Gloss at 60 degrees, with its wide band.
    ceiling : Figure
        What a perfect film would read.
    classes : tuple of str
        Gloss levels of the standard that the band touches ("G4").
    words : tuple of str
        Gloss words of the ISO 2813 list that the band touches; makers differ.
    note : str
        What the numbers cannot say.
    """

    gu60: Figure
    ceiling: Figure
    classes: tuple[str, ...]
    words: tuple[str, ...]
    note: str = ""


def fresnel(*, index: float, angle_deg: float) -> float:
    """Share of unpolarised light that a smooth clear surface mirrors, from air.

    Parameters
    ----------
    index : float
        Refractive index [1 or more].
    angle_deg : float
        Angle from the normal [0 to below 90 degrees].

    Raises
    ------
    Refusal
        Outside these ranges.
    """
    if index < 1 or not 0 <= angle_deg < 90:
        raise Refusal("gloss", "index below 1 or angle outside 0 to 90 degrees", "check both")
    cos_in = math.cos(math.radians(angle_deg))
    cos_out = math.sqrt(1 - (math.sin(math.radians(angle_deg)) / index) ** 2)
    s = (cos_in - index * cos_out) / (cos_in + index * cos_out)
    p = (index * cos_in - cos_out) / (index * cos_in + cos_out)
    return (s * s + p * p) / 2


def ceiling_gu(
    *, index: float, angle_deg: float = 60.0, reference_index: float | None = None
) -> float:
    """Gloss of a perfect film: its mirrored share over that of the reference glass [GU].

    Parameters
    ----------
    index : float
        Refractive index of the film [1].
    angle_deg : float
        Angle of the gloss meter [degrees]: 20, 60, 85.
    reference_index : float, optional
        Of the glass that reads 100; default from the table (ISO 2813).

    Examples
    --------
    >>> round(ceiling_gu(index=1.52), 1)
    92.4
    """
    if reference_index is None:
        reference_index = _constant("n.reference")
    here = fresnel(index=index, angle_deg=angle_deg)
    return 100 * here / fresnel(index=reference_index, angle_deg=angle_deg)


def gu60_of_roughness(*, sa_um: float) -> float:
    """Gloss at 60 degrees of a rubbed film from its mean roughness [GU60].

    Parameters
    ----------
    sa_um : float
        Sa [um], within the range between the two published points.

    Raises
    ------
    Refusal
        Outside that range: the line through two points says nothing there.
    """
    row = table("sheen")["rough.range"]
    low, high = row.number("low"), row.number("high")
    if not low <= sa_um <= high:
        raise Refusal("roughness", f"Sa {sa_um:g} um lies outside {low:g} to {high:g} um",
                      "measure the gloss instead")  # fmt: skip
    return _constant("rough.intercept") - _constant("rough.slope") * sa_um


def classes(*, low: float, high: float | None = None, kind: str = "class") -> tuple[str, ...]:
    """Gloss classes that a reading, or a band of readings, touches.

    Parameters
    ----------
    low, high : float
        Gloss at 60 degrees [GU60], 0 or more; `high` defaults to `low`.
    kind : str
        "class" for the levels of the standard, "word" for the ISO 2813 list.

    Returns
    -------
    tuple of str
        Lowest first. Levels overlap: there the reading at 85 degrees decides.
    """
    high = low if high is None else high
    if low < 0 or high < low:
        raise Refusal("gloss", "a gloss below zero or a band turned round", "give low, then high")
    found = []
    for row in table("sheen"):
        if row.text("kind") != kind:
            continue
        # The words of the list are whole units ("9 to 40"): each reaches half a unit further.
        pad = 0.5 if kind == "word" else 0.0
        touches = row.number("low") - pad <= high and low <= row.number("high") + pad
        if touches:
            found.append(row.key)
    return tuple(found)


def sheen_after(last_step: str, *, where: str = "sheen", waxed: bool = False) -> Sheen:
    """Sheen that the last abrasive or polish leaves: a wide band of common practice.

    Parameters
    ----------
    last_step : str
        "P1200", "rottenstone", "pumice", "0000 wool and wax", "spirited off", ...
    where : str
        Name of the option or field, for the refusal.
    waxed : bool
        Whether wax comes last. It has a lower index than shellac: it lowers a mirror to its own
        ceiling and fills the scratches of a dull surface, by how much nobody has measured.
    """
    step = find_last_step(last_step, where)
    index = table("sheen")["n.shellac"]
    low, mid, high = step.number("low"), step.number("value"), step.number("high")
    ceiling = _ceiling_figure(index)
    high, note = min(high, ceiling.number()), ""
    if waxed or "wax" in step.key:
        ceiling = _ceiling_figure(table("sheen")["n.wax"])
        top = ceiling.number()
        if mid > top:
            note = "wax lowers a mirror: its own surface cannot read more"
        else:
            note = "wax fills scratches and raises a dull surface; nobody has measured by how much"
        low, high = min(low, top), min(high, top)
    mid = min(mid, high)
    gu60 = default(mid, "GU60", step.mark, step.source, low=low, high=high)
    return Sheen(gu60, ceiling, classes(low=low, high=high),
                 classes(low=low, high=high, kind="word"), note)  # fmt: skip


def find_last_step(name: str, where: str) -> Row:
    """Return the row of a last step; papers are found by system and number.

    Raises
    ------
    Refusal
        For an unknown step, or a paper given by a bare number.
    """
    rows = [row for row in table("sheen") if row.text("kind") == "step"]
    wanted = _plain(name)
    for row in rows:
        if wanted in (_plain(n) for n in (row.key, *row.words("also"))):
            return row
    try:
        abrasive = find_abrasive(name, where)
    except Refusal as refusal:
        if _is_bare_number(name):
            raise
        raise Refusal(where, f"'{name}' is not a last step whose sheen is known",
                      nearest(name, [row.key for row in rows])) from refusal  # fmt: skip
    for row in rows:
        if abrasive.key in (row.key, *row.words("also")):
            return row
    raise Refusal(where, f"no sheen after {abrasive.key} is known",
                  nearest(abrasive.key, [row.key for row in rows]))  # fmt: skip


def last_steps_for(*, low: float, high: float) -> tuple[str, ...]:
    """Last steps whose central case lies in a wished band of gloss, dullest first [GU60]."""
    rows = [
        row
        for row in table("sheen")
        if row.text("kind") == "step" and low <= row.number("value") <= high
    ]
    return tuple(row.key for row in sorted(rows, key=lambda r: r.number("value")))


def wished_band(name: str, where: str) -> tuple[float, float]:
    """Band of gloss that a level ("G4") or a word ("semi-gloss", "satin") stands for [GU60]."""
    rows = {row.key: row for row in table("sheen") if row.text("kind") in ("class", "word")}
    for row in rows.values():
        if _plain(name) in (_plain(n) for n in (row.key, *row.words("also"))):
            return row.number("low"), row.number("high")
    raise Refusal(where, f"'{name}' is not a gloss level or word", nearest(name, rows))


def _is_bare_number(name: str) -> bool:
    """Return whether a name is a number alone, with or without "grit"."""
    return name.lower().replace("grit", "").replace("#", "").strip().isdigit()


def _ceiling_figure(row: Row) -> Figure:
    index = row.figure("value")
    return default(
        ceiling_gu(index=index.number()), "GU60", row.mark,
        f"Fresnel equation, ISO 2813 reference glass; {row.source}",
        low=ceiling_gu(index=row.number("low")), high=ceiling_gu(index=row.number("high")),
    )  # fmt: skip


def _constant(key: str) -> float:
    return table("sheen")[key].number("value")


def _plain(name: str) -> str:
    return " ".join(name.lower().replace("-", " ").replace("_", " ").split())
