"""A full disk and faults of the disk at every kind of call that a write makes.

strace lets one call fail. Whatever fails: the answer is one clear sentence, nothing is acknowledged
that is not there, nothing is there that was refused as not written, and the record stays whole.
"""

from __future__ import annotations

import os
import shutil
import sqlite3
import subprocess
import sys
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest

from lacwright.shop.home import Home

INJECTED = 400
"""As in `writers.py`."""


def strace(*inject: str) -> list[str]:
    """Return what goes before a command so that calls in it fail."""
    return ["strace", "-f", "-qq", "-o", "/dev/null", "--seccomp-bpf", "-e", "signal=none",
            "-e", "trace=pwrite64,fdatasync,unlink",
            *(word for fault in inject for word in ("-e", f"inject={fault}"))]  # fmt: skip


def can_trace() -> bool:
    if shutil.which("strace") is None:
        return False
    tried = subprocess.run([*strace("pwrite64:error=EIO:when=9"), "true"], capture_output=True)
    return tried.returncode == 0


if not can_trace():
    if os.environ.get("LACWRIGHT_CI"):
        raise RuntimeError("strace is missing or may not trace: faults of the disk go untested")
    pytest.skip("strace is missing or may not trace (apt install strace)", allow_module_level=True)


@pytest.fixture(params=["ENOSPC", "EIO"])
def faulty(request: pytest.FixtureRequest, writers_of: Any) -> Any:
    """Return writers of which call number `INJECTED` of every kind fails."""
    program = writers_of(*strace(
        f"pwrite64:error={request.param}:when={INJECTED}",
        f"fdatasync:error=EIO:when={INJECTED}", f"unlink:error=EIO:when={INJECTED}",
    ))  # fmt: skip
    program.fault = request.param
    return program


def test_whatever_call_fails_the_record_stays_whole(faulty: Any) -> None:
    # A write makes about 130 calls of pwrite64 (journal, then database), 4 of fdatasync (journal,
    # its name, its head, the database), one of unlink, from which on it counts, and one fdatasync.
    full = faulty.fault == "ENOSPC"
    cases = [("pwrite64", n) for n in ((1, 2, 20, 60, 110) if full else (1, 110))]
    cases += [*(("fdatasync", n) for n in range(1, 6)), ("unlink", 1)] if full else []
    cases += [("nothing", 1)]
    refused = []
    for n, (call, nth) in enumerate(cases):
        faulty.out.unlink(missing_ok=True)
        faulty.order("fail_once", call=call, n=nth, token=f"t{n}")
        assert faulty.read() == "ended 0", (call, nth, faulty.said())
        (said,) = faulty.said()
        there = check(faulty.home, n)
        if said == "ack":
            assert there, (call, nth)
        else:
            refused.append((call, nth))
            assert said.startswith("refused record: "), said
            assert ("the disk is full" if full and call == "pwrite64" else "disk reports a fault"
                    ) in said, (call, nth, said)  # fmt: skip
            assert ("nothing was written" in said) != there, (call, nth, said)
    assert {case for case in cases if case[0] == "pwrite64"} <= set(refused)
    # A fault while names in a folder are flushed does not undo what is there.
    others = {*(("fdatasync", n) for n in (1, 3, 4)), ("unlink", 1)} if full else set()
    assert {case for case in refused if case[0] != "pwrite64"} == others
    audit(faulty.home)


def test_the_command_says_it_in_one_line_and_with_exit_2(made_once: Path, tmp_path: Path) -> None:
    folder = tmp_path / "home"
    shutil.copytree(made_once, folder)
    run = "from lacwright.cli.main import main; main()"
    words = ["lot", "add", "garnet", "--grade", "garnet", "--amount", "1 kg", "--home", str(folder)]
    env = {k: v for k, v in os.environ.items() if k != "LACWRIGHT_HASTY"}
    env["PYTHONPATH"] = os.pathsep.join(sys.path)
    command = [*strace("pwrite64:error=ENOSPC:when=1+"), sys.executable, "-c", run, *words]
    done = subprocess.run(command, capture_output=True, text=True, env=env)
    assert (done.returncode, done.stdout) == (2, "")
    assert done.stderr == ("record: the disk is full; nothing was written; make room, try again.\n")
    with closing(sqlite3.connect(folder / "record" / "shop.sqlite3")) as record:
        assert record.execute("SELECT COUNT(*) FROM shop_movement").fetchone() == (0,)
    audit(folder)


@pytest.mark.parametrize("call", ["pwrite64:error=ENOSPC:when=40+", "fsync:error=EIO:when=1+"])
def test_a_backup_that_the_disk_does_not_take_is_not_announced(
    made_once: Path, tmp_path: Path, call: str
) -> None:
    folder = tmp_path / "home"
    shutil.copytree(made_once, folder)
    run = "from lacwright.cli.main import main; main()"
    env = {k: v for k, v in os.environ.items() if k != "LACWRIGHT_HASTY"}
    env["PYTHONPATH"] = os.pathsep.join(sys.path)
    words = ["record", "backup", "--home", str(folder)]
    before = [w.replace("unlink", "unlink,fsync") for w in strace(call)]
    done = subprocess.run([*before, sys.executable, "-c", run, *words],
                          capture_output=True, text=True, env=env)  # fmt: skip
    assert (done.returncode, done.stdout) == (2, ""), done.stderr
    assert "no backup was made" in done.stderr
    assert done.stderr.count("\n") == 1
    assert list((folder / "backups").iterdir()) == []


def check(home: Path, n: int) -> bool:
    """Check the database as such; return whether the token is there, with its lines."""
    with closing(sqlite3.connect(home / "record" / "shop.sqlite3")) as record:
        assert record.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
        there = record.execute("SELECT movement_id FROM shop_request WHERE token = ?", [f"t{n}"])
        row = there.fetchone()
        sql = """SELECT SUM(ug) FROM shop_line JOIN shop_place p ON p.id = place_id
                 WHERE p.key = 'waste'"""
        (waste,) = record.execute(sql).fetchone()
        tokens = record.execute("SELECT COUNT(*) FROM shop_request WHERE what = 'pour'")
        assert (waste or 0) == tokens.fetchone()[0] * 10_000_000
    return row is not None


def audit(home: Path) -> None:
    from lacwright.shop import close_record, open_record

    opened = open_record(Home(home))
    try:
        from lacwright.shop.audit import audit as audit_

        assert audit_(opened).findings == ()
    finally:
        close_record()
