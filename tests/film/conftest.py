"""Mixes, grounds and rules that the tests of the film share."""

from dataclasses import dataclass

import pytest

from lacwright.film import Ground, Rules

LB_PER_GAL = 119.826427  # g/l of alcohol in a 1-lb cut


@dataclass(frozen=True)
class PlainMix:
    """A mix by cut and density, nothing else."""

    cut: float
    resin_density_g_ml: float = 1.10
    resin_g: dict = None

    @property
    def resin_g_per_l(self):
        c = self.cut * LB_PER_GAL
        return c / (1 + c / (1000 * self.resin_density_g_ml))

    def __post_init__(self):
        if self.resin_g is None:
            object.__setattr__(self, "resin_g", {"flakes": 1.0})


@dataclass(frozen=True)
class PlainZone:
    part: str = "top"
    kind: str = "face"
    face: str = "top"
    area_m2: float = 1.0


@pytest.fixture(scope="session")
def mix():
    return PlainMix


@pytest.fixture(scope="session")
def zone():
    return PlainZone


@pytest.fixture(scope="session")
def ground():
    """Open-pored face unless told otherwise; no difference at the arris."""

    def make(capacity=25.0, start=0.7, edge_film=1.0, edge_cut=1.0, unevenness=0.25, **zone):
        return Ground(PlainZone(**zone), capacity, start, 2.0, edge_film, edge_cut, unevenness)

    return make


@pytest.fixture(scope="session")
def rules():
    """No least film, so that a test says itself what must be left."""

    def make(least=0.0, share=0.05, warn=100.0, stop=125.0):
        return Rules(least, share, warn, stop)

    return make
