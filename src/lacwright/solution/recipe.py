"""Recipe: what a mix should be, whatever the amount; and recipes as people write them."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field

from lacwright.figures import Num, Refusal
from lacwright.figures import units as u
from lacwright.figures.quantities import read, read_cut
from lacwright.solution.alcohol import NOT_STATED, Alcohol
from lacwright.solution.mix import Mix, dye_density_g_ml
from lacwright.solution.num import every, meant
from lacwright.solution.resin import Resin


@dataclass(frozen=True, eq=False)
class Recipe:
    """A mix without its amount.

    Parameters
    ----------
    cut_lb_per_gal : float or array
        Pounds of flakes per US gallon of alcohol.
    resins : mapping of Resin to float
        Shares of the flakes by weight [1]; scaled to sum to 1.
    alcohols : mapping of Alcohol to float
        Shares of the alcohol by volume before mixing [1]; scaled to sum to 1.
    dye_share : float or array
        Liquid dye concentrate in ml per ml of alcohol [1].
    temp_c : float
        Temperature at which volumes are told [C].
    """

    cut_lb_per_gal: Num
    resins: Mapping[Resin, float] = field(default_factory=lambda: {Resin(): 1.0})
    alcohols: Mapping[Alcohol, float] = field(default_factory=lambda: {NOT_STATED: 1.0})
    dye_share: Num = 0.0
    temp_c: float = 20.0

    def __post_init__(self) -> None:
        for name, shares in (("resin", self.resins), ("alcohol", self.alcohols)):
            some = all(s >= 0 for s in shares.values()) and sum(shares.values()) > 0
            if not some:
                raise Refusal(f"recipe.{name}", "the shares do not describe a mix",
                              "give each a share above zero")  # fmt: skip
        if not (every(self.cut_lb_per_gal > 0) and every(self.dye_share >= 0)):
            raise Refusal("recipe", "a cut of zero or dye below zero", "write e.g. a 2-lb cut")

    @property
    def g_per_ml_alcohol(self) -> Num:
        """Flakes per ml of alcohol [g/ml]."""
        return self.cut_lb_per_gal * u.G_PER_L_PER_CUT / 1000.0

    @property
    def resin_ml_per_g(self) -> Num:
        """What a gram of its flakes takes up in solution [ml/g]."""
        total = sum(self.resins.values())
        volume: Num = sum(share / r.density_g_ml for r, share in self.resins.items())
        return volume / total

    def make(
        self, solution_ml: Num | None = None, *, alcohol_ml: Num | None = None,
        resin_g: Num | None = None,
    ) -> Mix:  # fmt: skip
        """Return the mix that makes a volume, uses an amount of alcohol or a weight of flakes.

        Parameters
        ----------
        solution_ml, alcohol_ml, resin_g : float or array
            Exactly one: volume of the finished mix [ml], of the alcohol before mixing [ml],
            or weight of all flakes [g]; above zero.

        Raises
        ------
        Refusal
            For an amount of zero or less.

        Notes
        -----
        Volumes add: solution = alcohol * (1 + c g v + dye), with c the cut, g = 119.826 g/l per
        pound and v the volume of a gram of resin.
        """
        if sum(x is not None for x in (solution_ml, alcohol_ml, resin_g)) != 1:
            raise TypeError("give exactly one of solution_ml, alcohol_ml and resin_g")
        if solution_ml is not None:
            grown = 1.0 + self.g_per_ml_alcohol * self.resin_ml_per_g + self.dye_share
            alcohol_ml = solution_ml / grown
        elif resin_g is not None:
            alcohol_ml = resin_g / self.g_per_ml_alcohol
        assert alcohol_ml is not None
        if not every(alcohol_ml > 0):
            raise Refusal("amount", "nothing is to be made", "give an amount above zero")
        flakes = alcohol_ml * self.g_per_ml_alcohol
        of_resin, of_alcohol = sum(self.resins.values()), sum(self.alcohols.values())
        return Mix(
            {r: flakes * (share / of_resin) for r, share in self.resins.items() if share > 0},
            {
                a: alcohol_ml * (share / of_alcohol) * a.density_g_ml(self.temp_c)
                for a, share in self.alcohols.items()
                if share > 0
            },
            self.dye_share * alcohol_ml * dye_density_g_ml(),
            temp_c=self.temp_c,
        )


@dataclass(frozen=True)
class Written:
    """A strength as somebody wrote it.

    Parameters
    ----------
    how : str
        "alcohol" (per volume of alcohol), "mix" (per volume of finished mix), "weight" (share
        by weight of the mix) or "parts" (weight of flakes to weight of alcohol).
    amount : float
        For "alcohol" and "mix" in g/l; for "weight" and "parts" a ratio.
    words : str
        What it was taken to mean.
    """

    how: str
    amount: float
    words: str

    @property
    def needs_alcohol_density(self) -> bool:
        """Whether the cut depends on which alcohol it is."""
        return self.how in ("weight", "parts")

    @property
    def formula(self) -> str:
        """The cut as a formula of amount, resin_density, alcohol_density, g_per_l_per_cut."""
        return {
            "alcohol": "amount / g_per_l_per_cut",
            "mix": "amount / (1 - amount / 1000 / resin_density) / g_per_l_per_cut",
            "weight": "amount / (1 - amount) * alcohol_density * 1000 / g_per_l_per_cut",
            "parts": "amount * alcohol_density * 1000 / g_per_l_per_cut",
        }[self.how]

    def cut_lb_per_gal(self, *, resin_density_g_ml: Num, alcohol_density_g_ml: Num) -> Num:
        """Return it as pounds of flakes per US gallon of alcohol.

        Raises
        ------
        Refusal
            If there would be no room left for alcohol.
        """
        if self.how == "alcohol":
            return self.amount / u.G_PER_L_PER_CUT
        if self.how == "parts":
            return self.amount * alcohol_density_g_ml * 1000.0 / u.G_PER_L_PER_CUT
        room = 1 - self.amount if self.how == "weight" else (
            1 - self.amount / 1000.0 / resin_density_g_ml)  # fmt: skip
        if not every(room > 0):
            raise Refusal("recipe", "so much resin leaves no room for alcohol",
                          "check the amount and its unit")  # fmt: skip
        density = alcohol_density_g_ml * 1000.0 if self.how == "weight" else 1.0
        return self.amount / room * density / u.G_PER_L_PER_CUT


_SHELLAC = r"(?: (?:of )?(?:flakes|shellac|lac|resin))?"
_SPIRIT = r"(?: (?:of )?(?:alcohol|spirits?|solvent))?"
_PARTS = re.compile(
    rf"(\d+(?:\.\d+)?)(?: parts?)?{_SHELLAC} ?(?::|to|in) ?(\d+(?:\.\d+)?)(?: parts?)?{_SPIRIT}"
    r"(?:,? (?:by|parts by) (weight|mass|volume))?"
)
_GALLONS = r"gallons?|gal|pints?|pt|quarts?|qt|fl oz|fluid ounces?"
_UK_LAST = re.compile(rf"\b({_GALLONS})\b[ ,(]*\b(imperial|imp|uk|us)\b\)?")
_OF_MIX = re.compile(r"\s*(?:of|per)?\s*(?:finished |the )?(?:mix|solution|product|polish)\s*$")
_OF_ALCOHOL = re.compile(r"\s*(?:of|per|in)?\s*(?:alcohol|spirit|spirits|solvent)\s*$")


def read_recipe(text: str, *, where: str = "recipe") -> Written:
    """Read a strength as old books, labels and friends write it.

    Parameters
    ----------
    text : str
        "2-lb cut", "1.5 lb/imp gal", "3 lb/gal of mix", "240 g/l", "200 g/l of mix",
        "20 % by weight", "1:4" or "1 part to 4 parts by weight" (flakes to alcohol), "25 g per
        100 g of alcohol", "2 oz/cup", "4 oz per pint of alcohol", "1.5 lb/gal imperial".
    where : str
        For the refusal.

    Raises
    ------
    Refusal
        For anything else; a bare per cent is asked for "by weight", and flakes by volume are
        refused.

    Examples
    --------
    >>> read_recipe("240 g/l").how
    'alcohol'
    """
    clean = _UK_LAST.sub(r"\2 \1", " ".join(text.strip().lower().split()))
    ratio = _PARTS.fullmatch(clean)
    if ratio and ratio[3] == "volume":
        raise _by_volume(text, where)
    if ratio:
        flakes, alcohol = (meant(float(ratio[n]), where) for n in (1, 2))
        if flakes <= 0 or alcohol <= 0:
            raise Refusal(where, f"'{text}' has a part of nothing", "write e.g. 1:4")
        return Written("parts", meant(flakes / alcohol, where),
                       "weight of flakes to weight of alcohol")  # fmt: skip
    if "%" in clean or "percent" in clean or "per cent" in clean:
        body = re.sub(r"(?<=%|t) ?(?:solids )?(?:by weight|w/w|by mass|wt)$", "", clean)
        if re.search(r"volume|v/v|\bvol\b", clean):
            raise _by_volume(text, where)
        if body == clean:
            raise Refusal(where, f"'{text}' may be by weight or by volume",
                          "write '20 % by weight', or grams per litre")  # fmt: skip
        share = read(body, u.SHARE, where)
        if not 0 < share < 1:
            raise Refusal(where, f"'{text}' leaves no alcohol or no resin", "write e.g. '20 %'")
        return Written("weight", meant(share, where), "resin by weight of the finished mix")
    body = _OF_MIX.sub("", clean)
    ratio_g = _g_per_g(body if body != clean else _OF_ALCOHOL.sub("", clean), where)
    if ratio_g is not None:
        if body == clean:
            return Written("parts", ratio_g, "weight of flakes to weight of alcohol")
        if ratio_g >= 1:
            raise Refusal(where, f"'{text}' leaves no alcohol", "write e.g. '20 % by weight'")
        return Written("weight", ratio_g, "resin by weight of the finished mix")
    if body != clean:
        grams = _g_per_l(body, where)
        how, words = "mix", "per volume of finished mix"
    else:
        body = _OF_ALCOHOL.sub("", clean)
        grams = _g_per_l(body, where)
        how, words = "alcohol", "per volume of alcohol"
    if grams <= 0:
        raise Refusal(where, f"'{text}' is a cut of nothing", "write e.g. 2-lb cut")
    return Written(how, meant(grams, where), words)


_TWO = re.compile(r"(?P<flakes>.*[a-z])\s*(?:/|\bper\b|\bto\b|\bin\b)\s*(?P<volume>.+)")


def _by_volume(text: str, where: str) -> Refusal:
    return Refusal(where, f"'{text}' measures flakes by volume, and they settle as they like",
                   "weigh them and write e.g. '20 % by weight' or '200 g/l of mix'")  # fmt: skip


def _g_per_g(text: str, where: str) -> float | None:
    """Read "25 g per 100 g" as a ratio of weights; None where the second is no weight."""
    two = _TWO.fullmatch(text)
    # An ounce of a liquid may be one by volume: that is asked back where volumes are read.
    if two is None or re.search(r"(?:oz|ounces?)$", two["volume"].strip()):
        return None
    try:
        alcohol = read(_one(two["volume"]), u.MASS, where)
        flakes = read(_plain_flakes(two["flakes"]), u.MASS, where)
    except Refusal:
        return None
    if alcohol <= 0 or flakes <= 0:
        raise Refusal(where, f"'{text}' has a part of nothing", "write e.g. 25 g per 100 g")
    return meant(flakes / alcohol, where)


def _g_per_l(text: str, where: str) -> float:
    """Read "1.5 lb/imp gal", "2 oz per cup", "20 g in 100 ml" or a bare cut into g/l."""
    two = _TWO.fullmatch(text)
    if two is None:
        return read_cut(text, where) * u.G_PER_L_PER_CUT
    litres = read(_one(two["volume"]), u.VOLUME, where) / 1000.0
    if litres <= 0:
        raise Refusal(where, f"'{text}' names no volume", "write e.g. 1.5 lb/imp gal")
    return read(_plain_flakes(two["flakes"]), u.MASS, where) / litres


def _one(text: str) -> str:
    """Return "a cup" or "cup" as "1 cup"."""
    amount = re.sub(r"^(?:a|the|each|every) ", "", text.strip())
    return amount if amount[0].isdigit() else f"1 {amount}"


def _plain_flakes(text: str) -> str:
    return re.sub(r" (?:of )?(?:flakes|shellac|lac|resin)$", "", text.strip())
