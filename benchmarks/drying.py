"""The drying coat, side by side with what one would otherwise run, as ratios in one run.

    .venv/bin/python benchmarks/drying.py [--small] [--bands]

The others are SciPy's implicit integrators on the independent version of the same equations
(tests/drying/oracle.py), on the same grid: (a) BDF with its NumPy right-hand side, (b) LSODA with
that of the compiled model. Each is set as loose as it may be to stay within 2 % of touch-dry,
0.1 K of the film minimum and 0.02 of the haze index, and a ratio is printed only where all
do. No test asserts a time. --bands prints the rows of trade/tables/drying_bands.csv instead.
"""

from __future__ import annotations

import argparse
import importlib.util
import math
import os
import statistics
import time
from collections.abc import Callable
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np

from lacwright.climate import Air
from lacwright.drying import (
    AIR,
    STEP,
    TOLERANCE,
    Board,
    Task,
    Under,
    WetCoat,
    compile_now,
    dry,
    dry_many,
    params,
    prior,
)
from lacwright.drying.bands import CLASSES, EARLY, FACTORS, LATE, class_of
from lacwright.drying.cases import base_case, run, stack
from lacwright.drying.compiling import kernel
from lacwright.drying.dry import HORIZON_S
from lacwright.figures.draws import Draws

ORACLE = Path(__file__).resolve().parent.parent / "tests" / "drying" / "oracle.py"
SPIRIT_190 = {"ethanol": 92.4176, "water": 7.5824}
COATS = {"pad 12 um": (12, 2.0), "thin 40 um": (40, 2.0), "spray 60 um": (60, 2.0),
         "brush 100 um": (100, 2.0)}  # fmt: skip
TASKS = [Task(WetCoat(um, cut, SPIRIT_190)) for um, cut in COATS.values()]
HEAVY = [
    Task(WetCoat(um, cut, SPIRIT_190), tuple(Under(WetCoat(um, cut, SPIRIT_190), 86400.0 * n)
                                             for n in range(below, 0, -1)))
    for um, cut, below in ((150, 2, 0), (110, 4, 0), (100, 2, 1), (80, 2, 2), (12, 2, 1))
]  # fmt: skip
"""Beside those, for the bands of late times: thick ones, and coats on coats a day apart."""
ROOM = {"temp_c": 20.0, "rh": 0.45, "speed": 0.1}
GOALS = {"BDF, NumPy": (300, 1000), "LSODA, compiled": (40, 100)}


