"""Cases for the compiled model: packed, run, and told back."""

from __future__ import annotations

import os
from collections.abc import Callable, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from contextlib import nullcontext
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from lacwright.climate import Air
from lacwright.drying import params
from lacwright.drying.coat import Board, Under, WetCoat, film_m
from lacwright.drying.compiling import kernel
from lacwright.drying.params import WATER, Array, constant
from lacwright.figures import Refusal, central
from lacwright.figures.units import ZERO_C_K

Progress = Callable[[int, int], None]
BLOCK = 16
"""So many cases are dried in one go: a hundredth of a second, more of coats on coats."""
LEVELS = ("touch_dry", "print_free", "recoat", "sandable")


@dataclass(frozen=True)
class Stack:
    """A coat, those below it and the board, ready for the kernel."""

    substances: tuple[str, ...]
    sequence: Array
    solvents: Array
    activity_b: Array
    activity_alpha: Array
    board: tuple[float, float, float]
    cells: Array
    face: tuple[float, float]
    board_c: float | None


def stack(coat: WetCoat, under: Sequence[Under], board: Board) -> Stack:
    """Pack a coat with those below it.

    Raises
    ------
    Refusal
        If the coats below are not older than one another in their order, or hold too many
        substances together.
    """
    ages = [u.age_s for u in under]
    if any(a <= b for a, b in pairwise(ages)):
        raise Refusal("coats below", "their ages do not fall", "give the oldest coat first")
    coats = [*(u.coat for u in under), coat]
    names = (*dict.fromkeys(k for c in coats for k in c.parts if k != WATER), WATER)
    model = kernel()
    if len(names) > model.MOST_SOLVENTS:
        raise Refusal("alcohol", f"the coats hold {len(names)} substances together",
                      f"leave out the least: at most {model.MOST_SOLVENTS}")  # fmt: skip
    lasts = [a - b for a, b in pairwise([*ages, 0.0])] + [0.0]
    sequence = np.zeros((len(coats), model.COAT_COLUMNS))
    for row, each, seconds in zip(sequence, coats, lasts, strict=True):
        volumes = each.volumes()
        row[model.THICK], row[model.LASTS] = film_m(each), seconds
        for k, name in enumerate(names):
            row[model.U_0 + k] = volumes.get(name, 0.0)
    b, alpha = params.activity(names)
    row_ = params.board_row(board.wood)
    return Stack(
        names, sequence, np.array([params.solvent(name) for name in names]), b, alpha,
        (row_.number("conductivity_w_m_k"),
         row_.number("density_kg_m3") * row_.number("heat_capacity_j_kg_k"),
         float(board.free_both_sides)),
        params.board_cells(board.thickness_mm / 1000), (board.length_m, float(board.vertical)),
        board.temp_c,
    )  # fmt: skip


def older(packed: Stack, by_s: float) -> Stack:
    """Return a stack whose coats below are so much older as the last is laid."""
    model, sequence = kernel(), packed.sequence.copy()
    if len(sequence) > 1:
        sequence[-2, model.LASTS] += by_s
    return replace(packed, sequence=sequence)


def base_case(
    packed: Stack, *, temp_c: float, rh: float, speed_m_s: float, vapour_pa: Mapping[str, float],
    least_end_s: float, end_s: float, stop: int, haze_stop: float = np.inf,
) -> Array:  # fmt: skip
    """Return the central case of a stack in an air."""
    model = kernel()
    case = np.zeros(model.CASE_COLUMNS)
    case[model.AIR_TEMP] = temp_c + ZERO_C_K
    case[model.SPEED] = speed_m_s
    board_c = temp_c if packed.board_c is None else packed.board_c
    case[model.BOARD_TEMP] = board_c + ZERO_C_K
    for column in (model.AIR_FACTOR, model.XI_FACTOR, model.BOARD_FACTOR, model.WET_FACTOR):
        case[column] = 1.0
    case[model.F_TOL] = constant("water_tolerance")
    case[model.CHI_WATER] = packed.solvents[-1, model.CHI]
    case[model.LENGTH], case[model.TALL] = packed.face
    case[model.LEAST_END], case[model.END] = least_end_s, end_s
    case[model.STOP], case[model.HAZE_STOP] = stop, haze_stop
    for k, name in enumerate(packed.substances):
        case[model.P_AIR + k] = vapour_pa.get(name, 0.0)
    a, b, c = packed.solvents[-1, :3]
    case[model.P_AIR + len(packed.substances) - 1] = rh * np.exp(a - b / (case[model.AIR_TEMP] + c))
    return case


