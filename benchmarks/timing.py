"""How long something takes."""

from __future__ import annotations

import statistics
import time
from collections.abc import Callable


def median(job: Callable[[], object], repeats: int = 7) -> float:
    """Return the median time of a job in seconds."""
    times = []
    for _ in range(repeats):
        begin = time.perf_counter()
        job()
        times.append(time.perf_counter() - begin)
    return statistics.median(times)
