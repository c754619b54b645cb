"""The fit of colour panels, side by side with what one would otherwise run, in one run.

    .venv/bin/python benchmarks/colour_fit.py [--small]

The other fits the same panels from the same priors by the same least squares, but foretells a
band by a loop over its wavelengths and asks colour-science for its colour, a spectrum at a time;
it is not installed with the program, so without it the loop alone is timed. Both answers must
agree. No test asserts a time.
"""

from __future__ import annotations

import argparse
import contextlib
import importlib.util
import math
import os
import sys
import time
import warnings
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np

from lacwright.colour import fit as fitting
from lacwright.colour.calibrate import calibrate
from lacwright.colour.cie import WAVELENGTHS, weights, white
from lacwright.colour.constants import constant as usual
from lacwright.colour.grade import find_grade_colour
from lacwright.colour.known import grades_of, known, woods_of
from lacwright.colour.optics import internal_reflectance
from lacwright.colour.panels import Panel
from lacwright.colour.wood import find_bare

WORLDS = Path(__file__).resolve().parent.parent / "tests" / "colour" / "hidden_truth.py"
LEVEL = "colour.orange.level"
AGREE = 0.02
"""So far may the logarithms of the two absorptions lie apart."""


def main() -> None:
    """Run all and print a line each."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--small", action="store_true", help="few panels, so that it does not rot")
    small = parser.parse_args().small
    os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
    truth = load_worlds()
    world = truth.World(1)
    panels = [world.panel("hard-maple", "orange", (2, 6))] if small else world.panels()
    calibrate(panels)  # tables and imports
    took, mine = timed(lambda: calibrate(panels), 3 if small else 5)
    bands = sum(len(p.films) for p in panels)
    print(f"fit of {len(panels)} panels, {bands} bands, {len(mine.after.names)} constants "
          f"{took:8.2f} s   goal below 2 s (with what was foretold, drawn 200 times)")  # fmt: skip
    few = panels if small else [world.panel("hard-maple", "orange", name="one")]
    took, mine = timed(lambda: calibrate(few), 3 if small else 9)
    print(f"one panel, {len(few[0].films)} bands{'':<22} {took:8.3f} s")
    for name, colour in chains():
        slow, there = timed(lambda colour=colour: by_loops(few, colour), 1)
        off = abs(mine.after.value(LEVEL) - there)
        assert off < AGREE, off
        print(f"  the same, {name:<30} {slow:8.1f} s   {slow / took:6.0f} x")


def chains() -> list[tuple[str, Callable[[list[float]], Any]]]:
    """Return by what a spectrum may become a colour."""
    out: list[tuple[str, Callable[[list[float]], Any]]] = [("a loop over wavelengths", lab_by_loop)]
    with contextlib.suppress(ImportError), warnings.catch_warnings():
        warnings.simplefilter("ignore")
        import colour

        observer = colour.MSDS_CMFS["CIE 1931 2 Degree Standard Observer"]
        cmfs = observer.copy().align(colour.SpectralShape(380, 780, 5))
        light = colour.SDS_ILLUMINANTS["D65"].copy().align(cmfs.shape)
        xy = colour.CCS_ILLUMINANTS["CIE 1931 2 Degree Standard Observer"]["D65"]

        def chain(spectrum: list[float]) -> Any:
            sd = colour.SpectralDistribution(spectrum, WAVELENGTHS)
            xyz = colour.sd_to_XYZ(sd, cmfs, light, method="Integration")
            return colour.XYZ_to_Lab(xyz / 100, xy)

        out.append(("colour-science, each spectrum", chain))
    return out


def by_loops(panels: list[Panel], colour: Callable[[list[float]], Any]) -> float:
    """Fit the same panels, every band by a loop; return what it says of the level of orange."""
    from scipy.optimize import least_squares

    grades = {g: find_grade_colour(g) for g in grades_of(panels)}
    woods = {w: find_bare(w) for w in woods_of(panels)}
    before = known(grades.values(), woods.values())
    fit = fitting.Fit(panels, before, grades, woods)
    tables = internal_reflectance(np.linspace(0, 8, 801), 1.52).tolist()

    def predict(x: Any) -> Any:
        if x.ndim > 1:
            return np.array([predict(one) for one in x])
        return np.array([colour(one) for one in spectra(fit, x, tables)])

    fit.predict = predict  # type: ignore[method-assign]
    low, high = fit.ends()
    start = np.clip(np.concatenate([before.mid / fit.scale, np.zeros(fit.n_own)]),
                    low + fitting.NEAR, high - fitting.NEAR)  # fmt: skip
    found = least_squares(fit.residuals, start, jac=fit.jacobian, bounds=(low, high),
                          tr_solver="lsmr", ftol=1e-8, xtol=1e-8, gtol=1e-8)  # fmt: skip
    at = before.names.index(LEVEL)
    return float(found.x[at] * fit.scale[at])


def spectra(fit: Any, x: Any, tables: list[float]) -> list[list[float]]:
    """Return the reflectance of every band, wavelength by wavelength."""
    main = x[: fit.n] * fit.scale
    own = x[fit.n :].reshape(-1, fitting.OWN_PARTS)
    out = []
    n2, slant = 1.52**2, 1 / math.sqrt(1 - 0.5 / 1.52**2)
    enter = through(45) * through(0) / n2
    k2 = float(internal_reflectance(0.0, 1.55))
    for k, panel in enumerate(fit.of_panel):
        wet, skin = main[fit.at_wood][fit.wood_of][panel]
        bare = []
        for i in range(len(WAVELENGTHS)):
            shift = sum(fit.tilt[panel, i, j] * own[panel, j] for j in range(3))
            ks = math.exp(fit.dry[panel, i] + shift)
            bare.append(1 / (1 + ks + math.sqrt(ks * (ks + 2))))
        most = 0.6 * min(bare)
        held = skin * most / (skin**8 + most**8) ** 0.125
        times = math.exp(fitting.constant("load_share") * own[panel, 3])
        row = []
        for i, wave in enumerate(WAVELENGTHS):
            q = (bare[i] - held) / (1 - held)
            dry = q / (1 - k2 + k2 * q)
            ks = (1 - dry) ** 2 / (2 * dry) / wet
            rho = 1 / (1 + ks + math.sqrt(ks * (ks + 2)))
            tau = haze = 0.0
            for g, at in enumerate(fit.at_grade):
                level, slope, band = main[at]
                bump = math.exp(-(((wave - 490) / usual("dye.width")) ** 2) / 2)
                straight = math.exp(level + slope * (wave - 500) / 100)
                tau += fit.loads[k, g] * times * (straight + band * bump)
            for g, at in zip(fit.waxed, fit.at_haze, strict=True):
                haze += fit.loads[k, g] * times * math.exp(main[at])
            layer, part = haze / (1 + haze), 1 / (1 + haze)
            rho = layer + part**2 * rho / (1 - layer * rho)
            place = min(tau, 7.99) * 100
            cell = int(place)
            back = tables[cell] + (place - cell) * (tables[cell + 1] - tables[cell])
            row.append(enter * math.exp(-(1 + slant) * tau) * rho / (1 - back * rho))
        out.append(row)
    return out


def through(angle: float) -> float:
    """Share of light that enters shellac under an angle."""
    from lacwright.film import fresnel

    return 1 - fresnel(index=1.52, angle_deg=angle)


def lab_by_loop(spectrum: list[float]) -> list[float]:
    """Return L*, a*, b* of a spectrum, summed by hand."""
    seen, whole = weights("D65", 2), white("D65", 2)
    f = []
    for axis in range(3):
        share = sum(r * seen[i, axis] for i, r in enumerate(spectrum)) / whole[axis]
        f.append(share ** (1 / 3) if share > (6 / 29) ** 3
                 else share * (29 / 6) ** 2 / 3 + 4 / 29)  # fmt: skip
    return [116 * f[1] - 16, 500 * (f[0] - f[1]), 200 * (f[1] - f[2])]


def timed(job: Callable[[], Any], repeats: int) -> tuple[float, Any]:
    """Return the least time of a job in seconds, and its last answer."""
    best, told = math.inf, None
    for _ in range(repeats):
        begin = time.perf_counter()
        told = job()
        best = min(best, time.perf_counter() - begin)
    return best, told


def load_worlds() -> Any:
    """Return the module of invented worlds of the tests."""
    spec = importlib.util.spec_from_file_location("hidden_truth", WORLDS)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules["hidden_truth"] = module
    spec.loader.exec_module(module)
    return module


if __name__ == "__main__":
    main()
