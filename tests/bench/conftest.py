"""The house of the page tests: shops, a test client, a server, and phone and laptop in Chromium."""

import os
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

# Before Django reads its settings, whichever test of this process opens a record first.
os.environ["DJANGO_SETTINGS_MODULE"] = "lacwright.bench.settings"
os.environ["LACWRIGHT_HASTY"] = "1"  # no test needs a power cut
os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "1"  # Playwright runs a loop in this very thread

from lacwright.shop import Home, close_record, find_home, open_record

HERE = Path(__file__).parent
PHONE, LAPTOP, NARROW = (390, 844), (1280, 800), (360, 740)
WAIT_MS = 30_000
"""How long a window waits; long, since the machine may have other things to do."""
CHROMIUM = ("/usr/bin/chromium", "/usr/bin/chromium-browser", "/usr/bin/google-chrome")


# --- shops ----------------------------------------------------------------------------------------


@pytest.fixture(scope="session")
def empty_folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return the folder of an empty shop, made once; copy it."""
    os.environ["TZ"] = "UTC"
    home = open_record(find_home(tmp_path_factory.mktemp("empty") / "home"))
    close_record()
    return home.folder


@pytest.fixture(scope="session")
def filled_folder(empty_folder: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return the folder of a shop with something of everything (filling.py), made once."""
    folder = tmp_path_factory.mktemp("filled") / "home"
    shutil.copytree(empty_folder, folder)
    home = open_record(find_home(folder))
    load("filling").fill(home)
    close_record()
    return folder


@pytest.fixture
def home(empty_folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Home]:
    """Return the home of an empty shop that nobody else uses; it is not open."""
    folder = tmp_path / "home"
    shutil.copytree(empty_folder, folder)
    monkeypatch.setenv("LACWRIGHT_HOME", str(folder))
    yield find_home(folder)
    close_record()


@pytest.fixture
def shop(home: Home) -> Home:
    """Return an open, empty shop."""
    return open_record(home)


@pytest.fixture
def client(shop: Home) -> Iterator[Any]:
    """Return a client of the pages on an open, empty shop."""
    yield from _client()


@pytest.fixture
def filled(filled_folder: Path, home: Home) -> Iterator[Any]:
    """Return a client of the pages on an open shop with something of everything."""
    shutil.rmtree(home.folder)
    shutil.copytree(filled_folder, home.folder)
    open_record(home)
    yield from _client()


def _client() -> Iterator[Any]:
    from django.conf import settings
    from django.test import Client
    from django.test.utils import setup_test_environment

    if "testserver" not in settings.ALLOWED_HOSTS:
        setup_test_environment(debug=False)  # answers then tell their context
    files: list[Any] = []

    class Closing(Client):
        def request(self, **request: Any) -> Any:
            answer = super().request(**request)
            if answer.streaming:
                files.append(answer)
            return answer

    yield Closing(SERVER_NAME="127.0.0.1")
    for answer in files:
        answer.close()


def load(name: str) -> Any:
    """Return a module of this folder that is no test."""
    import importlib.util

    whole = f"bench_tests_{name}"
    if whole not in sys.modules:
        spec = importlib.util.spec_from_file_location(whole, HERE / f"{name}.py")
        assert spec is not None
        assert spec.loader is not None
        sys.modules[whole] = module = importlib.util.module_from_spec(spec)
        spec.loader.exec_module(module)
    return sys.modules[whole]


@pytest.fixture(scope="session")
def helper() -> Callable[[str], Any]:
    """Return what gives a module of this folder that is no test: `helper("filling")`."""
    return load


def pytest_generate_tests(metafunc: Any) -> None:
    """Run a test that takes `address` for every address, one with `plain_address` for the lists."""
    if "address" in metafunc.fixturenames:
        metafunc.parametrize("address", load("addresses").names())
    if "plain_address" in metafunc.fixturenames:
        metafunc.parametrize("plain_address", load("addresses").lists())


@pytest.fixture
def queries() -> Any:
    """Return a context that lists the queries asked within it."""
    import contextlib

    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    @contextlib.contextmanager
    def asked() -> Iterator[list[dict[str, str]]]:
        with CaptureQueriesContext(connection) as context:
            told: list[dict[str, str]] = []
            yield told
        told += context.captured_queries

    return asked


def eventually(true: Callable[[], bool], *, within_s: float = 30.0) -> None:
    """Wait until something is true."""
    deadline = time.monotonic() + within_s
    while not true():
        assert time.monotonic() < deadline, "it did not come true"
        time.sleep(0.02)


# --- server ---------------------------------------------------------------------------------------


