"""Photographs in and out: decoded to plain sRGB points, upright; written whole or not at all.

JPEG, PNG and, where `pillow-heif` is installed, HEIC. Pixels are held as numbers 0x00BBGGRR, four
bytes a point: red, green, blue and nothing.
"""

from __future__ import annotations

import contextlib
import io
import os
import struct
import tempfile
import warnings
import zlib
from dataclasses import dataclass
from importlib import import_module
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from lacwright.figures import Refusal
from lacwright.files.whole_file import read_file

if TYPE_CHECKING:
    from PIL import Image

Pixels = NDArray[np.uint32]
Marked = NDArray[np.bool_]

MOST_BYTES = 160_000_000
"""A PNG of 48 million points of wood grain has about 120 MB."""
MOST_PIXELS = 52_000_000
"""8192 x 6144 and a little."""
LEAST_SIDE = 8
QUALITY = 92
KINDS = {".jpg": "JPEG", ".jpeg": "JPEG", ".png": "PNG"}
"""What is written, by the ending of its name."""
GREY = ("1", "L", "LA", "I", "I;16", "I;16B", "I;16L", "F")
_HEIC = (b"heic", b"heix", b"heim", b"heis", b"hevc", b"hevx", b"mif1", b"msf1")
UNREADABLE = (OSError, ValueError, SyntaxError, EOFError, MemoryError, RuntimeError, TypeError,
              KeyError, IndexError, OverflowError, zlib.error, struct.error)  # fmt: skip
"""What decoders raise over a broken file."""
_TAKE_AGAIN = "take it again, or save it anew"
_SRGB_MATRIX, _SRGB_CURVES = (1, 2), (1, 2, 6, 13)
"""ITU-T H.273: colour primaries and curves that are those of sRGB, or not said (2)."""


@dataclass(frozen=True, eq=False)
class Photo:
    """A photograph, upright, in sRGB.

    Parameters
    ----------
    pixels : array of uint32, shape (height, width)
        Each 0x00BBGGRR.
    clear : array of bool or None
        Where it was transparent; white stands there.
    kind : str
        "JPEG", "PNG" or "HEIC".
    notes : tuple of str
        What was done to read it that its owner may want to know.
    """

    pixels: Pixels
    clear: Marked | None
    kind: str
    notes: tuple[str, ...]

    @property
    def height(self) -> int:
        """Points from top to bottom."""
        return int(self.pixels.shape[0])

    @property
    def width(self) -> int:
        """Points from left to right."""
        return int(self.pixels.shape[1])


def read_photo(path: str | Path, *, within: int | None = None) -> Photo:
    """Return a photograph from a file; see `decode`."""
    data = read_file(path, most_bytes=MOST_BYTES, mend="make the photo smaller")
    return decode(data, Path(path).name, within=within)


def decode(data: bytes, where: str, *, within: int | None = None) -> Photo:
    """Return a photograph from the bytes of its file.

    Parameters
    ----------
    data : bytes
        JPEG, PNG or HEIC, judged by content.
    where : str
        Its name, for refusals.
    within : int, optional
        It is made smaller until it has no more points than that.

    Raises
    ------
    Refusal
        For another kind of file, one that is broken or cut off, too large or too small; one
        without colours (grey), of printing inks (CMYK), or of a brightness range that no plain
        screen has (HDR).
    """
    kind = kind_of(data, where)
    notes: list[str] = []
    broken = Refusal(where, "the photo cannot be read: it is broken or cut off", _TAKE_AGAIN)
    try:
        with warnings.catch_warnings():
            # A small file that unfolds into a huge picture is refused before it does.
            warnings.simplefilter("ignore")
            image = _opened(data, kind, where)
            _check(image, where)
            if within is not None and kind == "JPEG":
                share = (within / (image.width * image.height)) ** 0.5
                if share < 1:
                    image.draft("RGB", (int(image.width * share), int(image.height * share)))
            profile = image.info.get("icc_profile")
            uncalibrated = _said_otherwise(image)
            image = _upright(image, notes)
            image, clear = _opaque(image, notes)
            image = _smaller(image, within)
            if clear is not None and image.size != clear.size:
                clear = clear.resize(image.size)
            image = _in_srgb(image, profile, notes)
            if profile is None and uncalibrated:
                notes.append("it says that it is not in sRGB and brings no colour profile: taken "
                             "as sRGB")  # fmt: skip
            if kind == "PNG" and data[24] == 16:
                notes.append("16 bits a colour are read as 8")
            flat = np.frombuffer(image.tobytes("raw", "RGBX"), dtype="<u4")
    except Refusal:
        raise
    except UNREADABLE:
        raise broken from None
    except Exception as fault:
        # Of Pillow itself, by name so that it is not imported before a photograph is read.
        if type(fault).__name__ == "DecompressionBombError":
            most = f"make it smaller, {MOST_PIXELS // 10**6} million at most"
            raise Refusal(where, "it unfolds into far too many points", most) from None
        raise
    pixels = (flat & 0xFFFFFF).reshape(image.height, image.width)
    seen = None if clear is None else np.asarray(clear) < 128
    return Photo(pixels.astype(np.uint32, copy=False), seen, kind, tuple(notes))


