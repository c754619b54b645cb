"""What a wet coat gives to the air of the room, over time."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from lacwright.figures import Refusal

Times = npt.NDArray[np.float64]


@dataclass(frozen=True)
class Release:
    """Solvent that has left a coat, from the moment it was laid.

    Parameters
    ----------
    times_s : array of float, shape (n,)
        Seconds since the coat was laid, from 0, strictly rising.
    released_g : mapping of str to array of float, shape (n,)
        Grams of each substance that have left so far, never falling, 0 at the start. Water that
        the film takes from the air is not a release and is not among them.
    basis : str
        What it rests on, in words: the drying model and its calibration, or an assumption.

    Raises
    ------
    Refusal
        If the times or the amounts are not as said.
    """

    times_s: Times
    released_g: Mapping[str, Times]
    basis: str

    def __post_init__(self) -> None:
        """Check the shapes and that nothing goes back into the film."""
        times = np.asarray(self.times_s, dtype=float)
        if times.ndim != 1 or times.size < 2 or times[0] != 0 or not (np.diff(times) > 0).all():
            raise Refusal("times_s", "does not rise from 0", "give seconds since the coat was laid")
        for substance, grams in self.released_g.items():
            grams = np.asarray(grams, dtype=float)
            if grams.shape != times.shape or grams[0] != 0 or not (np.diff(grams) >= 0).all():
                raise Refusal(f"released_g of {substance}", "does not rise from 0 with the times",
                              "give what has left the film by each time")  # fmt: skip

    @property
    def total_g(self) -> dict[str, float]:
        """Return the grams of each substance that have left by the last time."""
        return {substance: float(grams[-1]) for substance, grams in self.released_g.items()}

    def rate_g_s(self) -> dict[str, Times]:
        """Return the mean rate between the times, g/s, shape (n - 1,)."""
        spans = np.diff(self.times_s)
        return {substance: np.diff(grams) / spans for substance, grams in self.released_g.items()}
