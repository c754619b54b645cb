"""Where the record lies: one folder, its database, its files, its backups, its lock."""

from __future__ import annotations

import contextlib
import os
import time
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import IO

from lacwright.figures import Refusal

try:
    import fcntl
except ImportError:  # Windows: the lock is then only a file
    fcntl = None  # type: ignore[assignment]

VARIABLE = "LACWRIGHT_HOME"


@dataclass(frozen=True)
class Home:
    """The folder of one shop."""

    folder: Path

    @property
    def record(self) -> Path:
        """What a backup holds and a restore swaps, as one folder."""
        return self.folder / "record"

    @property
    def database(self) -> Path:
        """The database."""
        return self.record / "shop.sqlite3"

    @property
    def files(self) -> Path:
        """Photos and papers, each named by its content."""
        return self.record / "files"

    @property
    def lock(self) -> Path:
        """What is held by everybody who has the shop open."""
        return self.folder / "record.lock"

    @property
    def backups(self) -> Path:
        """Where backups go unless told otherwise."""
        return self.folder / "backups"

    @property
    def incoming(self) -> Path:
        """Where a restore has the record that is to take the place of the old one."""
        return self.folder / "record.incoming"

    @property
    def set_aside(self) -> list[Path]:
        """Records that a restore has put aside, the oldest first."""
        return sorted(self.folder.glob("record.before-restore-*"))

    @property
    def half_restored(self) -> bool:
        """Whether the record is missing and a restore has left what should take its place."""
        return not self.exists and (self.incoming.exists() or bool(self.set_aside))

    @property
    def exists(self) -> bool:
        """Whether there is a record here."""
        return self.database.is_file()


def find_home(path: str | Path | None = None) -> Home:
    """Return the folder of the shop: as told, else LACWRIGHT_HOME, else the user's data folder.

    Raises
    ------
    Refusal
        If something that is no folder stands there.
    """
    told = path or os.environ.get(VARIABLE)
    if told:
        folder = Path(told).expanduser().absolute()
    else:
        from platformdirs import user_data_path

        folder = user_data_path("lacwright", appauthor=False)
    if folder.exists() and not folder.is_dir():
        raise Refusal("--home", f"{folder} is a file", "name a folder")
    return Home(folder)


def make_folders(home: Home) -> None:
    """Make the folders of a shop, readable by its owner alone.

    Raises
    ------
    Refusal
        Where nothing can be written.
    """
    try:
        for folder in (home.folder, home.record, home.files):
            folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        probe = home.folder / f".writable-{os.getpid()}"
        probe.write_bytes(b"")
        probe.unlink()
    except OSError as error:
        raise Refusal("--home", f"nothing can be written in {home.folder} ({error.strerror})",
                      f"name another folder with --home or {VARIABLE}") from None  # fmt: skip


def refuse_half_restored(home: Home) -> None:
    """Refuse to begin a new record where a restore was broken off between two renames.

    Raises
    ------
    Refusal
        If the record is missing and what should take its place, or what was put aside, is there.
    """
    if not home.half_restored:
        return
    back = f", or rename {home.set_aside[-1]} to '{home.record.name}'" if home.set_aside else ""
    raise Refusal("record", f"a restore was broken off: the record is missing in {home.folder}",
                  f"run 'lacwright record restore' again{back}")  # fmt: skip


@contextlib.contextmanager
def alone(
    home: Home, doing: str, *, wait_s: float = 0.0, dry_run: bool = False
) -> Iterator[None]:  # fmt: skip
    """Hold the shop for this process alone, as long as it restores or migrates.

    Where the work is refused, or only tried, a lock and a folder that were made for it are taken
    away again.

    Parameters
    ----------
    home : Home
        The shop.
    doing : str
        What needs it, for the refusal.
    wait_s : float
        How long to wait for others [s].
    dry_run : bool
        Whether the work is only tried.

    Raises
    ------
    Refusal
        If another program has it open.
    """
    folders = [path for path in (home.folder, *home.folder.parents) if not path.exists()]
    first = not home.lock.exists()
    handle = _hold(home, exclusive=True, wait_s=wait_s)
    if handle is None:
        raise Refusal("record", f"another program has it open: {doing} needs it alone",
                      "stop the server and every other lacwright, then try again")  # fmt: skip
    done = False
    try:
        yield
        done = not dry_run
    finally:
        if first and not done:  # while it is held; who waits for it opens another, see `_hold`
            with contextlib.suppress(OSError):
                home.lock.unlink()
                for folder in folders:
                    folder.rmdir()  # not if anything is in it
        handle.close()


class InUse:
    """A shared hold on a shop, kept while this process has it open."""

    def __init__(self, home: Home, *, wait_s: float = 0.0) -> None:
        handle = _hold(home, exclusive=False, wait_s=wait_s)
        if handle is None:
            raise Refusal("record", "it is being restored or brought up to date",
                          "wait a moment and try again")  # fmt: skip
        self._handle = handle

    def let_go(self) -> None:
        """Give the hold back."""
        self._handle.close()


def _hold(home: Home, *, exclusive: bool, wait_s: float) -> IO[bytes] | None:
    """Return the lock, held; None if others hold it."""
    deadline = time.monotonic() + wait_s
    while True:
        handle = _open(home)
        if not _lock(handle, exclusive=exclusive, deadline=deadline):
            handle.close()
            return None
        if _is_there(handle, home.lock):
            return handle
        handle.close()  # it was taken away while we waited: what others hold is another file


def _open(home: Home) -> IO[bytes]:
    try:
        home.folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        return home.lock.open("ab")
    except OSError as error:
        raise Refusal("--home", f"{home.folder} cannot be used ({error.strerror})",
                      f"name another folder with --home or {VARIABLE}") from None  # fmt: skip


def _lock(handle: IO[bytes], *, exclusive: bool, deadline: float) -> bool:
    if fcntl is None:
        return True
    while True:
        try:
            fcntl.flock(handle, (fcntl.LOCK_EX if exclusive else fcntl.LOCK_SH) | fcntl.LOCK_NB)
        except OSError:
            if time.monotonic() >= deadline:
                return False
            time.sleep(0.05)
        else:
            return True


def _is_there(handle: IO[bytes], path: Path) -> bool:
    """Return whether an open file is the one that lies there."""
    if fcntl is None:
        return True
    try:
        return os.path.samestat(os.fstat(handle.fileno()), path.stat())
    except OSError:
        return False
