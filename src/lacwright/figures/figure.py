"""Figure: a number that carries its band, basis, mark, source and working."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from lacwright.figures.marks import Basis, Mark, weakest
from lacwright.figures.working import Working

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray


@dataclass(frozen=True)
class Figure:
    """A number as it may be shown.

    Parameters
    ----------
    value : float or None
        The central case: what the working gives from the stated inputs. Never a percentile.
    low, high : float or None
        5th and 95th percentile. Equal to `value` where nothing is uncertain.
    unit : str
        Unit as printed ("g", "ml", "um", "m2", "h", "1").
    basis : Basis
        given, computed, default or learned.
    mark : Mark
        Of a computed figure, the weakest of its inputs'.
    source : str
        Where the value or its inputs come from.
    working : Working or None
        Formula and inputs; None for a value that was given or looked up.
    missing : str or None
        Why there is no value. Set exactly when `value` is None.
    """

    value: float | None
    low: float | None
    high: float | None
    unit: str
    basis: Basis
    mark: Mark
    source: str
    working: Working | None = None
    missing: str | None = None

    def __post_init__(self) -> None:
        if (self.value is None) != (self.missing is not None):
            raise ValueError("a figure has either a value or the reason why it has none")
        if self.value is None:
            return
        if not math.isfinite(self.value):
            raise ValueError(f"a figure must be finite, not {self.value}")
        # The central case can lie outside the 5-95 % band where a rounding step (whole coats)
        # acts on a skewed spread; the band shown must then be stretched to hold it.
        low = self.value if self.low is None else min(self.low, self.value)
        high = self.value if self.high is None else max(self.high, self.value)
        if not (math.isfinite(low) and math.isfinite(high)):
            raise ValueError(f"a band must be finite, not {self.low} to {self.high}")
        object.__setattr__(self, "low", low)
        object.__setattr__(self, "high", high)

    def number(self) -> float:
        """Return the value; raise ValueError where it is missing."""
        if self.value is None:
            raise ValueError(self.missing)
        return self.value

    def with_band(self, low: float, high: float) -> Figure:
        """Return the same figure with another band."""
        return replace(self, low=low, high=high)

    def as_json(self) -> dict[str, Any]:
        """Return plain data: stable keys, null with a reason, no NaN."""
        out: dict[str, Any] = {
            "value": self.value, "low": self.low, "high": self.high, "unit": self.unit,
            "basis": str(self.basis), "mark": str(self.mark), "source": self.source,
            "working": None,
        }  # fmt: skip
        if self.missing is not None:
            out["missing"] = self.missing
        if self.working is not None:
            out["working"] = {
                "formula": self.working.formula,
                "inputs": {
                    name: {
                        "value": f.value, "low": f.low, "high": f.high, "unit": f.unit,
                        "basis": str(f.basis), "mark": str(f.mark), "source": f.source,
                    }
                    for name, f in self.working.inputs
                },
                "note": self.working.note,
            }  # fmt: skip
        return out


def given(
    value: float, unit: str, source: str = "given", *, low: float | None = None,
    high: float | None = None,
) -> Figure:  # fmt: skip
    """Return a figure that the maker stated himself."""
    return Figure(value, low, high, unit, Basis.GIVEN, Mark.OWN, source)


def exact(value: float, unit: str, source: str = "definition") -> Figure:
    """Return a figure that holds by definition or counting."""
    return Figure(value, value, value, unit, Basis.GIVEN, Mark.EXACT, source)


def default(
    value: float, unit: str, mark: Mark, source: str, *, low: float | None = None,
    high: float | None = None,
) -> Figure:  # fmt: skip
    """Return a figure taken from a table because nobody said otherwise."""
    return Figure(value, low, high, unit, Basis.DEFAULT, mark, source)


def unknown(unit: str, reason: str) -> Figure:
    """Return a figure without a value; `reason` begins with "cannot estimate without"."""
    return Figure(None, None, None, unit, Basis.COMPUTED, Mark.EXACT, "", None, reason)


def computed(
    formula: str, unit: str, inputs: Mapping[str, Figure], *,
    draws: NDArray[np.float64] | None = None, note: str = "",
) -> Figure:  # fmt: skip
    """Return a figure from its working.

    Parameters
    ----------
    formula : str
        Arithmetic over the names in `inputs`.
    unit : str
        Unit of the result.
    inputs : mapping of str to Figure
        An input without a value makes the result missing, for the same reason.
    draws : array of float, shape (n + 1,), optional
        The same quantity from the vectorised model: column 0 the central case, the rest draws.
        It then gives value and band, and the formula is its independent check. Without them the
        band comes from the inputs' bands, see `Working.band`.
    note : str
        What the formula cannot say.
    """
    working = Working(formula, tuple(inputs.items()), note)
    for figure in inputs.values():
        if figure.value is None:
            return unknown(unit, figure.missing or "cannot estimate")
    mark = weakest(*(f.mark for f in inputs.values()))
    # Each source once, though it stands behind many inputs.
    source = "; ".join(
        dict.fromkeys(one for f in inputs.values() for one in f.source.split("; ") if one)
    )
    if draws is None:
        value, low, high = working.band()
        return Figure(value, low, high, unit, Basis.COMPUTED, mark, source, working)
    from lacwright.figures.draws import band

    value, low, high = band(draws)
    return Figure(value, low, high, unit, Basis.COMPUTED, mark, source, working)
