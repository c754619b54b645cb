"""Stops and cautions of the air: what stands beside the numbers, always.

The best that is ever said is "no stop triggered by this estimate". Words of the air lie in the
table `room_cautions`, those of a whole job in `cautions`; both are filled in here.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

from lacwright.figures import Caution, Figure, Stop, central
from lacwright.figures.spoken import trimmed
from lacwright.room.balance import constant
from lacwright.room.job import SLOW, UNKNOWN, Facts, Room, Source
from lacwright.room.limits import SHORT, Limit
from lacwright.solution import caution as of_mix
from lacwright.trade import table

if TYPE_CHECKING:
    from lacwright.room.estimate import Estimate

METHANOL = "methanol"
SLOW_ALCOHOLS = ("n-butanol", "isobutanol")
NEAR, ROOM = "near", "room"
NO_GLOVES = "no gloves were entered"
NO_AIR = "no ventilation was entered"
Told = tuple[tuple[Caution, ...], tuple[Stop, ...]]


def told(
    made: Estimate, sources: Sequence[Source], room: Room, facts: Facts, nameless: Sequence[str],
    *, jurisdiction: str | None = None,
) -> Told:  # fmt: skip
    """Return the cautions and stops of an estimate.

    Parameters
    ----------
    made : Estimate
        Its numbers.
    sources, room, facts
        What it was made from.
    nameless : sequence of str
        Parts that have neither a limit nor a molar mass.
    jurisdiction : str, optional
        Whose limits count; the lowest on file where nobody named one.
    """
    names = set().union(*(one.grams for one in sources))
    stops = [
        *_fire(made), *_enclosure(room, facts), *_ignition(facts), *_people(facts),
        *_methanol(made, names, room, facts), *_health(made, jurisdiction),
        *_spraying(sources, facts), *_amounts(sources, facts), *_rags(facts), *_steel_wool(facts),
    ]  # fmt: skip
    if room.air_changes_per_h is None:
        stops.append(_stop("no-air-data"))
    said = _cautions(made, sources, facts, nameless, names)
    if not stops:
        said.insert(0, _caution("no-stop"))
    return tuple(dict.fromkeys(said)), tuple(dict.fromkeys(stops))


def highest(figures: Iterable[Figure]) -> float:
    """Return the highest upper end, 0 where nothing is known."""
    return max((f.high for f in figures if f.high is not None), default=0.0)


def two_figures(value: float) -> str:
    """Return a number with two figures at most: an estimate has no more."""
    return trimmed(float(f"{value:.2g}"), 2)


def lel_share(made: Estimate) -> float:
    """Return what counts for fire: the upper end of the bound or of the room's peak [1]."""
    return highest([made.lel_fraction_bound, made.lel_fraction_peak])


def too_high_for_short(made: Estimate) -> tuple[str, ...]:
    """Return the short-term limits that the upper end is above, in words.

    A 15-minute limit is held against the 15-minute maximum near the work; a ceiling and what is
    immediately dangerous, against the peak.
    """
    out = []
    for s, limited in made.limits.items():
        for limit in limited.all():
            if limit is limited.day:
                continue
            rows = made.max_15min_ppm if limit.kind == SHORT else made.peak_ppm
            found = rows[NEAR][s]
            if found.high is not None and found.high > limit.ppm:
                out.append(_against(found, limit))
    index = made.mixture_index_15min
    if not out and index.high is not None and index.high > 1:
        out.append(f"{two_figures(index.high)} times the short-term limits taken together")
    return tuple(out)


def methanol_too_high(made: Estimate) -> tuple[str, ...]:
    """Return where the upper end of methanol is not below its limits, in words."""
    if METHANOL not in made.limits:
        return ()
    out, limited = [], made.limits[METHANOL]
    for rows, limit, words in ((made.twa_8h_ppm, limited.day, "8-hour"),
                               (made.max_15min_ppm, limited.short, "15-minute")):  # fmt: skip
        high = rows[NEAR][METHANOL].high
        if high is not None and limit is not None and high >= limit.ppm:
            out.append(f"the upper end of its {words} figure, {two_figures(high)} ppm, is not "
                       f"below {trimmed(limit.ppm, 3)}")  # fmt: skip
    return tuple(out)


