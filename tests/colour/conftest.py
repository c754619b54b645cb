"""Invented worlds for the tests of this room."""

import importlib.util
import sys
from pathlib import Path

import pytest


@pytest.fixture(scope="session")
def hidden_truth():
    """Return the module of invented worlds."""
    spec = importlib.util.spec_from_file_location(
        "hidden_truth", Path(__file__).with_name("hidden_truth.py")
    )
    module = importlib.util.module_from_spec(spec)
    sys.modules["hidden_truth"] = module  # dataclasses look their module up
    spec.loader.exec_module(module)
    return module
