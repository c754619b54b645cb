"""The examples in docstrings are right."""

import doctest
import importlib
import os
import pkgutil
from collections.abc import Iterator

import django
import pytest
from django.apps import apps

import lacwright

# The modules of the record and of the pages are imported as well, and ask which settings they have.
os.environ.setdefault("DJANGO_SETTINGS_MODULE", "lacwright.bench.settings")


def modules() -> Iterator[str]:
    """Return the names of all modules of the package."""
    for found in pkgutil.walk_packages(lacwright.__path__, "lacwright."):
        if not found.name.endswith("__main__"):
            yield found.name


def test_examples_of_every_module() -> None:
    tried, wrong = 0, []
    if not apps.ready:
        django.setup()
    for name in modules():
        answer = doctest.testmod(
            importlib.import_module(name), optionflags=doctest.NORMALIZE_WHITESPACE
        )
        tried += answer.attempted
        wrong += [name] if answer.failed else []
    assert wrong == []
    # An empty run would pass as well.
    assert tried > 25


@pytest.mark.parametrize("room", ["climate", "film", "figures", "solution"])
def test_every_room_of_equations_has_examples(room: str) -> None:
    finder = doctest.DocTestFinder(exclude_empty=True)
    names = [n for n in modules() if n.startswith(f"lacwright.{room}")]
    assert any(t.examples for n in names for t in finder.find(importlib.import_module(n)))
