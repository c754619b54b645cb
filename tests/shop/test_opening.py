"""Opening a record: made where there is none, updated after a backup, never deleted."""

from __future__ import annotations

import os
import shutil
import sqlite3
import subprocess
import sys
from collections.abc import Callable
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest

from lacwright.figures import Refusal
from lacwright.shop import Home, close_record, find_home, open_record
from lacwright.shop.home import InUse


def change(home: Home, sql: str) -> None:
    with closing(sqlite3.connect(home.database)) as record:
        record.executescript(sql)


def test_where_there_is_none_nothing_is_made_unless_asked(tmp_path: Path) -> None:
    home = find_home(tmp_path / "new")
    with pytest.raises(Refusal, match="there is none in"):
        open_record(home, create=False)
    assert not home.folder.exists()


def test_a_new_one_is_furnished(tmp_path: Path) -> None:
    home = open_record(find_home(tmp_path / "new"))
    from lacwright.shop.models import Lot, Place, Setting

    assert sorted(Setting.objects.values_list("key", flat=True)) == ["currency", "shop", "zone"]
    assert len(Setting.objects.get(key="shop").value) == 32
    assert sorted(Place.objects.values_list("key", flat=True)) == [
        "air", "store:not-said", "supplier", "unaccounted", "waste"]  # fmt: skip
    assert not Lot.objects.get().said
    assert not home.backups.exists()
    close_record()


def test_one_whose_making_was_broken_off_is_made_whole(home: Home, tmp_path: Path) -> None:
    """Killed after the tables, before what every record begins with; or before the tables."""
    change(home, "DELETE FROM shop_setting; DELETE FROM shop_lot; DELETE FROM shop_place;")
    open_record(home)
    from lacwright.shop.models import Setting

    assert Setting.objects.filter(key="zone").exists()
    close_record()
    bare = Home(tmp_path / "bare")
    bare.record.mkdir(parents=True)
    change(bare, "CREATE TABLE django_migrations (id INTEGER PRIMARY KEY, app TEXT, name TEXT, "
                 "applied TEXT)")  # fmt: skip
    open_record(bare)
    close_record()
    assert not bare.backups.exists()


def test_a_newer_one_is_refused_and_left_as_it_is(home: Home) -> None:
    change(home, "INSERT INTO django_migrations (app, name, applied) "
                 "VALUES ('shop', '0999_later', '2099-01-01')")  # fmt: skip
    was = home.database.read_bytes()
    with pytest.raises(Refusal, match=r"written by a newer lacwright \(0999_later\)") as refused:
        open_record(home)
    assert "install that version or a later one" in str(refused.value)
    assert home.database.read_bytes() == was


def unapply(home: Home) -> None:
    """Make the record one of an older version: without the last index."""
    change(home, """
        DROP INDEX event_order;
        UPDATE django_migrations SET name = '0000_older' WHERE app = 'shop';
    """)  # fmt: skip


@pytest.fixture
def migrations(monkeypatch: pytest.MonkeyPatch) -> Callable[[], None]:
    """Return what lets the program know an older version and the step from it to this one."""
    from django.db import migrations as m
    from django.db.migrations.loader import MigrationLoader

    class Older(m.Migration):
        initial = True

    class Newer(m.Migration):
        dependencies = (("shop", "0000_older"),)
        operations = (m.RunSQL("CREATE INDEX event_order ON shop_event (at_us, root_id)"),)

    real = MigrationLoader.load_disk

    def load(self: Any) -> None:
        real(self)
        self.disk_migrations = {("shop", "0000_older"): Older("0000_older", "shop"),
                                ("shop", "0001_first"): Newer("0001_first", "shop")}  # fmt: skip

    return lambda: monkeypatch.setattr(MigrationLoader, "load_disk", load)


def test_an_older_one_is_backed_up_and_brought_up_to_date(
    home: Home, migrations: Callable[[], None]
) -> None:
    from lacwright.shop.backup import backups, verify

    unapply(home)
    migrations()
    open_record(home)
    (before,) = backups(home)
    assert before.name.endswith("-before-update.tar")
    assert verify(before).migrations == ("0000_older",)
    from django.db import connection

    with connection.cursor() as cursor:
        cursor.execute("SELECT COUNT(*) FROM sqlite_master WHERE name = 'event_order'")
        assert cursor.fetchone() == (1,)
    close_record()
    open_record(home)
    close_record()
    assert backups(home) == [before]


