"""The recall: what carries a jar or a lot, what to do with it, what it costs."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from django.template.defaultfilters import capfirst
from django.urls import reverse

from lacwright.bench.pages.jars import in_words
from lacwright.bench.pages.measures import When, days_words, volume, weight, when
from lacwright.bench.words import amount
from lacwright.shop import clock
from lacwright.shop.models import Jar, Lot
from lacwright.shop.queries.carried import Coat, JarCarry, PieceCarry
from lacwright.shop.queries.carry import Recall, recall, recall_lot
from lacwright.shop.queries.preferences import zone as shop_zone
from lacwright.shop.queries.proving import Quarantine
from lacwright.shop.queries.remembered import remembered
from lacwright.shop.queries.shut import FAILED, shut_jars

PANEL = "panel"


@dataclass(frozen=True)
class CoatRow:
    """A coat that carries it."""

    when: When
    words: str
    via: str
    amount: str
    off: str


@dataclass(frozen=True)
class PieceRow:
    """A piece or panel with its coats."""

    name: str
    url: str
    title: str
    customer: str
    coats: tuple[CoatRow, ...]


@dataclass(frozen=True)
class Place:
    """A jar, pad or brush that holds some of it."""

    name: str
    url: str
    words: str
    since: When | None
    via: str
    shut: str = ""


@dataclass(frozen=True)
class RecallPage:
    """The page."""

    kind: str
    name: str
    url: str
    since: str
    failed: str
    says: tuple[str, ...]
    age: str
    counts: str
    gone: bool
    """Whether the jar was washed out."""
    left_out: int
    pieces: tuple[PieceRow, ...]
    panels: tuple[PieceRow, ...]
    jars: tuple[Place, ...]
    applicators: tuple[Place, ...]
    advice: tuple[tuple[str, tuple[str, ...]], ...]
    resin: str
    value: str
    unpriced: tuple[str, ...]
    not_said: str
    replacement: str
    replacement_url: str
    why_not: str


def recall_of(jar: Jar, since_us: int | None, everything: bool) -> Recall:
    """Return what carries a jar, worked out once for as long as nothing is written."""
    return remembered(("recall", "jar", jar.key, since_us, everything, _today()),
                      lambda: recall(jar, since_us=since_us, everything=everything))  # fmt: skip


def recall_of_lot(lot: Lot) -> Recall:
    """Return what carries a lot, worked out once for as long as nothing is written."""
    return remembered(("recall", "lot", lot.key, _today()), lambda: recall_lot(lot))


def _today() -> dt.date:
    return clock.day_of(clock.now_us(), shop_zone())  # ages are told in days, those of the shop


def recall_page(found: Recall, shown: Sequence[PieceCarry], zone: dt.tzinfo) -> RecallPage:
    """Return a recall as it is shown, with some of its pieces and panels."""
    room = "jars" if found.of_kind == "jar" else "shelf"
    loss = found.loss
    value = f"{loss.value} {loss.currency}".strip() if loss.value else ""
    words, url = _replacement(found)
    return RecallPage(
        found.of_kind, found.of, reverse(f"{room}-one", args=[found.of]), found.since_words,
        _failed(found.failed, found.of_kind, found.of, zone),
        () if found.failed is None else found.failed.says,
        "" if found.age_days is None else days_words(found.age_days), _counts(found),
        any(jar.name == found.of and jar.discarded_us is not None for jar in found.jars)
        if found.of_kind == "jar" else False,
        found.left_out,
        tuple(_pieces([p for p in shown if p.kind != PANEL], "pieces-one", zone)),
        tuple(_pieces([p for p in shown if p.kind == PANEL], "panels-one", zone)),
        tuple(_jars(found.jars, zone)),
        tuple(Place(a.name, reverse("jars-pads"), a.kind, when(a.since_us, zone), _via(a.via))
              for a in found.applicators),
        tuple(_advice(found.advice)), weight(loss.resin_g), value, loss.unpriced, _not_said(found),
        words, url, found.replacement.why_not or "",
    )  # fmt: skip


def _failed(shut: Quarantine | None, kind: str, name: str, zone: dt.tzinfo) -> str:
    return "" if shut is None else f"{kind.capitalize()} {name} {shut.words(zone)}"


def _counts(found: Recall) -> str:
    """Return the answer in a line: "5 coats on 2 pieces and 1 panel, 2 jars, 1 pad or brush"."""
    coats = len(found.coats)
    on = [_many(len(found.pieces), "piece"), _many(len(found.panels), "panel")]
    told = [f"{_many(coats, 'coat')} on {' and '.join(x for x in on if x)}"] if coats else []
    told += [_many(len(found.jars), "jar"), _many(len(found.applicators), "pad or brush",
                                                  "pads and brushes")]  # fmt: skip
    return ", ".join(x for x in told if x) or "nothing"


def _many(n: int, word: str, words: str = "") -> str:
    return "" if n == 0 else f"{n} {word if n == 1 else words or word + 's'}"


def _pieces(found: Sequence[PieceCarry], room: str, zone: dt.tzinfo) -> Iterable[PieceRow]:
    for piece in found:
        yield PieceRow(piece.name, reverse(room, args=[piece.name]), piece.title,
                       piece.customer or "",
                       tuple(_coat(coat, zone) for coat in piece.coats))  # fmt: skip


def _coat(coat: Coat, zone: dt.tzinfo) -> CoatRow:
    parts = f" on {', '.join(coat.parts)}" if coat.parts else ""
    number = f" {coat.number}" if coat.number else ""
    job = f", job {coat.job}" if coat.job else ""
    off = "" if coat.washed_off_us is None else f"washed off {when(coat.washed_off_us, zone)}"
    dry = "amount not said" if coat.resin_g is None else f"{weight(coat.resin_g)} of resin"
    basis = "" if coat.resin_g is None or coat.basis == "weighed" else f", {coat.basis}"
    return CoatRow(when(coat.at_us, zone), capfirst(f"{coat.what}{number}{parts}{job}"),
                   _via(coat.via), dry + basis, off)  # fmt: skip


def _via(places: Sequence[str]) -> str:
    """Return the way it came: "through J5, pad 2"; "" where it came straight."""
    between = list(places[1:])
    return f"through {', '.join(between)}" if between else ""


def _jars(found: Sequence[JarCarry], zone: dt.tzinfo) -> Iterable[Place]:
    shut = shut_jars()
    for jar in found:
        words = in_words(jar.contents)
        if jar.discarded_us is not None:
            words = f"washed out {when(jar.discarded_us, zone)}"
        yield Place(
            jar.name,
            reverse("jars-one", args=[jar.name]),
            words,
            None if jar.since_us is None else when(jar.since_us, zone),
            _via(jar.via),
            FAILED if jar.name in shut else "",
        )


_ABOUT = {"piece": "Pieces", "panel": "Panels", "jar": "Jars", "applicator": "Pads and brushes",
          "waste": "Waste"}  # fmt: skip


def _advice(rows: Sequence[tuple[str, str]]) -> Iterable[tuple[str, tuple[str, ...]]]:
    for of, title in _ABOUT.items():
        told = tuple(text for about, text in rows if about == of)
        if told:
            yield title, told


def _not_said(found: Recall) -> str:
    loss, told = found.loss, []
    if loss.coats_not_said:
        told.append(f"{_many(loss.coats_not_said, 'coat')} of which no amount was said")
    if loss.jars_not_said:
        told.append(f"what is in {', '.join(loss.jars_not_said)}")
    return " and ".join(told)


def _replacement(found: Recall) -> tuple[str, str]:
    fresh = found.replacement
    if not fresh.flakes:
        return "", ""
    flakes = " and ".join(f"{weight(g)} of {lot}" for lot, g in fresh.flakes)
    if fresh.solution_ml is None or fresh.cut is None:
        return flakes, ""
    first = fresh.flakes[0][0]
    query = f"?flakes={_quoted(first)}&cut={fresh.cut:.3g}&amount={fresh.solution_ml:.0f}+ml&of=mix"
    return (f"{volume(fresh.solution_ml)} of a {amount(fresh.cut, 3)}-lb cut: {flakes} in "
            f"{volume(fresh.alcohol_ml)} of alcohol"), reverse("jars-mix") + query  # fmt: skip


def _quoted(text: str) -> str:
    from urllib.parse import quote_plus

    return quote_plus(text)
