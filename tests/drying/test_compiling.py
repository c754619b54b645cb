"""A first compile is never without a word, and its cache lies where it can be written."""

import os

import pytest

from lacwright.drying import FIRST_TIME, cache_folder, compile_now, compiled, compiling


@pytest.fixture
def folder(tmp_path, monkeypatch):
    monkeypatch.setenv("NUMBA_CACHE_DIR", str(tmp_path))
    return tmp_path


def test_an_empty_cache_is_due_and_said_once(folder, monkeypatch):
    told, ran = [], []

    def warm():
        ran.append(True)
        (folder / "deep").mkdir(exist_ok=True)
        (folder / "deep" / "kernel.dry_cases-1.py311.nbi").write_bytes(b"")

    monkeypatch.setattr("lacwright.drying.warm.warm", warm)
    assert not compiled()
    assert compile_now(told.append)
    assert told == [FIRST_TIME]
    assert compiled()
    assert not compile_now(told.append)
    assert (len(told), len(ran)) == (1, 1)


def test_an_edited_kernel_another_compiler_or_an_emptied_cache_is_due(folder, monkeypatch):
    monkeypatch.setattr("lacwright.drying.warm.warm", lambda: None)
    index = folder / "kernel.dry_cases-1.py311.nbi"
    index.write_bytes(b"")
    compile_now()
    assert compiled()
    index.unlink()
    assert not compiled()
    index.write_bytes(b"")
    monkeypatch.setattr(compiling.metadata, "version", lambda name: "0.0")
    assert not compiled()
    monkeypatch.undo()
    (folder / compiling.MARK).write_text("{")
    monkeypatch.setenv("NUMBA_CACHE_DIR", str(folder))
    assert not compiled()


def test_where_the_package_is_shut_the_users_cache_is_taken(monkeypatch, tmp_path):
    monkeypatch.delenv("NUMBA_CACHE_DIR", raising=False)
    monkeypatch.setattr(os, "access", lambda *_: False)
    monkeypatch.setattr("platformdirs.user_cache_dir", lambda *_, **__: str(tmp_path))
    assert cache_folder() == tmp_path / "compiled"


def test_a_cache_that_cannot_be_written_stops_nothing(monkeypatch, tmp_path):
    (tmp_path / "file").write_text("")
    monkeypatch.setenv("NUMBA_CACHE_DIR", str(tmp_path / "file" / "below"))
    monkeypatch.setattr("lacwright.drying.warm.warm", lambda: None)
    told = []
    assert compile_now(told.append)
    assert told == [FIRST_TIME]


def test_it_is_compiled_now():
    # The session's fixture saw to it, with the real compiler.
    assert compiled()
