"""Audit: everything that can be worked out twice is, and compared.

Truth are the movements and the lines. The seals of the movements are computed anew, the lines are
derived anew from the movements in the order of time, and the indexes from both; files are hashed.
Rows are read as they lie, since an object for each would take ten times as long; a large record is
checked by two processes.
"""

from __future__ import annotations

import gc
import os
import sqlite3
import threading
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from django.db import DatabaseError, connection

from lacwright.shop import database_file, disk
from lacwright.shop.audit_database import check_database, check_sums
from lacwright.shop.audit_events import Ended, Part, check_part
from lacwright.shop.audit_files import check_files
from lacwright.shop.audit_movements import check_index, check_movements, check_things
from lacwright.shop.findings import Collector, Finding
from lacwright.shop.home import Home
from lacwright.shop.reading import snapshot

MANY = 20_000
"""Observations from which on a second process is worth its start."""
FIRST = 0.61
"""Share of the observations that this process takes: it checks the movements besides, the other
one the database."""
CACHE_KB = 64_000
STEPS = 5


@dataclass(frozen=True)
class Audit:
    """What an audit found.

    Parameters
    ----------
    findings : tuple of Finding
        What is wrong; empty if all fits.
    leftovers : tuple of str
        Files that nothing refers to: harmless.
    counts : dict of str to int
        What was looked at.
    """

    findings: tuple[Finding, ...]
    leftovers: tuple[str, ...]
    counts: dict[str, int]


def audit(home: Home, *, progress: disk.Progress = disk.quiet) -> Audit:
    """Check the record that is open from end to end.

    Parameters
    ----------
    home : Home
        Its folder.
    progress : callable
        Told how far it is.
    """
    found = Collector()
    counts: dict[str, int] = {}
    leftovers: tuple[str, ...] = ()
    # What a transaction has not finished yet no other process sees.
    two = not connection.in_atomic_block and connection.vendor == "sqlite" and may_fork()
    try:
        with _no_collecting(), snapshot():
            counts = {name: int(_ask(sql)[0][0]) for name, sql in _COUNTS.items()}
            two = two and counts["events"] >= MANY
            if not two or not _clean(home.database, counts, progress):
                _check(found, progress)
            progress("files", 4, STEPS)
            leftovers, counts["files"] = check_files(home, found, progress)
    except DatabaseError as error:
        found.add("database", str(error))
    return Audit(found.findings(), leftovers, counts)


def _check(found: Collector, progress: disk.Progress) -> None:
    """Check everything, one after the other."""
    progress("movements", 0, STEPS)
    _check_movements(found)
    progress("working everything out anew", 1, STEPS)
    check_part(_ask, found, Part())
    progress("sums", 2, STEPS)
    check_sums(_ask, found)
    progress("database", 3, STEPS)
    check_database(_ask, found, vendor=connection.vendor)


def _check_movements(found: Collector) -> None:
    check_index(_ask, found, check_movements(_ask, found))
    check_things(_ask, found)


def _clean(database: Path, counts: dict[str, int], progress: disk.Progress) -> bool:
    """Return whether two processes together find nothing wrong.

    The other one takes the database as such and the later part of the events. It starts that part
    from the balances less the lines in it; if the earlier part ends with just that, and both agree
    with their lines, then all lines are right, and the balances are their sums. If anything is
    wrong all is checked again by one, which can tell exactly what.
    """
    (at_us,) = _ask(f"SELECT at_us FROM shop_event ORDER BY at_us LIMIT 1 "
                    f"OFFSET {int(counts['events'] * FIRST)}")[0]  # fmt: skip
    found = Collector()
    with _beside(database, Part(from_us=at_us)) as other:
        progress("movements", 0, STEPS)
        _check_movements(found)
        progress("working everything out anew", 1, STEPS)
        earlier = check_part(_ask, found, Part(before_us=at_us))
        later = other()
    return (
        later is not None and not found.findings() and earlier.held == later.begun
        and earlier.lines + later.lines == counts["lines"]
    )  # fmt: skip


def may_fork() -> bool:
    """Return whether a second process may be started from this one: not where threads run."""
    return hasattr(os, "fork") and threading.active_count() == 1 and (os.cpu_count() or 1) > 1


@contextmanager
def _beside(database: Path, part: Part) -> Iterator[Callable[[], Ended | None]]:
    """Let another process check; what is yielded waits for it: None if it found something.

    The snapshot that is open here keeps every writer from finishing: both see the same state. The
    other may be kept out (by a writer that waits at the door): then it has found nothing out.
    """
    import multiprocessing

    context = multiprocessing.get_context("fork")
    here, there = context.Pipe(duplex=False)
    child = context.Process(target=_look, args=(database, part, there), daemon=True)
    child.start()
    there.close()

    def result() -> Ended | None:
        try:
            told = here.recv()
        except EOFError:
            return None
        return told if isinstance(told, Ended) else None

    try:
        yield result
    finally:
        child.kill()
        child.join()
        here.close()


def _look(database: Path, part: Part, to: Any) -> None:
    """Check in a process of its own and send how the part began, or None."""
    found = Collector()
    ended = None
    with suppress(sqlite3.Error), closing(
        database_file.open_to_read(database, timeout=0.2)
    ) as other:  # fmt: skip
        other.execute(f"PRAGMA cache_size=-{CACHE_KB}")
        other.execute("BEGIN")

        def ask(sql: str) -> list[Any]:
            return other.execute(sql).fetchall()

        ended = check_part(ask, found, part)
        check_database(ask, found, vendor="sqlite")
    # What the places hold at the end nobody asks for, and it is long.
    to.send(None if ended is None or found.findings() else Ended(ended.begun, {}, ended.lines))


def _ask(sql: str) -> list[Any]:
    with connection.cursor() as cursor:
        cursor.execute(sql)
        return list(cursor.fetchall())


_COUNTS = {f"{table}s": f"SELECT COUNT(*) FROM shop_{table}"
           for table in ("movement", "request", "line", "event", "flow")}  # fmt: skip


@contextmanager
def _no_collecting() -> Iterator[None]:
    """Keep the collector of garbage out: a million rows are all in use."""
    was = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was:
            gc.enable()
