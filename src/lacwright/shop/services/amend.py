"""Undo and correction: a movement that stands in for another, or takes it back.

Every kind of observation that can be corrected puts a function into `RECOMPOSE`, at the end of
the module that writes it:

    RECOMPOSE["weigh"] = recompose   # (body, changes) -> Body

`body` is what was written down (refs, moves, facts), `changes` the facts that are put right, by
the names they have in the body. It returns the whole body as it should have been, its moves made
anew, and refuses what could not have been written down either. A kind whose facts are kept in a
row as well (a description, a claimed cut) also puts a function into `SETTLE`: it gets the root and
the body that will count (None: taken back), brings the row in line, and returns the roots of the
observations that rest on what changed in it. A kind of which more is to be said puts a function
into `CHECK`: it gets the new version and returns sentences, or refuses what cannot be.
"""

from __future__ import annotations

import importlib
import pkgutil
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from django.db.models import Q

from lacwright.figures import Refusal, nearest
from lacwright.shop import names
from lacwright.shop.ledger import Move, places_of
from lacwright.shop.models import Applicator, Customer, Event, Jar, Job, Lot, Movement, Piece
from lacwright.shop.queries.tainted import Listed, listed_coats
from lacwright.shop.replay import VOID
from lacwright.shop.services.in_time import refuse_out_of_time
from lacwright.shop.writing import AHEAD_US, Answer, Entry, Writer, write


@dataclass(frozen=True)
class Body:
    """A whole observation, ready to be written down."""

    refs: Mapping[str, str]
    moves: tuple[Move, ...] = ()
    facts: Mapping[str, Any] = field(default_factory=dict)


Recompose = Callable[[Mapping[str, Any], Mapping[str, Any]], Body]
RECOMPOSE: dict[str, Recompose] = {}
Settle = Callable[[Movement, Body | None], tuple[int, ...]]
SETTLE: dict[str, Settle] = {}
Check = Callable[[Movement], Sequence[str]]
CHECK: dict[str, Check] = {}

_THINGS: tuple[tuple[str, Any], ...] = (
    ("lot", Lot), ("jar", Jar), ("applicator", Applicator), ("piece", Piece), ("job", Job),
    ("customer", Customer),
)  # fmt: skip
_NO_USE = ("describe",)
_SHOWN = 5


def write_body(w: Writer, kind: str, body: Body, **more: Any) -> Movement:
    """Write an observation down from its body.

    Raises
    ------
    Refusal
        If it cannot have been done at its moment: before a jar was made, after it was washed out.
    """
    replaces: Movement | None = more.get("replaces")
    refuse_out_of_time(
        kind=kind, refs=body.refs, moves=body.moves, at_us=more.get("at_us") or w.at_us,
        root=None if replaces is None else replaces.root_id or replaces.id,
    )  # fmt: skip
    return w.movement(kind, refs=body.refs, moves=body.moves, facts=body.facts, **more)


def undo(*, movement: int, entry: Entry) -> Answer:
    """Take an observation back: everything is then as if it had never been written down.

    Parameters
    ----------
    movement : int
        Number of the movement, or of any later version of it.
    entry : Entry
        Who, why.

    Raises
    ------
    Refusal
        If there is none, it was taken back already, or what it brought into the record is used.
    """

    def do(w: Writer) -> dict[str, Any]:
        root, event = _found(movement)
        if event.void:
            raise Refusal("movement", f"{root.id} was taken back already",
                          "to bring it back, correct it")  # fmt: skip
        _refuse_used(root)
        kind = event.kind
        _register(kind)
        rederive = SETTLE[kind](root, None) if kind in SETTLE else ()
        body = event.movement.body
        places = set(places_of(body["moves"]))
        listed = listed_coats(places)
        w.movement(VOID, refs=body["refs"], facts={"was": kind}, replaces=root,
                   rederive=rederive)  # fmt: skip
        return {"observation": root.id, "kind": kind, "undone": True,
                "says": _moved(listed, listed_coats(places), but=root.id)}  # fmt: skip

    return write("undo", {"movement": movement}, entry, do)


