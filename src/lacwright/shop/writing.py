"""Writing: one request, one transaction, one answer; the same token never counts twice."""

from __future__ import annotations

import hashlib
import json
import math
import uuid
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any

from django.db import (
    DatabaseError,
    DataError,
    IntegrityError,
    InterfaceError,
    OperationalError,
    ProgrammingError,
    connection,
    transaction,
)

from lacwright.figures import Refusal
from lacwright.shop import clock
from lacwright.shop.asked import rows, things
from lacwright.shop.ledger import Move
from lacwright.shop.models import KEY, Movement, Request
from lacwright.shop.replay import replay
from lacwright.shop.seals import canonical as canonical
from lacwright.shop.seals import seal_of

TOKEN_ROOM = 70
"""Longest token; a request of several movements numbers them behind it."""
AHEAD_US = 36 * 3600 * clock.SECOND
"""How far ahead of the clock something may have been done: another zone, a wrong clock."""


@dataclass(frozen=True)
class Entry:
    """Who writes, and when it was done.

    Parameters
    ----------
    at_us : int, optional
        When it was done.
    seconds_ago : float, optional
        The same as a device says it that does not trust its clock; not part of what makes two
        requests the same.
    author, reason : str
        Who says so, and why.
    token : str, optional
        Unique for this request; sent again with it, it is carried out once.
    now_us : int, optional
        When it is written down; now by default.
    dry_run : bool
        Do everything, answer, and leave the record as it was.
    """

    at_us: int | None = None
    seconds_ago: float | None = None
    author: str = ""
    reason: str = ""
    token: str | None = None
    now_us: int | None = None
    dry_run: bool = False

    @property
    def written_us(self) -> int:
        """When it is written down."""
        return self.now_us if self.now_us is not None else clock.now_us()


@dataclass(frozen=True)
class Answer:
    """What a request did."""

    data: dict[str, Any]
    movement: int | None
    repeated: bool = False
    dry_run: bool = False


@dataclass
class Writer:
    """What a request writes with, inside its transaction."""

    entry: Entry
    token: str
    at_us: int
    written_us: int
    movements: list[Movement] = field(default_factory=list)

    def movement(
        self, kind: str, *, refs: Mapping[str, str] | None = None, moves: tuple[Move, ...] = (),
        facts: Mapping[str, Any] | None = None, replaces: Movement | None = None,
        at_us: int | None = None, rederive: tuple[int, ...] = (),
    ) -> Movement:  # fmt: skip
        """Write down an observation and everything that follows from it.

        Parameters
        ----------
        kind : str
            In the words of the trade: "receive", "mix", "pour", "coat", "test", ...
        refs : mapping
            What it concerns, by name: {"jar": "J7", "job": "T-12", "piece": ..., "lot": ...,
            "applicator": ..., "customer": ...}; the index of events is made from it.
        moves : tuple of Move
            What goes where.
        facts : mapping
            All else that was observed; JSON.
        replaces : Movement, optional
            The observation (any of its versions) this one stands in for.
        at_us : int, optional
            When it was done, if not at the time of the entry.
        rederive : tuple of int
            Roots of observations that must be worked out anew, since what they rest on changed.
        """
        body = {"refs": dict(refs or {}), "moves": [dict(m) for m in moves], **(facts or {})}
        root = None if replaces is None else (replaces.root or replaces)
        number = len(self.movements) + 1
        made = Movement(
            token=self.token if number == 1 else f"{self.token}.{number}",
            kind=kind, at_us=self.at_us if at_us is None else at_us,
            written_us=self.written_us, author=self.entry.author, reason=self.entry.reason,
            root=root, body=body,
        )  # fmt: skip
        made.seal = seal(made, _last_seal())
        made.save()
        self.movements.append(made)
        replay(made, rederive=rederive)
        return made


Do = Callable[[Writer], dict[str, Any]]


