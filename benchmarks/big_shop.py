"""A shop of any size for the benchmarks: ten years, written straight into the tables."""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from lacwright.shop.bulk import Observation, load
from lacwright.shop.clock import DAY
from lacwright.shop.ledger import clear, come, dry, grams, lay, millilitres, take
from lacwright.shop.models import Applicator, Jar, Job, Line, Lot, Movement, Piece, Place

BEGIN = 18_000 * DAY
SPAN = 3650 * DAY
GROUP = 20
"""Jars of a group: number 5 is blended from number 0, 10 from 5, 15 from 10."""
STEP = 5
ETHANOL = {"ethanol": 0.9242, "water": 0.0758}
EVERY, TIMES = 25, 25
"""J0 is a jug of so many times as much: every so many coats are laid from it, always through pad
P0, which nobody washes."""


@dataclass(frozen=True)
class BigShop:
    """What is in it, and what the benchmark asks about."""

    jars: int
    jobs: int
    coats: int
    movements: int
    lines: int
    bad_jar: str
    jug: str
    old_mix: int

    def words(self) -> str:
        """Return its size in a line."""
        return (f"{self.jars:,} jars, {self.jobs:,} jobs, {self.coats:,} coats, "
                f"{self.movements:,} movements, {self.lines:,} lines")  # fmt: skip


def fill(*, jars: int, jobs: int, coats: int) -> BigShop:
    """Fill the open record."""
    told = _Telling(jars, jobs, coats)
    told.furnish()
    observations = sorted(told.all(), key=lambda one: one.at_us)
    numbers = load(observations, written_us=BEGIN + SPAN + DAY)
    first: dict[tuple[str, str], int] = {}
    for number, one in zip(numbers, observations, strict=True):
        for word in _OPENED_BY.get(one.kind, ()):
            first[word, one.refs[word]] = number
    for word, table in _TABLES.items():
        rows = list(table.objects.filter(opened=None).exclude(key="not-said"))
        for row in rows:
            row.opened_id = first[word, row.key]
        table.objects.bulk_update(rows, ["opened"], batch_size=500)
    middle = jars // 2 // GROUP * GROUP
    two_years = int(jars * 0.8) // GROUP * GROUP
    return BigShop(jars, jobs, coats, Movement.objects.count(), Line.objects.count(),
                   f"J{middle}", "J0", first["jar", f"J{two_years}"])  # fmt: skip


_TABLES: dict[str, Any] = {"lot": Lot, "jar": Jar, "applicator": Applicator, "piece": Piece,
                           "job": Job}  # fmt: skip
_OPENED_BY = {"receive": ("lot",), "mix": ("jar",), "open": ("applicator",),
              "start": ("job", "piece")}  # fmt: skip


