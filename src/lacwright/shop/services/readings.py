"""Readings of air and board: one by one, or a logger's file at once."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from lacwright.figures import Refusal
from lacwright.shop import names
from lacwright.shop.models import Event, Job
from lacwright.shop.readings_csv import ReadingRow, all_wrong, temperature, twice
from lacwright.shop.services.amend import RECOMPOSE, Body, merged, write_body
from lacwright.shop.services.work import finite, number
from lacwright.shop.writing import AHEAD_US, Answer, Entry, Writer, write

KIND = "reading"
MEASURED = ("temp_c", "rh", "board_mc", "board_temp_c")
MOST_PLACE = 80


def add_reading(
    *, temp_c: float | None = None, rh: float | None = None, board_mc: float | None = None,
    board_temp_c: float | None = None, where: str = "", job: str | None = None, entry: Entry,
) -> Answer:  # fmt: skip
    """Write down a reading; at least one of the four numbers.

    Parameters
    ----------
    temp_c : float, optional
        Of the air [C].
    rh : float, optional
        Relative humidity [0 to 1].
    board_mc : float, optional
        Moisture of a board, water by weight of dry wood [0 to 1].
    board_temp_c : float, optional
        Of the surface that is finished [C].
    where : str
        Place: "bench", "drying rack".
    job : str, optional
        For which job it was read.
    entry : Entry
        Who and when.

    Raises
    ------
    Refusal
        If nothing was read, or a number cannot be.
    """
    facts = {"temp_c": temp_c, "rh": rh, "board_mc": board_mc, "board_temp_c": board_temp_c,
             "where": where}  # fmt: skip
    finite(facts)

    def do(w: Writer) -> dict[str, Any]:
        refs = {} if job is None else {"job": names.find(Job, job, "--job").key}
        body = _compose(refs, facts)
        write_body(w, KIND, body)
        return {"at_us": w.at_us, "job": refs.get("job"), **body.facts}

    return write("add_reading", {"job": job, **facts}, entry, do)


def import_readings(*, rows: Sequence[ReadingRow], entry: Entry) -> Answer:
    """Write down many readings in one request, all or none; what stands there already is left out.

    Parameters
    ----------
    rows : sequence of ReadingRow
        As `readings_csv.read_readings` gives them.
    entry : Entry
        Who, and when it is written down; every row has its own time.

    Raises
    ------
    Refusal
        If there are none, or one lies in the future.
    """
    if not rows:
        raise Refusal("FILE", "there is no reading in it", "it needs a line for each")

    def do(w: Writer) -> dict[str, Any]:
        first, last = min(r.at_us for r in rows), max(r.at_us for r in rows)
        ahead = [Refusal(f"{row.line}, time", "it lies in the future",
                         "a record holds what was read; check the day")
                 for row in rows if row.at_us > w.written_us + AHEAD_US]  # fmt: skip
        if ahead:
            raise all_wrong(ahead, "FILE")
        stand = {
            (at_us, _plain(body)) for at_us, body in Event.objects.filter(
                kind=KIND, void=False, at_us__range=(first, last)
            ).values_list("at_us", "movement__body")
        }  # fmt: skip
        written = 0
        for row in rows:
            body = _of_row(row)
            if (row.at_us, _plain(body.facts)) in stand:
                continue
            stand.add((row.at_us, _plain(body.facts)))
            write_body(w, KIND, body, at_us=row.at_us)
            written += 1
        return {"written": written, "already_there": len(rows) - written, "from_us": first,
                "until_us": last, "shown_twice": sum(1 for row in rows if row.second),
                "says": twice(rows)}  # fmt: skip

    request = {"rows": [{"at_us": row.at_us, **row.facts()} for row in rows]}
    return write("import_readings", request, entry, do)


def _of_row(row: ReadingRow) -> Body:
    try:
        return _compose({}, row.facts())
    except Refusal as refusal:
        raise refusal.at(f"{row.line}, {refusal.where.removeprefix('--')}") from None


def _plain(facts: Mapping[str, Any]) -> tuple[Any, ...]:
    return tuple(facts[name] for name in (*MEASURED, "where"))


def _compose(refs: Mapping[str, str], facts: Mapping[str, Any]) -> Body:
    if all(facts[name] is None for name in MEASURED):
        raise Refusal("--temp", "nothing was read",
                      'give one at least of --temp, --rh, --board and --board-temp')  # fmt: skip
    where = str(facts["where"]).strip()
    if len(where) > MOST_PLACE:
        raise Refusal("--place", f"it has {len(where)} characters", "write a few words")
    degrees = {
        name: None if facts[name] is None else temperature(facts[name], where_of)
        for name, where_of in (("temp_c", "--temp"), ("board_temp_c", "--board-temp"))
    }
    return Body(refs, facts={
        "temp_c": degrees["temp_c"],
        "rh": number(facts["rh"], "--rh", most=1.0, mend="write e.g. 45 %"),
        "board_mc": number(facts["board_mc"], "--board", most=1.0, mend="write e.g. 9 %"),
        "board_temp_c": degrees["board_temp_c"], "where": where,
    })  # fmt: skip


def _recompose(body: Mapping[str, Any], changes: Mapping[str, Any]) -> Body:
    return _compose(body["refs"], merged(body, changes, (*MEASURED, "where")))


RECOMPOSE[KIND] = _recompose
