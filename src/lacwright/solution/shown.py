"""The numbers of a mix as figures: value, band, working, and why one is missing."""

from __future__ import annotations

import math
from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from lacwright.figures import Basis, Figure, Refusal, computed, exact, unknown
from lacwright.figures.units import G_PER_L_PER_CUT
from lacwright.solution.mix import Mix, dye_density_g_ml

Model = Callable[..., Mapping[str, float]]

NO_ALCOHOL = (
    "cannot estimate without the alcohol: its density depends on what it is (give --alcohol)"
)
UNKNOWN_ALCOHOL = (
    "cannot estimate without the alcohol: its composition is unknown (ask for the safety data "
    "sheet, or weigh 100 ml and give --alcohol-density)"
)
NO_ALCOHOL_IN_FILE = (
    "cannot estimate without the alcohol of {names}: nobody said what it is, and its density "
    'depends on that (write there alcohol = [{{ name = "ethanol-190" }}])'
)
UNKNOWN_IN_FILE = (
    "cannot estimate without the alcohol of {names}: its composition is unknown (ask for the "
    "safety data sheet, and write the composition there)"
)
MIX_KEYS = (
    "resin_g", "alcohol_ml", "alcohol_g", "solution_ml", "solution_g", "cut_lb_per_gal",
    "resin_g_per_l_alcohol", "solids_mass_fraction", "solids_volume_fraction",
)  # fmt: skip
MASS_KEYS = ("alcohol_g", "solution_g", "solids_mass_fraction", "add_alcohol_g")
_SUFFIXES = {
    "_lb_per_gal": "lb/gal", "_g_per_l_alcohol": "g/l", "_g": "g", "_ml": "ml", "_h": "h",
}  # fmt: skip


@dataclass
class Answer:
    """The keys of an answer with their figures and the reasons for what is missing."""

    figures: dict[str, Figure] = field(default_factory=dict)
    extra: dict[str, Any] = field(default_factory=dict)

    def put(self, name: str, figure: Figure) -> None:
        """Add a figure under its key."""
        self.figures[name] = once(figure)

    @property
    def keys(self) -> dict[str, Any]:
        """Bare keys: the value of every figure, then what is no figure."""
        return {**{n: f.value for n, f in self.figures.items()}, **self.extra}

    @property
    def missing(self) -> dict[str, str]:
        """The reason for every figure without a value."""
        return {n: f.missing for n, f in self.figures.items() if f.missing is not None}


def mix_values(mix: Mix) -> dict[str, float]:
    """Return the bare numbers of a mix (floats only), before any is withheld."""
    return {key: float(getattr(mix, _attribute(key))) for key in MIX_KEYS}


def held(value: float, unit: str, density: Figure, what: str) -> Figure:
    """Return what a jar holds, as a figure as good as the resin density that it rests on."""
    source = f"{what}; {density.source}"
    return Figure(value, value, value, unit, Basis.COMPUTED, density.mark, source)


def once(figure: Figure) -> Figure:
    """Return the same figure, each of its sources named once."""
    return replace(figure, source="; ".join(dict.fromkeys(figure.source.split("; "))))


def bands(model: Model, inputs: Mapping[str, Figure]) -> dict[str, tuple[float, float, float]]:
    """Return (central, low, high) of everything a model gives.

    Each uncertain input goes to its low and high end on its own, and the shifts add as the root
    of the sum of squares. For one uncertain input (the resin density, usually) that is exact.
    Limits are judged on the central case: where an end cannot be (more used than was made, say),
    the band goes as far as can be.

    Parameters
    ----------
    model : callable
        Takes the inputs by name as floats and returns named numbers.
    inputs : mapping of str to Figure
        Base inputs; those with a band are varied.
    """
    middle = {name: figure.number() for name, figure in inputs.items()}
    values = model(**middle)
    down, up = dict.fromkeys(values, 0.0), dict.fromkeys(values, 0.0)
    for name, figure in inputs.items():
        if figure.low is None or figure.high is None or figure.low == figure.high:
            continue
        ends = [_end(model, middle, name, end) for end in (figure.low, figure.high)]
        for key, value in values.items():
            shifts = [end[key] - value for end in ends]
            down[key] += min(*shifts, 0.0) ** 2
            up[key] += max(*shifts, 0.0) ** 2
    return {
        key: (value, value - math.sqrt(down[key]), value + math.sqrt(up[key]))
        for key, value in values.items()
    }


