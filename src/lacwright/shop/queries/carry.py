"""The recall: what carries a jar or a lot, from when on, what it costs, what to do."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, replace
from typing import Any

from lacwright.shop import clock
from lacwright.shop.models import Event, Flow, Jar, Lot, Place
from lacwright.shop.queries import shelf
from lacwright.shop.queries.carried import (
    ApplicatorCarry,
    Coat,
    JarCarry,
    PieceCarry,
    carried,
)
from lacwright.shop.queries.loss import (
    Loss,
    Replacement,
    fresh_flakes,
    fresh_mix,
    loss_of,
    lots_in,
)
from lacwright.shop.queries.preferences import zone as shop_zone
from lacwright.shop.queries.proving import Quarantine, proof
from lacwright.shop.queries.spread_on import BEGINNING, Moment, reach
from lacwright.shop.queries.tainted import bad_since
from lacwright.shop.queries.went import Went, where_went
from lacwright.shop.reading import snapshot
from lacwright.trade import table

__all__ = [
    "ApplicatorCarry", "Coat", "JarCarry", "Loss", "PieceCarry", "Recall", "Replacement", "Went",
    "recall", "recall_lot", "where_went",
]  # fmt: skip


@dataclass(frozen=True, eq=False)
class Recall:
    """What carries a jar or a lot.

    Parameters
    ----------
    of_kind, of : str
        "jar" or "lot", and its name.
    since_us : int or None
        From when on; None = from its beginning.
    since_words : str
        The same in words, with the reason.
    failed : Quarantine or None
        The test that shut it.
    left_out : int
        Coats laid from it before, which are not listed.
    age_days : int or None
        Days since its oldest part went into solution; of flakes, since they were bought or came.
    pieces, panels : tuple of PieceCarry
        With the coats that carry it, in order.
    jars : tuple of JarCarry
        Itself and what it was poured into.
    applicators : tuple of ApplicatorCarry
        Pads and brushes that it went through and that were not washed out since.
    loss : Loss
        Resin and value.
    replacement : Replacement
        What to mix anew.
    zone : tzinfo
        Of the shop.
    """

    of_kind: str
    of: str
    since_us: int | None
    since_words: str
    failed: Quarantine | None
    left_out: int
    age_days: int | None
    pieces: tuple[PieceCarry, ...]
    panels: tuple[PieceCarry, ...]
    jars: tuple[JarCarry, ...]
    applicators: tuple[ApplicatorCarry, ...]
    loss: Loss
    replacement: Replacement
    zone: dt.tzinfo

    @property
    def coats(self) -> tuple[Coat, ...]:
        """All listed coats."""
        return tuple(c for p in (*self.pieces, *self.panels) for c in p.coats)

    @property
    def advice(self) -> tuple[tuple[str, str], ...]:
        """What to do: (what it is about, words), for what is listed."""
        lies = {"piece": bool(self.pieces), "panel": bool(self.panels), "jar": bool(self.jars),
                "applicator": bool(self.applicators),
                "waste": bool(self.jars or self.applicators or self.coats)}  # fmt: skip
        return tuple((row.text("of"), row.text("text")) for row in table("advice")
                     if lies[row.text("of")])  # fmt: skip

    def as_json(self) -> dict[str, Any]:
        """Return it as plain data with the reason for every null."""
        keys: dict[str, Any] = {
            "of_kind": self.of_kind, "of": self.of,
            "since": None if self.since_us is None else clock.iso(self.since_us, self.zone),
            "since_words": self.since_words,
            "failed": None if self.failed is None else {
                "test": self.failed.test, "movement": self.failed.movement,
                "at": clock.iso(self.failed.at_us, self.zone), "says": list(self.failed.says)},
            "coats_before_left_out": self.left_out, "age_days": self.age_days,
        }  # fmt: skip
        why = {"since": "it is traced from its beginning", "failed": "no failed test shuts it",
               "age_days": "its day is not on record"}  # fmt: skip
        return {
            **keys, "missing": {k: why[k] for k, v in keys.items() if v is None},
            "pieces": [p.as_json(self.zone) for p in self.pieces],
            "panels": [p.as_json(self.zone) for p in self.panels],
            "jars": [j.as_json(self.zone) for j in self.jars],
            "applicators": [a.as_json(self.zone) for a in self.applicators],
            "loss": self.loss.as_json(), "replacement": self.replacement.as_json(),
            "advice": [{"of": of, "text": text} for of, text in self.advice],
        }  # fmt: skip


def recall(
    jar: Jar, *, since_us: int | None = None, everything: bool = False, now_us: int | None = None
) -> Recall:  # fmt: skip
    """Return what carries a jar.

    Parameters
    ----------
    jar : Jar
        The jar.
    since_us : int, optional
        From when on it counts as bad. Without it: since its last passed test before it failed,
        from its beginning where no test passed.
    everything : bool
        From its beginning, whatever a test said.
    now_us : int, optional
        The moment at which ages are told.
    """
    with snapshot():
        zone, tests = shop_zone(), proof(jar)
        now_us = clock.now_us() if now_us is None else now_us
        failed = tests.quarantine(jar.key, "jar")
        start, words = BEGINNING, "from its beginning"
        good = tests.last_good(failed)
        if since_us is not None:
            start = (since_us, -1, -1)
            words = f"from {clock.plain(since_us, zone)} on, as asked for"
        elif everything:
            words = "from its beginning, as asked for"
        elif good is not None:
            start = bad_since(tests, failed)
            words = f"since its last passed test on {clock.plain(good.at_us, zone)}"
        else:
            words += ": no passed test is on record"
        since = None if start == BEGINNING else start[0]
        opened = shelf.in_solution_since([jar.place_id]).get(jar.place_id)
        pieces, jars, applicators = carried(reach([(jar.place_id, start)]), zone)
        coats = [coat for piece in pieces for coat in piece.coats]
        lots = lots_in(coats, jars)
        inside = next(j.contents for j in jars if j.name == jar.key)
        beside = tuple((j.name, j.contents.numbers[0]["solution_ml"]) for j in jars
                       if j.name != jar.key and j.discarded_us is None
                       and not (j.contents.empty and not j.contents.unsaid))  # fmt: skip
        fresh = replace(fresh_mix(inside, coats, lots, at_us=now_us, zone=zone), beside=beside)
        return Recall(
            "jar", jar.key, since, words, failed, _before(jar, start),
            None if opened is None else _days(opened, now_us, zone),
            tuple(p for p in pieces if p.kind != "panel"),
            tuple(p for p in pieces if p.kind == "panel"), jars, applicators,
            loss_of(coats, jars, lots), fresh, zone,
        )  # fmt: skip


def recall_lot(lot: Lot, *, now_us: int | None = None) -> Recall:
    """Return what carries a lot, from its arrival on."""
    with snapshot():
        zone = shop_zone()
        line = shelf.lot_line(lot, at_us=now_us)
        failed = line.proof.quarantine(lot.key, "lot")
        starts = [(lot.place_id, BEGINNING)]
        # A lot that came in a bought liquid never lay in a store: it begins in its jar.
        came = Flow.objects.filter(lot=lot).exclude(to=lot.place)
        starts += [(to, (at, event, step)) for to, at, event, step in came.values_list(
            "to", "at_us", "event", "step")]  # fmt: skip
        pieces, jars, applicators = carried(reach(starts), zone)
        age = None if line.since is None else clock.day_of(line.at_us, zone) - line.since
        coats = [coat for piece in pieces for coat in piece.coats]
        loss = loss_of(coats, jars, lots_in(coats, jars), only=lot)
        return Recall(
            "lot", lot.key, None, "from its arrival", failed, 0, None if age is None else age.days,
            tuple(p for p in pieces if p.kind != "panel"),
            tuple(p for p in pieces if p.kind == "panel"), jars, applicators, loss,
            fresh_flakes(lot, loss.resin_g, at_us=line.at_us, zone=zone), zone,
        )  # fmt: skip


def _days(since_us: int, now_us: int, zone: dt.tzinfo) -> int:
    return (clock.day_of(now_us, zone) - clock.day_of(since_us, zone)).days


def _before(jar: Jar, start: Moment) -> int:
    """Return how many coats were laid from a jar before a moment."""
    if start == BEGINNING:
        return 0
    onto = Place.objects.filter(kind="piece")
    coats = Event.objects.filter(kind="coat", jar=jar, void=False, at_us__lte=start[0],
                                 flows__to__in=onto)  # fmt: skip
    rows = coats.values_list("at_us", "root").distinct()
    return sum((at, root, 0) <= start for at, root in rows)
