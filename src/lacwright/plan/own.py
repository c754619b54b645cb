"""Which figure counts: the piece file, then the hand file or record, then the default.

A figure is asked for by its name ("wait.brush"); it comes back with its basis, so that a default
looks like a default, and as draws, so that what is common to all coats is drawn once.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from lacwright.figures import Basis, Figure, Learned, Refusal, computed, unknown
from lacwright.figures.draws import Draws
from lacwright.plan.piece import Own
from lacwright.trade import table

Array = NDArray[np.float64]


class OwnFigures:
    """The figures of one job, each asked for by name.

    Parameters
    ----------
    sources : sequence of mappings
        Strongest first: the piece file, the hand file, the record.
    draws : Draws
        Where the random factors come from.
    """

    def __init__(self, sources: Sequence[Own], draws: Draws) -> None:
        self._sources = tuple(sources)
        self._draws = draws

    def said(self, name: str) -> bool:
        """Return whether the maker gave or logged this figure himself."""
        return any(name in source for source in self._sources)

    def told(self, name: str) -> Figure | Learned | None:
        """Return what the maker gave or logged under a name, with its observations, or None."""
        return next((source[name] for source in self._sources if name in source), None)

    def figure(self, name: str) -> Figure:
        """Return the figure, or one that is missing with the reason.

        Raises
        ------
        KeyError
            For a name that is in no table: a fault of the program, not of the input.
        """
        family = name.partition(".")[0]
        for key in (name, _ALL_OF.get(family, name)):
            for source in self._sources:
                if key in source:
                    found = source[key]
                    return found.figure() if isinstance(found, Learned) else found
        return default_figure(name)

    def value(self, name: str) -> float:
        """Return the central value.

        Raises
        ------
        Refusal
            If the figure is missing.
        """
        figure = self.figure(name)
        if figure.value is None:
            raise Refusal(f"hand.{name}", figure.missing or "is missing", "give it in [hand]")
        return figure.value

    def draw(self, name: str) -> Array:
        """Return the figure as draws of a factor of its name, shape (n + 1,), column 0 central."""
        return self.draw_figure(self.figure(name), name)

    def draw_figure(self, figure: Figure, factor: str) -> Array:
        """Return any figure as draws of the named factor; what shares a factor moves together."""
        value = figure.number()
        low, high = figure.low, figure.high
        if low is None or high is None:
            return np.full(self._draws.n + 1, value)
        return self.between(factor, low, value, high)

    def noise(self, factor: str, ln_sd: float) -> Array:
        """Return a factor exp(ln_sd z) that belongs to one coat alone."""
        return self._draws.lognormal(factor, 1.0, ln_sd)

    def between(self, factor: str, low: float, mid: float, high: float) -> Array:
        """Return draws of the named factor between a 5th and a 95th percentile."""
        if low == high:
            return np.full(self._draws.n + 1, mid)
        return self._draws.between(factor, low, mid, high)

    def per_coat(self, name: str, n: int) -> Figure:
        """Return the figure for the n-th coat (from 1).

        A maker may give one figure a coat as name.1, name.2, ...; the last one given is used
        for all later coats.
        """
        given = [k for k in range(1, n + 1) if self.said(f"{name}.{k}")]
        return self.figure(f"{name}.{given[-1]}" if given else name)


def default_figure(name: str) -> Figure:
    """Return the default of a figure from the tables, or a missing one where there is none."""
    practice = table("practice")
    if name in practice:
        row = practice[name]
        if not row.has("value"):
            return unknown(row.text("unit"), f"cannot estimate without {row.text('words')}")
        return row.figure()
    family, _, member = name.partition(".")
    if family in _FAMILIES:
        return _FAMILIES[family](member)
    for facts in ("film", "solution"):
        if name in table(facts):
            return table(facts)[name].figure()
    raise KeyError(f"no figure is called {name}")


def _spread(method: str) -> Figure:
    """Millilitres that leave the jar for a coat or session on one square metre."""
    row = table("methods")[method]
    if row.has("load"):
        load = row.figure("load", "ml/m2")
        if not row.has("passes"):
            return load
        passes = row.figure("passes", "1")
        return _product("load * passes", {"load": load, "passes": passes})
    wet = row.figure("wet", "ml/m2")
    # One micrometre of wet film is one millilitre on a square metre.
    return _product("wet / landed", {"wet": wet, "landed": row.figure("landed", "1")})


def _product(formula: str, inputs: dict[str, Figure]) -> Figure:
    """Return a default that is reckoned from two rows of a table."""
    return replace(computed(formula, "ml/m2", inputs), basis=Basis.DEFAULT)


def _lost(method: str) -> Figure:
    landed = table("methods")[method].figure("landed", "1")
    return Figure(1 - landed.number(), 1 - (landed.high or 1), 1 - (landed.low or 1), "1",
                  Basis.DEFAULT, landed.mark, landed.source)  # fmt: skip


def _cut(method: str) -> Figure:
    return table("methods")[method].figure("cut", "lb/gal")


def _absorption(surface: str) -> Figure:
    return table("absorption")[surface].figure("capacity", "ml/m2")


def _soak_start(surface: str) -> Figure:
    return table("absorption")[surface].figure("start", "1")


def _removal(what: str) -> Figure:
    return table("removal")[what].figure()


# One own figure that stands for a whole family.
_ALL_OF = {"soak_start": "absorption.first_share"}

_FAMILIES: dict[str, Callable[[str], Figure]] = {
    "spread": _spread,
    "lost": _lost,
    "cut": _cut,
    "absorption": _absorption,
    "soak_start": _soak_start,
    "removal": _removal,
}
