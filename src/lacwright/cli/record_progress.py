"""How far long work is, on stderr; quiet for what is done at once."""

from __future__ import annotations

import time
from collections.abc import Callable

import click

FIRST_S, NEXT_S = 2.0, 2.0


def progress() -> Callable[[str, int, int], None]:
    """Return what is told how far the work is, and says so from the third second on."""
    begun = last = time.monotonic()
    spoken = ""

    def tell(what: str, done: int, whole: int) -> None:
        nonlocal last, spoken
        now = time.monotonic()
        if now - begun < FIRST_S or now - last < NEXT_S:
            return
        share = f"{what}, {100 * done // whole} %" if whole else what
        if share != spoken:
            click.echo(f"  {share}", err=True)
            spoken = share
        last = now

    return tell
