"""Air: what is known of the air at a place and time."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime

import numpy as np

from lacwright.climate import water
from lacwright.figures import Num, Refusal


@dataclass(frozen=True, eq=False)
class Air:
    """Air at a time.

    Parameters
    ----------
    at : datetime or None
        When; None for air that is not tied to an hour.
    temp_c : float or array
        Temperature [C], -20 to 60.
    rh : float or array
        Relative humidity as a fraction, above 0 up to 1.
    speed_m_s : float, array or None
        Speed of the air over the work [m/s], 0 or more; None where it is not known (there is no
        default: what needs it says so).
    vapour_pa : mapping of str to float or array
        Partial pressures of other vapours already in the air [Pa], by substance.

    Raises
    ------
    Refusal
        For a value outside its range.
    """

    at: datetime | None
    temp_c: Num
    rh: Num
    speed_m_s: Num | None = None
    vapour_pa: Mapping[str, Num] = field(default_factory=dict)

    def __post_init__(self) -> None:
        water.vapour_pa(temp_c=self.temp_c, rh=self.rh)
        if self.speed_m_s is not None:
            water.within(self.speed_m_s, 0, np.finfo(float).max, where="air speed", unit="m/s",
                         mend="write e.g. 0.1 m/s")  # fmt: skip
        for substance, pressure in self.vapour_pa.items():
            if not np.all(np.isfinite(pressure) & (np.asarray(pressure) >= 0)):
                raise Refusal(f"vapour of {substance}", "a pressure below zero or not a number",
                              "give pascals, 0 or more")  # fmt: skip
        object.__setattr__(self, "vapour_pa", dict(self.vapour_pa))

    @property
    def water_pa(self) -> Num:
        """Pressure of its water vapour [Pa]."""
        return water.vapour_pa(temp_c=self.temp_c, rh=self.rh)

    @property
    def dew_point_c(self) -> Num:
        """Dew point [C]."""
        return water.dew_point_c(temp_c=self.temp_c, rh=self.rh)
