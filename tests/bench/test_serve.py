"""The server as a process: one for a shop, a clean end, no other name; and its long work."""

from __future__ import annotations

import json
import os
import shutil
import signal
import socket
import sqlite3
import time
import urllib.request
from collections.abc import Callable
from http.client import HTTPConnection
from pathlib import Path
from typing import Any

import pytest

from lacwright.bench import work
from lacwright.bench.held import hold, is_held
from lacwright.cli.main import run
from lacwright.figures import Refusal
from lacwright.shop import Home, find_home

Serving = Callable[[Path], Any]


def host_of(server: Any) -> tuple[str, int]:
    host, _, port = server.url.removeprefix("http://").partition(":")
    return host, int(port)


def ask(server: Any, path: str = "/settings", **headers: str) -> tuple[int, dict[str, str], bytes]:
    connection = HTTPConnection(*host_of(server), timeout=20)
    connection.request("GET", path, headers=headers)
    answer = connection.getresponse()
    out = answer.status, dict(answer.getheaders()), answer.read()
    connection.close()
    return out


def test_it_answers_on_the_loopback_alone_and_to_its_own_names(
    serving: Serving, empty_folder: Path
) -> None:
    server = serving(empty_folder)
    assert server.url.startswith("http://127.0.0.1:")
    assert server.told().splitlines()[0].startswith("Open http://127.0.0.1:")
    status, headers, _ = ask(server)
    assert (status, headers["Server"]) == (200, "lacwright")
    assert ask(server, host="shop.example")[0] == 400
    # One connection carries several requests.
    connection = HTTPConnection(*host_of(server), timeout=20)
    for _ in range(3):
        connection.request("GET", "/settings")
        assert connection.getresponse().read()
        kept = connection.sock
        assert kept is not None
    connection.close()


def test_style_and_script_come_without_looking_into_the_record(
    serving: Serving, empty_folder: Path
) -> None:
    server = serving(empty_folder)
    status, headers, body = ask(server, "/static/bench/look.css")
    assert status == 200
    assert b"--accent" in body
    assert headers["X-Content-Type-Options"] == "nosniff"
    assert "Access-Control-Allow-Origin" not in headers
    for path in ("/static/../serve.py", "/static/bench/../../serve.py", "/static/%2e%2e/serve.py",
                 "/record/shop.sqlite3", "/pages.secret"):  # fmt: skip
        assert ask(server, path)[0] == 404, path


@pytest.mark.parametrize("told", [signal.SIGTERM, signal.SIGINT])
def test_it_ends_cleanly_though_connections_are_open(
    told: signal.Signals, serving: Serving, empty_folder: Path
) -> None:
    server = serving(empty_folder)
    idle = HTTPConnection(*host_of(server), timeout=20)
    idle.request("GET", "/settings")
    idle.getresponse().read()  # and it stays open
    half = socket.create_connection(host_of(server), timeout=20)
    half.sendall(b"POST /settings/zone HTTP/1.1\r\nHost: 127.0.0.1\r\nContent-Length: 99\r\n\r\nna")
    time.sleep(0.3)  # so that it is being read
    assert server.stop(told) == 0
    idle.close()
    half.close()
    assert not is_held(server.folder / "pages.lock")
    assert not (server.folder / "pages.address").exists()
    assert "Traceback" not in server.told()


