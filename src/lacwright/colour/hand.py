"""The maker's own figures of colour by name, and the grades and woods that they make.

Names are those of the hand keys: colour.<grade>.level, slope, band and haze with how they hang
together; colour.<wood>.wetting and skin, and lightness, red and yellow of its bare boards.
Commands and pages take their grades and woods through `grade_for` and `bare_for`, so that own
figures go before the table.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

import numpy as np

from lacwright.colour.accuracy import CAMERA
from lacwright.colour.cie import Viewing
from lacwright.colour.evidence import (
    BAND,
    FAMILY,
    HAZE,
    LEVEL,
    LOGARITHMIC,
    OF_BOARD,
    OF_GRADE,
    OF_WOOD,
    SKIN,
    SLOPE,
    WETTING,
    Array,
    Evidence,
    State,
    is_skin,
    name_of,
    parted,
    together,
    without,
)
from lacwright.colour.grade import PANELS, GradeColour, find_grade_colour, grade_of_panels
from lacwright.colour.known import BOUNDS, known, prior_of_grade, prior_of_wood, wood_key
from lacwright.colour.panels import CAMERA as READ_BY_CAMERA
from lacwright.colour.panels import constant
from lacwright.colour.wood import Bare, find_bare, measured_bare, with_panels
from lacwright.figures import Basis, Figure, Learned, Mark, Refusal
from lacwright.figures.learned import Z95

Own = Mapping[str, Figure | Learned]
UNITS = {LEVEL: "m2/g", SLOPE: "1/100 nm", BAND: "m2/g", HAZE: "m2/g", WETTING: "1",
         SKIN: "1"}  # fmt: skip
BY_CAMERA = "from your panels by camera"
"""So the source of a figure begins that a camera read."""
GLOSS_COUNTED = "read with the gloss included: skin left out"
"""Stands with a panel that teaches no skin: that of 8/d is not the skin of 45/0."""
USUAL_SKIN = "the usual skin, since your own was learned without the gloss"
PAIRS = {"level_slope": (0, 1), "level_band": (0, 2), "slope_band": (1, 2)}
"""How two constants of a grade hang together."""


def own_grades(own: Own) -> dict[str, GradeColour]:
    """Return the grades of which own figures say something, with them.

    What they do not say stays as the table has it.

    Parameters
    ----------
    own : mapping of str to Figure or Learned
        Own figures by name; those of other names are left out.

    Returns
    -------
    dict of str to GradeColour
        By the name of the grade in the table of colours.

    Raises
    ------
    Refusal
        For a value that no lac can have.
    """
    out = {}
    for name, mine in _things(own, (*OF_GRADE, HAZE, *PAIRS)).items():
        grade = find_grade_colour(name)
        mid, cov = prior_of_grade(grade)
        mid, cov = mid[:3], cov[:3, :3]
        sd = np.sqrt(np.diag(cov))
        haze, haze_sd = grade.haze_per_g_m2, grade.haze_ln_sd
        if HAZE in mine:
            told, haze_sd = _read(name_of(name, HAZE), mine[HAZE], grade.haze_ln_sd)
            haze = math.exp(told)
        elif not set(OF_GRADE) & set(mine):
            continue
        for k, constant_ in enumerate(OF_GRADE):
            if constant_ in mine:
                mid[k], sd[k] = _read(name_of(name, constant_), mine[constant_], sd[k])
        # What different panels, files or people say is not known to hang together.
        joint = np.eye(3)
        for pair, (a, b) in PAIRS.items():
            if pair in mine and _of_one_source(mine, pair, OF_GRADE[a], OF_GRADE[b]):
                joint[a, b] = joint[b, a] = float(np.clip(_value(mine[pair]), -0.999, 0.999))
        level, slope, band = map(float, mid)
        out[grade.name] = grade_of_panels(
            grade.name, (level, slope, band), _sound(joint) * np.outer(sd, sd),
            haze_per_g_m2=haze, haze_ln_sd=haze_sd, source=(said := _source(mine.values())),
            basis=CAMERA if BY_CAMERA in said else PANELS,
        )  # fmt: skip
    return out


def own_bare(own: Own) -> dict[str, Bare]:
    """Return the woods of which own figures say something, with them.

    Their colour is that of the own boards where all three numbers are there, else the table's.

    Parameters
    ----------
    own : mapping of str to Figure or Learned
        Own figures by name; those of other names are left out.

    Returns
    -------
    dict of str to Bare
        By the key of the wood in the table of colours, "hard-maple".

    Raises
    ------
    Refusal
        For a value that no wood can have.
    """
    out = {}
    for name, mine in _things(own, (*OF_WOOD, *OF_BOARD)).items():
        bare = find_bare(name)
        if all(part in mine for part in OF_BOARD):
            bare = _boards(bare, [mine[part] for part in OF_BOARD])
        mid, cov = prior_of_wood(bare)
        sd = np.sqrt(np.diag(cov))
        for k, constant_ in enumerate(OF_WOOD):
            if constant_ in mine:
                mid[k], sd[k] = _read(name_of(name, constant_), mine[constant_], sd[k])
        out[wood_key(bare.name)] = with_panels(
            bare, wetting=(float(mid[0]), float(sd[0])), k1b=(float(mid[1]), float(sd[1])),
            source=_source(mine.values()),
        )  # fmt: skip
    return out


def grade_for(name: str, own: Own) -> GradeColour:
    """Return a grade as own figures have it, else as the table does."""
    found = find_grade_colour(name)
    return own_grades(_only(own, found.name)).get(found.name, found)


def bare_for(name: str, own: Own, viewing: Viewing | None = None) -> Bare:
    """Return a wood as own figures have it, else as the table does.

    An own skin is one without the gloss, 45/0: where `viewing` counts the gloss it is left out,
    and the source of the wood says so.
    """
    found = find_bare(name)
    key = wood_key(found.name)
    mine = _only(own, key)
    if viewing is None or viewing.geometry == Viewing().geometry or not any(map(is_skin, mine)):
        return own_bare(mine).get(key, found)
    bare = own_bare(skinless(mine)).get(key, found)
    return replace(bare, source=f"{bare.source}; {USUAL_SKIN}")


def skinless(own: Own, woods: Iterable[str] | None = None) -> dict[str, Figure | Learned]:
    """Return own figures without the skins of some woods, as "hard-maple"; of all by default."""
    of = None if woods is None else set(woods)
    return {n: f for n, f in own.items()
            if not (n.startswith(FAMILY + ".") and is_skin(n)
                    and (of is None or parted(n)[0] in of))}  # fmt: skip


def learned_figures(evidence: Sequence[Evidence]) -> dict[str, Figure]:
    """Return the own figures that panels teach together, by name; none without a panel.

    The skin of a board that was read with the gloss included is reckoned out: it is another
    number than the skin of one read without, and nothing converts one into the other.
    """
    if not evidence:
        return {}
    prior = _prior_of(evidence)
    mine = [_skinless(_of_known(one, prior), prior) for one in evidence]
    told = figures_of(together(prior, mine, BOUNDS), mine)
    said = {name for one in mine for name in one.names}
    return {n: f for n, f in told.items() if n in said or not is_skin(n)}


def learned_state(evidence: Sequence[Evidence]) -> State | None:
    """Return what all panels say together of the grades and woods on them, None without one."""
    if not evidence:
        return None
    prior = _prior_of(evidence)
    return together(prior, [_of_known(one, prior) for one in evidence], BOUNDS)


def _prior_of(evidence: Sequence[Evidence]) -> State:
    """Return what is known before of all that some panels speak of."""
    things = dict.fromkeys(parted(name)[0] for one in evidence for name in one.names)
    said = {name for one in evidence for name in one.names}
    grades = [find_grade_colour(t) for t in things if name_of(t, LEVEL) in said]
    bares = [find_bare(t) for t in things if name_of(t, WETTING) in said]
    return known(grades, bares)


def _skinless(one: Evidence, prior: State) -> Evidence:
    """Return evidence without the skin where the gloss was counted."""
    if not one.gloss_counted:
        return one
    skins = [name for name in one.names if is_skin(name)]
    return replace(without(one, skins, prior), source=f"{one.source} ({GLOSS_COUNTED})")


def figures_of(state: State, evidence: Sequence[Evidence] = ()) -> dict[str, Figure]:
    """Return constants as own figures by name, with how those of a grade hang together.

    Parameters
    ----------
    state : State
    evidence : sequence of Evidence
        Which panels they rest on; none for what was known before.
    """
    out = {}
    for name in state.names:
        thing, constant_ = parted(name)
        sources = [one.source for one in evidence if name in one.names]
        basis, mark, source = Basis.DEFAULT, Mark.GUESS, "the table"
        if sources:
            basis, mark = Basis.LEARNED, Mark.OWN
            by = BY_CAMERA if any(
                one.reader == READ_BY_CAMERA for one in evidence if name in one.names
            ) else "from your panels"  # fmt: skip
            source = f"{by}, n = {len(sources)}: {'; '.join(sources)}"
        mid, sd = state.value(name), state.sd(name)
        low, high = mid - Z95 * sd, mid + Z95 * sd
        if constant_ in LOGARITHMIC:
            mid, low, high = math.exp(mid), math.exp(low), math.exp(high)
        elif constant_ != SLOPE:
            low = max(low, 0.0)
        out[name] = Figure(mid, low, high, UNITS[constant_], basis, mark, source)
        if constant_ == BAND and sources:
            for pair, (a, b) in PAIRS.items():
                rho = state.correlation(name_of(thing, OF_GRADE[a]), name_of(thing, OF_GRADE[b]))
                out[name_of(thing, pair)] = Figure(rho, rho, rho, "1", basis, mark, source)
    return out | _board_figures(evidence)


def _board_figures(evidence: Sequence[Evidence]) -> dict[str, Figure]:
    """Return what the bare boards of woods read: the mean of the panels."""
    out = {}
    sd = constant("board_sd")
    for wood in dict.fromkeys(one.wood for one in evidence if one.bare is not None):
        mine = [one for one in evidence if one.wood == wood and one.bare is not None]
        mean = np.mean([one.bare or () for one in mine], axis=0)
        source = f"from your panels, n = {len(mine)}: {'; '.join(one.source for one in mine)}"
        for part, value in zip(OF_BOARD, map(float, mean), strict=True):
            out[name_of(wood, part)] = Figure(value, value - Z95 * sd, value + Z95 * sd, "1",
                                              Basis.LEARNED, Mark.OWN, source)  # fmt: skip
    return out


def _of_known(one: Evidence, prior: State) -> Evidence:
    """Return evidence without constants that the tables no longer have: a grade without wax."""
    at = [n for n, name in enumerate(one.names) if name in prior.names]
    return replace(
        one, names=tuple(one.names[n] for n in at), pull=tuple(one.pull[n] for n in at),
        information=tuple(tuple(one.information[n][m] for m in at) for n in at),
    )  # fmt: skip


def check_own(own: Own) -> None:
    """Refuse own figures of colour that nobody can have.

    Raises
    ------
    Refusal
        With the name of the figure.
    """
    own_grades(own)
    own_bare(own)


def _boards(bare: Bare, said: Sequence[Figure | Learned]) -> Bare:
    """Return a wood with the colour of own boards."""
    figures = [one.figure() if isinstance(one, Learned) else one for one in said]
    lightness, red, yellow = (f.number() for f in figures)
    wide = [(f.high or 0.0) - (f.low or 0.0) for f in figures]
    sd = sum(wide) / len(wide) / (2 * Z95)
    own = measured_bare((lightness, red, yellow), Viewing())
    return replace(bare, lab=own.lab, viewing=own.viewing,
                   lab_sd=sd if sd > 0 else constant("board_sd"))  # fmt: skip


def _things(own: Own, constants: Iterable[str]) -> dict[str, dict[str, Figure | Learned]]:
    """Return own figures by grade or wood and constant."""
    known = set(constants)
    out: dict[str, dict[str, Figure | Learned]] = {}
    for name, figure in own.items():
        if not name.startswith(FAMILY + "."):
            continue
        thing, constant_ = parted(name)
        if constant_ in known:
            out.setdefault(thing, {})[constant_] = figure
    return out


def _only(own: Own, thing: str) -> Own:
    return {n: f for n, f in own.items() if n.startswith(FAMILY + ".") and parted(n)[0] == thing}


def _read(name: str, said: Figure | Learned, before: float) -> tuple[float, float]:
    """Return middle and spread of a figure in the scale of the model."""
    figure = said.figure() if isinstance(said, Learned) else said
    constant_ = parted(name)[1]
    value, low, high = figure.number(), figure.low, figure.high
    assert low is not None
    assert high is not None
    ends = BOUNDS[constant_]
    if constant_ in LOGARITHMIC:
        ends = (math.exp(ends[0]), math.exp(ends[1]))
    if not ends[0] <= value <= ends[1]:
        raise Refusal(name, f"{value:g} is outside {ends[0]:.3g} to {ends[1]:.3g}",
                      "read panels and see `lacwright calibrate-colour`")  # fmt: skip
    if constant_ in LOGARITHMIC:
        wide = math.log(high / low) if low > 0 else 0.0
        value = math.log(value)
    elif constant_ == SLOPE:
        wide = high - low
    else:
        wide = 2 * (high - value)  # below, the band is cut at nothing
    sd = wide / (2 * Z95)
    return value, sd if sd > 0 else constant("given_share") * before


def _of_one_source(mine: Mapping[str, Figure | Learned], *names: str) -> bool:
    """Return whether all of some constants are told, and by one source."""
    sources = {_told_by(mine[name]) if name in mine else None for name in names}
    return len(sources) == 1 and None not in sources


def _told_by(said: Figure | Learned) -> str:
    """Return where a figure comes from; of one that was typed the file, not the key in it."""
    return said.source.partition(", hand.")[0]


def _value(said: Figure | Learned) -> float:
    return said.figure().number() if isinstance(said, Learned) else said.number()


def _sound(joint: Array) -> Array:
    """Return correlations that can be: typed ones may contradict each other."""
    low = float(np.linalg.eigvalsh(joint).min())
    if low < 1e-6:
        joint = (joint + (1e-6 - low) * np.eye(3)) / (1 + 1e-6 - low)
    return joint


def _source(figures: Iterable[Figure | Learned]) -> str:
    return "; ".join(dict.fromkeys(figure.source for figure in figures if figure.source))


def alone(evidence: Evidence) -> dict[str, Figure]:
    """Return what one panel says by itself, beside the tables, by name."""
    state = learned_state([evidence])
    assert state is not None
    told = figures_of(state, [evidence])
    return {name: told[name] for name in told if parted(name)[1] not in PAIRS}


def usual_figure(name: str) -> Figure | None:
    """Return a constant as the tables have it, None where they have none."""
    thing, constant_ = parted(name)
    if constant_ in PAIRS:
        return None
    if constant_ in (*OF_WOOD, *OF_BOARD):
        bare = find_bare(thing)
        if constant_ in OF_WOOD:
            found = figures_of(known([], [bare]))[name]
            return replace(found, mark=bare.mark)
        value, sd = bare.lab[OF_BOARD.index(constant_)], bare.lab_sd
        return Figure(value, value - Z95 * sd, value + Z95 * sd, "1", Basis.DEFAULT, bare.mark,
                      bare.source)  # fmt: skip
    grade = find_grade_colour(thing)
    table_ = figures_of(known([grade], []))
    return replace(table_[name], mark=grade.mark, source=grade.source) if name in table_ else None