def main() -> None:
    """Run all and print a line each."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--small", action="store_true", help="few repeats, so that it does not rot")
    parser.add_argument("--bands", action="store_true", help="print the rows of the bands' table")
    asked = parser.parse_args()
    os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
    compile_now(print)
    if asked.bands:
        print_bands()
        return
    batch(asked.small)
    ratios(asked.small)


def batch(small: bool) -> None:
    """Hours times four coats, to recoat."""
    rng = np.random.default_rng(1)
    goals = ((1, "none"),) if small else ((14, "below 2 s"), (365, "below 30 s"))
    for days, goal in goals:
        hours = 24 * days
        # Rooms as they are: 10 to 28 C, 25 to 85 %.
        air = {"temp_c": rng.uniform(10, 28, hours), "rh": rng.uniform(0.25, 0.85, hours),
               "speed_m_s": 0.1}  # fmt: skip
        for parallel in (False, True):
            took, told = timed(
                lambda air=air, parallel=parallel: dry_many(
                    tasks=TASKS, until="recoat", parallel=parallel, **air
                ),
                1 if days > 14 else 3,
            )
            where = "all cores" if parallel else "one core"
            print(f"{days} days of hours x 4 coats, {where:<9} {took:8.2f} s   goal {goal}"
                  f"   {took / told.haze_index.size * 1000:.2f} ms a coat")  # fmt: skip


def ratios(small: bool) -> None:
    """One coat to print-free: the model against SciPy."""
    oracle = load_oracle()
    for name in list(COATS)[-1:] if small else COATS:
        um, cut = COATS[name]
        right = reference(oracle, um, cut)
        packed = stack(WetCoat(um, cut, SPIRIT_190), (), Board())
        case = base_case(packed, temp_c=20.0, rh=0.45, speed_m_s=0.1, vapour_pa={},
                         least_end_s=0.0, end_s=86400.0, stop=2)  # fmt: skip
        which = np.zeros(1, dtype=np.int64)
        mine, told = timed(lambda p=packed, c=case, w=which: run([p], c[None], w)[0][0],
                           3 if small else 25)  # fmt: skip
        model = kernel()
        check("the model", {"touch_dry_s": told[model.TOUCH_AT], "haze_index": told[model.HAZE],
                            "film_min_c": told[model.FILM_MIN] - 273.15}, right)  # fmt: skip
        # The same coat in rooms like that one, to the same stage, on all cores.
        rooms = {"temp_c": np.linspace(18, 22, 40 if small else 2000), "rh": 0.45, "speed_m_s": 0.1}
        task = Task(WetCoat(um, cut, SPIRIT_190))
        took, _ = timed(lambda t=task, r=rooms: dry_many(
            tasks=[t], until="print_free", parallel=True, **r), 3)  # fmt: skip
        batched = took / len(rooms["temp_c"])
        print(f"{name:<14} the model {mine * 1000:8.2f} ms to print-free, {batched * 1000:.2f} ms "
              "each in a batch on all cores")  # fmt: skip
        for other, make in (("BDF, NumPy", plain), ("LSODA, compiled", compiled_rhs)):
            took, rtol = loosest(make, oracle, um, cut, right, 1 if small else 3)
            goal, goal_batch = GOALS[other]
            print(
                f"  {other:<16} rtol {rtol:.0e} {took * 1000:8.1f} ms  {took / mine:6.0f} x"
                f" (goal {goal})   in batch {took / batched:6.0f} x (goal {goal_batch})"
            )


def loosest(
    make: Callable[..., Callable[[float], dict[str, float]]], oracle: Any, um: float, cut: float,
    right: dict[str, float], repeats: int,
) -> tuple[float, float]:  # fmt: skip
    """Return the time and tolerance of the loosest setting that is accurate enough."""
    for rtol in (1e-2, 3e-3, 1e-3, 3e-4, 1e-4, 1e-5):
        solve = make(oracle, um, cut)
        solve(rtol)  # warm
        took, told = timed(lambda solve=solve, rtol=rtol: solve(rtol), repeats)
        if off(told, right) <= 1:
            return took, rtol
    raise SystemExit(f"none of the settings agrees for {um} um")


def plain(oracle: Any, um: float, cut: float) -> Callable[[float], dict[str, float]]:
    """BDF with the NumPy right-hand side."""
    one = make_oracle(oracle, um, cut)
    return lambda rtol: one.solve(7200.0, method="BDF", rtol=rtol)


def compiled_rhs(oracle: Any, um: float, cut: float) -> Callable[[float], dict[str, float]]:
    """LSODA with right-hand side and events out of the compiled model's own parts."""
    one = make_oracle(oracle, um, cut)
    packed = stack(WetCoat(um, cut, SPIRIT_190), (), Board())
    case = base_case(packed, temp_c=20.0, rh=0.45, speed_m_s=0.1, vapour_pa={}, least_end_s=0.0,
                     end_s=86400.0, stop=2)  # fmt: skip
    n_s, n, m = len(packed.substances), len(one.dz), len(one.dx)
    board, c, go = np.array([*packed.board, float(m)]), params.constants(), slopes()
    face, act, gas = np.zeros((n_s, n)), np.zeros(n_s), np.zeros(n_s)
    gap = 2 / (one.dz + np.concatenate([[0.0], one.dz[:-1]]))
    small, ln_d = np.zeros((n_s + 3, n_s)), np.zeros((2 * n_s, n))

    def rhs(_: float, y: np.ndarray[Any, Any]) -> np.ndarray[Any, Any]:
        return go(y, one.dz, one.dx, board, case, packed.solvents, packed.activity_b,
                  packed.activity_alpha, c, face, act, gas, gap, small, ln_d)  # fmt: skip

    seen, look = np.zeros(5), kernel()._look

    def watch(y: np.ndarray[Any, Any]) -> tuple[float, float, float]:
        look(y[: n_s * n].reshape(n_s, n), y[n_s * n], one.dz, n, case, packed.solvents, c, seen)
        return seen[0], seen[1], seen[2]

    one.watch = watch  # its events are compiled too
    return lambda rtol: one.solve(7200.0, method="LSODA", rtol=rtol, rhs=rhs)


