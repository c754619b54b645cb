"""What more than one published check needs."""

import importlib.util
import sys

import pytest


@pytest.fixture(scope="session")
def psychrolib():
    """Return a copy of the library that does not compile itself: SetUnitSystem crashes it then."""
    spec = importlib.util.find_spec("psychrolib")
    copy = importlib.util.module_from_spec(spec)
    with pytest.MonkeyPatch.context() as patch:
        patch.setitem(sys.modules, "numba", None)
        spec.loader.exec_module(copy)
    copy.SetUnitSystem(copy.SI)
    return copy
