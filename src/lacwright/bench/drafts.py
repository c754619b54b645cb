"""Piece files that are being worked on: kept beside the record under the hash of their text.

An address of a plan or a drawing names the text it was made from, so it always shows the same.
"""

from __future__ import annotations

import hashlib
import re

from lacwright.bench import kept
from lacwright.figures import Refusal
from lacwright.files.toml import LIMIT_BYTES
from lacwright.shop.opening import opened
from lacwright.shop.queries.piece_file import text_of

KEPT = 300
"""So many are kept; the oldest go first."""
_SHA = re.compile(r"[0-9a-f]{64}")


def tidy(text: str) -> str:
    """Return a text as it is kept: line ends as TOML has them, one at the end."""
    return text.replace("\r\n", "\n").replace("\r", "\n").removeprefix("\ufeff").rstrip() + "\n"


def keep(text: str, where: str = "text") -> str:
    """Keep a text and return the hash under which it is found again.

    Raises
    ------
    Refusal
        If it is too large, or nothing can be written.
    """
    data = tidy(text).encode()
    if len(data) > LIMIT_BYTES:
        raise Refusal(where, "it is larger than 1 MB", "a piece file is a few pages of text")
    sha = hashlib.sha256(data).hexdigest()
    kept.keep(opened().folder / "drafts" / f"{sha}.toml", data, most=KEPT, where=where)
    return sha


def read(sha: str) -> str | None:
    """Return a text by its hash: a draft, or one that was kept in the record."""
    if not _SHA.fullmatch(sha):
        return None
    try:
        return (opened().folder / "drafts" / f"{sha}.toml").read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError):
        return text_of(sha)
