"""Backup: one tar with the database as it was at one moment and every file it refers to.

It is made while others read and write: the database in one step, then the files, which never
change once they are there. It is opened and checked before it gets its name. A record that can be
read but was changed from outside is backed up all the same, and the name says it: the copy may be
the only evidence. Of the backups that the program makes by itself the newest are kept.
"""

from __future__ import annotations

import contextlib
import os
import re
import sqlite3
import tempfile
import time
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from lacwright import __version__
from lacwright.figures import Refusal
from lacwright.shop import clock, database_file, disk, pack
from lacwright.shop.files_store import path_of
from lacwright.shop.home import Home

FORMAT = "lacwright.backup/1"
DATABASE = "record/shop.sqlite3"
FILES = "record/files/"
NAMES = r"record/shop\.sqlite3|record/files/([0-9a-f]{2})/([0-9a-f]{2})/\1\2[0-9a-f]{60}"
KEPT = "no backup was made; the record was not touched"
AUTOMATIC = ("before-update", "before-rebuild")
"""Why the program makes a backup by itself; one that somebody asked for is never taken away."""
KEEP = 10
"""So many of those are kept, the newest; none that is in doubt is taken away."""
DAMAGED = "damaged"
"""The end of the name of a backup of a record that is not as the program wrote it."""
_STALE_S = 86_400
_NAME = re.compile(r"lacwright-\d{8}T\d{6}Z(?:-([a-z-]+))?(?:-\d+)?\.tar")


@dataclass(frozen=True)
class Verified:
    """A backup that was opened and found whole.

    `doubts` says what in the record was not as the program wrote it; empty if all was.
    """

    path: Path
    size: int
    made_us: int
    program: str
    migrations: tuple[str, ...]
    shop: str
    why: str
    rows: Mapping[str, int]
    files: int
    missing_files: tuple[str, ...]
    doubts: tuple[str, ...] = ()


def back_up(
    home: Home, *, to: str | Path | None = None, why: str = "", now_us: int | None = None,
    progress: disk.Progress = disk.quiet,
) -> Path:  # fmt: skip
    """Make a backup, check it, and return where it lies.

    Of those that are made before an update or a rebuild the newest ten in the shop's own folder
    are kept. Where the record is not as the program wrote it, `is_sound` of the path is false.

    Parameters
    ----------
    home : Home
        The shop; others may have it open.
    to : str or Path, optional
        Folder for it; the shop's own folder of backups if not given.
    why : str
        For the manifest; of small letters and hyphens it becomes part of the name.
    now_us : int, optional
        When; now if not given.
    progress : callable
        Told how far it is.

    Raises
    ------
    Refusal
        If there is no record, no room, or what was written cannot be relied on.
    """
    if not home.exists:
        raise Refusal("record", f"there is none in {home.folder}", "name its folder with --home")
    folder = _folder_of(home, to)
    made_us = clock.now_us() if now_us is None else now_us
    where = "backup" if to is None else "--to"
    with disk.plainly(where, KEPT):
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        _tidy(folder)
        target = _free_name(folder, made_us, why)
        whole = home.database.stat().st_size
        disk.room_for(2 * whole, folder, where, KEPT)
        path = _write(home, target, made_us, why, progress)
    if to is None and why in AUTOMATIC and is_sound(path):
        _take_old_away(home, but=path)
    return path


def verify(path: Path, *, progress: disk.Progress = disk.quiet) -> Verified:
    """Open a backup and check everything in it.

    Raises
    ------
    Refusal
        If anything is not as it should be.
    """
    kept = "nothing was changed"
    with disk.plainly(path.name, kept), tempfile.TemporaryDirectory(
        prefix=".lacwright-", dir=path.parent if _may_write(path.parent) else None
    ) as temporary, opened(path) as reader:  # fmt: skip
        disk.room_for(reader.members[DATABASE].size, Path(temporary), path.name, kept)
        unpack(reader, Path(temporary), progress, files=False)
        return examine(reader, Path(temporary) / DATABASE)


def opened(path: Path) -> pack.Reader:
    """Open a backup; what it says about itself and its members are checked.

    Raises
    ------
    Refusal
        If it is none, or cannot be read.
    """
    with disk.plainly(str(path), "nothing was changed"):
        reader = pack.Reader(path, format=FORMAT, names=NAMES)
    told = reader.manifest
    shape = {"migrations": list, "rows": dict, "missing_files": list, "made_us": int,
             "program": str, "shop": str, "why": str}  # fmt: skip
    if DATABASE not in reader.members or any(
        not isinstance(told.get(name), kind) for name, kind in shape.items()
    ):
        reader.__exit__()
        raise Refusal(path.name, "it holds no record", "use another backup")
    return reader


