"""Small files beside the record that go when there are too many: drafts, tables of air."""

from __future__ import annotations

import contextlib
import os
import tempfile
from pathlib import Path

from lacwright.figures import Refusal


def keep(path: Path, data: bytes, *, most: int, where: str) -> None:
    """Keep a file under a name that tells what is in it, so that it is written once.

    Parameters
    ----------
    path : Path
        Where; its folder is made.
    data : bytes
        What.
    most : int
        So many files of that ending the folder keeps; the oldest go first.
    where : str
        For the refusal.

    Raises
    ------
    Refusal
        If it cannot be written.
    """
    folder = path.parent
    try:
        folder.mkdir(mode=0o700, exist_ok=True)
        if path.exists():
            os.utime(path)
            return
        handle, half = tempfile.mkstemp(dir=folder, suffix=".part")
        with os.fdopen(handle, "wb") as file:
            file.write(data)
        os.replace(half, path)
        _tidy_up(folder, most)
    except OSError as error:
        raise Refusal(where, f"it cannot be kept ({error.strerror})",
                      "make room, or check who owns the folder") from None  # fmt: skip


def newest(folder: Path, suffix: str) -> list[Path]:
    """Return the files of an ending, the last one first."""
    found = []
    with contextlib.suppress(OSError):
        for path in folder.glob(f"*{suffix}"):
            with contextlib.suppress(OSError):  # another request may have been quicker
                found.append((path.stat().st_mtime, path))
    return [path for _, path in sorted(found, reverse=True)]


def _tidy_up(folder: Path, most: int) -> None:
    for old in newest(folder, "")[most:]:
        with contextlib.suppress(OSError):
            old.unlink()
