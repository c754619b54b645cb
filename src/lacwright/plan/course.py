"""The course of a job: the steps the maker wrote, or the usual ones of each method.

A course is one or more tracks. The steps of a track follow each other; tracks (the top brushed,
the legs padded) go on side by side.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from lacwright.figures import Refusal, nearest
from lacwright.plan.own import OwnFigures
from lacwright.plan.piece import MixSpec, Piece, Step
from lacwright.trade import table


@dataclass(frozen=True)
class Track:
    """Steps that follow each other; every step stands for one time."""

    name: str
    parts: tuple[str, ...]
    method: str
    steps: tuple[Step, ...]


def tracks(
    piece: Piece, own: OwnFigures, *, coats: Mapping[str, int] | None = None
) -> tuple[Track, ...]:
    """Return the course of a piece.

    Parameters
    ----------
    piece : Piece
        With its steps, or with none: then the usual course of each part's method.
    own : OwnFigures
        For the numbers of seal coats, sessions in a row, levellings.
    coats : mapping of str to int, optional
        Coats or sessions of each track, by its name, where the piece leaves their number to the
        wished film; 1 where it is not named.

    Raises
    ------
    Refusal
        For a part without a method.
    """
    coats = coats or {}
    if piece.steps:
        return (_written(piece, own, coats.get("job", 1)),)
    by_method: dict[str, list[str]] = {}
    for part in piece.parts:
        by_method.setdefault(_method_of(piece, part.name), []).append(part.name)
    return tuple(
        Track(
            method,
            tuple(names),
            method,
            _usual(piece, own, method, tuple(names), coats.get(method, 1)),
        )
        for method, names in by_method.items()
    )


def mixes(piece: Piece, own: OwnFigures) -> tuple[MixSpec, ...]:
    """Return the mixes of a piece: its own, or one of the usual cut for its first method.

    One of its own that names neither grade, lot nor jar is of the wished grade.

    Raises
    ------
    Refusal
        If no mix is given and no grade is wished for.
    """
    wished = piece.wish.grade
    if piece.mixes:
        return tuple(
            replace(spec, grade=wished)
            if spec.grade is None and not spec.flakes and spec.jar is None else spec
            for spec in piece.mixes
        )  # fmt: skip
    if not piece.parts:
        return ()
    if wished is None:
        raise Refusal("[wish] grade", "no grade is wished for and no [[mix]] is given",
                      "write grade = \"amber\" or add a [[mix]] table")  # fmt: skip
    said = next((s.method for s in piece.steps if s.method), None)
    cut = own.figure(f"cut.{said or _method_of(piece, piece.parts[0].name)}")
    return (MixSpec("body", cut.number(), grade=wished),)


def mix_of(step: Step, specs: tuple[MixSpec, ...]) -> MixSpec:
    """Return the mix a laying step is done with.

    A step that names none takes the mix called like the step (a mix named "seal"), then the one
    named "body", then the first.
    """
    names = {spec.name: spec for spec in specs}
    if step.mix is not None:
        if step.mix not in names:
            raise Refusal("[[step]] mix", f"there is no mix '{step.mix}'",
                          nearest(step.mix, names))  # fmt: skip
        return names[step.mix]
    if not specs:
        raise Refusal("[[mix]]", "a coat needs a mix", "add a [[mix]] table with name and cut")
    return names.get(step.what) or names.get("body") or specs[0]


def lays(step: Step) -> bool:
    """Return whether the step lays mix on the work."""
    return table("steps")[step.what].yes("lays")


def sands(step: Step) -> bool:
    """Return whether the step takes film off."""
    return table("steps")[step.what].yes("sands")


def counts_as_body(step: Step) -> bool:
    """Return whether the step is one of the coats or sessions that build the film."""
    return step.what in ("coat", "session")


def leaves_number_open(piece: Piece) -> bool:
    """Return whether the number of coats is to be computed from the wished film."""
    if not piece.steps:
        return True
    return piece.wish.film_left_um is not None and any(
        s.times is None and counts_as_body(s) for s in piece.steps
    )


def _written(piece: Piece, own: OwnFigures, coats: int) -> Track:
    """Return the course that the maker wrote, step by step."""
    steps: list[Step] = []
    for step in piece.steps:
        # A rest is said once for all repeats and comes after the last; a wait after each.
        each = replace(step, times=1, rest_days=None, rest_working_days=None)
        n = _times(step, piece, coats)
        for repeat in [each] * (n - 1) + [replace(step, times=1)] * min(n, 1):
            steps += _by_method(repeat, piece)
    most = own.value("most_steps")
    if len(steps) > most:
        raise Refusal("[[step]]", f"the course has {len(steps)} steps, more than {most:g}",
                      "check `times`, or plan the job in parts")  # fmt: skip
    parts = tuple(p.name for p in piece.parts)
    method = next((s.method for s in steps if s.method), None)
    if method is None:
        method = next((p.method for p in piece.parts if p.method), None) or "brush"
    return Track("job", parts, method, tuple(with_rests(steps, own)))


def _by_method(step: Step, piece: Piece) -> list[Step]:
    """Return a laying step once for each method of its parts, where it names none itself."""
    if step.method or not lays(step) or step.what in ("session", "glaze"):
        return [step]
    parts = step.parts or tuple(p.name for p in piece.parts)
    groups: dict[str, tuple[str, ...]] = {}
    for part in parts:
        method = _method_of(piece, part)
        groups[method] = (*groups.get(method, ()), part)
    if len(groups) == 1:
        return [replace(step, method=next(iter(groups)))]
    return [replace(step, method=method, parts=names) for method, names in groups.items()]


def with_rests(steps: list[Step], own: OwnFigures) -> list[Step]:
    """Return the steps with the usual rests where nothing else is said.

    Pumice rests before what follows it; a French-polished body before it is levelled; the last
    coat before it is rubbed out; the film before wax, load or hand-over. A step with a wait or a
    rest of its own keeps it. A step "rest" or "harden" without its length takes the usual one.
    """
    out = list(steps)
    for k, step in enumerate(out):
        if step.wait_h is not None or step.rest_days is not None or step.rest_working_days:
            continue
        before = out[k - 1] if k else None
        after = out[k + 1] if k + 1 < len(out) else None
        if step.what in _RESTS:
            key = _rest_between(before, after) if before else None
            key = "rest.before_load" if step.what == "harden" else key or "rest.sessions"
        elif after is None or after.what in _RESTS:
            continue
        else:
            key = _rest_between(step, after)
        if key is not None:
            out[k] = replace(step, rest_days=own.value(key), rest_figure=key)
    return out


_RESTS = ("rest", "harden")
_POLISHED = ("session", "spirit-off")


def _rest_between(step: Step, after: Step | None) -> str | None:
    """Return the own figure for the rest between two steps, None where none is usual."""
    following = after.what if after else ""
    if step.what == "pumice":
        return "rest.pumice" if following != "pumice" else None
    if following == "level" and step.what in _POLISHED:
        return "rest.before_level"
    if following == "rub" and (lays(step) or step.what == "spirit-off"):
        return "rest.before_rub"
    if following in ("wax", "deliver") and step.what != "wax":
        return "rest.before_load"
    return None


def _times(step: Step, piece: Piece, coats: int) -> int:
    if step.times is not None:
        return step.times
    if counts_as_body(step) and piece.wish.film_left_um is not None:
        return coats
    return 1


def _method_of(piece: Piece, name: str) -> str:
    for part in piece.parts:
        if part.name == name:
            if part.method is None:
                raise Refusal(f"[[part]] {name}", "no method is given and there are no [[step]]s",
                              'write method = "brush" (or pad, french-polish, ...)')  # fmt: skip
            return table("methods").find(part.method, f"[[part]] {name}, method").key
    raise KeyError(name)


def _usual(
    piece: Piece, own: OwnFigures, method: str, parts: tuple[str, ...], n: int
) -> tuple[Step, ...]:
    steps = (
        _polish(piece, own, parts, n)
        if method.startswith("french-polish")
        else _coats(own, n, method)
    )
    return tuple(replace(s, parts=parts, method=s.method or method) for s in steps)


def _coats(own: OwnFigures, n: int, method: str) -> list[Step]:
    """Brushed, padded, wiped, sprayed: scuff early, level brush marks every few, rub out."""
    first = max(1, round(own.value(f"first_scuff.{method}")))
    every = max(1, round(own.value("levels_every")))
    steps: list[Step] = []
    for k in range(1, n + 1):
        steps.append(Step("coat"))
        # Flats only: an arris holds a fraction of the film and loses several times as much.
        if k == first and k < n:
            steps.append(Step("scuff", edges=False))
        elif k % every == 0 and first < k < n and method == "brush":
            steps.append(Step("level", edges=False))
    rub_after = own.value("rest.before_rub")
    steps[-1] = replace(steps[-1], rest_days=rub_after, rest_figure="rest.before_rub")
    steps.append(Step("rub", edges=False))
    hard = max(0.0, own.value("rest.before_load") - rub_after)
    steps.append(Step("harden", rest_days=hard, rest_figure="rest.before_load"))
    return steps


def _polish(piece: Piece, own: OwnFigures, parts: tuple[str, ...], n: int) -> list[Step]:
    """French polish: seal, fill open pores with pumice, rest, body, rest, level, glaze, harden."""
    steps = [Step("seal", method="pad") for _ in range(round(own.value("seal_coats")))]
    woods = table("woods")
    faces = [z for p in piece.parts if p.name in parts for z in p.zones if z.kind == "face"]
    if any(z.wood in woods and woods[z.wood].text("pores") == "open" for z in faces):
        fillings = round(own.value("pumice_days.open"))
        steps += [Step("pumice") for _ in range(fillings)]
    steps += [Step("session") for _ in range(n)]
    steps += [Step("spirit-off"), Step("level", edges=False)]
    steps += [Step("glaze") for _ in range(round(own.value("glaze_sessions")))]
    steps.append(Step("harden"))
    return with_rests(steps, own)