class _Telling:
    """What happened, as far as a benchmark needs it."""

    def __init__(self, jars: int, jobs: int, coats: int) -> None:
        self.r = random.Random(20)
        self.jars, self.jobs, self.coats = jars, jobs, coats
        self.flakes = max(4, jars // 25)
        self.spirits = max(2, jars // 50)
        self.pads = max(3, jobs // 50)

    def furnish(self) -> None:
        """Make the rows of all that has a name."""
        keys = {
            "store": [f"F{n}" for n in range(self.flakes)] + [f"A{n}" for n in range(self.spirits)],
            "jar": [f"J{n}" for n in range(self.jars)],
            "applicator": [f"P{n}" for n in range(self.pads)],
            "piece": [f"W{n}" for n in range(self.jobs)],
        }  # fmt: skip
        Place.objects.bulk_create(
            Place(key=f"{kind}:{key}", kind=kind) for kind, mine in keys.items() for key in mine
        )
        places = dict(Place.objects.values_list("key", "id"))
        Lot.objects.bulk_create(
            Lot(key=key, kind="flakes" if key[0] == "F" else "alcohol", unit="g",
                grade="garnet" if key[0] == "F" else "", parts=ETHANOL if key[0] == "A" else None,
                price=45, price_for_u=10**9, place_id=places[f"store:{key}"])
            for key in keys["store"]
        )  # fmt: skip
        Jar.objects.bulk_create(
            Jar(key=key, mouth_mm=60.0, place_id=places[f"jar:{key}"]) for key in keys["jar"]
        )
        Applicator.objects.bulk_create(
            Applicator(key=key, kind="pad", place_id=places[f"applicator:{key}"])
            for key in keys["applicator"]
        )
        Piece.objects.bulk_create(
            Piece(key=key, kind="piece", areas_m2={"top": 0.8}, place_id=places[f"piece:{key}"])
            for key in keys["piece"]
        )
        pieces = dict(Piece.objects.values_list("key", "id"))
        Job.objects.bulk_create(Job(key=f"T{n}", piece_id=pieces[f"W{n}"])
                                for n in range(self.jobs))  # fmt: skip

    def all(self) -> list[Observation]:
        """Return everything that was observed."""
        return [*self.bought(), *self.opened(), *self.mixed(), *self.laid(), *self.washed()]

    def bought(self) -> list[Observation]:
        out = []
        for letter, many, unit, size in (("F", self.flakes, grams, 8_000.0),
                                         ("A", self.spirits, millilitres, 60_000.0)):  # fmt: skip
            for n in range(many):
                key, amount = f"{letter}{n}", unit(size if n else size * TIMES)
                out.append(Observation(
                    BEGIN + SPAN * n // many - DAY, "receive", {"lot": key},
                    [come(lot=key, to=f"store:{key}", amount=amount)],
                    {"amount": amount, "opening": False, "said": {}},
                ))  # fmt: skip
        return out

    def opened(self) -> list[Observation]:
        pads = [Observation(BEGIN - DAY, "open", {"applicator": f"P{n}"}, (), {"kind": "pad"})
                for n in range(self.pads)]  # fmt: skip
        jobs = [Observation(BEGIN + SPAN * n // self.jobs - DAY, "start",
                            {"job": f"T{n}", "piece": f"W{n}"}, (),
                            {"planned": False, "stops": [], "in_spite": ""})
                for n in range(self.jobs)]  # fmt: skip
        return [*pads, *jobs]

    def mixed(self) -> list[Observation]:
        return [self.mix(n) for n in range(self.jars)]

    def mix(self, n: int) -> Observation:
        """Two lots in a jar; every fifth of a group is blended from the one before it."""
        flakes = f"F{n * self.flakes // self.jars}"
        spirit = f"A{n * self.spirits // self.jars}"
        size = 1 if n else 10 * TIMES
        takes: list[dict[str, Any]] = [
            {"kind": "lot", "name": flakes, "lot": flakes, "amount": grams(120 * size)},
            {"kind": "lot", "name": spirit, "lot": spirit, "amount": millilitres(500 * size)},
        ]
        if n % GROUP and n % STEP == 0:
            takes.append({"kind": "jar", "name": f"J{n - STEP}", "amount": grams(90)})
        return Observation(
            BEGIN + SPAN * n // self.jars, "mix", {"jar": f"J{n}"}, self.moves(takes, f"jar:J{n}"),
            {"wished_cut": 2.0, "wished_ml": None, "takes": takes},
        )  # fmt: skip

    def moves(self, takes: Sequence[dict[str, Any]], jar: str) -> list[Any]:
        return [take(source=f"jar:{t['name']}" if t["kind"] == "jar" else f"store:{t['lot']}",
                     to=jar, amount=t["amount"]) for t in takes]  # fmt: skip

    def laid(self) -> list[Observation]:
        return [self.coat(n) for n in range(self.coats)]

    def coat(self, n: int) -> Observation:
        """A weighed coat from one of the ten newest jars, every third through a pad."""
        jar = max(1, n * self.jars // self.coats - self.r.randrange(10))
        job = max(0, n * self.jobs // self.coats - self.r.randrange(4))
        pad = f"P{self.r.randrange(1, self.pads)}" if n % 3 == 1 else None
        if n % EVERY == 0:
            jar, pad = 0, "P0"
        used, lost = round(self.r.uniform(30, 45), 1), self.r.choice([0.05, 0.1])
        evaporated = round(self.r.uniform(0.3, 1.2), 2) if n % 3 == 0 else None
        moves = [lay(source=f"jar:J{jar}", through=pad and f"applicator:{pad}", on=f"piece:W{job}",
                     amount=grams(used), lost_ppm=round(lost * 1e6))]  # fmt: skip
        if evaporated:
            moves.append(dry(source=f"jar:J{jar}", amount=grams(evaporated)))
        refs = {"job": f"T{job}", "piece": f"W{job}", "jar": f"J{jar}"}
        return Observation(
            BEGIN + SPAN * n // self.coats + 3_600_000_000, "coat",
            refs | ({"applicator": pad} if pad else {}), moves,
            {"what": "coat", "parts": [], "faces": [], "method": "pad" if pad else "brush",
             "number": None, "area_m2": 0.8, "before_g": 900.0,
             "after_g": round(900.0 - used - (evaporated or 0.0), 2), "used_ml": None,
             "amount_basis": "weighed", "evaporated_g": evaporated,
             "evaporated_basis": "given" if evaporated else "not known", "open_min": None,
             "left_g": None, "lost_share": lost, "minutes": 40.0, "until_us": None, "note": "",
             "in_spite": "", "planned": None, "given": ["method", "what", "area_m2"]},
        )  # fmt: skip

    def washed(self) -> list[Observation]:
        """Every pad but the one of the jug once a month."""
        return [
            Observation(BEGIN + month * 30 * DAY + n, "wash", {"applicator": f"P{n}"},
                        [clear(place=f"applicator:P{n}")])
            for month in range(1, SPAN // (30 * DAY)) for n in range(1, self.pads)
        ]  # fmt: skip
