"""What was worked out and holds as long as nothing is written down: kept by the last seal.

The seal of the last movement binds everything before it, so it tells two states of a record apart
even where a transaction was given up and its numbers are used again.
"""

from __future__ import annotations

import threading
from collections import OrderedDict
from collections.abc import Callable, Hashable
from typing import Any, TypeVar, cast

from django.db import connection

from lacwright.shop.models import Movement

T = TypeVar("T")
MOST = 64
"""So many answers are kept; what was not asked for longest goes first."""

_kept: OrderedDict[Hashable, Any] = OrderedDict()
_lock = threading.Lock()


def remembered(what: Hashable, make: Callable[[], T]) -> T:
    """Return what `make` gives, or gave when the record last stood as it does now.

    Parameters
    ----------
    what : hashable
        Names the question with everything it depends on beside the record.
    make : callable
        Works it out, from the record and the tables alone; nobody changes what it returns.
    """
    seal = Movement.objects.order_by("-id").values_list("seal", flat=True).first()
    key = (str(connection.settings_dict["NAME"]), seal, what)
    with _lock:
        if key in _kept:
            _kept.move_to_end(key)
            return cast(T, _kept[key])
    made = make()
    with _lock:
        _kept[key] = made
        while len(_kept) > MOST:
            _kept.popitem(last=False)
    return made
