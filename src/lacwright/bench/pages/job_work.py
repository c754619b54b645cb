"""Before and after work on a piece is written down: what is likely, and what came of it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from lacwright.bench.pages.happened import SANDED, where
from lacwright.bench.words import amount
from lacwright.figures import Caution
from lacwright.plan.cautions import Job as Opened
from lacwright.plan.cautions import cautions_of_job
from lacwright.shop.models import Job, Piece
from lacwright.shop.queries.at_hand import last_coat, weighed_before
from lacwright.shop.queries.contents import contents
from lacwright.shop.queries.progress import zones_of
from lacwright.shop.queries.proving import Quarantine
from lacwright.shop.queries.shut import shut_jars
from lacwright.solution import NOT_STATED, Alcohol

LONGEST = 1200
"""Of what a page says at its head: it travels in a cookie."""


@dataclass(frozen=True)
class Likely:
    """What a form about work begins with."""

    parts: tuple[str, ...]
    jars: tuple[str, ...]  # the likely ones, the likeliest first
    faces: tuple[str, ...]
    weighed: str  # what the likeliest jar weighed last
    shut: tuple[tuple[str, Quarantine], ...]
    cautions: tuple[Caution, ...]


def start_of(
    job: Job | None, piece: Piece, parts: Sequence[str] = (), jar: str = ""
) -> Likely:  # fmt: skip
    """Return what is likely: what was asked for, else the jar and the parts of the last coat."""
    last = last_coat(piece=piece)
    plan = None if job is None else job.plan
    planned = [s["jar"] for s in (plan or {}).get("steps", ()) if s["jar"]]
    jars = [jar] if jar else []
    if last is not None:
        jars += [last.jar.key] if last.jar is not None else []
        parts = parts or last.movement.body["parts"]
    jars = list(dict.fromkeys([*jars, *planned]))
    before = weighed_before(jars[0]) if jars else None
    bad = shut_jars()
    return Likely(
        tuple(parts), tuple(jars), tuple(z.face for z in zones_of(plan)),
        "" if before is None else f"{before.jar} weighed {before.g:g} g after the last coat",
        tuple((name, bad[name]) for name in jars if name in bad), _cautions(plan, jars),
    )  # fmt: skip


def on(data: Mapping[str, Any]) -> str:
    """Return where it was: " on top, legs"."""
    return where(data.get("parts") or [], data.get("faces"))


def coat_words(answer: Any) -> str:
    """Return what was written down about a coat, and what is worth a remark."""
    data = answer.data
    what = f"{data['what'].capitalize()}{on(data)} from jar {data['jar']} is written down"
    if data["taken_g"] is None:
        told = "; how much was used is not said."
    else:
        told = (f": {amount(data['taken_g'])} g of mix ({data['amount_basis']}), "
                f"{amount(data['landed_g'])} g dry on the piece.")  # fmt: skip
    return _short([f"{what}{told}", *data["says"]])


def sanding_words(answer: Any) -> str:
    """Return what was written down about a sanding."""
    data = answer.data
    paper = f" with {data['abrasive']}" if data["abrasive"] else ""
    return f"{SANDED[data['what']]}{on(data)}{paper}: written down."


def _short(sentences: Iterable[str]) -> str:
    text = ""
    for sentence in sentences:
        if len(text) + len(sentence) > LONGEST:
            break
        text = f"{text} {sentence}"
    return text.strip()


def _cautions(plan: Mapping[str, Any] | None, jars: Sequence[str]) -> tuple[Caution, ...]:
    """Return the cautions of the plan, or of the alcohol in the jar where there is none."""
    if plan is not None and plan.get("cautions"):
        return tuple(Caution(c["code"], c["text"]) for c in plan["cautions"])
    alcohols: tuple[Alcohol, ...] = ()
    if jars:
        inside = contents(f"jar:{jars[0]}")
        alcohols = () if inside.no_masses else tuple(inside.mix.solvent_g)
    return cautions_of_job(Opened(alcohols=alcohols or (NOT_STATED,)))[0]