def unpack(
    reader: pack.Reader, to: Path, progress: disk.Progress, *, files: bool = True
) -> None:  # fmt: skip
    """Write the members of a backup into a folder, hashes compared, through to the disk.

    Parameters
    ----------
    reader : Reader
        The backup.
    to : Path
        An empty folder.
    progress : callable
        Told how far it is.
    files : bool
        False: write the database alone, only read the rest.
    """
    done, whole = 0, reader.size
    folders = {to}
    for name, member in reader.members.items():
        path = to / name
        if files or name == DATABASE:
            path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
            folders |= {path.parent, path.parent.parent}
            with path.open("xb") as stream:
                path.chmod(0o600)
                reader.copy(name, stream)
                if files:
                    disk.sync(stream)
        else:
            reader.copy(name, None)
        if name != DATABASE and member.sha256 != path.name:
            raise Refusal(reader.path.name, f"{name} in it is not what its name says",
                          "use another backup")  # fmt: skip
        done += member.size
        progress("checking", done, whole)
    for folder in folders:
        disk.sync_folder(folder)


def examine(reader: pack.Reader, database: Path) -> Verified:
    """Check the database of a backup against its manifest.

    Raises
    ------
    Refusal
        If it cannot be relied on.
    """
    told = reader.manifest
    try:
        with database_file.opened(database) as connection:
            wrong = database_file.faults(connection)
            if not wrong and database_file.rows(connection) != told["rows"]:
                wrong = ["it has not the rows that its list says"]
            if not wrong and database_file.migrations(connection) != told["migrations"]:
                wrong = ["it is of another version than its list says"]
            wanted = {} if wrong else database_file.files(connection)
            doubts = () if wrong else tuple(database_file.doubts(connection))
    except sqlite3.Error as error:
        wrong, wanted, doubts = [f"the database in it cannot be read ({error})"], {}, ()
    there = {name.rpartition("/")[2] for name in reader.members if name.startswith(FILES)}
    missing = sorted(wanted.keys() - there)
    if not wrong and missing != sorted(told["missing_files"]):
        wrong = [f"{len(missing)} files that the record refers to are missing in it"]
    if wrong:
        raise Refusal(reader.path.name, "; ".join(wrong), "use another backup")
    return Verified(
        path=reader.path, size=reader.path.stat().st_size, made_us=told["made_us"],
        program=told["program"], migrations=tuple(told["migrations"]), shop=told["shop"],
        why=told["why"], rows=told["rows"], files=len(there), missing_files=tuple(missing),
        doubts=doubts,
    )  # fmt: skip


def backups(home: Home) -> list[Path]:
    """Return the backups in the shop's own folder, the oldest first."""
    if not home.backups.is_dir():
        return []
    return sorted(path for path in home.backups.iterdir() if _NAME.fullmatch(path.name))


def is_sound(path: Path) -> bool:
    """Return whether the record was as the program wrote it, as the name of a backup says."""
    named = _NAME.fullmatch(path.name)
    return named is None or not (named[1] or "").endswith(DAMAGED)


def _take_old_away(home: Home, *, but: Path) -> None:
    """Take away what the program made by itself and what is not among the newest."""
    mine = [path for path in backups(home) if (named := _NAME.fullmatch(path.name)) is not None
            and named[1] in AUTOMATIC]  # fmt: skip
    for path in mine[:-KEEP]:
        if path != but:
            with contextlib.suppress(OSError):  # it is only in the way
                path.unlink()


def summary(home: Home, to: str | Path | None = None) -> dict[str, Any]:
    """Return what a backup would be: where, how large, of how many files.

    Raises
    ------
    Refusal
        If no backup can lie there, or the record cannot be read.
    """
    folder = _folder_of(home, to)
    try:
        with database_file.opened(home.database) as connection:
            wanted = database_file.files(connection)
    except sqlite3.Error as error:
        raise unreadable(error) from None
    sizes = [path_of(home, sha).stat().st_size for sha in wanted if path_of(home, sha).is_file()]
    return {"folder": str(folder), "size_bytes": home.database.stat().st_size + sum(sizes),
            "files": len(sizes)}  # fmt: skip


