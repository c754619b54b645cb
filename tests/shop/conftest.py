"""A shop of its own for every test: a copy of one that was made once."""

import os
import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest

os.environ["LACWRIGHT_HASTY"] = "1"  # before the settings are read: no test needs a power cut

from lacwright.shop import Home, close_record, find_home, open_record


@pytest.fixture(scope="session")
def made_once(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return the folder of an empty shop."""
    os.environ["TZ"] = "UTC"
    home = open_record(find_home(tmp_path_factory.mktemp("shop")))
    close_record()
    return home.folder


@pytest.fixture
def home(made_once: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Home]:
    """Return the home of an empty shop that nobody else uses; it is not open."""
    folder = tmp_path / "home"
    shutil.copytree(made_once, folder)
    monkeypatch.setenv("LACWRIGHT_HOME", str(folder))
    yield find_home(folder)
    close_record()


@pytest.fixture
def shop(home: Home) -> Home:
    """Return an open, empty shop."""
    return open_record(home)
