"""Serving the pages on this machine: one process, loopback only, a clean end."""

from __future__ import annotations

import contextlib
import errno
import logging
import os
import signal
import socket
import sys
import threading
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

from lacwright.bench.held import hold
from lacwright.figures import Refusal
from lacwright.shop import Home, close_record, open_record

THREADS = 8
HOST = "127.0.0.1"
MOST_BODY = 64_000_000
"""Bytes of a request; the forms for files are stricter."""
MOST_HEADERS = 65_536
ENDING_S = 4
"""How long requests under way may take to end when the server is stopped."""
KEPT_S = 600
"""How long a browser keeps style and script: an upgrade is seen the same day."""


def application(home: Home) -> Any:
    """Return the WSGI application for the shop of a folder, with its record open."""
    os.environ["DJANGO_SETTINGS_MODULE"] = "lacwright.bench.settings"
    import django
    from django.conf import settings

    settings.SECRET_KEY = secret_of(home)
    django.setup()
    open_record(home)
    import django_htmx
    from django.core.handlers.wsgi import WSGIHandler
    from whitenoise import WhiteNoise

    pages = WhiteNoise(WSGIHandler(), max_age=KEPT_S, allow_all_origins=False,
                       add_headers_function=_harden)  # fmt: skip
    here = Path(__file__).parent / "static"
    pages.add_files(str(here), prefix="static/")
    pages.add_files(str(Path(django_htmx.__file__).parent / "static"), prefix="static/")
    return pages


def serve(home: Home, *, port: int, ready: Callable[[str], None]) -> None:
    """Serve until interrupted.

    Parameters
    ----------
    home : Home
        The folder of the shop.
    port : int
        0 for any that is free.
    ready : callable
        Told the address once it answers.

    Raises
    ------
    Refusal
        If the port is taken, the shop is served already, or the record cannot be opened.
    """
    from cheroot import wsgi

    from lacwright.bench.model import Loading

    with _once(home) as tell:
        try:
            app = application(home)
            _show_faults()
            server = wsgi.Server((HOST, port), app, numthreads=THREADS, server_name="lacwright",
                                 shutdown_timeout=ENDING_S - 1, request_queue_size=64)  # fmt: skip
            server.software = "lacwright"
            server.max_request_body_size = MOST_BODY
            server.max_request_header_size = MOST_HEADERS
            server.keep_alive_conn_limit = 64
            try:
                _try(port)
                server.prepare()
            except OSError as error:
                raise _taken(port, error) from None
            ending = _on_signal(server)
            address = f"http://{HOST}:{server.bind_addr[1]}/"
            tell(address)
            loading = Loading()
            ready(address)
            loading.start()
            server.serve()
            loading.stop()
            ending()
        finally:
            close_record()


def secret_of(home: Home) -> str:
    """Return the secret that signs forms and cookies; made once, kept beside the record."""
    from secrets import token_urlsafe

    path = home.folder / "pages.secret"
    home.folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    with contextlib.suppress(FileNotFoundError):
        found = path.read_text(encoding="ascii").strip()
        if found:
            return found
        path.unlink()  # a power cut left it empty; nothing hangs on the old one but open forms
    half = path.with_name(f"pages.secret-{os.getpid()}")
    handle = os.open(half, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600)
    with os.fdopen(handle, "w", encoding="ascii") as file:
        file.write(token_urlsafe(48))
    half.replace(path)
    return path.read_text(encoding="ascii")


@contextlib.contextmanager
def _once(home: Home) -> Iterator[Callable[[str], None]]:
    """Hold the shop as the one that serves it; yield what is told the address."""
    path, at = home.folder / "pages.lock", home.folder / "pages.address"
    try:
        home.folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        held = hold(path)
    except OSError as error:
        raise Refusal("--home", f"nothing can be written in {home.folder} ({error.strerror})",
                      "name another folder with --home") from None  # fmt: skip
    if held is None:
        raise Refusal("--home", f"this shop is served already{_address_in(at)}",
                      "open that address, or stop that server first")  # fmt: skip
    at.unlink(missing_ok=True)
    try:
        yield lambda address: _write(at, address)
    finally:
        at.unlink(missing_ok=True)
        held.let_go()


def _write(path: Path, text: str) -> None:
    path.write_text(text, encoding="ascii")


def _address_in(path: Path) -> str:
    try:
        return f", at {path.read_text(encoding='ascii')}"
    except OSError:
        return ""


def _try(port: int) -> None:
    """Take the port for a moment: the library would tell the cause in words alone."""
    with socket.socket() as trial:
        if os.name == "posix":
            trial.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        trial.bind((HOST, port))


def _taken(port: int, error: OSError) -> Refusal:
    if error.errno == errno.EADDRINUSE:
        return Refusal("--port", f"another program listens on {port}",
                       "name another, such as --port 8081, or stop that program")  # fmt: skip
    if error.errno in (errno.EACCES, errno.EPERM):
        return Refusal("--port", f"{port} may not be used by everybody", "name one above 1024")
    return Refusal("--port", f"{port} cannot be used ({error})", "name another")


def _on_signal(server: Any) -> Callable[[], None]:
    """Stop the server when it is told to; return what waits until it has come to its end."""
    began = threading.Event()
    stopping = threading.Thread(target=server.stop, name="stopping", daemon=True)

    def stop(*_: object) -> None:
        # Stopping waits for requests under way; a signal handler must not.
        if not began.is_set():
            began.set()
            stopping.start()

    for name in ("SIGTERM", "SIGINT", "SIGBREAK"):  # the last one on Windows alone
        if hasattr(signal, name):
            signal.signal(getattr(signal, name), stop)

    def end() -> None:
        from lacwright.bench import work

        work.cut_off()
        if began.is_set():
            stopping.join(ENDING_S)
        if stopping.is_alive():
            # A request hangs. What it had not written to the end is not written at all.
            sys.stdout.flush()
            sys.stderr.flush()
            os._exit(0)

    return end


def _show_faults() -> None:
    """Write the details of internal faults where the server was started."""
    log = logging.getLogger("django.request")
    if not log.handlers:
        shown = logging.StreamHandler()
        shown.setLevel(logging.ERROR)
        log.addHandler(shown)


def _harden(headers: Any, path: str, url: str) -> None:
    headers["X-Content-Type-Options"] = "nosniff"
    headers["Cross-Origin-Resource-Policy"] = "same-origin"
    headers["Content-Security-Policy"] = "default-src 'none'"
