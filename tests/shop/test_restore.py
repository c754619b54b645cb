"""A restore swaps whole folders; broken off anywhere, the old or the new record is there."""

from __future__ import annotations

import os
import shutil
import signal
import sqlite3
import subprocess
import sys
import tarfile
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest

from lacwright.figures import Refusal
from lacwright.shop import Home, close_record, open_record
from lacwright.shop.home import InUse
from lacwright.shop.restore import restore

NOW = 1_812_000_000_000_000
SHOP = "0123456789abcdef0123456789abcdef"


def shop_of(home: Home) -> str:
    with closing(sqlite3.connect(home.database)) as record:
        (value,) = record.execute("SELECT value FROM shop_setting WHERE key = 'shop'").fetchone()
    return str(value).strip('"')


def movements(home: Home) -> int:
    with closing(sqlite3.connect(home.database)) as record:
        return int(record.execute("SELECT COUNT(*) FROM shop_movement").fetchone()[0])


def test_it_comes_back_where_nothing_was(kept: Path, tmp_path: Path) -> None:
    home = Home(tmp_path / "new")
    done = restore(home, kept)
    assert (done.aside, done.other_shop, done.older, done.dry_run) == (None, False, False, False)
    assert shop_of(home) == SHOP
    assert sorted(os.listdir(home.folder)) == ["record", "record.lock"]
    assert home.record.stat().st_mode & 0o777 == 0o700
    open_record(home)
    from lacwright.shop.audit import audit

    assert audit(home).findings == ()
    close_record()


def test_a_record_is_put_aside_and_only_if_told(home: Home, kept: Path) -> None:
    mine = shop_of(home)
    with pytest.raises(Refusal, match="--overwrite"):
        restore(home, kept)
    assert shop_of(home) == mine
    done = restore(home, kept, overwrite=True, now_us=NOW)
    assert done.aside == home.folder / "record.before-restore-20270603T052000Z"
    assert done.other_shop
    assert shop_of(home) == SHOP
    assert done.aside.joinpath("shop.sqlite3").exists()
    again = restore(home, kept, overwrite=True, now_us=NOW)
    assert again.aside == home.folder / "record.before-restore-20270603T052000Z-2"
    assert not again.other_shop
    assert home.set_aside == [done.aside, again.aside]


def test_a_dry_run_checks_and_leaves_all_as_it_was(home: Home, kept: Path, tmp_path: Path) -> None:
    mine = shop_of(home)
    done = restore(home, kept, dry_run=True)
    assert (done.dry_run, done.aside is None, done.backup.shop) == (True, False, SHOP)
    assert shop_of(home) == mine
    assert sorted(os.listdir(home.folder)) == ["record", "record.lock"]
    cut = tmp_path / "cut.tar"
    cut.write_bytes(kept.read_bytes()[:50_000])
    with pytest.raises(Refusal):
        restore(home, cut, dry_run=True)


def test_not_while_another_program_has_it_open(home: Home, kept: Path) -> None:
    used = InUse(home)
    with pytest.raises(Refusal, match="stop the server"):
        restore(home, kept, overwrite=True)
    used.let_go()
    restore(home, kept, overwrite=True)


def test_a_damaged_backup_touches_nothing(home: Home, kept: Path, tmp_path: Path) -> None:
    mine = shop_of(home)
    data = bytearray(kept.read_bytes())
    data[120_000] ^= 1
    bad = tmp_path / "bad.tar"
    bad.write_bytes(data)
    with pytest.raises(Refusal, match="its hash differs"):
        restore(home, bad, overwrite=True)
    assert shop_of(home) == mine
    assert sorted(os.listdir(home.folder)) == ["record", "record.lock"]


