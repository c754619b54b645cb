"""The independent version of the equations, which lies beside the tests as a plain module."""

import importlib.util
from pathlib import Path

import pytest

from lacwright.drying import compile_now


def load(path):
    spec = importlib.util.spec_from_file_location(path.stem, path)
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.fixture(scope="session", autouse=True)
def _compiled():
    compile_now(print)


@pytest.fixture(scope="session")
def oracle():
    return load(Path(__file__).with_name("oracle.py"))
