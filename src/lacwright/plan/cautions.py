"""The usual cautions of a job, and the stops that need no model of the room.

Each function takes plain facts and answers with cautions and stops; the words lie in the table
of cautions, those that a mix carries with it in the table of solution. None of them is ever an
assurance: label, data sheet, local codes and licensed practice come first.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from lacwright.figures import Caution, Refusal, Stop
from lacwright.plan.amounts import Amount
from lacwright.plan.course import Track
from lacwright.plan.piece import MixSpec, Piece, Step
from lacwright.solution import NOT_STATED, Alcohol, caution
from lacwright.solution import cautions_of as of_mixes
from lacwright.trade import table

Told = tuple[tuple[Caution, ...], tuple[Stop, ...]]


@dataclass(frozen=True)
class Job:
    """What a job brings into the room.

    Attributes
    ----------
    alcohols : tuple of Alcohol
        Every alcohol that is opened, `NOT_STATED` where nobody said which.
    flammable_ml : float or None
        Liquid opened in the whole job, None where it is not known. [ml]
    oils : tuple of str
        Oils named in the course, pad lubricant included.
    oily_steps : tuple of str
        Steps that bring oil of their own (oil stain, filler) and name none.
    rag_plan : str or None
        Where rags and pads with oil go.
    ignition : tuple of str
        Flames, sparks and glowing parts in the room.
    children : bool or None
        Do children share the air? None where it is not said.
    dissolves, dries_residue, sands, sprays : bool
        What is done.
    wool_after_h : float or None
        The shortest time between a wet step and one with steel wool, None without steel wool. [h]
    """

    alcohols: tuple[Alcohol, ...] = ()
    flammable_ml: float | None = None
    oils: tuple[str, ...] = ()
    oily_steps: tuple[str, ...] = ()
    rag_plan: str | None = None
    ignition: tuple[str, ...] = ()
    children: bool | None = None
    dissolves: bool = False
    dries_residue: bool = False
    sands: bool = False
    sprays: bool = False
    wool_after_h: float | None = None


def cautions_of(
    piece: Piece, specs: Sequence[MixSpec], course: Sequence[Track], amounts: Sequence[Amount],
    *, cleaning_ml: float = 0.0,
) -> Told:  # fmt: skip
    """Return the cautions and stops of a planned piece.

    Parameters
    ----------
    piece, specs, course, amounts
        As planned: the mixes with their alcohols, the tracks, the amount of each mix.
    cleaning_ml : float
        Alcohol for cleaning, which counts as opened too. [ml]
    """
    job = job_of(piece, specs, course, amounts)
    if job.flammable_ml is not None:
        job = replace(job, flammable_ml=job.flammable_ml + cleaning_ml)
    return cautions_of_job(job)


def cautions_of_job(job: Job) -> Told:
    """Return the cautions and stops of a job, each once, the standing line last."""
    parts: list[Told] = []
    wet = bool(job.alcohols)
    if wet:
        parts += [alcohol(job.alcohols), ignition(job.ignition)]
        parts.append(amount(job.flammable_ml))
        parts.append(handling(dissolves=job.dissolves, dries_residue=job.dries_residue))
        parts.append(children(job.children))
    parts.append(rags(job.oils, job.oily_steps, job.rag_plan, wet=wet))
    parts.append(steel_wool(job.wool_after_h, job.ignition))
    if job.sprays:
        parts.append(((), (_stop("spraying"),)))
    if job.sands:
        parts.append(((_caution("dust"),), ()))
    if wet:
        parts.append(((not_estimated(), _caution("emergency-fire")), ()))
        if any(_may_hold_methanol(a) for a in job.alcohols):
            parts.append(((_caution("emergency-methanol"),), ()))
    parts.append(((_caution("standing"),), ()))
    cautions = tuple(dict.fromkeys(c for told, _ in parts for c in told))
    stops = tuple(dict.fromkeys(s for _, told in parts for s in told))
    return cautions, stops


def not_estimated(why: str = "") -> Caution:
    """Tell that nothing is known of the air, and for want of what."""
    return _caution("air-not-estimated",
                    why=why or "room size and ventilation are not in this plan")  # fmt: skip


def alcohol(alcohols: Sequence[Alcohol]) -> Told:
    """Tell what lies in the alcohol: methanol, an unknown composition, one that is not said.

    Methanol present or not excluded is a stop: a plan says nothing of ventilation and gloves.
    """
    known = [a for a in alcohols if a != NOT_STATED]
    told = [_caution("alcohol-not-said")] if NOT_STATED in alcohols else []
    # Fire is told by `ignition`, in full.
    told += [c for c in of_mixes(known) if c.code != "flammable"]
    unknown = ", ".join(dict.fromkeys(a.lot or "an alcohol" for a in known if a.parts is None))
    methanol = ", ".join(dict.fromkeys(a.lot or "an alcohol" for a in known if a.share("methanol")))
    stops = [_stop("alcohol-unknown", names=unknown)] if unknown else []
    stops += [_stop("methanol-present", names=methanol)] if methanol else []
    return tuple(told), tuple(stops)


def ignition(sources: Sequence[str]) -> Told:
    """Tell of fire; a source in the room is a stop."""
    named = [s for s in sources if s.strip()]
    stops = (_stop("ignition-sources", names=", ".join(named)),) if named else ()
    return (_caution("ignition"), _caution("warm")), stops


def amount(flammable_ml: float | None) -> Told:
    """Tell when more liquid is opened than a fire authority wants to be asked about."""
    limit = table("cautions")["amount"].number("limit")
    words = {"limit": f"{limit / 1000:g}"}
    if flammable_ml is None:
        return (_caution("amount-not-said", **words),), ()
    if flammable_ml > limit:
        return (), (_stop("amount", litres=f"{flammable_ml / 1000:.3g}", **words),)
    return (), ()


def handling(*, dissolves: bool, dries_residue: bool = False) -> Told:
    """Tell of eyes and skin, the warm bath for flakes, the sample that is dried."""
    told = [_caution("eyes-skin")]
    if dissolves:
        told.append(caution("warm-bath"))
    if dries_residue:
        told.append(caution("residue-drying"))
    return tuple(told), ()


def rags(
    oils: Sequence[str], oily_steps: Sequence[str], rag_plan: str | None, *, wet: bool
) -> Told:
    """Tell of rags and pads; a drying oil without a plan for them is a stop.

    An oil counts as drying unless the table names it as one that is not.
    """
    told, stops = [], []
    drying = [f"{_bare(o)} oil" for o in oils if not _stays_liquid(o)] + list(oily_steps)
    liquid = [_bare(o) for o in oils if _stays_liquid(o)]
    if drying:
        names = ", ".join(dict.fromkeys(drying))
        plan = (rag_plan or "").strip()
        if plan.lower().rstrip(".") in ("", "none", "no", "nothing"):
            stops.append(_stop("rag-plan", names=names))
        else:
            told.append(_caution("rags-oily", names=names, plan=plan))
        if oily_steps:
            told.append(_caution("oily-steps"))
    else:
        if wet:
            told.append(_caution("rags-alcohol"))
        if liquid:
            names = ", ".join(dict.fromkeys(liquid)).capitalize()
            told.append(_caution("oil-not-drying", names=names))
    return tuple(told), tuple(stops)


def steel_wool(after_h: float | None, sources: Sequence[str]) -> Told:
    """Tell of steel wool: a stop with a spark in the room, and straight after wet alcohol.

    Parameters
    ----------
    after_h : float or None
        Hours since the last wet step, None where no steel wool is used. [h]
    sources : sequence of str
        Flames, sparks, batteries in the room.
    """
    if after_h is None:
        return (), ()
    stops = []
    if after_h < table("cautions")["steel-wool-wet"].number("limit"):
        stops.append(_stop("steel-wool-wet"))
    if named := [s for s in sources if s.strip()]:
        stops.append(_stop("steel-wool-sparks", names=", ".join(named)))
    return (_caution("steel-wool"),), tuple(stops)


def children(there: bool | None) -> Told:
    """Tell who must not share the air; a child in it is a stop."""
    if there:
        return (), (_stop("children"),)
    return ((_caution("children-not-said"),) if there is None else ()), ()


def job_of(
    piece: Piece, specs: Sequence[MixSpec], course: Sequence[Track], amounts: Sequence[Amount]
) -> Job:
    """Return the facts of a planned piece."""
    steps = [s for track in course for s in track.steps]
    oils = [s for s in steps if s.oil is not None and _bare(s.oil) not in _NO_OIL]
    own_oil = table("cautions")["oily-steps"].words("also")
    exercises = piece.course.exercises if piece.course else ()
    methods = {t.method for t in course} | {s.method for s in steps if s.method}
    methods |= {e.method for e in exercises}
    volumes = [a.figures["solution"].value for a in amounts]
    return Job(
        alcohols=tuple(_alcohol_of(piece, s) for s in specs),
        flammable_ml=None if None in volumes else sum(v for v in volumes if v is not None),
        oils=tuple(s.oil for s in oils if s.oil is not None),
        oily_steps=tuple(
            table("steps")[s.what].text("words").lower()
            for s in steps
            if s.oil is None and s.what in own_oil
        ),
        rag_plan=piece.shop.rag_plan,
        ignition=piece.shop.ignition,
        children=piece.shop.children,
        dissolves=any(s.jar is None for s in specs),
        sands=any(table("steps")[s.what].yes("sands") or s.what in _DUSTY for s in steps),
        sprays=any(_is_sprayed(m) for m in methods),
        wool_after_h=min((h for t in course if (h := _wool_after_h(t)) is not None), default=None),
    )


_NO_OIL = ("", "none", "no")
_DUSTY = ("prepare", "raise-grain")
_HOURS_A_DAY = 24.0


def _caution(code: str, **words: str) -> Caution:
    return Caution(code, _text(code, "caution", words))


def _stop(code: str, **words: str) -> Stop:
    return Stop(code, _text(code, "stop", words))


def _text(code: str, kind: str, words: dict[str, str]) -> str:
    row = table("cautions")[code]
    if row.text("kind") != kind:
        raise KeyError(f"{code} is no {kind}")
    return row.text("text").format(**words) + "."


def _may_hold_methanol(one: Alcohol) -> bool:
    share = one.share("methanol")
    return share is None or share > 0


def _bare(oil: str) -> str:
    """Return the name of an oil without the word oil."""
    return " ".join(w for w in oil.lower().split() if w != "oil")


def _stays_liquid(oil: str) -> bool:
    return _bare(oil) in table("cautions")["oil-not-drying"].words("also")


def _alcohol_of(piece: Piece, spec: MixSpec) -> Alcohol:
    """Return the alcohol of a mix, or of the ready jar that it is."""
    jars = (lot.alcohol for lot in piece.shelf if lot.name == spec.jar and lot.alcohol)
    return spec.alcohol or next(jars, NOT_STATED)


def _is_sprayed(method: str) -> bool:
    return table("methods").find(method, "method").text("kind") == "spray"


def _wool_after_h(track: Track) -> float | None:
    """Return the shortest time from a wet step to one with steel wool, None without such a step."""
    shortest: float | None = None
    since = _HOURS_A_DAY
    for step in track.steps:
        if _is_steel_wool(step.abrasive):
            shortest = since if shortest is None else min(shortest, since)
        since = _wait_h(step, track) + (0.0 if _is_wet(step) else since)
    return shortest


def _is_wet(step: Step) -> bool:
    return table("steps")[step.what].yes("wet")


def _is_steel_wool(abrasive: str | None) -> bool:
    if not abrasive:
        return False
    try:
        return table("abrasives").find(abrasive, "abrasive").text("system") == "steel wool"
    except Refusal:
        return "wool" in abrasive.lower()


def _wait_h(step: Step, track: Track) -> float:
    """Return the hours after a step: those said, or the usual ones of the table."""
    days = max(step.rest_days or 0.0, float(step.rest_working_days or 0))
    if days or step.wait_h is not None:
        return max(_HOURS_A_DAY * days, step.wait_h or 0.0)
    key = table("steps")[step.what].text("wait") or f"wait.{step.method or track.method}"
    practice = table("practice")
    return practice[key].number("value") if key in practice and practice[key].has("value") else 0.0
