"""Panels laid out for a fit: what constants foretell of every band, and what each panel adds."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from lacwright.colour import grade as grade_
from lacwright.colour import optics, spaces, wood
from lacwright.colour.cie import Viewing
from lacwright.colour.evidence import HAZE, OF_GRADE, Array, Evidence, State, name_of, parted
from lacwright.colour.grade import GradeColour
from lacwright.colour.known import BOUNDS, names_of_grade, names_of_wood
from lacwright.colour.panels import Lab, Panel, constant, lab_of
from lacwright.colour.wood import Bare

STEP = 1e-4
"""Step of a difference, in prior spreads."""
BARE_STEP = 0.1
"""Step of a bare reading, each of L*, a*, b*."""
OWN_PARTS = 4
"""Of every panel: three of its bare reading, one of its loads."""
NEAR = 1e-9
SEED, DRAWS, AT_ONCE = 20, 200, 10


@dataclass(frozen=True)
class Hit:
    """A band as it was foretold by what was known before, as it was read, as the fit has it.

    Parameters
    ----------
    panel, band : str
        Which.
    read, before, after : tuple of float
        L*, a*, b*.
    de00_before, de00_after : float
        CIEDE2000 from the reading.
    reach : float
        Within so much of what was foretold nineteen readings of twenty should lie [dE00].
    """

    panel: str
    band: str
    read: Lab
    before: Lab
    after: Lab
    de00_before: float
    de00_after: float
    reach: float

    @property
    def inside(self) -> bool:
        """Whether the reading lay within what was foretold."""
        return self.de00_before <= self.reach


def board(panel: Panel) -> Lab | None:
    """Return the bare reading of a panel as the tables have woods: D65, 2 degrees, no gloss.

    None where the gloss was counted: nothing takes it out of a reading.
    """
    if panel.viewing.geometry != Viewing().geometry:
        return None
    if panel.viewing == Viewing():
        return panel.bare.lab
    seen = wood.recover(panel.bare.lab, panel.viewing)
    return _lab(spaces.lab_of_reflectance(seen, Viewing()))


class Fit:
    """Panels laid out as arrays: what a vector of constants foretells of every band.

    The vector holds the constants in units of their prior spread, then of every panel four of its
    own: what its bare reading is off, L*, a*, b*, and the logarithm of its loads, each in units of
    its spread.
    """

    def __init__(
        self, panels: Sequence[Panel], before: State, grades: Mapping[str, GradeColour],
        woods: Mapping[str, Bare],
    ) -> None:  # fmt: skip
        self.panels, self.before, self.grades, self.woods = panels, before, grades, woods
        place = {name: n for n, name in enumerate(before.names)}
        self.at_grade = np.array([[place[n] for n in names_of_grade(g)[: len(OF_GRADE)]]
                                  for g in grades.values()])  # fmt: skip
        self.waxed = [k for k, g in enumerate(grades.values()) if g.haze_per_g_m2 > 0]
        self.at_haze = [place[name_of(list(grades)[k], HAZE)] for k in self.waxed]
        self.at_wood = np.array([[place[n] for n in names_of_wood(b)] for b in woods.values()])
        self.scale = np.sqrt(np.diag(before.cov))
        self.n = len(before.names)
        self.n_own = OWN_PARTS * len(panels)
        self.root = np.linalg.cholesky(np.linalg.inv(before.cov)).T * self.scale
        self.bare = lab_of([p.bare for p in panels])
        third = math.sqrt(3)
        self.bare_sd = np.array([p.spread(p.bare) / third for p in panels])
        self.films = [(n, band) for n, p in enumerate(panels) for band in p.films]
        self.of_panel = np.array([n for n, _ in self.films])
        self.read = lab_of([band for _, band in self.films])
        self.sd = np.array([
            math.hypot(panels[n].spread(band), constant("model_de")) / third
            for n, band in self.films
        ])  # fmt: skip
        self.loads = np.array([
            [band.loads_g_m2.get(g, 0.0) for g in self.grades] for _, band in self.films
        ])  # fmt: skip
        self.wood_of = np.array([list(woods).index(p.wood) for p in panels])
        self.groups = [
            (viewing, np.array([n for n, p in enumerate(panels) if p.viewing == viewing]))
            for viewing in dict.fromkeys(p.viewing for p in panels)
        ]
        self.dry, self.tilt = self._bare_curves()

    def ends(self) -> tuple[Array, Array]:
        """Return where the vector is looked for."""
        ends = np.array([BOUNDS[parted(name)[1]] for name in self.before.names])
        far = np.full(self.n_own, 6.0)
        return (np.concatenate([ends[:, 0] / self.scale, -far]),
                np.concatenate([ends[:, 1] / self.scale, far]))  # fmt: skip

    def predict(self, x: Array) -> Array:
        """Return L*, a*, b* of every band with a film, shape (..., bands, 3)."""
        main = x[..., : self.n] * self.scale
        own = x[..., self.n :].reshape(*x.shape[:-1], -1, OWN_PARTS)
        alpha = grade_.absorption_of(main[..., self.at_grade])
        wetting = main[..., self.at_wood[:, 0]][..., self.wood_of, None]
        skin = main[..., self.at_wood[:, 1]][..., self.wood_of, None]
        # Of ln(K/S), which a small change of a bare reading moves in a straight line.
        ks = np.exp(self.dry + np.einsum("pwj,...pj->...pw", self.tilt, own[..., :3]))
        dry: Array = 1 / (1 + ks + np.sqrt(ks * (ks + 2)))
        times = np.exp(constant("load_share") * own[..., 3])[..., self.of_panel, None]
        loads = self.loads * times
        tau = loads @ alpha
        haze = (loads[..., self.waxed] * np.exp(main[..., None, self.at_haze])).sum(axis=-1)
        rho = wood.inside_film(dry, skin, wetting)[..., self.of_panel, :]
        if self.waxed:
            rho = optics.haze_over(rho, haze[..., None])
        out = np.empty((*x.shape[:-1], *self.read.shape))
        for viewing, mine in self.groups:
            some = np.isin(self.of_panel, mine)
            film = optics.film_over(rho[..., some, :], tau[..., some, :], viewing.geometry)
            out[..., some, :] = spaces.lab_of_reflectance(film, viewing)
        return out

    def _bare_curves(self) -> tuple[Array, Array]:
        """Return ln(K/S) of every bare reading, (panels, 81), and how its own spread moves it."""
        n = len(self.panels)
        curves, tilt = np.empty((n, 81)), np.empty((n, 81, 3))
        steps = BARE_STEP * np.concatenate([np.zeros((1, 3)), np.eye(3), -np.eye(3)])
        for viewing, mine in self.groups:
            seen = wood.recover(self.bare[mine] + steps[:, None], viewing)
            told = np.log((1 - seen) ** 2 / (2 * seen))
            curves[mine] = told[0]
            slopes = (told[1:4] - told[4:]) / (2 * BARE_STEP)
            tilt[mine] = np.moveaxis(slopes, 0, 2) * self.bare_sd[mine, None, None]
        return curves, tilt

    def residuals(self, x: Array) -> Array:
        """Return all that is to be small: readings, then what is known before."""
        return np.concatenate([
            ((self.predict(x) - self.read) / self.sd[:, None]).ravel(),
            self.root @ (x[: self.n] - self.before.mid / self.scale),
            x[self.n :],
        ])  # fmt: skip

    def jacobian(self, x: Array) -> Array:
        """Return the slopes of the residuals; those of the panels' own parts all at once."""
        rows = 3 * len(self.films)
        out = np.zeros((rows + self.n + self.n_own, self.n + self.n_own))
        steps = np.zeros((1 + self.n + OWN_PARTS, len(x)))
        for k in range(self.n):
            steps[1 + k, k] = STEP
        for part in range(OWN_PARTS):
            steps[1 + self.n + part, self.n + part :: OWN_PARTS] = STEP
        told = self.predict(x + steps) / self.sd[:, None]
        slopes = (told[1:] - told[0]) / STEP
        out[:rows, : self.n] = slopes[: self.n].reshape(self.n, rows).T
        for n in range(len(self.panels)):
            mine = np.where((self.of_panel == n)[:, None], slopes[self.n :], 0.0)
            at = self.n + OWN_PARTS * n
            out[:rows, at : at + OWN_PARTS] = mine.reshape(OWN_PARTS, rows).T
        out[rows : rows + self.n, : self.n] = self.root
        out[rows + self.n :, self.n :] = np.eye(self.n_own)
        return out

    def evidence(self, x: Array) -> tuple[tuple[Evidence, ...], float]:
        """Return what each panel adds, its own parts reckoned out, and the misfit."""
        rows = 3 * len(self.films)
        jacobian, left = self.jacobian(x)[:rows], self.residuals(x)[:rows]
        free = max(rows - self.n, rows / 3)
        misfit = max(math.sqrt(float(left @ left) / free), 1e-3)
        widen = 1 / max(misfit, 1.0) ** 2
        out = []
        for n, panel in enumerate(self.panels):
            mine = np.repeat(self.of_panel == n, 3)
            own = slice(self.n + OWN_PARTS * n, self.n + OWN_PARTS * (n + 1))
            names = [n for g in panel.grades for n in names_of_grade(self.grades[g])]
            names += names_of_wood(self.woods[panel.wood])
            at = [self.before.names.index(name) for name in names]
            main, beside = jacobian[np.ix_(mine, np.array(at))], jacobian[mine, own]
            inner = np.linalg.inv(beside.T @ beside + np.eye(OWN_PARTS))
            across = main.T @ beside @ inner
            matrix = main.T @ main - across @ (beside.T @ main)
            off = main.T @ left[mine] - across @ (beside.T @ left[mine] + x[own])
            pull = matrix @ x[at] - off
            scale = self.scale[at]
            matrix = widen * matrix / np.outer(scale, scale)
            matrix = (matrix + matrix.T) / 2
            out.append(Evidence(tuple(names), tuple(map(float, widen * pull / scale)),
                                tuple(tuple(map(float, row)) for row in matrix),
                                panel.name, panel.wood, board(panel),
                                panel.reader))  # fmt: skip
        return tuple(out), misfit

    def hits(self, x: Array) -> tuple[Hit, ...]:
        """Return every band as it was foretold before, and as the fit has it."""
        start = np.concatenate([self.before.mid / self.scale, np.zeros(self.n_own)])
        first, last = self.predict(start), self.predict(x)
        reach = self._reach(start, first)
        off_first, off_last = spaces.de00(first, self.read), spaces.de00(last, self.read)
        return tuple(
            Hit(self.panels[n].name, band.words, _lab(self.read[k]), _lab(first[k]),
                _lab(last[k]), float(off_first[k]), float(off_last[k]), float(reach[k]))
            for k, (n, band) in enumerate(self.films)
        )  # fmt: skip

    def _reach(self, start: Array, first: Array) -> Array:
        """Return within what of the first answer a reading should lie: drawn, 95 of 100."""
        rng = np.random.default_rng(SEED)
        low, high = self.ends()
        root = np.linalg.cholesky(self.before.cov)
        main = (self.before.mid + rng.standard_normal((DRAWS, self.n)) @ root.T) / self.scale
        drawn = np.concatenate([main, rng.standard_normal((DRAWS, self.n_own))], axis=1)
        drawn = np.clip(drawn, low, high)
        # A few at a time: spectra that stay in the cache of a core.
        told = np.concatenate([self.predict(drawn[k : k + AT_ONCE])
                               for k in range(0, DRAWS, AT_ONCE)])  # fmt: skip
        noise = self.sd[:, None] * rng.standard_normal(told.shape)
        far = spaces.de00(told + noise, first)
        return np.asarray(np.quantile(far, 0.95, axis=0))


def _lab(row: Array) -> Lab:
    return float(row[0]), float(row[1]), float(row[2])
