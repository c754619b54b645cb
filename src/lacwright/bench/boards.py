"""Photographs of bare boards: kept beside the record, so that one thing can be changed.

A photo is encoded anew, without place, time and camera, and lies under the hash of that; a smaller
one for the pages lies beside it. An address that names it always shows the same.
"""

from __future__ import annotations

import hashlib
import io
import json
import re
import threading
from collections.abc import Mapping
from dataclasses import asdict, dataclass
from functools import lru_cache
from pathlib import Path
from typing import IO, Any

import numpy as np

from lacwright.bench import kept
from lacwright.bench.photos import MOST_BYTES
from lacwright.figures import Refusal
from lacwright.files.photo_file import Photo, decode, encode, image_of
from lacwright.shop import Home
from lacwright.shop.opening import opened

FILES = 3
KEPT = 12 * FILES
"""So many files are kept, three a photo; the oldest go first."""
LEAST = 300
"""Least side of a photo [points]."""
PICTURES = 20
"""So many pictures in full size are kept."""
SIDE = 1200
"""Longest side of the smaller one [points]."""
_SHA = re.compile(r"[0-9a-f]{64}")
_ENDS = {"JPEG": ".jpg", "PNG": ".png"}


@dataclass(frozen=True)
class Known:
    """A photo that is kept.

    Parameters
    ----------
    sha : str
        The hash it lies under.
    name : str
        Of the file that was sent.
    kind : str
        "JPEG" or "PNG": as it is kept.
    width, height : int
        [points]
    notes : tuple of str
        What was done to read it.
    at_s : float
        When it was sent last [s since 1970].
    """

    sha: str
    name: str
    kind: str
    width: int
    height: int
    notes: tuple[str, ...]
    at_s: float = 0.0

    @property
    def small_size(self) -> tuple[int, int]:
        """Width and height of the smaller one."""
        share = min(1.0, SIDE / max(self.width, self.height))
        return max(1, round(self.width * share)), max(1, round(self.height * share))


def take(sent: IO[bytes], size: int, name: str, where: str = "file") -> str:
    """Read a photo, keep it, and return the hash under which it is found again.

    Raises
    ------
    Refusal
        If it is too large, no photo of a board, or cannot be kept.
    """
    if size > MOST_BYTES:
        raise Refusal(where, f"it is larger than {MOST_BYTES // 10**6} MB", "send a smaller one")
    with _alone:  # one at a time: decoded, a photo takes some hundred megabytes
        return _taken(sent.read(MOST_BYTES + 1), name, where)


_alone = threading.Lock()


def _taken(data: bytes, name: str, where: str) -> str:
    photo = decode(data, where)
    if min(photo.width, photo.height) < LEAST:
        raise Refusal(where, f"it has {photo.width} x {photo.height} points",
                      f"send one of {LEAST} or more each way")  # fmt: skip
    kind = "JPEG" if photo.clear is None else "PNG"
    image = _with_clear(photo)
    whole = encode(image, kind) if kind == "JPEG" else _png(image)
    sha = hashlib.sha256(whole).hexdigest()
    known = Known(sha, name[:80], kind, photo.width, photo.height, photo.notes)
    small = image.resize(known.small_size, reducing_gap=2.0)
    end = _ENDS[kind]
    files = {end: whole, f"-small{end}": encode(small, kind) if kind == "JPEG" else _png(small),
             ".json": json.dumps(asdict(known)).encode()}  # fmt: skip
    for suffix, what in files.items():
        kept.keep(_folder() / f"{sha}{suffix}", what, most=KEPT, where=where)
    return sha


def find(sha: str) -> Known | None:
    """Return a photo that is kept, None if it is gone."""
    return _known(_folder() / f"{sha}.json") if _SHA.fullmatch(sha) else None


def known() -> list[Known]:
    """Return the photos that are kept, the last one first."""
    found = (_known(path) for path in kept.newest(_folder(), ".json"))
    return [one for one in found if one is not None]


def photo(one: Known, *, whole: bool = False) -> Photo:
    """Return the points of a photo: of the smaller one, or of the whole.

    Raises
    ------
    Refusal
        If it is gone.
    """
    if whole:
        return decode(file_of(one, whole=True).read_bytes(), "photo")
    return _small(one.sha, one.kind, str(_folder()))


def file_of(one: Known, *, whole: bool = False) -> Path:
    """Return where a photo lies.

    Raises
    ------
    Refusal
        If it is gone.
    """
    path = _folder() / f"{one.sha}{'' if whole else '-small'}{_ENDS[one.kind]}"
    if not path.is_file():
        raise Refusal("photo", "it is gone", "send it again")
    return path


def keep_picture(home: Home, name: str, data: bytes) -> Path:
    """Write a picture beside the record, for who asked for it to save; the oldest go first.

    Raises
    ------
    Refusal
        If it cannot be written.
    """
    # Of other content under the same name: another file.
    mark = hashlib.sha256(data).hexdigest()[:8]
    path = home.folder / "pictures" / f"{Path(name).stem}-{mark}.jpg"
    kept.keep(path, data, most=PICTURES, where="picture")
    return path


@lru_cache(maxsize=4)
def _small(sha: str, kind: str, folder: str) -> Photo:
    path = Path(folder) / f"{sha}-small{_ENDS[kind]}"
    try:
        return decode(path.read_bytes(), "photo")
    except OSError:
        raise Refusal("photo", "it is gone", "send it again") from None


def _with_clear(photo: Photo) -> Any:
    """Return a photo as an image, transparent where it was."""
    from PIL import Image

    image = image_of(photo.pixels).convert("RGB")
    if photo.clear is not None:
        image.putalpha(Image.fromarray(np.where(photo.clear, 0, 255).astype(np.uint8)))
    return image


def _png(image: Any) -> bytes:
    out = io.BytesIO()
    image.save(out, "PNG", compress_level=3)
    return out.getvalue()


def _known(path: Path) -> Known | None:
    try:
        told: Mapping[str, Any] = json.loads(path.read_text(encoding="utf-8"))
        one = Known(**{**told, "notes": tuple(told["notes"]), "at_s": path.stat().st_mtime})
    except (OSError, ValueError, TypeError, KeyError):
        return None
    return one if _SHA.fullmatch(one.sha) and one.kind in _ENDS else None


def _folder() -> Path:
    return opened().folder / "boards"
