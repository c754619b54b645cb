"""How a well-mixed space answers to a gram of vapour: closed forms for every emission.

Each emission sets free one gram in all. Its `response` is what is left of it in a space whose air
is renewed at a rate [1/h]: order 0 the share at a time, order 1 its integral over time from the
beginning, order 2 the integral of that.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any, Protocol

import numpy as np
from numpy.typing import NDArray

from lacwright.figures import Refusal
from lacwright.film import Release

Array = NDArray[np.float64]

_SERIES_BELOW = 1.0
_TERMS = 18
MOST_TIMES = 41
_APART = 1e-4
"""Two rates nearer to each other than that are moved apart, half each: the error is its square."""


class Emission(Protocol):
    """A way in which a gram becomes vapour."""

    @property
    def ends_h(self) -> Array:
        """Hours after its start at which its rate jumps: places where a peak can lie."""

    def response(self, hours: Array, rate_per_h: float, order: int) -> Array:
        """Return what a space keeps of the gram, integrated `order` times."""

    def released(self, hours: Array) -> Array:
        """Return the share that is set free by a time."""


@dataclass(frozen=True)
class Instant:
    """All at once."""

    @property
    def ends_h(self) -> Array:
        """Return the start."""
        return np.zeros(1)

    def response(self, hours: Array, rate_per_h: float, order: int) -> Array:
        """Return exp(-rate t) and its integrals."""
        return decay(hours, rate_per_h, order)

    def released(self, hours: Array) -> Array:
        """Return 1 from the start on."""
        return np.where(hours >= 0, 1.0, 0.0)


@dataclass(frozen=True)
class FirstOrder:
    """The rate is in proportion to what is left.

    Parameters
    ----------
    per_h : float
        Rate of drying [1/h], above 0.
    """

    per_h: float

    def __post_init__(self) -> None:
        if not (math.isfinite(self.per_h) and self.per_h > 0):
            raise Refusal("drying rate", f"{self.per_h} per hour", "give a number above 0")

    @property
    def ends_h(self) -> Array:
        """Return the start."""
        return np.zeros(1)

    def response(self, hours: Array, rate_per_h: float, order: int) -> Array:
        """Return k / (k - rate) (exp(-rate t) - exp(-k t)) and its integrals."""
        k, a = self.per_h, rate_per_h
        if abs(k - a) < _APART * k:
            middle = (k + a) / 2
            k, a = middle * (1 + _APART / 2), middle * (1 - _APART / 2)
        return self.per_h / (k - a) * (decay(hours, a, order) - decay(hours, k, order))

    def released(self, hours: Array) -> Array:
        """Return 1 - exp(-k t)."""
        return -np.expm1(-self.per_h * np.maximum(hours, 0.0))


@dataclass(frozen=True, eq=False)
class Curve:
    """As a curve says: a constant rate between any two of its times.

    Parameters
    ----------
    times_h : array, shape (n,)
        Rising from 0.
    share : array, shape (n,)
        Set free by each time, never falling, at most 1. What is missing at the end stays in the
        film for as long as the curve reaches.
    """

    times_h: Array
    share: Array
    _rates: Array = field(init=False, repr=False)

    def __post_init__(self) -> None:
        times, share = np.asarray(self.times_h, float), np.asarray(self.share, float)
        if times.ndim != 1 or times.size < 2 or times[0] != 0 or not (np.diff(times) > 0).all():
            raise Refusal("emission", "its times do not rise from 0", "give hours from the laying")
        if share.shape != times.shape or (np.diff(share) < 0).any() or share[0] < 0:
            raise Refusal("emission", "the share falls", "give what has left by each time")
        if share[-1] > 1 + 1e-9:
            raise Refusal("emission", f"{share[-1]:.3f} of it is set free", "give at most 1")
        rates = np.concatenate([np.diff(share) / np.diff(times), [0.0]])
        object.__setattr__(self, "_rates", rates)

    @classmethod
    def of(cls, release: Release, substance: str, laid_g: float, most: int = MOST_TIMES) -> Curve:
        """Return the curve of one substance of a release.

        Parameters
        ----------
        release : Release
        substance : str
        laid_g : float
            What was laid of it [g], above 0.
        most : int
            Times that are kept of it; each costs a term.
        """
        grams = np.asarray(release.released_g[substance], dtype=float)
        kept = np.unique(np.linspace(0, len(grams) - 1, min(most, len(grams))).round().astype(int))
        hours = np.asarray(release.times_s, dtype=float)[kept] / 3600
        return cls(hours, np.minimum(grams[kept] / laid_g, 1.0))

    @property
    def ends_h(self) -> Array:
        """Return its times."""
        return self.times_h

    def response(self, hours: Array, rate_per_h: float, order: int) -> Array:
        """Return it from one time of the curve to the next: each span has a constant rate."""
        hours = np.asarray(hours, dtype=float)
        spans = [decay(np.diff(self.times_h), rate_per_h, n) for n in range(order + 2)]
        # At each time of the curve: what is there, its integral, the integral of that.
        at = np.zeros((order + 1, self.times_h.size))
        at[0, 0] = self.share[0]
        for j in range(self.times_h.size - 1):
            here = [span[j] for span in spans]
            at[:, j + 1] = self._on(at[:, j], float(self._rates[j]), here,
                                    float(self.times_h[j + 1] - self.times_h[j]))  # fmt: skip
        last = np.maximum(np.searchsorted(self.times_h, hours, side="right") - 1, 0)
        since = hours - self.times_h[last]
        here = [decay(since, rate_per_h, n) for n in range(order + 2)]
        told = self._on(at[:, last], self._rates[last], here, np.maximum(since, 0.0))[order]
        return np.where(hours < 0, 0.0, told)

    @staticmethod
    def _on(at: Array, rate: Any, decays: Sequence[Any], since: Any) -> Array:
        """Return what is there and its integrals some time later, at a constant rate."""
        out = []
        for n in range(len(at)):
            value = at[0] * decays[n] + rate * decays[n + 1]
            for i in range(1, n + 1):
                value = value + at[i] * since ** (n - i) / math.factorial(n - i)
            out.append(value)
        return np.array(out)

    def released(self, hours: Array) -> Array:
        """Return the share, drawn straight between the times."""
        share = np.interp(hours, self.times_h, self.share)
        return np.where(np.asarray(hours) < 0, 0.0, share)


@dataclass(frozen=True)
class Laid:
    """Laid evenly over a time; each spot then sets its vapour free in its own way.

    Parameters
    ----------
    each : Emission
        Of a spot, from when it is laid.
    over_h : float
        How long the laying takes [h], above 0.
    """

    each: Emission
    over_h: float

    def __post_init__(self) -> None:
        if not (math.isfinite(self.over_h) and self.over_h > 0):
            raise Refusal("laying", f"{self.over_h} h", "give how long it takes")

    @property
    def ends_h(self) -> Array:
        """Return the ends of the first and of the last spot."""
        ends = self.each.ends_h
        return np.unique(np.concatenate([ends, ends + self.over_h]))

    def response(self, hours: Array, rate_per_h: float, order: int) -> Array:
        """Return the mean of the spots' responses."""
        up = self.each.response(hours, rate_per_h, order + 1)
        down = self.each.response(hours - self.over_h, rate_per_h, order + 1)
        return (up - down) / self.over_h

    def released(self, hours: Array) -> Array:
        """Return the mean of the spots' shares: what a space without exchange holds."""
        return self.response(np.asarray(hours, float), 0.0, 0)


def decay(hours: Array, rate_per_h: float, order: int) -> Array:
    """Return exp(-rate t) for t >= 0, 0 before, integrated `order` times from 0.

    Parameters
    ----------
    hours : array
        Times [h].
    rate_per_h : float
        Rate [1/h], 0 or more.
    order : int
        0 to 3.

    Notes
    -----
    t^n E_n(x) with x = rate t, E_0 = exp(-x), E_n = (1/(n-1)! - E_{n-1}) / x, and its series where
    x is small.
    """
    hours = np.asarray(hours, dtype=float)
    begun = hours >= 0
    t = hours[begun]
    x = rate_per_h * t
    value = np.exp(-x)
    if order:
        near = x < _SERIES_BELOW
        small, series = x[near], np.zeros(np.count_nonzero(near))
        for j in range(_TERMS, -1, -1):
            series = series * -small + 1.0 / math.factorial(j + order)
        far, wide = value[~near], x[~near]
        for n in range(1, order + 1):
            far = (1.0 / math.factorial(n - 1) - far) / wide
        value[near], value[~near] = series, far
        value *= t**order
    out = np.zeros(hours.shape)
    out[begun] = value
    return out
