"""`lacwright job wet`: the wet coat that now lies on a job or piece, and what comes when."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from lacwright.cli import dry_common as common
from lacwright.cli.record_common import moment, reads, record
from lacwright.cli.show import RH, TEMPERATURE, brief, counted, emit
from lacwright.figures import Refusal

if TYPE_CHECKING:
    import datetime as dt

    from lacwright.figures import Figure, Stop
    from lacwright.shop.queries.wet_now import Moment, WetNow

WORDS = {"touch_dry": "Touch-dry", "print_free": "Print-free", "recoat": "Next coat",
         "sandable": "Sandable"}  # fmt: skip
STOP = "stop"
"""The verdict where a stop stands, whatever the film does."""


@click.command()
@click.argument("job", metavar="JOB", required=False)
@click.option("--piece", metavar="NAME", help="A piece or panel, in place of a job.")
@click.option("--temp", "temp_c", type=TEMPERATURE,
              help="Of the room, with --rh, in place of the reading.")  # fmt: skip
@click.option("--rh", type=RH, help="Relative humidity beside it, with --temp.")
@reads
def wet_(
    job: str | None, piece: str | None, temp_c: float | None, rh: float | None, home: str | None,
    now: str | None, as_json: bool,
) -> None:  # fmt: skip
    """Say how far the last coats have dried, as the model of the drying coat has it.

    Of every part its last coat, where that is younger than a week: of what was weighed and mixed,
    in the air that was read nearest in time. It speaks of the film alone.
    """
    if (job is None) == (piece is None):
        raise Refusal("JOB", "neither or both of a job and a piece are named",
                      "name the job, or --piece NAME")  # fmt: skip
    if (temp_c is None) != (rh is None):
        raise Refusal("--rh" if rh is None else "--temp", "half of the air is said",
                      "give --temp and --rh, or neither")  # fmt: skip
    with record(home) as zone:
        from lacwright.shop.clock import now_us
        from lacwright.shop.models import Job, Piece
        from lacwright.shop.names import find
        from lacwright.shop.queries import wet_now

        at = moment(now, zone) or now_us()
        work = find(Piece, piece, "--piece") if piece is not None else find(Job, job or "", "JOB")
        laid = wet_now.wet_coats(work, now_us=at, temp_c=temp_c, rh=rh)
        if any(not one.silent for one in laid):
            common.ready_model()
        coats = wet_now.wet_now(laid, now_us=at)
        cautions, stops = wet_now.cautions_of(coats)
        name = work.key if isinstance(work, Piece) else work.piece.key
        keys: dict[str, Any] = {"job": job, "piece": name,
                                "coats": [_as_json(one, zone, stops) for one in coats]
                                }  # fmt: skip
        lines = [] if as_json else _lines(coats, name, zone, stopped=bool(stops))
    emit(schema="lacwright.job.wet/1", keys=keys, as_json=as_json, lines=lines, cautions=cautions,
         missing={} if job is not None else {"job": "for no job"}, stops=stops, short=True,
         )  # fmt: skip


def _as_json(one: WetNow, zone: dt.tzinfo, stops: tuple[Stop, ...]) -> dict[str, Any]:
    """Return a coat as plain data; a standing stop takes the place of the film's own verdict."""
    told = one.as_json(zone)
    told["film_verdict"] = told["verdict"]
    if told["film_verdict"] is None:
        told["missing"]["film_verdict"] = told["missing"]["verdict"]
    elif stops:
        told["verdict"], told["reason"] = STOP, stops[0].text
    return told


def _lines(
    coats: tuple[WetNow, ...], name: str, zone: dt.tzinfo, *, stopped: bool
) -> list[str]:  # fmt: skip
    if not coats:
        return [f"No coat that is younger than a week lies on {name}."]
    out = [_first(coats[0], name, zone, stopped=stopped)]
    out += list(dict.fromkeys(one.warning for one in coats if one.warning))
    for one in coats:
        out += _of(one, name, zone, stopped=stopped)
    return out


