"""Photos and papers as they are shown: photos anew encoded, without the place they were taken.

A photo shown is kept beside the record, in a folder that may be thrown away at any time.
"""

from __future__ import annotations

import contextlib
import os
import re
import tempfile
from pathlib import Path

from lacwright.figures import Refusal
from lacwright.shop import Home
from lacwright.shop.files_store import path_of
from lacwright.shop.models import File

LARGE, SMALL = 1600, 480
"""Longest side in which photos are shown, and in lists [pixels]."""
MOST_PIXELS = 80_000_000
PHOTOS = ("image/jpeg", "image/png", "image/webp", "image/heic")
KEPT = 600
"""Photos shown that are kept; the oldest go first."""
QUALITY = 82


def find(sha: str) -> File | None:
    """Return a file of the record by its hash, None if the record does not know it."""
    return File.objects.filter(sha256=sha).first() if re.fullmatch("[0-9a-f]{64}", sha) else None


def shown(home: Home, file: File, side: int) -> Path:
    """Return a photo no larger than this, without anything but the picture itself.

    Raises
    ------
    Refusal
        If it is no photo, or cannot be read.
    """
    if file.media not in PHOTOS:
        raise Refusal("file", "it is no photo", "save it and open it with its own program")
    folder = home.folder / "shown"
    path = folder / f"{file.sha256}-{side}.jpg"
    if path.is_file():
        return path
    data = _encoded(path_of(home, file.sha256), side)
    folder.mkdir(mode=0o700, exist_ok=True)
    _tidy(folder)
    handle, half = tempfile.mkstemp(dir=folder, prefix=".half-")
    with os.fdopen(handle, "wb") as out:
        out.write(data)
    os.replace(half, path)
    return path


def kept_name(file: File) -> str:
    """Return what a file is called when it is saved; its ending follows from its content."""
    ends = {"image/jpeg": ".jpg", "image/png": ".png", "image/webp": ".webp",
            "image/heic": ".heic", "application/pdf": ".pdf", "text/plain": ".txt"}  # fmt: skip
    stem = re.sub(r"[^\w .,()+-]", "_", Path(file.name or file.sha256[:12]).stem).strip(". ")
    return (stem or file.sha256[:12]) + ends.get(file.media, "")


def _encoded(path: Path, side: int) -> bytes:
    import io

    from PIL import Image, ImageOps

    unshown = Refusal("file", "the photo cannot be shown here",
                      "save it and open it with its own program")  # fmt: skip
    try:
        with Image.open(path, formats=("JPEG", "PNG", "WEBP")) as opened:
            if opened.width * opened.height > MOST_PIXELS:
                raise unshown
            opened.draft("RGB", (side, side))
            turned = ImageOps.exif_transpose(opened)
            turned.thumbnail((side, side))
            clear = turned.convert("RGBA")
            plain = Image.new("RGB", turned.size, "white")
            plain.paste(clear, mask=clear.getchannel("A"))
    except (OSError, ValueError, SyntaxError, EOFError, Warning, Image.DecompressionBombError):
        raise unshown from None
    out = io.BytesIO()
    plain.save(out, "JPEG", quality=QUALITY, optimize=True, progressive=True)
    return out.getvalue()


def _tidy(folder: Path) -> None:
    paths = sorted(folder.glob("*.jpg"), key=lambda p: p.stat().st_mtime)
    for old in paths[: -(KEPT - 1)]:
        with contextlib.suppress(OSError):
            old.unlink()
