"""An independent check: rays through an absorbing film on a base that scatters evenly.

It shares no line with the program: Fresnel's equations are written for arrays of cosines, and no
integral is taken; rays are followed one bounce after another, their weight carried along.
"""

import numpy as np


def mirrored(cos_in, ratio):
    """Return the mirrored share of light that meets a surface; ratio = n behind / n before."""
    sin_out = np.sqrt(np.maximum(1 - cos_in**2, 0)) / ratio
    cos_out = np.sqrt(np.maximum(1 - sin_out**2, 0))
    s = (cos_in - ratio * cos_out) / (cos_in + ratio * cos_out)
    p = (ratio * cos_in - cos_out) / (ratio * cos_in + cos_out)
    return np.where(sin_out >= 1, 1.0, (s**2 + p**2) / 2)


def film_on_base(*, rho, tau, index, geometry, rays=200_000, seed=0):
    """Return the reflectance against a perfect even scatterer."""
    rng = np.random.default_rng(seed)
    cos_out = np.cos(np.radians(8 if geometry == "8/d" else 45))
    first = float(mirrored(np.array(cos_out), index))
    cos_in = np.sqrt(1 - (1 - cos_out**2) / index**2)
    weight = np.full(rays, (1 - first) * np.exp(-tau / cos_in))
    left, lit = 0.0, 0.0
    for _ in range(400):
        weight = weight * rho
        lit += weight.mean()  # what the base sends up, for the view straight down
        mu = np.sqrt(rng.random(rays))
        weight = weight * np.exp(-tau / mu)
        back = mirrored(mu, 1 / index)
        left += (weight * (1 - back)).mean()
        weight = weight * back * np.exp(-tau / mu)
        if weight.max() < 1e-9:
            break
    if geometry == "8/d":
        return first + left
    down = float(mirrored(np.array(1.0), 1 / index))
    return lit * np.exp(-tau) * (1 - down) / index**2