def _first(one: WetNow, name: str, zone: dt.tzinfo, *, stopped: bool) -> str:
    from lacwright.drying import FILM_ONLY, NO_STOP

    where = _where(one, name)
    if one.made is None:
        return f"The drying model has no say of the last coat on {where}: {one.why_not}."
    recoat = one.moments["recoat"]
    state = one.state[0].upper() + one.state[1:]
    if one.ready:
        told = f"{state}: the last coat on {where}"
        return f"{told}; film only." if stopped else f"{told}; {FILM_ONLY}."
    then = (f"next coat {_when(recoat, zone, one.now_us)}" if recoat.at_us is not None
            else "when the next coat, is not told")  # fmt: skip
    word = "" if one.made.verdict == NO_STOP else f", {one.made.verdict}"
    return f"{state}{word}: the last coat on {where}; {then}; {FILM_ONLY}."


def _of(one: WetNow, name: str, zone: dt.tzinfo, *, stopped: bool) -> list[str]:
    from lacwright.drying import UNCALIBRATED
    from lacwright.shop.clock import plain

    laid, made = one.laid, one.made
    body = laid.event.movement.body
    head = f"{_where(one, name)}, {body['method'] or 'laid'} {plain(laid.at_us, zone)}"
    if made is None or laid.coat is None or laid.reading is None:
        return [f"{head}: no say, {one.why_not}"]
    below = f" on {counted(len(laid.under), 'coat')}" if laid.under else ""
    out = [
        f"{head}: {brief(laid.coat.wet_um, 3)} um wet of a {brief(laid.coat.cut_lb_per_gal, 3)}-lb "
        f"cut{below} ({laid.amount})",
        f"  In air of  {laid.reading.words}, "
        + (f"read {plain(laid.reading.at_us, zone)}" if laid.reading.movement else "as you say"),
        f"  Film       down to {_celsius(made.film_min_c)}, "
        f"{'passed' if one.coldest_passed else 'still to come'}; now {one.film_c:.1f} C, "
        f"{_left(one)} g/m2 of solvent left",
    ]
    late: dict[str, list[str]] = {}
    for key, when in one.moments.items():
        late.setdefault(_when(when, zone, one.now_us), []).append(WORDS[key])
    out += [f"  {words[0]:<11}{told}" if len(words) == 1 else f"  {', '.join(words)}: {told}"
            for told, words in late.items()]  # fmt: skip
    word = "the stop above; of the film alone" if stopped else made.verdict
    out.append(f"  Why        {word}: {made.reason}")
    word = made.calibrated
    out.append("  " + ("Uncalibrated: time a coat on a panel, see `lacwright piece test`"
                       if word == UNCALIBRATED else word[0].upper() + word[1:]))  # fmt: skip
    if laid.assumed:
        out.append(f"  Assumed: {', '.join(laid.assumed)}, still air")
    return out


def _left(one: WetNow) -> str:
    return brief(max(one.left_g_m2 or 0.0, 0.0), 2)


def _celsius(figure: Figure) -> str:
    return f"{figure.number():.1f} C ({figure.low or 0.0:.1f} to {figure.high or 0.0:.1f})"


def _where(one: WetNow, name: str) -> str:
    parts = ", ".join(one.laid.parts)
    faces = f" ({', '.join(one.laid.faces)})" if one.laid.faces else ""
    return f"{parts}{faces} of {name}" if parts else f"{name}{faces}"


def _when(moment: Moment, zone: dt.tzinfo, now_us: int) -> str:
    """Return "about 15:20 (14:55 to 16:10)", with the day where it is another, or the reason."""
    if moment.at_us is None or moment.low_us is None or moment.high_us is None:
        return moment.why
    from lacwright.shop.queries.wet_now import BEYOND

    word = "since about" if moment.at_us <= now_us else "about"
    if moment.open_ended:
        at, low = _clocks((moment.at_us, moment.low_us), zone, now_us)
        return f"{word} {at} ({low} to {BEYOND})"
    told = _clocks((moment.at_us, moment.low_us, moment.high_us), zone, now_us)
    return f"{word} {told[0]} ({told[1]} to {told[2]})"


def _clocks(moments: tuple[int, ...], zone: dt.tzinfo, now_us: int) -> list[str]:
    """Return moments by the clock; with their days, where one of them is not today."""
    from lacwright.shop.clock import day_of, plain

    today = {day_of(us, zone) for us in moments} == {day_of(now_us, zone)}
    return [plain(us, zone)[11:] if today else plain(us, zone) for us in moments]
