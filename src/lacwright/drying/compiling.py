"""The compiled model on its way into the program: where its cache lies, whether it is due."""

from __future__ import annotations

import json
import os
import platform
import sys
from collections.abc import Callable
from functools import cache
from importlib import metadata
from pathlib import Path
from types import ModuleType

HERE = Path(__file__).parent
MARK = "lacwright-kernel.json"
FIRST_TIME = "compiling the drying model, once for this machine: about half a minute"


@cache
def kernel() -> ModuleType:
    """Return the module of the compiled model; imports numba, which takes about a second."""
    folder = cache_folder()
    if folder != HERE / "__pycache__":
        os.environ.setdefault("NUMBA_CACHE_DIR", str(folder))
    from lacwright.drying import kernel as module

    return module


def cache_folder() -> Path:
    """Return the folder of the compiled code: the package's, or the user's if that is shut."""
    if chosen := os.environ.get("NUMBA_CACHE_DIR"):
        return Path(chosen)
    own = HERE / "__pycache__"
    if os.access(own if own.exists() else HERE, os.W_OK):
        return own
    from platformdirs import user_cache_dir

    return Path(user_cache_dir("lacwright", appauthor=False)) / "compiled"


def compiled() -> bool:
    """Return whether the model is compiled for this machine, without importing the compiler."""
    folder = cache_folder()
    try:
        told = json.loads((folder / MARK).read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return False
    return bool(told == _stamp() and any(folder.rglob("kernel.dry_cases-*.nbi")))


def compile_now(progress: Callable[[str], None] = lambda words: None) -> bool:
    """Compile the model if that is due; return whether it was.

    Parameters
    ----------
    progress : callable
        Is told the one line to say before it begins; nothing where nothing is due.
    """
    if compiled():
        return False
    progress(FIRST_TIME)
    from lacwright.drying.warm import warm

    warm()
    folder = cache_folder()
    try:
        folder.mkdir(parents=True, exist_ok=True)
        (folder / MARK).write_text(json.dumps(_stamp()), encoding="utf-8")
    except OSError:  # nowhere to keep it: it is compiled again next time, and said again
        pass
    return True


def _stamp() -> dict[str, object]:
    source = (HERE / "kernel.py").stat()
    return {
        "source": [source.st_mtime_ns, source.st_size],
        "compiler": metadata.version("numba"),
        "python": sys.version,
        "machine": [platform.machine(), platform.processor(), platform.node()],
    }
