"""Colour on the pages: own figures before the table, a film looked at, each thing computed once."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import lru_cache

from lacwright.bench import plans
from lacwright.colour import (
    Bare,
    GradeColour,
    Look,
    Step,
    Viewing,
    bare_for,
    grade_for,
    look,
    measured_bare,
    steps,
)
from lacwright.figures import Figure, Learned, Refusal, given
from lacwright.figures.learned import Z95
from lacwright.files.board_photo import coat_load, own_figures
from lacwright.shop.queries.own_figures import colour_hand
from lacwright.shop.queries.remembered import remembered

MADE = 24
MOST_COATS = 23
"""A strip has at most so many fields beside the bare one."""
MOST_BLEND, MOST_ROWS = 3, 6

Own = Mapping[str, Figure | Learned]


@dataclass(frozen=True)
class Wood:
    """The bare wood as it was said: by its name, as it was measured, or both.

    Parameters
    ----------
    name : str
        "" where only a reading is given.
    lab : tuple of three floats or None
        As it was measured.
    viewing : Viewing
        How it was measured.
    """

    name: str = ""
    lab: tuple[float, float, float] | None = None
    viewing: Viewing = field(default_factory=Viewing)

    def bare(self, own: Own) -> Bare:
        """Return it as the model takes it.

        Raises
        ------
        Refusal
            Where neither is said, and for a colour that no wood has.
        """
        like = bare_for(self.name, own, self.viewing) if self.name else None
        if self.lab is not None:
            return measured_bare(self.lab, self.viewing, like, where="lab")
        if like is None:
            raise Refusal("wood", "neither the wood nor its colour is said",
                          "choose one, or give its colour as it was measured")  # fmt: skip
        return like

    @property
    def called(self) -> str:
        """What it is called."""
        kind = self.name.replace("-", " ")
        if self.lab is None:
            return kind
        return f"your board of {kind}" if kind else "your board"


@dataclass(frozen=True)
class Coat:
    """How much dry lac one coat leaves, as it was said: weighed, or as a method lays it."""

    load_g_m2: float | None = None
    method: str = "brush"
    cut: float | None = None

    def figure(self, own: Own) -> Figure:
        """Return it [g/m2].

        Raises
        ------
        Refusal
            For a coat of nothing.
        """
        if self.load_g_m2 is None:
            return coat_load(self.method or "brush", self.cut, own_figures(dict(own)))
        if self.load_g_m2 <= 0:
            raise Refusal("load", "a coat of nothing", "write e.g. 3.5 g/m2")
        return given(self.load_g_m2, "g/m2", "as you say")


@dataclass(frozen=True)
class Lac:
    """A grade, or a blend of some by mass.

    Parameters
    ----------
    shares : tuple of (str, float)
        Grades with their shares, which add up to 1.
    """

    shares: tuple[tuple[str, float], ...]

    @property
    def called(self) -> str:
        """What it is called: "amber", "70 % amber with 30 % garnet"."""
        if len(self.shares) == 1:
            return self.shares[0][0].replace("-", " ")
        told = [f"{100 * share:.3g} % {name.replace('-', ' ')}" for name, share in self.shares]
        return " with ".join([told[0], " and ".join(told[1:])])

    def grades(self, own: Own) -> list[GradeColour]:
        """Return its grades as the model takes them."""
        return [grade_for(name, own) for name, _ in self.shares]

    def loads(self, load_g_m2: float) -> list[float]:
        """Return how much of each grade a load holds [g/m2]."""
        return [share * load_g_m2 for _, share in self.shares]


@dataclass(frozen=True)
class Asked:
    """A film to be looked at.

    Parameters
    ----------
    wood : Wood
    lac : Lac
    beside : tuple of Lac
        Others, for rows of their own.
    coats : int
    coat : Coat
    wax_share : float or None
        In place of what a grade usually holds.
    """

    wood: Wood
    lac: Lac
    beside: tuple[Lac, ...] = ()
    coats: int = 4
    coat: Coat = field(default_factory=Coat)
    wax_share: float | None = None


@dataclass(frozen=True, eq=False)
class Made:
    """What it will look like.

    Parameters
    ----------
    asked : Asked
    bare : Bare
    coat : Figure
        Dry lac of one coat [g/m2].
    look : Look
        After all coats.
    rows : tuple of (Lac, tuple of Step)
        The strip of every lac.
    """

    asked: Asked
    bare: Bare
    coat: Figure
    look: Look
    rows: tuple[tuple[Lac, tuple[Step, ...]], ...]


def own_now() -> Own:
    """Return the own figures of the shop that colour takes: of grades, woods and coats."""
    return remembered("own figures of colour", lambda: {**plans.own_now(), **colour_hand()})


def made_of(asked: Asked) -> Made:
    """Return what is asked for.

    Raises
    ------
    Refusal
        For a wood, grade, load or share of wax that cannot be.
    """
    own = own_now()
    made = _made(asked, own_key(own))
    if isinstance(made, Refusal):
        raise made.with_traceback(None)
    return made


class OwnKey:
    """Own figures as part of a key: two are the same if all their figures are."""

    def __init__(self, own: Own) -> None:
        self.own = own
        self._key = tuple(sorted((name, repr(one)) for name, one in own.items()))
        self._hash = hash(self._key)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, OwnKey) and self._key == other._key

    def __hash__(self) -> int:
        return self._hash


def own_key(own: Own) -> OwnKey:
    """Return own figures as part of a key."""
    return OwnKey(own)


@lru_cache(maxsize=MADE)
def _made(asked: Asked, mine: OwnKey) -> Made | Refusal:
    try:
        return _looked(asked, mine.own)
    except Refusal as refusal:
        return refusal.with_traceback(None)


def _looked(asked: Asked, own: Own) -> Made:
    bare, coat = asked.wood.bare(own), asked.coat.figure(own)
    if not asked.wood.name:
        bare = replace(bare, name="your board")
    each = coat.number()
    seen = look(
        bare=bare, grades=asked.lac.grades(own), loads_g_m2=asked.lac.loads(asked.coats * each),
        wax_share=asked.wax_share, load_ln_sd=load_ln_sd(coat),
    )  # fmt: skip
    rows = tuple(
        (lac, steps(bare=bare, grades=lac.grades(own), coat_g_m2=lac.loads(each),
                    coats=asked.coats, wax_share=asked.wax_share))
        for lac in dict.fromkeys((asked.lac, *asked.beside))
    )  # fmt: skip
    return Made(asked, bare, coat, seen, rows)


def load_ln_sd(coat: Figure) -> float | None:
    """Return how well a load is known (spread of its logarithm), None for one that was said."""
    if not coat.low or not coat.high or coat.low >= coat.high:
        return None
    return math.log(coat.high / coat.low) / (2 * Z95)
