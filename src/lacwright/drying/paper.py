"""A liquid alone on filter paper: the standard test of evaporation rates, as the model has it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from lacwright.drying import params
from lacwright.drying.cases import Stack, run
from lacwright.drying.compiling import kernel
from lacwright.drying.params import WATER, Array, constant
from lacwright.figures.units import ZERO_C_K
from lacwright.trade import table

TRACE = 1e-4  # resin by volume: the kernel needs some, and it must not be felt
POINTS = 400


@dataclass(frozen=True, eq=False)
class Loss:
    """A liquid on paper over time.

    Parameters
    ----------
    times_s, left_share, film_c : array, shape (n,)
        Seconds, share of the first mass that is left, temperature of the liquid [C].
    """

    times_s: Array
    left_share: Array
    film_c: Array

    def time_to_lose_s(self, lost_share: float = 0.9) -> float:
        """Return when that share is lost, by a line between two times; NaN where it is not."""
        wanted = 1 - lost_share
        below = np.nonzero(self.left_share <= wanted)[0]
        if below.size == 0:
            return float("nan")
        i = max(int(below[0]), 1)
        t, left = self.times_s[i - 1 : i + 1], self.left_share[i - 1 : i + 1]
        return float(t[0] + (left[0] - wanted) / (left[0] - left[1]) * (t[1] - t[0]))


def on_paper(
    *, parts: Mapping[str, float], temp_c: float = 25.0, rh: float = 0.0,
    liquid_ml: float = 0.7, paper_cm: float = 9.0, convection_w_m2_k: float | None = None,
    more: Mapping[str, Sequence[float]] | None = None,
) -> Loss:  # fmt: skip
    """How a liquid on filter paper, free on both faces, leaves it.

    The film equations of the coat with all but no resin: vapour pressure, flow of the vapour
    itself, heat and mass in step, cooling by its own evaporation, heat from the room's walls
    (equations 3 to 8).

    Parameters
    ----------
    parts : mapping of str to float
        Share by mass of each substance.
    temp_c, rh : float
        Of the air [C], [0-1].
    liquid_ml, paper_cm : float
        Volume of the liquid and diameter of the paper.
    convection_w_m2_k : float, optional
        Heat carried by the air [W/m2K]; a row of the table, fitted to n-butyl acetate, if left
        out.
    more : mapping, optional
        Columns of substances that are not in the table, in the order of the kernel.

    Returns
    -------
    Loss
        For a day at most.

    References
    ----------
    ASTM D3539, Evaporation Rates of Volatile Liquids by Shell Thin-Film Evaporometer (the test).
    """
    model = kernel()
    names = (*(k for k in parts if k != WATER), WATER)
    columns = [tuple((more or {}).get(k) or params.solvent(k)) for k in names]
    solvents = np.array(columns)
    mass = np.array([parts.get(k, 0.0) for k in names])
    litres = mass / solvents[:, model.RHO]
    # Half the paper, with half the liquid, and nothing passing the middle.
    wet_m = liquid_ml * 1e-6 / (np.pi / 4 * (paper_cm / 100) ** 2) / 2
    coat = np.zeros((1, model.COAT_COLUMNS))
    coat[0, model.THICK] = wet_m * TRACE
    coat[0, model.U_0 : model.U_0 + len(names)] = litres / litres.sum() / TRACE
    known = tuple(k if k in table("drying_solvents") else "" for k in names)
    b, alpha = params.activity(known)
    paper = params.board_row("paper")
    half_m = constant("paper_um") * 1e-6 / 2
    stack = Stack(
        names, coat, solvents, b, alpha,
        (paper.number("conductivity_w_m_k"),
         paper.number("density_kg_m3") * paper.number("heat_capacity_j_kg_k"), 0.0),
        params.board_cells(half_m), (paper_cm / 100, 0.0), None,
    )  # fmt: skip
    case = np.zeros(model.CASE_COLUMNS)
    case[model.AIR_TEMP] = case[model.BOARD_TEMP] = temp_c + ZERO_C_K
    for column in (model.AIR_FACTOR, model.XI_FACTOR, model.BOARD_FACTOR, model.WET_FACTOR):
        case[column] = 1.0
    case[model.F_TOL] = constant("water_tolerance")
    case[model.CHI_WATER] = params.solvent(WATER)[model.CHI]
    case[model.LENGTH] = paper_cm / 100
    case[model.FIXED_H] = convection_w_m2_k or constant("evaporometer_convection")
    case[model.END], case[model.STOP], case[model.HAZE_STOP] = model.DAY, 9, np.inf
    a, b_k, c_k = solvents[-1, :3]
    case[model.P_AIR + len(names) - 1] = rh * np.exp(a - b_k / (temp_c + ZERO_C_K + c_k))
    at = np.concatenate([[0.0], np.geomspace(1.0, model.DAY, POINTS)])
    _, course = run([stack], case[None], np.zeros(1, dtype=np.int64), at_s=at)
    seen = course[0][~np.isnan(course[0][:, -1])]
    left = seen[:, model.C_MASS : model.C_MASS + len(names)].sum(axis=1)
    start = wet_m * (litres / litres.sum() * solvents[:, model.RHO]).sum()
    return Loss(seen[:, -1], left / start, seen[:, model.C_TEMP] - ZERO_C_K)