def write(what: str, request: Mapping[str, Any], entry: Entry, do: Do) -> Answer:
    """Carry out a request once, in one transaction.

    Parameters
    ----------
    what : str
        Name of the service.
    request : mapping
        Everything that was asked for, as JSON; with `what` and the time it tells whether two
        requests are the same.
    entry : Entry
        Who, when, by which token.
    do : callable
        Writes with the `Writer` it gets and returns the answer; raises `Refusal` to leave
        everything as it was.

    Raises
    ------
    Refusal
        From `do`; for a token used for something else; for a time in the future; for an author of
        more letters than a name may have; if the disk is full or another program keeps the record
        locked.
    """
    token = entry.token or uuid.uuid4().hex
    written = entry.written_us
    at = _done_at(entry, written)
    if not 0 < len(token) <= TOKEN_ROOM:
        raise Refusal("--token", f"it has {len(token)} characters", f"use 1 to {TOKEN_ROOM}")
    if len(entry.author) > KEY:
        raise Refusal("--author", f"the name has {len(entry.author)} characters, {KEY} are the "
                      "most", "write a short one")  # fmt: skip
    said = {"what": what, "request": request, "author": entry.author, "reason": entry.reason,
            "at_us": entry.at_us}  # fmt: skip
    try:
        sha = hashlib.sha256(canonical(said).encode()).hexdigest()
    except UnicodeEncodeError:
        raise Refusal(what, "a text holds bytes that are no characters", "write it anew") from None
    except ValueError:  # what JSON has no word for
        where = next(_no_numbers(said), what)
        raise Refusal(where, "it is no number", "write a plain number, e.g. 7") from None
    try:
        with transaction.atomic():
            for before in things(Request, "WHERE t.token IN ({})", [token]):
                return _again(before, sha, entry)
            writer = Writer(entry, token, at, written)
            answer = json.loads(canonical(do(writer)))
            first = writer.movements[0] if writer.movements else None
            Request.objects.create(token=token, sha=sha, what=what, movement=first, answer=answer)
            if entry.dry_run:
                transaction.set_rollback(True)
        number = None if first is None or entry.dry_run else first.id
        return Answer(answer, number, dry_run=entry.dry_run)
    except OperationalError as error:
        # A COMMIT that reports a fault may have been written all the same: the token tells.
        known, kept = _look_again(token)
        if kept is not None:
            return _again(kept, sha, entry)
        raise fault_of_the_disk(error, unknown=None if known else token) from None
    except DatabaseError as error:
        raise fault_of_the_disk(error) from error


def fault_of_the_disk(error: Exception, *, unknown: str | None = None) -> Refusal:
    """Return what to say when the database cannot write.

    Parameters
    ----------
    error : Exception
        As the database reported it.
    unknown : str, optional
        The token of a request of which nobody can tell whether it was written.

    Raises
    ------
    Exception
        The error itself, if it is a fault of the program and not of the disk.
    """
    if isinstance(error, IntegrityError | ProgrammingError | DataError | InterfaceError):
        raise error
    text = str(error)
    kept = "nothing was written"
    if unknown is not None:
        kept = f"whether it was written shows when it is sent again with --token {unknown}"
    if "locked" in text or "busy" in text:
        return Refusal("record", "another program is writing and did not finish in 10 s",
                       f"{kept}; try again")  # fmt: skip
    if "full" in text:
        return Refusal("record", "the disk is full", f"{kept}; make room, try again")
    if "readonly" in text or "unable to open" in text:
        return Refusal("record", "it cannot be written here",
                       f"{kept}; check who owns the folder")  # fmt: skip
    if "malformed" in text or "not a database" in text:
        return Refusal(
            "record", f"its database is damaged ({text})",
            f"{kept}; it was left as it is: run 'lacwright record audit', or bring back a backup "
            "with 'lacwright record restore'",
        )  # fmt: skip
    return Refusal("record", f"the disk reports a fault ({text})",
                   f"{kept}; check the disk, then run 'lacwright record audit'")  # fmt: skip


def seal(movement: Movement, before: str) -> str:
    """Return the hash that binds a movement to all before it: a changed past shows in an audit."""
    told = [movement.token, movement.kind, movement.at_us, movement.written_us, movement.author,
            movement.reason, movement.root_id, movement.body]  # fmt: skip
    return seal_of(told, before)


def _last_seal() -> str:
    return next((seal for (seal,) in rows(_LAST_SEAL)), "")


_LAST_SEAL = "SELECT seal FROM shop_movement ORDER BY id DESC LIMIT 1"


def _done_at(entry: Entry, written: int) -> int:
    if entry.at_us is not None and entry.seconds_ago is not None:
        raise Refusal("--at", "give either --at or --ago", "leave one of them out")
    at = written if entry.at_us is None else entry.at_us
    if entry.seconds_ago is not None:
        if not entry.seconds_ago >= 0:
            raise Refusal("--ago", "a time that is still to come", "write e.g. '20 min'")
        at = written - round(entry.seconds_ago * clock.SECOND)
    if at > written + AHEAD_US:
        raise Refusal("--at", "it lies in the future",
                      "a record holds what was done; check the day")  # fmt: skip
    return at


def _again(before: Request, sha: str, entry: Entry) -> Answer:
    if before.sha != sha:
        wrote = "" if before.movement_id is None else f", which wrote movement {before.movement_id}"
        raise Refusal("--token", f"it was used before for another request ({before.what}{wrote})",
                      "nothing was written; use a new token, or leave it out")  # fmt: skip
    return Answer(before.answer, before.movement_id, repeated=True, dry_run=entry.dry_run)


def _no_numbers(value: Any, name: str = "") -> Iterator[str]:
    """Yield the names under which something endless, or no number at all, was asked for."""
    if isinstance(value, Mapping):
        for key, inner in value.items():
            yield from _no_numbers(inner, key)
    elif isinstance(value, list | tuple):
        for inner in value:
            yield from _no_numbers(inner, name)
    elif isinstance(value, float) and not math.isfinite(value):
        yield name


def _look_again(token: str) -> tuple[bool, Request | None]:
    """Return whether it can be told if a request was written, and the request if it was."""
    try:
        connection.close()
        return True, Request.objects.filter(token=token).first()
    except DatabaseError:
        return False, None
