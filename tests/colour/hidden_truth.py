"""Invented worlds whose panels have what the fit does not know, for tests and benchmarks.

Each grade has bumps in its spectrum and a band of dye that lies elsewhere, films are patchy, a
little thicker or thinner than was weighed and of another index, some glare is in every reading.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from lacwright.colour.cie import WAVELENGTHS, Viewing
from lacwright.colour.grade import find_grade_colour
from lacwright.colour.optics import film_over
from lacwright.colour.panels import Band, Panel
from lacwright.colour.spaces import lab_of_reflectance
from lacwright.colour.wood import find_bare, inside_film, recover

VIEWING = Viewing()
GRADES = ("blonde", "orange", "ruby")
WOODS = ("hard-maple", "cherry", "black-walnut")
COATS = (1, 2, 4, 6, 9)
PER_COAT = 12 * 1.15  # 12 um of film of 1.15 g/ml [g/m2], a thick coat
SEALER = "super-blonde"
PATCHY, BIAS, INDEX = 0.20, 0.08, 1.525
_NODES, _SHARES = np.polynomial.hermite_e.hermegauss(5)


@dataclass
class World:
    """Grades and woods as they really are there."""

    seed: int
    noise: float = 0.3  # dE of one reading of a band
    woods: tuple[str, ...] = WOODS
    spread: float = 1.0  # how far from the priors, in their own spread

    def __post_init__(self) -> None:
        self.rng = np.random.default_rng(self.seed)
        rng, far = self.rng, self.spread
        self.absorbs = {}
        for name in (*GRADES, SEALER):
            grade = find_grade_colour(name)
            level = grade.params[0] + far * rng.normal(0, 0.4)
            slope = grade.params[1] + far * rng.normal(0, 0.25)
            straight = np.exp(level + slope * (WAVELENGTHS - 500) / 100)
            for _ in range(2):
                centre, width = rng.uniform(410, 650), rng.uniform(25, 60)
                bump = np.exp(-(((WAVELENGTHS - centre) / width) ** 2) / 2)
                straight = straight * (1 + rng.normal(0, 0.2) * bump)
            # The dye's band lies elsewhere than the model has it.
            band = grade.params[2] * np.exp(far * rng.normal(0, 0.3))
            off = (WAVELENGTHS - 490 - rng.normal(0, 6)) / rng.uniform(38, 52)
            self.absorbs[name] = straight + band * np.exp(-(off**2) / 2)
        self.labs = {w: np.array(find_bare(w).lab) + rng.normal(0, 1.2, 3)
                     for w in (*WOODS, "beech", "mahogany")}  # fmt: skip
        self.wet = {w: rng.uniform(0.45, 0.75) for w in self.labs}
        self.skin = {w: rng.uniform(0.028, 0.042) for w in self.labs}
        self.glare = abs(rng.normal(0, 0.0015))

    def panel(self, wood: str, grade: str, coats=COATS, name: str = "") -> Panel:
        """Return a panel of a grade as it was read there."""
        lab = self.labs[wood] + self.rng.normal(0, 0.5, 3)  # another place of the board
        times = np.exp(self.rng.normal(0, BIAS))
        bands = [Band(self._read(self._bare(lab)))]
        for n in (0, *coats):
            loads = {SEALER: PER_COAT}
            if n:
                loads[grade] = n * PER_COAT
            bands.append(Band(
                self._read(self.true(wood, {g: x * times for g, x in loads.items()}, lab)),
                {SEALER: 1} | ({grade: n} if n else {}), loads))  # fmt: skip
        return Panel(name or f"{grade} on {wood}", wood, tuple(bands), VIEWING, sd=self.noise)

    def panels(self) -> list[Panel]:
        """Return a panel of every grade on every wood."""
        return [self.panel(wood, grade) for wood in self.woods for grade in GRADES]

    def true(self, wood: str, loads, lab=None) -> np.ndarray:
        """Return the reflectance under a film, patchy as films are."""
        lab = self.labs[wood] if lab is None else lab
        rho = inside_film(recover(lab, VIEWING), self.skin[wood], self.wet[wood])
        tau = sum(load * self.absorbs[g] for g, load in loads.items())
        each = np.stack([film_over(rho, tau * max(1 + PATCHY * z, 0), "45/0", INDEX)
                         for z in _NODES])  # fmt: skip
        return _SHARES @ each / _SHARES.sum()

    def lab(self, wood: str, loads) -> np.ndarray:
        """Return the true colour under a film."""
        return lab_of_reflectance(self.true(wood, loads) + self.glare, VIEWING)

    def _bare(self, lab) -> np.ndarray:
        return recover(lab, VIEWING)

    def _read(self, reflectance):
        seen = lab_of_reflectance(reflectance + self.glare, VIEWING)
        return tuple(map(float, seen + self.rng.normal(0, self.noise / np.sqrt(3), 3)))
