"""Export and import: the whole shop as one open archive, which an empty shop takes in whole.

A plain tar: `tables/NN-name.jsonl`, one JSON array a line under a first line that names table,
columns and version; `files/`, each named by its hash; `README.txt`; `manifest.json` with the hash
of every member. The indexes are left out: they are made anew.
"""

from __future__ import annotations

import hashlib
import io
import re
import tempfile
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from django.db import DatabaseError, connection, models, transaction

from lacwright import __version__
from lacwright.figures import Refusal
from lacwright.shop import clock, database_file, disk, pack
from lacwright.shop.audit import audit
from lacwright.shop.files_store import path_of
from lacwright.shop.home import Home
from lacwright.shop.ledger import NOT_SAID
from lacwright.shop.models import File, Lot, Place, Setting
from lacwright.shop.reading import snapshot
from lacwright.shop.rebuild import rebuild_indexes
from lacwright.shop.seals import canonical
from lacwright.shop.tables import (
    CHUNK,
    TABLES,
    RowReader,
    body_fault,
    columns,
    content_hash,
    decode,
    rows,
)
from lacwright.shop.writing import fault_of_the_disk

FORMAT = "lacwright.archive/1"
NAMES = (r"README\.txt|tables/\d\d-[a-z]+\.jsonl"
         r"|files/([0-9a-f]{2})/([0-9a-f]{2})/\1\2[0-9a-f]{60}")  # fmt: skip
LONGEST = 64_000_000
"""Bytes in a line of a table."""
KEPT = "nothing was taken in"
README = """The record of a shop, written by lacwright.

tables/NN-NAME.jsonl  One table each, in the order in which rows refer to rows. The first line says
                      table, columns and version; every other line is one row, a JSON array.
files/                Photos and papers, each named by the SHA-256 of its content.
manifest.json         The SHA-256 and the size of every other member.

Times (..._us) are microseconds since 1970-01-01 00:00 UTC; masses (ug) are micrograms, of what is
counted millionths of a piece. Whole numbers are exact: read them as integers of 64 bits.
"""


@dataclass(frozen=True)
class Exported:
    """What an export wrote."""

    path: Path
    size: int
    content: str
    rows: dict[str, int]
    files: int
    missing_files: tuple[str, ...]


@dataclass(frozen=True)
class Imported:
    """What an import took in, or would."""

    content: str
    rows: dict[str, int]
    files: int
    missing_files: tuple[str, ...]
    dry_run: bool


def export(
    home: Home, target: str | Path, *, now_us: int | None = None,
    progress: disk.Progress = disk.quiet,
) -> Exported:  # fmt: skip
    """Write the record that is open into an archive.

    Parameters
    ----------
    home : Home
        Its folder.
    target : str or Path
        The file; it must not be there yet.
    now_us : int, optional
        When, for the manifest.
    progress : callable
        Told how far it is.

    Raises
    ------
    Refusal
        If the file is there, or cannot be written.
    """
    path = Path(target).expanduser().absolute()
    kept = "no archive was made"
    if path.exists():
        raise Refusal(path.name, "it is there already", "write another name")
    made_us = clock.now_us() if now_us is None else now_us
    with disk.plainly(path.name, kept):
        writer = pack.Writer(path)
        try:
            readme = README.encode()
            writer.add("README.txt", io.BytesIO(readme), len(readme))
            manifest = _dump(writer, progress)
            manifest |= {"missing_files": _add_files(writer, home, progress), "made_us": made_us,
                         "made": clock.from_us(made_us).isoformat()}  # fmt: skip
            part = writer.close({"format": FORMAT, "program": __version__, **manifest})
            with pack.Reader(part, format=FORMAT, names=NAMES) as reader:
                for name in reader.members:
                    reader.copy(name, None)
            writer.name()
        except BaseException:
            writer.drop()
            raise
        files = sum(name.startswith("files/") for name in writer.members)
        return Exported(path, path.stat().st_size, manifest["content"], manifest["rows"], files,
                        tuple(manifest["missing_files"]))  # fmt: skip


