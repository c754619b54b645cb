"""Panels whose colour was read, and looks that were foretold, as tests in the record.

A panel is told in the words of a file of colour panels; of a band that is a part of the panel the
coats on record say what lies on it. What it says is worked out when it is written down or
corrected, and kept beside it. A look is foretold with all it rests on, and its reading follows.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from lacwright import __version__
from lacwright.figures import Refusal, Refusals
from lacwright.shop import clock
from lacwright.shop.models import Event, Piece
from lacwright.shop.queries.colour_seen import LOOK, PANEL
from lacwright.shop.queries.own_figures import colour_hand
from lacwright.shop.queries.past import contents_before
from lacwright.shop.queries.pieces import landed_on
from lacwright.shop.queries.preferences import zone as shop_zone
from lacwright.shop.queries.progress import COAT, STRIP
from lacwright.shop.verdict import NOT_JUDGED, RUNNING

TESTS = (PANEL, LOOK)
OURS = ("coats_of", "bands")
"""Keys of a result that are the record's: the coats it tells of, its bands as they were found."""
LOOK_KEYS = ("film", "bare", "light", "observer", "geometry", "read", "foretold")


def of_test(
    *, test: str, piece: Piece, facts: Mapping[str, Any], at_us: int | None
) -> dict[str, Any]:  # fmt: skip
    """Return the facts of such a test with what it says.

    Parameters
    ----------
    test : str
        "colour-panel" or "colour-look".
    piece : Piece
        The panel or piece.
    facts : mapping
        result of a panel: a [[panel]] table of a file of colour panels without name and date; a
        band may have `part` in place of coats and load. Of a look: film ({grade: g/m2}), bare
        (L*, a*, b*; the wood's own by default), light, observer, geometry; later read.
    at_us : int
        When; None for a correction.

    Raises
    ------
    Refusal
        For anything that is missing or cannot be.
    """
    result = {k: v for k, v in facts["result"].items() if v is not None}
    told = _panel(piece, result, at_us) if test == PANEL else _look(piece, result, at_us)
    return {**facts, "look_min": None, **told}


# --- a panel -----------------------------------------------------------------------------------


def _panel(piece: Piece, result: dict[str, Any], at_us: int | None) -> dict[str, Any]:
    from lacwright.colour import alone, calibrate, own_bare, own_grades, skinless, usual_figure
    from lacwright.files.colour_panels import read_panel

    raw = {k: v for k, v in result.items() if k not in OURS}
    raw = _of_record(piece, raw, at_us)
    kept = dict(raw)
    bands, coats = _bands(piece, raw.get("band"), result, at_us)
    row, panel, wrong = read_panel({**raw, "name": piece.key, "band": bands}, "panel")
    if row is None or panel is None:
        raise Refusals(wrong)
    (evidence,) = (found := calibrate([panel])).evidence
    own = colour_hand()
    if evidence.gloss_counted:  # an own skin is one without the gloss
        own = skinless(own)
    before = calibrate([panel], grades=own_grades(own), bares=own_bare(own)) if own else found
    says = []
    for grade in found.grades:
        name = f"colour.{grade}.level"
        usual = usual_figure(name)
        assert usual is not None
        times = alone(evidence)[name].number() / usual.number()
        says.append(f"By itself it says that {grade} is {times:.2g} times as deep as its name.")
    inside = sum(hit.inside for hit in before.hits)
    if evidence.gloss_counted:
        says.append("It was read with the gloss included: of the wood's skin it teaches nothing.")
    says.append(f"Of {len(before.hits)} bands {inside} lay within what was foretold.")
    return {
        "result": {**kept, **({"coats_of": coats, "bands": bands} if coats else {})},
        "learned": {"says": evidence.as_json(), "misfit": float(f"{found.misfit:.4g}"),
                    "program": __version__},
        "why_not": "",
        "foretold": [
            {"band": hit.band, "lab": list(hit.read), "foretold": [_kept(x) for x in hit.before],
             "de00": _kept(hit.de00_before), "de00_band": _kept(hit.reach)}
            for hit in before.hits
        ],
        "verdict": NOT_JUDGED, "says": says,
    }  # fmt: skip


