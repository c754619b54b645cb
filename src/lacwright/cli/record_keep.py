"""`record backup`, `restore`, `export` and `import`: the record as a file."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import click

from lacwright.cli.record_common import moment, reads, record
from lacwright.cli.record_progress import progress
from lacwright.cli.show import counted, emit, there_are
from lacwright.figures import Refusal

dry_run_option = click.option("--dry-run", is_flag=True,
                              help="Check and say what would be done; change nothing.")  # fmt: skip


_IN_DOUBT = (
    "Warning: the record is not as this program wrote it: run 'lacwright record audit'. The backup "
    "holds it as it is, as evidence; 'record restore' does not take it. Keep it and all older ones."
)


@click.command("backup")
@click.option("--to", metavar="FOLDER", help="Where to [the folder 'backups' beside the record].")
@dry_run_option
@reads
def backup_(
    to: str | None, dry_run: bool, home: str | None, now: str | None, as_json: bool
) -> None:  # fmt: skip
    """Make a backup: the database as it is at one moment, and every file it refers to.

    Others may go on reading and writing. The backup is opened and checked before it gets its name.
    Keep one on another disk, and one in another place. It is never taken away by the program;
    of those that it makes by itself, before an update or a rebuild, it keeps the newest ten.
    """
    from lacwright.shop import find_home

    found = find_home(home)
    with record(home) as zone:
        from lacwright.shop.backup import back_up, is_sound, opened, summary
        from lacwright.shop.clock import iso
        from lacwright.shop.disk import megabytes

        if dry_run:
            keys, missing = summary(found, to), {"path": "a dry run makes no backup"}
            emit(schema="lacwright.record.backup/1", as_json=as_json,
                 keys={"path": None, "dry_run": True, **keys}, missing=missing,
                 lines=[f"Would make a backup of about {megabytes(keys['size_bytes'])} in "
                        f"{keys['folder']}."])  # fmt: skip
            return
        path = back_up(found, to=to, now_us=moment(now, zone), progress=progress())
        with opened(path) as reader:
            told = reader.manifest
            files = len(reader.members) - 1
        size = path.stat().st_size
    lost, sound = told["missing_files"], is_sound(path)
    lines = [] if sound else [_IN_DOUBT]
    lines += [f"Made a backup and checked it: {path} ({megabytes(size)}).",
             f"It holds {counted(told['rows']['shop_movement'], 'movement')} and "
             f"{counted(files, 'file')}."]  # fmt: skip
    lines += [f"Note: {there_are(len(lost), 'file')} missing or damaged and not in it; run "
              "'lacwright record audit'."] if lost else []  # fmt: skip
    emit(schema="lacwright.record.backup/1", as_json=as_json, lines=lines,
         keys={"path": str(path), "dry_run": False, "size_bytes": size, "folder": str(path.parent),
               "made": iso(told["made_us"], zone), "rows": told["rows"], "files": files,
               "missing_files": lost, "sound": sound})  # fmt: skip


@click.command("restore")
@click.argument("file", metavar="FILE.tar")
@click.option("--overwrite", is_flag=True, help="Put the record that is there aside.")
@dry_run_option
@reads
def restore_(
    file: str, overwrite: bool, dry_run: bool, home: str | None, now: str | None, as_json: bool
) -> None:  # fmt: skip
    """Bring a backup back; nobody may have the record open, the server least of all.

    A record that is there is not overwritten: with --overwrite it is put aside, and where it lies
    then is said.
    """
    import datetime as dt

    from lacwright.shop import find_home
    from lacwright.shop.clock import from_us, iso
    from lacwright.shop.restore import restore

    done = restore(find_home(home), file, overwrite=overwrite, dry_run=dry_run,
                   now_us=moment(now, dt.UTC), progress=progress())  # fmt: skip
    backup = done.backup
    made = f"{from_us(backup.made_us):%Y-%m-%d %H:%M} UTC"
    what = (f"the backup of {made}: {counted(backup.rows['shop_movement'], 'movement')}, "
            f"{counted(backup.files, 'file')}")  # fmt: skip
    lines = [f"{'Would bring' if dry_run else 'Brought'} back {what}."]
    if done.aside is not None:
        aside = f"The record that is there would be put aside as {done.aside}"
        needs = "" if overwrite else "; that needs --overwrite"
        lines.append(f"{aside}{needs}." if dry_run else f"The old record lies in {done.aside}; "
                     "delete it when all is well.")  # fmt: skip
    lines += ["Note: the old record was of another shop."] if done.other_shop else []
    lines += ["It is of an older version and is brought up to date when it is next opened."
              ] if done.older else []  # fmt: skip
    lines += _not_there("made", backup.missing_files)
    aside_ = None if done.aside is None else str(done.aside)
    emit(schema="lacwright.record.restore/1", as_json=as_json, lines=lines,
         keys={"backup": str(backup.path), "dry_run": dry_run,
               "made": iso(backup.made_us, dt.UTC),
               "program": backup.program, "put_aside": aside_, "other_shop": done.other_shop,
               "older": done.older, "rows": dict(backup.rows), "files": backup.files,
               "missing_files": list(backup.missing_files)},
         missing={"put_aside": "no record was there"} if aside_ is None else {})  # fmt: skip


@click.command("export")
@click.argument("file", metavar="FILE.tar", required=False)
@click.option("--csv", "folder", metavar="FOLDER", help="A CSV file for every table, in there.")
@dry_run_option
@reads
def export_(
    file: str | None, folder: str | None, dry_run: bool, home: str | None, now: str | None,
    as_json: bool,
) -> None:  # fmt: skip
    """Write the whole shop into one open archive, which `record import` takes in.

    With --csv a folder of tables for a spreadsheet instead: UTF-8 with a byte order mark, times in
    the shop's zone and grams beside the exact numbers. A text that a spreadsheet would take for a
    formula gets an apostrophe in front. These tables are for the eye: only an archive comes back.
    """
    from lacwright.shop import find_home

    if (file is None) == (folder is None):
        raise Refusal("record export", "give a file or --csv with a folder, one of them",
                      "write e.g. 'lacwright record export shop.tar'")  # fmt: skip
    found = find_home(home)
    with record(home) as zone:
        if dry_run:
            keys: dict[str, Any] = {"rows": _row_counts(), "path": file or folder}
            rows = counted(sum(keys["rows"].values()), "row")
            lines = [f"Would write {rows} to {file or folder}."]
        elif folder is not None:
            from lacwright.shop.csv_tables import write_csv

            written = write_csv(folder, progress=progress())
            keys = {"rows": written.rows, "path": str(written.folder)}
            lines = [f"Wrote {counted(len(written.rows), 'table')} to {written.folder}.",
                     *(f"  {name}: {counted(n, 'row')}"
                       for name, n in written.rows.items())]  # fmt: skip
        else:
            from lacwright.shop.archive import export

            assert file is not None
            done = export(found, file, now_us=moment(now, zone), progress=progress())
            keys = {"rows": done.rows, "path": str(done.path), "size_bytes": done.size,
                    "content_sha256": done.content, "files": done.files,
                    "missing_files": list(done.missing_files)}  # fmt: skip
            lines = [f"Wrote the whole shop to {done.path}: "
                     f"{counted(done.rows['movement'], 'movement')}, "
                     f"{counted(done.files, 'file')}."]  # fmt: skip
            lines += [f"Note: {there_are(len(done.missing_files), 'file')} missing or "
                      "damaged and not in it."] if done.missing_files else []  # fmt: skip
    emit(schema="lacwright.record.export/1", keys={"dry_run": dry_run, **keys}, lines=lines,
         as_json=as_json)  # fmt: skip


@click.command("import")
@click.argument("file", metavar="FILE.tar")
@dry_run_option
@reads
def import_(
    file: str, dry_run: bool, home: str | None, now: str | None, as_json: bool
) -> None:  # fmt: skip
    """Take an archive of `record export` into an empty shop; nothing is lost on the way.

    Every hash, every type and every reference is checked, and the audit must find nothing: else
    nothing is taken in, and where there was no record none is made.
    """
    import contextlib
    from pathlib import Path

    from lacwright.shop import find_home
    from lacwright.shop.beside import made_beside
    from lacwright.shop.opening import opened

    if not Path(file).expanduser().is_file():
        raise Refusal(file, "there is no such file", "check its name")
    found = find_home(home)
    with contextlib.ExitStack() as stack:
        where = home
        if not found.exists and not dry_run:
            made = stack.enter_context(made_beside(found, "taking in an archive"))
            where = str(made.folder)
        with record(where, create=True, dry_run=dry_run):
            from lacwright.shop.archive import import_archive

            done = import_archive(opened(), file, dry_run=dry_run, progress=progress())
    word = "Would take in" if dry_run else "Took in"
    lines = [f"{word} {counted(done.rows['movement'], 'movement')}, "
             f"{counted(done.rows['line'], 'line')} and {counted(done.files, 'file')}; the "
             "audit finds nothing."]  # fmt: skip
    lines += _not_there("written", done.missing_files)
    emit(schema="lacwright.record.import/1", lines=lines, as_json=as_json,
         keys={"dry_run": dry_run, "rows": done.rows, "files": done.files,
               "content_sha256": done.content, "missing_files": list(done.missing_files)},
         )  # fmt: skip


def _not_there(done: str, files: Sequence[str]) -> list[str]:
    """Return the note on files that could not be found when it was made or written."""
    if not files:
        return []
    return [f"Note: when it was {done}, {counted(len(files), 'file')} could not be found."]


def _row_counts() -> dict[str, int]:
    from lacwright.shop.tables import TABLES

    return {name: table._default_manager.count() for name, table in TABLES.items()}
