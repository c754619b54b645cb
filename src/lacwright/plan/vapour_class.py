"""What a class sets free: everybody lays one coat within a session that was stated.

A class has no calendar of its own: coats of all exercises begin together, and the next follow
after the usual wait of their method.
"""

from __future__ import annotations

from collections.abc import Sequence

from lacwright.figures import Num, Refusal, central
from lacwright.figures.spoken import trimmed
from lacwright.plan.class_pack import exercise_ml
from lacwright.plan.emission import emission_of
from lacwright.plan.laying import liquid_of
from lacwright.plan.loads import Liquid
from lacwright.plan.own import OwnFigures
from lacwright.plan.piece import ClassSpec, Exercise, MixSpec, Piece
from lacwright.plan.room_spec import DRYING, FIRST_ORDER, RoomSpec
from lacwright.room import Source, solvents_g
from lacwright.solution import NOT_STATED, Mix
from lacwright.trade import table

MOST_DRAWS = 257


def class_sources(
    piece: Piece, course: ClassSpec, spec: RoomSpec, own: OwnFigures, mixes: Sequence[MixSpec]
) -> tuple[list[Source], list[str]]:
    """Return the coats of a class and its cleaning, and what was taken for granted.

    Parameters
    ----------
    piece, course
        The shelf, and who does what.
    spec : RoomSpec
        With the session in which everybody lays one coat.
    own : OwnFigures
        For spreads and waits.
    mixes : sequence of MixSpec
        With their alcohols.

    Raises
    ------
    Refusal
        Without a session, for an alcohol that is not said, or for the emission of single coats.
    """
    if not course.exercises:
        return [], []
    if spec.session_h is None or spec.session_h <= 0:
        raise Refusal("[room] session", "cannot estimate the air of a class without how long all "
                      "of them take to lay one coat",
                      'write e.g. session = "45 min", or give --session')  # fmt: skip
    kind = spec.emission
    if kind == DRYING:
        raise Refusal("[room] emission", "the model of the drying coat has no say in a class",
                      f"write {FIRST_ORDER}")  # fmt: skip
    heads, named = course.students + course.demonstrators, {m.name: m for m in mixes}
    out: list[Source] = []
    waits: dict[str, float] = {}
    for exercise in course.exercises:
        mix = named[exercise.mix]
        liquid = liquid_of(mix, own, piece.shelf)
        each = {s: g / 1000.0 for s, g in solvents_g(known(mix, liquid)).items()}
        figure, draws = exercise_ml(exercise, own)
        waits[exercise.method] = wait = _wait_h(exercise, own)
        share = heads / exercise.coats
        for k in range(exercise.coats):
            out.append(Source(
                what=f"coat {k + 1} of {exercise.name}, {heads} at work",
                start_h=k * (spec.session_h + wait),
                grams={s: thinned(draws) * share * thinned(g) for s, g in each.items()},
                emission=emission_of(kind, spec.session_h), over_h=spec.session_h,
                liquid_ml=figure.number() * share,
                sprayed=table("methods").find(exercise.method, "method").text("kind") == "spray",
                heads=heads,
            ))  # fmt: skip
    out += _cleaning(course, heads, named[course.exercises[0].mix], own, piece, out)
    told = ", ".join(f"{m} {trimmed(h, 2)} h" for m, h in waits.items())
    return out, [
        f"all {heads} at work lay one coat of every exercise within a session of "
        f"{trimmed(60 * spec.session_h, 3)} minutes; the next follows after the usual wait "
        f"({told}), all on one day; alcohol for cleaning comes with the last; each breathes the "
        "air about his own work"
    ]


def known(mix: MixSpec, liquid: Liquid) -> Mix:
    """Return a litre of a mix whose alcohol was named.

    Raises
    ------
    Refusal
        Where it was not.
    """
    if NOT_STATED in liquid.mix.solvent_g:
        raise Refusal(f"mix {mix.name}", f"cannot estimate the air without the alcohol of mix "
                      f"{mix.name}: nothing is assumed about it",
                      'name it, or write alcohol = "unknown"')  # fmt: skip
    return liquid.mix


def thinned(value: Num) -> Num:
    """Return draws, no more than an estimate needs."""
    return value if isinstance(value, int | float) else value[..., :MOST_DRAWS]


def _wait_h(exercise: Exercise, own: OwnFigures) -> float:
    key = f"wait.{exercise.method}"
    return own.value(key) if key in table("practice") or own.said(key) else 0.0


def _cleaning(
    course: ClassSpec, heads: int, mix: MixSpec, own: OwnFigures, piece: Piece,
    coats: Sequence[Source],
) -> list[Source]:  # fmt: skip
    each = course.cleaning_ml_per_person
    ml = heads * (own.value("class.cleaning_ml") if each is None else each)
    if ml <= 0:
        return []
    solvents = known(mix, liquid_of(mix, own, piece.shelf)).solvent_g
    alcohol = max(solvents.items(), key=lambda x: central(x[1]))[0]
    last = max(one.start_h + (one.over_h or 0.0) for one in coats)
    return [Source(
        what=f"cleaning, {heads} at work", start_h=last,
        grams=solvents_g(Mix({}, {alcohol: ml * alcohol.density_g_ml()})),
        emission=emission_of(FIRST_ORDER, None), liquid_ml=ml, takes_extra=False,
        heads=heads,
    )]  # fmt: skip