def import_archive(
    home: Home, source: str | Path, *, dry_run: bool = False,
    progress: disk.Progress = disk.quiet,
) -> Imported:  # fmt: skip
    """Take an archive into the empty record that is open, whole or not at all.

    Parameters
    ----------
    home : Home
        Its folder.
    source : str or Path
        The archive.
    dry_run : bool
        Check everything, then leave the record as it was.
    progress : callable
        Told how far it is.

    Raises
    ------
    Refusal
        If the record is not empty, or the archive is not whole, of a newer program, or does not
        pass the audit.
    """
    path = Path(source).expanduser().absolute()
    with disk.plainly(str(path), KEPT):
        reader = pack.Reader(path, format=FORMAT, names=NAMES)
    with reader:
        told = _told(reader)
        _refuse_strange(reader, told)
        new: list[Path] = []
        try:
            with transaction.atomic():
                _refuse_full()
                _load(reader, progress)
                # Before the record that refers to them counts.
                _take_files(reader, home, new, dry_run, progress)
                _check(reader, home, told, dry_run, progress)
                if dry_run:
                    transaction.set_rollback(True)
        except BaseException as error:
            _take_back(new)
            if isinstance(error, DatabaseError):
                raise fault_of_the_disk(error) from None
            if isinstance(error, OSError):
                raise disk.fault(error, "record", KEPT) from None
            raise
        files = sum(name.startswith("files/") for name in reader.members)
        return Imported(told["content"], told["rows"], files, tuple(told["missing_files"]), dry_run)


# --- out ----------------------------------------------------------------------------------------


def _dump(writer: pack.Writer, progress: disk.Progress) -> dict[str, Any]:
    """Write all tables as they are at one moment."""
    counts = {}
    with tempfile.TemporaryDirectory(prefix=".lacwright-", dir=writer.target.parent) as temporary:
        with snapshot():
            names = _migrations()
            for n, (name, table) in enumerate(TABLES.items(), 1):
                progress("tables", n, len(TABLES))
                dumped = Path(temporary) / f"{n:02}-{name}.jsonl"
                head = {"table": name, "columns": columns(table), "version": names[-1]}
                counts[name] = 0
                with dumped.open("w", encoding="utf-8", newline="\n") as out:
                    out.write(canonical(head) + "\n")
                    for row in rows(table):
                        out.write(canonical(row) + "\n")
                        counts[name] += 1
            content = content_hash()
            shop = Setting.objects.get(key="shop").value
        for dumped in sorted(Path(temporary).iterdir()):
            writer.add_file(f"tables/{dumped.name}", dumped)
    return {"migrations": names, "shop": shop, "rows": counts, "content": content}


def _add_files(writer: pack.Writer, home: Home, progress: disk.Progress) -> list[str]:
    """Add the files that are as they should be; return the hashes of those that are not."""
    wanted = dict(File.objects.order_by("sha256").values_list("sha256", "size"))
    missing, done, whole = [], 0, sum(wanted.values())
    for sha, size in wanted.items():
        path = path_of(home, sha)
        if path.is_file() and disk.hash_of(path) == sha:
            writer.add_file(path.relative_to(home.record).as_posix(), path)
        else:
            missing.append(sha)
        done += size
        progress("files", done, whole)
    return missing


def _migrations() -> list[str]:
    with connection.cursor() as cursor:
        cursor.execute("SELECT name FROM django_migrations WHERE app = 'shop' ORDER BY name")
        return [str(name) for (name,) in cursor.fetchall()]


# --- in -----------------------------------------------------------------------------------------


def _told(reader: pack.Reader) -> dict[str, Any]:
    """Return what an archive says of itself, checked."""
    told = reader.manifest
    shape = {"migrations": list, "rows": dict, "missing_files": list, "content": str}
    if any(not isinstance(told.get(name), kind) for name, kind in shape.items()) or not all(
        isinstance(told["rows"].get(name), int) for name in TABLES
    ):
        raise Refusal(reader.path.name, "the list at its end is not whole", "use another archive")
    database_file.refuse_newer([str(name) for name in told["migrations"]], reader.path.name)
    return told


