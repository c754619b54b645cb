"""One file that holds many: a plain tar whose last member lists the hash of every other.

It is written under another name, checked, and only then given its own, so that a pack that bears
its name is whole. It is read with care: it may come from anywhere.
"""

from __future__ import annotations

import contextlib
import hashlib
import io
import json
import os
import re
import tarfile
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import IO, Any

from lacwright.figures import Refusal
from lacwright.shop import disk

MANIFEST = "manifest.json"
MOST_MEMBERS = 1_000_000
MOST_BYTES = 10**12
MOST_MANIFEST = 200_000_000


class Writer:
    """A pack on its way, under a name that says that it is not done."""

    def __init__(self, target: Path) -> None:
        self.target = target
        self.part = target.with_name(f".{target.name}.{os.getpid()}.part")
        self._file: IO[bytes] = self.part.open("xb")
        os.chmod(self.part, 0o600)
        self._tar = tarfile.TarFile(fileobj=self._file, mode="w", format=tarfile.PAX_FORMAT)
        self.members: dict[str, dict[str, Any]] = {}

    def add(
        self, name: str, source: IO[bytes], size: int, told: Callable[[int], None] | None = None
    ) -> str:  # fmt: skip
        """Add a member of a known size and return its hash.

        Raises
        ------
        OSError
            If the source is shorter than that, or the disk is full.
        """
        read = _Hashed(source, told)
        self._tar.addfile(_head(name, size), read)
        sha = read.digest.hexdigest()
        self.members[name] = {"sha256": sha, "size": size}
        return sha

    def add_file(
        self, name: str, path: Path, told: Callable[[int], None] | None = None
    ) -> str:  # fmt: skip
        """Add a file as a member and return its hash."""
        with path.open("rb") as stream:
            return self.add(name, stream, os.fstat(stream.fileno()).st_size, told)

    def close(self, manifest: Mapping[str, Any]) -> Path:
        """Write the manifest, wait for the disk and return where the pack lies for now."""
        data = json.dumps({**manifest, "members": self.members}, indent=1, ensure_ascii=False)
        raw = data.encode()
        self._tar.addfile(_head(MANIFEST, len(raw)), io.BytesIO(raw))
        self._tar.close()
        disk.sync(self._file)
        self._file.close()
        return self.part

    def name(self) -> Path:
        """Give it its own name, which must be free, and wait for the disk."""
        try:
            os.link(self.part, self.target)  # unlike a rename it never replaces anything
            self.part.unlink()
        except (OSError, AttributeError):
            if self.target.exists():
                raise FileExistsError(17, "it is there already", str(self.target)) from None
            os.rename(self.part, self.target)
        disk.sync_folder(self.target.parent)
        return self.target

    def drop(self) -> None:
        """Leave nothing of it."""
        with contextlib.suppress(OSError):  # closing writes what is left: a full disk refuses it
            self._file.close()
        disk.take_away(self.part)


class _Hashed:
    """A stream that knows the hash of what was read from it."""

    def __init__(self, source: IO[bytes], told: Callable[[int], None] | None) -> None:
        self._source, self._told, self._size = source, told, 0
        self.digest = hashlib.sha256()

    def read(self, size: int = -1) -> bytes:
        """Read and take into account."""
        piece = self._source.read(size)
        self.digest.update(piece)
        self._size += len(piece)
        if self._told is not None:
            self._told(self._size)
        return piece


def _head(name: str, size: int) -> tarfile.TarInfo:
    head = tarfile.TarInfo(name)
    head.size, head.mode = size, 0o600
    return head


@dataclass(frozen=True)
class Member:
    """One member of a pack."""

    name: str
    size: int
    sha256: str