def kind_of(data: bytes, where: str) -> str:
    """Return "JPEG", "PNG" or "HEIC" by the first bytes of a file; refuse any other."""
    if data[:3] == b"\xff\xd8\xff":
        return "JPEG"
    if data[:8] == b"\x89PNG\r\n\x1a\n" and len(data) > 24:
        return "PNG"
    if data[4:8] == b"ftyp" and data[8:12] in _HEIC:
        return "HEIC"
    what = "it is empty" if not data else "it is no JPEG, PNG or HEIC photo"
    raise Refusal(where, what, "export it as JPEG with the program that shows it")


def image_of(pixels: Pixels) -> Image.Image:
    """Return pixels as a Pillow image that shares their memory."""
    from PIL import Image

    height, width = pixels.shape
    raw = np.ascontiguousarray(pixels, dtype="<u4")
    return Image.frombuffer("RGBX", (width, height), raw, "raw", "RGBX", 0, 1)


def check_out(name: str, where: str = "-o", photo: str | Path | None = None) -> str:
    """Return the kind that a name asks for, before anything is computed.

    Parameters
    ----------
    name : str
        Of the file to be written.
    where : str
        The option, for refusals.
    photo : str or Path, optional
        What must not be written over.

    Raises
    ------
    Refusal
        For another ending, a folder that is not there, and the photograph itself.
    """
    file = Path(name)
    kind = KINDS.get(file.suffix.lower())
    if kind is None:
        raise Refusal(where, f"'{name}' is no JPEG or PNG", f"write e.g. {where} board-amber.jpg")
    if not file.parent.is_dir():
        raise Refusal(where, f"there is no folder '{file.parent}'", "name one that is there")
    if file.is_dir():
        raise Refusal(where, f"'{name}' is a folder", "name a file in it")
    if photo is not None and file.exists() and Path(photo).exists() and file.samefile(photo):
        raise Refusal(where, "it is the photo itself", "name another file, so that the photo stays")
    return kind


def encode(image: Image.Image, kind: str) -> bytes:
    """Return a picture as the bytes of its file: sRGB said in it, no place, time or camera.

    Parameters
    ----------
    image : Image
        RGB or RGBX.
    kind : str
        "JPEG" or "PNG".
    """
    out = io.BytesIO()
    if kind == "JPEG":
        # The colour of a pore is that of one point: chroma is not made coarser.
        image.save(out, "JPEG", quality=QUALITY, subsampling=0, icc_profile=_srgb_profile())
    else:
        clean = image.convert("RGB")
        clean.info.clear()
        clean.save(out, "PNG", compress_level=3, icc_profile=_srgb_profile())
    return out.getvalue()


def write_picture(name: str, image: Image.Image, where: str = "-o") -> None:
    """Write a picture into its file, whole or not at all; what stood there stays until then."""
    kind = check_out(name, where)
    data = encode(image, kind)
    to = Path(name).resolve()  # a link stays a link
    half = None
    try:
        handle, half = tempfile.mkstemp(dir=to.parent, prefix=f".{to.name}.")
        with os.fdopen(handle, "wb") as stream:
            stream.write(data)
            stream.flush()
            os.fsync(stream.fileno())
        # A temporary file is for its owner alone; a new picture is as any new file.
        os.chmod(half, to.stat().st_mode & 0o777 if to.exists() else 0o666 & ~_umask())
        os.replace(half, to)
        half = None
    except OSError as error:
        raise Refusal(where, f"'{name}' cannot be written ({error.strerror})",
                      "name another file, or make room") from None  # fmt: skip
    finally:
        if half is not None:
            with contextlib.suppress(OSError):
                os.unlink(half)


def _umask() -> int:
    mask = os.umask(0o077)
    os.umask(mask)
    return mask


