"""A backup holds all of the record at one moment, and is checked before it gets its name."""

from __future__ import annotations

import errno
import io
import json
import os
import shutil
import sqlite3
import tarfile
import threading
from collections.abc import Callable
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest

from lacwright.figures import Refusal
from lacwright.shop import Home, find_home
from lacwright.shop.backup import DATABASE, KEEP, back_up, backups, is_sound, summary, verify
from lacwright.shop.restore import restore

NOW = 1_812_000_000_000_000


def members(path: Path) -> dict[str, bytes]:
    with tarfile.open(path) as tar:
        return {m.name: tar.extractfile(m).read() for m in tar.getmembers()}  # type: ignore[union-attr]


def test_it_holds_the_database_the_files_and_a_manifest(filled: Home) -> None:
    path = back_up(filled, now_us=NOW, why="before-update")
    assert path == filled.backups / "lacwright-20270603T052000Z-before-update.tar"
    assert path.stat().st_mode & 0o777 == 0o600
    held = members(path)
    (file,) = (name for name in held if name.startswith("record/files/"))
    assert sorted(held) == sorted(["manifest.json", DATABASE, file])
    manifest = json.loads(held["manifest.json"])
    assert manifest["why"] == "before-update"
    assert manifest["made"] == "2027-06-03T05:20:00+00:00"
    assert manifest["migrations"] == ["0001_first"]
    assert manifest["shop"] == "0123456789abcdef0123456789abcdef"
    assert manifest["members"][DATABASE]["size"] == len(held[DATABASE])
    told = verify(path)
    assert (told.files, told.missing_files, told.made_us) == (1, (), NOW)
    assert os.listdir(filled.backups) == [path.name]


def test_it_is_made_while_others_write(filled: Home) -> None:
    """A writer goes on in another thread; every backup is a record at one moment."""
    from lacwright.shop.ledger import grams
    from lacwright.shop.services.lots import add_lot
    from lacwright.shop.writing import Entry

    stop = threading.Event()
    written = []

    def write() -> None:
        from django.db import connection

        while not stop.is_set() and len(written) < 500:
            name = f"lot {len(written)}"
            add_lot(name=name, kind="flakes", amount=grams(1), entry=Entry())
            written.append(name)
        connection.close()

    thread = threading.Thread(target=write)
    thread.start()
    try:
        made = [back_up(filled) for _ in range(4)]
    finally:
        stop.set()
        thread.join()
    rows = [verify(path).rows for path in made]
    counts = [row["shop_lot"] for row in rows]
    assert counts == sorted(counts)
    assert written
    # Each lot came in one request: never one without the other.
    first = rows[0]["shop_lot"] - rows[0]["shop_request"]
    assert all(row["shop_lot"] - row["shop_request"] == first for row in rows)
    assert backups(filled) == sorted(made)


def test_a_folder_can_be_named_but_not_in_the_record(filled: Home, tmp_path: Path) -> None:
    assert back_up(filled, to=tmp_path / "stick" / "shop").parent == tmp_path / "stick" / "shop"
    for inside in (filled.record, filled.files / "x"):
        with pytest.raises(Refusal, match="inside the record itself"):
            back_up(filled, to=inside)


@pytest.mark.parametrize(
    ("to", "says"),
    [
        ("file", "file is a file, not a folder; no backup was made; the record was not touched; "
         "name a folder."),
        ("file/in/it", "file is a file, not a folder"),
        ("/dev/null", "--to: /dev/null is a device, not a folder; no backup was made"),
        ("/dev/null/x", "--to: /dev/null is a device, not a folder"),
        ("gone", "gone is a link to nothing, not a folder"),
        ("", "--to: no folder is named; no backup was made"),
        (" ", "--to: no folder is named"),
    ],
)  # fmt: skip
def test_where_no_folder_can_be_is_said(
    filled: Home, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, to: str, says: str
) -> None:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "file").write_text("")
    (tmp_path / "gone").symlink_to("nowhere")
    there = sorted(tmp_path.rglob("*"))
    for asked in (lambda: back_up(filled, to=to), lambda: summary(filled, to)):
        with pytest.raises(Refusal) as refused:
            asked()
        assert says in str(refused.value)
        assert "fault" not in str(refused.value)
    assert sorted(tmp_path.rglob("*")) == there


def test_its_own_folder_may_be_in_the_way_too(filled: Home) -> None:
    filled.backups.write_text("")
    with pytest.raises(Refusal, match=r"backup: .*backups is a file, .* folder with --to"):
        back_up(filled)


