"""What one coat or session takes from the jar, and how much of it lands.

Strongest first: what the step says, what the maker's figures say, the default of the method.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from lacwright.figures import Basis, Figure, computed, given
from lacwright.plan.own import Array, OwnFigures
from lacwright.plan.piece import Step
from lacwright.solution import Mix
from lacwright.trade import table


@dataclass(frozen=True)
class Load:
    """One coat on one square metre.

    Parameters
    ----------
    used, landed : Figure
        ml/m2 that leave the jar, and that reach the work.
    used_draws, landed_draws : array of float, shape (n + 1,)
        The same as draws.
    deposit : Figure or None
        Net dry film in um where that is what was given: nothing more is deducted from it.
    deposit_draws : array of float or None
        The same as draws.
    """

    used: Figure
    landed: Figure
    used_draws: Array
    landed_draws: Array
    deposit: Figure | None = None
    deposit_draws: Array | None = None


@dataclass(frozen=True)
class Liquid:
    """What must be known of a mix to turn its volume into film."""

    resin_g_per_l: Figure  # g of resin in a litre of the solution
    resin_density: Figure  # g/ml
    resin_g_per_l_draws: Array
    resin_density_draws: Array
    mix: Mix  # a litre of it, with the same draws


def load_of(
    step: Step, *, method: str, n: int, coat: str, area_m2: float, liquid: Liquid,
    own: OwnFigures,
) -> Load:  # fmt: skip
    """Return the load of the n-th coat or session of a method.

    Parameters
    ----------
    step : Step
        The laying step.
    method : str
        Key of the table of methods.
    n : int
        Which coat of this method on these parts, from 1.
    coat : str
        Name of this coat's own random factor.
    area_m2 : float
        Area the step covers; turns "20 ml a session" into ml/m2.
    liquid : Liquid
        The mix.
    own : OwnFigures
        The maker's figures.
    """
    lost = _said(step.lost_share, "1", "lost", own) or own.figure(f"lost.{method}")
    lost_draws = own.draw_figure(lost, f"lost.{method}")
    noise = own.noise(coat, own.value("coat_ln_sd"))
    hand = f"hand.{method}"
    deposit, deposit_draws = _deposit(step, method, liquid, own, noise, hand)
    used, used_draws = _stated_use(step, method, n, area_m2, own)
    if used is not None and used_draws is not None:
        if used.basis is Basis.LEARNED:
            used_draws = used_draws * noise  # the log tells the mean, one coat lies about it
    elif step.wet_um is not None:
        wet = given(step.wet_um, "ml/m2", "piece file, step")
        return _from_wet(wet, own.draw_figure(wet, hand), lost, lost_draws, deposit, deposit_draws)
    elif deposit is not None and deposit_draws is not None:
        used, used_draws = _needed_for(deposit, deposit_draws, liquid, lost, lost_draws)
    else:
        used, used_draws = _default_use(method, own)
        row = table("methods")[method]
        if row.has("wet") and not own.said(f"spread.{method}"):
            wet = _with_hand(row.figure("wet", "ml/m2"), method, own)
            rows = own.draw_figure(wet, hand) * noise
            return _from_wet(wet, rows, lost, lost_draws, deposit, deposit_draws)
        used_draws = used_draws * noise
    landed_draws = used_draws * (1 - lost_draws)
    landed = computed("used * (1 - lost)", "ml/m2", {"used": used, "lost": lost},
                      draws=landed_draws)  # fmt: skip
    return Load(used, landed, used_draws, landed_draws, deposit, deposit_draws)


def _said(value: float | None, unit: str, name: str, own: OwnFigures) -> Figure | None:
    return None if value is None else given(value, unit, f"piece file, step, {name}")


def _stated_use(
    step: Step, method: str, n: int, area_m2: float, own: OwnFigures
) -> tuple[Figure | None, Array | None]:
    """What leaves the jar, where the step or the maker says it."""
    if step.spread_ml_m2:
        value = step.spread_ml_m2[min(n, len(step.spread_ml_m2)) - 1]
        figure = given(value, "ml/m2", "piece file, step, spread")
    elif step.uses_ml is not None:
        figure = _per_area(given(step.uses_ml, "ml", "piece file, step, uses"), area_m2)
    elif step.wet_um is not None or step.deposit_um is not None or step.deposit_g_m2 is not None:
        if own.said(f"uses.{method}") and step.wet_um is None:
            return _hand_uses(method, area_m2, own)
        return None, None
    elif own.said(f"spread.{method}") or own.said(f"spread.{method}.1"):
        figure = own.per_coat(f"spread.{method}", n)
    elif own.said(f"uses.{method}"):
        return _hand_uses(method, area_m2, own)
    else:
        return None, None
    return figure, own.draw_figure(figure, f"hand.{method}")


def _hand_uses(method: str, area_m2: float, own: OwnFigures) -> tuple[Figure, Array]:
    figure = own.figure(f"uses.{method}")
    rows = own.draw_figure(figure, f"hand.{method}") / area_m2
    return _per_area(figure, area_m2), rows


def _per_area(uses: Figure, area_m2: float) -> Figure:
    area = given(area_m2, "m2", "area of the faces the step covers")
    return computed("uses / area", "ml/m2", {"uses": uses, "area": area})


def _deposit(
    step: Step, method: str, liquid: Liquid, own: OwnFigures, noise: Array, hand: str
) -> tuple[Figure | None, Array | None]:
    """Net dry film in um, where that is what is known."""
    if step.deposit_um is not None:
        figure = given(step.deposit_um, "um", "piece file, step, deposit")
        return figure, own.draw_figure(figure, hand)
    if step.deposit_g_m2 is not None:
        grams = given(step.deposit_g_m2, "g/m2", "piece file, step, deposit")
        rows = own.draw_figure(grams, hand) / liquid.resin_density_draws
        return computed("grams / density", "um", {"grams": grams, "density": liquid.resin_density},
                        draws=rows), rows  # fmt: skip
    if own.said(f"deposit.{method}") and not step.spread_ml_m2 and step.wet_um is None:
        figure = own.figure(f"deposit.{method}")
        rows = own.draw_figure(figure, hand)
        if figure.basis is Basis.LEARNED:
            rows = rows * noise
        if figure.unit == "g/m2":
            rows = rows / liquid.resin_density_draws
            return computed(
                "grams / density", "um", {"grams": figure, "density": liquid.resin_density},
                draws=rows,
            ), rows  # fmt: skip
        return figure, rows
    return None, None


def _needed_for(
    deposit: Figure, rows: Array, liquid: Liquid, lost: Figure, lost_draws: Array
) -> tuple[Figure, Array]:
    """What must leave the jar so that a net film lies there at the end."""
    used = rows * liquid.resin_density_draws * 1000 / liquid.resin_g_per_l_draws / (1 - lost_draws)
    figure = computed(
        "deposit * density * 1000 / resin_g_per_l / (1 - lost)", "ml/m2",
        {"deposit": deposit, "density": liquid.resin_density,
         "resin_g_per_l": liquid.resin_g_per_l, "lost": lost},
        draws=used,
    )  # fmt: skip
    return figure, used


def _default_use(method: str, own: OwnFigures) -> tuple[Figure, Array]:
    figure = _with_hand(own.figure(f"spread.{method}"), method, own)
    return figure, own.draw_figure(figure, f"hand.{method}")


def _with_hand(figure: Figure, method: str, own: OwnFigures) -> Figure:
    """Return a default corrected by the maker's weighed coats, with the band they leave."""
    if not own.said(f"hand.{method}"):
        return figure
    hand = own.figure(f"hand.{method}")
    value = figure.number() * hand.number()
    learned = computed("default * hand", figure.unit, {"default": figure, "hand": hand})
    return replace(
        learned, basis=Basis.LEARNED,
        low=value * (hand.low or 1) / hand.number(), high=value * (hand.high or 1) / hand.number(),
    )  # fmt: skip


def _from_wet(
    wet: Figure, wet_draws: Array, lost: Figure, lost_draws: Array,
    deposit: Figure | None, deposit_draws: Array | None,
) -> Load:  # fmt: skip
    """A wet film is what lies on the work: the jar gives more."""
    used = wet_draws / (1 - lost_draws)
    figure = computed("wet / (1 - lost)", "ml/m2", {"wet": wet, "lost": lost}, draws=used)
    return Load(figure, wet, used, wet_draws, deposit, deposit_draws)
