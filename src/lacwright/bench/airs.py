"""Tables of air that were read in: kept beside the record, so that one thing can be changed.

A table lies under the hash of what was sent and of how it is read; an address that names it always
shows the same.
"""

from __future__ import annotations

import hashlib
import json
import re
import tempfile
from collections.abc import Mapping
from dataclasses import asdict, dataclass, field
from functools import lru_cache
from pathlib import Path

from lacwright.bench import kept
from lacwright.figures import Refusal
from lacwright.files.air_table import MOST_BYTES, AirTable, load_air
from lacwright.shop.clock import read_zone
from lacwright.shop.opening import opened

KEPT = 60
"""So many files are kept, two a table; the oldest go first."""
_SHA = re.compile(r"[0-9a-f]{64}")
_STRANGE = re.compile(r"[^\w. -]+")


@dataclass(frozen=True)
class Sent:
    """A table as it came, and how it is read.

    Parameters
    ----------
    name : str
        Of the file.
    zone : str
        In which its times are told.
    dates : str
        "dmy" or "mdy", "" where it plays no part.
    columns : mapping of str to str
        Headings by what they hold, where its own say too little.
    """

    name: str
    zone: str
    dates: str = ""
    columns: Mapping[str, str] = field(default_factory=dict)

    def read(self, path: Path) -> AirTable:
        """Return the air of a file that came like this, row by row."""
        return load_air(path, read_zone(self.zone, "zone"), columns=dict(self.columns),
                        dates=self.dates or None)  # fmt: skip


@dataclass(frozen=True)
class Known:
    """A table that is kept.

    Parameters
    ----------
    sha : str
        The hash it lies under.
    sent : Sent
        How it came.
    at_s : float
        When it was read in last [s since 1970].
    """

    sha: str
    sent: Sent
    at_s: float


def take(data: bytes | None, text: str, sent: Sent) -> str:
    """Read a table, keep it, and return the hash under which it is found again.

    Raises
    ------
    Refusal
        If there is none, for all that is wrong with it, or if it cannot be kept.
    """
    if data is None:
        if not text.strip():
            raise Refusal("file", "there is no table", "choose a file, or paste the table")
        data = text.encode()
    if len(data) > MOST_BYTES:
        raise Refusal("file", "it is larger than 5 MB", "give it in parts")
    with tempfile.TemporaryDirectory() as folder:
        # Under its own name, which refusals name together with the line.
        path = Path(folder) / (_STRANGE.sub("-", sent.name).strip(". ")[:80] or "table")
        path.write_bytes(data)
        sent.read(path)
    told = json.dumps(asdict(sent), sort_keys=True).encode()
    sha = hashlib.sha256(told + b"\n" + data).hexdigest()
    for suffix, what in ((".csv", data), (".json", told)):
        kept.keep(_folder() / f"{sha}{suffix}", what, most=KEPT, where="file")
    return sha


def read(sha: str) -> tuple[Sent, AirTable] | None:
    """Return a table that was kept, its rows nearest to the full hours; None if it is gone."""
    return _read(sha, str(_folder())) if _SHA.fullmatch(sha) else None


def known() -> list[Known]:
    """Return the tables that are kept, the last one first."""
    found = []
    for path in kept.newest(_folder(), ".json"):
        sent = _sent(path)
        if sent is not None:
            found.append(Known(path.stem, sent, path.stat().st_mtime))
    return found


@lru_cache(maxsize=8)
def _read(sha: str, folder: str) -> tuple[Sent, AirTable] | None:
    sent, path = _sent(Path(folder) / f"{sha}.json"), Path(folder) / f"{sha}.csv"
    if sent is None or not path.is_file():
        return None
    return sent, sent.read(path).hourly()


def _sent(path: Path) -> Sent | None:
    try:
        return Sent(**json.loads(path.read_text(encoding="utf-8")))
    except (OSError, ValueError, TypeError):
        return None


def _folder() -> Path:
    return opened().folder / "air-tables"
