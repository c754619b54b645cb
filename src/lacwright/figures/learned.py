"""Learned: a constant with its history; own observations move the prior from the first one on."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace

from lacwright.figures.figure import Figure
from lacwright.figures.marks import Basis, Mark
from lacwright.figures.refusal import Refusal

Z95 = 1.6448536269514722  # 95th percentile of the normal distribution


@dataclass(frozen=True)
class Seen:
    """One observation of a constant: its value in the constant's unit, and its ln sd."""

    value: float
    ln_sd: float
    source: str = "from your log"


@dataclass(frozen=True)
class Learned:
    """A positive constant, log-normal.

    Parameters
    ----------
    name, unit : str
        What it is.
    mid : float
        Median of the prior.
    ln_sd : float
        Standard deviation of its logarithm before any own observation.
    source : str
        Source of the prior.
    mark : Mark
        Mark of the prior.
    seen : tuple of Seen
        Own observations.
    """

    name: str
    unit: str
    mid: float
    ln_sd: float
    source: str
    mark: Mark
    seen: tuple[Seen, ...] = ()

    def observe(self, value: float, ln_sd: float, source: str = "from your log") -> Learned:
        """Return the constant with one more observation.

        Raises
        ------
        Refusal
            For a value or spread that is not above zero.
        """
        if not (value > 0 and ln_sd > 0):
            raise Refusal(self.name, "an observation must be above zero", "weigh it again")
        return replace(self, seen=(*self.seen, Seen(value, ln_sd, source)))

    def posterior(self) -> tuple[float, float]:
        """Return (median, ln sd) after the observations, by precision weighting of logarithms."""
        precision = self.ln_sd**-2 if self.ln_sd > 0 else math.inf
        if math.isinf(precision):
            return self.mid, 0.0
        total = precision * math.log(self.mid)
        for seen in self.seen:
            precision += seen.ln_sd**-2
            total += seen.ln_sd**-2 * math.log(seen.value)
        return math.exp(total / precision), precision**-0.5

    def figure(self) -> Figure:
        """Return the constant as a figure: prior as default, else learned with its count."""
        mid, ln_sd = self.posterior()
        low, high = mid * math.exp(-Z95 * ln_sd), mid * math.exp(Z95 * ln_sd)
        if not self.seen or self.ln_sd == 0:  # a constant without spread is not moved
            basis, mark, source = Basis.DEFAULT, self.mark, self.source
        else:
            n = len(self.seen)
            basis, mark = Basis.LEARNED, Mark.OWN
            source = f"from your log, n = {n}; prior {self.mid:g} {self.unit} ({self.source})"
        return Figure(mid, low, high, self.unit, basis, mark, source)


Hand = Mapping[str, Learned]
"""The maker's own figures by name."""
