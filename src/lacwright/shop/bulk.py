"""A big load: observations first, and all that follows from them once, at the end.

Typing an entry works out at once what follows from it, and asks the database for what stood there
before. For thousands of entries it is many times faster to write them all down and to derive them
once in memory, in the order of time.
"""

from __future__ import annotations

import contextlib
import uuid
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from django.db import connection, transaction

from lacwright.figures import Refusal
from lacwright.shop.facts import facts_of
from lacwright.shop.ledger import Move
from lacwright.shop.models import Event, Flow, Line, Lot, Movement, Place
from lacwright.shop.replay import ADD_FLOW, ADD_LINE, REFS, postponed
from lacwright.shop.whole import Happening, derive_all
from lacwright.shop.writing import seal

BATCH = 20_000
"""Rows that are kept in memory before they are written."""


@contextlib.contextmanager
def loading() -> Iterator[None]:
    """Write many entries with the services, in any order of time, and derive them all at the end.

    Everything inside is one transaction: it is there whole or not at all. What is described
    (lots, jars, ...) and the index of events are there at once, so that names, undo and correction
    work. Lines, flows and balances are not there before the end: whatever reads what is in a place
    (the answers of the services, `correct_jar`, a recall, the cut of a residue test, the record of
    which observations rest on a lot) finds it empty, and does not belong inside.

    Raises
    ------
    Refusal
        If something was moved in this record before.
    """
    with transaction.atomic():
        _refuse_full()
        with postponed():
            yield
        post_all()


@dataclass(frozen=True, slots=True)
class Observation:
    """An observation as it lies in the record, without the services that make one.

    Parameters
    ----------
    at_us : int
        When it was done.
    kind : str
        "receive", "mix", "coat", ...
    refs : mapping
        What it concerns, by name, as for `Writer.movement`.
    moves : sequence of Move
        What goes where.
    facts : mapping
        All else that was observed; JSON.
    """

    at_us: int
    kind: str
    refs: Mapping[str, str]
    moves: Sequence[Move] = ()
    facts: Mapping[str, Any] = field(default_factory=dict)


def load(observations: Iterable[Observation], *, written_us: int, author: str = "") -> list[int]:
    """Write observations whose lots, jars, pieces, ... are there, and all that follows from them.

    Parameters
    ----------
    observations : iterable of Observation
        In the order in which they count as written down.
    written_us : int
        When that was.
    author : str
        Who says so.

    Returns
    -------
    list of int
        Numbers of the movements, in the order given; `opened` of what they brought into the record
        is left to the caller.

    Raises
    ------
    Refusal
        If something was moved in this record before.
    """
    with transaction.atomic():
        _refuse_full()
        numbers = _write(observations, written_us, author)
        post_all()
    return numbers


def post_all() -> None:
    """Derive lines, flows and balances of a record that has none; one transaction is open."""
    places = dict(Place.objects.values_list("key", "id"))
    lots = {lot.key: lot for lot in Lot.objects.all()}
    facts = {key: facts_of(lot) for key, lot in lots.items()}
    counting = Event.objects.filter(void=False).values_list(
        "at_us", "root_id", "movement_id", "movement__body"
    )
    movements: dict[int, int] = {}
    events = []
    for at_us, root, movement, body in counting.iterator(BATCH):
        if body["moves"]:
            movements[root] = movement
            events.append(Happening(at_us, root, {"moves": body["moves"]}))
    balance: dict[tuple[int, int], int] = defaultdict(int)
    lines, flows = _Rows(ADD_LINE), _Rows(ADD_FLOW)
    for event, derived in derive_all(events, facts):
        for (place, lot), ug in sorted(derived.lines.items()):
            where = (places[place], lots[lot].id)
            lines.add((movements[event.root], event.root, *where, ug))
            balance[where] += ug
        for step, (source, to, key, washed) in enumerate(derived.edges):
            flows.add((event.root, event.at_us, step, places[source], places[to],
                       lots[key].id if key else None, washed))  # fmt: skip
    lines.write()
    flows.write()
    with connection.cursor() as cursor:
        cursor.executemany(_BALANCE, [(*where, ug) for where, ug in balance.items() if ug])


class _Rows:
    """Rows for one statement, written by the batch."""

    def __init__(self, sql: str) -> None:
        self._sql = sql
        self._rows: list[tuple[Any, ...]] = []

    def add(self, row: tuple[Any, ...]) -> None:
        self._rows.append(row)
        if len(self._rows) >= BATCH:
            self.write()

    def write(self) -> None:
        with connection.cursor() as cursor:
            cursor.executemany(self._sql, self._rows)
        self._rows.clear()


def _refuse_full() -> None:
    if Line.objects.exists() or Flow.objects.exists():
        raise Refusal("record", "something was moved in it already",
                      "a big load needs a record in which nothing was moved yet")  # fmt: skip


def _write(observations: Iterable[Observation], written_us: int, author: str) -> list[int]:
    token = uuid.uuid4().hex
    last = Movement.objects.order_by("-id").values_list("id", "seal").first()
    number, before = (0, "") if last is None else last
    movements, events = [], []
    numbers: dict[str, dict[str, int]] = {
        word: dict(table.objects.values_list("key", "id")) for word, table in REFS.items()
    }
    for n, told in enumerate(observations, 1):
        made = Movement(
            id=number + n, token=f"{token}.{n}", kind=told.kind, at_us=told.at_us,
            written_us=written_us, author=author, reason="",
            body={"refs": dict(told.refs), "moves": [dict(m) for m in told.moves], **told.facts},
        )  # fmt: skip
        made.seal = before = seal(made, before)
        found = {f"{word}_id": numbers[word][key] for word, key in told.refs.items()}
        movements.append(made)
        events.append(Event(root_id=made.id, movement_id=made.id, at_us=told.at_us,
                            kind=told.kind, **found))  # fmt: skip
    Movement.objects.bulk_create(movements, batch_size=BATCH)
    Event.objects.bulk_create(events, batch_size=BATCH)
    _mend_sequence()
    return [made.id for made in movements]


def _mend_sequence() -> None:
    """Tell a database that counts by itself that numbers were given out."""
    from django.core.management.color import no_style

    with connection.cursor() as cursor:
        for sql in connection.ops.sequence_reset_sql(no_style(), [Movement]):
            cursor.execute(sql)


_BALANCE = "INSERT INTO shop_balance (place_id, lot_id, ug) VALUES (%s, %s, %s)"
