"""Restore: a backup takes the place of the record, by renaming whole folders.

Nothing of the old record is overwritten or deleted: it is put aside beside the new one. Broken off
at any moment, either the old or the new record is there; between the two renames neither is, and
the next opening says so and how to go on.
"""

from __future__ import annotations

import os
import sqlite3
from dataclasses import dataclass
from pathlib import Path

from lacwright.figures import Refusal
from lacwright.shop import clock, database_file, disk
from lacwright.shop import home as homes
from lacwright.shop.backup import DATABASE, Verified, examine, opened, unpack
from lacwright.shop.home import Home

KEPT = "the record was not touched"


@dataclass(frozen=True)
class Restored:
    """What a restore did, or would do.

    Parameters
    ----------
    backup : Verified
        What was brought back.
    aside : Path or None
        Where the old record lies now (or would).
    other_shop : bool
        Whether the old record was of another shop.
    older : bool
        Whether the backup is of an older version; it is brought up to date when it is next opened.
    dry_run : bool
        Whether nothing was changed.
    """

    backup: Verified
    aside: Path | None
    other_shop: bool
    older: bool
    dry_run: bool


def restore(
    home: Home, backup: str | Path, *, overwrite: bool = False, dry_run: bool = False,
    now_us: int | None = None, progress: disk.Progress = disk.quiet,
) -> Restored:  # fmt: skip
    """Put a backup in the place of the record.

    Parameters
    ----------
    home : Home
        The shop; nobody may have it open.
    backup : str or Path
        The file.
    overwrite : bool
        Whether a record that is there may be put aside.
    dry_run : bool
        Unpack and check everything, then leave all as it was.
    now_us : int, optional
        When, for the name of what is put aside.
    progress : callable
        Told how far it is.

    Raises
    ------
    Refusal
        If another program has the record open, there is one and `overwrite` was not said, or the
        backup is not whole or of a newer program.
    """
    path = Path(backup).expanduser().absolute()
    with opened(path) as reader, homes.alone(home, "restoring", dry_run=dry_run):
        database_file.refuse_newer(reader.manifest["migrations"], path.name)
        there = _is_there(home)
        if there and not overwrite and not dry_run:
            raise Refusal("record", f"there is one in {home.folder}",
                          "add --overwrite to put it aside and bring back the backup in its "
                          "place")  # fmt: skip
        unpacking = home.folder / "record.unpacking"
        with disk.plainly("restore", KEPT):
            disk.take_away(unpacking)  # of a restore that was broken off
            unpacking.mkdir(mode=0o700)
            disk.room_for(reader.size, home.folder, "restore", KEPT)
        try:
            with disk.plainly("restore", KEPT):
                unpack(reader, unpacking, progress)
                found = examine(reader, unpacking / DATABASE)
            if found.doubts:
                raise Refusal(
                    path.name,
                    "; ".join(found.doubts),
                    "use another backup; this one is "
                    "of a record that was changed from outside, and only evidence",
                )
            (unpacking / "record" / "files").mkdir(mode=0o700, exist_ok=True)
            moment = clock.from_us(clock.now_us() if now_us is None else now_us)
            aside = _aside(home, f"{moment:%Y%m%dT%H%M%SZ}") if there else None
            done = Restored(
                backup=found, aside=aside, other_shop=_shop(home) not in (None, found.shop),
                older=set(found.migrations) < database_file.known_migrations(), dry_run=dry_run,
            )  # fmt: skip
            if not dry_run:
                _swap(home, unpacking / "record", aside)
            return done
        finally:
            disk.take_away(unpacking)


def _swap(home: Home, new: Path, aside: Path | None) -> None:
    """Let a whole and checked record take its place; each step is on the disk before the next."""
    with disk.plainly("restore", KEPT):
        disk.take_away(home.incoming)  # of a restore that was broken off; the same can be had again
        os.rename(new, home.incoming)
        disk.sync_folder(home.folder)
    try:
        if aside is not None:
            os.rename(home.record, aside)
        elif home.record.exists():
            disk.take_away(home.record)  # empty folders
        os.rename(home.incoming, home.record)
        disk.sync_folder(home.folder)
    except OSError as error:
        if aside is not None and aside.exists() and not home.record.exists():
            os.rename(aside, home.record)
        disk.take_away(home.incoming)  # the backup has it
        raise disk.fault(error, "restore", KEPT) from None


def _is_there(home: Home) -> bool:
    """Return whether there is a record, or the rest of one: anything but empty folders."""
    return home.record.exists() and any(path.is_file() for path in home.record.rglob("*"))


def _aside(home: Home, moment: str) -> Path:
    stem = f"record.before-restore-{moment}"
    names = [stem, *(f"{stem}-{n}" for n in range(2, 1000))]
    return next(home.folder / name for name in names if not (home.folder / name).exists())


def _shop(home: Home) -> str | None:
    """Return which shop the old record is of, None where it does not tell."""
    try:
        with database_file.opened(home.database) as connection:
            return str(database_file.setting(connection, "shop"))
    except (sqlite3.Error, ValueError):
        return None
