"""What the film run starts from and what it tells: grounds, rules, layers, the log of a run."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from lacwright.figures import Caution, Num, Refusal, Stop, central
from lacwright.film.steps import ZoneLike
from lacwright.trade import table


@dataclass(frozen=True, eq=False)
class Ground:
    """A zone as the film meets it.

    Parameters
    ----------
    zone : ZoneLike
        Part, kind, face, area.
    capacity_ml_m2 : Num
        What it takes up of the reference mix [ml/m2]; 0 is sealed.
    start_share : Num
        Share of the first drop that soaks in [1].
    reference_cut_lb_per_gal : float
        Cut of the reference mix [lb/gal].
    edge_film : Num
        Share of the film that lies on the arris [above 0 to 1]; read on faces only.
    edge_cut : Num
        Times as much that sanding takes there [1 or more]; read on faces only.
    unevenness : Num
        Spread of the film as a share of its mean [1].
    """

    zone: ZoneLike
    capacity_ml_m2: Num
    start_share: Num
    reference_cut_lb_per_gal: float
    edge_film: Num = 1.0
    edge_cut: Num = 1.0
    unevenness: Num = field(
        default_factory=lambda: table("film")["unevenness.brush"].number("value")
    )

    def __post_init__(self) -> None:
        where = f"edge of {self.zone.part}"
        share, cut = np.asarray(self.edge_film), np.asarray(self.edge_cut)
        if np.any(share <= 0) or np.any(share > 1):
            raise Refusal(where, "the film share on an edge must lie above 0 and up to 1",
                          "write e.g. 0.65")  # fmt: skip
        if np.any(cut < 1):
            raise Refusal(where, "an edge loses at least as much as a flat",
                          "give a factor of 1 or more")  # fmt: skip

    @property
    def has_arris(self) -> bool:
        """Whether the arris is counted here: it belongs to the face, not to the edge beside it."""
        return self.zone.kind == "face"


@dataclass(frozen=True)
class Rules:
    """Limits of the film run; their defaults stand in the table of the film.

    Parameters
    ----------
    least_left_um : float
        Least film that a sanding must leave at its thinnest place [um].
    through_share : float
        Share gone through above which a step that is not refused is warned of [1].
    warn_um, stop_um : float
        Film that is warned of, and that stops the course [um].
    """

    least_left_um: float
    through_share: float
    warn_um: float
    stop_um: float


@dataclass(frozen=True, eq=False)
class Layer:
    """The film of one zone.

    Parameters
    ----------
    zone : ZoneLike
        Where.
    resin_g_m2 : mapping of resin to Num
        Resin of the film on the flat [g/m2].
    soaked_g_m2 : mapping of resin to Num
        Resin in the wood [g/m2].
    film_um, edge_um : Num
        Mean film on the flat and on the arris [um].
    soaked_ml_m2 : Num
        Mix that the wood has taken [ml/m2].
    thinnest_um : Num
        Film at the thin end (5 %) of the thinner of flat and arris [um].
    before_ml_m2 : Num
        What has landed, counted as the reference mix [ml/m2]: the state of the absorption law.
    coats : int
        Coats so far.
    sealed : bool
        Whether a coat that counts as wholly soaked in, or one given as what it leaves, stands in
        place of the absorption law: nothing soaks in after it.
    """

    zone: ZoneLike
    resin_g_m2: Mapping[Any, Num] = field(default_factory=dict)
    soaked_g_m2: Mapping[Any, Num] = field(default_factory=dict)
    film_um: Num = 0.0
    edge_um: Num = 0.0
    soaked_ml_m2: Num = 0.0
    thinnest_um: Num = 0.0
    before_ml_m2: Num = 0.0
    coats: int = 0
    sealed: bool = False


@dataclass(frozen=True, eq=False)
class Laid:
    """What one coat did on one zone: the numbers behind its working.

    `how` is "law", "soaked in" (wholly, in place of the law), "sealed" (nothing soaks in after
    such a coat) or "net". `used_ml_m2` leaves the jar, `landed_ml_m2` reaches the
    work, `soaked_ml_m2` goes into the wood (all of this mix), `added_um` and `edge_added_um` stay
    as dry film. `before_ml_m2` and `strength` are the state and the factor of the absorption law.
    """

    step: int
    coat: int
    part: str
    zone: ZoneLike
    how: str
    used_ml_m2: Num
    landed_ml_m2: Num
    soaked_ml_m2: Num
    added_um: Num
    edge_added_um: Num
    before_ml_m2: Num
    strength: Num


@dataclass(frozen=True, eq=False)
class StepFilm:
    """The film of a part after one step, on its main zone among those that the step touches.

    `removed_um` is what a sanding was to take off the flats; a refused one took nothing.
    `through_share` is the central case at the worst place.
    """

    step: int
    what: str
    part: str
    flat_um: Num
    edge_um: Num
    zone: ZoneLike
    removed_um: Num = 0.0
    refused: bool = False
    through_share: float = 0.0


@dataclass(frozen=True)
class Refused:
    """A sanding that would go through: need against what lies at the thinnest place."""

    step: int
    what: str
    part: str
    place: str  # "flat", "arris", "edge" or "end"
    face: str
    need_um: float
    have_um: float
    least_left_um: float
    through_share: float

    @property
    def text(self) -> str:
        """One sentence: what, where, need and have, how to mend."""
        where = {"flat": "on the flat", "arris": "on the edges", "end": "on end grain",
                 "edge": "on the side edges"}[self.place]  # fmt: skip
        mend = "lay more coats first" + (
            "" if self.place == "flat" else ", or keep off there: sand the flats only"
        )
        return (
            f"{self.what} on {self.part} would take {self.need_um:.1f} um {where}, where "
            f"{self.have_um:.1f} um lie and {self.least_left_um:g} um must stay; {mend}."
        )


@dataclass(frozen=True)
class Run:
    """What a course of steps leaves.

    `steps` has an entry for each coat and sanding, `laid` one for each coat and zone, `layers`
    one for each ground in the order given.
    """

    steps: tuple[StepFilm, ...]
    layers: tuple[Layer, ...]
    laid: tuple[Laid, ...]
    refused: tuple[Refused, ...]
    notes: tuple[str, ...]
    cautions: tuple[Caution, ...]
    stops: tuple[Stop, ...]

    def main(self, part: str) -> Layer:
        """Return the layer of a part's main zone: a face, of the most coats, the largest."""
        return main_layer([layer for layer in self.layers if layer.zone.part == part])

    def of_main(self, part: str) -> tuple[Laid, ...]:
        """Return what each coat did on the main zone of a part, in order."""
        zone = self.main(part).zone
        return tuple(laid for laid in self.laid if laid.zone is zone)


def main_layer(layers: Sequence[Layer]) -> Layer:
    """Return the layer to show: a face before an edge, of the most coats, the largest."""
    return max(
        layers, key=lambda x: (x.zone.kind == "face", x.coats, float(central(x.zone.area_m2)))
    )
