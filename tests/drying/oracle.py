"""The same equations a second time: plain NumPy, implicit steps left to SciPy.

Written from the equations of docs/explanation/drying.md, with nothing of the compiled model: the
rows of the tables are read here again, activities, convection and readiness worked here again.
Only the grid is given, since both must cut the film alike.
"""

import math
from dataclasses import dataclass

import numpy as np

from lacwright.trade import table

R = table("drying")


def k(name):
    return R[name].number("value")


@dataclass
class Solvents:
    """Properties of the solvents of one film, water last."""

    names: tuple

    def __post_init__(self):
        rows = [table("drying_solvents")[n] for n in self.names]
        inside = [table("drying_in_resin")[n] for n in self.names]

        def get(column, source=rows, factor=1.0):
            return np.array([factor * row.number(column) for row in source])

        self.molar = get("molar_mass_g", factor=1e-3)
        self.a, self.b, self.c = get("a"), get("b_k"), get("c_k")
        self.heat_0, self.heat_1 = get("heat_j_mol"), get("heat_slope_j_mol_k")
        self.rho = get("density_kg_m3")
        self.volume = self.molar / self.rho
        self.cp = get("heat_capacity_j_mol_k") / self.molar
        self.air_d = get("diffusivity_mm2_s", factor=1e-6)  # at 25 C
        self.glass = get("glass_k", inside)
        self.xi = k("diffusion_step") * get("step", inside)
        self.chi = get("interaction", inside)
        n = len(self.names)
        self.tau_t, self.alpha = np.zeros((n, n)), np.zeros((n, n))
        for row in table("drying_activity"):
            one, two = row.key.split("|")
            if one in self.names and two in self.names:
                i, j = self.names.index(one), self.names.index(two)
                self.tau_t[i, j], self.tau_t[j, i] = row.number("b12_k"), row.number("b21_k")
                self.alpha[i, j] = self.alpha[j, i] = row.number("alpha")

    def pressure(self, t):
        return np.exp(self.a - self.b / (t + self.c))

    def heat(self, t):
        return self.heat_0 + self.heat_1 * (t - 293.15)

    def gamma(self, x, t):
        """NRTL (9)."""
        tau = self.tau_t / t
        g = np.exp(-self.alpha * tau)
        gx = g.T @ x
        mean = (tau * g).T @ x / gx
        return np.exp(mean + ((x / gx) * g * (tau - mean[None, :])).sum(axis=1))


def lam(x):
    """Equation 12."""
    above = k("wlf_a") * np.maximum(x, 0) / (k("wlf_b") + np.maximum(x, 0))
    return np.where(x < 0, k("glass_slope") * x, above)


