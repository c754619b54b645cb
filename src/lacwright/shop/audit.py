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
from contextlib import closing, contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from django.db import DatabaseError, connection

from lacwright.shop import database_file, disk
from lacwright.shop.audit_database import check_database
from lacwright.shop.audit_events import Part, check_part
from lacwright.shop.audit_files import check_files
from lacwright.shop.audit_movements import check_index, check_movements, check_things
from lacwright.shop.findings import Ask, Collector, Finding
from lacwright.shop.home import Home
from lacwright.shop.reading import snapshot

MANY = 20_000
"""Observations from which on a second process is worth its start."""
FIRST = 0.62
"""Share of the observations that this process takes: it checks the movements besides, the other
one the database."""
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
    halves = not connection.in_atomic_block and connection.vendor == "sqlite" and may_fork()
    try:
        with _no_collecting(), snapshot():
            counts = {name: int(_ask(sql)[0][0]) for name, sql in _COUNTS.items()}
            first, rest = _parts(counts["events"], halves)
            with _beside(home.database, rest) as other:
                progress("movements", 0, STEPS)
                versions = check_movements(_ask, found)
                progress("index", 1, STEPS)
                check_index(_ask, found, versions)
                check_things(_ask, found)
                progress("working everything out anew", 2, STEPS)
                check_part(_ask, found, first)
                progress("database", 3, STEPS)
                found.merge(other())
            progress("files", 4, STEPS)
            leftovers, counts["files"] = check_files(home, found, progress)
    except DatabaseError as error:
        found.add("database", str(error))
    return Audit(found.findings(), leftovers, counts)


def _parts(events: int, halves: bool) -> tuple[Part, Part | None]:
    """Return what of the time this process takes, and the other one, if there is another."""
    if events < MANY or not halves:
        return Part(), None
    (at_us,) = _ask(f"SELECT at_us FROM shop_event ORDER BY at_us LIMIT 1 "
                    f"OFFSET {int(events * FIRST)}")[0]  # fmt: skip
    return Part(before_us=at_us), Part(from_us=at_us)


def may_fork() -> bool:
    """Return whether a second process may be started from this one: not where threads run."""
    return hasattr(os, "fork") and threading.active_count() == 1 and (os.cpu_count() or 1) > 1


def _rest(ask: Ask, part: Part | None) -> Collector:
    """Check what is not the part of the first process."""
    found = Collector()
    check_database(ask, found, vendor=connection.vendor)
    if part is not None:
        check_part(ask, found, part)
    return found


@contextmanager
def _beside(database: Path, part: Part | None) -> Iterator[Callable[[], Collector]]:
    """Let another process check the rest; what is yielded waits for what it found.

    The snapshot that is open here keeps every writer from finishing: both see the same state. If
    the other cannot look (a writer is waiting at the door), all is done here.
    """
    if part is None:
        yield lambda: _rest(_ask, part)
        return
    import multiprocessing

    context = multiprocessing.get_context("fork")
    here, there = context.Pipe(duplex=False)
    child = context.Process(target=_look, args=(database, part, there), daemon=True)
    child.start()
    there.close()

    def result() -> Collector:
        try:
            found = here.recv()
        except EOFError:
            found = None
        return found if isinstance(found, Collector) else _rest(_ask, part)

    try:
        yield result
    finally:
        child.kill()
        child.join()
        here.close()


def _look(database: Path, part: Part, to: Any) -> None:
    """Check the rest in a process of its own and send what was found."""
    try:
        with closing(database_file.open_to_read(database, timeout=0.2)) as other:
            other.execute(f"PRAGMA cache_size=-{64_000}")
            other.execute("BEGIN")
            to.send(_rest(lambda sql: other.execute(sql).fetchall(), part))
    except sqlite3.Error as error:
        to.send(str(error))


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
