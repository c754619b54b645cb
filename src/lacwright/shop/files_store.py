"""Photos and papers, each stored once under the hash of its content.

A file is written aside, flushed to the disk and renamed into place before the record speaks of
it: a record never names a file that is not there. What it is, is judged by its content, not by
its name; nothing stored here can be run. Where a photo was taken stays in it: the pages show
photos anew encoded, without it.
"""

from __future__ import annotations

import codecs
import contextlib
import hashlib
import os
import tempfile
from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO

from lacwright.figures import Refusal
from lacwright.shop.home import Home

MOST_BYTES = 50_000_000
"""A photo of a telephone has 3 to 12 MB, a scanned paper of many pages less than this."""
HEAD = 64
CHUNK = 1 << 20
_HEIF = (b"heic", b"heix", b"hevc", b"heim", b"heis", b"mif1", b"msf1")
_CONTROL = frozenset(range(32)) - {9, 10, 12, 13} | {127}
KINDS = "a photo (JPEG, PNG, WebP, HEIC), a PDF or plain text"


@dataclass(frozen=True)
class Staged:
    """A file that was written aside and is not in its place yet."""

    path: Path
    sha256: str
    size: int
    media: str


def path_of(home: Home, sha256: str) -> Path:
    """Return where a file of some content lies."""
    return home.files / sha256[:2] / sha256[2:4] / sha256


def stage(home: Home, source: Path | BinaryIO, where: str = "FILE") -> Staged:
    """Write a file aside, judge what it is, flush it to the disk.

    Parameters
    ----------
    home : Home
        Of the shop.
    source : Path or binary stream
        What is to be kept.
    where : str
        For the refusal.

    Raises
    ------
    Refusal
        If it cannot be read or written, is empty, too large, or of a kind that is not kept.
    """
    if isinstance(source, Path):
        try:
            if source.is_dir():
                raise Refusal(where, f"{source} is a folder", "name the file in it")
            if source.exists() and not source.is_file():  # a pipe would be waited for
                raise Refusal(where, f"{source} is no plain file", "name a photo or a paper")
            with source.open("rb") as stream:
                return stage(home, stream, where)
        except OSError as error:
            raise Refusal(where, f"{source} cannot be read ({error.strerror})",
                          "check its name and its rights") from None  # fmt: skip
    try:
        handle, name = tempfile.mkstemp(prefix=".new-", dir=home.files)
    except OSError as error:
        raise _no_room(error) from None
    try:
        with os.fdopen(handle, "wb") as out:
            staged = _copy(source, out, Path(name), where)
            out.flush()
            os.fsync(out.fileno())
        return staged
    except OSError as error:
        Path(name).unlink(missing_ok=True)
        raise _no_room(error) from None
    except BaseException:
        Path(name).unlink(missing_ok=True)
        raise


def keep(home: Home, staged: Staged) -> Path:
    """Put a staged file into its place; one of the same content that lies there is replaced.

    Raises
    ------
    Refusal
        If nothing can be written.
    """
    place = path_of(home, staged.sha256)
    try:
        place.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        os.chmod(staged.path, 0o600)
        os.replace(staged.path, place)
        for folder in (place.parent, place.parent.parent, home.files):
            _flush(folder)
    except OSError as error:
        raise _no_room(error) from None
    return place


def drop(staged: Staged) -> None:
    """Throw a staged file away; quiet if it was kept."""
    with contextlib.suppress(OSError):
        staged.path.unlink(missing_ok=True)


def _copy(source: BinaryIO, out: BinaryIO, path: Path, where: str) -> Staged:
    digest, size, head = hashlib.sha256(), 0, b""
    text = _Text()
    while chunk := source.read(CHUNK):
        size += len(chunk)
        if size > MOST_BYTES:
            raise Refusal(where, f"it is larger than {MOST_BYTES // 10**6} MB",
                          "make it smaller, or keep it elsewhere and note where")  # fmt: skip
        head = (head + chunk)[:HEAD] if len(head) < HEAD else head
        digest.update(chunk)
        text.take(chunk)
        out.write(chunk)
    if size == 0:
        raise Refusal(where, "it is empty", "check the file")
    media = judge(head) or ("text/plain" if text.ends_well() else None)
    if media is None:
        raise Refusal(where, "what it holds is none of the kinds that are kept", f"give {KINDS}")
    return Staged(path, digest.hexdigest(), size, media)


def judge(head: bytes) -> str | None:
    """Return what a file is by its first bytes, None if that does not tell."""
    if head.startswith(b"\xff\xd8\xff"):
        return "image/jpeg"
    if head.startswith(b"\x89PNG\r\n\x1a\n"):
        return "image/png"
    if head.startswith(b"RIFF") and head[8:12] == b"WEBP":
        return "image/webp"
    if head[4:8] == b"ftyp" and head[8:12] in _HEIF:
        return "image/heic"
    if head.startswith(b"%PDF-"):
        return "application/pdf"
    return None


class _Text:
    """Whether bytes that come in pieces are text in UTF-8 without control characters."""

    def __init__(self) -> None:
        self._decoder = codecs.getincrementaldecoder("utf-8")()
        self._is_text = True

    def take(self, chunk: bytes) -> None:
        """Look at one more piece."""
        if not self._is_text:
            return
        try:
            self._decoder.decode(chunk)
        except UnicodeDecodeError:
            self._is_text = False
        self._is_text = self._is_text and _CONTROL.isdisjoint(chunk)

    def ends_well(self) -> bool:
        """Return whether all of it was text."""
        try:
            self._decoder.decode(b"", final=True)
        except UnicodeDecodeError:
            return False
        return self._is_text


def _flush(folder: Path) -> None:
    """Flush a folder, so that the new name in it outlives a power cut."""
    if not hasattr(os, "O_DIRECTORY"):
        return
    handle = os.open(folder, os.O_RDONLY | os.O_DIRECTORY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def _no_room(error: OSError) -> Refusal:
    return Refusal("files", f"the file cannot be written ({error.strerror})",
                   "nothing was kept; make room, or check who owns the folder")  # fmt: skip
