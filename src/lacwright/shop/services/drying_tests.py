"""What a timed coat, and one that whitened or did not, say of the drying model's constants.

It is worked out when the observation is written down or corrected, and kept beside it: reading own
figures then needs no compiled model. The coat is one of the record, or told in the words of a file
of timed coats.
"""

from __future__ import annotations

import sys
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any, TypeVar

from lacwright import __version__
from lacwright.climate import Air
from lacwright.drying import (
    AIR,
    STEP,
    TOLERANCE,
    Board,
    Under,
    WetCoat,
    bound_of,
    calibrate,
    compile_now,
    compiled,
    own_constants,
    prior,
)
from lacwright.drying import Event as Whitening
from lacwright.drying import TimedCoat as Timed
from lacwright.drying.hand import REACH
from lacwright.figures import Hand, Refusal, Refusals
from lacwright.figures import units as u
from lacwright.figures.quantities import read
from lacwright.figures.spoken import brief
from lacwright.files.timed_coat import CoatTable, EventTable, TimedTable, observation
from lacwright.shop import clock, names
from lacwright.shop.models import Event, Jar, Piece
from lacwright.shop.queries.contents import contents
from lacwright.shop.queries.drying_seen import TIMED, WHITENED
from lacwright.shop.queries.laid import (
    NO_AIR,
    Laid,
    air_near,
    air_of,
    laid_of,
    last_laid,
)
from lacwright.shop.queries.own_figures import drying_hand
from lacwright.shop.queries.wet_film import composition

WITHIN_US = 2 * clock.DAY
"""A coat whitens within hours; a haze that is seen later than that is not put down to it."""
FILM = ("wet", "weighed", "before", "after", "used")
TIMES = ("touch_dry", "print_free", "recoat")
OURS = ("jar", "coat", "coat_version", "parts", "read", "whitened")
"""Keys of a result that are the record's and not those of a file of timed coats."""
SAME = ("name", "date", "temp", "rh", "says")
"""Keys of the file that the record says otherwise."""
NOT_COMPILED = ("the drying model is not compiled on this machine yet: once 'lacwright dry' has "
                "done that, correct this entry, and it is reckoned")  # fmt: skip
OPTIONS = {"wood": "--board", "coat": "--coat"}
F = TypeVar("F", TimedTable, EventTable)


@dataclass(frozen=True)
class Learnt:
    """What one observation says by itself.

    Parameters
    ----------
    learned : mapping or None
        air and diffusion, or tolerance; with the priors and the program it was worked out with.
    why_not : str
        Why it says nothing.
    says : tuple of str
        In sentences.
    """

    learned: dict[str, Any] | None
    why_not: str
    says: tuple[str, ...]


def ready() -> None:
    """Have the model compiled, with a line on stderr before it begins; nothing where it is."""
    compile_now(lambda words: print(f"{words} ...", file=sys.stderr, flush=True))


