"""The room of a plan: what was said of it, its air, whose limits count and who is in it.

Everything is what somebody said; what was not said stays not said, and then is not estimated.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, fields, replace
from typing import Any

from lacwright.figures import Basis, Figure, Refusal
from lacwright.room import Facts, Limit, Near, Room
from lacwright.trade import table

FIRST_ORDER, INSTANT, WHILE_LAYING, DRYING = "first-order", "instant", "while-laying", "drying"
EMISSIONS = (FIRST_ORDER, INSTANT, WHILE_LAYING, DRYING)
"""How a coat sets its solvent free."""
AS_GIVEN = "the volume is as given: nothing is taken off for furniture"
NO_VOLUME = Refusal("[room] volume", "cannot estimate the air without the volume of the room and "
                    "how often it changes",
                    'write volume = "60 m3" and air_changes = 2 into [room], or give --volume '
                    "and --air-changes")  # fmt: skip


@dataclass(frozen=True)
class RoomSpec:
    """A room as it was said.

    Parameters
    ----------
    volume_m3 : float or None
        Air in it [m3], furniture taken off unless `furnished`.
    furnished : bool
        A share of the volume is furniture.
    air : Figure or None
        How often an hour its air changes [1/h], or a known flow of clean air [m3/h].
    mixing_factor : float or None
    emission : str
        One of `EMISSIONS`.
    temp_c, rh, wet_um : float or None
        Of the room and the coat, for the model of the drying coat.
    extra_share : float or None
        Brush, rag and dish on top of the coats [1].
    hold_share : float
        Share of the limit that the needed air holds [1].
    jurisdiction : str or None
    limits : tuple of Limit
        The maker's own.
    lel_percent : mapping of str to float
        The maker's own lower explosive limits [%].
    facts : Facts
        What else is true of the room.
    session_h : float or None
        In which everybody of a class lays one coat [h].
    """

    volume_m3: float | None = None
    furnished: bool = False
    air: Figure | None = None
    mixing_factor: float | None = None
    emission: str = FIRST_ORDER
    temp_c: float | None = None
    rh: float | None = None
    extra_share: float | None = None
    hold_share: float = 1.0
    jurisdiction: str | None = None
    limits: tuple[Limit, ...] = ()
    lel_percent: Mapping[str, float] = field(default_factory=dict)
    facts: Facts = field(default_factory=Facts)
    session_h: float | None = None

    def over(self, other: RoomSpec | None) -> RoomSpec:
        """Return it with what it does not say taken from another: options over a file."""
        if other is None:
            return self
        said = {f.name: getattr(self, f.name) for f in fields(self)
                if f.name != "facts" and getattr(self, f.name) != _UNSAID[f.name]}  # fmt: skip
        if "volume_m3" in said:
            said["furnished"] = self.furnished
        mine = {f.name: getattr(self.facts, f.name) for f in fields(Facts)}
        facts = {k: one for k, one in mine.items() if one != getattr(_NO_FACTS, k)}
        return replace(other, **said, facts=replace(other.facts, **facts))

    def with_limits(self, limits: tuple[Limit, ...], lels: Mapping[str, float]) -> RoomSpec:
        """Return it with the maker's own limits and lower explosive limits."""
        return replace(self, limits=limits, lel_percent=lels)

    def space(self) -> tuple[Room, tuple[str, ...]]:
        """Return the room of the model, and what was taken off or reckoned.

        Raises
        ------
        Refusal
            Without a volume; for a volume, air or mixing factor outside its range.
        """
        if self.volume_m3 is None:
            raise NO_VOLUME
        volume, notes = self.volume_m3, [AS_GIVEN]
        if self.furnished:
            row = table("room_constants")["furniture_share"]
            volume *= 1 - row.number("value")
            notes = [f"{100 * row.number('value'):g} % of the volume is furniture ({row.mark})"]
        air = self.air
        if air is not None and air.unit == "m3/h" and volume > 0:
            flow = air.number()
            rate = flow / volume
            air = Figure(rate, rate, rate, "1/h", Basis.GIVEN, air.mark,
                         f"{flow:g} m3/h of clean air, as said, over {volume:g} m3")  # fmt: skip
            notes.append(f"{flow:g} m3/h of clean air change the air {rate:.2g} times an hour")
        room = Room(volume, None if air is None else air.number(), self.mixing_factor, air)
        return room, tuple(notes)

    def how(self, facts: Facts) -> dict[str, Any]:
        """Return everything else that an estimate takes."""
        return {
            "near": Near.usual(), "facts": facts, "jurisdiction": self.jurisdiction,
            "own_limits": self.limits, "own_lel": self.lel_percent,
            "extra_share": self.extra_share, "hold_share": self.hold_share,
        }  # fmt: skip


_NO_FACTS = Facts()
_UNSAID = {f.name: getattr(RoomSpec(), f.name) for f in fields(RoomSpec)}
