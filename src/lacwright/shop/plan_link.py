"""What a plan takes from the record, and what of a plan is kept with a job.

The order of belief: the piece file, then a hand file, then the record, then the default. The
record gives its stock with the jars by what is in them, own figures, and the last reading of the
air where it is fresh.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from lacwright.figures import Basis, Figure, Learned
from lacwright.figures.draws import Draws
from lacwright.plan import Lot, Own, Piece, Plan, Step
from lacwright.plan.course import Track, lays, sands
from lacwright.plan.film_run import removal_of
from lacwright.plan.keys import SCHEMA, plan_keys
from lacwright.plan.laying import Laying, method_of
from lacwright.plan.own import OwnFigures
from lacwright.shop import clock
from lacwright.shop.facts import FLAKES
from lacwright.shop.queries.own_figures import for_plans, own_figures
from lacwright.shop.queries.own_words import called, is_share
from lacwright.shop.queries.preferences import zone as shop_zone
from lacwright.shop.queries.readings import Reading, latest, of_day
from lacwright.shop.queries.shelf import JarLine, LotLine, stock
from lacwright.shop.reading import snapshot
from lacwright.solution import Alcohol
from lacwright.trade import table


@dataclass(frozen=True)
class FromRecord:
    """What the record offers to a plan.

    Parameters
    ----------
    shelf : tuple of Lot
        Lots and jars, those of `plan.Lot` with `logged` set.
    own : mapping
        Own figures: given, and learned.
    air : Reading or None
        The last reading that is fresh enough.
    zone : tzinfo
        Of the shop.
    asked : set of str
        Names of the own figures that were asked for so far.
    """

    shelf: tuple[Lot, ...] = ()
    own: Own = field(default_factory=dict)
    air: Reading | None = None
    zone: dt.tzinfo = dt.UTC
    asked: set[str] = field(default_factory=set, compare=False)

    def with_air(self, piece: Piece) -> Piece:
        """Return the piece with the air of the last reading where the file is silent."""
        if self.air is None:
            return piece
        shop = piece.shop
        return replace(piece, shop=replace(
            shop, temp_c=self.air.temp_c if shop.temp_c is None else shop.temp_c,
            rh=self.air.rh if shop.rh is None else shop.rh,
        ))  # fmt: skip

    def own_beside(self, said: Iterable[str]) -> Own:
        """Return the own figures about which a file that says `said` is silent."""
        subjects = {_subject(name) for name in said}
        return _Noted({name: figure for name, figure in self.own.items()
                       if _subject(name) not in subjects}, self.asked)  # fmt: skip


class _Noted(dict[str, Figure | Learned]):
    """Own figures that note which of them a plan asked for."""

    def __init__(self, figures: Own, asked: set[str]) -> None:
        super().__init__(figures)
        self.asked = asked

    def __getitem__(self, name: str) -> Figure | Learned:
        """Return a figure, and note it."""
        self.asked.add(name)
        return super().__getitem__(name)


@dataclass(frozen=True)
class Used:
    """What of the record went into a plan."""

    own: tuple[tuple[str, Figure], ...]
    lots: tuple[str, ...]
    air: Reading | None
    notes: tuple[str, ...]

    def line(self, zone: dt.tzinfo) -> str:
        """Return it in one line: "From your log: ..."."""
        parts = [_own_words(name, figure) for name, figure in self.own]
        if self.lots:
            parts.append(f"{', '.join(self.lots)} from your stock")
        if self.air is not None:
            parts.append(f"air of {clock.plain(self.air.at_us, zone)}: {self.air.words}")
        return f"From your log: {'; '.join(parts) if parts else 'nothing this plan could use'}."

    def as_json(self, zone: dt.tzinfo) -> dict[str, Any]:
        """Return it as plain data."""
        out: dict[str, Any] = {
            "own_figures": [name for name, _ in self.own], "lots": list(self.lots),
            "air_read": None if self.air is None else clock.iso(self.air.at_us, zone),
        }  # fmt: skip
        if self.air is None:
            out["missing"] = {"air_read": "no fresh reading, or the piece file says the air"}
        return out


def from_record(*, now_us: int, day: dt.date | None = None) -> FromRecord:
    """Return what the open record offers.

    Parameters
    ----------
    now_us : int
        The time now.
    day : date, optional
        In place of now: readings of that day count as fresh.
    """
    with snapshot():
        return _from_record(now_us, day)


def _from_record(now_us: int, day: dt.date | None) -> FromRecord:
    there = shop_zone()
    at = now_us if day is None else _noon(day, there)
    shelf = stock(at_us=at)
    lots = [plan_lot(line) for line in shelf.lots]
    jars = [plan_jar(line) for line in shelf.jars if not line.empty and line.discarded_us is None]
    fresh = round(table("practice")["reading.fresh"].number("value") * 3600) * clock.SECOND
    air = latest(at_us=now_us, within_us=fresh) if day is None else of_day(day, there)
    return FromRecord((*lots, *jars), for_plans(own_figures()), air, there)


def own_from_record() -> FromRecord:
    """Return the own figures of the open record, without its shelf and air."""
    with snapshot():
        return FromRecord(own=for_plans(own_figures()), zone=shop_zone())


def used_by(made: Plan, record: FromRecord, asked: Piece) -> Used:
    """Return what of the record went into a plan.

    Parameters
    ----------
    made : Plan
        The plan.
    record : FromRecord
        What was offered.
    asked : Piece
        The piece before the record filled it in.
    """
    methods = {coat.laying.method for coat in made.coats}
    names = {lot.name for lot in record.shelf}
    mine = {lot.name for lot in asked.shelf if not lot.logged}
    lots = tuple(line.lot for line in made.shelf if line.lot in names - mine)
    air = record.air
    if air is not None and not (
        (asked.shop.temp_c is None and air.temp_c is not None)
        or (asked.shop.rh is None and air.rh is not None)
    ):
        air = None
    both = sorted(names & mine)
    notes = (f"{', '.join(both)}: the piece file's row goes before the record's",) if both else ()
    return Used(own_used(record.own_beside(asked.own), methods), lots, air, notes)


def own_used(own: Own, methods: Iterable[str]) -> tuple[tuple[str, Figure], ...]:
    """Return the own figures that were asked for, of those of other methods none.

    A figure that no plan asks for (what evaporates from an open jar) went into none.
    """
    wanted, asked = set(methods), own.asked if isinstance(own, _Noted) else set(own)
    return tuple(
        (name, figure.figure() if isinstance(figure, Learned) else figure)
        for name, figure in sorted(own.items()) if name in asked and _concerns(name, wanted)
    )  # fmt: skip


def kept(made: Plan, own: Sequence[Own]) -> dict[str, Any]:
    """Return a plan as it is kept with a job: JSON.

    Parameters
    ----------
    made : Plan
        The plan.
    own : sequence of mappings
        The own figures it was made with beside the piece file's.
    """
    keys, missing = plan_keys(made)
    figures = {}
    for name, figure in made.figures.items():
        told = figure.as_json()
        # Inputs of inputs would make it ten times as long; the formula stays.
        told["working"] = None if figure.working is None else figure.working.formula
        figures[name] = told
    return {
        "schema": SCHEMA, "keys": keys, "missing": missing, "figures": figures,
        "stops": [s.as_json() for s in made.stops],
        "cautions": [c.as_json() for c in made.cautions],
        "steps": steps_of(made, own), "zones": _zones(made.piece),
        "planned_coats": sum(1 for t in made.course for s in t.steps if lays(s)),
    }  # fmt: skip


def areas_of(piece: Piece) -> dict[str, float]:
    """Return the finished area of every part [m2]."""
    return {p.name: float(sum(z.area_m2 for z in p.zones)) for p in piece.parts if p.zones}


def wood_of(piece: Piece) -> str:
    """Return the wood of a piece, "" where several or none are said."""
    woods = {z.wood for p in piece.parts for z in p.zones} - {"unknown"}
    return woods.pop() if len(woods) == 1 else ""


def steps_of(made: Plan, own: Sequence[Own]) -> list[dict[str, Any]]:
    """Return the steps of a plan, one after the other, with what each is done with."""
    figures = OwnFigures([made.piece.own, *own], Draws(0))
    layings = {(c.laying.track, c.laying.index): c.laying for c in made.coats}
    return [
        _step(track, index, step, layings.get((track.name, index)), made, figures)
        for track in made.course for index, step in enumerate(track.steps)
    ]  # fmt: skip


def _step(
    track: Track, index: int, step: Step, laying: Laying | None, made: Plan, own: OwnFigures
) -> dict[str, Any]:
    method = method_of(step, track)
    wait = made.waits[track.name, index]
    out: dict[str, Any] = {
        "track": track.name, "index": index, "what": step.what, "lays": laying is not None,
        "sands": sands(step), "parts": list(step.parts or track.parts), "faces": list(step.faces),
        "method": method, "wait_h": wait.hours, "rest_days": wait.rest_days,
        "rest_working_days": wait.rest_working_days, "abrasive": step.abrasive or "",
        "note": step.note, "number": None, "mix": None, "jar": None, "cut_lb_per_gal": None,
        "grades": [], "load_ml_m2": None, "removes_um": None,
    }  # fmt: skip
    if laying is not None:
        spec = laying.mix
        out |= {
            "number": laying.number,
            "mix": spec.name,
            "jar": spec.jar,
            "cut_lb_per_gal": float(spec.cut_lb_per_gal),
            "grades": _grades(laying, made),
            "load_ml_m2": laying.load.used.number(),
        }
    elif sands(step):
        out["removes_um"] = removal_of(track, index, own).number()
    return out


def _grades(laying: Laying, made: Plan) -> list[str]:
    """Return the grades of the mix of a coat, as far as they are said."""
    amount = next((a for a in made.mixes if a.spec.name == laying.mix.name), None)
    if amount is None or amount.mix is None:
        return []
    return sorted({resin.grade for resin in amount.mix.resin_g if resin.grade})


def _zones(piece: Piece) -> list[dict[str, Any]]:
    return [
        {"part": p.name, "face": z.face, "kind": z.kind, "wood": z.wood,
         "area_m2": float(z.area_m2)}
        for p in piece.parts for z in p.zones
    ]  # fmt: skip


def plan_lot(line: LotLine) -> Lot:
    """Return a lot as a plan takes it; one that is shut counts as failed."""
    lot = replace(line.plan_lot(), logged=True)
    return replace(lot, passed=False) if line.failed else lot


def plan_jar(line: JarLine) -> Lot:
    """Return a jar as a plan takes it, with what is really in it."""
    # What failed and came into it since its own test is not proved by that test.
    test = None if line.suspect and not line.failed else line.proof.dated("jar", line.zone)
    lot = Lot(
        line.jar.key, "jar", None, "ml", date=clock.day_of(line.since_us, line.zone), logged=True,
        cut_lb_per_gal=line.jar.claimed_cut, tested=None if test is None else test.on,
        passed=False if line.failed else None if test is None else test.passed,
    )  # fmt: skip
    if line.contents.no_cut is not None:
        return lot
    mix = line.contents.mix
    flakes = [h.lot for h in line.contents.held if h.lot.kind == FLAKES]
    grades, waxed = {x.grade for x in flakes}, {x.waxed for x in flakes}
    return replace(
        # To the hundredth of a pound: no scale and jug tell more.
        lot, content=mix, cut_lb_per_gal=round(float(mix.cut_lb_per_gal), 2),
        have=float(mix.solution_ml), alcohol=_alcohol(line),
        grade=grades.pop() or None if len(grades) == 1 else None,
        waxed=waxed.pop() if len(waxed) == 1 else None,
    )  # fmt: skip


def _alcohol(line: JarLine) -> Alcohol | None:
    """Return what the alcohols in a jar are together; unknown as soon as one of them is."""
    solvents = line.contents.mix.solvent_g
    if len(solvents) <= 1:
        return next(iter(solvents), None)
    whole = sum(float(g) for g in solvents.values())
    shares: dict[str, float] = {}
    for alcohol, grams in solvents.items():
        if alcohol.parts is None:
            return Alcohol(f"in jar {line.jar.key}", None)
        for substance, share in alcohol.parts:
            shares[substance] = shares.get(substance, 0.0) + share * float(grams) / whole
    return Alcohol(f"in jar {line.jar.key}", tuple(sorted(shares.items())))


def _subject(name: str) -> str:
    """Return what a figure is about: all ways of saying how much is laid are one subject."""
    head, _, tail = name.partition(".")
    return f"load.{tail.partition('.')[0]}" if head in _LOADS else name


_LOADS = ("spread", "uses", "hand", "deposit")


def _concerns(name: str, methods: set[str]) -> bool:
    """Return whether a figure is of one of these methods, or of none."""
    _, _, tail = name.partition(".")
    method = tail.partition(".")[0]
    return method not in table("methods") or method in methods


def _own_words(name: str, figure: Figure) -> str:
    """Return a figure in plain words, with its value and where it comes from."""
    number, unit = figure.number(), "" if figure.unit == "1" else f" {figure.unit}"
    if is_share(name):
        number, unit = 100 * number, " %"
    how = figure.source.partition(";")[0].removeprefix("from your log, ")
    how = how if figure.basis is Basis.LEARNED else "set by you"
    return f"{called(name)}: {number:.3g}{unit} ({how})"


def _noon(day: dt.date, zone: dt.tzinfo) -> int:
    return clock.to_us(dt.datetime.combine(day, dt.time(12), zone))
