"""Draws: named random factors, each drawn once, so that what is common stays common."""

from __future__ import annotations

import hashlib

import numpy as np
from numpy.typing import NDArray

from lacwright.figures.learned import Z95


class Draws:
    """A sample of all uncertain factors of one computation.

    Column 0 is the central case (z = 0), columns 1..n are draws. A factor is known by its name:
    asking twice for the same name gives the same draws, so sharing a factor is sharing its name.

    Parameters
    ----------
    n : int
        Number of draws, 0 for the central case alone.
    seed : int
        Makes a run repeatable.
    """

    def __init__(self, n: int = 2000, seed: int = 0) -> None:
        self.n = n
        self.seed = seed
        self._z: dict[str, NDArray[np.float64]] = {}

    def z(self, name: str) -> NDArray[np.float64]:
        """Return standard normal draws of the named factor, shape (n + 1,), column 0 = 0."""
        if name not in self._z:
            digest = hashlib.sha256(f"{self.seed}:{name}".encode()).digest()
            rng = np.random.default_rng(int.from_bytes(digest[:8], "big"))
            self._z[name] = np.concatenate([[0.0], rng.standard_normal(self.n)])
        return self._z[name]

    def lognormal(self, name: str, mid: float, ln_sd: float) -> NDArray[np.float64]:
        """Return mid * exp(ln_sd * z), shape (n + 1,)."""
        return mid * np.exp(ln_sd * self.z(name))

    def between(self, name: str, low: float, mid: float, high: float) -> NDArray[np.float64]:
        """Return draws with median `mid`, 5th percentile `low` and 95th `high`, shape (n + 1,).

        Two-piece log-normal where all three are above zero, otherwise two-piece normal (which
        is then cut at zero if `low` is not negative).
        """
        t = self.z(name) / Z95
        if low > 0:
            return np.where(t < 0, mid * (mid / low) ** t, mid * (high / mid) ** t)
        line = np.where(t < 0, mid + (mid - low) * t, mid + (high - mid) * t)
        return line if low < 0 else np.maximum(line, 0.0)


def band(draws: NDArray[np.float64]) -> tuple[float, float, float]:
    """Return (central case, 5th percentile, 95th percentile) of a row of draws."""
    row = np.atleast_1d(np.asarray(draws, dtype=float))
    if row.size == 1:
        return float(row[0]), float(row[0]), float(row[0])
    low, high = np.quantile(row[1:], [0.05, 0.95])
    return float(row[0]), float(low), float(high)