def _opened(data: bytes, kind: str, where: str) -> Image.Image:
    from PIL import Image

    stream = io.BytesIO(data)
    if kind != "HEIC":
        # A JPEG with more pictures in it (MPO) opens at its first.
        return Image.open(stream, formats=(kind, "MPO") if kind == "JPEG" else (kind,))
    try:
        heif = import_module("pillow_heif")
    except ImportError:
        raise Refusal(where, "it is a HEIC photo, and what reads those is not installed",
                      "export it as JPEG, or install pillow-heif") from None  # fmt: skip
    image: Image.Image = heif.HeifImageFile(stream)
    nclx = image.info.get("nclx_profile") or {}
    curve = int(nclx.get("transfer_characteristics", 2))
    if image.info.get("icc_profile") is None:
        if curve not in _SRGB_CURVES:
            raise Refusal(where, "it is a photo of high dynamic range (HDR)",
                          "export it as JPEG")  # fmt: skip
        if int(nclx.get("color_primaries", 2)) not in _SRGB_MATRIX:
            raise Refusal(where, "its colours are wider than sRGB and it brings no colour profile",
                          "export it as JPEG")  # fmt: skip
    return image


def _check(image: Image.Image, where: str) -> None:
    width, height = image.size
    if width * height > MOST_PIXELS:
        raise Refusal(where, f"it has {width} x {height} points",
                      f"make it smaller, {MOST_PIXELS // 10**6} million at most")  # fmt: skip
    if min(width, height) < LEAST_SIDE:
        raise Refusal(where, f"it has {width} x {height} points", "send a photo of the board")
    if image.mode in GREY:
        raise Refusal(where, "it is a grey picture: the colour of the wood is not in it",
                      "take a photo in colour")  # fmt: skip
    if image.mode not in ("RGB", "RGBA", "RGBX", "P", "PA", "RGBa"):
        inks = "printing inks" if image.mode == "CMYK" else image.mode
        raise Refusal(where, f"its colours are {inks}, not red, green and blue",
                      "save it as an RGB photo")  # fmt: skip


def _said_otherwise(image: Image.Image) -> bool:
    """Return whether a camera's notes say that the colours are not sRGB."""
    try:
        # 0x8769: what the camera notes; 0xA001: colour space, 1 being sRGB.
        return image.getexif().get_ifd(0x8769).get(0xA001) == 65535
    except Exception:  # whatever stands in there, the picture itself may be whole
        return False


def _upright(image: Image.Image, notes: list[str]) -> Image.Image:
    from PIL import ImageOps

    image.load()
    try:
        return ImageOps.exif_transpose(image) or image
    except Exception:
        notes.append("how it was held could not be read: it may lie on its side")
        return image


def _opaque(image: Image.Image, notes: list[str]) -> tuple[Image.Image, Image.Image | None]:
    """Return it without transparency, and how opaque it was, None for everywhere."""
    from PIL import Image

    if image.mode in ("RGB", "RGBX") and "transparency" not in image.info:
        return image.convert("RGB"), None
    if image.mode == "P" and "transparency" not in image.info:
        return image.convert("RGB"), None
    full = image.convert("RGBA")
    opaque = full.getchannel("A")
    low, _ = opaque.getextrema()
    plain = Image.new("RGB", full.size, "white")
    plain.paste(full, mask=opaque)
    if isinstance(low, int | float) and low >= 128:
        return plain, None
    notes.append("its transparent places are taken as background")
    return plain, opaque


def _smaller(image: Image.Image, within: int | None) -> Image.Image:
    if within is None or image.width * image.height <= within:
        return image
    share = (within / (image.width * image.height)) ** 0.5
    size = (max(int(image.width * share), 1), max(int(image.height * share), 1))
    # Boxes are averaged: wood that is looked at from further away.
    return image.resize(size, 4, reducing_gap=2.0)


def _in_srgb(image: Image.Image, profile: bytes | None, notes: list[str]) -> Image.Image:
    if not profile:
        return image
    from PIL import Image, ImageCms

    try:
        said = ImageCms.ImageCmsProfile(io.BytesIO(profile))
        if said.profile.xcolor_space.strip() != "RGB":
            raise ValueError("a profile of something else")
        change = ImageCms.buildTransform(said, ImageCms.createProfile("sRGB"), "RGB", "RGB")
        levels = np.arange(0, 256, 51, dtype=np.uint8)
        probe = np.stack(np.meshgrid(levels, levels, levels), axis=-1).reshape(-1, 1, 3)
        after = np.asarray(ImageCms.applyTransform(Image.fromarray(probe), change))
        if np.abs(after.astype(int) - probe).max() <= 1:
            return image  # sRGB by another name: a pass over all points would change nothing
        changed: Any = ImageCms.applyTransform(image, change)
    except (ImageCms.PyCMSError, OSError, ValueError, TypeError):
        notes.append("its colour profile cannot be read: taken as sRGB")
        return image
    notes.append("its colours were brought from its own profile to sRGB")
    return image if changed is None else changed


def _srgb_profile() -> bytes:
    from PIL import ImageCms

    made = bytearray(ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes())
    # The hour at which the profile was made says nothing: the same picture gives the same file.
    made[24:36] = bytes((7, 208, 0, 1, 0, 1, 0, 0, 0, 0, 0, 0))
    return bytes(made)
