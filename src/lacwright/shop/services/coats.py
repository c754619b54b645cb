"""A coat or session: what the jar lost, what evaporated, what stayed in the pad, what landed.

Weigh the jar, not the piece. Without weights the amount is reckoned from the plan or the usual
spread and stays marked as estimated; where neither area nor method is known it is not said.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from lacwright.figures import Refusal, nearest
from lacwright.figures.spoken import trimmed
from lacwright.shop import clock, names
from lacwright.shop.ledger import Amount, Move, dry, grams, lay, millilitres
from lacwright.shop.models import Applicator, Jar
from lacwright.shop.queries.own_figures import own_figure
from lacwright.shop.queries.preferences import zone
from lacwright.shop.queries.progress import Step, zones_meant, zones_of
from lacwright.shop.queries.proving import quarantine
from lacwright.shop.services import work as said
from lacwright.shop.services.amend import CHECK, RECOMPOSE, Body, write_body
from lacwright.shop.services.coat_checks import check_coat
from lacwright.shop.services.coat_remarks import before, landed, remarks
from lacwright.shop.services.work import Work, area_of, parts_of, work_of
from lacwright.shop.writing import Answer, Entry, Writer, write
from lacwright.trade import table

KIND = "coat"
WEIGHED, MEASURED, ESTIMATED, NOT_SAID = "weighed", "measured", "estimated", "not said"
GIVEN, NOT_KNOWN = "given", "not known"
SPRAY, GUN = "spray", "gun"
ARGUMENTS = (
    "job", "piece", "jar", "parts", "faces", "method", "what", "number", "applicator", "before_g",
    "after_g", "used_ml", "open_min", "evaporated_g", "left_g", "minutes", "area_m2", "until_us",
    "note", "in_spite",
)  # fmt: skip
"""What can be said of a coat, and put right later."""
_RECKONED = ("method", "what", "area_m2", "evaporated_g")
"""Facts that are reckoned where they are not said; a correction reckons them anew."""
MOST_OPEN_MIN = 24 * 60
LONGEST_US = 2 * clock.DAY
"""A coat that takes longer is taken for a slip in one of its two times."""
MOST_AREA_M2 = 1e4
MOST_NUMBER = 1000


def lay_coat(
    *, job: str | None = None, piece: str | None = None, jar: str, parts: Iterable[str] = (),
    faces: Iterable[str] = (), method: str | None = None, what: str | None = None,
    number: int | None = None, applicator: str | None = None, before_g: float | None = None,
    after_g: float | None = None, used_ml: float | None = None, open_min: float | None = None,
    evaporated_g: float | None = None, left_g: float | None = None, minutes: float | None = None,
    area_m2: float | None = None, until_us: int | None = None, note: str = "", in_spite: str = "",
    entry: Entry,
) -> Answer:  # fmt: skip
    """Write down a coat or session.

    Parameters
    ----------
    job, piece : str, optional
        One of the two at least; a panel needs no job.
    jar : str
        What it was laid from.
    parts, faces : iterable of str
        Where; none is the whole piece.
    method : str, optional
        As the table of methods calls it; as planned if left out.
    what : str, optional
        "coat", "session", "seal", "washcoat" or "glaze"; as planned if left out, else "coat".
    number : int, optional
        Which of its kind, where he counts himself.
    applicator : str, optional
        Pad, brush or gun of the record: what stays in it goes into the next coat.
    before_g, after_g : float, optional
        The jar before and after, on the same scale, lid and all [g].
    used_ml : float, optional
        In place of weights: what was measured out of it [ml].
    open_min : float, optional
        How long the jar stood open [min].
    evaporated_g : float, optional
        What evaporated from it meanwhile, where that was weighed [g].
    left_g : float, optional
        Dry resin in the pad or brush the next day [g].
    minutes : float, optional
        Working time.
    area_m2 : float, optional
        Coated area, where it is not that of the named parts [m2].
    until_us : int, optional
        When it was finished; the wait to the next coat counts from then.
    note : str
        Free text.
    in_spite : str
        Why it was laid though the jar had failed its test.
    entry : Entry
        Who, and when it was begun.

    Raises
    ------
    Refusal
        For anything unknown, a jar that is shut, weights that cannot be.
    """
    asked: dict[str, Any] = {
        "jar": jar, "parts": list(parts), "faces": list(faces), "method": method, "what": what,
        "number": number, "applicator": applicator, "before_g": before_g, "after_g": after_g,
        "used_ml": used_ml, "open_min": open_min, "evaporated_g": evaporated_g, "left_g": left_g,
        "minutes": minutes, "area_m2": area_m2, "until_us": until_us, "note": note,
        "in_spite": in_spite,
    }  # fmt: skip

    said.finite(asked)

    def do(w: Writer) -> dict[str, Any]:
        work = work_of(job, piece)
        found = names.find(Jar, jar, "--jar")
        _refuse_shut(found, w.at_us, in_spite)
        if until_us is not None and not 0 <= until_us - w.at_us <= LONGEST_US:
            raise Refusal("--until", "it was finished before it was begun, or days later",
                          "check both times")  # fmt: skip
        state = before(work, found, parts_of(work.piece, asked["parts"]), asked["faces"],
                       what, w.at_us)  # fmt: skip
        body = _compose(work, asked, state.planned)
        made = write_body(w, KIND, body)
        return {
            **{word: body.refs.get(word) for word in ("job", "piece", "jar", "applicator")},
            **{k: v for k, v in body.facts.items() if k not in ("given", "planned")},
            **landed(made.id, work.place, found.place.key, body.facts),
            "says": [*check_coat(made), *_says(body), *remarks(state, body, w.at_us)],
        }  # fmt: skip

    return write(KIND, {"job": job, "piece": piece, **asked}, entry, do)


def _refuse_shut(jar: Jar, at_us: int, in_spite: str) -> None:
    shut = quarantine(jar, at_us=at_us)
    if shut is not None and not in_spite.strip():
        raise Refusal(
            "--jar", f"jar '{jar.key}' {shut.words(zone())}: nothing of it goes on the work",
            "take another jar, or test it again beside a fresh control; if it was laid all the "
            "same, say why with --in-spite",
        )  # fmt: skip


def _compose(work: Work, asked: Mapping[str, Any], planned: Step | None) -> Body:
    """Return the whole observation for what was said of it."""
    jar = names.find(Jar, asked["jar"], "--jar")
    through = _applicator(asked["applicator"])
    parts = parts_of(work.piece, asked["parts"])
    faces = said.words(asked["faces"], "--face")
    what = _what(asked["what"], planned)
    method = _method(asked["method"], what, planned)
    area = _area(work, parts, faces, asked["area_m2"])
    taken = _taken(asked, jar, method, area, planned)
    left_g = said.number(asked["left_g"], "--left")
    # What a gun does not bring onto the work is in the air and on the floor, not in the gun.
    sprays = (table("methods")[method].text("kind") == SPRAY if method else False) or (
        through is not None and through.kind == GUN
    )
    lost = None
    if taken.amount is not None and method is None:
        raise Refusal("--method", "how it was laid is not said, so nobody knows what stayed behind",
                      "write brush, pad, french-polish, ...")  # fmt: skip
    if left_g is None and taken.amount is not None:
        lost = own_figure(f"lost.{method}").number()
    moves: list[Move] = [lay(
        source=jar.place.key, on=work.place, amount=taken.amount,
        through=through.place.key if through is not None and not sprays else None,
        left_ug=None if left_g is None else round(left_g * 1e6),
        lost_ppm=0 if lost is None else round(lost * 1e6),
    )]  # fmt: skip
    if taken.evaporated_g:
        moves.append(dry(source=jar.place.key, amount=grams(taken.evaporated_g)))
    refs = {**work.refs, "jar": jar.key}
    if through is not None:
        refs["applicator"] = through.key
    return Body(refs, tuple(moves), {
        "what": what, "parts": parts, "faces": faces, "method": method,
        "number": _number(asked["number"]), "area_m2": area,
        "before_g": taken.before_g, "after_g": taken.after_g, "used_ml": taken.used_ml,
        "amount_basis": taken.basis, "evaporated_g": taken.evaporated_g,
        "evaporated_basis": taken.evaporated_basis, "open_min": taken.open_min, "left_g": left_g,
        "lost_share": lost, "minutes": said.minutes_of(asked["minutes"]),
        "until_us": asked["until_us"], "note": said.text_of(asked["note"], "--note"),
        "in_spite": said.text_of(asked["in_spite"], "--in-spite"),
        "planned": None if planned is None else dict(planned),
        "given": [name for name in _RECKONED if asked[name] is not None],
    })  # fmt: skip


# --- how much left the jar -------------------------------------------------------------------


@dataclass(frozen=True)
class _Taken:
    """What left the jar as mix, what as vapour, and how that is known."""

    amount: Amount | None
    basis: str
    evaporated_g: float | None
    evaporated_basis: str
    before_g: float | None = None
    after_g: float | None = None
    used_ml: float | None = None
    open_min: float | None = None


def _taken(
    asked: Mapping[str, Any], jar: Jar, method: str | None, area: float | None,
    planned: Step | None,
) -> _Taken:  # fmt: skip
    before_g = said.number(asked["before_g"], "--before", zero=False)
    after_g = said.number(asked["after_g"], "--after")
    used_ml = said.number(asked["used_ml"], "--used", zero=False)
    open_min = said.number(asked["open_min"], "--open", most=MOST_OPEN_MIN,
                           mend="write e.g. 20 min")  # fmt: skip
    if (before_g is None) != (after_g is None):
        missing = "--after" if after_g is None else "--before"
        raise Refusal(missing, "the jar was weighed only once",
                      "give both weights, or neither")  # fmt: skip
    if before_g is not None and used_ml is not None:
        raise Refusal("--used", "the jar was weighed as well", "give weights or a volume, not both")
    evaporated, basis = _evaporated(asked["evaporated_g"], open_min, jar)
    if before_g is not None and after_g is not None:
        loss = before_g - after_g
        if loss <= 0:
            raise Refusal("--after", f"the jar weighs {after_g:g} g after the coat and "
                          f"{before_g:g} g before it", "swap them, or weigh again")  # fmt: skip
        if loss <= (evaporated or 0.0):
            raise Refusal("--after", f"the jar lost {trimmed(loss)} g, and "
                          f"{trimmed(evaporated or 0.0)} g of that "
                          "would have evaporated", "weigh again, or say --evaporated")  # fmt: skip
        return _Taken(grams(loss - (evaporated or 0.0)), WEIGHED, evaporated, basis, before_g,
                      after_g, None, open_min)  # fmt: skip
    if used_ml is not None:
        return _Taken(millilitres(used_ml), MEASURED, evaporated, basis, None, None, used_ml,
                      open_min)  # fmt: skip
    guessed = _usual_ml(method, area, planned)
    if guessed is None:
        return _Taken(None, NOT_SAID, evaporated, basis, open_min=open_min)
    return _Taken(millilitres(guessed), ESTIMATED, evaporated, basis, open_min=open_min)


def _evaporated(
    given_g: float | None, open_min: float | None, jar: Jar
) -> tuple[float | None, str]:  # fmt: skip
    """Return the alcohol lost from the open jar [g], and how that is known."""
    weighed = said.number(given_g, "--evaporated")
    if weighed is not None:
        return weighed, GIVEN
    if open_min is None or jar.mouth_mm is None:
        return None, NOT_KNOWN
    rate = own_figure("jar.evaporation").number()
    return rate * mouth_m2(jar.mouth_mm) * 60.0 * open_min, ESTIMATED


def mouth_m2(mouth_mm: float) -> float:
    """Return the open area of a jar [m2] from the width of its mouth [mm]."""
    return math.pi / 4.0 * (mouth_mm / 1000.0) ** 2


def _usual_ml(method: str | None, area: float | None, planned: Step | None) -> float | None:
    """Return what a coat usually takes [ml]: as planned, else by the maker's spread."""
    if area is None:
        return None
    if planned is not None and planned["load_ml_m2"] and planned["method"] == method:
        return float(planned["load_ml_m2"]) * area
    return None if method is None else own_figure(f"spread.{method}").number() * area