def _folder_of(home: Home, to: str | Path | None) -> Path:
    """Return the folder for a backup.

    Raises
    ------
    Refusal
        If none is named, something that is no folder stands in the way, or it lies in the record.
    """
    where, mend = "--to", f"{KEPT}; name a folder"
    if to is None:
        folder, where, mend = home.backups, "backup", f"{KEPT}; move it away, or name a folder"
        mend += " with --to"
    elif not str(to).strip():
        raise Refusal(where, "no folder is named",
                      f"{mend}, or leave it out: then the backup goes to {home.backups}",
                      )  # fmt: skip
    else:
        folder = Path(to).expanduser().absolute()
    with disk.plainly(where, KEPT):
        # The nearest thing that is there: in anything but a folder no folder can be made.
        there = next(path for path in (folder, *folder.parents) if os.path.lexists(path))
        if not there.is_dir():
            kind = "a file" if there.is_file() else "a link to nothing" if there.is_symlink() else (
                "a device"
            )  # fmt: skip
            raise Refusal(where, f"{there} is {kind}, not a folder", mend)
    if home.record.resolve() in (folder.resolve(), *folder.resolve().parents):
        raise Refusal(where, "it lies inside the record itself", f"{mend} outside of it")
    return folder


def _write(
    home: Home, target: Path, made_us: int, why: str, progress: disk.Progress
) -> Path:  # fmt: skip
    writer = pack.Writer(target)
    try:
        with tempfile.TemporaryDirectory(prefix=".lacwright-", dir=target.parent) as temporary:
            manifest = _fill(writer, home, Path(temporary) / "shop.sqlite3", progress)
        manifest |= {"made_us": made_us, "made": clock.from_us(made_us).isoformat(), "why": why}
        part = writer.close({"format": FORMAT, "program": __version__, **manifest})
        try:
            doubts = verify(part, progress=progress).doubts
        except Refusal as refusal:
            raise Refusal("backup", f"what was written cannot be relied on: {refusal.what}",
                          f"{KEPT}; run 'lacwright record audit', and stop every lacwright and "
                          f"copy the folder {home.record} by hand") from None  # fmt: skip
        if doubts:
            writer.target = _free_name(target.parent, made_us, why, DAMAGED)
        return writer.name()
    except BaseException:
        writer.drop()
        raise


def _fill(
    writer: pack.Writer, home: Home, copy: Path, progress: disk.Progress
) -> dict[str, Any]:  # fmt: skip
    """Put the database and the files into the pack; return what the manifest says of them."""
    try:
        progress("copying the database", 0, 1)
        database_file.copy(home.database, copy)
        with database_file.opened(copy) as connection:
            manifest: dict[str, Any] = {
                "migrations": database_file.migrations(connection),
                "shop": str(database_file.setting(connection, "shop") or ""),
                "rows": database_file.rows(connection),
            }
            wanted = database_file.files(connection)
    except sqlite3.Error as error:
        raise unreadable(error) from None
    there = {sha: path for sha in wanted if (path := path_of(home, sha)).is_file()}
    sizes = {sha: path.stat().st_size for sha, path in there.items()}
    whole = copy.stat().st_size + sum(sizes.values())
    disk.room_for(whole + copy.stat().st_size, writer.target.parent, "backup", KEPT)
    writer.add_file(DATABASE, copy, lambda n: progress("writing", n, whole))
    done, damaged = copy.stat().st_size, []
    for sha, path in there.items():
        if disk.hash_of(path) != sha:
            damaged.append(sha)  # told, and left out: the rest is worth keeping
            continue
        writer.add_file(f"record/{path.relative_to(home.record).as_posix()}", path)
        done += sizes[sha]
        progress("writing", done, whole)
    manifest["missing_files"] = sorted((wanted.keys() - there.keys()) | set(damaged))
    return manifest


def unreadable(error: sqlite3.Error) -> Refusal:
    """Return what to say of a database that cannot be copied."""
    text = str(error)
    if "locked" in text or "busy" in text:
        return Refusal("backup", "another program is writing and did not finish in 30 s",
                       f"{KEPT}; try again")  # fmt: skip
    if "full" in text:
        return Refusal("backup", "the disk is full",
                       f"{KEPT}; make room, or name another with --to")  # fmt: skip
    return Refusal("backup", f"the record cannot be read ({text})",
                   f"{KEPT}; run 'lacwright record audit'")  # fmt: skip


def _free_name(folder: Path, made_us: int, *why: str) -> Path:
    stem = f"lacwright-{clock.from_us(made_us):%Y%m%dT%H%M%SZ}"
    stem += "".join(f"-{word}" for word in why if re.fullmatch(r"[a-z-]{1,30}", word))
    names = [f"{stem}.tar", *(f"{stem}-{n}.tar" for n in range(2, 1000))]
    return next(folder / name for name in names if not (folder / name).exists())


def _tidy(folder: Path) -> None:
    """Take away what a backup left that was broken off, a day after."""
    for path in folder.glob(".lacwright-*"):
        with contextlib.suppress(OSError):
            if time.time() - path.stat().st_mtime > _STALE_S:
                disk.take_away(path)


def _may_write(folder: Path) -> bool:
    try:
        with tempfile.TemporaryFile(dir=folder):
            return True
    except OSError:
        return False
