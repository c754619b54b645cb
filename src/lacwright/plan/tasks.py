"""From a course to the tasks of a calendar: words, waits with their source, rests, mixes first."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, replace

from lacwright.figures import Basis, Figure, Refusal, given
from lacwright.figures.spoken import founded
from lacwright.plan.calendar import Settings, Task
from lacwright.plan.course import Track
from lacwright.plan.laying import Laying, method_of
from lacwright.plan.own import OwnFigures
from lacwright.plan.piece import MixSpec, Piece, Step
from lacwright.trade import table

HOURS_A_DAY = 24


@dataclass(frozen=True)
class Wait:
    """The time before the next step, and whose figure it is.

    Parameters
    ----------
    hours, rest_days, rest_working_days : float
        As planned [h], [d].
    figure : Figure
        What is planned [h], with its source.
    practice : Figure
        What the maker or practice says [h].
    model : Figure or None
        What the model of the drying coat says [h], None where it has no say.
    stage : str
        What the model's wait is for: "recoat", "sandable", or "".
    beyond : bool
        The model does not reach that within its horizon, which stands in its place.
    """

    hours: float
    rest_days: float
    rest_working_days: int
    figure: Figure
    practice: Figure
    model: Figure | None = None
    stage: str = ""
    beyond: bool = False

    @property
    def source(self) -> str:
        """Return "piece file", "from your log" or the default's source with its mark."""
        figure = self.figure
        if figure.basis is Basis.DEFAULT:
            return f"default, {founded(figure.mark, figure.source)}"
        return figure.source


def waits_of_practice(course: tuple[Track, ...], own: OwnFigures) -> dict[tuple[str, int], Wait]:
    """Return the wait after every step of a course, by track and index, without the model."""
    return {
        (track.name, index): wait_after(step, method_of(step, track), own)
        for track in course for index, step in enumerate(track.steps)
    }  # fmt: skip


def wait_after(step: Step, method: str, own: OwnFigures) -> Wait:
    """Return the wait or rest after a step: said at the step, the maker's own, or usual."""
    where = f"piece file, step {step.what}"
    if step.rest_working_days:
        days = step.rest_working_days
        return _wait(step.wait_h or 0.0, 0.0, days, given(24.0 * days, "h", where))
    if step.rest_days is not None:
        figure = given(24.0 * step.rest_days, "h", where)
        if step.rest_figure is not None:
            figure = _in_hours(own.figure(step.rest_figure))
        return _wait(step.wait_h or 0.0, step.rest_days, 0, figure)
    if step.wait_h is not None:
        return _wait(step.wait_h, 0.0, 0, given(step.wait_h, "h", where))
    key = table("steps")[step.what].text("wait")
    if not key and step.what in ("coat", "session"):
        key = f"wait.{method}"
    if not key:
        return _wait(0.0, 0.0, 0, given(0.0, "h", "no wait"))
    figure = own.figure(key)
    return _wait(figure.number(), 0.0, 0, figure)


def _wait(hours: float, rest_days: float, rest_working_days: int, figure: Figure) -> Wait:
    return Wait(hours, rest_days, rest_working_days, figure, figure)


def _in_hours(days: Figure) -> Figure:
    """Return a figure of days as one of hours, its basis and source kept."""
    low, high = days.low, days.high
    return replace(
        days, unit="h", value=24.0 * days.number(), low=None if low is None else 24.0 * low,
        high=None if high is None else 24.0 * high,
    )  # fmt: skip


def tasks_of(
    course: tuple[Track, ...], coats: tuple[Laying, ...], specs: tuple[MixSpec, ...],
    ready_h: Mapping[str, float], piece: Piece, own: OwnFigures,
    waits: Mapping[tuple[str, int], Wait],
    refused: frozenset[tuple[str, int, str]] = frozenset(),
) -> list[list[Task]]:  # fmt: skip
    """Return one track of tasks for each mix to make and each track of the course.

    A coat waits until its mix has dissolved and is strained. A sanding that is refused on all
    its parts stays as a line that says so and takes no time.

    Parameters
    ----------
    course, coats, specs, piece, own
        As planned.
    ready_h : mapping of str to float
        Hours until each mix has dissolved; the mixes of a class among them.
    waits : mapping of (track, index of step) to Wait
        The wait after every step.
    refused : frozenset of (track, index of step, part)
        Sandings that would go through.
    """
    used = {c.mix.name for c in coats} | _class_mixes(piece)
    out: list[list[Task]] = []
    for spec in specs:
        if spec.jar is None and spec.name in used:
            out.append(_mix_tasks(spec, ready_h[spec.name], own))
    by_step = {(c.track, c.index): c for c in coats}
    whole = tuple(p.name for p in piece.parts)
    for track in course:
        counts: Counter[str] = Counter()
        tasks = []
        for index, step in enumerate(track.steps):
            laying = by_step.get((track.name, index))
            method = method_of(step, track)
            counts[step.what] += 1
            parts = step.parts or track.parts
            not_done = tuple(p for p in parts if (track.name, index, p) in refused)
            row = table("steps")[step.what]
            wait = waits[track.name, index]
            after = (
                (f"mix {laying.mix.name}",) if laying and laying.mix.jar is None else ()
            )  # fmt: skip
            tasks.append(
                Task(
                    what=_words(step, counts[step.what], laying, not_done, parts),
                    part=place_words(step, parts, whole),
                    counts=row.text("counts"), method=method,
                    needs_working_day=(
                        row.yes("working_day") if step.working_day is None else step.working_day
                    ),
                    wait_h=wait.hours, rest_days=wait.rest_days,
                    rest_working_days=wait.rest_working_days,
                    hours=0.0 if not_done == parts else step.hours or 0.0, index=index,
                    name=f"{track.name} {index}", after=after,
                )
            )  # fmt: skip
        out.append(tasks)
    return out


