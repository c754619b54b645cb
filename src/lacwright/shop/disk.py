"""Files and folders of the record: written through to the disk, faults told plainly."""

from __future__ import annotations

import contextlib
import errno
import hashlib
import os
import shutil
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import IO

from lacwright.figures import Refusal

CHUNK = 1 << 20
SPARE = 4_000_000
"""Bytes that must be left after something was written."""

Progress = Callable[[str, int, int], None]
"""Called with what is being done, how much is done and how much there is."""


def quiet(what: str, done: int, whole: int) -> None:
    """Tell nobody how far it is."""


@contextlib.contextmanager
def plainly(where: str, kept: str) -> Iterator[None]:
    """Turn a fault of the disk into a refusal.

    Parameters
    ----------
    where : str
        The option or the file.
    kept : str
        What can be relied on: "the record was not touched".
    """
    try:
        yield
    except OSError as error:
        raise fault(error, where, kept) from None


def fault(error: OSError, where: str, kept: str) -> Refusal:
    """Return what to say of a fault of the disk."""
    told = error.strerror or str(error)
    if error.errno in (errno.ENOSPC, errno.EDQUOT):
        return Refusal(where, f"the disk is full ({told})", f"{kept}; make room, try again")
    if error.errno in (errno.EACCES, errno.EPERM, errno.EROFS):
        return Refusal(where, f"nothing can be written there ({told})",
                       f"{kept}; name another folder, or see who owns it")  # fmt: skip
    if error.errno in (errno.ENOENT, errno.ENOTDIR, errno.EISDIR):
        return Refusal(where, told[:1].lower() + told[1:], f"{kept}; check the name")
    return Refusal(where, f"the disk reports a fault ({told})", f"{kept}; check the disk")


def room_for(size: int, folder: Path, where: str, kept: str) -> None:
    """Refuse to begin what will not fit.

    Raises
    ------
    Refusal
        If the disk has less room than that.
    """
    free = shutil.disk_usage(folder).free
    if free < size + SPARE:
        raise Refusal(
            where, f"it needs about {megabytes(size)}, {megabytes(free)} are free in {folder}",
            f"{kept}; make room, or name a folder on another disk",
        )  # fmt: skip


def megabytes(size: int) -> str:
    """Return a size as "12 MB"."""
    return f"{max(size, 0) / 1e6:.{0 if size >= 10e6 else 1}f} MB"


def copy_through(
    source: IO[bytes], to: IO[bytes] | None, *, told: Callable[[int], None] | None = None
) -> tuple[str, int]:  # fmt: skip
    """Copy a stream (or only read it) and return the hash and the size of what was read.

    Parameters
    ----------
    source, to : file
        `to` None: only read.
    told : callable, optional
        Called with the bytes read so far.
    """
    digest, size = hashlib.sha256(), 0
    while piece := source.read(CHUNK):
        digest.update(piece)
        size += len(piece)
        if to is not None:
            to.write(piece)
        if told is not None:
            told(size)
    return digest.hexdigest(), size


def hash_of(path: Path) -> str:
    """Return the hash of a file."""
    with path.open("rb") as stream:
        return copy_through(stream, None)[0]


def sync(stream: IO[bytes]) -> None:
    """Wait until a file lies on the disk."""
    stream.flush()
    os.fsync(stream.fileno())


def sync_folder(folder: Path) -> None:
    """Wait until the names in a folder lie on the disk (where the system can)."""
    if os.name != "posix":
        return
    number = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(number)
    finally:
        os.close(number)


def take_away(path: Path) -> None:
    """Remove a file or a folder that was only ours for a while; quiet if it is gone."""
    if path.is_dir() and not path.is_symlink():
        shutil.rmtree(path, ignore_errors=True)
    else:
        with contextlib.suppress(OSError):
            path.unlink()