def of_test(
    *, test: str, piece: Piece, facts: Mapping[str, Any], at_us: int | None
) -> dict[str, Any]:  # fmt: skip
    """Return the facts of such a test with what it says.

    Parameters
    ----------
    test : str
        "timed-coat" or "whitened".
    piece : Piece
        The panel or piece.
    facts : mapping
        temp_c, rh (None: as it was read near that time), result: the coat in the words of a file
        of timed coats, or none of it for the last coat on record (`coat` names another, `parts`
        where); `jar` in place of cut and alcohol; touch_dry with print_free or recoat, or
        whitened.
    at_us : int or None
        When; None for a correction: the coat and the air then are those that were found first.

    Raises
    ------
    Refusal
        For anything that is missing or cannot be, a timed coat from which nothing can be learned.
    """
    result = {k: v for k, v in facts["result"].items() if v is not None and v != []}
    whitened = result.get("whitened")
    if test == WHITENED and not isinstance(whitened, bool):
        raise Refusal("--whitened", "whether it whitened is not said",
                      "write --whitened or --stayed-clear")  # fmt: skip
    if test == TIMED and "touch_dry" not in result:
        raise Refusal("--touch-dry", "it is not said", "write e.g. --touch-dry '9 min'")
    temp_c, rh = facts["temp_c"], facts["rh"]
    laid, own_words = None, any(k in result for k in FILM)
    if not own_words:
        laid = _laid(piece, result, at_us)
        result |= {"coat": laid.event.root_id, "coat_version": laid.event.movement_id,
                   "parts": list(laid.parts)}  # fmt: skip
    if at_us is not None and (temp_c is None or rh is None):
        near = air_near(at_us if laid is None else laid.at_us)
        if near is not None:
            result["read"] = near.movement
            temp_c = near.temp_c if temp_c is None else temp_c
            rh = near.rh if rh is None else rh
    told = {**facts, "temp_c": temp_c, "rh": rh}
    if own_words:
        result = _with_jar(piece, result, at_us)
        learnt = _of_words(test, piece, result, told)
    else:
        assert laid is not None
        learnt = _of_laid(test, laid, result, told)
    return {**told, "result": result, "learned": learnt.learned, "why_not": learnt.why_not,
            "says": list(learnt.says)}  # fmt: skip


def of_fault(*, piece: Piece, parts: list[str], at_us: int) -> dict[str, Any]:
    """Return what a whitening that was logged as a fault says of the water tolerance.

    Nobody who logs a fault waits for a compiler: without the compiled model it says so.

    Parameters
    ----------
    piece : Piece
    parts : list of str
        Where on it.
    at_us : int
        When it was seen: the last coat there, of the two days before, is the one that whitened.
    """
    found = last_laid(piece, at_us=at_us, within_us=WITHIN_US, parts=parts)
    if not found:
        return {"why": "no coat of the two days before is on record there"}
    return _bound_kept(found[0], parts)


def taught(kept: Mapping[str, Any]) -> str:
    """Return what a whitening logged as a fault teaches, in a sentence."""
    if "tolerance" not in kept:
        return f"It teaches nothing of the water tolerance: {kept['why']}."
    return (f"It says a water tolerance below {brief(kept['tolerance'], 3)}, by the coat of "
            f"movement {kept['coat']}.")  # fmt: skip


def fault_again(kept: Mapping[str, Any], parts: list[str]) -> dict[str, Any]:
    """Return the same once the fault was corrected: of the coat that it was put down to."""
    event = _coat_event(kept["coat"]) if "coat" in kept else None
    if event is None:
        return dict(kept)
    laid = laid_of(event)
    return _bound_kept(next((x for x in laid if set(x.parts) & set(parts)), laid[0]), parts)


def _bound_kept(laid: Laid, parts: list[str]) -> dict[str, Any]:
    why = laid.silent or ("" if compiled() else NOT_COMPILED)
    learnt = _guarded(lambda: _bound(laid.coat, laid.air, True, laid.board, laid.under), why)
    return {"coat": laid.event.root_id, "coat_version": laid.event.movement_id,
            **(learnt.learned or {}), "why": learnt.why_not}  # fmt: skip


# --- the coat that is meant --------------------------------------------------------------------


def _laid(piece: Piece, result: Mapping[str, Any], at_us: int | None) -> Laid:
    """Return the coat of the record that is meant: the one named, else the last before then."""
    number, parts = result.get("coat"), list(result.get("parts", ()))
    if number is None:
        if at_us is None:
            raise Refusal("result", "a correction does not look for the coat anew",
                          "keep 'coat' in it")  # fmt: skip
        found = last_laid(piece, at_us=at_us, within_us=WITHIN_US, parts=parts)
        if not found:
            raise Refusal("--wet", f"no coat of the two days before is on record on {piece.key}",
                          "say the wet film, cut and alcohol, or log the coat first")  # fmt: skip
        return found[0]
    event = _coat_event(number)
    if event is None or event.piece_id != piece.pk:
        raise Refusal("--coat", f"movement {number} is no coat on {piece.key}",
                      "see 'lacwright piece show'")  # fmt: skip
    laid = laid_of(event)
    return next((x for x in laid if not parts or set(x.parts) & set(parts)), laid[0])


