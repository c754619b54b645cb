"""What happens on a piece beside coats: sanding, stripping, rests, notes, faults, spots."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import replace
from typing import Any

from lacwright.figures import Refusal, nearest
from lacwright.film import find_abrasive
from lacwright.shop import names
from lacwright.shop.ledger import clear
from lacwright.shop.models import Event, Jar, Piece
from lacwright.shop.queries.drying_seen import is_whitening
from lacwright.shop.services import work as said
from lacwright.shop.services.amend import RECOMPOSE, Body, merged, write_body
from lacwright.shop.services.work import Work, parts_of, work_of
from lacwright.shop.writing import Answer, Entry, Writer, write

ABRADE, STRIP, FAULT, SPOT, SPOT_DONE = "abrade", "strip", "fault", "spot", "spot-done"
SANDINGS = ("scuff", "level", "rub")
NOTES = ("note", "rest", "clean", "wax")
MOST_UM = 10_000
"""More taken off in one sanding is taken for a slip [um]."""


def abrade(
    *, job: str | None = None, piece: str | None = None, what: str = "scuff",
    parts: Iterable[str] = (), faces: Iterable[str] = (), abrasive: str = "",
    removes_um: float | None = None, minutes: float | None = None, note: str = "", entry: Entry,
) -> Answer:  # fmt: skip
    """Write down a sanding or rubbing out.

    Parameters
    ----------
    job, piece : str, optional
        One of the two at least.
    what : str
        "scuff", "level" or "rub".
    parts, faces : iterable of str
        Where; none is the whole piece.
    abrasive : str
        System and number together: "P400", "CAMI 400", "0000 wool".
    removes_um : float, optional
        Film it took off the flats [um], where he knows; else the usual is reckoned with.
    minutes : float, optional
        Working time.
    note : str
        Free text.
    entry : Entry
        Who and when.

    Raises
    ------
    Refusal
        For an unknown job, piece, part or abrasive.
    """
    facts = {"what": what, "parts": list(parts), "faces": list(faces), "abrasive": abrasive,
             "removes_um": removes_um, "minutes": minutes, "note": note}  # fmt: skip
    return _write(ABRADE, job, piece, facts, entry)


def strip(
    *, job: str | None = None, piece: str | None = None, parts: Iterable[str] = (), how: str = "",
    note: str = "", entry: Entry,
) -> Answer:  # fmt: skip
    """Write down that the finish was taken off, of the whole piece or of parts of it.

    Parameters
    ----------
    job, piece : str, optional
        One of the two at least.
    parts : iterable of str
        None is the whole piece: what the record has on it then goes to waste.
    how, note : str
        With what; free text.
    entry : Entry
        Who and when.

    Raises
    ------
    Refusal
        For an unknown job, piece or part.
    """
    return _write(STRIP, job, piece, {"parts": list(parts), "how": how, "note": note}, entry)


def note(
    *, job: str | None = None, piece: str | None = None, kind: str = "note",
    parts: Iterable[str] = (), until_us: int | None = None, text: str = "", entry: Entry,
) -> Answer:  # fmt: skip
    """Write down a note, a rest, a cleaning or a waxing.

    Parameters
    ----------
    job, piece : str, optional
        One of the two at least.
    kind : str
        "note", "rest", "clean" or "wax".
    parts : iterable of str
        Where.
    until_us : int, optional
        When it is over.
    text : str
        What there is to say; a note needs it.
    entry : Entry
        Who and when.

    Raises
    ------
    Refusal
        For another kind, an unknown job, piece or part, an empty note.
    """
    if kind not in NOTES:
        raise Refusal("--kind", f"'{kind}' is no kind of note", nearest(kind, NOTES))
    return _write(kind, job, piece, {"parts": list(parts), "until_us": until_us, "text": text},
                  entry)  # fmt: skip


def fault(
    *, job: str | None = None, piece: str | None = None, jar: str | None = None, what: str,
    parts: Iterable[str] = (), where: str = "", text: str = "", cause: str = "", entry: Entry,
) -> Answer:  # fmt: skip
    """Write down a fault: on a piece, in a jar, or both.

    Parameters
    ----------
    job, piece, jar : str, optional
        One of them at least.
    what : str
        In a word or two: "haze", "craters", "does not dry".
    parts : iterable of str
        Where on the piece.
    where, text, cause : str
        The spot; what was seen; what is held to be the cause.
    entry : Entry
        Who and when.

    Raises
    ------
    Refusal
        If nothing is named it could be on, or nothing is said.
    """
    facts = {"what": what, "parts": list(parts), "where": where, "text": text, "cause": cause}
    return _write(FAULT, job, piece, facts, entry, jar=jar)


def spot(
    *, job: str | None = None, piece: str | None = None, parts: Iterable[str] = (), where: str,
    text: str = "", entry: Entry,
) -> Answer:  # fmt: skip
    """Write down a spot to come back to.

    Parameters
    ----------
    job, piece : str, optional
        One of the two at least.
    parts : iterable of str
        Part it is on.
    where : str
        Where exactly: "by the lower left screw".
    text : str
        What is to be done there.
    entry : Entry
        Who and when.

    Raises
    ------
    Refusal
        For an unknown job, piece or part, or if nobody says where.
    """
    facts = {"parts": list(parts), "where": where, "text": text}
    return _write(SPOT, job, piece, facts, entry)


def spot_done(*, spot: int, text: str = "", entry: Entry) -> Answer:
    """Write down that a spot was seen to.

    Parameters
    ----------
    spot : int
        Number of its movement.
    text : str
        What was done.
    entry : Entry
        Who and when.

    Raises
    ------
    Refusal
        If there is no such spot, or it is done already.
    """

    def do(w: Writer) -> dict[str, Any]:
        movement = names.movement_of(spot, "--spot")
        root = movement.root_id or movement.id
        event = Event.objects.select_related("movement").get(root_id=root)
        if event.kind != SPOT or event.void:
            raise Refusal("--spot", f"movement {spot} is no spot to come back to",
                          "'lacwright job show' lists them")  # fmt: skip
        done = Event.objects.filter(kind=SPOT_DONE, void=False, piece=event.piece_id)
        if any(body["spot"] == root for body in done.values_list("movement__body", flat=True)):
            raise Refusal("--spot", f"spot {spot} is done already", "nothing was written")
        refs = event.movement.body["refs"]
        write_body(w, SPOT_DONE, Body(refs, facts={"spot": root, "text": text.strip()}))
        return {**_refs(refs), "spot": root}

    return write("spot_done", {"spot": spot, "text": text}, entry, do)


def _write(
    kind: str, job: str | None, piece: str | None, facts: Mapping[str, Any], entry: Entry,
    *, jar: str | None = None,
) -> Answer:  # fmt: skip
    request = {"job": job, "piece": piece, "jar": jar, **facts}
    said.finite(request)

    def do(w: Writer) -> dict[str, Any]:
        work = None
        refs: dict[str, str] = {}
        if jar is None or job is not None or piece is not None:
            work = work_of(job, piece)
            refs |= work.refs
        if jar is not None:
            refs["jar"] = names.find(Jar, jar, "--jar").key
        body = _COMPOSE[kind](refs, None if work is None else work.piece, facts)
        says: list[str] = []
        if whitens and work is not None:
            from lacwright.shop.services.drying_tests import of_fault, taught

            told = of_fault(piece=work.piece, parts=body.facts["parts"], at_us=w.at_us)
            body, says = replace(body, facts={**body.facts, "whitening": told}), [taught(told)]
        write_body(w, kind, body)
        return {"kind": kind, **_refs(refs), **body.facts, **({"says": says} if says else {})}

    whitens = kind == FAULT and is_whitening(str(facts["what"]))
    return write(kind, request, entry, do)


def _refs(refs: Mapping[str, str]) -> dict[str, str | None]:
    return {word: refs.get(word) for word in ("job", "piece", "jar")}


# --- one kind each: from what was said to the whole observation ------------------------------


def _abrade(refs: Mapping[str, str], piece: Piece | None, facts: Mapping[str, Any]) -> Body:
    what, abrasive = str(facts["what"]), str(facts["abrasive"]).strip()
    if what not in SANDINGS:
        raise Refusal("--what", f"'{what}' is no kind of sanding", nearest(what, SANDINGS))
    return Body(refs, facts={
        "what": what, "parts": _parts(piece, facts), "faces": said.words(facts["faces"], "--face"),
        "abrasive": find_abrasive(abrasive, "--abrasive").key if abrasive else "",
        "removes_um": said.number(facts["removes_um"], "--removes", most=MOST_UM),
        "minutes": said.minutes_of(facts["minutes"]), "note": said.text_of(facts["note"], "--note"),
    })  # fmt: skip


def _strip(refs: Mapping[str, str], piece: Piece | None, facts: Mapping[str, Any]) -> Body:
    assert piece is not None
    parts = _parts(piece, facts)
    moves = () if parts else (clear(place=Work(None, piece).place),)
    return Body(refs, moves, {"parts": parts, "how": said.text_of(facts["how"], "--how"),
                              "note": said.text_of(facts["note"], "--note")})  # fmt: skip


def _note(refs: Mapping[str, str], piece: Piece | None, facts: Mapping[str, Any]) -> Body:
    return Body(refs, facts={"parts": _parts(piece, facts), "until_us": facts["until_us"],
                             "text": said.text_of(facts["text"], "TEXT")})  # fmt: skip


def _said_note(refs: Mapping[str, str], piece: Piece | None, facts: Mapping[str, Any]) -> Body:
    said.text_of(facts["text"], "TEXT", needed=True)
    return _note(refs, piece, facts)


def _fault(refs: Mapping[str, str], piece: Piece | None, facts: Mapping[str, Any]) -> Body:
    return Body(refs, facts={
        "what": said.text_of(facts["what"], "WHAT", needed=True), "parts": _parts(piece, facts),
        **{name: said.text_of(facts[name], f"--{name}") for name in ("where", "text", "cause")},
    })  # fmt: skip


def _spot(refs: Mapping[str, str], piece: Piece | None, facts: Mapping[str, Any]) -> Body:
    return Body(refs, facts={
        "parts": _parts(piece, facts), "where": said.text_of(facts["where"], "WHERE", needed=True),
        "text": said.text_of(facts["text"], "--text"),
    })  # fmt: skip


def _parts(piece: Piece | None, facts: Mapping[str, Any]) -> list[str]:
    if piece is None:
        if facts["parts"]:
            raise Refusal("--part", "a part of what?", "name the job or the piece as well")
        return []
    return parts_of(piece, facts["parts"])


_COMPOSE: dict[str, Callable[[Mapping[str, str], Piece | None, Mapping[str, Any]], Body]] = {
    ABRADE: _abrade, STRIP: _strip, FAULT: _fault, SPOT: _spot, "note": _said_note, "rest": _note,
    "clean": _note, "wax": _note,
}  # fmt: skip
_ALLOWED: dict[str, tuple[str, ...]] = {
    ABRADE: ("what", "parts", "faces", "abrasive", "removes_um", "minutes", "note"),
    STRIP: ("parts", "how", "note"), FAULT: ("what", "parts", "where", "text", "cause"),
    SPOT: ("parts", "where", "text"), **dict.fromkeys(NOTES, ("parts", "until_us", "text")),
}  # fmt: skip


def _recompose(kind: str) -> Callable[[Mapping[str, Any], Mapping[str, Any]], Body]:
    def recompose(body: Mapping[str, Any], changes: Mapping[str, Any]) -> Body:
        refs = body["refs"]
        piece = Piece.objects.get(key=refs["piece"]) if "piece" in refs else None
        made = _COMPOSE[kind](refs, piece, merged(body, changes, _ALLOWED[kind]))
        kept = body.get("whitening")
        if kept is None or not is_whitening(made.facts["what"]):
            return made
        from lacwright.shop.services.drying_tests import fault_again

        told = fault_again(kept, made.facts["parts"])
        return replace(made, facts={**made.facts, "whitening": told})

    return recompose


RECOMPOSE.update({kind: _recompose(kind) for kind in _COMPOSE})
RECOMPOSE[SPOT_DONE] = lambda body, changes: Body(
    body["refs"], facts=merged(body, changes, ("text",))
)