# --- what it was -----------------------------------------------------------------------------


def _what(what: str | None, planned: Step | None) -> str:
    if what is None:
        return KIND if planned is None else str(planned["what"])
    laying = [row.key for row in table("steps") if row.yes("lays")]
    if what not in laying:
        raise Refusal("--what", f"'{what}' lays nothing", nearest(what, laying))
    return what


def _method(method: str | None, what: str, planned: Step | None) -> str | None:
    if method is not None:
        return table("methods").find(method, "--method").key
    if planned is not None:
        return str(planned["method"])
    return "french-polish" if what in ("session", "glaze") else None


def _applicator(name: str | None) -> Applicator | None:
    return None if name is None else names.find(Applicator, name, "--with")


def _area(
    work: Work, parts: list[str], faces: list[str], given_m2: float | None
) -> float | None:  # fmt: skip
    if given_m2 is not None:
        return said.number(given_m2, "--area", zero=False, most=MOST_AREA_M2)
    if not faces:
        return area_of(work.piece, parts)
    zones = zones_of(None if work.job is None else work.job.plan)
    meant = zones_meant(zones, parts, faces)
    if zones and not meant:
        raise Refusal("--face", f"no finished face is called {', '.join(faces)}",
                      nearest(faces[0], {z.face for z in zones}))  # fmt: skip
    return float(sum(z.area_m2 for z in meant)) if meant else None


