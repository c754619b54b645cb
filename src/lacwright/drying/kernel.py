"""The compiled model of one wet coat: heat, vapour, diffusion, readiness. The one file with numba.

All of it stands in this file because the cache on disk is renewed when *this file* changes and
does not see edits of a function it calls elsewhere. Import it only where a coat is computed: the
import costs as much as the start of the program. Equation numbers are those of the explanation
of the drying model.

Film in resin coordinates: `u[k, i]` is the volume of solvent k to a volume of resin in cell i,
cell 0 at the air. `heat[0]` is the temperature of the film, `heat[1:]` of the cells of the board
below it. A sub-step is a linearised backward Euler step: first heat, with the surface law
differentiated by temperature, then one tridiagonal system for each solvent with the surface law
implicit. Its matrix is an M-matrix, so nothing becomes negative. Two half steps against a whole
one give the error; two times the halves less the whole gives second order.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, TypeVar, cast

import numpy as np
from numba import njit
from numpy.typing import NDArray

F = TypeVar("F", bound=Callable[..., Any])
Array = NDArray[np.float64]
Ints = NDArray[np.int64]

# Columns of a solvent.
A, B, C, H0, H1 = 0, 1, 2, 3, 4  # ln p = A - B/(T + C); heat H0 + H1 (T - reference)
TRANSFER, RHO, CP, VM, RHO_TG, XI, CHI, MOLAR = 5, 6, 7, 8, 9, 10, 11, 12  # RHO_TG: RHO / Tg
SOLVENT_COLUMNS = 13
# Constants.
(PRESSURE, GAS, AIR_MOLAR, AIR_CP, AIR_K, AIR_NU, AIR_ALPHA, AIR_T, GRAVITY, RADIATION, H_T,
 RESIN_RHO, RESIN_CP, RESIN_TG, LN_DW, WLF_A, WLF_B, GLASS, WET_LAMBDA, LN_ETA_TG, TOUCH, PRINT,
 RECOAT_GAP, DRY_WATER, FORCED, FLAT, TALL_0, TALL_1, TALL_2, LEAST_SPEED, TOLERANCE, T_TOLERANCE,
 U_FLOOR, FIRST_STEP, LONGEST_STEP, Y_MOST, HAZE_TOLERANCE, CONSTANTS) = range(38)  # fmt: skip
WATCHED = 4.0  # ln viscosity before touch-dry from which on the haze index steers the steps
# A case: one coat in one air.
(AIR_TEMP, SPEED, BOARD_TEMP, AIR_FACTOR, XI_FACTOR, F_TOL, CHI_WATER, LENGTH, TALL, BOARD_FACTOR,
 LEAST_END, END, STOP, HAZE_STOP, WET_FACTOR, FIXED_H, P_AIR) = range(17)  # fmt: skip
MOST_SOLVENTS = 6
CASE_COLUMNS = P_AIR + MOST_SOLVENTS
# A coat of the sequence: thickness of its resin, time until the next, then u of each solvent.
THICK, LASTS, U_0 = 0, 1, 2
COAT_COLUMNS = U_0 + MOST_SOLVENTS
# A board.
BOARD_K, BOARD_RHO_CP, BOARD_FREE, BOARD_CELLS = 0, 1, 2, 3
# What is told of a case.
(FILM_MIN, FILM_MIN_AT, TOUCH_AT, PRINT_AT, RECOAT_AT, SAND_AT, HAZE, LEFT_1H, LEFT_24H, STEPS,
 WATER_MOST, RESULTS) = range(12)  # fmt: skip
# What is told at each time of a course: temperature, haze index, ln viscosity, then g/m2.
C_TEMP, C_HAZE, C_LN_ETA, C_MASS = 0, 1, 2, 3
HOUR, DAY = 3600.0, 86400.0


def _jit(function: F) -> F:
    compiled = njit(cache=True, nogil=True, error_model="numpy")(function)
    return cast(F, compiled)


@_jit
def _lambda(x: float, c: Array) -> float:
    """Williams, Landel and Ferry above the glass transition, a line below it (12)."""
    if x < 0.0:
        return float(c[GLASS] * x)
    return float(c[WLF_A] * x / (c[WLF_B] + x))


@_jit
def _convection(t_s: float, y: Array, case: Array, s: Array, c: Array) -> float:
    """Heat carried by the air over the face, W/m2K (5 to 7); `y`: vapour shares at the film."""
    if case[FIXED_H] > 0.0:
        return float(case[FIXED_H] * case[AIR_FACTOR])
    t_air = case[AIR_TEMP]
    t_m = 0.5 * (t_s + t_air)
    warm = t_m / c[AIR_T]
    grow = np.sqrt(warm * np.sqrt(warm))
    k, nu, alpha = c[AIR_K] * grow, c[AIR_NU] * grow * warm, c[AIR_ALPHA] * grow * warm
    prandtl = nu / alpha
    m_s, m_air = c[AIR_MOLAR], c[AIR_MOLAR]
    for i in range(s.shape[0]):
        m_s += y[i] * (s[i, MOLAR] - c[AIR_MOLAR])
        m_air += case[P_AIR + i] / c[PRESSURE] * (s[i, MOLAR] - c[AIR_MOLAR])
    lift = abs(m_s * t_air / (m_air * t_s) - 1.0)
    length = case[LENGTH]
    speed = max(case[SPEED], c[LEAST_SPEED])
    forced = k / length * c[FORCED] * np.sqrt(speed * length / nu) * np.cbrt(prandtl)
    if case[TALL] > 0.5:
        ra = c[GRAVITY] * lift * length * length * length / (nu * alpha)
        of_pr = (1.0 + (c[TALL_2] / prandtl) ** 0.5625) ** (4.0 / 9.0)
        natural = k / length * (c[TALL_0] + c[TALL_1] * np.sqrt(np.sqrt(ra)) / of_pr)
    else:
        across = 0.25 * length  # area over perimeter of a square
        ra = c[GRAVITY] * lift * across * across * across / (nu * alpha)
        natural = k / across * c[FLAT] * ra**0.2
    both = forced * forced * forced + natural * natural * natural
    return float(case[AIR_FACTOR] * np.cbrt(both))


@_jit
def _film(
    u: Array, gap: Array, n: int, t_s: float, xi_factor: float, s: Array, c: Array, ln_d: Array,
    face: Array,
) -> None:  # fmt: skip
    """Conductances between the cells of the film, m/s (2, 11 to 13); `face[k, 0]` to the air side.

    `gap[i]`: one over the distance from the middle of cell i to that above, of cell 0 to the air.

    The mean of two cells is the logarithmic one, exact for a diffusivity exponential in depth.
    """
    n_s = s.shape[0]
    resin_over = c[RESIN_RHO] / c[RESIN_TG]
    for i in range(n):
        total, mass, over = 1.0, c[RESIN_RHO], resin_over
        for k in range(n_s):
            total += u[k, i]
            mass += s[k, RHO] * u[k, i]
            over += s[k, RHO_TG] * u[k, i]
        free = (_lambda(t_s - mass / over, c) - c[WET_LAMBDA]) * xi_factor
        base = c[LN_DW] - 2.0 * np.log(total)
        for k in range(n_s):
            here = base + s[k, XI] * free
            ln_d[k, i] = here
            ln_d[n_s + k, i] = np.exp(here)
    for k in range(n_s):
        face[k, 0] = ln_d[n_s + k, 0] * gap[0]
        for i in range(1, n):
            step = ln_d[k, i - 1] - ln_d[k, i]
            high, low = ln_d[n_s + k, i - 1], ln_d[n_s + k, i]
            mean = 0.5 * (high + low) if abs(step) < 1e-3 else (high - low) / step
            face[k, i] = mean * gap[i]


@_jit
def _activity(
    u: Array, t_s: float, case: Array, s: Array, tau_b: Array, alpha: Array, c: Array, act: Array,
    work: Array,
) -> None:  # fmt: skip
    """Activity of each solvent in the cell at the air, to its u: NRTL and Flory-Huggins (9, 10)."""
    n_s = s.shape[0]
    total, moles = 0.0, 0.0
    for k in range(n_s):
        x = max(u[k, 0], 1e-30)
        total += x
        work[0, k] = x / s[k, VM]
        moles += work[0, k]
    for k in range(n_s):
        work[0, k] /= moles
    # NRTL: sum over j of tau_ji G_ji x_j and of G_ji x_j for each i.
    for i in range(n_s):
        up, down = 0.0, 0.0
        for j in range(n_s):
            tau = tau_b[j, i] / t_s
            g = np.exp(-alpha[j, i] * tau) if j != i else 1.0
            work[3 + j, i] = g
            up += tau * g * work[0, j]
            down += g * work[0, j]
        work[1, i] = up
        work[2, i] = down
    phi_r = 1.0 / (1.0 + total)
    for i in range(n_s):
        ln_g = work[1, i] / work[2, i]
        for j in range(n_s):
            ln_g += (work[0, j] * work[3 + i, j] / work[2, j]
                     * (tau_b[i, j] / t_s - work[1, j] / work[2, j]))  # fmt: skip
        chi = case[CHI_WATER] if i == n_s - 1 else s[i, CHI]
        act[i] = (np.exp(ln_g + phi_r + chi * phi_r * phi_r) * total * phi_r
                  / (moles * s[i, VM]))  # fmt: skip


@_jit
def _stefan(y_s: float, y_air: float) -> float:
    """Factor of the flow that the vapour itself makes (4)."""
    d = y_s - y_air
    if abs(d) < 1e-5:
        return 1.0 / (1.0 - 0.5 * (y_s + y_air))
    return float(np.log((1.0 - y_air) / (1.0 - y_s)) / d)


@_jit
def _coefficients(
    u: Array, heat: Array, gap: Array, n: int, case: Array, s: Array, tau_b: Array, alpha: Array,
    c: Array, face: Array, act: Array, gas: Array, small: Array, ln_d: Array,
) -> float:  # fmt: skip
    """All that a sub-step holds fixed; return the convection, W/m2K.

    `gas[k]`: volume of liquid that leaves for each Pa, m/(s Pa) (3).
    """
    n_s = s.shape[0]
    t_s = heat[0]
    _film(u, gap, n, t_s, case[XI_FACTOR], s, c, ln_d, face)
    _activity(u, t_s, case, s, tau_b, alpha, c, act, small)
    y_s, y_air = 0.0, 0.0
    for k in range(n_s):
        p = np.exp(s[k, A] - s[k, B] / (t_s + s[k, C]))
        small[1, k] = act[k] * u[k, 0] * p / c[PRESSURE]
        y_s += small[1, k]
        y_air += case[P_AIR + k] / c[PRESSURE]
    if y_s > c[Y_MOST]:
        for k in range(n_s):
            small[1, k] *= c[Y_MOST] / y_s
        y_s = c[Y_MOST]
    h = _convection(t_s, small[1], case, s, c)
    flow = _stefan(y_s, y_air) * h / (c[AIR_CP] * c[PRESSURE] * c[AIR_MOLAR])
    for k in range(n_s):
        gas[k] = s[k, VM] * s[k, TRANSFER] * flow
    return h


@_jit
def _sub_step(
    dt: float, u: Array, heat: Array, u_new: Array, heat_new: Array, dz: Array, n: int, dx: Array,
    m: int, board: Array, case: Array, s: Array, c: Array, h: float, face: Array, act: Array,
    gas: Array, low: Array, known: Array, shares: Array, ends: Array,
) -> None:  # fmt: skip
    """One linearised backward Euler step: heat (8), then each solvent (1 with 3)."""
    n_s = s.shape[0]
    t_s, t_air = heat[0], case[AIR_TEMP]
    # Heat. The film takes the air's and the room's heat, gives the solvents theirs.
    t_m = 0.5 * (t_s + t_air)
    shine = c[RADIATION] * t_m * t_m * t_m
    capacity = 0.0
    for i in range(n):
        here = c[RESIN_RHO] * c[RESIN_CP]
        for k in range(n_s):
            here += u[k, i] * s[k, RHO] * s[k, CP]
        capacity += here * dz[i]
    taken, slope = 0.0, 0.0
    for k in range(n_s):
        p = np.exp(s[k, A] - s[k, B] / (t_s + s[k, C]))
        g_0, p_air = face[k, 0], case[P_AIR + k]
        bottom = g_0 + gas[k] * act[k] * p
        flux = g_0 * gas[k] * (act[k] * p * u[k, 0] - p_air) / bottom
        by_p = g_0 * gas[k] * act[k] * (g_0 * u[k, 0] + gas[k] * p_air) / (bottom * bottom)
        each = (s[k, H0] + s[k, H1] * (t_s - c[H_T])) / s[k, VM]
        taken += flux * each
        slope += by_p * each * p * s[k, B] / ((t_s + s[k, C]) * (t_s + s[k, C]))
    k_b = board[BOARD_K] * case[BOARD_FACTOR]
    down = k_b / (0.5 * dx[0])
    # Elimination from the back of the board towards the film.
    back = 0.0
    if board[BOARD_FREE] > 0.5:
        back = 1.0 / (0.5 * dx[m - 1] / k_b + 1.0 / (h + shine))
    below, from_it = back, back * t_air
    for j in range(m - 1, -1, -1):
        up = down if j == 0 else k_b / (0.5 * (dx[j - 1] + dx[j]))
        cap = board[BOARD_RHO_CP] * case[BOARD_FACTOR] * dx[j] / dt
        whole = 1.0 / (cap + below + up)
        low[0, j] = (cap * heat[1 + j] + from_it) * whole
        low[1, j] = up * whole
        # what the cell above sees: up * (T_above - T_j), T_j = low0 + low1 * T_above
        below = up * (1.0 - low[1, j])
        from_it = up * low[0, j]
    top = capacity / dt
    heat_new[0] = (top * t_s + (h + shine) * t_air - taken + slope * t_s + from_it) / (
        top + h + shine + slope + below)  # fmt: skip
    for j in range(m):
        heat_new[1 + j] = low[0, j] + low[1, j] * heat_new[j]
    # Solvents, at the new temperature, cell by cell for all of them: their divisions overlap.
    t_s, per = heat_new[0], 1.0 / dt
    for k in range(n_s):
        p = np.exp(s[k, A] - s[k, B] / (t_s + s[k, C]))
        bottom = 1.0 / (face[k, 0] + gas[k] * act[k] * p)
        leave = face[k, 0] * gas[k] * act[k] * p * bottom
        enter = face[k, 0] * gas[k] * case[P_AIR + k] * bottom
        ends[0, k] = dz[0] * per + leave
        ends[1, k] = dz[0] * per * u[k, 0] + enter
    for i in range(n - 1):
        store = dz[i + 1] * per
        for k in range(n_s):
            g = face[k, i + 1]
            whole = 1.0 / (ends[0, k] + g)
            part, share = ends[1, k] * whole, g * whole
            known[k, i], shares[k, i] = part, share
            ends[0, k] = store + g * (1.0 - share)
            ends[1, k] = store * u[k, i + 1] + g * part
    for k in range(n_s):
        u_new[k, n - 1] = ends[1, k] / ends[0, k]
    for i in range(n - 2, -1, -1):
        for k in range(n_s):
            u_new[k, i] = known[k, i] + shares[k, i] * u_new[k, i + 1]


@_jit
def _haze(u: Array, n: int, n_s: int, case: Array, c: Array) -> float:
    """Haze index (16) of a film: of the cell that is worst off."""
    haze = 0.0
    for i in range(n):
        total = 0.0
        for k in range(n_s):
            total += u[k, i]
        if total > 0.0:
            haze = max(haze, u[n_s - 1, i] / (case[F_TOL] * total + c[DRY_WATER]))
    return haze


@_jit
def _look(
    u: Array, t_s: float, dz: Array, n: int, case: Array, s: Array, c: Array, seen: Array,
) -> None:  # fmt: skip
    """What is watched: ln viscosity (14), T - Tg (15), haze index (16), solvent to resin, water."""
    n_s = s.shape[0]
    thick, flow = 0.0, 0.0
    mass_all, over_all, left, water = 0.0, 0.0, 0.0, 0.0
    resin = 0.0
    for i in range(n):
        total, mass, over = 0.0, c[RESIN_RHO], c[RESIN_RHO] / c[RESIN_TG]
        for k in range(n_s):
            total += u[k, i]
            mass += s[k, RHO] * u[k, i]
            over += s[k, RHO_TG] * u[k, i]
        dy = dz[i] * (1.0 + total)
        thick += dy
        flow += dy * np.exp(_lambda(t_s - mass / over, c) - c[LN_ETA_TG])
        mass_all += mass * dz[i]
        over_all += over * dz[i]
        resin += dz[i]
        left += (mass - c[RESIN_RHO]) * dz[i]
        water += s[n_s - 1, RHO] * u[n_s - 1, i] * dz[i]
    haze = _haze(u, n, n_s, case, c)
    seen[0] = np.log(thick / flow)
    seen[1] = t_s - mass_all / over_all
    seen[2] = haze
    seen[3] = left / (c[RESIN_RHO] * resin)
    seen[4] = water


@_jit
def _lay(
    u: Array, dz: Array, n: int, coat: Array, grid: Array, under: Array, s: Array, work: Array,
) -> int:  # fmt: skip
    """Lay a coat on what is there: its own cells on top, all that lay there before in few below.

    `grid`, `under`: thickness of each cell as a share, of the new coat and of the old ones.
    """
    n_s, n_new, n_old = s.shape[0], grid.shape[0], under.shape[0]
    old = 0.0
    for i in range(n):
        old += dz[i]
    if n > 0:
        # Old solvent into the coarser cells, conserving each: work[k] over the share of depth.
        for k in range(n_s):
            source, left, at = 0, dz[0], 0
            for at in range(n_old):
                want, sum_u = under[at] * old, 0.0
                need = want
                while need > 1e-12 * old and source < n:
                    take = min(need, left)
                    sum_u += take * u[k, source]
                    need -= take
                    left -= take
                    if left <= 1e-15 * old:
                        source += 1
                        if source < n:
                            left = dz[source]
                work[k, at] = sum_u / want
        for k in range(n_s):
            for at in range(n_old):
                u[k, n_new + at] = work[k, at]
        for at in range(n_old):
            dz[n_new + at] = under[at] * old
    for i in range(n_new):
        dz[i] = grid[i] * coat[THICK]
        for k in range(n_s):
            u[k, i] = coat[U_0 + k]
    return int(n_new + n_old if n > 0 else n_new)


@_jit
def _dry(
    case: Array, coats: Array, n_coats: int, s: Array, tau_b: Array, alpha: Array, board: Array,
    dx: Array, m: int, grid: Array, under: Array, c: Array, at: Array, course: Array, told: Array,
) -> None:  # fmt: skip
    """Dry a sequence of coats; tell of the last one, from the moment it was laid.

    `at`: times of the course, seconds, rising from 0; may be empty. What is not reached by the
    end is NaN.
    """
    n_s = s.shape[0]
    most = grid.shape[0] + under.shape[0]
    u, u_1, u_2, u_h = (np.zeros((n_s, most)), np.zeros((n_s, most)), np.zeros((n_s, most)),
                        np.zeros((n_s, most)))  # fmt: skip
    heat, heat_1, heat_2, heat_h = (np.empty(m + 1), np.empty(m + 1), np.empty(m + 1),
                                    np.empty(m + 1))  # fmt: skip
    dz, gap = np.zeros(most), np.zeros(most)
    face, act, gas = np.zeros((n_s, most)), np.zeros(n_s), np.zeros(n_s)
    face_h, act_h, gas_h = np.zeros((n_s, most)), np.zeros(n_s), np.zeros(n_s)
    small, ln_d = np.zeros((n_s + 3, n_s)), np.zeros((2 * n_s, most))
    low, pile = np.zeros((2, m)), np.zeros((n_s, under.shape[0] + 1))
    known, shares, ends = np.zeros((n_s, most)), np.zeros((n_s, most)), np.zeros((2, n_s))
    seen, before, mass = np.zeros(5), np.zeros(5), np.zeros(n_s)
    coat = np.zeros(coats.shape[1])
    for j in range(m + 1):
        heat[j] = case[BOARD_TEMP]
    for r in range(RESULTS):
        told[r] = np.nan
    n, steps = 0, 0
    for number in range(n_coats):
        last = number == n_coats - 1
        coat[:] = coats[number]
        coat[THICK] *= case[WET_FACTOR]
        n = _lay(u, dz, n, coat, grid, under, s, pile)
        end = case[END] if last else coat[LASTS]
        t, dt = 0.0, c[FIRST_STEP]
        _look(u, heat[0], dz, n, case, s, c, before)
        most_water = before[4]
        coldest, coldest_at = heat[0], 0.0
        noted = 0
        if last:
            noted = _note(at, course, noted, t, u, heat[0], dz, n, s, before, mass)
        fresh = True
        h, thick = 0.0, 0.0
        for i in range(n):
            thick += dz[i]
            gap[i] = 1.0 / (0.5 * (dz[i] + (dz[i - 1] if i > 0 else 0.0)))
        while t < end and steps < 200000:
            if t + dt * 1.0000001 > end:
                dt = end - t
            if fresh:
                h = _coefficients(u, heat, gap, n, case, s, tau_b, alpha, c, face, act, gas, small,
                                  ln_d)  # fmt: skip
                fresh = False
            _sub_step(dt, u, heat, u_1, heat_1, dz, n, dx, m, board, case, s, c, h, face, act,
                      gas, low, known, shares, ends)  # fmt: skip
            _sub_step(0.5 * dt, u, heat, u_h, heat_h, dz, n, dx, m, board, case, s, c, h, face,
                      act, gas, low, known, shares, ends)  # fmt: skip
            h_h = _coefficients(u_h, heat_h, gap, n, case, s, tau_b, alpha, c, face_h, act_h,
                                gas_h, small, ln_d)  # fmt: skip
            _sub_step(0.5 * dt, u_h, heat_h, u_2, heat_2, dz, n, dx, m, board, case, s, c, h_h,
                      face_h, act_h, gas_h, low, known, shares, ends)  # fmt: skip
            steps += 1
            off = abs(heat_2[0] - heat_1[0]) / c[T_TOLERANCE]
            for k in range(n_s):
                each = 0.0
                for i in range(n):
                    each += dz[i] * abs(u_2[k, i] - u_1[k, i]) / (u_2[k, i] + c[U_FLOOR])
                off = max(off, each / thick / c[TOLERANCE])
            # The surface follows the air step by step, which the mean of all cells does not see:
            # what is to be read off as the film gets touch-dry is watched shortly before.
            if last and np.isnan(told[TOUCH_AT]) and before[0] > c[TOUCH] - WATCHED:
                gained = _haze(u_2, n, n_s, case, c) - _haze(u_1, n, n_s, case, c)
                off = max(off, abs(gained) / c[HAZE_TOLERANCE])
            if not off < 4.0:  # also what is not a number
                dt *= 0.4 if off < 1e6 else 0.1
                continue
            t_0 = t
            t += dt
            # Second order, unless it would take a solvent below zero.
            for j in range(m + 1):
                heat[j] = 2.0 * heat_2[j] - heat_1[j]
            for k in range(n_s):
                for i in range(n):
                    new = 2.0 * u_2[k, i] - u_1[k, i]
                    u[k, i] = new if new > 0.0 else u_2[k, i]
            fresh = True
            _look(u, heat[0], dz, n, case, s, c, seen)
            if last:
                if heat[0] < coldest:
                    coldest, coldest_at = heat[0], t
                most_water = max(most_water, seen[4])
                if np.isnan(told[TOUCH_AT]) and seen[0] >= c[TOUCH]:
                    part = _part(before[0], seen[0], c[TOUCH])
                    told[TOUCH_AT] = t_0 + part * (t - t_0)
                    told[HAZE] = before[2] + part * (seen[2] - before[2])
                if np.isnan(told[PRINT_AT]) and seen[0] >= c[PRINT]:
                    told[PRINT_AT] = t_0 + _part(before[0], seen[0], c[PRINT]) * (t - t_0)
                if np.isnan(told[RECOAT_AT]) and seen[1] <= c[RECOAT_GAP]:
                    told[RECOAT_AT] = t_0 + _part(before[1], seen[1], c[RECOAT_GAP]) * (t - t_0)
                if np.isnan(told[SAND_AT]) and seen[1] <= 0.0:
                    told[SAND_AT] = t_0 + _part(before[1], seen[1], 0.0) * (t - t_0)
                if t_0 < HOUR <= t:
                    told[LEFT_1H] = before[3] + (HOUR - t_0) / (t - t_0) * (seen[3] - before[3])
                if t_0 < DAY <= t:
                    told[LEFT_24H] = before[3] + (DAY - t_0) / (t - t_0) * (seen[3] - before[3])
                noted = _note(at, course, noted, t, u, heat[0], dz, n, s, seen, mass)
                level = 0
                while level < 4 and not np.isnan(told[TOUCH_AT + level]):
                    level += 1
                done = level >= case[STOP] or (level >= 1 and told[HAZE] > case[HAZE_STOP])
                if done and t >= case[LEAST_END]:
                    break
            for r in range(5):
                before[r] = seen[r]
            grow = 0.85 / np.sqrt(max(off, 1e-4))
            dt = min(dt * min(max(grow, 0.4), 2.5), c[LONGEST_STEP])
        if last:
            told[FILM_MIN] = coldest
            told[FILM_MIN_AT] = coldest_at
            told[WATER_MOST] = most_water
            told[STEPS] = steps


@_jit
def _part(before: float, after: float, wanted: float) -> float:
    """Share of the step after which a line between its ends meets `wanted`."""
    if after == before:
        return 1.0
    return float(min(max((wanted - before) / (after - before), 0.0), 1.0))


@_jit
def _note(
    at: Array, course: Array, noted: int, t: float, u: Array, t_s: float, dz: Array, n: int,
    s: Array, seen: Array, mass: Array,
) -> int:  # fmt: skip
    """Write the course at the first accepted time at or after each wished one; its time too."""
    n_s = s.shape[0]
    if noted >= at.shape[0] or at[noted] > t:
        return noted
    for k in range(n_s):
        mass[k] = 0.0
        for i in range(n):
            mass[k] += s[k, RHO] * u[k, i] * dz[i]
    row = noted
    course[row, C_TEMP] = t_s
    course[row, C_HAZE] = seen[2]
    course[row, C_LN_ETA] = seen[0]
    for k in range(n_s):
        course[row, C_MASS + k] = mass[k]
    course[row, course.shape[1] - 1] = t
    noted += 1
    # Wished times that one step passed over are told once.
    while noted < at.shape[0] and at[noted] <= t:
        course[noted, course.shape[1] - 1] = np.nan
        noted += 1
    return noted


@_jit
def _one(
    i: int, cases: Array, which: Ints, coats: Array, n_coats: Ints, s: Array, n_s: Ints,
    tau_b: Array, alpha: Array, board: Array, dx: Array, grid: Array, under: Array, c: Array,
    at: Array, course: Array, told: Array,
) -> None:  # fmt: skip
    """Dry case i: `which[i]` is the coat that it is about."""
    w, k = which[i], n_s[which[i]]
    _dry(cases[i], coats[w], n_coats[w], s[w, :k], tau_b[w, :k, :k], alpha[w, :k, :k], board[w],
         dx[w], int(board[w, BOARD_CELLS]), grid, under, c, at, course[i], told[i])  # fmt: skip


@_jit
def dry_cases(
    cases: Array, which: Ints, coats: Array, n_coats: Ints, s: Array, n_s: Ints, tau_b: Array,
    alpha: Array, board: Array, dx: Array, grid: Array, under: Array, c: Array, at: Array,
    course: Array, told: Array,
) -> None:  # fmt: skip
    """Dry many cases, one after the other.

    Without the interpreter's lock, so other threads go on: those of a server, and those that dry
    the other parts of a long batch.
    """
    for i in range(cases.shape[0]):
        _one(i, cases, which, coats, n_coats, s, n_s, tau_b, alpha, board, dx, grid, under, c, at,
             course, told)  # fmt: skip
