"""What panels say of the constants of colour, kept so that it can be added up later.

Each panel is kept as the information it adds to a normal distribution: a matrix (the inverse of a
covariance) and a vector. Adding them to those of the prior gives what all panels say together,
whatever their order, without reckoning a panel again.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from lacwright.colour.panels import INSTRUMENT, READERS
from lacwright.figures import Refusal

Array = NDArray[np.float64]

LEVEL, SLOPE, BAND, HAZE, WETTING, SKIN = "level", "slope", "band", "haze", "wetting", "skin"
OF_GRADE, OF_WOOD = (LEVEL, SLOPE, BAND), (WETTING, SKIN)
"""Constants of every grade, of every wood; a grade with wax in its film has `HAZE` beside them."""
OF_BOARD = ("lightness", "red", "yellow")
"""What the bare boards of a wood read, D65 and 2 degrees, gloss excluded."""
LOGARITHMIC = (LEVEL, HAZE)
"""Those that are kept as their natural logarithm."""
FAMILY = "colour"


def name_of(thing: str, constant: str) -> str:
    """Return the name of a constant: "colour.amber.level".

    Parameters
    ----------
    thing : str
        A grade or a wood.
    constant : str
        One of `OF_GRADE` or `OF_WOOD`.
    """
    return f"{FAMILY}.{thing}.{constant}"


def parted(name: str) -> tuple[str, str]:
    """Return grade or wood, and constant, of a name."""
    thing, _, constant = name.removeprefix(FAMILY + ".").rpartition(".")
    return thing, constant


def is_skin(name: str) -> bool:
    """Return whether a constant is the skin of a wood: one number without the gloss, one with."""
    return parted(name)[1] == SKIN


@dataclass(frozen=True)
class State:
    """What is known of some constants: a normal distribution.

    Parameters
    ----------
    names : tuple of str
    mid : array (n,)
        Of a level the natural logarithm of the absorption at 500 nm [m2/g], of a slope that per
        100 nm, of a band the absorption it adds at 490 nm [m2/g], of haze the logarithm of what
        a gram on a square metre scatters; of wetting and skin a share.
    cov : array (n, n)
    """

    names: tuple[str, ...]
    mid: Array
    cov: Array

    def of(self, names: Sequence[str]) -> State:
        """Return the part of it that is about some of the constants."""
        at = [self.names.index(name) for name in names]
        return State(tuple(names), self.mid[at], self.cov[np.ix_(at, at)])

    def value(self, name: str) -> float:
        """Return the middle of a constant."""
        return float(self.mid[self.names.index(name)])

    def sd(self, name: str) -> float:
        """Return the standard deviation of a constant."""
        at = self.names.index(name)
        return math.sqrt(max(float(self.cov[at, at]), 0.0))

    def correlation(self, one: str, other: str) -> float:
        """Return how two constants hang together, -1 to 1."""
        a, b = self.names.index(one), self.names.index(other)
        both = self.sd(one) * self.sd(other)
        return float(np.clip(self.cov[a, b] / both, -1.0, 1.0)) if both > 0 else 0.0


@dataclass(frozen=True)
class Evidence:
    """What one panel adds.

    Parameters
    ----------
    names : tuple of str
        The constants it speaks of.
    pull : tuple of float
        Information times where it lies.
    information : tuple of tuple of float
        Inverse of a covariance; it may leave directions open.
    source : str
        Which panel and day.
    wood : str
        Its wood.
    bare : tuple of float or None
        L*, a*, b* of its bare wood, D65 and 2 degrees; None where the gloss was counted.
    reader : str
        "instrument" or "camera".
    """

    names: tuple[str, ...]
    pull: tuple[float, ...]
    information: tuple[tuple[float, ...], ...]
    source: str = ""
    wood: str = ""
    bare: tuple[float, float, float] | None = None
    reader: str = INSTRUMENT

    @property
    def gloss_counted(self) -> bool:
        """Whether it was read with the gloss included (8/d)."""
        return self.bare is None

    def as_json(self) -> dict[str, Any]:
        """Return it as plain data that `read_evidence` reads."""
        out: dict[str, Any] = {
            "names": list(self.names), "pull": [_kept(x) for x in self.pull],
            "information": [[_kept(x) for x in row] for row in self.information],
            "wood": self.wood, "reader": self.reader,
        }  # fmt: skip
        return out if self.bare is None else {**out, "bare": [_kept(x) for x in self.bare]}


def read_evidence(data: Mapping[str, Any], source: str) -> Evidence:
    """Return evidence that was kept.

    Raises
    ------
    Refusal
        If it is none.
    """
    try:
        names = tuple(str(name) for name in data["names"])
        pull = tuple(float(x) for x in data["pull"])
        rows = tuple(tuple(float(x) for x in row) for row in data["information"])
        matrix = np.array(rows, dtype=float)
        n = len(names)
        bare = None if data.get("bare") is None else tuple(float(x) for x in data["bare"])
        sound = (len(pull) == n and matrix.shape == (n, n) and bool(np.isfinite(matrix).all())
                 and all(map(math.isfinite, pull))
                 and (bare is None or (len(bare) == 3 and all(map(math.isfinite, bare))))
                 and data.get("reader", INSTRUMENT) in READERS
                 and np.allclose(matrix, matrix.T, rtol=1e-6)
                 and all(parted(n)[1] in (*OF_GRADE, HAZE, *OF_WOOD) for n in names))  # fmt: skip
    except (KeyError, TypeError, ValueError):
        sound = False
    if not sound:
        raise Refusal("says", "it is not what a panel says",
                      "take the line out and calibrate again")  # fmt: skip
    return Evidence(
        names, pull, rows, source, str(data.get("wood", "")),
        None if bare is None else (bare[0], bare[1], bare[2]), data.get("reader", INSTRUMENT),
    )  # fmt: skip


def without(evidence: Evidence, names: Iterable[str], prior: State) -> Evidence:
    """Return evidence with some constants reckoned out: what it says whatever these are.

    Parameters
    ----------
    evidence : Evidence
    names : iterable of str
        Constants that are another number for this panel than for others.
    prior : State
        Of every constant that the evidence speaks of: these are as open as it has them.
    """
    gone = [n for n, name in enumerate(evidence.names) if name in set(names)]
    kept = [n for n in range(len(evidence.names)) if n not in gone]
    if not gone:
        return evidence
    matrix, pull = np.array(evidence.information), np.array(evidence.pull)
    before = prior.of([evidence.names[n] for n in gone])
    free = np.linalg.inv(before.cov)
    inner = np.linalg.inv(matrix[np.ix_(gone, gone)] + free)
    across = matrix[np.ix_(kept, gone)] @ inner
    left = matrix[np.ix_(kept, kept)] - across @ matrix[np.ix_(gone, kept)]
    pulled = pull[kept] - across @ (pull[gone] + free @ before.mid)
    return replace(
        evidence, names=tuple(evidence.names[n] for n in kept), pull=tuple(map(float, pulled)),
        information=tuple(tuple(map(float, row)) for row in (left + left.T) / 2),
    )  # fmt: skip


def together(
    prior: State, evidence: Iterable[Evidence], bounds: Mapping[str, tuple[float, float]]
) -> State:  # fmt: skip
    """Return what is known after all evidence.

    Parameters
    ----------
    prior : State
        Of every constant that the evidence speaks of.
    evidence : iterable of Evidence
    bounds : mapping of constant to (low, high)
        By the last word of a name. A constant that would lie outside is put on its bound, and the
        others to where they then lie best.

    Returns
    -------
    State
        Of the same names as the prior.
    """
    precision = np.linalg.inv(prior.cov)
    pull = precision @ prior.mid
    place = {name: n for n, name in enumerate(prior.names)}
    for one in evidence:
        at = [place[name] for name in one.names]
        precision[np.ix_(at, at)] += np.array(one.information)
        pull[at] += np.array(one.pull)
    cov = np.linalg.inv(precision)
    mid = cov @ pull
    ends = np.array([bounds.get(parted(n)[1], (-math.inf, math.inf)) for n in prior.names])
    low, high = ends[:, 0], ends[:, 1]
    held = np.zeros(len(mid), dtype=bool)
    for _ in range(len(mid)):
        out = (mid < low - 1e-12) | (mid > high + 1e-12)
        if not out.any():
            break
        held |= out
        mid[held] = np.clip(mid, low, high)[held]
        free = ~held
        mid[free] = np.linalg.solve(
            precision[np.ix_(free, free)], (pull - precision[:, held] @ mid[held])[free]
        )
    return State(prior.names, mid, (cov + cov.T) / 2)


def _kept(x: float) -> float:
    return float(f"{x:.8g}")
