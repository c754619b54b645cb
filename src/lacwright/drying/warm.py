"""The smallest run that makes the compiler work."""

from __future__ import annotations

import numpy as np

from lacwright.drying.cases import base_case, run, stack
from lacwright.drying.coat import Board, WetCoat


def warm() -> None:
    """Dry one coat for a second."""
    packed = stack(WetCoat(50.0, 2.0, {"ethanol": 1.0}), (), Board())
    case = base_case(packed, temp_c=20.0, rh=0.5, speed_m_s=0.1, vapour_pa={}, least_end_s=0.0,
                     end_s=1.0, stop=1)  # fmt: skip
    which = np.zeros(1, dtype=np.int64)
    run([packed], case[None], which)
