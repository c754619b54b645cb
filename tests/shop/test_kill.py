"""Killed while it writes, at any moment: nothing acknowledged is lost, nothing is half done."""

from __future__ import annotations

import os
import random
import signal
import sqlite3
import time
from contextlib import closing
from typing import Any

KILLS = 100
AUDIT_EVERY = 10


def tokens(writers: Any) -> set[str]:
    """Return the tokens in the record, after checking the database as such."""
    database = writers.home / "record" / "shop.sqlite3"
    with closing(sqlite3.connect(database, timeout=10)) as record:
        assert record.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
        assert record.execute("PRAGMA foreign_key_check").fetchall() == []
        return {token for (token,) in record.execute("SELECT token FROM shop_request")}


def audit(writers: Any) -> None:
    from lacwright.shop import close_record, find_home, open_record

    home = open_record(find_home(writers.home))
    try:
        from lacwright.shop.audit import audit as audit_

        assert audit_(home).findings == ()
    finally:
        close_record()


def test_a_hundred_kills(writers: Any) -> None:
    r = random.Random(20270301)
    acknowledged: set[str] = set()
    for n in range(KILLS):
        writers.out.unlink(missing_ok=True)
        child = writers.order("write_on", seed=n, wait=False)
        # Some while it opens the record, most in the middle of one of its first writes.
        wait_for_acknowledged(writers, 0 if n % 5 == 0 else r.randrange(1, 4))
        time.sleep(r.uniform(0, 0.04))
        os.kill(child, signal.SIGKILL)
        while not gone(child):
            time.sleep(0.001)
        acknowledged |= acknowledged_by(writers)
        there = tokens(writers)
        assert acknowledged <= there
        if n % AUDIT_EVERY == AUDIT_EVERY - 1:
            audit(writers)
    assert len(acknowledged) >= KILLS
    # Of each kill at most the write that it hit was carried out and not acknowledged.
    assert len({token for token in there - acknowledged if "-" in token}) <= KILLS


def acknowledged_by(writers: Any) -> set[str]:
    return {line.split()[1] for line in writers.said() if line.startswith("ack")}


def wait_for_acknowledged(writers: Any, number: int) -> None:
    deadline = time.monotonic() + 20
    while len(acknowledged_by(writers)) < number:
        assert time.monotonic() < deadline, writers.said()
        time.sleep(0.002)


def gone(child: int) -> bool:
    """Return whether a process has ended: only its parent has not looked yet."""
    try:
        with open(f"/proc/{child}/stat") as stat:
            return stat.read().rpartition(")")[2].split()[0] in "ZX"
    except FileNotFoundError:
        return True