def _refuse_strange(reader: pack.Reader, told: dict[str, Any]) -> None:
    """Compare what every table says of itself with the tables of this program, all before any."""
    by_name = _members(reader)
    if by_name.keys() != TABLES.keys():
        odd = ", ".join(sorted(by_name.keys() ^ TABLES.keys()))
        raise Refusal(reader.path.name, f"tables are missing or unknown ({odd})",
                      "use another archive")  # fmt: skip
    known: dict[str, set[Any]] = {}
    for name in TABLES:
        where = f"{reader.path.name}, {by_name[name]}"
        with reader.open(by_name[name]) as stream:
            try:
                head = _head(stream.readline(LONGEST), name)
            except (ValueError, RecursionError) as error:
                raise _unreadable(error, where) from None
        database_file.refuse_newer([head["version"]], where)
        if head["version"] != max(told["migrations"], default=None):
            raise Refusal(where, f"it is of version {head['version']}, the list at the end of the "
                          "archive says another", "use another archive")  # fmt: skip
        RowReader(name, head["columns"], known, where)


def _members(reader: pack.Reader) -> dict[str, str]:
    """Return the members that hold tables, by the name of the table."""
    return {re.sub(r"tables/\d\d-|\.jsonl", "", name): name for name in reader.members
            if name.startswith("tables/")}  # fmt: skip


def _head(line: bytes, name: str) -> dict[str, Any]:
    """Return what a table says of itself: its name, its columns, its version."""
    head = decode(line)
    if not isinstance(head, dict) or head.get("table") != name:
        raise ValueError("it is not the table that it should be")
    listed = head.get("columns")
    if not isinstance(listed, list) or not all(isinstance(column, str) for column in listed):
        raise ValueError("its columns are not said")
    if not isinstance(head.get("version"), str):
        raise ValueError("its version is not said")
    return head


def _unreadable(error: Exception, where: str) -> Refusal:
    if isinstance(error, Refusal):
        return error
    return Refusal(where, str(error) or "it is nested too deeply",
                   f"{KEPT}; use another archive")  # fmt: skip


def _refuse_full() -> None:
    others = [table for name, table in TABLES.items() if name not in ("setting", "place", "lot")]
    if (
        any(table._default_manager.exists() for table in others)
        or Lot.objects.exclude(key=NOT_SAID).exists()
    ):
        raise Refusal("record", "it is not empty",
                      "name an empty folder with --home, or bring back a backup with "
                      "'lacwright record restore'")  # fmt: skip


def _load(reader: pack.Reader, progress: disk.Progress) -> None:
    """Read all tables into the database, in their order, and make the indexes."""
    for first in (Lot, Place, Setting):  # what every record begins with comes with the archive
        first.objects.all().delete()
    by_name = _members(reader)
    known: dict[str, set[Any]] = {}
    for n, (name, table) in enumerate(TABLES.items(), 1):
        progress("tables", n, len(TABLES))
        some: list[models.Model] = []
        for row in _rows_of(reader, by_name[name], name, known):
            some.append(row)
            if len(some) == CHUNK:
                table._default_manager.bulk_create(some)
                some.clear()
        table._default_manager.bulk_create(some)
    try:
        rebuild_indexes(progress)
    except (KeyError, TypeError, ValueError, ArithmeticError) as error:
        raise Refusal(reader.path.name, f"its movements name what it does not hold ({error})",
                      f"{KEPT}; use another archive") from None  # fmt: skip
    _mend_sequences()