@pytest.mark.parametrize("step", ["copy", "pack"])
def test_a_disk_that_is_full_leaves_nothing(
    filled: Home, monkeypatch: pytest.MonkeyPatch, step: str
) -> None:
    """Of "pack" the file itself has no room, as on a full disk: not even closing it works."""
    from lacwright.shop import database_file, pack

    def full(*_: Any) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    class OnAFullDisk(pack.Writer):
        def __init__(self, target: Path) -> None:
            super().__init__(target)
            with open("/dev/full", "wb") as device:
                os.dup2(device.fileno(), self._file.fileno())

    if step == "pack" and not os.path.exists("/dev/full"):
        pytest.skip("this system has no device that is always full")
    if step == "copy":
        monkeypatch.setattr(database_file, "copy", full)
    else:
        monkeypatch.setattr(pack, "Writer", OnAFullDisk)
    with pytest.raises(Refusal, match="the disk is full") as refused:
        back_up(filled)
    assert "no backup was made; the record was not touched; make room" in str(refused.value)
    assert os.listdir(filled.backups) == []


def test_two_in_one_second_have_two_names(filled: Home) -> None:
    one, two = back_up(filled, now_us=NOW), back_up(filled, now_us=NOW)
    assert [one.name, two.name] == [
        "lacwright-20270603T052000Z.tar",
        "lacwright-20270603T052000Z-2.tar",
    ]


def test_lost_and_damaged_files_are_named_and_the_rest_is_kept(filled: Home) -> None:
    (file,) = (path for path in filled.files.rglob("*") if path.is_file())
    file.write_bytes(b"something else")
    told = verify(back_up(filled))
    assert (told.files, told.missing_files) == (0, (file.name,))
    file.unlink()
    assert verify(back_up(filled)).missing_files == (file.name,)


def test_no_room_is_told_before_it_begins(
    filled: Home, monkeypatch: pytest.MonkeyPatch
) -> None:  # fmt: skip
    usage = shutil.disk_usage(filled.folder)._replace(free=5_000)
    monkeypatch.setattr(shutil, "disk_usage", lambda path: usage)
    with pytest.raises(Refusal, match=r"it needs about .* MB, 0\.0 MB are free"):
        back_up(filled)
    assert not list(filled.backups.iterdir())


def tamper(home: Home) -> None:
    with closing(sqlite3.connect(home.database)) as record:
        record.execute("UPDATE shop_movement SET author = 'somebody else' WHERE id = 5")
        record.commit()


def test_a_record_that_cannot_be_read_gives_no_backup(filled: Home) -> None:
    size = filled.database.stat().st_size
    with filled.database.open("r+b") as stream:
        for page in range(4096, size, 4096):
            stream.seek(page)
            stream.write(b"\xff" * 64)
    with pytest.raises(Refusal, match=r"damaged|cannot be read|cannot be relied on"):
        back_up(filled)
    assert not backups(filled)


def test_a_record_that_was_changed_from_outside_is_kept_as_evidence(
    filled: Home, tmp_path: Path
) -> None:  # fmt: skip
    tamper(filled)
    path = back_up(filled, now_us=NOW)
    assert (path.name, is_sound(path)) == ("lacwright-20270603T052000Z-damaged.tar", False)
    (doubt,) = verify(path).doubts
    assert "the seal of 1 movements does not fit (first: 5)" in doubt
    assert DATABASE in members(path)
    again = back_up(filled, now_us=NOW, why="before-rebuild")
    assert again.name == "lacwright-20270603T052000Z-before-rebuild-damaged.tar"
    assert backups(filled) == sorted([path, again])
    with pytest.raises(Refusal, match="seal of 1 movements does not fit") as refused:
        restore(find_home(tmp_path / "another"), path)
    assert "only evidence" in str(refused.value)
    assert not find_home(tmp_path / "another").exists


def test_of_its_own_backups_the_program_keeps_the_newest(filled: Home) -> None:
    asked = back_up(filled, now_us=NOW)
    named = back_up(filled, now_us=NOW, why="friday")
    made = []
    for day in range(1, 13):
        why = "before-update" if day % 2 else "before-rebuild"
        made.append(back_up(filled, now_us=NOW + day * 86_400_000_000, why=why))
    assert backups(filled) == sorted([asked, named, *made[2:]])
    assert KEEP == 10


def test_what_is_in_doubt_pushes_no_good_backup_out(filled: Home) -> None:
    good = [back_up(filled, now_us=NOW + n * 10**6, why="before-update") for n in range(10)]
    tamper(filled)
    odd = [back_up(filled, now_us=NOW + n * 10**6, why="before-update") for n in (20, 21)]
    assert backups(filled) == sorted(good + odd)


def test_what_was_left_by_one_that_was_broken_off_is_taken_away_a_day_after(filled: Home) -> None:
    back_up(filled, now_us=NOW)
    old, new = (filled.backups / f".lacwright-{n}.tar.77.part" for n in (1, 2))
    old.write_bytes(b"x")
    new.write_bytes(b"x")
    os.utime(old, (1, 1))
    back_up(filled, now_us=NOW + 10**7)
    assert not old.exists()
    assert new.exists()
    assert len(backups(filled)) == 2