class Reader:
    """A pack that is there, its members checked by name, kind and size.

    Parameters
    ----------
    path : Path
        The file.
    format : str
        What it must say it is, such as "lacwright.backup/1".
    names : str
        A regular expression that the names of its members match.
    """

    def __init__(self, path: Path, *, format: str, names: str) -> None:
        self.path = path
        try:
            self._tar = tarfile.TarFile(path)
        except (tarfile.TarError, EOFError):
            raise self._bad("it is no backup or archive of a record") from None
        try:
            self._heads = self._read_heads(re.compile(names))
            self.manifest = self._read_manifest(format)
            self.members = self._match()
        except BaseException:
            self._tar.close()
            raise

    def __enter__(self) -> Reader:
        return self

    def __exit__(self, *_: object) -> None:
        self._tar.close()

    @property
    def size(self) -> int:
        """Bytes of all members."""
        return sum(member.size for member in self.members.values())

    @contextlib.contextmanager
    def open(self, name: str) -> Iterator[IO[bytes]]:
        """Open a member."""
        stream = self._tar.extractfile(self._heads[name])
        assert stream is not None  # only plain files passed
        with stream:
            yield stream

    def copy(
        self, name: str, to: IO[bytes] | None, told: Callable[[int], None] | None = None
    ) -> None:  # fmt: skip
        """Copy a member (or only read it) and compare its hash.

        Raises
        ------
        Refusal
            If it is not what the manifest says.
        """
        with self.open(name) as stream:
            try:
                sha, size = disk.copy_through(stream, to, told=told)
            except (tarfile.TarError, EOFError):
                raise self._bad("it ends too early") from None
        if (sha, size) != (self.members[name].sha256, self.members[name].size):
            raise self._bad(f"{name} in it is damaged (its hash differs)")

    def _read_heads(self, names: re.Pattern[str]) -> dict[str, tarfile.TarInfo]:
        heads: dict[str, tarfile.TarInfo] = {}
        size = 0
        try:
            for head in self._tar:
                if head.type not in (tarfile.REGTYPE, tarfile.AREGTYPE):
                    raise self._bad(f"'{head.name}' in it is no plain file")
                if head.name != MANIFEST and names.fullmatch(head.name) is None:
                    raise self._bad(f"'{head.name}' is nothing that belongs in it")
                if head.name in heads:
                    raise self._bad(f"'{head.name}' is in it twice")
                heads[head.name] = head
                size += head.size
                if len(heads) > MOST_MEMBERS or size > MOST_BYTES:
                    raise self._bad("it is larger than any record")
        except Refusal:
            raise
        except (tarfile.TarError, EOFError, ValueError, OverflowError):
            raise self._bad("it is damaged or ends too early") from None
        return heads

    def _read_manifest(self, format: str) -> dict[str, Any]:
        head = self._heads.pop(MANIFEST, None)
        if head is None or head.size > MOST_MANIFEST:
            raise self._bad("it is not whole: the list at its end is missing")
        stream = self._tar.extractfile(head)
        assert stream is not None  # only plain files passed
        try:
            manifest = json.loads(stream.read())
        except (ValueError, RecursionError, tarfile.TarError):
            raise self._bad("the list at its end cannot be read") from None
        said = manifest.get("format") if isinstance(manifest, dict) else None
        if said != format:
            kind, _, number = format.partition("/")
            if isinstance(said, str) and said.partition("/")[0] == kind:
                raise Refusal(self.path.name, f"it is of form {said}, this lacwright reads "
                              f"{kind}/{number}", "install a later one")  # fmt: skip
            raise self._bad(f"it is no {kind.rpartition('.')[2]}"
                            + (f", but a {said}" if isinstance(said, str) else ""))  # fmt: skip
        assert isinstance(manifest, dict)
        return manifest

    def _match(self) -> dict[str, Member]:
        listed = self.manifest.get("members")
        out: dict[str, Member] = {}
        for name, told in listed.items() if isinstance(listed, dict) else ():
            head = self._heads.get(name)
            if (
                head is None or not isinstance(told, dict) or told.get("size") != head.size
                or not isinstance(told.get("sha256"), str)
            ):  # fmt: skip
                raise self._bad(f"'{name}' is missing in it or of another size")
            out[name] = Member(name, head.size, told["sha256"])
        if out.keys() != self._heads.keys():
            raise self._bad("it holds more than its list says")
        return out

    def _bad(self, what: str) -> Refusal:
        return Refusal(self.path.name, what, "use another backup or archive")