def _coat_event(number: int) -> Event | None:
    movement = names.movement_of(number, "--coat")
    found = Event.objects.filter(root=movement.root_id or movement.id, kind="coat", void=False)
    return found.select_related("movement", "piece").first()


def _with_jar(piece: Piece, result: dict[str, Any], at_us: int | None) -> dict[str, Any]:
    """Return a result with wood of the panel, cut and alcohol of the jar, as they were."""
    out = dict(result)
    if "wood" not in out and piece.wood:
        out["wood"] = piece.wood
    if "jar" not in out or at_us is None:
        return out
    for key in ("cut", "alcohol"):
        if key in out:
            raise Refusal(f"--{key}", "the jar says it as well", f"give --jar or --{key}")
    jar = names.find(Jar, out["jar"], "--jar")
    inside = contents(jar.place.key, at_us=at_us)
    if inside.no_cut is not None:
        raise Refusal("--jar", f"its cut is not known: {inside.no_cut}", "give --cut and --alcohol")
    shares = composition(inside.mix)
    if shares is None:
        raise Refusal("--jar", "the composition of its alcohol is not known",
                      "how a coat dries hangs on it: take a jar of known alcohol")  # fmt: skip
    out["cut"] = float(f"{float(inside.mix.cut_lb_per_gal):.6g}")
    out["alcohol"] = ", ".join(f"{k} {100 * v:.6g}" for k, v in sorted(shares.items()))
    out["resin_density"] = f"{float(inside.mix.resin_density_g_ml):.6g} g/ml"
    return out


# --- what it says ------------------------------------------------------------------------------


def _of_words(
    test: str, piece: Piece, result: Mapping[str, Any], facts: Mapping[str, Any]
) -> Learnt:  # fmt: skip
    if facts["temp_c"] is None or facts["rh"] is None:
        raise Refusal("--temp" if facts["temp_c"] is None else "--rh", NO_AIR,
                      "say what thermometer and hygrometer beside it showed")  # fmt: skip
    raw = {k: v for k, v in result.items() if k not in OURS}
    for key in SAME:
        if key in raw:
            raise Refusal(_option(key), "the record says it by itself", "leave it out")
    raw |= {"name": piece.key, "temp": facts["temp_c"], "rh": facts["rh"]}
    if test == TIMED:
        timed = _checked(TimedTable, raw).timed()
        return _timed(timed)
    event = _checked(EventTable, {**raw, "whitened": result["whitened"]}).event()
    return _guarded(
        lambda: _bound(event.coat, event.air, event.whitened, event.board, event.under), ""
    )


def _of_laid(
    test: str, laid: Laid, result: Mapping[str, Any], facts: Mapping[str, Any]
) -> Learnt:  # fmt: skip
    extra = [k for k in result if k not in (*OURS, *(TIMES if test == TIMED else ()))]
    if extra:
        raise Refusal(_option(extra[0]), "the coat is one of the record, which says that",
                      "say the wet film as well, or leave it out")  # fmt: skip
    air = laid.air
    if facts["temp_c"] is not None and facts["rh"] is not None:
        air = air_of(facts["temp_c"], facts["rh"])
    why = laid.why_not or (NO_AIR if air is None else "")
    if test == WHITENED:
        return _guarded(
            lambda: _bound(laid.coat, air, result["whitened"], laid.board, laid.under), why
        )
    if why or laid.coat is None or air is None:
        raise Refusal("timed coat", f"nothing is learned of it: {why}",
                      "say the wet film, cut and alcohol, or time another coat")  # fmt: skip
    times = {k: _seconds(result[k], k) for k in TIMES if k in result}
    if "print_free" in times and "recoat" in times:
        raise Refusal("--recoat", "two late times, and one number to learn from them",
                      "keep print-free or recoat")  # fmt: skip
    late = "recoat" if "recoat" in times else "print_free"
    return _timed(Timed(coat=laid.coat, air=air, touch_dry_s=times["touch_dry"], source="",
                        late_s=times.get(late), late=late, board=laid.board,
                        under=laid.under))  # fmt: skip