def _against(found: Figure, limit: Limit) -> str:
    kind = {"15min": "15 minutes", "ceiling": "a ceiling", "idlh": "danger to life"}[limit.kind]
    assert found.high is not None
    return (f"{limit.substance} {two_figures(found.high)} ppm against {trimmed(limit.ppm, 3)} "
            f"({kind}, {limit.where}, {limit.mark}{f', {limit.dated}' if limit.dated else ''})"
            )  # fmt: skip


def _fire(made: Estimate) -> list[Stop]:
    share = lel_share(made)
    if share < constant("fire_stop"):
        return []
    return [_stop("lel", percent=two_figures(100 * share))]


def _enclosure(room: Room, facts: Facts) -> list[Stop]:
    if facts.closed_box:
        return [_stop("enclosure", what="A closed box")]
    if room.volume_m3 < constant("enclosure"):
        return [_stop("enclosure", what=f"A space of {trimmed(room.volume_m3, 2)} m3")]
    return []


def _ignition(facts: Facts) -> list[Stop]:
    named = [s for s in facts.ignition if s.strip()]
    if named:
        return [_job_stop("ignition-sources", names=", ".join(named))]
    return [] if facts.pilot_off else [_stop("pilot-light")]


def _people(facts: Facts) -> list[Stop]:
    named = [s for s in facts.sharing or () if s.strip()]
    return [_stop("people", names=", ".join(named))] if named else []


def _methanol(made: Estimate, names: set[str], room: Room, facts: Facts) -> list[Stop]:
    """Stop for methanol, present or not excluded: above a limit, or gloves or air not entered."""
    there = [n for n in (METHANOL, UNKNOWN) if n in names]
    if not there:
        return []
    why = list(methanol_too_high(made))
    if not facts.gloves.strip():
        why.append(NO_GLOVES)
    if not room.air_changes_per_h:
        why.append(NO_AIR)
    words = {METHANOL: "in the alcohol", UNKNOWN: "composition unknown"}
    return [_stop("methanol", names=", ".join(words[n] for n in there),
                  why="; ".join(why))] if why else []  # fmt: skip


def _health(made: Estimate, jurisdiction: str | None) -> list[Stop]:
    stops, first = [], _leading(made)
    other = _other(first, jurisdiction)
    index, room = made.mixture_index.high, made.mixture_index_room.high
    if index is not None and index > 1:
        where = " for the finisher" if room is None or room <= 1 else " for everybody in the room"
        against = "" if first is None else f"; first of all {_in_words(first)}"
        stops.append(_stop("mixture", index=two_figures(index), where=where, against=against,
                           other=other))  # fmt: skip
    if names := too_high_for_short(made):
        stops.append(_stop("short-term", names="; ".join(names), other="" if stops else other))
    return stops


def _leading(made: Estimate) -> Limit | None:
    """Return the 8-hour limit of which the most is used up near the work."""
    rows = [(found.high / limited.day.ppm, limited.day) for s, limited in made.limits.items()
            if limited.day is not None
            and (found := made.twa_8h_ppm[NEAR][s]).high is not None]  # fmt: skip
    return max(rows, key=lambda row: row[0])[1] if rows else None


def _in_words(limit: Limit) -> str:
    dated = f", {limit.dated}" if limit.dated else ""
    return (f"{limit.substance} {trimmed(limit.ppm, 3)} ppm over 8 hours "
            f"({limit.where}, {limit.mark}{dated})")  # fmt: skip


def _other(limit: Limit | None, jurisdiction: str | None) -> str:
    """Return how another limit is made to count, where the lowest on file does."""
    if limit is None or limit.where == "own" or jurisdiction is not None:
        return ""
    row = table("room_cautions")["lowest"]
    return f". {row.text('text')}"


def _spraying(sources: Sequence[Source], facts: Facts) -> list[Stop]:
    sprays = any(s.sprayed for s in sources)
    return [_job_stop("spraying")] if sprays and not facts.booth else []


