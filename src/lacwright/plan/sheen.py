"""The sheen a course ends with, against the wished one. Wide bands of common practice."""

from __future__ import annotations

from lacwright.figures import Figure
from lacwright.film import classes, last_steps_for, sheen_after, wished_band
from lacwright.plan.course import Track, lays, sands
from lacwright.plan.piece import Wish
from lacwright.trade import table

_POLISHED = ("glaze", "spirit-off", "session")


def sheen_of(course: tuple[Track, ...], wish: Wish) -> tuple[Figure | None, tuple[str, ...]]:
    """Return the gloss at 60 degrees after the last step, and what to say about the wish.

    The figure is None where the last step does not say what it is done with.
    """
    last, waxed = _last_step(course)
    figure, notes = None, []
    if last:
        sheen = sheen_after(last, waxed=waxed)
        figure = sheen.gu60
        notes.append(
            f"after {last} about {figure.number():.0f} GU60 ({figure.low:.0f} to "
            f"{figure.high:.0f}): {', '.join(sheen.classes)}; common practice, measure your own"
        )
    if wish.sheen:
        low, high = wished_band(wish.sheen, "[wish] sheen")
        fits = figure is not None and low <= figure.number() <= high
        # Steel wool is left out: it brings a caution of its own, and others do as well.
        steps = [s for s in last_steps_for(low=low, high=high) if "wool" not in s]
        if not fits and steps:
            notes.append(
                f"{wish.sheen} stands for {low:.0f} to {high:.0f} GU60 "
                f"({', '.join(classes(low=low, high=high))}): end with " + " or ".join(steps)
            )
        elif not fits:
            top = table("sheen")["spirited off"].number("high")
            notes.append(f"{wish.sheen} stands for {low:.0f} to {high:.0f} GU60: no last step "
                         f"reaches it, shellac mirrors at most {top:.0f}")  # fmt: skip
    return figure, tuple(notes)


def _last_step(course: tuple[Track, ...]) -> tuple[str, bool]:
    """Return what the last working step is done with ("" where it is not said), and wax."""
    last, waxed = "", False
    for track in course:
        for step in track.steps:
            if lays(step) or sands(step) or step.what in _POLISHED:
                if step.what in _POLISHED:
                    last = "spirited off"
                elif sands(step):
                    last = step.abrasive or ""
                else:
                    last = ""
                waxed = False
            elif step.what == "wax":
                waxed = True
    if last and not _known(last):
        return "", waxed
    return last, waxed


def _known(last: str) -> bool:
    from lacwright.figures import Refusal

    try:
        sheen_after(last)
    except Refusal:
        return False
    return True