def test_an_older_version_can_be_backed_up(filled: Home) -> None:
    """The tables of this version need not be there: a backup comes before an update."""
    with closing(sqlite3.connect(filled.database)) as record:
        record.executescript("DROP TABLE shop_flow; ALTER TABLE shop_lot DROP COLUMN said;")
    told = verify(back_up(filled, why="before-update"))
    assert "shop_flow" not in told.rows


# --- a backup is not trusted ----------------------------------------------------------------------


def rewrite(path: Path, change: Callable[[dict[str, bytes]], None], **heads: Any) -> Path:
    """Write a backup anew with other members."""
    held = members(path)
    change(held)
    out = path.with_name("other.tar")
    with tarfile.open(out, "w") as tar:
        for name, data in held.items():
            head = tarfile.TarInfo(name)
            head.size = len(data)
            tar.addfile(head, io.BytesIO(data))
        for name, (kind, link) in heads.items():
            head = tarfile.TarInfo(name)
            head.type, head.linkname = kind, link
            tar.addfile(head)
    return out


def edit(held: dict[str, bytes], **told: Any) -> None:
    held["manifest.json"] = json.dumps(json.loads(held["manifest.json"]) | told).encode()


def flip(held: dict[str, bytes], name: str) -> None:
    data = bytearray(held[name])
    data[len(data) // 2] ^= 1
    held[name] = bytes(data)


@pytest.mark.parametrize(
    ("change", "says"),
    [
        (lambda h: flip(h, DATABASE), "is damaged (its hash differs)"),
        (lambda h: h.pop("manifest.json"), "the list at its end is missing"),
        (lambda h: h.update({"manifest.json": b"[" * 9999}), "cannot be read"),
        (lambda h: edit(h, format="lacwright.backup/9"), "it is of form lacwright.backup/9"),
        (lambda h: edit(h, format="lacwright.archive/1"), "it is no backup, but a lacwright.arch"),
        (lambda h: edit(h, members={}), "holds more than its list says"),
        (lambda h: edit(h, rows=None), "it holds no record"),
        (lambda h: edit(h, rows={"shop_lot": 1}), "has not the rows that its list says"),
        (lambda h: edit(h, migrations=["0001_first", "0002_x"]), "of another version"),
        (lambda h: edit(h, missing_files=["ab"]), "0 files that the record refers to are missing"),
        (lambda h: h.update({"../outside": b""}), "'../outside' is nothing that belongs in it"),
        (lambda h: h.update({"/etc/passwd": b""}), "is nothing that belongs in it"),
        (lambda h: h.update({"record/files/a": b""}), "is nothing that belongs in it"),
        (lambda h: h.pop(DATABASE), "is missing in it"),
    ],
)  # fmt: skip
def test_what_is_not_as_it_was_written_is_refused(
    kept: Path, tmp_path: Path, change: Callable[[dict[str, bytes]], None], says: str
) -> None:
    path = shutil.copy(kept, tmp_path)
    with pytest.raises(Refusal) as refused:
        verify(rewrite(Path(path), change))
    assert says in str(refused.value)


@pytest.mark.parametrize("kind", [tarfile.SYMTYPE, tarfile.LNKTYPE, tarfile.DIRTYPE,
                                  tarfile.CHRTYPE, tarfile.FIFOTYPE])  # fmt: skip
def test_links_and_devices_are_refused(kept: Path, tmp_path: Path, kind: bytes) -> None:
    path = shutil.copy(kept, tmp_path)
    odd = rewrite(Path(path), lambda held: None, **{"record/files": (kind, "/etc")})
    with pytest.raises(Refusal, match="is no plain file"):
        verify(odd)


@pytest.mark.parametrize("size", [0, 100, 513, 5_000, 100_000])
def test_one_that_was_cut_off_is_refused(kept: Path, tmp_path: Path, size: int) -> None:
    cut = tmp_path / "cut.tar"
    cut.write_bytes(kept.read_bytes()[:size])
    with pytest.raises(Refusal):
        verify(cut)


def test_a_database_that_would_do_something_is_refused(kept: Path, tmp_path: Path) -> None:
    """A trigger in a foreign database would run when the record is written."""
    from lacwright.shop import database_file

    database = tmp_path / "shop.sqlite3"
    database.write_bytes(members(kept)[DATABASE])
    with closing(sqlite3.connect(database)) as record:
        record.execute("CREATE TRIGGER t AFTER INSERT ON shop_lot BEGIN DELETE FROM shop_lot; END")
    with database_file.opened(database) as record:
        assert database_file.faults(record) == ["it holds what no record holds (t)"]


def test_no_record_no_backup(tmp_path: Path) -> None:
    with pytest.raises(Refusal, match="there is none"):
        back_up(Home(tmp_path))
    with pytest.raises(Refusal, match="no such file"):
        verify(tmp_path / "nothing.tar")