def amend(
    *, movement: int, changes: Mapping[str, Any], at_us: int | None = None, entry: Entry
) -> Answer:  # fmt: skip
    """Correct an observation; one that was taken back comes back.

    Parameters
    ----------
    movement : int
        Number of the movement, or of any later version of it.
    changes : mapping
        Facts that are put right, by name; amounts as the ledger holds them.
    at_us : int, optional
        When it was really done; as before if not given.
    entry : Entry
        Who, why.

    Raises
    ------
    Refusal
        If there is none, its kind cannot be corrected, or a change makes no sense.
    """

    def do(w: Writer) -> dict[str, Any]:
        root, event = _found(movement)
        if not changes and at_us is None and not event.void:
            raise Refusal("movement", "nothing is corrected", "say what was otherwise")
        if at_us is not None and at_us > w.written_us + AHEAD_US:
            raise Refusal("--at", "it lies in the future",
                          "a record holds what was done; check the day")  # fmt: skip
        last = _last_that_counted(root)
        _register(last.kind)
        if last.kind not in RECOMPOSE:
            raise Refusal("movement", f"a movement of the kind '{last.kind}' cannot be corrected",
                          "take it back and write it down anew")  # fmt: skip
        body = RECOMPOSE[last.kind](last.body, changes)
        rederive = SETTLE[last.kind](root, body) if last.kind in SETTLE else ()
        places = {*places_of(last.body["moves"]), *places_of(body.moves)}
        listed = listed_coats(places)
        made = write_body(w, last.kind, body, replaces=root, rederive=rederive,
                          at_us=last.at_us if at_us is None else at_us)  # fmt: skip
        says = CHECK[last.kind](made) if last.kind in CHECK else ()
        return {"observation": root.id, "kind": last.kind, "undone": False,
                "changed": sorted(changes),
                "says": [*says, *_moved(listed, listed_coats(places))]}  # fmt: skip

    request = {"movement": movement, "changes": dict(changes), "at_us": at_us}
    return write("amend", request, entry, do)


def merged(
    body: Mapping[str, Any], changes: Mapping[str, Any], allowed: tuple[str, ...]
) -> dict[str, Any]:  # fmt: skip
    """Return the facts of a body with changes, for `RECOMPOSE`.

    Raises
    ------
    Refusal
        For a change of something that is not one of the facts.
    """
    for name in changes:
        if name not in allowed:
            mend = nearest(name, allowed) if allowed else "only its time can be corrected"
            raise Refusal(name, "it is not among what can be corrected", mend)
    facts = {name: value for name, value in body.items() if name not in ("refs", "moves")}
    return {**facts, **changes}


def _moved(before: Listed, after: Listed, *, but: int | None = None) -> list[str]:
    """Return which coats a correction took from the lists of failed jars, and put on them."""
    out = []
    for thing in sorted({*before, *after}):
        was, now = before.get(thing, frozenset()), after.get(thing, frozenset())
        for coats, words in ((was - now - {but}, "no longer"), (now - was, "now")):
            if coats:
                out.append(f"{_coats(coats)} {words} on the list of what carries {thing[0]} "
                           f"'{thing[1]}', which failed its test.")  # fmt: skip
    return out


def _coats(roots: Iterable[int]) -> str:
    named = sorted(roots)
    shown = ", ".join(str(n) for n in named[:_SHOWN]) + (", ..." if len(named) > _SHOWN else "")
    return f"1 coat (movement {shown}) is" if len(named) == 1 else (
        f"{len(named)} coats (movements {shown}) are"
    )  # fmt: skip


def _found(number: int) -> tuple[Movement, Event]:
    movement = names.movement_of(number, "movement")
    root = movement.root or movement
    return root, Event.objects.select_related("movement").get(root=root)


def _last_that_counted(root: Movement) -> Movement:
    versions = Movement.objects.filter(Q(id=root.id) | Q(root=root)).exclude(kind=VOID)
    return versions.latest("id")


def _refuse_used(root: Movement) -> None:
    """Refuse to take back what brought something into the record that is used since."""
    for word, table in _THINGS:
        for thing in table.objects.filter(opened=root):
            used = Q(**{word: thing})
            if hasattr(thing, "place"):
                used |= Q(flows__source=thing.place) | Q(flows__to=thing.place)
            uses = (
                Event.objects.filter(used, void=False).exclude(root=root)
                .exclude(kind__in=_NO_USE).order_by("at_us", "root").distinct()
            )  # fmt: skip
            told = [f"{e.kind} (movement {e.root_id})" for e in uses[: _SHOWN + 1]]
            if word == "customer" and not told:
                told = [f"piece {p.key}" for p in Piece.objects.filter(customer=thing)
                        if not names.is_gone(p)][: _SHOWN + 1]  # fmt: skip
            if told:
                more = ", ..." if len(told) > _SHOWN else ""
                raise Refusal("movement", f"{names.WORDS[table]} '{thing.key}' is used since: "
                              + ", ".join(told[:_SHOWN]) + more,
                              "take those back first, or correct this one")  # fmt: skip


def _register(kind: str) -> None:
    """Import every service if a kind is not known, so that it is, wherever it is written."""
    if kind in RECOMPOSE or kind in SETTLE:
        return
    import lacwright.shop.services as services

    for module in pkgutil.iter_modules(services.__path__):
        importlib.import_module(f"{services.__name__}.{module.name}")
