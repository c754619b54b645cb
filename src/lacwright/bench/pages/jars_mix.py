"""What to weigh and measure for a mix from the shelf, and whether there is enough of it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from lacwright.bench.forms.jars import MIX, OF_ALCOHOL, OF_FLAKES, grade_words
from lacwright.bench.pages.measures import volume, weight
from lacwright.bench.words import to_step
from lacwright.figures import Caution, Figure
from lacwright.figures.units import G_PER_L_PER_CUT
from lacwright.shop import names
from lacwright.shop.facts import ALCOHOL, FLAKES, alcohol_of
from lacwright.shop.models import Jar, Lot
from lacwright.shop.queries import shelf
from lacwright.shop.queries.contents import contents, resin_of
from lacwright.shop.services.jar_sums import takes_for, to_cut_amount
from lacwright.shop.services.jars import LOT, Take
from lacwright.solution import (
    Alcohol,
    Mix,
    Resin,
    cautions_of,
    read_alcohol,
    resin_named,
    slowest_ready,
)

GRAM, MILLILITRE = 0.1, 1.0
"""Steps of a scale and of a measure."""


@dataclass(frozen=True)
class Taken:
    """One thing that goes in.

    Parameters
    ----------
    words, kind : str
        The lot or what stands for it; "flakes" or "alcohol".
    big : str
        The amount in large type, metric.
    both : str
        The same in both systems.
    typed : str
        As a field takes it.
    notes : tuple of str
        What is odd about it: too little there, a test that is due.
    """

    words: str
    kind: str
    big: str
    both: str
    typed: str
    notes: tuple[str, ...]


@dataclass(frozen=True)
class MixAnswer:
    """What to take for a mix."""

    takes: tuple[Take, ...]
    rows: tuple[Taken, ...]
    cut: float
    g_per_l: float
    solution: str
    ready: Figure
    cautions: tuple[Caution, ...]


def mix_answer(wish: dict[str, Any]) -> MixAnswer:
    """Return what to take for what was wished.

    Raises
    ------
    Refusal
        For a mix that cannot be.
    """
    flakes = [(wish["flakes"], 1.0)]
    if wish["second"]:
        flakes = [(wish["flakes"], 1.0 - wish["share"]), (wish["second"], wish["share"])]
    measure = {MIX: "solution_ml", OF_ALCOHOL: "alcohol_ml", OF_FLAKES: "resin_g"}[wish["of"]]
    takes = takes_for(cut=wish["cut"], flakes=flakes, alcohol=wish["alcohol"],
                      **{measure: wish["amount"]})  # fmt: skip
    lots = {lot.key: lot for lot in Lot.objects.filter(key__in=[t.name for t in takes])}
    mix, resins, spirits = Mix({}, {}), list[Resin](), list[Alcohol]()
    for take in takes:
        assert take.amount is not None
        lot = lots.get(take.name) if take.kind == LOT else None
        if take is takes[-1]:
            spirit = alcohol_of(lot) if lot else (
                read_alcohol(take.name) if take.name else Alcohol("", None))  # fmt: skip
            spirits.append(spirit)
            mix = mix.with_alcohol(spirit, ml=take.amount["n"] / 1e3)
        else:
            resin = resin_of(lot) if lot else resin_named(take.name)
            resins.append(resin)
            mix = mix.with_resin(resin, take.amount["n"] / 1e6)
    notes = _notes(takes, [lot.id for lot in lots.values()])
    rows = tuple(_row(take, take is takes[-1], notes.get(take.name, ())) for take in takes)
    return MixAnswer(
        tuple(takes), rows, wish["cut"], wish["cut"] * G_PER_L_PER_CUT,
        volume(float(mix.solution_ml)), slowest_ready(resins), cautions_of(spirits, "warm-bath"),
    )  # fmt: skip


def _row(take: Take, spirit: bool, notes: tuple[str, ...]) -> Taken:
    assert take.amount is not None
    known = take.kind == LOT
    if spirit:
        ml = take.amount["n"] / 1e3
        words = take.name if known else f"{take.name} alcohol".strip().replace("-", " ")
        big = f"{to_step(ml, MILLILITRE)} ml"
        return Taken(words, ALCOHOL, big, volume(ml), big, notes)
    g = take.amount["n"] / 1e6
    big = f"{to_step(g, GRAM)} g"
    return Taken(take.name if known else grade_words(take.name), FLAKES, big, weight(g), big, notes)


def _notes(takes: Sequence[Take], lots: list[int]) -> dict[str, tuple[str, ...]]:
    """Return, by lot, whether there is too little of it, and what its age and tests say."""
    wanted = {take.name: take.amount for take in takes if take.kind == LOT}
    out: dict[str, tuple[str, ...]] = {}
    for line in shelf.lots(only={"id__in": lots}):
        name, amount = line.lot.key, wanted.get(line.lot.key)
        told: list[str] = []
        if amount is not None:
            liquid = amount["u"] == "ul"
            need = amount["n"] / (1e3 if liquid else 1e6)
            have = line.left_ml if liquid else line.left
            if have is not None and have < need:
                told.append(f"The book has {(volume if liquid else weight)(have)} of {name}")
        if line.failed:
            told.append(f"{name} failed its test: take another")
        elif line.age_word:
            told.append(f"{name}: {line.age_word}")
        out[name] = tuple(told)
    return out


@dataclass(frozen=True)
class ToCutAnswer:
    """What brings a jar to a cut."""

    lot: str
    kind: str
    big: str
    both: str
    before: float
    to_cut: float
    left: str
    cautions: tuple[Caution, ...]


def to_cut_answer(jar: Jar, *, cut: float, lot: str) -> ToCutAnswer:
    """Return what to add to a jar.

    Raises
    ------
    Refusal
        If its make-up is not known, or the lot does not help.
    """
    row = names.find(Lot, lot, "--with")
    _, change = to_cut_amount(jar, to_cut=cut, lot=row)
    inside = contents(jar.place.key)
    spirits = [*inside.mix.solvent_g, *([alcohol_of(row)] if row.kind == ALCOHOL else [])]
    warm = ("warm-bath",) if row.kind == FLAKES else ()
    if row.kind == ALCOHOL:
        ml = change["add_alcohol_ml"]
        big, both = f"{to_step(ml, MILLILITRE)} ml", volume(ml)
    else:
        g = change["add_resin_g"]
        big, both = f"{to_step(g, GRAM)} g", weight(g)
    return ToCutAnswer(row.key, row.kind, big, both, change["cut_before"], cut,
                       volume(change["left_before_ml"]), cautions_of(spirits, *warm))  # fmt: skip
