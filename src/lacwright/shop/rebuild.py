"""Rebuild: the indexes anew from movements and lines, which are never touched."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from django.db import DatabaseError, connection, transaction
from django.db.models import Sum

from lacwright.figures import Refusal
from lacwright.shop import disk
from lacwright.shop.backup import back_up, is_sound, verify
from lacwright.shop.facts import facts_of
from lacwright.shop.home import Home
from lacwright.shop.models import Balance, Event, Flow, Line, Lot, Movement, Place
from lacwright.shop.replay import REFS, VOID
from lacwright.shop.whole import Happening, derive_all
from lacwright.shop.writing import fault_of_the_disk

BATCH = 5_000
_TABLES = ("event", "flow", "balance")


@dataclass(frozen=True)
class Rebuilt:
    """What a rebuild did.

    Parameters
    ----------
    rows : dict of str to int
        Rows of every index now.
    changed : dict of str to int
        Rows that were not there before as they are now, or are not there any more.
    backup : Path or None
        The backup that was made before.
    """

    rows: dict[str, int]
    changed: dict[str, int]
    backup: Path | None


def rebuild(
    home: Home, *, dry_run: bool = False, now_us: int | None = None,
    progress: disk.Progress = disk.quiet,
) -> Rebuilt:  # fmt: skip
    """Make the indexes of the record that is open anew, in one transaction, after a backup.

    Parameters
    ----------
    home : Home
        Its folder.
    dry_run : bool
        Say what would change, and leave everything as it was.
    now_us : int, optional
        When, for the name of the backup; now if not given.
    progress : callable
        Told how far it is.

    Raises
    ------
    Refusal
        If the backup cannot be made, the movements are not as they were written, or the disk does
        not take it.
    """
    backup = (
        None if dry_run else back_up(home, why="before-rebuild", now_us=now_us, progress=progress)
    )
    if backup is not None and not is_sound(backup):
        raise Refusal(
            "record",
            "; ".join(verify(backup).doubts),
            "nothing was rebuilt, since that "
            f"rests on the movements; the record as it is was kept in {backup}",
        )
    try:
        with transaction.atomic():
            before = {table: _content(table) for table in _TABLES}
            rebuild_indexes(progress)
            after = {table: _content(table) for table in _TABLES}
            if dry_run:
                transaction.set_rollback(True)
    except DatabaseError as error:
        raise fault_of_the_disk(error) from None
    return Rebuilt(
        rows={table: len(rows) for table, rows in after.items()},
        changed={table: len(before[table] ^ after[table]) for table in _TABLES},
        backup=backup,
    )  # fmt: skip


def rebuild_indexes(progress: disk.Progress = disk.quiet) -> None:
    """Make events, flows and balances anew inside the transaction that is open."""
    with connection.cursor() as cursor:
        for table in ("balance", "flow", "event"):
            cursor.execute(f"DELETE FROM shop_{table}")
    progress("events", 0, 3)
    Event.objects.bulk_create(_events(), batch_size=BATCH)
    progress("flows", 1, 3)
    _write(Flow, _flows())
    progress("balances", 2, 3)
    sums = Line.objects.values_list("place", "lot").annotate(u=Sum("ug")).exclude(u=0)
    _write(Balance, (Balance(place_id=place, lot_id=lot, ug=ug)
                     for place, lot, ug in sums.order_by("place", "lot")))  # fmt: skip


def _events() -> list[Event]:
    """Return the index of events, from the last version of every observation."""
    numbers = {word: dict(table.objects.values_list("key", "id")) for word, table in REFS.items()}
    last: dict[int, Event] = {}
    rows = Movement.objects.order_by("id").values_list("id", "root_id", "kind", "at_us", "body")
    for number, root_id, kind, at_us, body in rows.iterator(BATCH):
        root = root_id or number
        if kind == VOID:
            last[root].movement_id, last[root].void = number, True
            continue
        refs = {f"{word}_id": numbers[word][name] for word, name in body["refs"].items()
                if word in numbers}  # fmt: skip
        last[root] = Event(root_id=root, movement_id=number, at_us=at_us, kind=kind, **refs)
    return list(last.values())


def _flows() -> Iterator[Flow]:
    places = dict(Place.objects.values_list("key", "id"))
    lots = {lot.key: lot for lot in Lot.objects.all()}
    facts = {key: facts_of(lot) for key, lot in lots.items()}
    counting = Event.objects.filter(void=False).values_list("at_us", "root_id", "movement__body")
    events = (Happening(at_us, root, {"moves": body["moves"]})
              for at_us, root, body in counting.iterator(BATCH) if body["moves"])  # fmt: skip
    for event, derived in derive_all(events, facts):
        for step, (source, to, lot, washed) in enumerate(derived.edges):
            yield Flow(event_id=event.root, at_us=event.at_us, step=step,
                       source_id=places[source], to_id=places[to],
                       lot_id=lots[lot].id if lot else None, washed=washed)  # fmt: skip


def _write(table: type[Flow] | type[Balance], rows: Iterable[Any]) -> None:
    some: list[Any] = []
    for row in rows:
        some.append(row)
        if len(some) == BATCH:
            table._default_manager.bulk_create(some)
            some.clear()
    table._default_manager.bulk_create(some)


def _content(table: str) -> set[tuple[Any, ...]]:
    """Return the rows of an index without the numbers that nothing refers to."""
    columns = {
        "event": ", ".join(["root_id", "movement_id", "at_us", "kind", "void",
                            *(f"{word}_id" for word in REFS)]),
        "flow": "event_id, at_us, step, source_id, to_id, lot_id, washed",
        "balance": "place_id, lot_id, ug",
    }[table]  # fmt: skip
    with connection.cursor() as cursor:
        cursor.execute(f"SELECT {columns} FROM shop_{table}")
        return set(cursor.fetchall())
