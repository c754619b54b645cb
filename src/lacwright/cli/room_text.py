"""The text of `lacwright room`: the answer first, then what it is made of."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from lacwright.plan import vapour_told as told

if TYPE_CHECKING:
    from lacwright.room import Change, Estimate

_WIDE = 16


def room_lines(
    made: Estimate, changes: Sequence[Change], *, notes: Sequence[str], stopped: bool,
    lowest: bool, plot: str | None,
) -> list[str]:  # fmt: skip
    """Return the lines of an estimate.

    Parameters
    ----------
    made, changes, notes
        Of the air.
    stopped : bool
        Whether there is a stop.
    lowest : bool
        Whether the lowest limits on file count, since nobody named others.
    plot : str or None
        The drawing that was written.
    """
    rows = [*told.number_rows(made)]
    if lowest:
        rows.append(("Other limits", f"{told.OTHER_LIMITS}: --jurisdiction uk, or --limit "
                     '"ethanol 500 ppm"'))  # fmt: skip
    rows += (*told.air_rows(made), *told.change_rows(made, changes, stopped=stopped),
             *told.basis_rows(made, notes))  # fmt: skip
    lines = [told.answer(made, stopped=stopped), *(_row(*row) for row in rows)]
    if plot is not None:
        lines.append(f"Drawn: {plot}")
    return lines


def _row(name: str, words: str) -> str:
    return f"{name:<{_WIDE}} {words}"
