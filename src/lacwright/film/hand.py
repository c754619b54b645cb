"""The hand: how much one maker lays, learned from weighed coats."""

from __future__ import annotations

import math
from collections.abc import Iterable

from lacwright.figures import Learned, Num, Refusal
from lacwright.trade import table

WEIGHED_FILM_FORMULA = (
    "((jar_loss_g - evaporated_g) * solids_mass_fraction - left_in_applicator_g)"
    " / (resin_density_g_ml * area_m2)"
)


def calibrate(
    *, pairs: Iterable[tuple[float, float]], name: str = "hand", prior: Learned | None = None,
    prior_ln_sd: float | None = None, obs_ln_sd: float | None = None,
) -> Learned:  # fmt: skip
    """Factor of a hand, common to all its coats, from weighed ones.

    Parameters
    ----------
    pairs : iterable of (float, float)
        Expected and weighed amount of each coat, in any one unit, above 0.
    name : str
        Name of the factor, such as "hand.brush".
    prior : Learned, optional
        Where to start from: a factor learned before. Default: 1 with `prior_ln_sd`.
    prior_ln_sd : float, optional
        Spread (ln) of an unknown hand [1]; default from the table of the film.
    obs_ln_sd : float, optional
        Spread (ln) of one weighed coat about the hand's mean [1]; default from the table.

    Returns
    -------
    Learned
        Multiply an expected load by its median. Precisions of the logarithms add.

    Examples
    --------
    >>> hand = calibrate(pairs=[(100, 82), (100, 88), (100, 85)], prior_ln_sd=0.35, obs_ln_sd=0.10)
    >>> [round(x, 3) for x in hand.posterior()]
    [0.853, 0.057]
    """
    rows = table("film")
    if obs_ln_sd is None:
        obs_ln_sd = rows["coat_ln_sd"].number("value")
    if prior is None:
        row = rows["hand_ln_sd"]
        spread = row.number("value") if prior_ln_sd is None else prior_ln_sd
        prior = Learned(name, "1", 1.0, spread, row.source, row.mark)
    for expected, weighed in pairs:
        if not (expected > 0 and weighed > 0):
            raise Refusal(name, "a weighed or expected amount is not above zero", "weigh it again")
        prior = prior.observe(weighed / expected, obs_ln_sd)
    return prior


def next_coat_ln_sd(*, hand_ln_sd: float, coat_ln_sd: float | None = None) -> float:
    """Spread (ln) of the next single coat: what is not known of the hand, and the coat's own.

    Parameters
    ----------
    hand_ln_sd : float
        From `calibrate(...).posterior()` [1].
    coat_ln_sd : float, optional
        Of one coat about the hand's mean [1]; default from the table of the film.

    Examples
    --------
    >>> round(next_coat_ln_sd(hand_ln_sd=0.057, coat_ln_sd=0.12), 3)
    0.133
    """
    if coat_ln_sd is None:
        coat_ln_sd = table("film")["coat_ln_sd"].number("value")
    return math.hypot(hand_ln_sd, coat_ln_sd)


def weighed_film_um(
    *, jar_loss_g: Num, evaporated_g: Num, solids_mass_fraction: Num, left_in_applicator_g: Num,
    resin_density_g_ml: Num, area_m2: Num,
) -> Num:  # fmt: skip
    """Film of a weighed coat on sealed wood [um]: weigh the jar, not the piece.

    Parameters
    ----------
    jar_loss_g : Num
        Weight of the jar before less after [g].
    evaporated_g : Num
        Alcohol lost from the open jar meanwhile [g].
    solids_mass_fraction : Num
        Resin in the mix by weight [0 to 1].
    left_in_applicator_g : Num
        Dry resin left in pad or brush, weighed the next day [g].
    resin_density_g_ml : Num
        [g/mL].
    area_m2 : Num
        Coated area [m2].

    Examples
    --------
    >>> round(weighed_film_um(jar_loss_g=9.0, evaporated_g=0.3, solids_mass_fraction=0.25,
    ...       left_in_applicator_g=0.15, resin_density_g_ml=1.10, area_m2=0.155), 1)
    11.9
    """
    resin_g = (jar_loss_g - evaporated_g) * solids_mass_fraction - left_in_applicator_g
    return resin_g / (resin_density_g_ml * area_m2)
