"""What dries: a wet coat, the coats it lies on, and the board below."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from lacwright.drying.params import (
    MM2_M2,
    WATER,
    board_row,
    constant,
    resin_density_g_ml,
    substance,
)
from lacwright.figures import Refusal
from lacwright.figures.units import G_PER_L_PER_CUT
from lacwright.trade import table

UNNAMED = "other"
WET_UM = (1.0, 1000.0)
CUT = (0.1, 10.0)
THICKNESS_MM = (0.2, 300.0)
LENGTH_M = (0.02, 10.0)


@dataclass(frozen=True)
class WetCoat:
    """A coat as it lies on the work, before anything has left it.

    Parameters
    ----------
    wet_um : float
        Thickness of the liquid [um], 1 to 1000. One ml on a square metre is 1 um.
    cut_lb_per_gal : float
        Cut [lb resin per US gallon of alcohol], 0.1 to 10.
    alcohol : mapping of str to float or None
        Share by mass of each substance in the alcohol, water among them; need not sum to 1. None
        where the composition is unknown, which is refused.
    resin_density_g_ml : float, optional
        Density of the dry resin [g/ml]; a row of the table of solutions if left out.
    method : str
        How it was laid, for the words; the model takes the thickness alone.

    Raises
    ------
    Refusal
        For an unknown alcohol, a substance the model has no properties of, or a number outside
        its range.
    """

    wet_um: float
    cut_lb_per_gal: float
    alcohol: Mapping[str, float] | None
    resin_density_g_ml: float | None = None
    method: str = ""

    def __post_init__(self) -> None:
        """Check it, name its substances as the tables do, count an unnamed rest as the chief."""
        _within(self.wet_um, WET_UM, "wet film", "um", "measure it, or take volume over area")
        _within(self.cut_lb_per_gal, CUT, "cut", "lb/gal", "see `lacwright mix`")
        if self.alcohol is None:
            raise Refusal(
                "alcohol", "its composition is unknown, and how it dries hangs on what it is",
                "read label and safety data sheet and name it, or use an alcohol of known "
                "composition",
            )  # fmt: skip
        named: dict[str, float] = {}
        rest = 0.0
        for name, share in self.alcohol.items():
            if not (math.isfinite(share) and share >= 0):
                raise Refusal("alcohol", f"a share of {share} of {name} cannot be",
                              "give shares by mass, 0 or more")  # fmt: skip
            if name == UNNAMED:
                rest += share
            elif share > 0:
                key = substance(name)
                named[key] = named.get(key, 0.0) + share
        whole = rest + sum(named.values())
        spirits = {k: v for k, v in named.items() if k != WATER}
        if not spirits:
            raise Refusal("alcohol", "there is none in it", "name what the resin is dissolved in")
        if rest > constant("other_most") * whole:
            raise Refusal(
                "alcohol", f"{rest / whole:.0%} of it has no name, and how it dries hangs on "
                "what it is", "name it, or use an alcohol of known composition",
            )  # fmt: skip
        named[max(spirits, key=lambda k: spirits[k])] += rest
        object.__setattr__(self, "alcohol", {k: v / whole for k, v in named.items()})
        density = self.resin_density_g_ml
        object.__setattr__(self, "resin_density_g_ml",
                           resin_density_g_ml() if density is None else density)  # fmt: skip

    @property
    def parts(self) -> Mapping[str, float]:
        """Share by mass of each substance, by the name in the tables, summing to 1."""
        assert self.alcohol is not None
        return self.alcohol

    @property
    def resin_to_alcohol(self) -> float:
        """Volume of resin to a volume of alcohol."""
        assert self.resin_density_g_ml is not None
        return self.cut_lb_per_gal * G_PER_L_PER_CUT / 1000 / self.resin_density_g_ml

    @property
    def dry_um(self) -> float:
        """Thickness of the dry film [um]: volumes add."""
        s = self.resin_to_alcohol
        return self.wet_um * s / (1 + s)

    def volumes(self) -> dict[str, float]:
        """Return the volume of each substance to a volume of resin."""
        rows = table("drying_solvents")
        litres = {k: v / rows[k].number("density_kg_m3") for k, v in self.parts.items()}
        whole = sum(litres.values())
        return {k: v / whole / self.resin_to_alcohol for k, v in litres.items()}


@dataclass(frozen=True)
class Under:
    """An older coat below: it is dissolved again by what is laid on it.

    Parameters
    ----------
    coat : WetCoat
        As it was laid.
    age_s : float
        Seconds from its laying to the laying of the coat that is asked about, above 0.
    """

    coat: WetCoat
    age_s: float

    def __post_init__(self) -> None:
        if not (math.isfinite(self.age_s) and self.age_s > 0):
            raise Refusal("coat below", f"an age of {self.age_s} s cannot be",
                          "say how long ago it was laid")  # fmt: skip


@dataclass(frozen=True)
class Board:
    """What the coat lies on: its own store of heat keeps the film from chilling.

    Parameters
    ----------
    wood : str
        A wood of the tables, or glass, steel, paper.
    thickness_mm : float
        Thickness [mm], 0.2 to 300.
    free_both_sides : bool
        Whether air reaches its back as well (a plate of an instrument); otherwise nothing does.
    length_m : float
        Length of the coated face along the air [m], 0.02 to 10.
    temp_c : float, optional
        Its temperature as the coat is laid [C], -20 to 60; the room's if left out.
    vertical : bool
        Whether the face stands upright.
    """

    wood: str = "maple"
    thickness_mm: float = 20.0
    free_both_sides: bool = False
    length_m: float = 0.3
    temp_c: float | None = None
    vertical: bool = False

    def __post_init__(self) -> None:
        board_row(self.wood)
        _within(self.thickness_mm, THICKNESS_MM, "thickness of the board", "mm", "measure it")
        _within(self.length_m, LENGTH_M, "length of the face", "m", "measure it along the air")
        if self.temp_c is not None:
            _within(self.temp_c, (-20, 60), "temperature of the board", "C", "measure it again")


def film_m(coat: WetCoat) -> float:
    """Return the thickness of the dry film in metres."""
    return coat.dry_um * MM2_M2


def _within(value: float, reach: tuple[float, float], where: str, unit: str, mend: str) -> None:
    low, high = reach
    if not low <= value <= high:
        raise Refusal(where, f"{value:g} {unit} is outside {low:g} to {high:g} {unit}", mend)
