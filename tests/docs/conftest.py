"""The scripts of docs/ as modules, for the tests of the pages."""

import importlib.util
import sys
from pathlib import Path
from types import ModuleType

import pytest

ROOT = Path(__file__).parents[2]


def load(name: str) -> ModuleType:
    """Return docs/<name>.py as a module, loaded once."""
    if name in sys.modules:
        return sys.modules[name]
    spec = importlib.util.spec_from_file_location(name, ROOT / "docs" / f"{name}.py")
    assert spec
    assert spec.loader
    module = importlib.util.module_from_spec(spec)
    sys.modules[name] = module  # dataclasses look their module up
    spec.loader.exec_module(module)
    return module


def pytest_generate_tests(metafunc: pytest.Metafunc) -> None:
    """Give a test every page, or every page with commands."""
    console = load("console")
    pages = console.pages()
    if "page" in metafunc.fixturenames:
        metafunc.parametrize("page", pages, ids=lambda p: str(p.relative_to(ROOT)))
    if "page_with_commands" in metafunc.fixturenames:
        some = [p for p in pages if any(True for _ in console.commands(p))]
        metafunc.parametrize("page_with_commands", some, ids=lambda p: str(p.relative_to(ROOT)))


@pytest.fixture
def console() -> ModuleType:
    """Return docs/console.py."""
    return load("console")


@pytest.fixture
def make_reference() -> ModuleType:
    """Return docs/make_reference.py."""
    return load("make_reference")
