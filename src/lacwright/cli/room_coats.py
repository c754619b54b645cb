"""The coats of `lacwright room`: millilitres of mix to grams of solvent, and how they leave."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, TypeVar

from lacwright.cli.room_options import DRYING, FIRST_ORDER, INSTANT
from lacwright.figures import Refusal
from lacwright.figures import units as u
from lacwright.figures.quantities import read

if TYPE_CHECKING:
    from lacwright.drying import WetCoat
    from lacwright.room import Emission, Source
    from lacwright.solution import Alcohol

T = TypeVar("T")
_COAT = re.compile(r"\s*(?P<ml>.+?)(?:\s+at\s+(?P<at>.+?))?(?:\s+over\s+(?P<over>.+?))?\s*",
                   re.IGNORECASE)  # fmt: skip
_SLOW = re.compile(r"\b(?:unknown\s+)?(?:slow(?:\s+alcohol)?|retarder)\b(?=\s+\d)", re.IGNORECASE)
_STANDS_IN = "n-butanol"


@dataclass(frozen=True)
class Coat:
    """A coat as it is typed: millilitres, when, over how long [h]."""

    ml: float
    at_h: float
    over_h: float | None


def read_coats(texts: Sequence[str], where: str = "--coat") -> tuple[Coat, ...]:
    """Read coats: "250 ml at 0 min over 10 min"; without "at" a coat is laid at the beginning.

    Raises
    ------
    Refusal
        For several coats of which one does not say when, for nothing laid or no time.
    """
    out = []
    for text in texts:
        match = _COAT.fullmatch(text)
        if match is None:
            raise Refusal(where, f"'{text}' is not a coat", "write e.g. '250 ml at 0 min'")
        if match["at"] is None and len(texts) > 1:
            raise Refusal(where, f"'{text}' does not say when it is laid",
                          "write e.g. '250 ml at 60 min'")  # fmt: skip
        ml = read(match["ml"], u.VOLUME, where)
        if ml <= 0:
            raise Refusal(where, f"'{text}' lays nothing", "write e.g. '250 ml at 0 min'")
        over = None if match["over"] is None else read(match["over"], u.TIME, where)
        if over is not None and over <= 0:
            raise Refusal(where, f"'{text}' takes no time", "leave 'over' out, or say how long")
        out.append(Coat(ml, read(match["at"] or "0 h", u.TIME, where), over))
    return tuple(out)


def read_solvent(text: str) -> tuple[Alcohol, bool]:
    """Return the alcohol, and whether a slow alcohol in it is an unknown one."""
    from lacwright.solution import read_alcohol

    typed = _SLOW.sub(_STANDS_IN, text)
    if typed == text:
        return read_alcohol(text), False
    if len(_SLOW.findall(text)) > 1 or _STANDS_IN in text.lower():
        raise Refusal("--alcohol", "two slow alcohols stand there", "add them up as one 'slow'")
    return read_alcohol(typed, lot=text.strip()), True


def named(parts: Mapping[str, T], *, slow: bool) -> dict[str, T]:
    """Return what is told by substance with an unknown slow alcohol under its own name."""
    from lacwright.room import SLOW

    return {SLOW if slow and name == _STANDS_IN else name: g for name, g in parts.items()}


def emission_of(
    kind: str, over_h: float | None, *, curves: Mapping[str, Emission] | None = None,
    where: str = "--coat",
) -> Emission | Mapping[str, Emission]:  # fmt: skip
    """Return how a coat becomes vapour.

    Parameters
    ----------
    kind : str
        One of the choices of --emission.
    over_h : float or None
        How long it is laid.
    curves : mapping of substance to Emission
        Of the model of the drying coat.
    where : str
        For the refusal.
    """
    from lacwright.room import FirstOrder, Instant, Laid
    from lacwright.trade import table

    if kind == DRYING:
        assert curves is not None
        return {s: c if over_h is None else Laid(c, over_h) for s, c in curves.items()}
    if kind == INSTANT:
        return Instant()
    if kind == FIRST_ORDER:
        first = FirstOrder(table("room_constants")["drying_per_h"].number("value"))
        return first if over_h is None else Laid(first, over_h)
    if over_h is None:
        raise Refusal(where, "it does not say how long the laying takes",
                      "add e.g. 'over 10 min', or take another --emission")  # fmt: skip
    return Laid(Instant(), over_h)


def drying_curves(
    coat: WetCoat, *, temp_c: float | None, rh: float | None, speed_m_s: float | None = None
) -> tuple[dict[str, Emission], tuple[str, ...]]:
    """Return what share of each solvent has left a coat over time, by the model of the coat.

    Raises
    ------
    Refusal
        Without the air of the room.
    """
    from lacwright.cli.dry_common import ready_model, stated_air
    from lacwright.drying import dry
    from lacwright.figures.draws import Draws
    from lacwright.room import EmissionCurve

    if temp_c is None or rh is None:
        raise Refusal("--emission drying", "the air of the room is not said",
                      "give --temp and --rh")  # fmt: skip
    air, assumed = stated_air(temp_c=temp_c, rh=rh, speed_m_s=speed_m_s)
    ready_model()
    made = dry(coat=coat, air=air, draws=Draws(0))
    release = made.release(1.0)
    curves: dict[str, Emission] = {
        s: EmissionCurve.of(release, s, float(made.course.left_g_m2[s][0]))
        for s in release.released_g
    }
    return curves, (f"drying by {release.basis}", *assumed)


def typed_sources(
    asked: dict[str, Any], *, emission: str
) -> tuple[tuple[Source, ...], Alcohol, tuple[str, ...]]:
    """Return the sources that the options name, their alcohol, and what was taken for granted."""
    from lacwright.room import Source, solvents_g
    from lacwright.solution import Mix, Recipe
    from lacwright.trade import table

    coats, cleaning = read_coats(asked["coats"]), read_coats(asked["cleaning"], "--cleaning")
    if asked["alcohol"] is None:
        raise Refusal("--alcohol", "cannot estimate without it: nothing is assumed about it",
                      "name it as the data sheet has it, or write unknown")  # fmt: skip
    if not coats and not cleaning:
        raise Refusal("--coat", "nothing is laid", "write e.g. --coat '250 ml at 0 min'")
    if coats and asked["cut"] is None:
        raise Refusal("--cut", "it is not said", "write e.g. --cut 2")
    alcohol, slow = read_solvent(asked["alcohol"])
    sprayed = False
    if asked["method"] is not None:
        sprayed = table("methods").find(asked["method"], "--method").text("kind") == "spray"
    curves: dict[str, Emission] | None = None
    notes: tuple[str, ...] = ("a first-order drying of the coats",)
    if emission == DRYING:
        curves, notes = _curves(asked, alcohol, slow)
    elif emission != FIRST_ORDER:
        notes = (f"solvent set free {emission.replace('-', ' ')}",)
    sources = []
    for n, coat in enumerate(coats, 1):
        mix = Recipe(asked["cut"], alcohols={alcohol: 1.0}).make(solution_ml=coat.ml)
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
    return tuple(sources), alcohol, notes


def _curves(
    asked: dict[str, Any], alcohol: Alcohol, slow: bool
) -> tuple[dict[str, Emission], tuple[str, ...]]:
    from lacwright.cli.dry_common import stated_coat
    from lacwright.drying import WetCoat

    assumed: tuple[str, ...] = ()
    if slow:
        assert alcohol.parts is not None
        wet = asked["wet_um"]
        if wet is None:
            raise Refusal("--wet", "it is not said", "write e.g. --wet '100 um'")
        coat = WetCoat(wet, asked["cut"], dict(alcohol.parts))
    else:
        told = stated_coat(method=asked["method"], wet_um=asked["wet_um"], cut=asked["cut"],
                           alcohol=asked["alcohol"])  # fmt: skip
        coat, assumed = told.coat, told.assumed
    curves, notes = drying_curves(coat, temp_c=asked["temp_c"], rh=asked["rh"])
    return named(curves, slow=slow), (*notes, *assumed)