def run(
    stacks: Sequence[Stack], cases: Array, which: NDArray[np.int64], *, at_s: Array | None = None,
    parallel: bool = False, progress: Progress | None = None,
) -> tuple[Array, Array]:  # fmt: skip
    """Dry the cases; return what the kernel tells of each, and the course of each.

    Parameters
    ----------
    stacks : sequence of Stack
    cases : array, shape (n, CASE_COLUMNS)
    which : array of int, shape (n,)
        The stack of each case.
    at_s : array, optional
        Times of the course [s], rising from 0; without them no course is kept.
    parallel : bool
        On all cores, in threads; never in a server, whose other requests want them.
    progress : callable, optional
        Is told now and then how many cases are dried, of how many.
    """
    model = kernel()
    n, most = len(stacks), model.MOST_SOLVENTS
    deep = max(len(s.sequence) for s in stacks)
    sequence = np.zeros((n, deep, model.COAT_COLUMNS))
    solvents = np.zeros((n, most, model.SOLVENT_COLUMNS))
    b, alpha = np.zeros((n, most, most)), np.zeros((n, most, most))
    boards = np.zeros((n, 4))
    cells = np.zeros((n, params.BOARD_CELLS))
    for i, one in enumerate(stacks):
        k = len(one.substances)
        sequence[i, : len(one.sequence)] = one.sequence
        solvents[i, :k] = one.solvents
        b[i, :k, :k], alpha[i, :k, :k] = one.activity_b, one.activity_alpha
        boards[i] = (*one.board, params.BOARD_CELLS)
        cells[i] = one.cells
    at = np.zeros(0) if at_s is None else np.asarray(at_s, dtype=float)
    course = np.full((len(cases), at.size, model.C_MASS + most + 1), np.nan)
    told = np.empty((len(cases), model.RESULTS))
    cases, which = np.ascontiguousarray(cases), np.asarray(which, dtype=np.int64)
    long_ = np.array([len(s.sequence) for s in stacks])
    many = np.array([len(s.substances) for s in stacks])
    film = params.shares(params.FILM_CELLS, params.FILM_GROWTH)
    under = params.shares(params.UNDER_CELLS, params.UNDER_GROWTH)
    c = params.constants()

    whole = len(cases)

    def dry(first: int) -> int:
        rows = slice(first, min(first + BLOCK, whole))
        model.dry_cases(cases[rows], which[rows], sequence, long_, solvents, many, b, alpha, boards,
                        cells, film, under, c, at, course[rows], told[rows])  # fmt: skip
        return int(rows.stop)

    blocks = range(0, whole, BLOCK)
    # Each thread takes the next block: with a core that is busy elsewhere, the other does more.
    crew = ThreadPoolExecutor(_cores()) if parallel and len(blocks) > 1 else None
    with crew or nullcontext():
        for done in (crew.map if crew else map)(dry, blocks):
            if progress is not None:
                progress(done, whole)
    return told, course


def _cores() -> int:
    """Return how many cores this process may use."""
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1


def still_known(air: Air) -> tuple[float, float, float, dict[str, float]]:
    """Return temperature, humidity, speed and vapours of an air whose speed is known.

    Raises
    ------
    Refusal
        If it is not, or if it holds a vapour that no table has.
    """
    if air.speed_m_s is None:
        raise Refusal("air speed", "it is not known, and touch-dry hangs on it",
                      "give it; in a closed room people often count with 0.1 m/s")  # fmt: skip
    vapour = {params.substance(k): central(v) for k, v in air.vapour_pa.items()}
    return central(air.temp_c), central(air.rh), central(air.speed_m_s), vapour


def worse_haze(on_coats: Array, by_itself: Array) -> Array:
    """Return the haze index of coats that lie on others.

    In the model the water of a coat spreads into all that it dissolves before it is touch-dry,
    and a coat on three others would hardly ever whiten, which no bench knows. So the coat by
    itself, on a ground that takes nothing, counts where that is worse.

    Parameters
    ----------
    on_coats, by_itself : array
        The two indices; NaN where a coat does not get touch-dry.
    """
    return np.where(np.isnan(on_coats), np.nan, np.fmax(on_coats, by_itself))
