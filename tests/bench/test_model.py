"""The compiled model: a page says that it is being made ready; the server loads it behind."""

import threading
from typing import Any

import pytest

from lacwright.bench import model, work


@pytest.fixture
def not_compiled(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Let the model be one that was never compiled here; return what is started in its place."""
    started: list[str] = []
    monkeypatch.setattr(model, "compiled", lambda: False)

    def start(home: Any, kind: str, args: Any = None) -> work.Run:
        started.append(kind)
        return work.Run(32 * "c", kind)

    monkeypatch.setattr(work, "start", start)
    return started


def test_until_it_is_compiled_the_page_says_so_and_comes_back(
    filled: Any, helper: Any, not_compiled: list[str]
) -> None:
    addresses = helper("addresses")
    (url,) = addresses.examples("panels-timed")[:1]
    page = filled.get(url).content.decode()
    assert not_compiled == [model.KIND]
    assert "Compiling the drying model, once for this machine" in page
    assert '<meta http-equiv="refresh" content="3">' in page


def test_what_needs_it_to_be_written_down_waits_and_stays_typed(
    filled: Any, helper: Any, not_compiled: list[str]
) -> None:
    """A haze that is logged teaches the model: that takes the compiled one."""
    from urllib.parse import quote
    from uuid import uuid4

    url = f"/jobs/fault/{quote(helper('filling').BARE_JOB, safe='')}"
    told = {"token": uuid4().hex, "what": "haze", "text": "in the left corner"}
    answer = filled.post(url, told)
    assert answer.status_code == 422
    assert "being made ready" in answer.context["form"].errors["what"][0]
    assert answer.context["form"]["text"].value() == "in the left corner"
    assert not_compiled == [model.KIND]
    assert filled.post(url, {**told, "what": "run"}).status_code == 303


def test_a_compile_that_failed_says_why_and_begins_anew_only_if_asked(
    client: Any, shop: Any, not_compiled: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    failed = work.Run(32 * "d", model.KIND, state=work.REFUSED, told="no room on the disk")
    monkeypatch.setattr(work, "runs", lambda home: [failed])
    assert model.begun() is failed
    assert not_compiled == []
    assert model.begun(again=True).state == work.RUNNING
    assert not_compiled == [model.KIND]


def test_one_that_is_cut_off_is_repeated_but_not_over_and_over(
    shop: Any, not_compiled: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    cut = work.Run(32 * "e", model.KIND, state=work.CUT_OFF)
    monkeypatch.setattr(work, "runs", lambda home: [cut])
    assert model.begun().state == work.RUNNING
    monkeypatch.setattr(work, "runs", lambda home: [cut] * model.TRIES)
    assert model.begun() is cut
    assert not_compiled == [model.KIND]


def test_the_worker_compiles_what_is_due(shop: Any) -> None:
    """In a process of its own; where it is compiled already it says so at once."""
    import time

    run = work.start(shop, model.KIND)
    deadline = time.monotonic() + 120
    while (seen := work.look(shop, run.id)) is not None and seen.state == work.RUNNING:
        assert time.monotonic() < deadline
        time.sleep(0.05)
    assert seen is not None
    assert seen.state == work.DONE, seen.told
    assert "ready on this machine" in seen.told


def test_the_server_loads_it_behind_its_first_answers(monkeypatch: pytest.MonkeyPatch) -> None:
    loaded = threading.Event()
    monkeypatch.setattr("lacwright.drying.compiling.kernel", loaded.set)
    loading = model.Loading(after_s=0.0)
    loading.start()
    assert loaded.wait(30)
    loading.stop()


def test_a_server_that_ends_at_once_does_not_begin_to_load(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    loaded = threading.Event()
    monkeypatch.setattr("lacwright.drying.compiling.kernel", loaded.set)
    loading = model.Loading(after_s=60.0)
    loading.start()
    loading.stop()
    assert not loaded.is_set()


def test_nothing_that_shows_no_coat_loads_the_compiler() -> None:
    """Importing it takes a second: a page that needs none of it must not pay for that."""
    import subprocess
    import sys

    code = ("import sys; from lacwright.bench import settings; import os;"
            "os.environ['DJANGO_SETTINGS_MODULE'] = 'lacwright.bench.settings';"
            "import django; django.setup(); import lacwright.bench.urls;"
            "sys.exit('numba' in sys.modules)")  # fmt: skip
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0
