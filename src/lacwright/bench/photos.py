"""Photos and papers sent in: judged by content, photos encoded anew without their place."""

from __future__ import annotations

import io
import warnings
from typing import IO, BinaryIO

from lacwright.figures import Refusal
from lacwright.shop.files_store import HEAD, judge

MOST_BYTES = 20_000_000
"""A photo of a telephone has 3 to 12 MB."""
MOST_PIXELS = 60_000_000
SIDE = 2400
"""Longest side that is kept: enough to see a run or a scratch [px]."""
QUALITY = 88
PHOTOS = {"image/jpeg": "JPEG", "image/png": "PNG", "image/webp": "WEBP"}


def taken_in(sent: IO[bytes], size: int, where: str = "file") -> BinaryIO:
    """Return what is to be kept of a file: a photo encoded anew, a paper as it is.

    Parameters
    ----------
    sent : binary stream
        What came.
    size : int
        Its length [bytes].
    where : str
        For the refusal.

    Raises
    ------
    Refusal
        If it is too large, or a photo that cannot be read.
    """
    if size > MOST_BYTES:
        raise Refusal(where, f"it is larger than {MOST_BYTES // 10**6} MB",
                      "make it smaller, or keep it elsewhere and note where")  # fmt: skip
    data = sent.read(MOST_BYTES + 1)
    media = judge(data[:HEAD])
    if media == "image/heic":
        raise Refusal(
            where,
            "it is a HEIC photo, which not every program can show",
            "export it as JPEG on the telephone or computer it is on, and send that",
        )
    if media not in PHOTOS:
        return io.BytesIO(data)
    return _anew(data, PHOTOS[media], where)


def _anew(data: bytes, kind: str, where: str) -> BinaryIO:
    from PIL import Image, ImageOps

    unreadable = Refusal(where, "the photo cannot be read", "take it again, or save it anew")
    try:
        with warnings.catch_warnings():
            # A small file that unfolds into a huge picture is refused before it does.
            warnings.simplefilter("error", Image.DecompressionBombWarning)
            photo = Image.open(io.BytesIO(data), formats=[kind])
            if photo.width * photo.height > MOST_PIXELS:
                raise Refusal(where, f"it has {photo.width} x {photo.height} points",
                              "make it smaller")  # fmt: skip
            photo.draft("RGB", (SIDE, SIDE))
            upright = ImageOps.exif_transpose(photo) or photo
            upright.thumbnail((SIDE, SIDE))
            plain = upright.convert("RGBA" if upright.mode in ("RGBA", "LA", "P") else "RGB")
    except Refusal:
        raise
    except (OSError, ValueError, SyntaxError, EOFError, Warning, Image.DecompressionBombError):
        raise unreadable from None
    out = io.BytesIO()
    if kind == "PNG":
        plain.save(out, "PNG", optimize=True)
    else:
        plain.convert("RGB").save(out, "JPEG", quality=QUALITY)
    out.seek(0)
    return out
