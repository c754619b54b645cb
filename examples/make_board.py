"""Draws board.jpg: an invented pale board on a grey bench, for the pages and to try things on.

.venv/bin/python examples/make_board.py
"""

from pathlib import Path

import numpy as np
from PIL import Image

WIDTH, HEIGHT, EDGE = 720, 420, 30


def main() -> None:
    """Draw it."""
    rng = np.random.default_rng(7)
    x = np.linspace(0, 1, WIDTH)[None, :]
    y = np.linspace(0, 1, HEIGHT)[:, None]
    bent = y + 0.03 * np.sin(4 * x + 0.6) + 0.012 * np.sin(13 * x)
    rings = np.sin(70 * bent + 9 * bent**2) + 0.35 * np.sin(210 * bent)
    pores = (rng.random((HEIGHT, WIDTH)) < 0.004).astype(float)
    pores = sum(np.roll(pores, n, axis=1) for n in range(7))
    light = 0.55 + 0.045 * rings - 0.10 * pores + 0.006 * rng.normal(size=(HEIGHT, WIDTH))
    colour = np.clip(light[..., None] * np.array([1.18, 0.93, 0.66]), 0, 1)
    colour[:EDGE] = colour[-EDGE:] = 0.12
    code = np.where(colour <= 0.0031308, 12.92 * colour, 1.055 * colour ** (1 / 2.4) - 0.055)
    picture = Image.fromarray(np.rint(255 * code).astype(np.uint8))
    picture.save(Path(__file__).with_name("board.jpg"), quality=80)


if __name__ == "__main__":
    main()