def _rows_of(
    reader: pack.Reader, member: str, name: str, known: dict[str, set[Any]]
) -> Iterator[models.Model]:  # fmt: skip
    """Yield the rows of a member, its hash checked at the end."""
    digest, number = hashlib.sha256(), 1
    where = f"{reader.path.name}, {member}"
    with reader.open(member) as stream:
        try:
            line = stream.readline(LONGEST)
            digest.update(line)
            read = RowReader(name, _head(line, name)["columns"], known, where)
            while line := stream.readline(LONGEST):
                number += 1
                digest.update(line)
                row = read.read(decode(line))
                fault = body_fault(row)
                if fault:
                    raise ValueError(fault)
                yield row
        except (ValueError, RecursionError) as error:
            raise _unreadable(error, f"{where}, line {number}") from None
    if digest.hexdigest() != reader.members[member].sha256:
        raise Refusal(where, "it is damaged (its hash differs)", f"{KEPT}; use another archive")


def _check(
    reader: pack.Reader, home: Home, told: dict[str, Any], dry_run: bool, progress: disk.Progress
) -> None:
    """Audit what was taken in: what does not pass is not kept."""
    progress("checking", 0, 1)
    if content_hash() != told["content"] and told["migrations"] == _migrations():
        raise Refusal(reader.path.name, "what was read is not what was written",
                      f"{KEPT}; use another archive")  # fmt: skip
    for key in ("zone", "shop"):
        if not isinstance(Setting.objects.filter(key=key).values_list("value", flat=True).first(),
                          str):  # fmt: skip
            raise Refusal(reader.path.name, f"it has no setting '{key}'", "use another archive")
    lost = {str(sha) for sha in told["missing_files"]}
    if dry_run:
        lost |= {name.rpartition("/")[2] for name in reader.members if name.startswith("files/")}
    for finding in audit(home, progress=progress).findings:
        if finding.code != "file-missing" or not set(finding.where) <= lost:
            raise Refusal(reader.path.name, f"it does not pass the audit: {finding.text}",
                          f"{KEPT}; use another archive")  # fmt: skip


def _take_files(
    reader: pack.Reader, home: Home, new: list[Path], dry_run: bool, progress: disk.Progress
) -> None:
    """Put the files in their places and list in `new` those that were not there."""
    members = [m for name, m in reader.members.items() if name.startswith("files/")]
    done, whole = 0, sum(member.size for member in members)
    if not dry_run:
        disk.room_for(whole, home.files, "record", KEPT)
    folders = {home.files}
    for member in members:
        place = path_of(home, member.name.rpartition("/")[2])
        if member.sha256 != place.name:
            raise Refusal(reader.path.name, f"{member.name} in it is not what its name says",
                          f"{KEPT}; use another archive")  # fmt: skip
        if dry_run:
            reader.copy(member.name, None)
        else:
            place.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
            _take_file(reader, member, place, new)
            folders |= {place.parent, place.parent.parent}
        done += member.size
        progress("files", done, whole)
    for folder in folders if not dry_run else ():
        disk.sync_folder(folder)


def _take_file(reader: pack.Reader, member: pack.Member, place: Path, new: list[Path]) -> None:
    part, there = place.with_name(f".{place.name}.part"), place.exists()
    try:
        with part.open("wb") as out:
            part.chmod(0o600)
            reader.copy(member.name, out)
            disk.sync(out)
        part.replace(place)
    except BaseException:
        disk.take_away(part)
        raise
    if not there:
        new.append(place)


def _take_back(new: list[Path]) -> None:
    """Take files away to which nothing refers, now that nothing was taken in."""
    try:
        wanted = set(File.objects.values_list("sha256", flat=True)) if new else set()
    except DatabaseError:
        return  # nobody can tell what counts; a file too many does no harm
    for place in new:
        if place.name not in wanted:
            disk.take_away(place)
            with suppress(OSError):  # not if anything else is in them
                place.parent.rmdir()
                place.parent.parent.rmdir()


def _mend_sequences() -> None:
    """Tell a database that counts by itself that numbers were given out."""
    from django.core.management.color import no_style

    with connection.cursor() as cursor:
        for sql in connection.ops.sequence_reset_sql(no_style(), list(TABLES.values())):
            cursor.execute(sql)
