"""Coats and cleaning as they are typed for the air of a room: millilitres of mix to solvent."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from lacwright.drying import WetCoat
from lacwright.figures import Refusal
from lacwright.files.room_words import named, read_coats, read_solvent
from lacwright.files.stated_coat import extrapolated, stated_coat
from lacwright.plan.emission import Say, drying_curves, emission_of
from lacwright.plan.room_spec import DRYING, FIRST_ORDER, INSTANT, RoomSpec
from lacwright.room import Emission, Source, solvents_g
from lacwright.solution import Alcohol, Mix, Recipe
from lacwright.trade import table


@dataclass(frozen=True)
class TypedWork:
    """What is laid, as it was typed.

    Parameters
    ----------
    coats, cleaning : tuple of str
        "250 ml at 0 min over 10 min" of mix; "30 ml at 2 h" of alcohol.
    alcohol : str or None
        A name or a composition.
    cut : float or None
        [lb/gal].
    method : str or None
        How it is laid.
    wet_um : float or None
        Wet film, for the model of the drying coat [um].
    """

    coats: tuple[str, ...] = ()
    cleaning: tuple[str, ...] = ()
    alcohol: str | None = None
    cut: float | None = None
    method: str | None = None
    wet_um: float | None = None


def typed_sources(
    work: TypedWork, spec: RoomSpec, say: Say | None = None
) -> tuple[tuple[Source, ...], tuple[str, ...]]:
    """Return what is set free, and what was taken for granted.

    Raises
    ------
    Refusal
        At "--coat", "--cleaning", "--alcohol", "--cut", "--method" or "--wet": for what is not
        said or cannot be read.
    """
    coats, cleaning = read_coats(work.coats), read_coats(work.cleaning, "--cleaning")
    if not work.alcohol:
        raise Refusal("--alcohol", "cannot estimate without it: nothing is assumed about it",
                      "name it as the data sheet has it, or write unknown")  # fmt: skip
    if not coats and not cleaning:
        raise Refusal("--coat", "nothing is laid", "write e.g. --coat '250 ml at 0 min'")
    if coats and work.cut is None:
        raise Refusal("--cut", "it is not said", "write e.g. --cut 2")
    alcohol, slow = read_solvent(work.alcohol)
    sprayed = False
    if work.method:
        sprayed = table("methods").find(work.method, "--method").text("kind") == "spray"
    curves: dict[str, Emission] | None = None
    emission = spec.emission
    notes: tuple[str, ...] = ("a first-order drying of the coats",)
    if emission == DRYING:
        curves, notes = _curves(work, spec, alcohol, slow=slow, say=say)
    elif emission != FIRST_ORDER:
        notes = (f"solvent set free {emission.replace('-', ' ')}",)
    sources = []
    for n, coat in enumerate(coats, 1):
        mix = Recipe(work.cut or 0.0, alcohols={alcohol: 1.0}).make(solution_ml=coat.ml)
        sources.append(Source(
            what=f"coat {n}", start_h=coat.at_h, grams=named(solvents_g(mix), slow=slow),
            emission=emission_of(emission, coat.over_h, curves=curves), over_h=coat.over_h,
            liquid_ml=coat.ml, sprayed=sprayed,
        ))  # fmt: skip
    for n, one in enumerate(cleaning, 1):
        mix = Mix({}, {alcohol: one.ml * alcohol.density_g_ml()})
        kind = FIRST_ORDER if emission == DRYING or one.over_h is None else emission
        kind = INSTANT if emission == INSTANT else kind
        sources.append(Source(
            what=f"cleaning {n}", start_h=one.at_h, grams=named(solvents_g(mix), slow=slow),
            emission=emission_of(kind, one.over_h, where="--cleaning"), over_h=one.over_h,
            liquid_ml=one.ml, takes_extra=False,
        ))  # fmt: skip
    return tuple(sources), notes


def _curves(
    work: TypedWork, spec: RoomSpec, alcohol: Alcohol, *, slow: bool, say: Say | None
) -> tuple[dict[str, Emission], tuple[str, ...]]:
    assumed: tuple[str, ...] = ()
    if slow:
        assert alcohol.parts is not None
        if work.wet_um is None:
            raise Refusal("--wet", "it is not said", "write e.g. --wet '100 um'")
        parts: Mapping[str, float] = dict(alcohol.parts)
        coat = WetCoat(work.wet_um, work.cut or 0.0, parts)
    else:
        try:
            told = stated_coat(method=work.method, wet_um=work.wet_um, cut=work.cut,
                               alcohol=alcohol)  # fmt: skip
        except Refusal as refusal:
            raise refusal.at(f"--{refusal.where}") from None
        coat, assumed = told.coat, told.assumed
    curves, notes = drying_curves(coat, temp_c=spec.temp_c, rh=spec.rh, say=say)
    beyond = () if spec.temp_c is None else extrapolated(spec.temp_c)
    return named(curves, slow=slow), (*notes, *beyond, *assumed)
