"""Tests: times on glass, flakes in alcohol, a drop of water, a dried sample; own limits."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from lacwright.figures import Figure, Refusal, nearest
from lacwright.figures import units as u
from lacwright.figures.quantities import read
from lacwright.figures.spoken import a_cut
from lacwright.shop import names
from lacwright.shop.models import Described, Event, Jar, Lot, Piece
from lacwright.shop.queries.colour_seen import LOOK, PANEL
from lacwright.shop.queries.contents import contents
from lacwright.shop.queries.drying_seen import TIMED, WHITENED
from lacwright.shop.queries.preferences import OWN, own_given
from lacwright.shop.services.amend import RECOMPOSE, Body, merged, write_body
from lacwright.shop.services.describing import set_setting
from lacwright.shop.services.jar_bodies import not_washed_out
from lacwright.shop.verdict import (
    NOT_JUDGED,
    RUNNING,
    Limits,
    Times,
    Verdict,
    judge_dissolving,
    judge_drying,
    judge_water_spot,
)
from lacwright.shop.writing import Answer, Entry, Writer, write
from lacwright.solution import cut_of_residue
from lacwright.trade import table

TESTS: dict[str, tuple[str, ...]] = {
    "drying": ("jar",),
    "dissolve": ("lot",),
    "water-spot": ("jar", "piece"),
    "residue": ("jar",),
    TIMED: ("piece",),
    WHITENED: ("piece",),
    PANEL: ("piece",),
    LOOK: ("piece",),
}
"""What each test is made of."""
_TABLES: dict[str, type[Described]] = {"jar": Jar, "lot": Lot, "piece": Piece}
_MINUTES = {"tack_free_min": "test.tack_free", "nail_min": "test.nail",
            "powder_min": "test.powder"}  # fmt: skip


def record_test(
    *, of_kind: str, of: str, test: str, jar: Times | None = None, control: Times | None = None,
    temp_c: float | None = None, rh: float | None = None, result: Mapping[str, Any] | None = None,
    anew: bool = False, entry: Entry,
) -> Answer:  # fmt: skip
    """Write a test down; the verdict is worked out and kept with the limits it was judged by.

    What is seen later of a test that is still running goes on with that test.

    Parameters
    ----------
    of_kind, of : str
        "jar", "lot" or "piece", and its name.
    test : str
        "drying" or "residue" of a jar, "dissolve" of a lot of flakes, "water-spot" of a piece,
        panel, or a film of a jar; "timed-coat" and "whitened" of a coat on a piece or panel;
        "colour-panel" and "colour-look" of a panel or piece.
    jar, control : Times, optional
        Drying: the drop of the jar, and of the fresh mix beside it.
    temp_c, rh : float, optional
        The room [C], [1].
    result : mapping
        dissolve: hours, dissolved. water-spot: hours, white, film_days (may be None).
        residue: sample_g, dry_g, retained, moisture (the last two may be left out).
        timed-coat, whitened: see `drying_tests.of_test`. colour-panel, colour-look: see
        `colour_tests.of_test`.
    anew : bool
        Begin a new test though one is running.
    entry : Entry
        Who and when.

    Raises
    ------
    Refusal
        For an unknown thing, a test that is not made of it, or times that cannot be.
    """
    given = dict(result or {})
    request = {
        "of_kind": of_kind, "of": of, "test": test, "jar": jar and jar.as_json(),
        "control": control and control.as_json(), "temp_c": temp_c, "rh": rh, "result": given,
        "anew": anew,
    }  # fmt: skip

    def do(w: Writer) -> dict[str, Any]:
        if test not in TESTS:
            raise Refusal("--test", f"'{test}' is no test", nearest(test, TESTS))
        if of_kind not in TESTS[test]:
            raise Refusal("--test", f"a {test} test is not made of a {of_kind}",
                          f"it is made of a {' or '.join(TESTS[test])}")  # fmt: skip
        thing = names.find(_TABLES[of_kind], of, of_kind)
        if isinstance(thing, Lot) and thing.kind != "flakes":
            raise Refusal("lot", f"lot '{thing.key}' is {thing.kind}",
                          "the dissolve test is one of flakes")  # fmt: skip
        if isinstance(thing, Jar):
            not_washed_out(thing, w.at_us)
        facts: dict[str, Any] = {
            "test": test, "jar": jar and jar.as_json(), "control": control and control.as_json(),
            "temp_c": temp_c, "rh": rh, "result": given, "limits": limits_now(),
        }  # fmt: skip
        running = None if anew else _running(of_kind, thing, test, w.at_us)
        if running is not None:
            facts = _gone_on(running.movement.body, facts)
        made = write_body(w, "test", _test({of_kind: thing.key}, facts, w.at_us, thing),
                          replaces=None if running is None else running.root)  # fmt: skip
        told = {k: v for k, v in made.body.items() if k not in ("refs", "moves")}
        return {**told, "of_kind": of_kind, "of": thing.key, "went_on": running is not None,
                "observation": None if running is None else running.root_id}  # fmt: skip

    if test in (TIMED, WHITENED):
        from lacwright.shop.services.drying_tests import ready

        ready()  # before the record is locked for writing
    return write("record_test", request, entry, do)


def set_own(*, name: str, text: str, entry: Entry) -> Answer:
    """Set an own figure of the shop, or take it away with an empty text.

    It lies in the setting "own.<name>" as {"value", "unit", "said"}, in the unit of its row in
    the table of practice.

    Parameters
    ----------
    name : str
        A name of the table of practice, such as "test.tack_free".
    text : str
        "20 min"; "" to go back to the default.
    entry : Entry
        Who and when.

    Raises
    ------
    Refusal
        For an unknown name, or a text that is not such a quantity.
    """

    def do(w: Writer) -> dict[str, Any]:
        value = None
        if text.strip():
            figure = read_own_figure(name, text)
            value = {"value": figure.number(), "unit": figure.unit, "said": text.strip()}
        elif name not in own_given():
            raise Refusal(name, "no figure of your own is set", "nothing is to be taken away")
        made = set_setting(w, OWN + name, value)
        return {"name": name, "was": made.body["was"]["value"], "now": value}

    return write("set_own", {"name": name, "text": text}, entry, do)


def read_own_figure(name: str, text: str) -> Figure:
    """Return an own figure as it is typed, checked as in a hand file.

    Raises
    ------
    Refusal
        For an unknown name, or a text that is not such a quantity.
    """
    from lacwright.files.own import read_own

    hand, wrong = read_own({name: float(text) if _bare(text) else text}, "the record")
    if wrong:
        raise wrong[0].at(name)
    figure = hand.own.get(name)
    if not isinstance(figure, Figure):
        raise Refusal(name, "no own figure is called that", "'own-figures' lists them")
    return figure


def limits_now() -> dict[str, float]:
    """Return the limits of the tests as they stand: the maker's own before common practice.

    tack_free_min, nail_min, powder_min [min]; dissolve_h, dissolve_again_h, spot_hours [h];
    room_low_c, room_high_c [C]; room_rh [1]; spot_film_days [d].
    """
    own, practice, proving = own_given(), table("practice"), table("proving")

    def hours(name: str) -> float:
        return own[name].number() if name in own else practice[name].number("value")

    return {
        **{key: 60.0 * hours(name) for key, name in _MINUTES.items()},
        "dissolve_h": hours("test.dissolve"), "dissolve_again_h": hours("test.dissolve_again"),
        "room_low_c": proving["room_low"].number("value"),
        "room_high_c": proving["room_high"].number("value"),
        "room_rh": proving["room_rh"].number("value"),
        "spot_hours": proving["spot_hours"].number("value"),
        "spot_film_days": proving["spot_film_days"].number("value"),
    }  # fmt: skip


def _test(
    refs: Mapping[str, str], facts: Mapping[str, Any], at_us: int | None,
    thing: Described | None = None,
) -> Body:  # fmt: skip
    """Return the body of a test with its verdict."""
    result, limits = dict(facts["result"]), facts["limits"]
    if facts["rh"] is not None and not 0 <= facts["rh"] <= 1:
        raise Refusal("--rh", f"a relative humidity of {facts['rh']:g}", "write e.g. '45 %'")
    if facts["test"] in (TIMED, WHITENED):
        from lacwright.shop.services.drying_tests import of_test

        piece = thing if isinstance(thing, Piece) else names.find(Piece, refs["piece"], "piece")
        told = of_test(test=facts["test"], piece=piece, facts=facts, at_us=at_us)
        return Body(refs, (), {**told, "verdict": NOT_JUDGED, "look_min": None})
    if facts["test"] in (PANEL, LOOK):
        from lacwright.shop.services import colour_tests

        piece = thing if isinstance(thing, Piece) else names.find(Piece, refs["piece"], "piece")
        return Body(refs, (), colour_tests.of_test(test=facts["test"], piece=piece, facts=facts,
                                                   at_us=at_us))  # fmt: skip
    if facts["test"] == "drying":
        verdict = _drying(facts, limits)
    elif facts["test"] == "dissolve":
        verdict = judge_dissolving(
            hours=_number(result, "hours"), dissolved=_yes(result, "dissolved"),
            first_h=limits["dissolve_h"], again_h=limits["dissolve_again_h"],
        )  # fmt: skip
    elif facts["test"] == "water-spot":
        days = result.setdefault("film_days", None)
        verdict = judge_water_spot(
            hours=_number(result, "hours"), white=_yes(result, "white"), film_days=days,
            least_h=limits["spot_hours"], least_days=limits["spot_film_days"],
        )  # fmt: skip
    else:
        result, verdict = _residue(refs["jar"], result, at_us)
    return Body(refs, (), {**facts, "result": result, "verdict": verdict.word,
                           "says": list(verdict.says), "look_min": verdict.look_min})  # fmt: skip


def _drying(facts: Mapping[str, Any], limits: Mapping[str, float]) -> Verdict:
    if facts["jar"] is None:
        raise Refusal(
            "--tack-free",
            "nothing is said of the drop of the jar",
            "write when it was tack-free, or with --seen that it is not yet",
        )
    control = None if facts["control"] is None else Times(**facts["control"])
    names_ = ("tack_free_min", "nail_min", "powder_min", "room_low_c", "room_high_c", "room_rh")
    return judge_drying(
        jar=Times(**facts["jar"]), control=control,
        limits=Limits(**{name: limits[name] for name in names_}),
        temp_c=facts["temp_c"], rh=facts["rh"],
    )  # fmt: skip


def _residue(
    jar: str, result: dict[str, Any], at_us: int | None
) -> tuple[dict[str, Any], Verdict]:  # fmt: skip
    """Return the cut of a dried sample beside the cut of the book."""
    if at_us is not None:  # corrected, it is held against the book as it stood then
        result |= _book(jar, at_us)
    low, middle, high = (
        float(cut_of_residue(
            sample_g=_number(result, "sample_g"), dry_g=_number(result, "dry_g"),
            alcohol_density_g_ml=density, retained=result.get("retained") or 0.0,
            moisture_share=result.get("moisture") or 0.0,
        )) for density in result["alcohol_g_ml"]
    )  # fmt: skip
    out = {**result, "cut_lb_per_gal": middle, "cut_low": low, "cut_high": high}
    says = [f"The dried sample says {a_cut(middle)}."]
    if low != high:
        says.append(f"Its alcohol is not known: {low:.3g} to {high:.3g}.")
    book = result["book_cut_lb_per_gal"]
    says.append("The book has no cut for it." if book is None
                else f"The book has {a_cut(book)}.")  # fmt: skip
    return out, Verdict(NOT_JUDGED, tuple(says))


def _book(jar: str, at_us: int) -> dict[str, Any]:
    """Return what the book has for a jar: its cut, the density of its alcohol with its band."""
    row = Jar.objects.select_related("place").get(key=jar)
    inside = contents(row.place.key, at_us=at_us)
    mix = inside.mix
    if float(mix.alcohol_ml) > 0 and inside.no_masses is None:
        density = [float(mix.alcohol_g) / float(mix.alcohol_ml)] * 3
    else:
        usual = table("solution")["alcohol_density"].figure()
        density = [usual.low or 0.0, usual.number(), usual.high or 0.0]
    cut = None if inside.no_cut else float(mix.cut_lb_per_gal)
    return {"alcohol_g_ml": density, "book_cut_lb_per_gal": cut}


def _running(kind: str, thing: Described, test: str, at_us: int) -> Event | None:
    last = (
        Event.objects.filter(**{kind: thing}, kind="test", void=False, at_us__lte=at_us)
        .select_related("root", "movement").order_by("-at_us", "-root")
    )  # fmt: skip
    for event in last:
        if event.movement.body["test"] == test:
            return event if event.movement.body["verdict"] == RUNNING else None
    return None


def _gone_on(was: Mapping[str, Any], now: Mapping[str, Any]) -> dict[str, Any]:
    """Return the facts of a running test with what was seen since."""
    facts = dict(now)
    for drop in ("jar", "control"):
        if was[drop] is not None and now[drop] is not None:
            facts[drop] = Times(**was[drop]).merged(Times(**now[drop])).as_json()
        elif now[drop] is None:
            facts[drop] = was[drop]
    for name in ("temp_c", "rh"):
        facts[name] = was[name] if now[name] is None else now[name]
    facts["result"] = {**was["result"], **now["result"]}
    facts["limits"] = was["limits"]  # one test, one measure
    return facts


def _number(result: Mapping[str, Any], name: str) -> float:
    value = result.get(name)
    if not isinstance(value, int | float) or isinstance(value, bool):
        raise Refusal("--" + name.removesuffix("_g"), "it is not said", "this test needs it")
    return float(value)


def _yes(result: Mapping[str, Any], name: str) -> bool:
    value = result.get(name)
    if not isinstance(value, bool):
        raise Refusal(f"--{name}", "it is not said", "this test needs it")
    return value


def _bare(text: str) -> bool:
    try:
        float(text)
    except ValueError:
        return False
    return True


def _again(body: Mapping[str, Any], changes: Mapping[str, Any]) -> Body:
    facts = merged(body, changes, ("jar", "control", "temp_c", "rh", "result"))
    for drop in ("jar", "control"):
        if isinstance(facts[drop], Times):
            facts[drop] = facts[drop].as_json()
    return _test(body["refs"], facts, None)


def read_minutes(text: str, where: str) -> float:
    """Read a time as minutes: "12 min", "1.5 h".

    Raises
    ------
    Refusal
        For anything else.
    """
    return 60.0 * read(text, u.TIME, where)


RECOMPOSE["test"] = _again
