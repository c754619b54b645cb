"""Long work: done by a process of its own, told step by step, never half forgotten.

A run is a small file beside the record: what is done, how far it is, what came of it. Its process
holds a lock as long as it lives; a run without an end and without its process was cut off (by a
restart, say). It says so and can be repeated.
"""

from __future__ import annotations

import contextlib
import json
import multiprocessing
import os
import re
import signal
import threading
import time
import uuid
from collections.abc import Callable
from dataclasses import asdict, dataclass, field, replace
from importlib import import_module
from pathlib import Path
from typing import Any

from lacwright.bench.held import hold, is_held
from lacwright.figures import Refusal
from lacwright.shop import Home, close_record, find_home, open_record

KEPT = 50
"""Runs that are kept; older ones are removed when a new one begins."""
BEGINS_S = 20.0
"""So long a process may take to come up before its run counts as cut off."""
BETWEEN_S = 0.25
"""How often a run writes down how far it is."""
MOST_LINES = 200

# What can be done: words for the page, and where the function is. It takes the home, a function
# to tell how far it is and the arguments of the request, and returns an Outcome.
KINDS = {
    "audit": ("Check the record", "lacwright.bench.jobs:audit"),
    "backup": ("Make a backup", "lacwright.bench.jobs:backup"),
    "export": ("Write the whole shop into an open file", "lacwright.bench.jobs:export"),
    "compile": ("Make the drying model ready", "lacwright.bench.jobs:compile_model"),
    "picture": ("Make the picture in full size", "lacwright.bench.jobs:full_picture"),
    "take-back": ("Take back what was written down together", "lacwright.bench.jobs:take_back"),
}
ANY_TIME = ("backup", "audit", "export")
"""What can be asked for by its name alone."""

RUNNING, DONE, REFUSED, FAULT, CUT_OFF = "running", "done", "refused", "fault", "cut off"


@dataclass(frozen=True)
class Outcome:
    """What came of long work.

    Parameters
    ----------
    told : str
        In a sentence.
    lines : tuple of str
        What was found, line by line.
    file : str
        What was written, "" if nothing was.
    """

    told: str
    lines: tuple[str, ...] = ()
    file: str = ""


@dataclass(frozen=True)
class Run:
    """One piece of long work.

    Parameters
    ----------
    id, kind : str
        Its name, and what is done.
    args : dict
        What it was started with.
    state : str
        "running", "done", "refused", "fault" or "cut off".
    told : str
        How far it is, or what came of it.
    lines : list of str
        What was found.
    file : str
        What was written.
    share : float or None
        How much of it is done [0 to 1], where that is known.
    begun, ended : float
        When [s since 1970]; 0 where it has not ended.
    """

    id: str
    kind: str
    args: dict[str, Any] = field(default_factory=dict)
    state: str = RUNNING
    told: str = "it begins"
    lines: list[str] = field(default_factory=list)
    file: str = ""
    share: float | None = None
    begun: float = 0.0
    ended: float = 0.0

    @property
    def words(self) -> str:
        """What is done, in words."""
        return KINDS[self.kind][0] if self.kind in KINDS else self.kind

    @property
    def percent(self) -> int | None:
        """How much of it is done [0 to 100]."""
        return None if self.share is None else round(100 * self.share)


Tell = Callable[[str, float | None], None]
_starting = threading.Lock()


