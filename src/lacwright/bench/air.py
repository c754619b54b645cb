"""The air of a room on the pages: each thing that is asked is estimated once."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache

from lacwright.bench.forms.air import WHERE, Air
from lacwright.figures import Refusal
from lacwright.files.typed_air import typed_sources
from lacwright.plan import Vapour
from lacwright.plan.vapour import vapour

MADE = 24


@dataclass(frozen=True, eq=False)
class Asked:
    """A form that was filled in right, and what was typed into it."""

    form: Air
    typed: tuple[tuple[str, str], ...]


def asked_of(form: Air, query: Mapping[str, str]) -> Asked:
    """Return what a valid form asks."""
    typed = ((name, query.get(name, "")) for name in form.fields)
    return Asked(form, tuple(pair for pair in typed if pair[1]))


def vapour_of(asked: Asked) -> Vapour:
    """Return the air that is asked for.

    Raises
    ------
    Refusal
        For what the model cannot take, at the field that it speaks of.
    """
    made = _made(asked.typed)
    if isinstance(made, Refusal):
        raise made.with_traceback(None)
    return made


@lru_cache(maxsize=MADE)
def _made(typed: tuple[tuple[str, str], ...]) -> Vapour | Refusal:
    form = Air(dict(typed))
    form.is_valid()  # it was
    spec = form.room()
    try:
        room, notes = spec.space()
        sources, taken = typed_sources(form.work(), spec)
        return vapour(sources, room, spec, spec.facts, (*notes, *taken))
    except Refusal as refusal:
        return refusal.at(WHERE.get(refusal.where, refusal.where)).with_traceback(None)
