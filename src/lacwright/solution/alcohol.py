"""Alcohol: what the resin is dissolved in, by composition; unknown is a value of its own."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from functools import cache

from lacwright.figures import Basis, Figure, Mark, Num, Refusal, nearest, weakest
from lacwright.solution.density import (
    blend_density,
    ethanol_share_of_strength,
    ethanol_water_density,
    substance_density,
)
from lacwright.solution.num import every
from lacwright.trade import Row, table

Parts = tuple[tuple[str, float], ...]
PROOF_C = (60.0 - 32.0) / 1.8  # US proof is told at 60 F


@dataclass(frozen=True)
class Alcohol:
    """An alcohol (or mixture of solvents) by composition.

    Parameters
    ----------
    lot : str
        Its name: a name of the table, a can, "" where nobody named it.
    parts : tuple of (substance, share by weight) or None
        Shares [1] that sum to 1; None = composition unknown, which is never filled in.
    measured_g_ml : float or array, optional
        Own weighing at 20 C [g/ml]. It goes before the table; two alcohols are the same
        alcohol whatever was weighed.
    """

    lot: str
    parts: Parts | None
    measured_g_ml: Num | None = field(default=None, compare=False)

    def __post_init__(self) -> None:
        if self.measured_g_ml is not None and not every(self.measured_g_ml > 0):
            raise Refusal("alcohol density", "a density that is not above zero",
                          "weigh 100 ml and write e.g. 0.793")  # fmt: skip

    @property
    def known(self) -> bool:
        """Whether its density is known, by composition or by weighing."""
        return self.parts is not None or self.measured_g_ml is not None

    def share(self, substance: str) -> float | None:
        """Return the share by weight of a substance [1], None where the composition is unknown."""
        return None if self.parts is None else dict(self.parts).get(substance, 0.0)

    def density_g_ml(self, temp_c: Num = 20.0) -> Num:
        """Return the density [g/ml] at `temp_c` [C].

        Of an unknown alcohol this is the middle of the suitable ones: volumes that go in and
        come out with it are right whatever it is, weights are not. Ask `known` first.
        """
        if self.measured_g_ml is not None:
            # Weighed at 20 C, it grows with warmth like ethanol: all alcohols lie near that.
            ethanol = ethanol_water_density(ethanol_share=1.0, temp_c=temp_c)
            return self.measured_g_ml * ethanol / ethanol_water_density(ethanol_share=1.0)
        if self.parts is not None:
            return blend_density(parts=self.parts, temp_c=temp_c)
        return table("solution")["alcohol_density"].number("value")

    def density_figure(self, temp_c: float = 20.0) -> Figure:
        """Return the density as a figure; of an unknown alcohol the middle with its wide band."""
        if self.measured_g_ml is not None:
            value = float(self.density_g_ml(temp_c))
            return Figure(value, value, value, "g/ml", Basis.GIVEN, Mark.OWN, "own weighing")
        if self.parts is None:
            return table("solution")["alcohol_density"].figure()
        value = float(self.density_g_ml(temp_c))
        rows = [table("substances")[s] for s, _ in self.parts]
        mark = weakest(*(r.mark for r in rows))
        source = "; ".join(dict.fromkeys(r.source for r in rows))
        return Figure(value, value, value, "g/ml", Basis.DEFAULT, mark, source)


NOT_STATED = Alcohol("not stated", None)
"""Where nobody said which alcohol it is."""

UNKNOWN_LOT = "unknown"
"""Key of the row of the table for an alcohol of which somebody said that nothing is known."""


def alcohol_named(name: str, *, where: str = "--alcohol", lot: str = "") -> Alcohol:
    """Return an alcohol of the table.

    Parameters
    ----------
    name : str
        A name such as "ethanol-190", "methanol", "sda-3c", "unknown".
    where : str
        For the refusal.
    lot : str
        Its own name on the shelf; the name of the table where empty.

    Raises
    ------
    Refusal
        For an unknown name, with the nearest.
    """
    row = table("alcohols").find(name, where)
    return Alcohol(lot or row.key, _parts_of_row(row.key))


def read_alcohol(text: str, *, where: str = "--alcohol", lot: str = "") -> Alcohol:
    """Read an alcohol: a name of the table, or a composition.

    Parameters
    ----------
    text : str
        "ethanol-190"; by weight "ethanol 85, methanol 10, water 5"; by volume
        "vol: ethanol 95, water 5". "other 5" is an unnamed rest.
    where : str
        For the refusal.
    lot : str
        Its own name on the shelf.

    Raises
    ------
    Refusal
        For an unknown name or substance, or shares that do not sum to 100.

    Examples
    --------
    >>> read_alcohol("ethanol 85, methanol 10, water 5").parts
    (('ethanol', 0.85), ('methanol', 0.1), ('water', 0.05))
    """
    by_volume, _, rest = text.strip().partition(":")
    if rest and by_volume.strip().lower() in ("vol", "volume", "v/v", "by volume"):
        body, volume = rest, True
    elif rest and by_volume.strip().lower() in ("wt", "weight", "mass", "w/w", "by weight"):
        body, volume = rest, False
    else:
        body, volume = text, False
    if not rest:
        try:
            return alcohol_named(text, where=where, lot=lot)
        except Refusal:
            # "ethanol 95, water 5" is no name; "ethanl-190" is no composition.
            if not re.search(r"[a-z)] +\d[\d.]* *%? *($|[,;+])", text.lower()):
                raise
    shares = _read_shares(body, where)
    parts = _by_volume(shares, 20.0) if volume else tuple(shares.items())
    return Alcohol(lot or text.strip(), parts)


def suits(alcohol: Alcohol) -> tuple[str, str]:
    """Return ("yes" | "weak" | "no", why): whether lac resin dissolves well in this alcohol."""
    rows = table("alcohols")
    if alcohol.lot in rows and alcohol.parts == _parts_of_row(alcohol.lot):
        return rows[alcohol.lot].text("suits"), rows[alcohol.lot].text("words")
    if alcohol.parts is None:
        return "yes", "composition unknown"
    limits, substances = table("solution"), table("substances")
    water = alcohol.share("water") or 0.0
    strong = sum(p for s, p in alcohol.parts if substances[s].yes("dissolves"))
    if water > limits["water_no"].number("value"):
        return "no", f"{water:.0%} of it by weight is water"
    if strong + water < limits["dissolving_no"].number("value"):
        return "no", f"only {strong:.0%} of it by weight are alcohols that dissolve lac"
    if water > limits["water_weak"].number("value"):
        return "weak", f"{water:.0%} of it by weight is water: pale grades may stay cloudy"
    return "yes", ""


def _read_shares(body: str, where: str) -> dict[str, float]:
    shares: dict[str, float] = {}
    substances = table("substances")
    for piece in re.split(r"[,;+]", body):
        match = re.fullmatch(r"\s*(?P<name>.*?)\s+(?P<n>\d+(?:\.\d+)?)\s*%?\s*", piece)
        if match is None:
            raise Refusal(where, f"'{piece.strip()}' is not a substance and its share",
                          "write e.g. 'ethanol 85, methanol 10, water 5'")  # fmt: skip
        key = substances.find(match["name"], where).key
        if key in shares:
            raise Refusal(where, f"{key} stands there twice", "add the two shares up")
        shares[key] = float(match["n"]) / 100
    total = sum(shares.values())
    if abs(total - 1) > 0.0015:
        mend = f"name the rest, for example 'other {100 * (1 - total):g}'"
        if total > 1:
            mend = "write shares by weight that sum to 100"
        raise Refusal(where, f"the shares sum to {100 * total:g}, not to 100", mend)
    return {key: share / total for key, share in shares.items() if share > 0}


def _by_volume(volumes: dict[str, float], temp_c: float) -> Parts:
    """Turn volumes into shares by weight; ethanol with water counts as a spirit of a strength."""
    spirit = volumes.get("ethanol", 0.0) + volumes.get("water", 0.0)
    masses: dict[str, float] = {}
    for substance, volume in volumes.items():
        if substance not in ("ethanol", "water"):
            masses[substance] = volume * float(
                substance_density(substance=substance, temp_c=temp_c)
            )
    if spirit > 0:
        strength = volumes.get("ethanol", 0.0) / spirit
        share = ethanol_share_of_strength(strength=strength, temp_c=temp_c)
        mass = spirit * float(ethanol_water_density(ethanol_share=share, temp_c=temp_c))
        masses["ethanol"], masses["water"] = mass * share, mass * (1 - share)
    total = sum(masses.values())
    return tuple((s, m / total) for s, m in masses.items() if m > 0)


@cache
def _parts_of_row(key: str) -> Parts | None:
    row = table("alcohols")[key]
    if row.has("parts"):
        return tuple(_read_shares(row.text("parts"), key).items())
    if row.has("volumes"):
        return _of_volumes(row)
    return None


def _of_volumes(row: Row) -> Parts:
    """Return the shares by weight of a recipe by volume at 60 F: spirits and substances."""
    masses: dict[str, float] = {}
    for piece in row.text("volumes").split(","):
        name, _, number = piece.strip().rpartition(" ")
        if name in table("alcohols"):
            parts = _parts_of_row(name)
        elif name in table("substances"):
            parts = ((name, 1.0),)
        else:
            raise ValueError(f"{row.key}: {nearest(name, table('substances').rows)}")
        if parts is None:
            raise ValueError(f"{row.key}: {name} has no composition")
        mass = float(number) * float(blend_density(parts=parts, temp_c=PROOF_C))
        for substance, share in parts:
            masses[substance] = masses.get(substance, 0.0) + mass * share
    total = sum(masses.values())
    return tuple((s, m / total) for s, m in masses.items())