def _of_record(piece: Piece, raw: dict[str, Any], at_us: int | None) -> dict[str, Any]:
    """Return a panel with the wood of the record, and without what the record says itself."""
    out = dict(raw)
    if out.pop("name", piece.key) != piece.key:
        raise Refusal("name", f"the panel of the file is not '{piece.key}'",
                      "leave its name out, or test the panel it names")  # fmt: skip
    day = out.pop("date", None)
    if day is not None and at_us is not None:
        there = clock.day_of(at_us, shop_zone()).isoformat()
        if str(day) != there:
            raise Refusal("date", f"it was read on {day} by the file, on {there} by the record",
                          "say the moment with --at")  # fmt: skip
    if "says" in out:
        raise Refusal("says", "the record works out by itself what a panel says", "leave it out")
    if "wood" not in out and piece.wood:
        out["wood"] = piece.wood
    return out


def _bands(
    piece: Piece, said: Any, result: Mapping[str, Any], at_us: int | None
) -> tuple[Any, list[dict[str, int]]]:  # fmt: skip
    """Return the bands in the words of the file, and the coats on record that lie on them."""
    if not isinstance(said, Sequence) or isinstance(said, str):
        return said, []
    if not any(isinstance(one, Mapping) and "part" in one for one in said):
        return list(said), []
    if at_us is None and "coats_of" not in result:
        raise Refusal("result", "a correction does not look for the coats anew",
                      "keep 'coats_of' in it")  # fmt: skip
    on = _On(piece, at_us, [row["coat"] for row in result.get("coats_of", ())])
    out: list[Any] = []
    for n, one in enumerate(said, 1):
        if not isinstance(one, Mapping) or "part" not in one:
            out.append(one)
            continue
        rest = {k: v for k, v in one.items() if k != "part"}
        for key in ("coats", "load"):
            if key in rest:
                raise Refusal(f"band {n} {key}", "the coats on record say it as well",
                              f"give part or {key}")  # fmt: skip
        out.append({**on.band(str(one["part"]), f"band {n} part"), **rest})
    return out, on.used


class _On:
    """The coats on a panel: what lies on each of its parts."""

    def __init__(self, piece: Piece, at_us: int | None, known: Sequence[int]) -> None:
        self.piece = piece
        found = Event.objects.filter(piece=piece, void=False, kind__in=(COAT, STRIP))
        # A correction looks at the coats that were found first, whatever was laid since.
        found = found.filter(root__in=known) if at_us is None else found.filter(at_us__lte=at_us)
        self.events = list(found.select_related("movement", "jar__place").order_by("at_us", "root"))
        coats = [e for e in self.events if e.kind == COAT]
        self.landed = landed_on(piece, coats, contents_before(coats))
        self.used: list[dict[str, int]] = []

    def band(self, part: str, where: str) -> dict[str, Any]:
        """Return coats and load of a part as the file has them."""
        named = {p for e in self.events for p in e.movement.body["parts"]}
        if part not in named and part not in self.piece.areas_m2:
            there = ", ".join(sorted(named | set(self.piece.areas_m2)))
            mend = f"its parts are {there}" if there else "lay its coats with --part"
            raise Refusal(where, f"'{part}' is no part of {self.piece.key}", mend)
        on: list[Event] = []
        for event in self.events:
            parts = event.movement.body["parts"]
            if not parts or part in parts:
                on = [] if event.kind == STRIP else [*on, event]
        coats: dict[str, int] = {}
        loads: dict[str, float] = {}
        for event in on:
            self._add(event, where, coats, loads)
        if not on:
            return {"coats": "bare"}
        return {"coats": coats, "load": {g: f"{load:.6g} g/m2" for g, load in loads.items()}}

    def _add(
        self, event: Event, where: str, coats: dict[str, int], loads: dict[str, float]
    ) -> None:  # fmt: skip
        area = event.movement.body.get("area_m2")
        landed = self.landed.get(event.root_id)
        grams: dict[str, float] = {}
        for lot, g in ({} if landed is None else landed.by_lot).items():
            if lot.kind == "flakes":
                grams[lot.grade] = grams.get(lot.grade, 0.0) + g
        mend = "give coats and load of the band in place of its part"
        if not area or not grams:
            lacks = "area" if not area else "amount"
            raise Refusal(where, f"the {lacks} of coat {event.root_id} is not on record", mend)
        if "" in grams:
            raise Refusal(where, f"of which grade coat {event.root_id} is is not on record", mend)
        main = max(grams, key=lambda grade: grams[grade])
        coats[main] = coats.get(main, 0) + 1
        for grade, g in grams.items():
            coats.setdefault(grade, 1)
            loads[grade] = loads.get(grade, 0.0) + g / area
        row = {"coat": event.root_id, "version": event.movement_id}
        if row not in self.used:
            self.used.append(row)


