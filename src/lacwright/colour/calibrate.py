"""Own figures of grades and woods from panels in bands: a bounded fit with weak priors.

Unknown are of every grade its level, slope and band, and the haze of its wax where it has any, of
every wood its wetting and skin. Beside them, of every panel, what its bare wood really reads and
by how much all of its loads are off, both within their own spread. What is left of the readings
is fitted by least squares; the normal equations at the end say how well each constant is known,
and what each panel adds.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from lacwright.colour import grade as grade_
from lacwright.colour import wood
from lacwright.colour.accuracy import CAMERA
from lacwright.colour.cie import Viewing
from lacwright.colour.evidence import OF_GRADE, Evidence, State, together
from lacwright.colour.fit import NEAR, Fit, Hit, board
from lacwright.colour.grade import GradeColour
from lacwright.colour.known import (
    BOUNDS,
    grades_of,
    known,
    names_of_grade,
    names_of_wood,
    wood_key,
    woods_of,
)
from lacwright.colour.panels import CAMERA as BY_CAMERA
from lacwright.colour.panels import Panel, check, constant
from lacwright.colour.wood import Bare


@dataclass(frozen=True)
class Calibration:
    """What panels taught.

    Parameters
    ----------
    before, after : State
        The constants without and with them.
    evidence : tuple of Evidence
        What each panel adds, in the order of the panels.
    hits : tuple of Hit
        Every band with a film.
    misfit : float
        How many times as large what is left of the readings is as their spread says; above 1 the
        spreads were widened by it.
    grades : mapping of str to GradeColour
    bares : mapping of str to Bare
        As `look` takes them.
    """

    before: State
    after: State
    evidence: tuple[Evidence, ...]
    hits: tuple[Hit, ...]
    misfit: float
    grades: Mapping[str, GradeColour]
    bares: Mapping[str, Bare]

    def alone(self, evidence: Evidence) -> State:
        """Return what one panel says by itself, beside what was known before."""
        return together(self.before, [evidence], BOUNDS)


def calibrate(
    panels: Sequence[Panel], *, grades: Mapping[str, GradeColour] | None = None,
    bares: Mapping[str, Bare] | None = None,
) -> Calibration:  # fmt: skip
    """Own figures of the grades and woods on some panels.

    Parameters
    ----------
    panels : sequence of Panel
    grades, bares : mapping of str to GradeColour and Bare, optional
        What is known before of some of them, from own panels already kept, say; those of the
        tables for the others.

    Returns
    -------
    Calibration

    Raises
    ------
    Refusal
        For panels from which nothing can be learned, see `panels.check`.
    """
    from scipy.optimize import least_squares

    check(panels)
    of_grade = {name: _grade(name, grades or {}) for name in grades_of(panels)}
    of_wood = {name: _wood(name, bares or {}) for name in woods_of(panels)}
    before = known(of_grade.values(), of_wood.values())
    model = Fit(panels, before, of_grade, of_wood)
    low, high = model.ends()
    start = np.clip(np.concatenate([before.mid / model.scale, np.zeros(model.n_own)]),
                    low + NEAR, high - NEAR)  # fmt: skip
    found = least_squares(model.residuals, start, jac=model.jacobian, bounds=(low, high),
                          method="trf", tr_solver="lsmr", x_scale=1.0, ftol=1e-8, xtol=1e-8,
                          gtol=1e-8, max_nfev=200)  # fmt: skip
    evidence, misfit = model.evidence(found.x)
    after = together(before, evidence, BOUNDS)
    return Calibration(
        before, after, evidence, model.hits(found.x), misfit,
        {g: own_grade(one, after, panels) for g, one in model.grades.items()},
        {w: own_wood(one, after, panels) for w, one in model.woods.items()},
    )  # fmt: skip


def own_grade(grade: GradeColour, after: State, panels: Sequence[Panel] = ()) -> GradeColour:
    """Return a grade with the constants that panels taught."""
    names = names_of_grade(grade)
    mine = after.of(names[: len(OF_GRADE)])
    haze, haze_sd = grade.haze_per_g_m2, grade.haze_ln_sd
    if len(names) > len(OF_GRADE):
        haze, haze_sd = math.exp(after.value(names[-1])), after.sd(names[-1])
    level, slope, band = map(float, mine.mid)
    on = [p for p in panels if grade.name in p.grades]
    return grade_.grade_of_panels(
        grade.name, (level, slope, band), mine.cov, haze_per_g_m2=haze, haze_ln_sd=haze_sd,
        source=_sources(p.name for p in on),
        basis=CAMERA if any(p.reader == BY_CAMERA for p in on) else wood.PANELS,
    )  # fmt: skip


def own_wood(bare: Bare, after: State, panels: Sequence[Panel] = ()) -> Bare:
    """Return a wood with the wetting and skin that panels taught, and the colour of its boards."""
    wet, skin = names_of_wood(bare)
    on = [p for p in panels if p.wood == wood_key(bare.name)]
    boards = [lab for p in on if (lab := board(p)) is not None]
    if boards:
        bare = replace(bare, lab=_mean(boards), viewing=Viewing(),
                       lab_sd=constant("board_sd"))  # fmt: skip
    return wood.with_panels(
        bare, wetting=(after.value(wet), after.sd(wet)), k1b=(after.value(skin), after.sd(skin)),
        source=_sources(p.name for p in on),
    )  # fmt: skip


def _grade(name: str, own: Mapping[str, GradeColour]) -> GradeColour:
    return own[name] if name in own else grade_.find_grade_colour(name)


def _wood(name: str, own: Mapping[str, Bare]) -> Bare:
    return own[name] if name in own else wood.find_bare(name)


def _sources(names: Iterable[str]) -> str:
    told = list(dict.fromkeys(names))
    return f"{wood.PANELS}: {'; '.join(told)}" if told else wood.PANELS


def _mean(labs: Sequence[tuple[float, float, float]]) -> tuple[float, float, float]:
    lightness, red, yellow = map(float, np.mean(labs, axis=0))
    return lightness, red, yellow
