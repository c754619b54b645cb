"""What happened on a piece, as the pages of jobs, pieces and panels show it."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from lacwright.figures import Figure
from lacwright.figures.spoken import trimmed
from lacwright.shop import clock
from lacwright.shop.queries.colour_seen import LOOK, PANEL
from lacwright.shop.queries.drying_seen import TIMED, WHITENED
from lacwright.shop.queries.movement_words import panel_words
from lacwright.shop.queries.piece_file import SUFFIX
from lacwright.shop.queries.pieces import Happened, History
from lacwright.shop.queries.progress import ABRADE, COAT, STRIP
from lacwright.shop.queries.proving import Quarantine
from lacwright.shop.queries.wet_now import YOUNG_US

TOLD = (TIMED, WHITENED, PANEL, LOOK)
"""Tests without a verdict: what they say is told in sentences."""
SANDED = {"scuff": "Scuffed", "level": "Levelled", "rub": "Rubbed out"}
WORDS = {"test": "Test", "fault": "Fault", "spot": "Spot to come back to", "spot-done": "Spot done",
         "note": "Note", "rest": "Rest", "clean": "Cleaned", "wax": "Waxed",
         "attach": "Photo or paper", "agree": "Agreed", STRIP: "Stripped"}  # fmt: skip


@dataclass(frozen=True)
class Laid:
    """What a coat left: by lot of resin, with its weight on a square metre where that is known."""

    lot: str
    grams: float
    per_m2: float | None


@dataclass(frozen=True)
class Line:
    """One thing that happened."""

    at: dt.datetime
    movement: int
    kind: str
    head: str
    text: str = ""
    job: str = ""
    jar: str = ""
    cut: float | None = None
    through: str = ""
    amount: str = ""
    laid: tuple[Laid, ...] = ()
    film: tuple[tuple[str, Figure], ...] = ()
    shut: str = ""  # why its jar is shut by now
    in_spite: str = ""


def lines(
    history: History, zone: dt.tzinfo, shut: Mapping[str, Quarantine], *, job: str | None = None
) -> list[Line]:  # fmt: skip
    """Return what happened, the newest first; of one job if it is named."""
    return [
        _line(one, zone, shut) for one in reversed(history.happened)
        if job is None or (one.event.job is not None and one.event.job.key == job)
    ]  # fmt: skip


def young(done: Sequence[Line], within_us: int = YOUNG_US) -> bool:
    """Return whether a coat lies there that the model of drying may still have a say of."""
    since = clock.now_us() - within_us
    return any(line.kind == COAT and clock.to_us(line.at) >= since for line in done)


def where(parts: list[str], faces: list[str] | None = None) -> str:
    """Return " on top, legs (top)", "" for the whole piece."""
    if not parts and not faces:
        return ""
    named = f" on {', '.join(parts)}" if parts else ""
    return f"{named} ({', '.join(faces)})" if faces else named


def like_ones(film: Mapping[str, Figure]) -> tuple[tuple[str, Figure], ...]:
    """Return the film of parts, parts with the same film together: "top, rails"."""
    out: dict[tuple[object, ...], tuple[list[str], Figure]] = {}
    for part, figure in film.items():
        like = (figure.value, figure.low, figure.high, figure.missing)
        out.setdefault(like, ([], figure))[0].append(part)
    return tuple((", ".join(parts), figure) for parts, figure in out.values())


def _line(one: Happened, zone: dt.tzinfo, shut: Mapping[str, Quarantine]) -> Line:
    event, body = one.event, one.body
    job = event.job.key if event.job is not None else ""
    at, on = clock.from_us(event.at_us, zone), where(body.get("parts", []), body.get("faces"))
    if event.kind == COAT:
        return _coat(one, at, on, job, zone, shut)
    if event.kind == ABRADE:
        paper = f" with {body['abrasive']}" if body.get("abrasive") else ""
        took = body.get("removes_um")
        told = "" if took is None else f"Took off {took:g} µm. "
        return Line(at, event.root_id, ABRADE, f"{SANDED[body['what']]}{on}{paper}",
                    f"{told}{body.get('note', '')}".strip(), job)  # fmt: skip
    head = WORDS.get(event.kind, event.kind.capitalize())
    if event.kind == "fault":
        head = f"Fault: {body['what']}"
    elif event.kind == "test":
        head = _test(body)
    texts = list(body["says"]) if event.kind == "test" and body["test"] in TOLD else []
    texts += [body.get(k) or "" for k in ("where", "text", "how", "note", "words", "cause")]
    if event.kind == "agree":
        texts += [
            panel_words(body.get("panel") or ""),
            f"{body['price']} {body['currency']}".strip() if body.get("price") else "",
        ]
    if event.kind == "attach" and str(body.get("name", "")).endswith(SUFFIX):
        return Line(at, event.root_id, event.kind, "Piece file kept", "", job)
    if event.kind == "attach":
        texts.insert(0, body.get("name", ""))
    return Line(at, event.root_id, event.kind, f"{head}{on}", "; ".join(t for t in texts if t), job)


def _test(body: Mapping[str, Any]) -> str:
    if body["test"] == TIMED:
        return "A coat was timed"
    if body["test"] == WHITENED:
        return "A coat whitened" if body["result"]["whitened"] else "A coat stayed clear"
    if body["test"] == PANEL:
        return "The colour of its bands was read"
    if body["test"] == LOOK:
        return "A look was read" if "hit" in body else "A look was foretold"
    return f"{body['test'].capitalize()} test: {body['verdict']}"


def _coat(
    one: Happened, at: dt.datetime, on: str, job: str, zone: dt.tzinfo,
    shut: Mapping[str, Quarantine],
) -> Line:  # fmt: skip
    event, body = one.event, one.body
    number = f" {one.number}" if one.number else ""
    how = f", {body['method']}" if body.get("method") else ""
    jar = event.jar.key if event.jar is not None else ""
    why = shut.get(jar)
    return Line(
        at, event.root_id, COAT, f"{str(body['what']).capitalize()}{number}{on}{how}",
        body.get("note", ""), job, jar, one.cut,
        event.applicator.key if event.applicator is not None else "", _amount(body),
        tuple(Laid(lot.key, g, per) for lot, g, per in one.resin()), like_ones(one.film),
        "" if why is None else why.words(zone), body.get("in_spite", ""),
    )  # fmt: skip


def _amount(body: Mapping[str, object]) -> str:
    basis = str(body.get("amount_basis") or "not said")
    before, after, ml = body.get("before_g"), body.get("after_g"), body.get("used_ml")
    if isinstance(before, int | float) and isinstance(after, int | float):
        return f"{trimmed(before - after)} g left the jar (weighed)"
    if isinstance(ml, int | float):
        return f"{trimmed(ml)} ml (measured)"
    return "how much is not said" if basis == "not said" else f"amount {basis}"