# --- a look ------------------------------------------------------------------------------------


def _look(piece: Piece, result: dict[str, Any], at_us: int | None) -> dict[str, Any]:
    from lacwright.files.colour_panels import read_lab

    for key in result:
        if key not in LOOK_KEYS:
            raise Refusal(key, "it is nothing of a look", f"use one of: {', '.join(LOOK_KEYS)}")
    foretold = result.get("foretold")
    if foretold is None:
        if "film" not in result:
            raise Refusal("--read-lab", f"nothing was foretold of {piece.key} that is not read yet",
                          "write with --foretell first what it is to become")  # fmt: skip
        if at_us is None:
            raise Refusal("result", "what was foretold is not foretold anew",
                          "take it back and write it down again")  # fmt: skip
        foretold = _foretell(piece, result)
    out: dict[str, Any] = {"result": {**result, "foretold": foretold}}
    if "read" not in result:
        band = foretold["de00_band"]
        return {**out, "verdict": RUNNING, "says": [
            f"Foretold for {foretold['what']}: {foretold['words']}.",
            f"Within {band:.1f} dE00 nineteen of twenty should lie ({foretold['basis']}).",
        ]}  # fmt: skip
    from lacwright.colour import de00

    lab = _placed(lambda: read_lab(result["read"]), "--read-lab")
    off = float(de00(foretold["lab"], lab))
    inside = off <= foretold["de00_band"]
    side = "inside" if inside else "outside"
    return {**out, "verdict": NOT_JUDGED,
            "hit": {"lab": list(lab), "de00": _kept(off), "inside": inside},
            "says": [f"Foretold for {foretold['what']}, and read: {off:.1f} dE00 off, {side} "
                     f"{foretold['de00_band']:.1f}."]}  # fmt: skip


def _foretell(piece: Piece, result: Mapping[str, Any]) -> dict[str, Any]:
    """Return what is foretold of a film, with all it rests on."""
    from lacwright.colour import bare_for, grade_for, look, measured_bare, viewing_of
    from lacwright.files.colour_panels import read_lab

    film = result["film"]
    if not isinstance(film, Mapping) or not film:
        raise Refusal("--foretell", "of no film", "write e.g. --foretell 'amber 14 g/m2'")
    own = colour_hand()
    viewing = viewing_of(illuminant=result.get("light", "D65"),
                         observer=result.get("observer", 2),
                         geometry=result.get("geometry", "45/0"))  # fmt: skip
    if not piece.wood:
        raise Refusal("NAME", f"the wood of {piece.key} is not on record",
                      "say it: 'piece edit NAME --wood maple'")  # fmt: skip
    bare = bare_for(piece.wood, own, viewing)
    if "bare" in result:
        lab = _placed(lambda: read_lab(result["bare"]), "--bare-lab")
        bare = measured_bare(lab, viewing, like=bare, where="--bare-lab")
    grades = [grade_for(name, own) for name in film]
    loads = [float(load) for load in film.values()]
    told = look(bare=bare, grades=grades, loads_g_m2=loads, viewing=viewing)
    what = " and ".join(f"{load:g} g/m2 {name}" for name, load in film.items())
    return {
        "what": what, "lab": [_kept(x) for x in told.lab], "de00_band": _kept(told.de00_band[1]),
        "words": told.words, "basis": told.basis, "program": __version__,
        "viewing": viewing.as_json(),
        "wood": {"name": bare.name, "lab": [_kept(x) for x in bare.lab], "basis": bare.basis,
                 "wetting": _kept(bare.wetting[0]), "skin": _kept(bare.k1b[0]),
                 "source": bare.source},
        "grades": [{"name": g.name, "params": [_kept(x) for x in g.params], "basis": g.basis,
                    "haze": _kept(g.haze_per_g_m2), "source": g.source} for g in grades],
    }  # fmt: skip


def _placed(read: Any, where: str) -> Any:
    try:
        return read()
    except Refusal as refusal:
        raise refusal.at(where) from None


def _kept(x: float) -> float:
    return float(f"{float(x):.6g}")