def start(home: Home, kind: str, args: dict[str, Any] | None = None) -> Run:
    """Start a piece of long work in a process of its own and return it at once.

    One that does the same already is returned in place of a second.

    Raises
    ------
    Refusal
        For a kind of work that there is not, or if nothing can be written.
    """
    if kind not in KINDS:
        raise Refusal("work", f"'{kind}' is no long work",
                      f"use one of: {', '.join(KINDS)}")  # fmt: skip
    with _starting:
        for other in runs(home):
            if other.state == RUNNING and (other.kind, other.args) == (kind, args or {}):
                return other
        run = Run(uuid.uuid4().hex, kind, args or {}, begun=time.time())
        try:
            _folder(home).mkdir(mode=0o700, parents=True, exist_ok=True)
            _tidy(home)
            _write(home, run)
        except OSError as error:
            raise Refusal("work", f"nothing can be written in {_folder(home)} ({error.strerror})",
                          "make room, or check who owns the folder") from None  # fmt: skip
        # Spawned, not forked: a fork of a server with threads would inherit their locks.
        # It ends with the server: what it wrote to the end is kept, of the rest nothing is.
        multiprocessing.get_context("spawn").Process(
            target=_do, args=(str(home.folder), run.id), daemon=True
        ).start()
    return run


def look(home: Home, number: str) -> Run | None:
    """Return a run as it stands now, None if there is none of that name."""
    if not re.fullmatch(r"[0-9a-f]{32}", number):
        return None
    alive = is_held(_lock(home, number))  # before it is read: it may end in between
    try:
        text = (_folder(home) / f"{number}.json").read_text(encoding="utf-8")
        run = Run(**json.loads(text))
    except (OSError, ValueError, TypeError):
        return None
    young = not _lock(home, number).exists() and time.time() - run.begun < BEGINS_S
    if run.state == RUNNING and not alive and not young:
        run = replace(
            run,
            state=CUT_OFF,
            told="It was cut off before its end, by a restart of "
            "the server or of the machine; nothing of it counts. It can be repeated.",
        )
    return run


def runs(home: Home) -> list[Run]:
    """Return the runs that are kept, the last one first."""
    found = [look(home, path.stem) for path in _folder(home).glob("*.json")]
    return sorted((run for run in found if run is not None), key=lambda r: -r.begun)


def cut_off() -> None:
    """End whatever runs in a process of this server."""
    for process in multiprocessing.active_children():
        process.terminate()


def _do(folder: str, number: str) -> None:
    # Ctrl-C reaches all processes of a terminal; the server decides when this one ends.
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    os.environ["DJANGO_SETTINGS_MODULE"] = "lacwright.shop.settings"
    home = find_home(folder)
    mine = hold(_lock(home, number), wait=True)
    run = look(home, number)
    assert mine is not None
    assert run is not None
    last = 0.0

    def tell(told: str, share: float | None = None) -> None:
        nonlocal run, last
        assert run is not None
        run = replace(run, told=told, share=share)
        if time.monotonic() - last >= BETWEEN_S:
            _write(home, run)
            last = time.monotonic()

    try:
        module, _, name = KINDS[run.kind][1].partition(":")
        open_record(home, create=False)
        do: Callable[..., Outcome] = getattr(import_module(module), name)
        out = do(home, tell=tell, **run.args)
        run = replace(run, told=out.told, lines=list(out.lines[:MOST_LINES]), file=out.file,
                      state=DONE, share=1.0)  # fmt: skip
    except Refusal as refusal:
        run = replace(run, told=str(refusal), state=REFUSED)
    except Exception as fault:
        run = replace(run, told=f"Internal fault, not your input: {type(fault).__name__}: {fault}",
                      state=FAULT)  # fmt: skip
    finally:
        close_record()
    _write(home, replace(run, ended=time.time()))
    mine.let_go()


def _write(home: Home, run: Run) -> None:
    path = _folder(home) / f"{run.id}.json"
    half = path.with_suffix(".part")
    half.write_text(json.dumps(asdict(run)), encoding="utf-8")
    half.replace(path)


def _tidy(home: Home) -> None:
    """Take away all but the last runs."""
    paths = sorted(_folder(home).glob("*.json"), key=lambda p: p.stat().st_mtime)
    for path in paths[: -(KEPT - 1)]:
        for old in (path, _lock(home, path.stem), path.with_suffix(".part")):
            with contextlib.suppress(OSError):
                old.unlink()


def _lock(home: Home, number: str) -> Path:
    return _folder(home) / f"{number}.lock"


def _folder(home: Home) -> Path:
    return home.folder / "runs"
