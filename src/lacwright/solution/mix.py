"""Mix: grams of resin by lot, grams of each alcohol, grams of dye; all else is derived."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import TypeVar

from lacwright.figures import Num, Refusal, central
from lacwright.figures.units import G_PER_L_PER_CUT
from lacwright.solution.alcohol import Alcohol
from lacwright.solution.num import alike, every, not_below_zero, some
from lacwright.solution.resin import Resin, default_resin_density
from lacwright.trade import table

K = TypeVar("K", Resin, Alcohol)


@dataclass(frozen=True, eq=False)
class Mix:
    """A solution of lac, held as masses.

    Parameters
    ----------
    resin_g : mapping of Resin to float or array
        Flakes as weighed [g].
    solvent_g : mapping of Alcohol to float or array
        Each alcohol (or other solvent) [g].
    dye_g : float or array
        Liquid dye concentrate [g].
    temp_c : float
        Temperature at which its volumes are told [C]; masses do not depend on it.

    Notes
    -----
    Adding and parting mixes adds and splits masses, so resin of every lot and every solvent is
    conserved by construction. Volumes add: resin at its density, each alcohol at its own.
    """

    resin_g: Mapping[Resin, Num]
    solvent_g: Mapping[Alcohol, Num]
    dye_g: Num = 0.0
    temp_c: float = field(default=20.0, kw_only=True)

    def __post_init__(self) -> None:
        for amount in (*self.resin_g.values(), *self.solvent_g.values(), self.dye_g):
            if not every(amount >= 0):
                raise Refusal("mix", "an amount below zero", "check what was taken out of it")

    @property
    def total_resin_g(self) -> Num:
        """All flakes [g]."""
        return sum(self.resin_g.values(), 0.0)

    @property
    def dry_resin_g(self) -> Num:
        """What of the flakes stays when everything volatile has gone [g]."""
        return sum(((1 - r.moisture_share) * g for r, g in self.resin_g.items()), 0.0)

    @property
    def alcohol_g(self) -> Num:
        """All solvents [g]."""
        return sum(self.solvent_g.values(), 0.0)

    @property
    def alcohol_ml(self) -> Num:
        """All solvents, each measured before mixing [ml]."""
        t = self.temp_c
        return sum((g / a.density_g_ml(t) for a, g in self.solvent_g.items()), 0.0)

    @property
    def resin_ml(self) -> Num:
        """What the resin takes up in solution [ml]."""
        return sum((g / r.density_g_ml for r, g in self.resin_g.items()), 0.0)

    @property
    def dye_ml(self) -> Num:
        """Dye concentrate [ml]."""
        return self.dye_g / dye_density_g_ml()

    @property
    def solution_ml(self) -> Num:
        """Volume of the mix [ml]."""
        return self.resin_ml + self.alcohol_ml + self.dye_ml

    @property
    def solution_g(self) -> Num:
        """Weight of the mix [g]."""
        return self.total_resin_g + self.alcohol_g + self.dye_g

    @property
    def cut_lb_per_gal(self) -> Num:
        """Pounds of flakes per US gallon of alcohol."""
        return self.resin_g_per_l_alcohol / G_PER_L_PER_CUT

    @property
    def resin_g_per_l_alcohol(self) -> Num:
        """Flakes per litre of alcohol [g/l]."""
        alcohol_ml = self.alcohol_ml
        if not every(alcohol_ml > 0):
            raise Refusal("mix", "there is no alcohol in it", "add alcohol first")
        return 1000.0 * self.total_resin_g / alcohol_ml

    @property
    def resin_g_per_l(self) -> Num:
        """Flakes per litre of the mix [g/l]."""
        return 1000.0 * self.total_resin_g / self._some_volume()

    @property
    def solids_mass_fraction(self) -> Num:
        """Dry resin by weight of the mix [1]."""
        self._some_volume()
        return self.dry_resin_g / self.solution_g

    @property
    def solids_volume_fraction(self) -> Num:
        """Dry resin by volume of the mix [1]: the dry film of a wet film of 1."""
        dry_ml = sum(
            ((1 - r.moisture_share) * g / r.density_g_ml for r, g in self.resin_g.items()), 0.0
        )
        return dry_ml / self._some_volume()

    @property
    def density_g_ml(self) -> Num:
        """Density of the mix [g/ml]."""
        return self.solution_g / self._some_volume()

    @property
    def resin_density_g_ml(self) -> Num:
        """Density of its resin in solution [g/ml]; the usual one where there is no resin."""
        total = self.total_resin_g
        if some(total <= 0):
            return default_resin_density()
        return total / self.resin_ml

    @property
    def masses_known(self) -> bool:
        """Whether every alcohol in it has a known density, so that weights mean something."""
        return all(a.known for a in self.solvent_g)

    def __add__(self, other: Mix) -> Mix:
        """Pour two mixes together.

        Raises
        ------
        Refusal
            Where the two hold different beliefs about one lot or one alcohol (its density, the
            water in the flakes): kept under one of them, volume or solids would be lost.
        """
        return Mix(_sum(self.resin_g, other.resin_g, _one_lot),
                   _sum(self.solvent_g, other.solvent_g, lambda a, b: _one_alcohol(a, b, self)),
                   self.dye_g + other.dye_g, temp_c=self.temp_c)  # fmt: skip

    def scaled(self, share: Num) -> Mix:
        """Return so much of the mix: all its masses times `share` [1, not below 0]."""
        return Mix({r: g * share for r, g in self.resin_g.items()},
                   {a: g * share for a, g in self.solvent_g.items()},
                   self.dye_g * share, temp_c=self.temp_c)  # fmt: skip

    def part(
        self, *, share: Num | None = None, ml: Num | None = None, g: Num | None = None
    ) -> tuple[Mix, Mix]:
        """Return (what is poured off, what stays).

        Parameters
        ----------
        share, ml, g : float or array
            Exactly one of them: share of the mix [1], volume [ml] or weight [g].

        Raises
        ------
        Refusal
            If more is poured than there is.
        """
        if sum(x is not None for x in (share, ml, g)) != 1:
            raise TypeError("give exactly one of share, ml and g")
        if ml is not None:
            share, has = ml / self._some_volume(), f"{_span(self.solution_ml)} ml"
        elif g is not None:
            share, has = g / self.solution_g, f"{_span(self.solution_g)} g"
        else:
            has = "all of it"
        assert share is not None
        if not (every(share >= 0) and every(share <= 1 + 1e-9)):
            raise Refusal("mix", f"more is taken out than there is ({has})",
                          "check both amounts")  # fmt: skip
        rest = not_below_zero(1.0 - share)
        return self.scaled(1.0 - rest), self.scaled(rest)

    def at(self, temp_c: float) -> Mix:
        """Return the same masses with volumes told at another temperature [C]."""
        return Mix(self.resin_g, self.solvent_g, self.dye_g, temp_c=temp_c)

    def with_resin(self, resin: Resin, resin_g: Num) -> Mix:
        """Return the mix with so much more of a lot of flakes [g]."""
        return self + Mix({resin: resin_g}, {}, temp_c=self.temp_c)

    def with_alcohol(self, alcohol: Alcohol, *, ml: Num | None = None, g: Num | None = None) -> Mix:
        """Return the mix with so much more of an alcohol, by volume [ml] or weight [g]."""
        if (ml is None) == (g is None):
            raise TypeError("give exactly one of ml and g")
        added = g if g is not None else ml * alcohol.density_g_ml(self.temp_c)  # type: ignore[operator]
        return self + Mix({}, {alcohol: added}, temp_c=self.temp_c)

    def _some_volume(self) -> Num:
        volume = self.solution_ml
        if not every(volume > 0):
            raise Refusal("mix", "it is empty", "give what is in it")
        return volume


def dye_density_g_ml() -> float:
    """Return the density taken for liquid dye concentrate [g/ml]."""
    return table("solution")["dye_density"].number("value")


def _sum(
    a: Mapping[K, Num], b: Mapping[K, Num], check: Callable[[K, K], None]
) -> dict[K, Num]:  # fmt: skip
    out = dict(a)
    for key, amount in b.items():
        if key not in out:
            out[key] = amount
            continue
        check(next(held for held in a if held == key), key)
        out[key] = out[key] + amount
    return out


def _one_lot(a: Resin, b: Resin) -> None:
    name = " ".join(filter(None, (a.grade, a.lot))) or "resin"
    if not alike(a.density_g_ml, b.density_g_ml):
        raise _two_beliefs(name, "density", a.density_g_ml, b.density_g_ml, " g/ml")
    if not alike(a.moisture_share, b.moisture_share):
        raise _two_beliefs(name, "share of water", a.moisture_share, b.moisture_share, "")


def _one_alcohol(a: Alcohol, b: Alcohol, mix: Mix) -> None:
    one, other = a.density_g_ml(mix.temp_c), b.density_g_ml(mix.temp_c)
    if not alike(one, other):
        raise _two_beliefs(a.lot or "alcohol", "density", one, other, " g/ml")


def _two_beliefs(name: str, what: str, a: Num, b: Num, unit: str) -> Refusal:
    one, other = (f"{central(x):.6g}" for x in (a, b))
    if one == other:
        one, other = "one value", "another"  # arrays that differ in their draws alone
        unit = ""
    return Refusal("mix", f"the same lot of {name} has one {what} here and another there "
                   f"({one} and {other}{unit})",
                   "give it one for both, or name the two lots apart")  # fmt: skip


def _span(amount: Num) -> str:
    return f"{central(amount):.4g}"