def _number(number: int | None) -> int | None:
    if number is not None and not 1 <= number <= MOST_NUMBER:
        raise Refusal("--number", f"{number} is no number of a coat", "count from 1, or leave out")
    return number


def _says(body: Body) -> list[str]:
    """Return what is not known of the amount, in a sentence each."""
    facts, out = body.facts, []
    if facts["amount_basis"] == NOT_SAID:
        out.append("How much was used is not known: weigh the jar, or say the area and the method.")
    if facts["amount_basis"] == WEIGHED and facts["evaporated_basis"] == NOT_KNOWN:
        out.append("What evaporated from the open jar is not taken off: say --open, and the width "
                   "of the jar's mouth.")  # fmt: skip
    return out


def _recompose(body: Mapping[str, Any], changes: Mapping[str, Any]) -> Body:
    for name in changes:
        if name not in ARGUMENTS:
            raise Refusal(name, "it is not among what can be corrected", nearest(name, ARGUMENTS))
    asked = {name: body.get(name) for name in ARGUMENTS}
    for name in _RECKONED:
        if name not in body.get("given", _RECKONED):
            asked[name] = None
    refs = body["refs"]
    asked |= {"jar": refs["jar"], "applicator": refs.get("applicator"), **changes}
    planned, job, piece = body.get("planned"), refs.get("job"), refs["piece"]
    if {"job", "piece"} & set(changes):
        # On other work it is no step of that plan: what the plan told of it was done all the same.
        planned = None
        asked |= {name: body[name] for name in ("method", "what") if name not in changes}
        job = changes.get("job", job)
        piece = changes.get("piece", piece if "job" not in changes or not job else None)
    return _compose(work_of(job or None, piece or None), asked, planned)


RECOMPOSE[KIND] = _recompose
CHECK[KIND] = check_coat