def answer(
    model: Model, inputs: Mapping[str, Figure], workings: Mapping[str, tuple[str, tuple[str, ...]]],
    *, withheld: str | None = None, keep: Collection[str] = (), moisture: float = 0.0,
    dye_ml: float = 0.0,
) -> Answer:  # fmt: skip
    """Return the figures of a mix.

    Parameters
    ----------
    model : callable
        Gives all of `MIX_KEYS` and the keys of `workings` from the base inputs.
    inputs : mapping of str to Figure
        Base inputs by name: what was given, resin_density, alcohol_density.
    workings : mapping of str to (formula, names)
        How the keys that are particular to the question follow from base inputs and from keys
        named before them, "resin_g" and "alcohol_ml" among them.
    withheld : str, optional
        Why the figures by weight are not given.
    keep : collection of str
        Figures by weight that are given all the same: asked for, or weighed.
    moisture : float
        Water in the flakes [1].
    dye_ml : float
        Dye concentrate [ml].

    Returns
    -------
    Answer
        In the order of `MIX_KEYS`, then the particular keys.
    """
    found = bands(model, inputs)
    known: dict[str, Figure] = dict(inputs)
    known["g_per_l_per_cut"] = exact(G_PER_L_PER_CUT, "g/l", "definition of pound and US gallon")
    known["moisture"] = exact(moisture, "1", "given")
    known["dye_ml"] = exact(dye_ml, "ml", "given")
    known["dye_g"] = exact(dye_ml * dye_density_g_ml(), "g", "given")
    # The question's own working of a key goes before the usual one, and in its own place.
    usual = {key: way for key, way in _DERIVED.items() if key not in workings}
    for key, (formula, names) in {**workings, **usual}.items():
        if key in known:
            continue
        if withheld is not None and key in MASS_KEYS and key not in keep:
            known[key] = unknown(_unit(key), withheld)
            continue
        figure = once(computed(formula, _unit(key), {n: known[n] for n in names}))
        known[key] = figure.with_band(*found[key][1:])
    out = Answer()
    for key in (*MIX_KEYS, *workings):
        if not key.startswith("_"):
            out.put(key, known[key])
    return out


_DERIVED: dict[str, tuple[str, tuple[str, ...]]] = {
    "alcohol_g": ("alcohol_ml * alcohol_density", ("alcohol_ml", "alcohol_density")),
    "solution_ml": (
        "alcohol_ml + resin_g / resin_density + dye_ml",
        ("alcohol_ml", "resin_g", "resin_density", "dye_ml"),
    ),
    "solution_g": ("resin_g + alcohol_g + dye_g", ("resin_g", "alcohol_g", "dye_g")),
    "cut_lb_per_gal": (
        "1000 * resin_g / alcohol_ml / g_per_l_per_cut",
        ("resin_g", "alcohol_ml", "g_per_l_per_cut"),
    ),
    "resin_g_per_l_alcohol": ("1000 * resin_g / alcohol_ml", ("resin_g", "alcohol_ml")),
    "solids_mass_fraction": (
        "resin_g * (1 - moisture) / (resin_g + alcohol_ml * alcohol_density + dye_g)",
        ("resin_g", "moisture", "alcohol_ml", "alcohol_density", "dye_g"),
    ),
    "solids_volume_fraction": (
        "resin_g * (1 - moisture) / resin_density / solution_ml",
        ("resin_g", "moisture", "resin_density", "solution_ml"),
    ),
}


def _end(model: Model, middle: dict[str, float], name: str, end: float) -> Mapping[str, float]:
    """Return the model at the end of an input, or as near to it as the model goes."""
    try:
        return model(**{**middle, name: end})
    except Refusal:
        can, cannot = middle[name], end
    found = model(**middle)
    for _ in range(12):
        at = (can + cannot) / 2
        try:
            found, can = model(**{**middle, name: at}), at
        except Refusal:
            cannot = at
    return found


def _attribute(key: str) -> str:
    return {"resin_g": "total_resin_g"}.get(key, key)


def _unit(key: str) -> str:
    """Return the unit that the end of a key names, "1" where it names none."""
    return next((unit for end, unit in _SUFFIXES.items() if key.endswith(end)), "1")