def test_without_room_for_the_backup_it_is_not_updated(
    home: Home, migrations: Callable[[], None], monkeypatch: pytest.MonkeyPatch
) -> None:
    unapply(home)
    migrations()
    usage = shutil.disk_usage(home.folder)._replace(free=5_000)
    monkeypatch.setattr(shutil, "disk_usage", lambda path: usage)
    with pytest.raises(Refusal, match="no backup was made"):
        open_record(home)
    with closing(sqlite3.connect(home.database)) as record:
        names = record.execute("SELECT name FROM django_migrations WHERE app = 'shop'").fetchall()
    assert names == [("0000_older",)]


def test_it_is_not_updated_while_another_program_has_it_open(
    home: Home, migrations: Callable[[], None], monkeypatch: pytest.MonkeyPatch
) -> None:
    from lacwright.shop import opening

    monkeypatch.setattr(opening, "WAIT_S", 0.1)
    unapply(home)
    migrations()
    used = InUse(home)
    with pytest.raises(Refusal, match="bringing it up to date needs it alone"):
        open_record(home)
    used.let_go()
    open_record(home)
    close_record()


@pytest.mark.parametrize(
    ("harm", "says"),
    [
        (lambda data: b"not a database at all, " * 999, "file is not a database"),
        (lambda data: data[:100] + b"\xff" * 4000 + data[4100:], "cannot be read"),
        (lambda data: data[:5000], "cannot be read|is damaged"),
    ],
)
def test_a_damaged_one_is_refused_plainly_and_kept(
    home: Home, harm: Callable[[bytes], bytes], says: str
) -> None:
    bad = harm(home.database.read_bytes())
    home.database.write_bytes(bad)
    with pytest.raises(Refusal, match=says) as refused:
        open_record(home)
    assert "record restore" in str(refused.value)
    assert home.database.read_bytes() == bad


def test_another_programs_database_is_left_alone(home: Home) -> None:
    home.database.unlink()
    change(home, "CREATE TABLE songs (name TEXT); INSERT INTO songs VALUES ('x');")
    with pytest.raises(Refusal, match="is a database, but no record"):
        open_record(home)
    with closing(sqlite3.connect(home.database)) as other:
        assert other.execute("SELECT name FROM sqlite_master").fetchall() == [("songs",)]


def test_damage_that_shows_only_later_is_no_internal_fault(
    home: Home, capsys: pytest.CaptureFixture[str]
) -> None:
    from lacwright.cli.main import run

    with closing(sqlite3.connect(home.database)) as record:
        (root,) = record.execute(
            "SELECT rootpage FROM sqlite_master WHERE name = 'shop_movement'"
        ).fetchone()
    data = bytearray(home.database.read_bytes())
    data[(root - 1) * 4096 : root * 4096] = b"\xff" * 4096
    home.database.write_bytes(data)
    assert run(["record", "log", "--home", str(home.folder)]) == 2
    told = capsys.readouterr()
    assert told.out == ""
    assert "malformed" in told.err
    assert "record restore" in told.err
    assert told.err.count("\n") == 1


def test_two_programs_that_begin_at_once_make_one_record_in_their_zone(tmp_path: Path) -> None:
    run = (
        "from lacwright.shop import *; open_record(find_home(__import__('sys').argv[1]));"
        "from lacwright.shop.models import Setting;"
        "print(sorted(Setting.objects.values_list('key', 'value')))"
    )
    env = os.environ | {"PYTHONPATH": os.pathsep.join(sys.path), "TZ": "Europe/Vienna"}
    both = [subprocess.Popen([sys.executable, "-c", run, str(tmp_path / "new")], text=True,
                             stdout=subprocess.PIPE, env=env) for _ in range(2)]  # fmt: skip
    said = [process.communicate(timeout=60)[0] for process in both]
    assert [process.returncode for process in both] == [0, 0]
    assert said[0] == said[1]
    assert "('zone', 'Europe/Vienna')" in said[0]