def _amounts(sources: Sequence[Source], facts: Facts) -> list[Stop]:
    stops, limit = [], table("cautions")["amount"].number("limit")
    opened = sum(central(s.liquid_ml) for s in sources)
    if opened > limit:
        stops.append(_job_stop("amount", litres=f"{opened / 1000:.3g}", limit=f"{limit / 1000:g}"))
    stored, most = facts.stored_ml, facts.storage_limit_ml
    if stored is not None and most is not None and stored > most:
        stops.append(_stop("storage", litres=f"{stored / 1000:.3g}", limit=f"{most / 1000:.3g}"))
    return stops


def _rags(facts: Facts) -> list[Stop]:
    oils = [o for o in facts.oils if o.strip()]
    none = facts.rag_plan.strip().lower().rstrip(".") in ("", "none", "no", "nothing")
    return [_job_stop("rag-plan", names=", ".join(oils))] if oils and none else []


def _steel_wool(facts: Facts) -> list[Stop]:
    if facts.wool_after_h is None:
        return []
    stops = []
    if facts.wool_after_h < table("cautions")["steel-wool-wet"].number("limit"):
        stops.append(_job_stop("steel-wool-wet"))
    if named := [s for s in facts.ignition if s.strip()]:
        stops.append(_job_stop("steel-wool-sparks", names=", ".join(named)))
    return stops


def _cautions(
    made: Estimate, sources: Sequence[Source], facts: Facts, nameless: Sequence[str],
    names: set[str],
) -> list[Caution]:  # fmt: skip
    share = lel_share(made)
    said = [_caution("model-only"), _caution("wet-surface")]
    if constant("fire_warn") <= share < constant("fire_stop"):
        said.append(_caution("lel-warn", percent=two_figures(100 * share),
                             ask="ask your fire authority"))  # fmt: skip
    if any(s.sprayed for s in sources):
        said.append(_caution("spray-cone"))
    without = [*nameless, *(s for s, x in made.limits.items() if x.day is None)]
    if without:
        said.append(_caution("no-limit", names=", ".join(without)))
    skin = [s for s, x in made.limits.items() if x.skin]
    if skin:
        said.append(_caution("skin", names=", ".join(skin).capitalize()))
    dated = sorted({x.dated or "by you" for b in made.limits.values() for x in b.all()})
    said += [_caution("lel-not-health"), _caution("odour")]
    said += [_caution("limits", dated=", ".join(dated) or "not at all"), _caution("one-room")]
    if UNKNOWN in names:
        said.append(of_mix("alcohol-unknown"))
    if METHANOL in names:
        said.append(of_mix("methanol-present"))
    if names & {SLOW, *SLOW_ALCOHOLS}:
        said += [of_mix("slow-alcohol-eyes"), of_mix("slow-alcohol-limits")]
    if names & {METHANOL, UNKNOWN}:
        said.append(_caution("cartridges"))
    said += [_job_caution("ignition"), _job_caution("warm"), _job_caution("eyes-skin")]
    if facts.sharing is None:
        said.append(_job_caution("children-not-said"))
    if facts.oils:
        if facts.rag_plan.strip():
            said.append(_job_caution("rags-oily", names=", ".join(facts.oils),
                                     plan=facts.rag_plan))  # fmt: skip
    else:
        said.append(_job_caution("rags-alcohol"))
    if facts.wool_after_h is not None:
        said.append(_job_caution("steel-wool"))
    said.append(_job_caution("emergency-fire"))
    if names & {METHANOL, UNKNOWN}:
        said.append(_job_caution("emergency-methanol"))
    return [*said, _job_caution("standing")]


def _caution(code: str, **words: str) -> Caution:
    return Caution(code, _text("room_cautions", code, "caution", words))


def _stop(code: str, **words: str) -> Stop:
    return Stop(code, _text("room_cautions", code, "stop", words))


def _job_caution(code: str, **words: str) -> Caution:
    return Caution(code, _text("cautions", code, "caution", words))


def _job_stop(code: str, **words: str) -> Stop:
    return Stop(code, _text("cautions", code, "stop", words))


def _text(name: str, code: str, kind: str, words: dict[str, str]) -> str:
    row = table(name)[code]
    if row.text("kind") != kind:
        raise KeyError(f"{code} is no {kind}")
    return row.text("text").format(**words) + "."
