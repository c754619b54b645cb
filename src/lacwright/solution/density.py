"""Density of alcohols by composition and temperature."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache

from lacwright.figures import Num, Refusal
from lacwright.solution.num import every
from lacwright.trade import table

COLDEST_C, WARMEST_C = -20.0, 40.0


def ethanol_water_density(*, ethanol_share: Num, temp_c: Num = 20.0) -> Num:
    """Return the density of a mixture of ethanol and water.

    Parameters
    ----------
    ethanol_share : float or array
        Ethanol by weight of the mixture [1], 0 to 1.
    temp_c : float or array
        Temperature [C], -20 to 40.

    Returns
    -------
    float or array
        Density [g/ml].

    Raises
    ------
    Refusal
        Outside the range of the tables.

    References
    ----------
    OIML R 22 (1975), International Alcoholometric Tables, general formula.

    Examples
    --------
    >>> round(ethanol_water_density(ethanol_share=1.0), 4)
    0.7892
    """
    _check_temperature(temp_c)
    if not (every(ethanol_share >= 0) and every(ethanol_share <= 1)):
        raise Refusal("alcohol", "a share of ethanol outside 0 to 1", "write the composition anew")
    powers = _coefficients()
    t = temp_c - 20.0
    density: Num = _polynomial(powers["a"], ethanol_share) + t * _polynomial(powers["b"], t)
    for i in range(1, 6):
        share_part = ethanol_share * _polynomial(powers[f"c{i}"], ethanol_share)
        density = density + t**i * share_part
    return density / 1000.0


def ethanol_share_of_strength(*, strength: float, temp_c: float = 20.0) -> float:
    """Return the ethanol by weight of an ethanol-water spirit of a strength by volume.

    Parameters
    ----------
    strength : float
        Ethanol by volume [1]: ml of pure ethanol in 1 ml of spirit, both at `temp_c`.
        190 proof (US) is 0.95 at 15.556 C (60 F).
    temp_c : float
        Temperature [C].

    Returns
    -------
    float
        Ethanol by weight [1].

    Raises
    ------
    Refusal
        For a strength outside 0 to 1.
    """
    if not 0 <= strength <= 1:
        raise Refusal("alcohol", f"a strength of {strength:.0%} cannot be", "write 0 to 100 %")
    pure = ethanol_water_density(ethanol_share=1.0, temp_c=temp_c)
    low, high = 0.0, 1.0
    # Strength rises with the share throughout, so halving the interval finds it.
    for _ in range(60):
        mid = (low + high) / 2
        here = mid * ethanol_water_density(ethanol_share=mid, temp_c=temp_c) / pure
        low, high = (mid, high) if here < strength else (low, mid)
    return (low + high) / 2


def substance_density(*, substance: str, temp_c: Num = 20.0) -> Num:
    """Return the density of a pure substance.

    Parameters
    ----------
    substance : str
        A key of the table of substances.
    temp_c : float or array
        Temperature [C], -20 to 40.

    Returns
    -------
    float or array
        Density [g/ml].

    Raises
    ------
    Refusal
        For an unknown substance or outside the range of temperature.
    """
    if substance in ("ethanol", "water"):
        share = 1.0 if substance == "ethanol" else 0.0
        return ethanol_water_density(ethanol_share=share, temp_c=temp_c)
    _check_temperature(temp_c)
    row = table("substances").find(substance, "substance")
    grown: Num = 1.0 + row.number("expansion_per_k") * (temp_c - 20.0)
    return row.number("density_20_g_ml") / grown


def blend_density(*, parts: Sequence[tuple[str, float]], temp_c: Num = 20.0) -> Num:
    """Return the density of an alcohol of known composition.

    Ethanol and water together follow the alcoholometric tables; everything else adds its own
    volume (alcohol in alcohol is nearly ideal, well under 0.5 %). Water without ethanol
    shrinks by up to 3 %, which is left out: such alcohols are too weak for lac anyway.

    Parameters
    ----------
    parts : sequence of (substance, share by weight)
        Shares [1] that sum to 1.
    temp_c : float or array
        Temperature [C], -20 to 40.

    Returns
    -------
    float or array
        Density [g/ml].
    """
    shares = dict(parts)
    spirit = shares.get("ethanol", 0.0) + shares.get("water", 0.0)
    volume: Num = 0.0
    if spirit > 0:
        share = shares.get("ethanol", 0.0) / spirit
        volume = spirit / ethanol_water_density(ethanol_share=share, temp_c=temp_c)
    for substance, part in parts:
        if substance not in ("ethanol", "water"):
            volume = volume + part / substance_density(substance=substance, temp_c=temp_c)
    total = sum(part for _, part in parts)
    return total / volume


def _check_temperature(temp_c: Num) -> None:
    if not (every(temp_c >= COLDEST_C) and every(temp_c <= WARMEST_C)):
        raise Refusal("temperature", "outside -20 to 40 C no density of alcohol is on file",
                      "let it come to the temperature of the room and measure again")  # fmt: skip


def _polynomial(coefficients: Sequence[float], x: Num) -> Num:
    value: Num = 0.0
    for c in reversed(coefficients):
        value = value * x + c
    return value


@cache
def _coefficients() -> dict[str, tuple[float, ...]]:
    return {r.key: tuple(map(float, r.words("coefficients"))) for r in table("ethanol_water")}
