"""What a test says: from times on glass and limits to a verdict, without a record.

A drying test is a drop of the jar and a drop of a fresh mix side by side. Three stages are timed
from laying: no longer tacky, takes no mark of a nail, powders under fine paper. A stage can also
be "not yet after so long". The limits hold in a room that is neither cold nor damp; outside it
only the comparison with the control says anything.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields

from lacwright.figures import Refusal
from lacwright.figures.spoken import trimmed

PASSED, FAILED, RUNNING = "passed", "failed", "running"
CONTROL_FAILED, NOT_JUDGED = "control failed", "not judged"
VERDICTS = (PASSED, FAILED, RUNNING, CONTROL_FAILED, NOT_JUDGED)

_NOT_SAID = "not said"
_STAGES = {
    "tack_free_min": ("tack-free", "was tack-free only", "was still tacky"),
    "nail_min": ("no mark of a nail", "took no mark of a nail only", "still took a nail's mark"),
    "powder_min": ("powder under fine paper", "powdered only", "still gummed under fine paper"),
}
LONGEST_MIN = 60.0 * 24 * 60
"""Two months: nobody watches a drop longer."""


@dataclass(frozen=True)
class Times:
    """Minutes from laying a drop to each stage, None where it was not seen.

    Parameters
    ----------
    tack_free_min, nail_min, powder_min : float, optional
        When it was no longer tacky, took no mark of a nail, powdered [min].
    seen_min : float, optional
        When it was last looked at [min]: a stage without a time had not come by then.

    Raises
    ------
    Refusal
        For times that cannot be, or in the wrong order.
    """

    tack_free_min: float | None = None
    nail_min: float | None = None
    powder_min: float | None = None
    seen_min: float | None = None

    def __post_init__(self) -> None:
        last = 0.0
        for name in (*_STAGES, "seen_min"):
            value = getattr(self, name)
            if value is None:
                continue
            where = "--" + name.removesuffix("_min").replace("_", "-")
            if not 0 <= value <= LONGEST_MIN:
                raise Refusal(where, f"{trimmed(value)} min is no time for a drop to dry",
                              "write e.g. '12 min'")  # fmt: skip
            if value < last:
                raise Refusal(
                    where,
                    f"{trimmed(value)} min lies before an earlier stage ({trimmed(last)} min)",
                    "a drop is tack-free first, then takes no nail, then powders",
                )
            last = value

    @property
    def looked_min(self) -> float | None:
        """When it was last looked at [min]."""
        times = [t for t in (self.seen_min, *self.stages().values()) if t is not None]
        return max(times) if times else None

    def stages(self) -> dict[str, float | None]:
        """Return the stages by name."""
        return {name: getattr(self, name) for name in _STAGES}

    def merged(self, later: Times) -> Times:
        """Return these times with what was seen later."""
        told = {f.name: getattr(later, f.name) if getattr(later, f.name) is not None
                else getattr(self, f.name) for f in fields(self)}  # fmt: skip
        if later.seen_min is None and self.seen_min is not None:
            # Whoever saw a stage later has looked at least until then.
            told["seen_min"] = max(self.seen_min, *(t for t in later.stages().values() if t), 0.0)
        return Times(**told)

    def as_json(self) -> dict[str, float | None]:
        """Return the times by name."""
        return {f.name: getattr(self, f.name) for f in fields(self)}


@dataclass(frozen=True)
class Limits:
    """Latest times of the three stages [min], and the room in which they hold."""

    tack_free_min: float
    nail_min: float
    powder_min: float
    room_low_c: float
    room_high_c: float
    room_rh: float

    def as_json(self) -> dict[str, float]:
        """Return the limits by name."""
        return {f.name: getattr(self, f.name) for f in fields(self)}


@dataclass(frozen=True)
class Verdict:
    """What a test says, and why, in sentences."""

    word: str
    says: tuple[str, ...]
    look_min: float | None = None
    """When to look again, in minutes from laying; None where it is decided."""


def judge_drying(
    *, jar: Times, control: Times | None, limits: Limits, temp_c: float | None = None,
    rh: float | None = None,
) -> Verdict:  # fmt: skip
    """Return the verdict of a drying test.

    Parameters
    ----------
    jar : Times
        The drop of the jar.
    control : Times, optional
        The drop of a fresh mix beside it.
    limits : Limits
        Latest times, and the room in which they hold.
    temp_c, rh : float, optional
        The room [C], [1].
    """
    mine = {name: _stage(jar, name, limits) for name in _STAGES}
    other = {name: _NOT_SAID if control is None else _stage(control, name, limits)
             for name in _STAGES}  # fmt: skip
    room = _room(limits, temp_c, rh)
    late = [name for name, state in mine.items() if state == FAILED]
    says = [_late(jar, name, limits) for name in late]
    look = _look(jar, control, limits, mine, other)
    if late:
        if any(other[name] == PASSED for name in late):
            return Verdict(FAILED, (*says, "The control beside it was in time: it is the jar."))
        if any(other[name] == FAILED for name in late):
            return Verdict(CONTROL_FAILED, (*says, *_suspects(room)))
        if any(other[name] == RUNNING for name in late):
            wait = "The control has time left: look at it again before anything is said of the jar."
            return Verdict(RUNNING, (*says, wait), look)
        if room:
            return Verdict(
                NOT_JUDGED,
                (
                    *says,
                    *room,
                    "Without a control in time that says "
                    "nothing about the jar: repeat it beside a drop of a fresh mix.",
                ),
            )
        return Verdict(FAILED, (*says, "There was no control beside it: repeat it beside a drop "
                                "of a fresh mix to know whether it is the jar."))  # fmt: skip
    if all(state == PASSED for state in mine.values()):
        notes = [*room] if room else []
        if any(state == FAILED for state in other.values()):
            notes.append("The control was late all the same: look at its flakes and alcohol.")
        return Verdict(PASSED, ("It was in time at every stage.", *notes))
    if any(state == RUNNING for state in mine.values()):
        return Verdict(RUNNING, ("Not decided yet.", *room), look)
    lacking = [_STAGES[name][0] for name, state in mine.items() if state == _NOT_SAID]
    return Verdict(NOT_JUDGED, (f"Nothing was said of: {', '.join(lacking)}.", *room))


def judge_dissolving(
    *, hours: float, dissolved: bool, first_h: float, again_h: float
) -> Verdict:  # fmt: skip
    """Return the verdict of flakes in fresh alcohol.

    Parameters
    ----------
    hours : float
        Since they went in [h].
    dissolved : bool
        Whether no jelly and no swollen "ghost" flakes are left on a filter; haze of wax does not
        count.
    first_h, again_h : float
        When it should be dissolved, and when to look again before rejecting [h].

    Raises
    ------
    Refusal
        For hours that cannot be.
    """
    if not 0 < hours <= LONGEST_MIN / 60:
        raise Refusal("--hours", f"{trimmed(hours)} h is no time for flakes to dissolve",
                      "write e.g. '24 h'")  # fmt: skip
    if dissolved:
        word = "Dissolved, nothing left on the filter."
        late = f"It took longer than {trimmed(first_h)} h: shake it more often next time."
        return Verdict(PASSED, (word, late) if hours > first_h else (word,))
    if hours < first_h:
        return Verdict(RUNNING, (f"Not dissolved after {trimmed(hours)} h, look again at "
                                 f"{trimmed(first_h)} h.",
                                 "Shake it now and then."), first_h * 60)  # fmt: skip
    if hours < again_h:
        return Verdict(RUNNING, (
            f"Not dissolved after {trimmed(hours)} h: shake it well and look again at "
            f"{trimmed(again_h)} h before the flakes are rejected; most that fail merely lacked "
            "shaking.",
        ), again_h * 60)  # fmt: skip
    return Verdict(FAILED, (f"Jelly or swollen flakes are left after {trimmed(hours)} h.",))


def judge_water_spot(
    *, hours: float, white: bool, film_days: float | None, least_h: float, least_days: float
) -> Verdict:  # fmt: skip
    """Return the verdict of a drop of water on a dry film.

    A white mark condemns nothing: water whitens many a sound film of shellac, young, thick or
    waxed ones easily (common practice, no source). It is a reason for the drying test.

    Parameters
    ----------
    hours : float
        How long the drop stood [h].
    white : bool
        Whether it left a white mark.
    film_days : float, optional
        Age of the film [d].
    least_h, least_days : float
        How long a drop must stand, how old a film must be, to say anything.

    Raises
    ------
    Refusal
        For hours or days that cannot be.
    """
    if not 0 < hours <= LONGEST_MIN / 60:
        raise Refusal("--hours", f"{trimmed(hours)} h is no time for a drop of water",
                      "write e.g. '2 h'")  # fmt: skip
    if film_days is not None and not 0 <= film_days <= 40_000:
        raise Refusal("--film-days", f"{trimmed(film_days)} days is no age of a film",
                      "write e.g. 7")  # fmt: skip
    if film_days is None:
        return Verdict(NOT_JUDGED, ("How old the film is was not said: a young one marks anyway.",))
    if film_days < least_days:
        told = (f"The film is {trimmed(film_days)} days old: before {trimmed(least_days)} days a "
                "mark says nothing.")  # fmt: skip
        return Verdict(NOT_JUDGED, (told,))
    if white:
        return Verdict(NOT_JUDGED, (
            f"A white mark after {trimmed(hours)} h on a film of {trimmed(film_days)} days: water "
            "whitens many a sound film of shellac, so that alone shuts nothing.",
            "What decides is a drop on glass beside a drop of a fresh mix: tack, nail, powder.",
        ))  # fmt: skip
    if hours < least_h:
        return Verdict(RUNNING, (f"No mark after {trimmed(hours)} h: let the drop stand for "
                                 f"{trimmed(least_h)} h.",), least_h * 60)  # fmt: skip
    return Verdict(PASSED, (f"No mark after {trimmed(hours)} h.",))


def _stage(times: Times, name: str, limits: Limits) -> str:
    """Return "passed", "failed", "running" or "not said" for one stage of one drop."""
    limit = getattr(limits, name)
    value = getattr(times, name)
    if value is not None:
        return PASSED if value <= limit else FAILED
    stages = list(_STAGES)
    after = [getattr(times, later) for later in stages[stages.index(name) + 1 :]]
    came = [t for t in after if t is not None]
    if came:  # a later stage was seen: this one had come by then
        return PASSED if min(came) <= limit else _NOT_SAID
    looked = times.looked_min
    if looked is None:
        return _NOT_SAID
    return FAILED if looked >= limit else RUNNING


def _look(
    jar: Times, control: Times | None, limits: Limits, mine: Mapping[str, str],
    other: Mapping[str, str],
) -> float | None:  # fmt: skip
    """Return when to look again: the next limit that is not decided."""
    waits = [getattr(limits, name) for name in _STAGES if RUNNING in (mine[name], other[name])]
    return min(waits) if waits else None


def _late(times: Times, name: str, limits: Limits) -> str:
    _, came, not_yet = _STAGES[name]
    value, limit = getattr(times, name), minutes(getattr(limits, name))
    if value is None:
        return f"It {not_yet} after {minutes(times.looked_min or 0.0)} (limit {limit})."
    return f"It {came} after {minutes(value)} (limit {limit})."


def _room(limits: Limits, temp_c: float | None, rh: float | None) -> list[str]:
    says = []
    if temp_c is not None and not limits.room_low_c <= temp_c <= limits.room_high_c:
        says.append(f"The room was at {trimmed(temp_c)} C; the limits hold at "
                    f"{trimmed(limits.room_low_c)} to {trimmed(limits.room_high_c)} "
                    "C.")  # fmt: skip
    if rh is not None and rh >= limits.room_rh:
        says.append(f"The air was at {rh:.0%}; the limits hold below {limits.room_rh:.0%}.")
    return says


def _suspects(room: list[str]) -> tuple[str, ...]:
    return (
        "The control was late as well: that says nothing about the jar.",
        *room,
        "Suspect instead: the room (cold, damp, still air), the alcohol (water in it), the flakes "
        "of both if they are the same lot (dissolve test), glass that was not clean, a drop that "
        "was thick. Repeat it on clean glass in a warm, dry room.",
    )


def minutes(value: float) -> str:
    """Return a time as a person says it: "45 min", "2 h", "1.5 h"."""
    return f"{trimmed(value)} min" if value < 100 else f"{trimmed(value / 60)} h"
