"""A database as a file: copied in one step, looked at without the tables of this version.

A backup is made before an update and may be of an older or a newer version: only what every
version has is asked for.
"""

from __future__ import annotations

import json
import pkgutil
import sqlite3
import time
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path
from typing import Any

from lacwright.figures import Refusal
from lacwright.shop import seals

WAIT_S = 10.0
_TABLES = "SELECT name FROM sqlite_master WHERE type = 'table' AND name LIKE 'shop_%' ORDER BY name"
_OURS = ("table", "index")
INDEXES = ("shop_event", "shop_flow", "shop_balance")
"""Tables that can be made anew from the others: nothing is lost with them."""
_SHOWN = 3


@contextmanager
def opened(path: Path) -> Iterator[sqlite3.Connection]:
    """Open a database that nobody else writes, for reading; nothing in it is carried out."""
    with closing(open_to_read(path)) as connection:
        yield connection


def open_to_read(path: Path, *, timeout: float = WAIT_S) -> sqlite3.Connection:
    """Return a connection that reads a database, for any thread; nothing in it is carried out."""
    connection = sqlite3.connect(f"{path.absolute().as_uri()}?mode=ro", uri=True, timeout=timeout,
                                 isolation_level=None, check_same_thread=False)  # fmt: skip
    connection.execute("PRAGMA trusted_schema=OFF")
    connection.execute("PRAGMA cell_size_check=ON")
    return connection


def copy(source: Path, to: Path) -> None:
    """Copy a database as it is at one moment, while others read and write it.

    Raises
    ------
    sqlite3.Error
        If it cannot be read, or is held too long.
    """
    deadline = time.monotonic() + 3 * WAIT_S

    def step(status: int, remaining: int, total: int) -> None:
        if remaining and time.monotonic() > deadline:
            raise sqlite3.OperationalError("database is locked")

    # Not read-only: after a power cut the journal beside it must be played back first.
    uri = f"{source.absolute().as_uri()}?mode=rw"
    with closing(sqlite3.connect(uri, uri=True, timeout=WAIT_S)) as old:
        old.execute("PRAGMA synchronous=EXTRA")
        with closing(sqlite3.connect(to)) as new:
            # A copy that is not whole is thrown away: it needs no journal of its own.
            new.execute("PRAGMA journal_mode=OFF")
            new.execute("PRAGMA synchronous=OFF")
            old.backup(new, pages=-1, progress=step, sleep=0.05)


def migrations(connection: sqlite3.Connection) -> list[str]:
    """Return the names of the migrations that made a database what it is."""
    rows = connection.execute(
        "SELECT name FROM django_migrations WHERE app = 'shop' ORDER BY name"
    )  # fmt: skip
    return [str(name) for (name,) in rows]


def known_migrations() -> set[str]:
    """Return the names of the migrations that this program knows."""
    import lacwright.shop.migrations as here

    return {module.name for module in pkgutil.iter_modules(here.__path__)}


def refuse_newer(found: list[str], where: str) -> None:
    """Refuse what a newer program wrote.

    Raises
    ------
    Refusal
        With the names of the migrations that are not known here.
    """
    newer = sorted(set(found) - known_migrations())
    if newer:
        raise Refusal(where, f"it was written by a newer lacwright ({', '.join(newer)})",
                      "install that version or a later one; nothing was changed")  # fmt: skip


def rows(connection: sqlite3.Connection) -> dict[str, int]:
    """Return the number of rows of every table."""
    tables = [str(name) for (name,) in connection.execute(_TABLES).fetchall()]
    return {
        table: int(connection.execute(f'SELECT COUNT(*) FROM "{table}"').fetchone()[0])
        for table in tables
    }


def files(connection: sqlite3.Connection) -> dict[str, int]:
    """Return the size of every file that the record refers to, by its hash."""
    if not connection.execute("SELECT 1 FROM sqlite_master WHERE name = 'shop_file'").fetchone():
        return {}
    found = connection.execute("SELECT sha256, size FROM shop_file ORDER BY sha256")
    return {str(sha): int(size) for sha, size in found}


def setting(connection: sqlite3.Connection, key: str) -> Any:
    """Return a setting of the shop, None if it is not there."""
    row = connection.execute("SELECT value FROM shop_setting WHERE key = ?", [key]).fetchone()
    return None if row is None else json.loads(row[0])


def faults(connection: sqlite3.Connection) -> list[str]:
    """Return why a database cannot be read or is none of ours, in words; empty if it can be."""
    try:
        found = [str(row[0]) for row in connection.execute("PRAGMA integrity_check(3)")]
        if found != ["ok"]:
            return [f"the database is damaged ({'; '.join(found)})"]
        odd = connection.execute("SELECT type, name FROM sqlite_master").fetchall()
        strange = sorted(name for kind, name in odd if kind not in _OURS)
        if strange:
            return [f"it holds what no record holds ({', '.join(strange[:_SHOWN])})"]
        return []
    except sqlite3.Error as error:
        return [f"the database cannot be read ({error})"]


def doubts(connection: sqlite3.Connection) -> list[str]:
    """Return what in a database that can be read is not as the program wrote it, in words."""
    try:
        out = []
        loose = [row for row in connection.execute("PRAGMA foreign_key_check")
                 if row[0] not in INDEXES]  # fmt: skip
        if loose:
            tables = sorted({str(row[0]) for row in loose})
            out.append(f"{len(loose)} rows refer to nothing (in {', '.join(tables)})")
        broken = list(seals.broken(connection.execute(seals.ROWS)))
        if broken:
            first = ", ".join(map(str, broken[:_SHOWN]))
            out.append(f"the seal of {len(broken)} movements does not fit (first: {first})")
        return out
    except sqlite3.Error as error:
        return [f"the database cannot be read ({error})"]
