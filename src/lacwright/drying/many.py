"""Many coats in many airs: the central case alone, for hour tables and maps."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np

from lacwright.climate import dew_point_c
from lacwright.drying import hand as hand_
from lacwright.drying import params
from lacwright.drying.cases import Progress, Stack, base_case, older, run, stack, worse_haze
from lacwright.drying.coat import Board, Under, WetCoat
from lacwright.drying.compiling import kernel
from lacwright.drying.dry import HORIZON_S, MARGINAL, NO_STOP, WHITENS
from lacwright.drying.params import Array, constant
from lacwright.figures import Hand, Num, Refusal
from lacwright.figures.units import ZERO_C_K

UNTIL = {"touch_dry": 1, "print_free": 2, "recoat": 3, "sandable": 4}


@dataclass(frozen=True)
class Task:
    """A coat with what lies below it.

    Parameters
    ----------
    coat : WetCoat
    under : tuple of Under
        Coats below, the oldest first.
    board : Board
        Its own temperature, where given, is overridden by that of each hour.
    """

    coat: WetCoat
    under: tuple[Under, ...] = ()
    board: Board = field(default_factory=Board)


@dataclass(frozen=True, eq=False)
class Many:
    """Results of the central case, each of shape (hours, tasks); NaN where not reached.

    Parameters
    ----------
    film_min_c, film_min_s, chill_k, dew_margin_k, haze_index : array
    touch_dry_s, print_free_s, recoat_s, sandable_s : array
        The last three are NaN where the haze index says two-phase (`withheld`), and beyond the
        stage that was asked for.
    dew_point_c : array, shape (hours,)
    dry_um : array
        Dry lac of the coat and of all that it dissolves below [um].
    withheld : array of bool
        Where late times are withheld for the haze index.
    verdict : array of str
        "no stop", "marginal", "will whiten": of the film only.
    """

    film_min_c: Array
    film_min_s: Array
    chill_k: Array
    dew_margin_k: Array
    haze_index: Array
    touch_dry_s: Array
    print_free_s: Array
    recoat_s: Array
    sandable_s: Array
    dew_point_c: Array
    dry_um: Array
    withheld: np.ndarray[tuple[int, int], np.dtype[np.bool_]]
    verdict: np.ndarray[tuple[int, int], np.dtype[np.str_]]


def dry_many(
    *, tasks: Sequence[Task], temp_c: Num, rh: Num, speed_m_s: Num, board_c: Num | None = None,
    vapour_pa: Mapping[str, Num] | None = None, hand: Hand | None = None, until: str = "recoat",
    within_s: float = 86400.0, older_s: Array | None = None, parallel: bool = False,
    progress: Progress | None = None,
) -> Many:  # fmt: skip
    """Dry every task in every air.

    Parameters
    ----------
    tasks : sequence of Task
    temp_c, rh, speed_m_s : float or array, shape (hours,)
        Air [C], [0-1], [m/s]; they broadcast.
    board_c : float or array, optional
        Temperature of the board as the coat is laid [C]; the tasks', else the room's.
    vapour_pa : mapping of str to float or array, optional
        Vapours already in the room [Pa].
    hand : Hand, optional
        Own figures, as in `dry`.
    until : str
        Last stage asked for: touch_dry, print_free, recoat, sandable. The less, the quicker.
    within_s : float
        A stage later than that is NaN.
    older_s : array, optional, shape (hours,)
        By how much the coats below are older in each hour than their tasks say [s], 0 or more.
    parallel : bool
        On all cores, in threads: for the command line and worker processes, never in a server.
    progress : callable, optional
        Is told now and then how many coats are dried, of how many.

    Returns
    -------
    Many

    Raises
    ------
    Refusal
        For no task, an unknown stage, or air out of range.
    """
    if not tasks:
        raise Refusal("coats", "there are none", "name one")
    if until not in UNTIL:
        raise Refusal("until", f"'{until}' is no stage", "use one of: " + ", ".join(UNTIL))
    if not 0 < within_s <= HORIZON_S:
        raise Refusal("time", f"{within_s:g} s is outside 0 to {HORIZON_S:g} s", "ask for less")
    vapour = {params.substance(k): np.asarray(v, dtype=float) for k, v in (vapour_pa or {}).items()}
    arrays = np.broadcast_arrays(
        np.atleast_1d(np.asarray(temp_c, dtype=float)), np.asarray(rh, dtype=float),
        np.asarray(speed_m_s, dtype=float), *vapour.values(),
        *(() if board_c is None else (np.asarray(board_c, dtype=float),)),
        *(() if older_s is None else (np.asarray(older_s, dtype=float),)),
    )  # fmt: skip
    if arrays[0].ndim != 1:
        raise Refusal("hours", "they are not one row", "give one value for each hour")
    if not (np.all(arrays[2] >= 0) and all(np.all(v >= 0) for v in arrays[3 : 3 + len(vapour)])):
        raise Refusal("air", "a speed or a vapour is below zero or not a number",
                      "give 0 or more")  # fmt: skip
    all_temp = arrays[0]
    dew = np.asarray(dew_point_c(temp_c=all_temp, rh=arrays[1]))
    # Hours alike in all, as a logger in a room has many, are dried once.
    rows, back = np.unique(np.stack(arrays, axis=1), axis=0, return_inverse=True)
    temp, humid, speed, *more = np.ascontiguousarray(rows.T)
    ages = more.pop() if older_s is not None else None
    board = more.pop() if board_c is not None else None
    # After the tasks, coats on others once more by themselves: see `worse_haze`.
    layered = [j for j, t in enumerate(tasks) if t.under]
    bases = [stack(t.coat, t.under, t.board) for t in tasks]
    bases += [stack(tasks[j].coat, (), tasks[j].board) for j in layered]
    stacks: list[Stack] = []
    packed, which = [], []
    for j, one in enumerate(bases):
        case = base_case(
            one, temp_c=0.0, rh=0.0, speed_m_s=0.0, vapour_pa={}, least_end_s=0.0,
            end_s=within_s, stop=UNTIL[until] if j < len(tasks) else UNTIL["touch_dry"],
            haze_stop=constant("haze_withheld"),
        )  # fmt: skip
        packed.append(_filled(one.substances, case, one.board_c, temp, humid, speed,
                              dict(zip(vapour, more, strict=True)), board))  # fmt: skip
        if ages is None or len(one.sequence) == 1:
            which.append(np.full(len(temp), len(stacks)))
            stacks.append(one)
        else:
            which.append(len(stacks) + np.arange(len(temp)))
            stacks += [older(one, float(by_s)) for by_s in ages]
    # Hour by hour, so that long and short coats come in turn.
    cases = np.stack(packed, axis=1).reshape(len(temp) * len(bases), -1)
    hand_.central_factors(cases, hand or {})
    told = run(stacks, cases, np.stack(which, axis=1).reshape(-1), parallel=parallel,
               progress=progress)[0].reshape(len(temp), len(bases), -1)  # fmt: skip
    haze = kernel().HAZE
    for k, j in enumerate(layered, len(tasks)):
        told[:, j, haze] = worse_haze(told[:, j, haze], told[:, k, haze])
    dry_um = np.array([t.coat.dry_um + sum(u.coat.dry_um for u in t.under) for t in tasks])
    return _many(told[back.reshape(-1), : len(tasks)], all_temp, dew, dry_um)


def _filled(
    names: tuple[str, ...], case: Array, task_c: float | None, temp: Array, humid: Array,
    speed: Array, vapour: Mapping[str, Array], board_c: Array | None,
) -> Array:  # fmt: skip
    model = kernel()
    cases = np.repeat(case[None], len(temp), axis=0)
    kelvin = temp + ZERO_C_K
    cases[:, model.AIR_TEMP], cases[:, model.SPEED] = kelvin, speed
    if board_c is not None:
        cases[:, model.BOARD_TEMP] = board_c + ZERO_C_K
    elif task_c is None:
        cases[:, model.BOARD_TEMP] = kelvin
    for k, name in enumerate(names):
        if name in vapour:
            cases[:, model.P_AIR + k] = vapour[name]
    a, b, c = params.solvent(params.WATER)[:3]
    cases[:, model.P_AIR + len(names) - 1] = humid * np.exp(a - b / (kelvin + c))
    return cases


def _many(told: Array, temp: Array, dew: Array, dry_um: Array) -> Many:
    model = kernel()
    film = told[..., model.FILM_MIN] - ZERO_C_K
    margin, haze = film - dew[:, None], told[..., model.HAZE]
    withheld = haze > constant("haze_withheld")
    late = np.where(withheld[..., None], np.nan,
                    told[..., [model.PRINT_AT, model.RECOAT_AT, model.SAND_AT]])  # fmt: skip
    # No haze index: it does not get touch-dry in the time asked for.
    whitens = (margin <= 0) | (haze > constant("haze_whitens")) | np.isnan(haze)
    words = np.where(whitens, WHITENS,
                     np.where(haze >= constant("haze_marginal"), MARGINAL, NO_STOP))  # fmt: skip
    return Many(
        film_min_c=film, film_min_s=told[..., model.FILM_MIN_AT], chill_k=temp[:, None] - film,
        dew_margin_k=margin, haze_index=haze, touch_dry_s=told[..., model.TOUCH_AT],
        print_free_s=late[..., 0], recoat_s=late[..., 1], sandable_s=late[..., 2],
        dew_point_c=dew, dry_um=np.broadcast_to(dry_um, film.shape), withheld=withheld,
        verdict=words,
    )  # fmt: skip