def settings_of(piece: Piece, methods: set[str], own: OwnFigures) -> Settings:
    """Return the week and the limits of a day from shop, own figures and defaults."""
    shop = piece.shop
    days = shop.working_days
    if own.value("day.hours") > HOURS_A_DAY:
        raise Refusal("[hand.day] hours", f"a working day of {own.value('day.hours'):g} h",
                      "write e.g. 8 h")  # fmt: skip
    if days is None:
        days = tuple(range(round(own.value("working_days"))))
    return Settings(
        working_days=frozenset(days), closed=frozenset(shop.closed),
        day_start_h=own.value("day.start"), day_hours=own.value("day.hours"),
        coats_per_day={m: round(own.value(f"coats_per_day.{m}")) for m in methods},
        sessions_before_rest=round(own.value("sessions_before_rest")),
        rest_days_after_sessions=round(own.value("rest.sessions")),
        weekend_rests=bool(own.value("weekend_rests")),
    )  # fmt: skip


def wait_notes(
    piece: Piece, coats: tuple[Laying, ...], waits: Mapping[tuple[str, int], Wait]
) -> tuple[str, ...]:
    """Return a note where usual waits that no model checked are used in air not meant for them."""
    told = [waits[c.track, c.index] for c in coats]
    usual = [w for w in told if w.model is None and w.figure.basis is Basis.DEFAULT]
    out, rows = [], table("climate")
    for name, value, unit, scale in (
        ("temperature", piece.shop.temp_c, " C", 1.0), ("humidity", piece.shop.rh, " %", 100.0)
    ):  # fmt: skip
        row = rows[f"usual_waits.{name}"]
        low, high = row.number("low"), row.number("high")
        if usual and value is not None and not low <= value <= high:
            out.append(
                f"the usual waits hold at {low * scale:g} to {high * scale:g}{unit}; the shop has "
                f"{value * scale:.0f}{unit}: go by touch and nail, not by the clock"
            )
    return tuple(out)


def place_words(step: Step, parts: tuple[str, ...], whole: tuple[str, ...]) -> str:
    """Return where a step works: "top, legs", or "lid: top, side edges" for named faces."""
    words = parts_words(parts, whole)
    return f"{words}: {', '.join(step.faces)}" if step.faces else words


def parts_words(parts: tuple[str, ...], whole: tuple[str, ...]) -> str:
    """Return "top, legs", or "all parts" where there are several and all are meant."""
    return "all parts" if len(whole) > 2 and set(parts) >= set(whole) else ", ".join(parts)


def _mix_tasks(spec: MixSpec, ready_h: float, own: OwnFigures) -> list[Task]:
    rows = table("steps")
    return [
        Task(what=f"{rows['dissolve'].text('words')}: {spec.name}", part=f"mix {spec.name}",
             wait_h=ready_h, name=f"dissolve {spec.name}"),
        Task(what=f"{rows['strain'].text('words')}: {spec.name}", part=f"mix {spec.name}",
             hours=own.value("strain.hours"), name=f"mix {spec.name}"),
    ]  # fmt: skip


def _words(
    step: Step, n: int, laying: Laying | None, not_done: tuple[str, ...], parts: tuple[str, ...]
) -> str:
    row = table("steps")[step.what]
    words = row.text("words")
    if laying is not None:
        mix = laying.mix
        words += f" {laying.number} ({mix.name}, {mix.cut_lb_per_gal:g}-lb)"
    elif step.what == "pumice":
        words += f" {n}"
    if step.abrasive:
        words += f" with {step.abrasive}"
    if row.yes("sands") and step.edges is False:
        words += ", flats only"
    if not_done == parts:
        return f"REFUSED, it would go through: {words}"
    if not_done:
        words += f"; REFUSED on {', '.join(not_done)}, it would go through there"
    return f"{words}: {step.note}" if step.note else words


def _class_mixes(piece: Piece) -> set[str]:
    if piece.course is None:
        return set()
    return {e.mix for e in piece.course.exercises} | {m for m, _ in piece.course.lost_per_person_ml}