def test_a_shop_is_served_once(
    serving: Serving, empty_folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    server = serving(empty_folder)
    assert run(["serve", "--port", "0", "--home", str(server.folder)]) == 2
    assert f"served already, at {server.url}/" in capsys.readouterr().err
    server.process.kill()  # no chance to tidy up
    server.process.wait()
    again = type(server)(server.folder)
    try:
        assert ask(again)[0] == 200
    finally:
        again.stop()


def test_a_port_that_is_taken(home: Home, capsys: pytest.CaptureFixture[str]) -> None:
    with socket.socket() as other:
        other.bind(("127.0.0.1", 0))
        other.listen()
        port = other.getsockname()[1]
        assert run(["serve", "--port", str(port), "--home", str(home.folder)]) == 2
    told = capsys.readouterr()
    assert f"--port: another program listens on {port}" in told.err
    assert told.out == ""
    assert not is_held(home.folder / "pages.lock")


def test_the_address_as_json(
    home: Home, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    from lacwright.bench import serve

    opened: list[str] = []
    monkeypatch.setattr("webbrowser.open", opened.append)
    monkeypatch.setattr(serve, "serve", lambda home, port, ready: ready(f"http://x:{port}/"))
    assert run(["serve", "--port", "9", "--home", str(home.folder), "--json", "--open"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert told["schema"] == "lacwright.serve/1"
    assert (told["address"], told["home"]) == ("http://x:9/", str(home.folder))
    assert opened == ["http://x:9/"]


def test_a_demo_that_is_there_is_shown_as_it_is(
    home: Home, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    from lacwright.bench import serve
    from lacwright.shop import close_record, open_record
    from lacwright.shop.demo import MARK, is_demo
    from lacwright.shop.models import Movement, Setting

    open_record(home)
    Setting.objects.create(key=MARK, value=True)
    close_record()
    monkeypatch.setattr(serve, "serve", lambda home, port, ready: ready(f"http://x:{port}/"))
    assert run(["demo", "--serve", "--port", "7", "--home", str(home.folder)]) == 0
    assert capsys.readouterr().out.startswith("Open http://x:7/ in a browser")
    assert is_demo(home)
    open_record(home)
    assert not Movement.objects.exists()


def test_the_secret_is_made_once_and_kept_to_its_owner(home: Home) -> None:
    from lacwright.bench.serve import secret_of

    path = home.folder / "pages.secret"
    first = secret_of(home)
    assert len(first) > 40
    assert secret_of(home) == first
    assert path.stat().st_mode & 0o077 == 0
    path.write_text("")
    assert secret_of(home) not in ("", first)


def test_what_is_too_large_is_refused(serving: Serving, empty_folder: Path) -> None:
    server = serving(empty_folder)
    connection = HTTPConnection(*host_of(server), timeout=20)
    connection.putrequest("POST", "/settings/zone")
    connection.putheader("Content-Length", str(10**9))
    connection.endheaders()
    assert connection.getresponse().status == 413
    connection.close()
    assert ask(server, cookie="a=" + 70_000 * "b")[0] == 413


def test_a_served_shop_cannot_be_restored_into(serving: Serving, filled_folder: Path) -> None:
    from lacwright.shop.home import alone

    server = serving(filled_folder)
    with (
        pytest.raises(Refusal, match="another program has it open"),
        alone(find_home(server.folder), "a restore"),
    ):
        pass


# --- long work ------------------------------------------------------------------------------------


def finished(home: Home, number: str, until: Callable[..., None]) -> work.Run:
    def ended() -> bool:
        run = work.look(home, number)
        assert run is not None
        return run.state != work.RUNNING

    until(ended)
    out = work.look(home, number)
    assert out is not None
    return out


@pytest.fixture
def until(helper: Any) -> Callable[..., None]:
    """Return what waits until something is true."""

    def wait(true: Callable[[], bool], within_s: float = 60.0) -> None:
        deadline = time.monotonic() + within_s
        while not true():
            assert time.monotonic() < deadline, "it did not come true"
            time.sleep(0.05)

    return wait


@pytest.mark.parametrize(
    ("kind", "says", "file"),
    [("audit", "Everything in the record fits together", ""), ("backup", "read back whole", ".tar"),
     ("export", "rows and 2 files", ".tar")],
)  # fmt: skip
def test_long_work_comes_to_its_end(
    kind: str, says: str, file: str, filled: Any, home: Home, until: Any
) -> None:
    answer = filled.post("/settings/care/begin", {"kind": kind})
    assert answer.status_code == 303
    number = answer.headers["location"].rpartition("/")[2]
    run = finished(home, number, until)
    assert run.state == work.DONE, run.told
    assert says in run.told
    page = filled.get(answer.headers["location"]).content.decode()
    assert says in page
    assert "every 1s" not in page
    if file:
        assert run.file.endswith(file)
        got = filled.get(f"/settings/care/file/{number}")
        assert got.headers["Content-Disposition"].startswith("attachment")
        assert b"".join(got.streaming_content) == Path(run.file).read_bytes()


def test_a_backup_of_a_damaged_record_is_no_whole_one(filled: Any, home: Home, until: Any) -> None:
    from contextlib import closing

    assert finished(home, work.start(home, "backup").id, until).state == work.DONE
    good = filled.get("/settings/care").content.decode()
    assert "The last backup was made" in good
    assert "In doubt" not in good
    with closing(sqlite3.connect(home.database)) as record:
        record.execute("UPDATE shop_movement SET author = 'somebody else' WHERE id = 5")
        record.commit()
    run = finished(home, work.start(home, "backup").id, until)
    assert run.state == work.DONE
    assert "read back whole" not in run.told
    assert "not as the program wrote it" in run.told
    assert run.file.endswith("-damaged.tar")
    page = filled.get("/settings/care").content.decode()
    assert "In doubt" in page
    assert "The last backup was made" in page  # the sound one
    for path in home.backups.iterdir():
        if "damaged" not in path.name:
            path.unlink()
    assert "No backup of a sound record" in filled.get("/settings/care").content.decode()


def test_what_an_audit_finds_is_told(filled: Any, home: Home, until: Any) -> None:
    from lacwright.shop.models import Balance

    Balance.objects.filter(ug__gt=0).order_by("id").first().delete()  # type: ignore[union-attr]
    run = finished(home, work.start(home, "audit").id, until)
    assert "1 kinds of faults" in run.told
    page = filled.get(f"/settings/care/run/{run.id}").content.decode()
    assert "balances are not the sums" in page


def test_a_run_in_progress_is_asked_for_again_and_started_once(
    filled: Any, home: Home, until: Any
) -> None:
    first = work.start(home, "audit")
    assert work.start(home, "audit").id == first.id
    page = filled.get(f"/settings/care/run/{first.id}").content.decode()
    if work.look(home, first.id).state == work.RUNNING:  # type: ignore[union-attr]
        assert 'hx-trigger="every 1s"' in page
        assert "Look again" in page
    finished(home, first.id, until)
    assert work.start(home, "audit").id != first.id


def written(home: Home, **more: Any) -> str:
    """Write down a run as its process would have."""
    number = 32 * "b"
    (home.folder / "runs").mkdir(exist_ok=True)
    told = {"id": number, "kind": "backup", "begun": time.time() - 60, "told": "writing", **more}
    (home.folder / "runs" / f"{number}.json").write_text(json.dumps(told))
    return number


def test_a_run_whose_process_is_gone_was_cut_off(client: Any, home: Home) -> None:
    number = written(home)
    lock = home.folder / "runs" / f"{number}.lock"
    held = hold(lock)
    assert held is not None
    assert work.look(home, number).state == work.RUNNING  # type: ignore[union-attr]
    held.let_go()
    page = client.get(f"/settings/care/run/{number}").content.decode()
    assert "cut off before its end" in page
    assert "Repeat it" in page
    answer = client.post("/settings/care/begin", {"kind": "backup"})
    assert answer.headers["location"].rpartition("/")[2] != number
    work.cut_off()


def test_stopping_the_server_ends_its_long_work(
    serving: Serving, filled_folder: Path, until: Any, tmp_path: Path
) -> None:
    server = serving(filled_folder)
    home = find_home(server.folder)
    page = ask(server, "/settings/care")
    token = page[2].decode().partition('csrfmiddlewaretoken" value="')[2].partition('"')[0]
    cookie = page[1]["Set-Cookie"].partition(";")[0]
    asked = urllib.request.Request(
        server.url + "/settings/care/begin", headers={"Cookie": cookie},
        data=f"kind=audit&csrfmiddlewaretoken={token}".encode(),
    )  # fmt: skip
    with urllib.request.urlopen(asked, timeout=20) as answer:
        number = answer.url.rpartition("/")[2]
    assert server.stop() == 0
    run = work.look(home, number)
    assert run is not None
    # It may have been quicker than the signal; it never goes on.
    assert run.state in (work.CUT_OFF, work.DONE) or not os.path.exists(
        home.folder / "runs" / f"{number}.lock"
    )
    assert not is_held(home.folder / "runs" / f"{number}.lock")


@pytest.mark.skipif(not Path("/proc/self/task").exists(), reason="children are found by /proc")
def test_a_run_cut_by_a_power_cut_says_so_after_the_restart_and_is_repeated(
    serving: Serving, filled_folder: Path, phone: Any
) -> None:
    server = serving(filled_folder)
    phone.goto(f"{server.url}/settings/care")
    phone.get_by_role("button", name="Check the record").click()
    phone.wait_for_url("**/run/*")
    where = phone.url.removeprefix(server.url)
    phone.goto("about:blank")  # it would go on asking the dead server
    pid = server.process.pid
    tasks = Path(f"/proc/{pid}/task").iterdir()
    workers = [int(c) for task in tasks for c in (task / "children").read_text().split()]
    assert workers
    for number in (pid, *workers):
        os.kill(number, signal.SIGKILL)
    server.process.wait()
    path = server.folder / "runs" / f"{where.rpartition('/')[2]}.json"
    told = json.loads(path.read_text())
    # However far it came, and as if the power had been away for a minute.
    path.write_text(json.dumps({**told, "state": "running", "begun": told["begun"] - 60}))
    again = serving(server.folder)
    phone.goto(again.url + where)
    phone.get_by_text("Cut off.").wait_for()
    assert "nothing of it counts" in phone.locator("#run").inner_text()
    phone.get_by_role("button", name="Repeat it").click()
    phone.get_by_text("Everything in the record fits together").wait_for()


def test_unknown_runs_and_strange_names(client: Any, home: Home) -> None:
    for number in ("x", "..", 32 * "c", "../../pages"):
        assert client.get(f"/settings/care/run/{number}").status_code == 404
    assert client.post("/settings/care/begin", {"kind": "rm"}).status_code == 422
    outside = written(home, state="done", file="/etc/passwd")
    assert client.get(f"/settings/care/file/{outside}").status_code == 404
    inside = written(home, state="done", file=str(home.database))
    assert client.get(f"/settings/care/file/{inside}").status_code == 404


def test_runs_that_are_kept_are_few(client: Any, home: Home, monkeypatch: Any) -> None:
    monkeypatch.setattr(work, "KEPT", 3)
    folder = home.folder / "runs"
    folder.mkdir()
    for n in range(6):
        path = folder / f"{n:032x}.json"
        path.write_text(json.dumps({"id": f"{n:032x}", "kind": "audit", "state": "done"}))
        os.utime(path, (n, n))
    work._tidy(home)
    assert sorted(p.stem for p in folder.glob("*.json")) == [f"{n:032x}" for n in (4, 5)]
    shutil.rmtree(folder)
