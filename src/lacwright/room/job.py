"""What an estimate starts from: the room, the work in it, who and what else is there."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field

from lacwright.figures import Figure, Num, Refusal, default, given
from lacwright.room.limits import strictest_for_fire
from lacwright.room.response import Emission
from lacwright.solution import Mix
from lacwright.trade import table

UNKNOWN, SLOW, OTHER = "unknown", "slow", "other"
WATER = "water"


@dataclass(frozen=True)
class Room:
    """A room and its air.

    Parameters
    ----------
    volume_m3 : float
        Air in it [m3], furniture taken off, above 0.
    air_changes_per_h : float or None
        How often an hour its air is renewed, as measured or credited; None where nobody said.
    mixing_factor : float or None
        By how much less that does than with perfect mixing, 1 to 10; the default of the table
        where None. 1 belongs to air changes that were measured by a decay in this room.
    air_figure : Figure, optional
        Where the air changes come from.
    """

    volume_m3: float
    air_changes_per_h: float | None
    mixing_factor: float | None = None
    air_figure: Figure | None = None

    def __post_init__(self) -> None:
        if not (math.isfinite(self.volume_m3) and self.volume_m3 > 0):
            raise Refusal("room volume", f"{self.volume_m3} m3", "measure length, width, height")
        air = self.air_changes_per_h
        if air is not None and not (math.isfinite(air) and air >= 0):
            raise Refusal("air changes", f"{air} an hour", "give a number of 0 or more")
        usual = table("room_constants")["mixing_factor"]
        low, high = usual.number("low"), usual.number("high")
        if self.mixing_factor is not None and not low <= self.mixing_factor <= high:
            raise Refusal(
                "mixing factor", f"{self.mixing_factor:g} is not from {low:g} to {high:g}",
                "give 1 for perfect mixing, 3 as usual, 10 for poor",
            )  # fmt: skip

    @property
    def factor(self) -> Figure:
        """Return the mixing factor as a figure."""
        if self.mixing_factor is not None:
            return given(self.mixing_factor, "1")
        row = table("room_constants")["mixing_factor"]
        return default(row.number("value"), "1", row.mark, row.source)

    @property
    def air(self) -> Figure:
        """Return the air changes as a figure [1/h]; they must be known."""
        assert self.air_changes_per_h is not None
        return self.air_figure or given(self.air_changes_per_h, "1/h", "room, air changes")

    @property
    def rate_per_h(self) -> float | None:
        """Return how fast its air is renewed with the mixing factor [1/h]."""
        if self.air_changes_per_h is None:
            return None
        return self.air_changes_per_h / self.factor.number()


@dataclass(frozen=True)
class Near:
    """The air about the work, in which the finisher breathes: half a sphere.

    Parameters
    ----------
    radius_m : float
        Above 0 [m].
    speed_m_s : float
        Of the air through it [m/s], above 0.

    References
    ----------
    Nicas 1996, AIHA J 57:542, from memory; Nicas 2024, Ann Work Expo Health 68:78-85, abstract:
    the sum of two one-zone solutions approximates its concentration.
    """

    radius_m: float
    speed_m_s: float

    def __post_init__(self) -> None:
        if not (0 < self.radius_m < 100 and 0 < self.speed_m_s < 100):
            raise Refusal("near field", f"{self.radius_m} m, {self.speed_m_s} m/s",
                          "give a radius such as 0.8 m and a speed such as 0.06 m/s")  # fmt: skip

    @classmethod
    def usual(cls) -> Near:
        """Return that of the table."""
        rows = table("room_constants")
        return cls(rows["near_radius"].number("value"), rows["near_speed"].number("value"))

    @property
    def volume_m3(self) -> float:
        """Return its volume [m3]."""
        return 2 / 3 * math.pi * self.radius_m**3

    @property
    def exchange_m3_h(self) -> float:
        """Return the air that it exchanges with the room [m3/h]: half its free surface times s."""
        return math.pi * self.radius_m**2 * self.speed_m_s * 3600

    @property
    def rate_per_h(self) -> float:
        """Return how fast its air is renewed from the room [1/h]."""
        return self.exchange_m3_h / self.volume_m3


@dataclass(frozen=True, eq=False, kw_only=True)
class Source:
    """A coat, or alcohol for cleaning: what it sets free, when, and how.

    Parameters
    ----------
    what : str
        In words: "coat 1".
    start_h : float
        When the laying begins, hours from the beginning of the job, 0 or more.
    grams : mapping of str to float or array
        Solvent by substance [g], without water. "unknown", "slow" and "other" are substances of
        their own, see the table of what is unknown. Arrays are draws, column 0 the central case.
    emission : Emission, or mapping of substance to Emission
        How it becomes vapour.
    over_h : float or None
        How long the laying takes [h]; None where nobody said.
    liquid_ml : float or array
        Flammable liquid opened for it [ml].
    sprayed : bool
    takes_extra : bool
        Whether brush, rag and dish come on top.
    heads : int
        So many people lay it, each in the air about his own work, 1 or more.
    """

    what: str
    start_h: float
    grams: Mapping[str, Num]
    emission: Emission | Mapping[str, Emission]
    over_h: float | None = None
    liquid_ml: Num = 0.0
    sprayed: bool = False
    takes_extra: bool = True
    heads: int = 1

    def __post_init__(self) -> None:
        if not (math.isfinite(self.start_h) and self.start_h >= 0):
            raise Refusal(self.what, f"it begins at {self.start_h} h", "count from the first coat")
        if self.heads < 1:
            raise Refusal(self.what, f"{self.heads} people lay it", "give 1 or more")
        for substance in self.grams:
            counts_as(substance)  # refuses what no table has

    def emission_of(self, substance: str) -> Emission:
        """Return how a substance becomes vapour."""
        if isinstance(self.emission, Mapping):
            return self.emission[substance]
        return self.emission


@dataclass(frozen=True)
class Facts:
    """What else is in the room and in the job; None and False: nobody said so.

    Parameters
    ----------
    booth : bool
        A rated spray booth or exhaust is declared. Nothing of it is judged.
    ignition : tuple of str
        Heat, flames and sparks in the room.
    pilot_off : bool
        Every pilot light, heater and flame is known to be out.
    closed_box : bool
        It dries in a closed box, cabinet, tent or vehicle.
    gloves : str
        Gloves that were entered, by material.
    sharing : tuple of str or None
        Who shares the air; () for nobody, None where nobody said.
    stored_ml, storage_limit_ml : float or None
        Flammable liquid stored, and the limit where he lives [ml].
    oils : tuple of str
        Drying oils in the job.
    rag_plan : str
        Where their rags go.
    wool_after_h : float or None
        Hours from wet alcohol to steel wool, None without steel wool.
    """

    booth: bool = False
    ignition: tuple[str, ...] = ()
    pilot_off: bool = False
    closed_box: bool = False
    gloves: str = ""
    sharing: tuple[str, ...] | None = None
    stored_ml: float | None = None
    storage_limit_ml: float | None = None
    oils: tuple[str, ...] = field(default=())
    rag_plan: str = ""
    wool_after_h: float | None = None


def solvents_g(mix: Mix) -> dict[str, Num]:
    """Return the solvents of a mix by substance [g], water left out.

    An alcohol of unknown composition is "unknown", all of it; its weight rests on the middle
    density of alcohols.
    """
    out: dict[str, Num] = {}
    for alcohol, grams in mix.solvent_g.items():
        for substance, share in alcohol.parts or ((UNKNOWN, 1.0),):
            if substance != WATER and share > 0:
                out[substance] = out.get(substance, 0.0) + share * grams
    return out


def counts_as(substance: str) -> tuple[str | None, str]:
    """Return the substances as which one counts for health and for fire.

    Parameters
    ----------
    substance : str
        Of the table of substances, or "unknown", "slow", "other".

    Returns
    -------
    (str or None, str)
        None for health: no limit on file and no molar mass.

    Raises
    ------
    Refusal
        For a substance that no table has, and for water.
    """
    rows = table("room_unknown")
    if substance in rows:
        row = rows[substance]
        fire = row.text("fire")
        return row.text("health") or None, strictest_for_fire() if fire == "strictest" else fire
    key = table("substances").find(substance, "solvent").key
    if key == WATER or key != substance:
        raise Refusal("solvent", f"'{substance}' is not a vapour of the tables",
                      f"write {key}" if key != WATER else "leave the water out")  # fmt: skip
    return substance, substance
