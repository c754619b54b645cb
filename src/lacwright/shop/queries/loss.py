"""What a bad jar or lot costs, and what to mix in its place."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from lacwright.figures.spoken import trimmed
from lacwright.shop.asked import chunks, rows
from lacwright.shop.facts import ALCOHOL, FLAKES, alcohol_of
from lacwright.shop.models import Lot
from lacwright.shop.queries import shelf
from lacwright.shop.queries.carried import Coat, JarCarry
from lacwright.shop.queries.contents import Contents, Held, came_into, resin_of
from lacwright.shop.queries.preferences import currency
from lacwright.solution import Mix, Recipe, ageing_class

ROUND = Decimal("0.01")
A_FEW = 6


@dataclass(frozen=True)
class Loss:
    """Resin and value that are lost: what is left in the jars, and what lies on the coats.

    Parameters
    ----------
    resin_g : float
        Resin [g].
    value : Decimal
        What it cost, as far as prices are known: resin and alcohol in the jars, resin on the
        coats.
    unpriced : tuple of str
        Lots in it without a price.
    coats_not_said : int
        Listed coats of which no amount is known.
    jars_not_said : tuple of str
        Jars of which an amount that went in is not known.
    currency : str
        As the shop writes it.
    """

    resin_g: float
    value: Decimal
    unpriced: tuple[str, ...]
    coats_not_said: int
    jars_not_said: tuple[str, ...]
    currency: str

    def as_json(self) -> dict[str, Any]:
        """Return it as plain data."""
        return {"resin_g": self.resin_g, "value": float(self.value), "currency": self.currency,
                "lots_without_price": list(self.unpriced),
                "coats_without_amount": self.coats_not_said,
                "jars_without_amount": list(self.jars_not_said)}  # fmt: skip


@dataclass(frozen=True)
class Replacement:
    """A fresh mix in its place.

    Parameters
    ----------
    cut : float or None
        Its cut [lb/gal].
    solution_ml : float or None
        How much: what is left of the jar, and what the listed coats took.
    flakes : tuple of (lot, g)
        From which lots.
    alcohol_ml : float or None
        Alcohol for it.
    why_not : str or None
        Why there is none, or what is short.
    beside : tuple of (jar, ml or None)
        Further jars that carry it: what is in them is lost as well, and not counted here.
    """

    cut: float | None
    solution_ml: float | None
    flakes: tuple[tuple[str, float], ...]
    alcohol_ml: float | None
    why_not: str | None
    beside: tuple[tuple[str, float | None], ...] = ()

    def as_json(self) -> dict[str, Any]:
        """Return it as plain data with the reason for every null."""
        keys: dict[str, Any] = {
            "cut_lb_per_gal": self.cut, "solution_ml": self.solution_ml,
            "flakes": [{"lot": lot, "g": g} for lot, g in self.flakes],
            "alcohol_ml": self.alcohol_ml, "why_not": self.why_not,
        }  # fmt: skip
        reason = self.why_not or "a lot of flakes is replaced by weight"
        why = dict.fromkeys(keys, reason) | {"why_not": "there is enough of a good lot"}
        beside = [
            {"jar": jar, "solution_ml": ml,
             "missing": {} if ml is not None else {"solution_ml": "what is in it is not known"}}
            for jar, ml in self.beside
        ]  # fmt: skip
        return {**keys, "jars_not_counted": beside,
                "missing": {k: why[k] for k, v in keys.items() if v is None}}  # fmt: skip


def lots_in(coats: Sequence[Coat], jars: Sequence[JarCarry]) -> dict[int, Lot]:
    """Return the lots that lie in jars and on coats, by number."""
    lots = {held.lot.id: held.lot for jar in jars for held in jar.contents.held}
    named = {n for coat in coats for n in (*coat.laid_ug, *coat.taken_ug)}
    lots.update({lot.id: lot for lot in Lot.objects.filter(id__in=named - lots.keys())})
    return lots


def loss_of(
    coats: Sequence[Coat], jars: Sequence[JarCarry], lots: Mapping[int, Lot], *,
    only: Lot | None = None,
) -> Loss:  # fmt: skip
    """Return what is lost; of a lot of flakes, `only` what is of it."""
    amounts: dict[int, int] = defaultdict(int)
    for jar in jars:
        for held in jar.contents.held:
            amounts[held.lot.id] += held.ug
    for coat in coats:
        for number, ug in coat.laid_ug.items():
            amounts[number] += ug
    if only is not None:
        amounts = defaultdict(int, {k: u for k, u in amounts.items() if k == only.id})
    value, unpriced = Decimal(0), []
    for number, ug in amounts.items():
        lot = lots[number]
        if lot.price is None or not lot.price_for_u:
            unpriced.append(lot.key)
        else:
            value += lot.price * ug / lot.price_for_u
    resin = sum(ug for number, ug in amounts.items() if lots[number].kind == FLAKES)
    return Loss(resin / 1e6, value.quantize(ROUND), tuple(sorted(unpriced)),
                sum(not c.laid_ug for c in coats),
                tuple(j.name for j in jars if j.contents.unsaid), currency())  # fmt: skip


def fresh_mix(
    inside: Contents, coats: Sequence[Coat], lots: Mapping[int, Lot], *, at_us: int,
    zone: dt.tzinfo,
) -> Replacement:  # fmt: skip
    """Return what to mix in place of a jar: its cut, what is left of it and what the coats took."""
    made = came_into(inside.place) if inside.empty else inside
    if made.no_cut is not None:
        return Replacement(None, None, (), None, made.no_cut)
    mix, cut = made.mix, float(made.mix.cut_lb_per_gal)
    left_ml = 0.0 if inside.empty else float(inside.mix.solution_ml)
    millilitres = left_ml + _coats_ml(coats, lots)
    if millilitres <= 0 or float(mix.total_resin_g) <= 0:
        return Replacement(cut, millilitres, (), None, "nothing of it is to be replaced")
    resins = {r: float(g) for r, g in mix.resin_g.items()}
    spirits = {a: float(g / a.density_g_ml()) for a, g in mix.solvent_g.items()}
    new = Recipe(cut, resins, spirits).make(millilitres)
    flakes: list[tuple[str, float]] = []
    shorts = []
    for alike in _alike(made.held):
        names = {held.lot.key for held in alike}
        need = sum(float(g) for r, g in new.resin_g.items() if r.lot in names)
        picked, short = _pick(alike[0].lot, need, at_us=at_us, zone=zone)
        flakes += picked
        shorts += [short] if short else []
    return Replacement(cut, millilitres, tuple(flakes), float(new.alcohol_ml),
                       "; ".join(shorts) or None)  # fmt: skip


def fresh_flakes(lot: Lot, need_g: float, *, at_us: int, zone: dt.tzinfo) -> Replacement:
    """Return which flakes to take in place of a lot."""
    if lot.kind != FLAKES:
        return Replacement(None, None, (), None, f"it is {lot.kind}, not flakes")
    picked, short = _pick(lot, need_g, but=lot.key, at_us=at_us, zone=zone)
    return Replacement(None, None, picked, None, short)


def _alike(held: Sequence[Held]) -> list[list[Held]]:
    """Return flakes in groups of the same grade and wax."""
    groups: dict[tuple[str, str], list[Held]] = defaultdict(list)
    for one in held:
        if one.lot.kind == FLAKES:
            groups[one.lot.grade, ageing_class(resin_of(one.lot))].append(one)
    return list(groups.values())


def _coats_ml(coats: Sequence[Coat], lots: Mapping[int, Lot]) -> float:
    """Return the volume of mix that some coats took [ml]."""
    taken: dict[int, int] = defaultdict(int)
    for coat in coats:
        for number, ug in coat.taken_ug.items():
            taken[number] += ug
    mix = Mix({}, {})
    for number, ug in taken.items():
        lot = lots[number]
        if lot.kind == FLAKES:
            mix = mix.with_resin(resin_of(lot), ug / 1e6)
        elif lot.kind == ALCOHOL:
            mix = mix.with_alcohol(alcohol_of(lot), g=ug / 1e6)
    return float(mix.solution_ml)


def _pick(
    like: Lot, need_g: float, *, at_us: int, zone: dt.tzinfo, but: str = ""
) -> tuple[tuple[tuple[str, float], ...], str | None]:  # fmt: skip
    """Return the lot of the shelf to take for flakes like these, and what is short.

    One that is enough goes before one that is not, a tested one before an untested, the newest
    first. Lots are looked at a few at a time: there may be many, and the first few decide.
    """
    held = sorted(rows(_ON_THE_SHELF, [FLAKES], also=[like.grade, but]), reverse=True,
                  key=lambda row: (row[2] >= need_g * 1e6, str(row[1] or ""), row[0]))  # fmt: skip
    group, grade = ageing_class(resin_of(like)), like.grade or "flakes of no stated grade"
    for some in chunks([row[0] for row in held], A_FEW):
        lines = [
            line for line in shelf.lots(at_us=at_us, only={"id__in": some}, zone=zone)
            if not line.failed and ageing_class(resin_of(line.lot)) == group
        ]  # fmt: skip
        if lines:
            best = max(lines, key=lambda line: (
                (line.left or 0.0) >= need_g, line.age_word == "",
                line.proof.dated("lot", zone) is not None, line.since or dt.date.min, line.lot.id,
            ))  # fmt: skip
            left = best.left or 0.0
            short = None if left >= need_g else (
                f"{best.lot.key} has {trimmed(left)} g of the {trimmed(need_g)} g of {grade} that "
                "are needed"
            )  # fmt: skip
            return ((best.lot.key, need_g),), short
    return (), f"no lot of {grade} that has not failed its test is on the shelf"


_ON_THE_SHELF = """
SELECT k.id, k.bought, b.ug
FROM shop_balance b JOIN shop_lot k ON k.id = b.lot_id JOIN shop_place p ON p.id = b.place_id
WHERE k.kind IN ({}) AND k.grade = %s AND k.key <> %s AND k.said AND p.kind = 'store' AND b.ug > 0
"""
