"""Jobs: started with the plan that was made, closed when the piece is handed over."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from typing import Any

from lacwright.figures import Refusal
from lacwright.shop import clock, names
from lacwright.shop.models import Event, Job, Piece
from lacwright.shop.queries.jobs import begun_us, open_on
from lacwright.shop.queries.preferences import zone
from lacwright.shop.services import work as said
from lacwright.shop.services.amend import RECOMPOSE, Body, merged, write_body
from lacwright.shop.services.describing import describe
from lacwright.shop.services.pieces import PIECE, checked_areas, new_piece, open_piece
from lacwright.shop.writing import Answer, Entry, Writer, write

START, CLOSE = "start", "close"
LONGEST_FILE = 1_000_000


def start_job(
    *, job: str, piece_name: str, title: str = "", customer: str | None = None,
    piece_file: str = "", plan: Mapping[str, Any] | None = None,
    areas_m2: Mapping[str, float] | None = None, wood: str = "", promised: dt.date | None = None,
    in_spite: str = "", entry: Entry,
) -> Answer:  # fmt: skip
    """Start a job on a piece; a piece that is not in the record yet is written down as well.

    Parameters
    ----------
    job : str
        What the job is called from now on.
    piece_name : str
        The piece.
    title : str
        Free text.
    customer : str, optional
        Of a new piece; one of the record.
    piece_file : str
        The piece file, as text.
    plan : mapping, optional
        As `plan_link.kept` gives it.
    areas_m2 : mapping, optional
        Finished area by part, where the piece does not have them yet.
    wood : str
        Of a new piece.
    promised : date, optional
        The day that was promised.
    in_spite : str
        Why it is begun though the plan has a stop; for a class no reason counts.
    entry : Entry
        Who and when.

    Raises
    ------
    Refusal
        For a name that is taken, a plan with a stop that nobody answers for, an unknown customer.
    """
    request = {
        "job": job, "piece_name": piece_name, "title": title, "customer": customer,
        "piece_file": piece_file, "plan": plan, "areas_m2": checked_areas(areas_m2 or {}),
        "wood": wood,
        "promised": promised and promised.isoformat(), "in_spite": in_spite,
    }  # fmt: skip

    def do(w: Writer) -> dict[str, Any]:
        key = names.new(Job, job, "--job")
        stops = [] if plan is None else list(plan["stops"])
        reason = said.text_of(in_spite, "--in-spite")
        _refuse_stops(stops, reason, taught=is_class(plan))
        if len(piece_file) > LONGEST_FILE:
            raise Refusal("the piece file", "it is larger than 1 MB", "it is a few pages of text")
        row = Piece.objects.filter(key=piece_name.strip()).first()
        made_new = row is None or names.is_gone(row)
        if row is None:
            row = new_piece(name=piece_name, kind=PIECE, title=title, customer=customer, wood=wood,
                            areas_m2=areas_m2 or {}, note="", where="--piece")  # fmt: skip
        elif made_new:
            names.find(Piece, row.key, "--piece")  # refuses one that was taken back
        says = [] if made_new else _of_others(open_on(row))
        started = Job.objects.create(key=key, piece=row, title=title.strip(), plan=plan,
                                     piece_file=piece_file, promised=promised)  # fmt: skip
        body = Body({"job": key, "piece": row.key}, facts={
            "planned": plan is not None, "stops": [s["text"] for s in stops], "in_spite": reason,
        })  # fmt: skip
        started.opened = write_body(w, START, body)
        started.save()
        if made_new:
            open_piece(w, row)
        else:
            _fill_in(w, row, areas_m2 or {}, customer)
        return {"job": key, "piece": row.key, "new_piece": made_new, "planned": plan is not None,
                "planned_coats": None if plan is None else plan["planned_coats"],
                "promised": promised and promised.isoformat(), "in_spite": reason,
                "says": [*says, *_of_the_promise(promised, w.at_us)]}  # fmt: skip

    return write("start_job", request, entry, do)


def is_class(plan: Mapping[str, Any] | None) -> bool:
    """Return whether a plan that is kept with a job is that of a class."""
    return plan is not None and plan.get("keys", {}).get("students") is not None


def close_job(
    *, job: str, delivered: dt.date | None = None, text: str = "", entry: Entry
) -> Answer:  # fmt: skip
    """Close a job.

    Parameters
    ----------
    job : str
        The job.
    delivered : date, optional
        Day on which the piece was handed over.
    text : str
        Free text.
    entry : Entry
        Who and when.

    Raises
    ------
    Refusal
        If it is unknown or closed already, or handed over before it was begun or after today.
    """
    request = {"job": job, "delivered": delivered and delivered.isoformat(), "text": text}

    def do(w: Writer) -> dict[str, Any]:
        row = names.find(Job, job, "--job")
        if Event.objects.filter(job=row, kind=CLOSE, void=False).exists():
            raise Refusal(
                "--job",
                f"job '{row.key}' is closed already",
                "to open it again, take that back with 'lacwright record undo'",
            )
        _refuse_hand_over(row, delivered, w.written_us)
        refs = {"job": row.key, "piece": row.piece.key}
        write_body(w, CLOSE, _close(refs, {"delivered": request["delivered"], "text": text}))
        return {"job": row.key, "piece": row.piece.key, "delivered": request["delivered"]}

    return write("close_job", request, entry, do)


def describe_job(*, job: str, changes: Mapping[str, Any], entry: Entry) -> Answer:
    """Change title, promised day or note of a job.

    Parameters
    ----------
    job : str
        The job.
    changes : mapping
        Any of: title, promised (a date or None), note.
    entry : Entry
        Who and when.

    Raises
    ------
    Refusal
        For an unknown job or field, or if nothing changes.
    """
    request = {k: v.isoformat() if isinstance(v, dt.date) else v for k, v in changes.items()}

    def do(w: Writer) -> dict[str, Any]:
        row = names.find(Job, job, "--job")
        for field in changes:
            if field not in ("title", "promised", "note"):
                raise Refusal(field, "it is not part of the description of a job",
                              "use one of: title, promised, note")  # fmt: skip
        describe(w, "job", row, changes)
        begun = begun_us(row)
        says = [] if begun is None else _of_the_promise(changes.get("promised"), begun)
        return {"job": row.key, **request, "says": says}

    return write("describe_job", {"job": job, "changes": request}, entry, do)


def _of_others(names_open: list[str]) -> list[str]:
    """Return what to say of jobs that are open on the piece: two may run, on top and back."""
    return [f"Job '{name}' is open on this piece too: say with every coat which job it is for, and "
            f"close '{name}' if it is over." for name in names_open]  # fmt: skip


def _of_the_promise(promised: dt.date | None, begun: int) -> list[str]:
    """Return what to say of a day that was over when the job was begun: it may well be late."""
    day = clock.day_of(begun, zone())
    if promised is None or promised >= day:
        return []
    return [f"The promised day, {promised}, is before the job was begun, on {day}: if that is a "
            "slip, put it right in the description of the job."]  # fmt: skip


def _refuse_stops(
    stops: list[Mapping[str, Any]], reason: str, *, taught: bool
) -> None:  # fmt: skip
    told = " ".join(str(s["text"]) for s in stops).rstrip(".")
    if stops and taught:
        raise Refusal(
            "the class", f"its plan has a stop: {told}",
            "change the plan until none is left: students cannot answer for a stop, and nobody "
            "answers for them",
        )  # fmt: skip
    if stops and not reason:
        raise Refusal(
            "--in-spite", f"the plan has a stop, and no reason is given: {told}",
            "change the plan; if you begin all the same, say why with --in-spite 'the reason': "
            "stop and reason are kept with the job",
        )  # fmt: skip


def _refuse_hand_over(row: Job, delivered: dt.date | None, now_us: int) -> None:
    if delivered is None:
        return
    there = zone()
    if delivered > clock.day_of(now_us, there):
        raise Refusal("--delivered", f"{delivered} is still to come; a record holds what was done",
                      "close the job on that day, or leave the day out")  # fmt: skip
    begun = begun_us(row)
    if begun is not None and delivered < (day := clock.day_of(begun, there)):
        raise Refusal("--delivered", f"{delivered} is before the job was begun, on {day}",
                      "check the day and the job")  # fmt: skip


def _fill_in(
    w: Writer, row: Piece, areas_m2: Mapping[str, float], customer: str | None
) -> None:  # fmt: skip
    """Add parts that a known piece does not have yet; what it has is left as it is."""
    new = {k: v for k, v in checked_areas(areas_m2).items() if k not in row.areas_m2}
    if customer is not None and (row.customer is None or row.customer.key != customer):
        whose = "nobody's yet" if row.customer is None else f"{row.customer.key}'s"
        raise Refusal("--customer", f"piece '{row.key}' is {whose}",
                      "change that with 'lacwright piece describe'")  # fmt: skip
    if new:
        describe(w, "piece", row, {"areas_m2": {**row.areas_m2, **new}})


def _close(refs: Mapping[str, str], facts: Mapping[str, Any]) -> Body:
    delivered = facts["delivered"]
    if delivered is not None:
        dt.date.fromisoformat(delivered)
    return Body(refs, facts={"delivered": delivered, "text": said.text_of(facts["text"], "--text")})


RECOMPOSE[START] = lambda body, changes: Body(body["refs"], facts=merged(body, changes, ()))
RECOMPOSE[CLOSE] = lambda body, changes: _close(
    body["refs"], merged(body, changes, ("delivered", "text"))
)
