"""What is marked on a photograph: where the board is, and the corners of a card."""

from __future__ import annotations

import io
import re
import warnings
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from lacwright.colour import polygon
from lacwright.figures import Refusal
from lacwright.files.photo_file import MOST_BYTES, MOST_PIXELS, UNREADABLE, Marked
from lacwright.files.whole_file import read_file

Points = NDArray[np.float64]

_PAIR = re.compile(r"(\d*\.?\d+)\s*(%?)\s*,\s*(\d*\.?\d+)\s*(%?)")
_FOUR = re.compile(r"\s*,\s*".join([r"(\d*\.?\d+)\s*(%?)"] * 4))
EXAMPLE = '"0.05,0.1,0.95,0.9" (left, top, right, bottom) or three and more corners "0.1,0.1 ..."'
MOST_CORNERS = 400


def read_corners(text: str, where: str) -> Points:
    """Return corners of "0.1,0.2 0.9,0.2 0.9,0.8": shares of width and height.

    Raises
    ------
    Refusal
        For what is no corners, and for shares above 1.
    """
    said = text.strip()
    found = list(_PAIR.finditer(said))
    if not found or re.sub(r"[\s;]+", "", _PAIR.sub("", said)):
        raise Refusal(where, f"'{text}' is no corners", f"write {EXAMPLE}")
    if len(found) > MOST_CORNERS:
        raise Refusal(where, f"{len(found)} corners", f"give at most {MOST_CORNERS}")
    points = np.array([[_share(m[1], m[2]), _share(m[3], m[4])] for m in found])
    return _inside(points, text, where)


def read_board(text: str, width: int, height: int, where: str = "--mask") -> Marked:
    """Return what of a photograph is board.

    Parameters
    ----------
    text : str
        "left,top,right,bottom", or corners, as shares; or the name of a picture that is white
        where the board is.
    width, height : int
        Of the photograph.

    Raises
    ------
    Refusal
        For none of these, and where nothing is marked.
    """
    four = _FOUR.fullmatch(text.strip())
    if four is not None:
        left, top, right, bottom = (_share(four[n], four[n + 1]) for n in range(1, 9, 2))
        corners = np.array([[left, top], [right, top], [right, bottom], [left, bottom]])
        _inside(corners, text, where)
        if left >= right or top >= bottom:
            raise Refusal(where, f"'{text}' holds nothing", f"write {EXAMPLE}")
        marked = polygon(corners, width, height, where)
    elif re.match(r"[\d.]+\s*%?\s*,", text.strip()):
        marked = polygon(read_corners(text, where), width, height, where)
    elif Path(text).suffix:
        marked = _picture(text, width, height, where)
    else:
        raise Refusal(where, f"'{text}' marks nothing", f"write {EXAMPLE}, or name a picture that "
                      "is white where the board is")  # fmt: skip
    if not marked.any():
        raise Refusal(where, "it marks no point of the photo as board", f"write {EXAMPLE}")
    return marked


def _share(number: str, percent: str) -> float:
    return float(number) / (100 if percent else 1)


def _inside(points: Points, text: str, where: str) -> Points:
    if (points > 1).any():
        raise Refusal(where, f"'{text}' lies outside the photo",
                      "give shares of its width and height, 0 to 1 or per cent")  # fmt: skip
    return points


def _picture(name: str, width: int, height: int, where: str) -> Marked:
    from PIL import Image, ImageOps

    data = read_file(name, most_bytes=MOST_BYTES, mend="make it smaller")
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            image = Image.open(io.BytesIO(data), formats=("PNG", "JPEG"))
            if image.width * image.height > MOST_PIXELS:
                raise Refusal(where, f"'{name}' has {image.width} x {image.height} points",
                              "make it smaller")  # fmt: skip
            upright = ImageOps.exif_transpose(image) or image
            if abs(upright.width * height / (upright.height * width) - 1) > 0.02:
                raise Refusal(where, f"'{name}' has {upright.width} x {upright.height} points, the "
                              f"photo {width} x {height}", "make both of one shape")  # fmt: skip
            grey = upright.convert("L").resize((width, height), Image.Resampling.NEAREST)
    except Refusal:
        raise
    except (*UNREADABLE, Image.DecompressionBombError):
        raise Refusal(
            where, f"'{name}' is no PNG or JPEG that can be read", "save it anew"
        ) from None
    return np.asarray(grey) >= 128
