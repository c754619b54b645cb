"""What long work does; see `work`."""

from __future__ import annotations

import os
from typing import Any

from lacwright.bench.work import Outcome, Tell
from lacwright.shop import Home


def audit(home: Home, *, tell: Tell) -> Outcome:
    """Check the record from end to end."""
    from lacwright.shop.audit import audit as check

    found = check(home, progress=_steps(tell))
    looked = ", ".join(f"{count} {what}" for what, count in found.counts.items())
    if found.findings:
        return Outcome(f"{len(found.findings)} kinds of faults were found.",
                       tuple(str(finding) for finding in found.findings))  # fmt: skip
    over = len(found.leftovers)
    lines = (f"{over} files that nothing refers to: harmless.",) if over else ()
    return Outcome(f"Everything in the record fits together: {looked}.", lines)


def backup(home: Home, *, tell: Tell) -> Outcome:
    """Make a backup, and check it."""
    from lacwright.shop.backup import back_up, is_sound
    from lacwright.shop.disk import megabytes

    path = back_up(home, progress=_steps(tell))
    size = megabytes(path.stat().st_size)
    if not is_sound(path):
        return Outcome(f"The record is not as the program wrote it. It was copied all the same "
                       f"({size}), and the copy holds the same faults. Check the record, and keep "
                       "the backups from before.", file=str(path))  # fmt: skip
    return Outcome(f"The backup was made and read back whole ({size}). Keep a copy on another "
                   "disk.", file=str(path))  # fmt: skip


def export(home: Home, *, tell: Tell) -> Outcome:
    """Write the whole shop into one file that other programs can read."""
    from lacwright.shop import clock
    from lacwright.shop.archive import export as write
    from lacwright.shop.disk import megabytes

    folder = home.folder / "exports"
    folder.mkdir(mode=0o700, exist_ok=True)
    made = f"{clock.from_us(clock.now_us()):%Y%m%dT%H%M%SZ}"
    out = write(home, folder / f"lacwright-{made}-{os.getpid()}.tar", progress=_steps(tell))
    told = f"Written: {sum(out.rows.values())} rows and {out.files} files ({megabytes(out.size)})."
    gone = tuple(f"Missing, and so left out: file {sha}" for sha in out.missing_files)
    return Outcome(told, gone, str(out.path))


def take_back(home: Home, *, tell: Tell, tokens: str) -> Outcome:
    """Take back all that requests wrote down, one observation after the other.

    Others can write in between; cut off, it goes on from where it was when it is repeated.
    """
    from lacwright.bench.pages.log import take_each_back

    done = take_each_back(tokens.split(","), _steps(tell))
    return Outcome(f"Taken back: {done} observations. Each can be brought back in the log.")


def compile_model(home: Home, *, tell: Tell) -> Outcome:
    """Compile the model of the drying coat for this machine."""
    from lacwright.drying import compile_now, compiled
    from lacwright.figures import Refusal

    compile_now(lambda words: tell(words, None))
    if not compiled():
        raise Refusal("drying model", "what was compiled cannot be kept on this machine",
                      "let the program's folder, or your cache folder, be written")  # fmt: skip
    return Outcome("The drying model is ready on this machine.")


def full_picture(home: Home, *, tell: Tell, sha: str, query: str, see: str) -> Outcome:
    """Make a picture of a board in the size of its photo; see `board_pictures`."""
    from lacwright.bench import boards
    from lacwright.bench.board_pictures import full_picture as made
    from lacwright.bench.forms.board import asked_of, seen_of
    from lacwright.shop.disk import megabytes

    tell("the photo is read and every colour of it looked up", None)
    asked = asked_of(sha, query)
    grade, coats = seen_of(see)
    name = f"{grade}-{coats}" if grade else "bare" if see == "bare:0" else "panel"
    data = made(asked, grade or ("-" if see == "bare:0" else ""), coats)
    path = boards.keep_picture(home, f"{sha[:8]}-{name}.jpg", data)
    return Outcome(f"The picture is made ({megabytes(len(data))}). Place, time and camera of the "
                   "photo are not in it.", file=str(path))  # fmt: skip


def _steps(tell: Tell) -> Any:
    def progress(what: str, done: int, whole: int) -> None:
        tell(what, done / whole if whole else None)

    return progress
