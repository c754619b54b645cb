"""Rows of the tables as the arrays of the model."""

from __future__ import annotations

import math
from functools import cache, lru_cache

import numpy as np
from numpy.typing import NDArray

from lacwright.figures import Figure, Refusal, nearest
from lacwright.trade import table
from lacwright.trade.table import Row

Array = NDArray[np.float64]
WATER = "water"
MM2_M2, G_KG = 1e-6, 1e-3

TOLERANCE, T_TOLERANCE_K = 0.005, 0.02
"""Most that a step and two half steps may differ: mean share of a solvent, temperature [K]."""
U_FLOOR = 0.02
FIRST_STEP_S, LONGEST_STEP_S = 0.02, 7200.0
Y_MOST = 0.9
HAZE_TOLERANCE = 0.001
"""The same of the haze index, shortly before touch-dry."""
FILM_CELLS, FILM_GROWTH = 14, 1.45
UNDER_CELLS, UNDER_GROWTH = 10, 1.6
BOARD_CELLS, BOARD_FIRST_M = 12, 1.5e-4


@cache
def constant(key: str) -> float:
    """Return a value of the table of the drying coat."""
    return table("drying")[key].number("value")


def constant_figure(key: str) -> Figure:
    """Return a row of the table of the drying coat with its band, mark and source."""
    return table("drying")[key].figure()


@cache
def resin_density_g_ml() -> float:
    """Return the density of lac where none is given."""
    return table("solution")["resin_density"].number("value")


def substance(name: str) -> str:
    """Return the key of a solvent the model knows.

    Raises
    ------
    Refusal
        For a substance whose properties are not in the table.
    """
    rows = table("drying_solvents")
    try:
        return rows.find(name, "alcohol").key
    except Refusal:
        raise Refusal("alcohol", f"how {name} dries is in no table",
                      nearest(name, rows.rows)) from None  # fmt: skip


@cache
def solvent(key: str) -> tuple[float, ...]:
    """Return a solvent's columns in the order of the kernel, without the step of diffusion."""
    row, in_resin = table("drying_solvents")[key], table("drying_in_resin")[key]
    return solvent_columns(
        {c: row.number(c) for c in row.fields if c not in ("key", "also", "mark", "source")},
        glass_k=in_resin.number("glass_k"),
        step=constant("diffusion_step") * in_resin.number("step"),
        interaction=in_resin.number("interaction"),
    )


def solvent_columns(
    row: dict[str, float], *, glass_k: float, step: float, interaction: float
) -> tuple[float, ...]:
    """Return the kernel's columns of a solvent from the columns of its table.

    The diffusivity to that of heat is the same at every temperature: both grow with T^1.75.
    """
    molar, density = row["molar_mass_g"] * G_KG, row["density_kg_m3"]
    warmed = (constant("air_at") / constant("diffusivity_at")) ** 1.75
    lewis = row["diffusivity_mm2_s"] * MM2_M2 * warmed / constant("air_temperature_diffusivity")
    return (
        row["a"], row["b_k"], row["c_k"], row["heat_j_mol"], row["heat_slope_j_mol_k"],
        lewis ** (2 / 3), density, row["heat_capacity_j_mol_k"] / molar, molar / density,
        density / glass_k, step, interaction, molar,
    )  # fmt: skip


def activity(substances: tuple[str, ...]) -> tuple[Array, Array]:
    """Return NRTL's b [K] and alpha between the substances; a pair without a row is ideal."""
    rows = table("drying_activity")
    n = len(substances)
    b, alpha = np.zeros((n, n)), np.zeros((n, n))
    for i, one in enumerate(substances):
        for j, other in enumerate(substances):
            if (key := f"{one}|{other}") in rows:
                b[i, j], b[j, i] = rows[key].number("b12_k"), rows[key].number("b21_k")
                alpha[i, j] = alpha[j, i] = rows[key].number("alpha")
    return b, alpha


@cache
def board_row(name: str) -> Row:
    """Return the row of the boards that stands for a wood (or glass, steel, paper).

    Raises
    ------
    Refusal
        For a name that neither the boards nor the woods have.
    """
    boards, woods = table("drying_boards"), table("woods")
    known = {n.lower(): row for row in boards for n in row.names()}
    plain = name.strip().lower()
    if plain in known:
        return known[plain]
    try:
        return known.get(woods.find(name, "board").key) or boards["maple"]
    except Refusal as refusal:
        names = dict.fromkeys([*(n for row in woods for n in row.names()), *known])
        raise Refusal("board", refusal.what, nearest(name, names)) from None


@cache
def constants() -> Array:
    """Return the kernel's constants in its order."""
    g = constant
    radiation = 4 * g("emissivity") * g("stefan_boltzmann")
    resin_rho = resin_density_g_ml() / G_KG
    return np.array([
        g("pressure"), g("gas_constant"), g("air_molar_mass") * G_KG, g("air_heat_capacity"),
        g("air_conductivity"), g("air_viscosity"), g("air_temperature_diffusivity"), g("air_at"),
        g("gravity"), radiation, g("air_at"), resin_rho, g("resin_heat_capacity"),
        g("resin_glass"), math.log(g("dilute_diffusivity")), g("wlf_a"), g("wlf_b"),
        g("glass_slope"), g("wet_lambda"), g("ln_viscosity_glass"),
        math.log(g("touch_viscosity")), math.log(g("print_viscosity")), g("recoat_gap"),
        g("dry_water"), g("nu_forced"), g("nu_flat"), g("nu_tall_0"), g("nu_tall_1"),
        g("nu_tall_2"), g("least_speed"), TOLERANCE, T_TOLERANCE_K, U_FLOOR, FIRST_STEP_S,
        LONGEST_STEP_S, Y_MOST, HAZE_TOLERANCE,
    ])  # fmt: skip


def shares(cells: int, growth: float) -> Array:
    """Return the thickness of cells that grow from the first, as shares of the whole."""
    sizes = growth ** np.arange(cells)
    return np.asarray(sizes / sizes.sum())


@lru_cache(maxsize=64)
def board_cells(thickness_m: float) -> Array:
    """Return the thickness [m] of the cells of a board, from the coated face down."""
    first = min(BOARD_FIRST_M, thickness_m / BOARD_CELLS)
    low, high = 1.0, 10.0
    for _ in range(60):  # the growth at which the cells just fill the board
        middle = (low + high) / 2
        if first * (middle ** np.arange(BOARD_CELLS)).sum() < thickness_m:
            low = middle
        else:
            high = middle
    return shares(BOARD_CELLS, (low + high) / 2) * thickness_m
