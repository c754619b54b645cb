"""What was worked out and holds as long as nothing is written down: kept by the last seal.

The seal of the last movement binds everything before it, so it tells two states of a record apart
even where a transaction was given up and its numbers are used again. Indexes that were made anew
leave no seal: of a database that is a file its last change tells.
"""

from __future__ import annotations

import contextlib
import os
import threading
from collections import OrderedDict, defaultdict
from collections.abc import Callable, Hashable
from typing import Any, TypeVar, cast

from django.db import connection

from lacwright.shop.asked import rows
from lacwright.shop.reading import snapshot

T = TypeVar("T")
MOST = 64
"""So many answers of a kind are kept; what was not asked for longest goes first."""

_kept: dict[Hashable, OrderedDict[Hashable, Any]] = defaultdict(OrderedDict)
_lock = threading.Lock()


def remembered(what: Hashable, make: Callable[[], T]) -> T:
    """Return what `make` gives, or gave when the record last stood as it does now.

    Parameters
    ----------
    what : hashable
        Names the question with everything it depends on beside the record; of a tuple the first
        is its kind.
    make : callable
        Works it out, from the record and the tables alone; nobody changes what it returns.
    """
    with snapshot():  # the seal and the answer are of one state
        key, kind = (*state(), what), what[0] if isinstance(what, tuple) else what
        with _lock:
            mine = _kept[kind]
            if key in mine:
                mine.move_to_end(key)
                return cast(T, mine[key])
        made = make()
    with _lock:
        mine[key] = made
        while len(mine) > MOST:
            mine.popitem(last=False)
    return made


def state() -> tuple[Hashable, ...]:
    """Return what tells one state of a record from any other; ask within a snapshot."""
    seal = next((seal for (seal,) in rows(_LAST)), None)  # from here on nobody can change it
    name, changed = str(connection.settings_dict["NAME"]), None
    if connection.vendor == "sqlite":
        with contextlib.suppress(OSError):
            changed = os.stat(name).st_mtime_ns
    return name, changed, seal


_LAST = "SELECT seal FROM shop_movement ORDER BY id DESC LIMIT 1"
