"""A photograph under films, side by side with what one would otherwise run, as ratios in one run.

    .venv/bin/python benchmarks/photo.py [--small]

The others are Pillow's Color3DLUT and colour-science's LUT3D, each with the same 17 nodes a side;
that they were filled is not counted. A ratio is printed only where all three stay within 0.5
CIEDE2000 of the model itself on average. No test asserts a time.
"""

from __future__ import annotations

import argparse
import importlib.util
import io
import os
import time
import warnings
from collections.abc import Callable
from typing import Any

import numpy as np
from PIL import Image, ImageFilter

from lacwright.colour import de00, find_bare, find_grade_colour, lab_of_srgb
from lacwright.colour.photo import (
    LEVELS,
    PHOTO,
    exact_srgb,
    film_table,
    paint,
    palette_of,
    prepare,
)
from lacwright.files.photo_file import Photo, decode, encode, image_of

GRADES = ("super-blonde", "blonde", "lemon", "amber", "orange", "button", "garnet")
LOAD_G_M2 = 30.0
GOALS = {"Pillow Color3DLUT": 6, "colour-science LUT3D": 100}
ENOUGH = 0.5  # CIEDE2000, mean
MAPLE = find_bare("maple")


def main() -> None:
    """Run all and print a line each."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--small", action="store_true", help="a small photo, so it does not rot")
    small = parser.parse_args().small
    os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
    width, height = (640, 480) if small else (4000, 3000)
    data = board(width, height)
    photo = decode(data, "board.jpg")
    per_grade(photo, 1 if small else 5)
    whole(data, width * height / 1e6, 1 if small else 3)


def per_grade(photo: Photo, repeats: int) -> None:
    """One more grade on a photograph that is open already."""
    lac = [find_grade_colour("garnet")]
    points = photo.width * photo.height
    took, palette = timed(lambda: palette_of(photo.pixels), repeats)
    ready, prepared = timed(lambda: prepare(palette, bare=MAPLE), repeats)
    size = f"{points / 1e6:.1f} MP, {len(palette.codes)} colours, {len(prepared.rho)} nodes"
    print(f"{size}: once a photo {1000 * took:.0f} ms for its colours, {1000 * ready:.0f} ms to "
          "look them up")  # fmt: skip

    def ours() -> Any:
        return paint(palette, film_table(prepared, grades=lac, loads_g_m2=[LOAD_G_M2]))

    mine, made = timed(ours, repeats)
    levels = np.linspace(0, 1, LEVELS)
    blue, green, red = np.meshgrid(levels, levels, levels, indexing="ij")
    nodes = np.stack([red, green, blue], axis=-1)
    table = exact_srgb(nodes, bare=MAPLE, grades=lac, loads_g_m2=[LOAD_G_M2])
    some = np.arange(0, len(palette.codes), max(len(palette.codes) // 2000, 1))
    code = palette.codes[some]
    right = exact_srgb(code / 255, bare=MAPLE, grades=lac, loads_g_m2=[LOAD_G_M2])
    at = np.unique(palette.index, return_index=True)[1][some]
    seen = made.reshape(-1)[at]
    check("the table", np.stack([seen & 255, seen >> 8 & 255, seen >> 16], axis=-1) / 255, right)
    print(f"one more grade            {1000 * mine:8.1f} ms  {mine * 1e9 / points:6.1f} ns a point")

    image = image_of(photo.pixels).convert("RGB")
    filtered = ImageFilter.Color3DLUT(LEVELS, table.astype(np.float32).reshape(-1, 3).tolist())
    took, out = timed(lambda: image.filter(filtered), max(repeats - 2, 1))
    check("Pillow", np.asarray(out).reshape(-1, 3)[at] / 255, right)
    tell("Pillow Color3DLUT", took, mine)

    if importlib.util.find_spec("colour") is None:
        print("colour-science LUT3D      skipped: colour-science is not installed")
        return
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        from colour import LUT3D

        other = LUT3D(np.ascontiguousarray(table.transpose(2, 1, 0, 3)))
        # Of 12 MP it takes ten seconds: a part of the photo stands for it, point by point.
        part = min(points, 500_000)
        rgb = np.asarray(image).reshape(-1, 3)[:part] / 255.0
        took, _ = timed(lambda: other.apply(rgb), 1, warm=False)
        check("colour-science", other.apply(code / 255.0), right)
    tell("colour-science LUT3D", took * points / part, mine)


def whole(data: bytes, megapixels: float, repeats: int) -> None:
    """Seven grades of a file, from its bytes to points, and with encoding."""
    lacs = [find_grade_colour(name) for name in GRADES]

    def run() -> list[Any]:
        photo = decode(data, "board.jpg")
        palette = palette_of(photo.pixels)
        prepared = prepare(palette, bare=MAPLE)
        return [
            paint(palette, film_table(prepared, grades=[lac], loads_g_m2=[LOAD_G_M2]))
            for lac in lacs
        ]

    took, made = timed(run, repeats)
    print(f"{megapixels:.1f} MP, {len(GRADES)} grades, with decoding  {took:6.2f} s   "
          "(goal 2 s at 12 MP)")  # fmt: skip
    took, _ = timed(lambda: encode(image_of(made[0]), "JPEG"), repeats)
    print(f"encoding one of them as JPEG          {took:6.2f} s")


def tell(name: str, took: float, mine: float) -> None:
    """Print a ratio."""
    print(f"{name:<24} {1000 * took:9.1f} ms  {took / mine:6.1f} x (goal {GOALS[name]})")


def check(name: str, got: Any, right: Any) -> None:
    """Stop where a result is not accurate enough to be compared."""
    off = de00(lab_of_srgb(got, PHOTO), lab_of_srgb(right, PHOTO))
    print(f"{name:<24} {off.mean():9.2f} dE00 from the model on average, {off.max():.2f} at most")
    if off.mean() > ENOUGH:
        raise SystemExit(f"{name} is too far from the model to be compared")


def board(width: int, height: int) -> bytes:
    """Return a JPEG of invented grain, with the noise of a camera in each colour."""
    rng = np.random.default_rng(4)
    x, y = np.linspace(0, 1, width)[None], np.linspace(0, 1, height)[:, None]
    bent = y + 0.04 * np.sin(4 * x) + 0.01 * np.sin(19 * x)
    light = 0.5 + 0.09 * np.sin(90 * bent) + 0.05 * np.sin(311 * bent + x)
    light = light * (1 - 0.4 * (rng.random((height, width)) < 0.02)) + 0.1 * (x - 0.5)
    code = np.empty((height, width, 3), dtype=np.uint8)
    for n, (share, noise) in enumerate(((238, 3.0), (205, 3.0), (160, 4.0))):
        level = share * light ** (1 / 2.2) + noise * rng.normal(size=(height, width))
        code[..., n] = np.clip(level, 0, 255)
    out = io.BytesIO()
    Image.fromarray(code).save(out, "JPEG", quality=95, subsampling=0)
    return out.getvalue()


def timed(call: Callable[[], Any], repeats: int, *, warm: bool = True) -> tuple[float, Any]:
    """Return the shortest time, which the rest of the machine disturbs least, and the result."""
    took, told = [], None
    if warm:
        call()
    for _ in range(repeats):
        begun = time.perf_counter()
        told = call()
        took.append(time.perf_counter() - begun)
    return min(took), told


if __name__ == "__main__":
    main()