@cache
def slopes() -> Any:
    """Compile the right-hand side for the other integrators."""
    from numba import njit

    model = kernel()
    coefficients = model._coefficients
    rho_r, cp_r, radiation, heat_t = (model.RESIN_RHO, model.RESIN_CP, model.RADIATION, model.H_T)
    a, b, c_, h0, h1, rho, cp, vm = (model.A, model.B, model.C, model.H0, model.H1, model.RHO,
                                     model.CP, model.VM)  # fmt: skip
    p_at, t_air = model.P_AIR, model.AIR_TEMP

    @njit(nogil=True, error_model="numpy")
    def go(y, dz, dx, board, case, s, tau_b, alpha, c, face, act, gas, gap, small, ln_d):  # type: ignore[no-untyped-def]
        n_s, n, m = s.shape[0], dz.shape[0], dx.shape[0]
        u = np.maximum(y[: n_s * n], 1e-30).reshape(n_s, n)
        heat = y[n_s * n :]
        h = coefficients(u, heat, gap, n, case, s, tau_b, alpha, c, face, act, gas, small, ln_d)
        out = np.empty_like(y)
        t_s = heat[0]
        store, taken = 0.0, 0.0
        for i in range(n):
            here = c[rho_r] * c[cp_r]
            for k in range(n_s):
                here += u[k, i] * s[k, rho] * s[k, cp]
            store += here * dz[i]
        for k in range(n_s):
            p = np.exp(s[k, a] - s[k, b] / (t_s + s[k, c_]))
            flow = (
                face[k, 0]
                * gas[k]
                * (act[k] * p * u[k, 0] - case[p_at + k])
                / (face[k, 0] + gas[k] * act[k] * p)
            )
            taken += flow * (s[k, h0] + s[k, h1] * (t_s - c[heat_t])) / s[k, vm]
            for i in range(n):
                after = face[k, i + 1] * (u[k, i] - u[k, i + 1]) if i < n - 1 else 0.0
                came = -flow if i == 0 else flow
                out[k * n + i] = (came - after) / dz[i]
                flow = after
        t_m = 0.5 * (t_s + case[t_air])
        down = board[0] / (0.5 * dx[0]) * (t_s - heat[1])
        out[n_s * n] = ((h + c[radiation] * t_m**3) * (case[t_air] - t_s) - taken - down) / store
        for j in range(m):
            after = (
                board[0] / (0.5 * (dx[j] + dx[j + 1])) * (heat[1 + j] - heat[2 + j])
                if j < m - 1
                else 0.0
            )
            out[n_s * n + 1 + j] = (down - after) / (board[1] * dx[j])
            down = after
        return out

    return go


def make_oracle(oracle: Any, um: float, cut: float) -> Any:
    """Return the independent version of a coat in the room."""
    return oracle.Oracle(
        parts=SPIRIT_190, wet_um=um, cut=cut, board="maple", thickness_m=0.02, **ROOM,
        film_shares=params.shares(params.FILM_CELLS, params.FILM_GROWTH),
        board_cells=params.board_cells(0.02),
    )  # fmt: skip


def reference(oracle: Any, um: float, cut: float) -> dict[str, float]:
    """Return what a tight tolerance gives."""
    told: dict[str, float] = make_oracle(oracle, um, cut).solve(7200.0, rtol=1e-6)
    return told


def off(told: dict[str, float], right: dict[str, float]) -> float:
    """Return the worst deviation, in units of what is asked for; infinite where one is missing."""
    touch = abs(told["touch_dry_s"] / right["touch_dry_s"] - 1) / 0.02
    film = abs(told["film_min_c"] - right["film_min_c"]) / 0.1
    haze = abs(told["haze_index"] - right["haze_index"]) / 0.02
    worst = max(touch, film, haze)
    return worst if worst == worst else math.inf


def check(name: str, told: dict[str, float], right: dict[str, float]) -> None:
    """Stop where a result is not accurate enough to be compared."""
    if off(told, right) > 1:
        raise SystemExit(f"{name} is off: {told} against {right}")