class Oracle:
    """One coat on a board, by the method of lines."""

    def __init__(
        self,
        *,
        parts,
        wet_um,
        cut,
        temp_c,
        rh,
        speed,
        board,
        thickness_m,
        length_m=0.3,
        tall=False,
        free=False,
        board_c=None,
        film_shares,
        board_cells,
    ):
        self.s = Solvents((*(n for n in parts if n != "water"), "water"))
        mass = np.array([parts.get(n, 0.0) for n in self.s.names])
        volumes = mass / self.s.rho
        self.rho_r = 1000 * table("solution")["resin_density"].number("value")
        ratio = cut * 0.45359237 / 3.785411784e-3 / self.rho_r
        self.dry_m = wet_um * 1e-6 * ratio / (1 + ratio)
        self.u_0 = volumes / volumes.sum() / ratio
        self.dz = film_shares * self.dry_m
        self.dx = board_cells
        assert math.isclose(self.dx.sum(), thickness_m, rel_tol=1e-6)
        row = table("drying_boards")[board]
        self.k_b = row.number("conductivity_w_m_k")
        self.c_b = row.number("density_kg_m3") * row.number("heat_capacity_j_kg_k")
        self.t_air, self.speed, self.length = temp_c + 273.15, speed, length_m
        self.tall, self.free = tall, free
        self.t_board = (temp_c if board_c is None else board_c) + 273.15
        self.p_air = np.zeros(len(self.s.names))
        self.p_air[-1] = rh * self.s.pressure(self.t_air)[-1]
        self.n, self.m = len(self.dz), len(self.dx)

    def convection(self, t_s, y):
        """Equations 5 to 7."""
        t_m = (t_s + self.t_air) / 2
        warm = t_m / k("air_at")
        lam_air = k("air_conductivity") * warm**0.75
        nu, alpha = k("air_viscosity") * warm**1.75, k("air_temperature_diffusivity") * warm**1.75
        m_air = k("air_molar_mass") / 1000
        mixed = m_air + (y * (self.s.molar - m_air)).sum()
        room = m_air + (self.p_air / k("pressure") * (self.s.molar - m_air)).sum()
        lift = abs(mixed / t_s / (room / self.t_air) - 1)
        forced = (k("nu_forced") * math.sqrt(max(self.speed, k("least_speed")) * self.length / nu)
                  * (nu / alpha) ** (1 / 3) * lam_air / self.length)  # fmt: skip
        if self.tall:
            ra = k("gravity") * lift * self.length**3 / nu / alpha
            below = (1 + (k("nu_tall_2") * alpha / nu) ** (9 / 16)) ** (4 / 9)
            free = (k("nu_tall_0") + k("nu_tall_1") * ra**0.25 / below) * lam_air / self.length
        else:
            size = self.length / 4
            ra = k("gravity") * lift * size**3 / nu / alpha
            free = k("nu_flat") * ra**0.2 * lam_air / size
        return (forced**3 + free**3) ** (1 / 3)

    def glass_and_phi(self, u):
        weight = np.vstack([np.full(u.shape[1], self.rho_r), self.s.rho[:, None] * u])
        glass = weight.sum(0) / (
            weight[0] / k("resin_glass") + (weight[1:] / self.s.glass[:, None]).sum(0)
        )
        return glass, 1 / (1 + u.sum(0))

    def rhs(self, _, y):
        s = self.s
        u = y[: len(s.names) * self.n].reshape(len(s.names), self.n)
        u = np.maximum(u, 1e-30)
        heat = y[len(s.names) * self.n :]
        t_s = heat[0]
        glass, phi = self.glass_and_phi(u)
        ln_d = (math.log(k("dilute_diffusivity")) + 2 * np.log(phi)
                + s.xi[:, None] * (lam(t_s - glass) - k("wet_lambda")))  # fmt: skip
        d = np.exp(ln_d)
        gap = ln_d[:, :-1] - ln_d[:, 1:]
        with np.errstate(invalid="ignore", divide="ignore"):
            mean = np.where(np.abs(gap) < 1e-6, d[:, 1:], (d[:, :-1] - d[:, 1:]) / gap)
        flow = mean / ((self.dz[:-1] + self.dz[1:]) / 2) * (u[:, :-1] - u[:, 1:])
        # Surface.
        top = u[:, 0]
        x = top / s.volume / (top / s.volume).sum()
        act = s.gamma(x, t_s) * x * (1 - phi[0]) * np.exp(phi[0] + s.chi * phi[0] ** 2)
        p = s.pressure(t_s)
        share = act * p / k("pressure")
        y_s, y_air = share.sum(), self.p_air.sum() / k("pressure")
        h = self.convection(t_s, share)
        stefan = math.log((1 - y_air) / (1 - y_s)) / (y_s - y_air)
        rho_cp_t = k("air_heat_capacity") * k("pressure") * k("air_molar_mass") / 1000  # by R
        lewis = (s.air_d / k("air_temperature_diffusivity")
                 * (k("air_at") / k("diffusivity_at")) ** 1.75)  # fmt: skip
        gas = h / rho_cp_t * lewis ** (2 / 3) * stefan  # mol/(m2 s Pa)
        inside = d[:, 0] / (self.dz[0] / 2)
        steep = act / top * p * gas * s.volume
        leaves = inside * s.volume * gas * (act * p - self.p_air) / (inside + steep)
        du = np.zeros_like(u)
        du[:, 0] -= leaves
        du[:, :-1] -= flow
        du[:, 1:] += flow
        du /= self.dz
        # Heat.
        shine = 4 * k("emissivity") * k("stefan_boltzmann") * ((t_s + self.t_air) / 2) ** 3
        store = ((self.rho_r * k("resin_heat_capacity") + (u.T @ (s.rho * s.cp))) * self.dz).sum()
        between = self.k_b / np.concatenate([[self.dx[0] / 2], (self.dx[:-1] + self.dx[1:]) / 2])
        down = between * (heat[:-1] - heat[1:])
        dt = np.empty_like(heat)
        dt[0] = ((h + shine) * (self.t_air - t_s) - (leaves / s.volume * s.heat(t_s)).sum()
                 - down[0]) / store  # fmt: skip
        net = down.copy()
        net[:-1] -= down[1:]
        if self.free:
            back = 1 / (self.dx[-1] / 2 / self.k_b + 1 / (h + shine))
            net[-1] -= back * (heat[-1] - self.t_air)
        dt[1:] = net / (self.c_b * self.dx)
        return np.concatenate([du.ravel(), dt])

    def watch(self, y):
        """ln viscosity (14), T - Tg (15), haze index (16)."""
        s = self.s
        u = y[: len(s.names) * self.n].reshape(len(s.names), self.n)
        glass, phi = self.glass_and_phi(u)
        t_s = y[len(s.names) * self.n]
        dy = self.dz / phi
        viscosity = dy.sum() / (dy * np.exp(lam(t_s - glass) - k("ln_viscosity_glass"))).sum()
        weight = self.rho_r * self.dry_m + (s.rho[:, None] * u * self.dz).sum()
        over = self.rho_r * self.dry_m / k("resin_glass") + (
            s.rho[:, None] * u * self.dz / s.glass[:, None]).sum()  # fmt: skip
        holds = k("water_tolerance") * (1 - phi) + k("dry_water") * phi
        haze = (u[-1] * phi / holds).max()
        return math.log(viscosity), t_s - weight / over, haze

    def start(self):
        u = np.repeat(self.u_0[:, None], self.n, axis=1)
        return np.concatenate([u.ravel(), np.full(self.m + 1, self.t_board)])

    def solve(self, end_s, *, method="BDF", rtol=1e-5, rhs=None):
        """Dry it; return film minimum [C], touch-dry, print-free [s] and haze index at touch."""
        from scipy.integrate import solve_ivp

        atol = np.concatenate([np.full(self.n * len(self.s.names), 1e-6),
                               np.full(self.m + 1, 1e-4)])  # fmt: skip
        size = len(atol)

        def reached(level):
            def event(_, y):
                return self.watch(y)[0] - math.log(k(level))

            return event

        touch, printed = reached("touch_viscosity"), reached("print_viscosity")
        printed.terminal = True
        found = solve_ivp(rhs or self.rhs, (0, end_s), self.start(), method=method, rtol=rtol,
                          atol=atol, events=[touch, printed])  # fmt: skip
        film = found.y[size - self.m - 1]
        touched = bool(len(found.t_events[0]))
        return {
            "film_min_c": film.min() - 273.15,
            "touch_dry_s": found.t_events[0][0] if touched else math.nan,
            "print_free_s": found.t_events[1][0] if len(found.t_events[1]) else math.nan,
            "haze_index": self.watch(found.y_events[0][0])[2] if touched else math.nan,
            "evaluations": found.nfev,
        }