class Server:
    """`lacwright serve` in a process of its own, on a port that is free."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.log = folder.with_name(folder.name + ".log")
        with self.log.open("wb") as out:  # a pipe that nobody reads would fill up and stop it
            self.process = subprocess.Popen(
                [sys.executable, "-c", "from lacwright.cli.main import main; main()",
                 "serve", "--port", "0", "--home", str(folder)],
                stdout=out, stderr=subprocess.STDOUT,
            )  # fmt: skip
        eventually(lambda: "\n" in self.told() or self.process.poll() is not None)
        assert "http://" in self.told(), f"the server did not start: {self.told()}"
        self.url = "http://" + self.told().partition("http://")[2].split()[0].rstrip("/")

    def told(self) -> str:
        """Return what it wrote where it was started."""
        return self.log.read_text(encoding="utf-8")

    def stop(self, with_signal: int = signal.SIGINT) -> int:
        """Stop it as a terminal does and return its exit code."""
        if self.process.poll() is None:
            self.process.send_signal(with_signal)
        try:
            return self.process.wait(timeout=15)
        except subprocess.TimeoutExpired:
            self.process.kill()
            return self.process.wait()


@pytest.fixture
def serving(tmp_path: Path) -> Iterator[Callable[[Path], Server]]:
    """Return what serves a copy of a shop: `serving(filled_folder).url`."""
    running: list[Server] = []

    def start(folder: Path) -> Server:
        copy = tmp_path / f"served-{len(running)}"
        shutil.copytree(folder, copy)
        running.append(Server(copy))
        return running[-1]

    yield start
    for server in running:
        server.stop()


@pytest.fixture(scope="session")
def reading_server(filled_folder: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Any]:
    """Return a served copy of the filled shop, for tests that only look; one a worker."""
    copy = tmp_path_factory.mktemp("reading") / "home"
    shutil.copytree(filled_folder, copy)
    server = Server(copy)
    yield server
    server.stop()


@pytest.fixture
def looking(reading_server: Any) -> Any:
    """Return the served shop that is only looked at, open in this process as well."""
    open_record(find_home(reading_server.folder))
    yield reading_server
    close_record()


# --- Chromium -------------------------------------------------------------------------------------


@pytest.fixture(scope="session")
def chromium() -> Iterator[Any]:
    """Return Chromium; without it a skip that says so, where all must run a failure."""
    path = os.environ.get("LACWRIGHT_CHROMIUM") or next(filter(os.path.exists, CHROMIUM), None)
    try:
        from playwright.sync_api import expect, sync_playwright

        expect.set_options(timeout=WAIT_MS)
    except ImportError:
        path = None
    if path is None:
        text = "Chromium is missing: apt install chromium, and Playwright for Python"
        if os.environ.get("LACWRIGHT_CI"):
            pytest.fail(text)
        pytest.skip(text)
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=path, args=["--no-sandbox"])
        yield browser
        browser.close()


class Screen:
    """A window of Chromium that asks nobody but the server of the test."""

    def __init__(self, browser: Any, size: tuple[int, int], **more: Any) -> None:
        self.context = browser.new_context(
            viewport={"width": size[0], "height": size[1]}, **more,
        )  # fmt: skip
        self.context.set_default_timeout(WAIT_MS)
        self.page = self.context.new_page()
        self.strange: list[str] = []
        """Requests that would have left the machine; they were not sent."""
        self.told: list[str] = []
        """What the browser complained about."""
        self.context.route("**/*", self._look)
        self.page.on("console", self._listen)
        self.page.on("pageerror", lambda error: self.told.append(str(error)))

    def _look(self, route: Any) -> None:
        host = route.request.url.partition("://")[2].partition("/")[0].partition(":")[0]
        if host in ("127.0.0.1", "localhost") or route.request.url.startswith(("data:", "blob:")):
            route.continue_()
        else:
            self.strange.append(route.request.url)
            route.abort()

    def _listen(self, message: Any) -> None:
        if message.type in ("error", "warning") and "status of 422" not in message.text:
            self.told.append(message.text)


@pytest.fixture
def window(
    chromium: Any, serving: Any, request: pytest.FixtureRequest, tmp_path: Path
) -> Iterator[Callable[..., Screen]]:
    """Return what opens windows: `window(PHONE, color_scheme="dark").page`.

    It takes `serving` so that windows are closed before the server goes.
    """
    screens: list[Screen] = []

    def open_window(size: tuple[int, int] = PHONE, **more: Any) -> Screen:
        screens.append(Screen(chromium, size, **more))
        return screens[-1]

    yield open_window
    report = getattr(request.node, "report_of_call", None)
    for n, screen in enumerate(screens):
        if report is not None and report.failed:
            path = tmp_path / f"screen-{n}.png"
            screen.page.screenshot(path=path, full_page=True)
            print(f"screenshot: {path}, at {screen.page.url}")
        screen.context.close()
    for screen in screens:
        assert not screen.strange, "requests that would leave the machine"
        assert not screen.told, "complaints of the browser"


@pytest.fixture
def phone(window: Callable[..., Screen]) -> Any:
    """Return a page on a telephone, 390 x 844."""
    return window(PHONE, has_touch=True, is_mobile=True).page


@pytest.fixture
def laptop(window: Callable[..., Screen]) -> Any:
    """Return a page on a laptop, 1280 x 800."""
    return window(LAPTOP).page


@pytest.hookimpl(hookwrapper=True)
def pytest_runtest_makereport(item: Any, call: Any) -> Any:
    """Let `window` know how the test went."""
    outcome = yield
    if call.when == "call":
        item.report_of_call = outcome.get_result()
