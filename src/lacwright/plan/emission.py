"""How a coat becomes vapour: at once, while it is laid, first order, or as the model has it."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from lacwright.climate import Air
from lacwright.drying import WetCoat, compile_now, dry
from lacwright.figures import Refusal
from lacwright.figures.draws import Draws
from lacwright.plan.room_spec import DRYING, FIRST_ORDER, INSTANT
from lacwright.room import Emission, EmissionCurve, FirstOrder, Instant, Laid
from lacwright.trade import table

Emitted = Emission | Mapping[str, Emission]
Say = Callable[[str], None]


def emission_of(
    kind: str, over_h: float | None, *, curves: Mapping[str, Emission] | None = None,
    where: str = "--coat",
) -> Emitted:  # fmt: skip
    """Return how a coat becomes vapour.

    Parameters
    ----------
    kind : str
        One of `EMISSIONS`.
    over_h : float or None
        How long it is laid [h].
    curves : mapping of substance to Emission
        Of the model of the drying coat.
    where : str
        For the refusal.

    Raises
    ------
    Refusal
        For what is set free while laying, where nobody said how long that takes.
    """
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
    coat: WetCoat, *, temp_c: float | None, rh: float | None, say: Say | None = None
) -> tuple[dict[str, Emission], tuple[str, ...]]:
    """Return what share of each solvent has left a coat over time, by the model of the coat.

    Parameters
    ----------
    coat : WetCoat
    temp_c, rh : float or None
        Air of the room [C], [0-1].
    say : callable, optional
        Is told a line before the model is compiled, once for a machine.

    Raises
    ------
    Refusal
        Without the air of the room.
    """
    if temp_c is None or rh is None:
        raise Refusal("--emission drying", "the air of the room is not said",
                      "give --temp and --rh")  # fmt: skip
    row = table("drying")["still_air"]
    still = row.number("value")
    compile_now(say or (lambda line: None))
    made = dry(coat=coat, air=Air(None, temp_c, rh, still), draws=Draws(0))
    release = made.release(1.0)
    curves: dict[str, Emission] = {
        s: EmissionCurve.of(release, s, float(made.course.left_g_m2[s][0]))
        for s in release.released_g
    }
    return curves, (f"drying by {release.basis}",
                    f"still air, {still:g} m/s over the work: {row.mark}")  # fmt: skip
