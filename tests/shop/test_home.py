"""Where the record lies, and who holds it."""

from __future__ import annotations

import os
import stat
import threading
import time
from contextlib import suppress
from pathlib import Path

import pytest

from lacwright.figures import Refusal
from lacwright.shop import Home, find_home
from lacwright.shop.home import InUse, alone, make_folders


def test_the_folder_is_as_told_then_as_in_the_environment_then_the_users(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("LACWRIGHT_HOME", str(tmp_path / "b"))
    assert find_home(tmp_path / "a").folder == tmp_path / "a"
    assert find_home().folder == tmp_path / "b"
    monkeypatch.delenv("LACWRIGHT_HOME")
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    if os.uname().sysname == "Linux":
        assert find_home().folder == tmp_path / "data" / "lacwright"
    assert not any(tmp_path.iterdir())


def test_a_file_is_no_folder(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    with pytest.raises(Refusal, match=r"--home: .* is a file"):
        find_home(tmp_path / "file")
    with pytest.raises(Refusal, match="nothing can be written in"):
        make_folders(Home(tmp_path / "file" / "inside"))
    with pytest.raises(Refusal, match="cannot be used"):
        InUse(Home(tmp_path / "file" / "inside"))


def test_a_folder_that_is_not_writable_is_told_plainly(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def write_bytes(self: Path, data: bytes) -> int:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, "write_bytes", write_bytes)
    with pytest.raises(Refusal, match=r"nothing can be written in .* \(Permission denied\)"):
        make_folders(Home(tmp_path))


def test_the_folders_are_the_owners_alone(tmp_path: Path) -> None:
    home = Home(tmp_path / "shop")
    make_folders(home)
    for folder in (home.folder, home.record, home.files):
        assert stat.S_IMODE(folder.stat().st_mode) == 0o700
    assert sorted(os.listdir(home.folder)) == ["record"]


def test_many_use_it_one_alone_waits_or_is_refused(tmp_path: Path) -> None:
    home = Home(tmp_path)
    first, second = InUse(home), InUse(home)
    with pytest.raises(Refusal, match="restoring needs it alone"), alone(home, "restoring"):
        pass
    first.let_go()
    second.let_go()
    with alone(home, "restoring"), pytest.raises(Refusal, match="restored or brought up to date"):
        InUse(home)
    InUse(home).let_go()


def test_one_that_waits_gets_in_when_the_other_lets_go(tmp_path: Path) -> None:
    home = Home(tmp_path)
    first = InUse(home)
    threading.Timer(0.1, first.let_go).start()
    with alone(home, "updating", wait_s=10.0):
        before = time.monotonic()
        with pytest.raises(Refusal):
            InUse(home, wait_s=0.1)
        assert time.monotonic() - before >= 0.1


def test_a_half_restored_one_is_known_by_what_lies_beside(tmp_path: Path) -> None:
    home = Home(tmp_path)
    assert not home.half_restored
    home.incoming.mkdir()
    assert home.half_restored
    home.record.mkdir()
    home.database.write_bytes(b"")
    assert not home.half_restored


def test_a_lock_that_was_taken_away_while_one_waits_is_held_by_nobody(tmp_path: Path) -> None:
    """Who waits for the lock of a refused restore holds another afterwards, and alone."""
    home = Home(tmp_path)
    begun, end = threading.Event(), threading.Event()

    def refused() -> None:
        with suppress(Refusal), alone(home, "restoring"):
            begun.set()
            end.wait(10.0)
            raise Refusal("file", "it is no good", "use another")

    thread = threading.Thread(target=refused)
    thread.start()
    assert begun.wait(10.0)
    threading.Timer(0.2, end.set).start()
    with alone(home, "updating", wait_s=10.0):
        thread.join()
        assert os.listdir(tmp_path) == ["record.lock"]
        with pytest.raises(Refusal):
            InUse(home)
