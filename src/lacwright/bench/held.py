"""A hold on a small file that lasts as long as a process, however it ends.

The system lets go of it when the process is gone: no number of a process has to be trusted, which
after a restart may be another's.
"""

from __future__ import annotations

import os
from pathlib import Path

try:
    import fcntl
except ImportError:  # Windows
    fcntl = None  # type: ignore[assignment]


class Held:
    """A hold that this process has; `let_go` or the end of the process gives it back."""

    def __init__(self, handle: int) -> None:
        self._handle = handle

    def let_go(self) -> None:
        """Give it back."""
        os.close(self._handle)


def hold(path: Path, *, wait: bool = False) -> Held | None:
    """Take hold of a file, made if it is not there; None if another process has it.

    Parameters
    ----------
    path : Path
        The file; what is in it stays as it is.
    wait : bool
        Wait for the other (not on Windows).
    """
    handle = os.open(path, os.O_RDWR | os.O_CREAT, 0o600)
    if _lock(handle, wait=wait):
        return Held(handle)
    os.close(handle)
    return None


def is_held(path: Path) -> bool:
    """Return whether a process has a hold on a file."""
    try:
        handle = os.open(path, os.O_RDWR)
    except OSError:
        return False
    try:
        return not _lock(handle, shared=True)
    finally:
        os.close(handle)


def _lock(handle: int, *, wait: bool = False, shared: bool = False) -> bool:
    try:
        if fcntl is None:
            import msvcrt

            # Far behind the end: what is in the file can be read all the same.
            os.lseek(handle, 1 << 30, os.SEEK_SET)
            msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)
        else:
            kind = fcntl.LOCK_SH if shared else fcntl.LOCK_EX
            fcntl.flock(handle, kind if wait else kind | fcntl.LOCK_NB)
    except OSError:
        return False
    return True
