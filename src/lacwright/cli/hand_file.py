"""Adding observations to a hand file: what stands in it is not touched, byte by byte."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any


def added_to(file: str, rows: Mapping[str, Sequence[Mapping[str, Any]]], *, dry_run: bool) -> str:
    """Add tables to the end of a hand file, new or old; return what is added.

    Parameters
    ----------
    file : str
        Its name.
    rows : mapping of key to tables
        {"timed": [...]} is written as [[hand.timed]].
    dry_run : bool
        Only say what would be added.

    Raises
    ------
    Refusal
        If the file would be wrong then, or cannot be written.
    """
    from lacwright.bench.toml_text import written
    from lacwright.figures import Refusals
    from lacwright.files.own import read_own
    from lacwright.files.toml import parse_toml

    added = written({"hand": {key: items for key, items in rows.items() if items}}).lstrip("\n")
    path = Path(file)
    old = path.read_bytes() if path.exists() else b""
    gap = "" if not old else "\n" if old.endswith(b"\n") else "\n\n"
    text = gap + added
    new = old + (text.replace("\n", "\r\n") if b"\r\n" in old else text).encode()
    _, wrong = read_own(parse_toml(new, file).get("hand", {}), "hand file")
    if wrong:
        raise Refusals(r.at(f"{file}, {r.where}") for r in wrong)
    if not dry_run:
        _write(path, new)
    return added


def _write(path: Path, data: bytes) -> None:
    import os
    import tempfile

    from lacwright.shop import disk

    to = path.resolve()  # a link stays a link
    with disk.plainly("--keep", f"{path} was not touched"):
        handle, name = tempfile.mkstemp(dir=to.parent, prefix=f".{to.name}.")
        try:
            with os.fdopen(handle, "wb") as stream:
                stream.write(data)
                disk.sync(stream)
            os.chmod(name, to.stat().st_mode & 0o777 if to.exists() else 0o644)
            os.replace(name, to)
        except BaseException:
            os.unlink(name)
            raise
        disk.sync_folder(to.parent)
