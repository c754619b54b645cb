"""The course of a job as the film sees it: coats, sandings, rests, cleaning."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Protocol

import numpy as np

from lacwright.figures import Num, Refusal


class MixLike(Protocol):
    """What the film needs to know of a mix."""

    @property
    def resin_g(self) -> Mapping[Any, Any]:
        """Grams of each resin [g]."""

    @property
    def resin_g_per_l(self) -> Any:
        """Grams of resin in a litre of the mix [g/L]."""

    @property
    def resin_density_g_ml(self) -> Any:
        """Density of the dry resin [g/mL]."""


class ZoneLike(Protocol):
    """What the film needs to know of a zone of the piece."""

    @property
    def part(self) -> str:
        """Name of the part."""

    @property
    def kind(self) -> str:
        """One of "face", "edge" (side grain), "end" (end grain)."""

    @property
    def face(self) -> str:
        """Name of the face of the part."""

    @property
    def area_m2(self) -> Any:
        """Area [m2]."""


@dataclass(frozen=True, eq=False)
class Coat:
    """One coat or session on a part.

    Exactly one of `load_ml_m2`, `wet_um`, `net_um`, `net_g_m2` says how much.

    Parameters
    ----------
    part : str
        Name of the part.
    method : str
        Key of the table of methods.
    mix : MixLike
        What is laid.
    load_ml_m2 : Num, optional
        What leaves the jar for each m2 [ml/m2]; `lost_share` of it never lands.
    wet_um : Num, optional
        What lies on the work, wet [um]: one ml/m2 is one um.
    net_um : Num, optional
        Dry film that the coat leaves [um]: nothing more is deducted.
    net_g_m2 : Num, optional
        Resin that the coat leaves on the surface [g/m2]: nothing more is deducted.
    lost_share : Num
        Share of what leaves the jar that never lands [0 to below 1]. What a new pad or brush
        keeps is not counted here: it is a fixed amount, not a share.
    soaks_in : bool
        The coat counts as wholly soaked in. It then stands in place of the absorption law: the
        coats after it lie on sealed wood.
    faces : tuple of str
        Names of the faces that get it; () is all.
    what : str
        Its word in the course: coat, session, seal, washcoat, glaze.
    at : str, optional
        When, for those who plan; the film does not read it.
    """

    part: str
    method: str
    mix: MixLike
    load_ml_m2: Num | None = None
    wet_um: Num | None = None
    net_um: Num | None = None
    net_g_m2: Num | None = None
    lost_share: Num = 0.0
    soaks_in: bool = False
    faces: tuple[str, ...] = ()
    what: str = "coat"
    at: str | None = None

    def __post_init__(self) -> None:
        where = f"{self.what} on {self.part}"
        said = {
            name: value
            for name, value in (
                ("load_ml_m2", self.load_ml_m2), ("wet_um", self.wet_um),
                ("net_um", self.net_um), ("net_g_m2", self.net_g_m2),
            )
            if value is not None
        }  # fmt: skip
        if len(said) != 1:
            raise Refusal(
                where,
                f"how much is laid is said {len(said)} times",
                "give one of load_ml_m2 (poured), wet_um (lying wet), net_um or net_g_m2 (dry)",
            )
        for name, value in said.items():
            if not np.all(np.isfinite(value)) or np.any(np.asarray(value) < 0):
                raise Refusal(where, f"{name} is below zero or no number", "give zero or more")
        lost = np.asarray(self.lost_share)
        if not (np.all(lost >= 0) and np.all(lost < 1)):
            raise Refusal(where, "the lost share must lie from 0 to below 1", "write e.g. 0.05")
        if self.soaks_in and (self.net_um is not None or self.net_g_m2 is not None):
            raise Refusal(
                where, "a net deposit cannot count as soaked in", "give load_ml_m2 or wet_um"
            )

    @property
    def net(self) -> bool:
        """Whether the coat is given as what it leaves."""
        return self.net_um is not None or self.net_g_m2 is not None


@dataclass(frozen=True, eq=False)
class Abrade:
    """A sanding or rubbing of a part.

    Parameters
    ----------
    part : str
        Name of the part.
    what : str
        scuff, level or rub.
    removed_um : Num
        Film taken off the flats [um].
    abrasive : str
        Key of the table of abrasives, "" where it is not said.
    faces : tuple of str
        Names of the faces that get it; () is all.
    edges_too : bool
        Whether arrises, edges and end grain are sanded too.
    """

    part: str
    what: str
    removed_um: Num
    abrasive: str = ""
    faces: tuple[str, ...] = ()
    edges_too: bool = True

    def __post_init__(self) -> None:
        removed = np.asarray(self.removed_um)
        if not np.all(np.isfinite(removed)) or np.any(removed < 0):
            raise Refusal(
                f"{self.what} on {self.part}",
                "it takes off less than nothing",
                "give um, 0 or more",
            )


@dataclass(frozen=True)
class Rest:
    """A wait; the film does not change."""

    hours: float
    part: str = ""
    what: str = "rest"


@dataclass(frozen=True)
class Clean:
    """Wiping, washing, dusting; the film does not change."""

    part: str = ""
    what: str = "clean"


Schedule = tuple[Coat | Abrade | Rest | Clean, ...]
