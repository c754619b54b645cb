"""A record that is made beside its place takes it when it is whole; refused, it leaves nothing."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from lacwright.figures import Refusal
from lacwright.shop import Home, close_record, open_record
from lacwright.shop.beside import made_beside


def make(home: Home) -> None:
    open_record(home)
    close_record()


def refused(home: Home) -> None:
    with made_beside(home, "taking it in") as made:
        make(made)
        assert made.exists
        raise Refusal("file", "it is no good", "use another")


def overtaken(home: Home) -> None:
    with made_beside(home, "taking it in") as made:
        make(made)
        make(home)


@pytest.mark.parametrize("there", [True, False])
def test_what_is_refused_leaves_nothing(tmp_path: Path, there: bool) -> None:
    home = Home(tmp_path / "a" / "b" if not there else tmp_path)
    with pytest.raises(Refusal, match="no good"):
        refused(home)
    assert list(tmp_path.iterdir()) == []


def test_what_is_whole_takes_its_place(tmp_path: Path) -> None:
    home = Home(tmp_path / "a" / "b")
    with made_beside(home, "taking it in") as made:
        make(made)
        assert not home.folder.exists()
    assert os.listdir(tmp_path) == ["a"]
    assert sorted(os.listdir(home.folder)) == ["record", "record.lock"]
    assert home.exists
    assert home.folder.stat().st_mode & 0o777 == 0o700
    make(home)


def test_a_record_that_came_meanwhile_is_left_alone(tmp_path: Path) -> None:
    home = Home(tmp_path / "shop")
    with pytest.raises(Refusal, match="there is one in"):
        overtaken(home)
    assert os.listdir(tmp_path) == ["shop"]
    assert sorted(os.listdir(home.folder)) == ["record", "record.lock"]
    make(home)


def test_the_rest_of_a_record_is_not_built_upon(tmp_path: Path) -> None:
    home = Home(tmp_path / "shop")
    home.files.mkdir(parents=True)
    (home.files / "photo").write_bytes(b"x")
    with pytest.raises(Refusal, match="the rest of one"), made_beside(home, "taking it in"):
        pass
    assert (home.files / "photo").exists()