def print_bands() -> None:
    """Print the table of bands, from draws over typical rooms and coats."""
    rng = np.random.default_rng(5)
    rooms = [Air(None, rng.uniform(12, 27), rng.uniform(0.3, 0.6), 0.1) for _ in range(6)]
    panel = "panel"
    seen_air = prior(AIR).observe(1.0, params.constant("calibrated_touch_ln_sd"), panel)
    seen_step = prior(STEP).observe(
        params.constant("diffusion_step"), params.constant("calibrated_step_ln_sd"), panel
    )
    print_tolerance(rooms)
    known = {TOLERANCE: replace(prior(TOLERANCE), ln_sd=1e-9)}
    for state, hand in (("uncalibrated", {}), ("air", {AIR: seen_air}),
                        ("bench", {AIR: seen_air, STEP: seen_step})):  # fmt: skip
        found: dict[str, list[tuple[float, float]]] = {}
        for air in rooms:
            for task in TASKS:
                wide = edges(task, air, hand)
                wide["haze_index"] = edges(task, air, hand | known)["haze_index"]
                for name in EARLY:
                    found.setdefault(name, []).append(wide[name])
                for name in LATE:
                    if name in wide:
                        found.setdefault(f"{name}.{class_word(task)}", []).append(wide[name])
            for task in HEAVY:
                for name, pair in edges(task, air, hand).items():
                    if name in LATE:
                        found.setdefault(f"{name}.{class_word(task)}", []).append(pair)
        of_names = [*EARLY, *(f"{name}.{word}" for name in LATE for word in CLASSES)]
        for name in of_names:
            low, high = (statistics.median(pair[side] for pair in found[name]) for side in (0, 1))
            print(f"{state}.{name},1,{low:.2f},{high:.2f},1,guess,{DRAWN}")


DRAWN = ('"a guess, derived from draws of the constants of the drying coat, over 6 rooms and the '
         'coats of benchmarks/drying.py: the median of their bands"')  # fmt: skip


def class_word(task: Task) -> str:
    """Return the class of a coat with all below it."""
    dry_um = task.coat.dry_um + sum(u.coat.dry_um for u in task.under)
    return CLASSES[int(class_of(np.array(dry_um)))]


def edges(task: Task, air: Air, hand: dict[str, Any]) -> dict[str, tuple[float, float]]:
    """Return low and high as factors on the central case, where draws stay within the horizon."""
    told = dry(coat=task.coat, under=task.under, air=air, hand=hand, draws=Draws(256)).figures()
    return {
        name: (f.low / f.value, f.high / f.value)
        for name in FACTORS if (f := told[name]).value is not None
        and (name not in LATE or f.high < HORIZON_S)
    }  # fmt: skip


def print_tolerance(rooms: list[Air]) -> None:
    """Print by what power of one over the tolerance the haze index goes."""
    mid, ln_sd = prior(TOLERANCE).posterior()
    haze = [
        dry_many(tasks=TASKS, temp_c=[r.temp_c for r in rooms], rh=[r.rh for r in rooms],
                 speed_m_s=0.1, until="touch_dry",
                 hand={TOLERANCE: replace(prior(TOLERANCE), mid=mid * math.exp(side * ln_sd))}
                 ).haze_index for side in (-1, 1)
    ]  # fmt: skip
    power = np.log(haze[0] / haze[1]) / (2 * ln_sd)
    told = ",".join(f"{x:.2f}" for x in (np.median(power), power.min(), power.max()))
    print(f"tolerance.haze_index,{told},1,guess,"
          '"a guess, computed with the model of the drying coat over 6 rooms and 4 coats: by so '
          'many per cent the haze index falls where the tolerance rises by one"')  # fmt: skip


def load_oracle() -> Any:
    """Return the module of the independent version, which lies beside the tests."""
    spec = importlib.util.spec_from_file_location("oracle", ORACLE)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def timed(call: Callable[[], Any], repeats: int) -> tuple[float, Any]:
    """Return the shortest time, which the rest of the machine disturbs least, and the result."""
    call()
    took, told = [], None
    for _ in range(repeats):
        begun = time.perf_counter()
        told = call()
        took.append(time.perf_counter() - begun)
    return min(took), told


if __name__ == "__main__":
    main()