def _timed(timed: Timed) -> Learnt:
    """Return what a timed coat says: by itself, whatever other coats say."""
    ready()
    hand = {k: v for k, v in _hand().items() if k == TOLERANCE}
    told = calibrate(timed, hand=hand)
    learned = {"air": told.air_factor}
    says = [f"By itself it says an air factor of {brief(told.air_factor, 3)}"]
    if told.step is not None:
        learned["diffusion"] = told.step
        says.append(f"and a step of diffusion of {brief(told.step, 3)}.")
    else:
        says.append("and nothing of the late times: none was timed.")
    return Learnt(_stamped(learned, AIR, STEP), "", (" ".join(says),))


def _bound(
    coat: WetCoat | None, air: Air | None, whitened: bool, board: Board, under: tuple[Under, ...]
) -> Learnt:  # fmt: skip
    assert coat is not None
    assert air is not None
    ready()
    bound = bound_of(Whitening(coat, air, whitened, "", board, under), hand=_hand())
    low, high = REACH[TOLERANCE]
    if not low < bound.tolerance < high:
        clear = bound.tolerance <= low
        does, least = ("stays clear", "little") if clear else ("whitens", "much")
        why = f"by the model such a coat {does} in that air, however {least} water it bears"
        if whitened is clear:
            why += ": look at hygrometer, draught and wet film, or for another cause"
        return _nothing(why)
    side = "below" if whitened else "above"
    says = f"By itself it says a water tolerance {side} {brief(bound.tolerance, 3)}."
    return Learnt(_stamped({"tolerance": bound.tolerance}, TOLERANCE), "", (says,))


def _guarded(work: Callable[[], Learnt], why: str) -> Learnt:
    """Return what is learned, or why nothing is: an event is worth noting all the same."""
    try:
        if not why:
            return work()
    except Refusal as refusal:
        why = f"{refusal.where}: {refusal.what}"
    return _nothing(why)


def _nothing(why: str) -> Learnt:
    return Learnt(None, why, (f"It teaches nothing of the water tolerance: {why}.",))


def _stamped(learned: Mapping[str, float], *constants: str) -> dict[str, Any]:
    """Return what was learned with the priors and the program it was worked out with."""
    exact = {k: float(f"{v:.6g}") for k, v in learned.items()}
    return {**exact, "prior": {n.partition(".")[2]: prior(n).mid for n in constants},
            "program": __version__}  # fmt: skip


def _hand() -> Hand:
    return own_constants(drying_hand())


def _checked(model: type[F], raw: Mapping[str, Any]) -> F:
    row, wrong = observation(model, dict(raw), "")
    if row is None:
        raise Refusals(Refusal(_option(r.where), r.what, _mend(r)) for r in wrong)
    return row


def _mend(refusal: Refusal) -> str:
    """Return how to mend it on a command line: 'write e.g. wet = "100 um"' is the file's way."""
    head, equals, tail = refusal.mend.partition(" = ")
    if not equals or not head.startswith("write e.g. "):
        return refusal.mend
    return f"write e.g. {_option(head.removeprefix('write e.g. '))} {tail}"


def _option(key: str) -> str:
    if key not in CoatTable.model_fields and key not in (*OURS, *TIMES):
        return key
    return OPTIONS.get(key, f"--{key.replace('_', '-')}")


def _seconds(text: Any, key: str) -> float:
    return 3600.0 * read(text, u.TIME, _option(key))
