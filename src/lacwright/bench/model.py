"""The compiled model of the drying coat: nothing asks for it before it is ready.

Importing the compiler takes a second or two, and on a machine where the model was never compiled
it takes half a minute more. So the server loads it behind its first answers, and compiles it in a
process of its own while a page says so.
"""

from __future__ import annotations

import functools
import threading
from collections.abc import Callable

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from lacwright import drying
from lacwright.bench import work
from lacwright.figures import Refusal
from lacwright.shop.opening import opened

KIND = "compile"
AFTER_S = 1.0
"""So long after its address is told the server begins to load the model: a page comes first."""
TRIES = 3
"""So often it is begun by itself where its process is cut off."""
ENDS_S = 2.5
"""How long the end of the server waits for a load that is under way."""

View = Callable[..., HttpResponse]


def compiled() -> bool:
    """Return whether a coat can be computed at once."""
    return drying.compiled()


def needs_model(view: View) -> View:
    """Show a page that waits, and comes back by itself, as long as the model is not compiled.

    What is sent is never lost: a form that writes is shown only once the model is there.
    """

    @functools.wraps(view)
    def shown(request: HttpRequest, *args: object, **kwargs: object) -> HttpResponse:
        return view(request, *args, **kwargs) if compiled() else waiting(request)

    return shown


def waiting(request: HttpRequest) -> HttpResponse:
    """Have the model compiled, and show how far that is."""
    run = begun(again="again" in request.POST)
    return render(request, "hours/compiling.html", {
        "title": "The drying model is being made ready", "run": run, "first": drying.FIRST_TIME,
        "running": run.state == work.RUNNING,
    })  # fmt: skip


def begun(*, again: bool = False) -> work.Run:
    """Return the run that compiles: the one under way, the last that failed, or a new one.

    One that was cut off is repeated by itself, but not over and over.

    Parameters
    ----------
    again : bool
        Begin another though the last one failed.
    """
    home = opened()
    found = [run for run in work.runs(home) if run.kind == KIND]
    states = [run.state for run in found]
    failed = states[:1] in ([work.REFUSED], [work.FAULT])
    stuck = failed or states[:TRIES] == [work.CUT_OFF] * TRIES
    if states[:1] == [work.RUNNING] or (stuck and not again):
        return found[0]
    return work.start(home, KIND)


def ready_or_refuse(where: str) -> None:
    """Have the model compiled if that is due, and refuse what needs it until it is.

    Parameters
    ----------
    where : str
        The field the refusal stands at; what was typed stays there.

    Raises
    ------
    Refusal
        As long as it is not compiled.
    """
    if not compiled():
        begun()
        raise Refusal(where, "the drying model is being made ready, once for this machine",
                      "press again in half a minute")  # fmt: skip


class Loading:
    """Loads the model in a thread of its own, so that no page waits for the compiler."""

    def __init__(self, after_s: float = AFTER_S) -> None:
        self._after_s = after_s
        self._end = threading.Event()
        self._thread = threading.Thread(target=self._load, name="loading the model", daemon=True)

    def start(self) -> None:
        """Begin, a moment from now."""
        self._thread.start()

    def stop(self) -> None:
        """Do not begin any more; wait a little for a load that is under way."""
        self._end.set()
        if self._thread.is_alive():
            self._thread.join(ENDS_S)

    def _load(self) -> None:
        # An import that is cut off at the end of the process can take the process down with it.
        if not self._end.wait(self._after_s) and compiled():
            from lacwright.drying.compiling import kernel

            kernel()