def test_a_refused_restore_leaves_a_folder_as_it_was(
    home: Home, kept: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    data = bytearray(kept.read_bytes())
    data[120_000] ^= 1
    bad = tmp_path / "bad.tar"
    bad.write_bytes(data)
    (tmp_path / "empty").mkdir()
    (home.folder / "record.lock").unlink()
    for folder in (tmp_path / "empty", tmp_path / "not" / "there", home.folder):
        there = sorted(folder.rglob("*")) if folder.exists() else None
        for backup in (bad, tmp_path / "none.tar"):
            with pytest.raises(Refusal):
                restore(Home(folder), backup, overwrite=True)
        restore(Home(folder), kept, dry_run=True)
        if there is None:
            assert not folder.parent.exists()
        else:
            assert sorted(folder.rglob("*")) == there
    with pytest.raises(Refusal, match="--overwrite"):
        restore(home, kept)
    assert os.listdir(home.folder) == ["record"]
    monkeypatch.setattr(os, "rename", lambda *_: (_ for _ in ()).throw(OSError(5, "I/O")))
    with pytest.raises(Refusal, match="the record was not touched"):
        restore(Home(tmp_path / "empty"), kept)
    assert os.listdir(tmp_path / "empty") == []


def test_a_backup_of_a_newer_program_is_refused(filled: Home, tmp_path: Path) -> None:
    from lacwright.shop.backup import back_up

    close_record()
    with closing(sqlite3.connect(filled.database)) as record:
        record.execute("INSERT INTO django_migrations (app, name, applied) "
                       "VALUES ('shop', '0999_later', '2099-01-01')")  # fmt: skip
        record.commit()
    newer = back_up(filled)
    with pytest.raises(Refusal, match=r"written by a newer lacwright \(0999_later\)"):
        restore(Home(tmp_path / "new"), newer)
    assert not Home(tmp_path / "new").record.exists()


def test_an_older_backup_is_said_to_be_one(
    kept: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from lacwright.shop import database_file

    monkeypatch.setattr(database_file, "known_migrations", lambda: {"0001_first", "0002_more"})
    assert restore(Home(tmp_path / "new"), kept).older


def test_a_disk_that_fails_at_the_swap_leaves_the_old_one(
    home: Home, kept: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    mine, real = shop_of(home), os.rename

    def rename(source: Any, to: Any) -> None:
        if Path(source) == home.incoming:
            raise OSError(5, "Input/output error")
        real(source, to)

    monkeypatch.setattr(os, "rename", rename)
    with pytest.raises(Refusal, match="the record was not touched"):
        restore(home, kept, overwrite=True)
    assert shop_of(home) == mine


# --- killed at every step -------------------------------------------------------------------------

KILLED = """
import os, signal, sys
from lacwright.shop.home import Home
from lacwright.shop.restore import restore
at, seen = int(sys.argv[3]), 0
def step(event, args):
    global seen
    if event in ("os.rename", "os.mkdir", "open", "os.remove", "os.rmdir"):
        text = str(args[0])
        if text.startswith(sys.argv[1]) and "lock" not in text:
            seen += 1
            if seen == at:
                os.kill(os.getpid(), signal.SIGKILL)
sys.addaudithook(step)
restore(Home(__import__("pathlib").Path(sys.argv[1])), sys.argv[2], overwrite=True)
print(seen)
"""


def run_killed(folder: Path, backup: Path, at: int) -> subprocess.CompletedProcess[str]:
    env = os.environ | {"PYTHONPATH": os.pathsep.join(sys.path)}
    return subprocess.run([sys.executable, "-c", KILLED, str(folder), str(backup), str(at)],
                          capture_output=True, text=True, env=env)  # fmt: skip


def test_killed_before_any_step_the_old_or_the_new_is_there_or_the_next_says_how_to_go_on(
    home: Home, kept: Path, tmp_path: Path
) -> None:
    mine = shop_of(home)
    whole = tmp_path / "whole"
    shutil.copytree(home.folder, whole)
    steps = int(run_killed(whole, kept, 0).stdout)
    assert shop_of(Home(whole)) == SHOP
    # The renames are the last steps but for tidying up; the unpacking before is all alike.
    outcomes = []
    for at in sorted({1, 3, *range(max(1, steps - 4), steps + 1)}):
        folder = tmp_path / f"at-{at}"
        shutil.copytree(home.folder, folder)
        done = run_killed(folder, kept, at)
        assert done.returncode == -signal.SIGKILL, done.stderr
        struck = Home(folder)
        if struck.half_restored:
            outcomes.append("between")
            with pytest.raises(Refusal, match="a restore was broken off") as refused:
                open_record(struck)
            assert "record restore" in str(refused.value)
            assert str(struck.set_aside[-1]) in str(refused.value)
            restore(struck, kept)
        else:
            outcomes.append("old" if shop_of(struck) == mine else "new")
        open_record(struck)
        close_record()
        restore(struck, kept, overwrite=True)
        assert shop_of(struck) == SHOP
    assert outcomes[0] == "old"
    assert {"old", "between", "new"} >= set(outcomes)
    assert "between" in outcomes


def test_after_a_broken_restore_the_old_one_can_be_renamed_back(home: Home, kept: Path) -> None:
    restore(home, kept, overwrite=True, now_us=NOW)
    shutil.rmtree(home.record)
    with pytest.raises(Refusal, match=r"rename .*before-restore-20270603T052000Z to 'record'"):
        open_record(home, create=False)
    home.set_aside[0].rename(home.record)
    open_record(home)
    close_record()


def test_files_come_back_too(filled: Home, tmp_path: Path) -> None:
    from lacwright.shop.backup import back_up

    (file,) = (path for path in filled.files.rglob("*") if path.is_file())
    path = back_up(filled, to=tmp_path)
    with tarfile.open(path) as tar:
        assert any(name.endswith(file.name) for name in tar.getnames())
    home = Home(tmp_path / "new")
    restore(home, path)
    assert (home.files / file.relative_to(filled.files)).read_bytes() == file.read_bytes()
    assert movements(home) == movements(filled)
