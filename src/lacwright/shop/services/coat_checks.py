"""What is looked at once a coat is written down: what stayed behind, and what failed its test."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from typing import Any

from lacwright.figures import Refusal
from lacwright.figures.spoken import trimmed
from lacwright.shop import clock, names
from lacwright.shop.asked import rows
from lacwright.shop.facts import ALCOHOL
from lacwright.shop.ledger import UNACCOUNTED
from lacwright.shop.models import Applicator, Jar, Job, Movement
from lacwright.shop.queries.contents import contents
from lacwright.shop.queries.jobs import begun_us
from lacwright.shop.queries.preferences import zone
from lacwright.shop.queries.tainted import Taint, taints_at

SURE = ("weighed", "measured")
SCALE_G = 0.01
"""So much more than there was is the scale."""


def check_coat(made: Movement) -> list[str]:
    """Return what is to be said of a coat that was just written down.

    Raises
    ------
    Refusal
        If more stayed in pad or brush than ever came into it.
    """
    refs = made.body["refs"]
    jar = names.named(Jar, refs["jar"])
    assert jar is not None
    pad = names.named(Applicator, refs["applicator"]) if refs.get("applicator") else None
    return [*_of_the_start(made), *_of_what_stayed(made, jar, pad),
            *_of_the_tests(made, jar, pad)]  # fmt: skip


def _of_the_start(made: Movement) -> list[str]:
    """Return what to say of a coat that is dated before its job was begun."""
    name = made.body["refs"].get("job")
    job = None if name is None else names.named(Job, name)
    begun = None if job is None else begun_us(job)
    if job is None or begun is None or made.at_us >= begun:
        return []
    there = zone()
    return [f"It is dated {clock.plain(made.at_us, there)}, before job '{job.key}' was begun at "
            f"{clock.plain(begun, there)}: check both times."]  # fmt: skip


def _of_what_stayed(made: Movement, jar: Jar, pad: Applicator | None) -> list[str]:
    body = made.body
    left_g, lay = body["left_g"], body["moves"][0]
    if left_g is None:
        return []
    if lay["amount"] is None:
        return ["What stayed in pad or brush is noted; without an amount for the coat it is not "
                "reckoned with."]  # fmt: skip
    solids = _solids_ug(made.root_id or made.id)
    if not solids:
        return []
    taken_g = -(solids[jar.place.key] + solids[UNACCOUNTED]) / 1e6
    before_g, sure = 0.0, body["amount_basis"] in SURE
    if lay["through"] and pad is not None:
        inside = contents(pad.place.key, at_us=made.at_us)
        held = sum(h.ug for h in inside.held if h.lot.kind != ALCOHOL)
        before_g = (held - solids[pad.place.key]) / 1e6
        sure = sure and not inside.unsaid
    if left_g <= taken_g + before_g + SCALE_G:
        return []
    parts = f"{trimmed(taken_g)} g came with this coat"
    if pad is not None and lay["through"]:
        parts += f", {trimmed(before_g)} g were in {pad.key} before"
    there = trimmed(taken_g + before_g)
    what = f"{trimmed(left_g)} g of dry resin stayed, and there were only {there} g: {parts}"
    mend = "take off what the pad or brush weighs clean, or leave it out"
    if pad is None:
        mend += "; what was in it before counts if it is named with --with"
    if sure:
        raise Refusal("--left", what, mend)
    return [f"{what} ({body['amount_basis']}): weigh the jar before and after it."]


def _solids_ug(root: int) -> Mapping[str, int]:
    """Return what an observation did to places, alcohols apart, by the key of the place."""
    out: dict[str, int] = defaultdict(int)
    for place, ug in rows(_SOLIDS, [root], also=[ALCOHOL]):
        out[place] += int(ug)
    return out


_SOLIDS = """
SELECT p.key, SUM(n.ug) FROM shop_line n
JOIN shop_place p ON p.id = n.place_id JOIN shop_lot k ON k.id = n.lot_id
WHERE n.about_id IN ({}) AND k.kind <> %s GROUP BY p.key
"""


def _of_the_tests(made: Movement, jar: Jar, pad: Applicator | None) -> list[str]:
    there = zone()
    inside, through = taints_at(jar, pad, at_us=made.at_us)
    out = []
    for taint in inside:
        listed = f"this coat is on the list of '{taint.kind} recall {taint.name}'"
        if (taint.kind, taint.name) == ("jar", jar.key):
            out.append(f"Jar '{jar.key}' {taint.failed.words(there)}: {listed}; more coats over it "
                       "do not cure it.")  # fmt: skip
            continue
        told = f"Jar '{jar.key}' holds {taint.words(there)}: {listed}"
        if taint.proved_us is not None:
            day = clock.day_of(taint.proved_us, there)
            out.append(f"{told}; jar '{jar.key}' itself passed its test of {day}.")
        else:
            out.append(f"{told}. Lay no more of it, and do not bury this coat, before a drop of "
                       "it has passed beside a drop of a fresh mix.")  # fmt: skip
    out += [_of_the_pad(taint, pad, there) for taint in through if pad is not None]
    return out


def _of_the_pad(taint: Taint, pad: Applicator, there: Any) -> str:
    return (f"'{pad.key}' carries {taint.words(there)}, and was not washed out since: this coat is "
            f"on the list of 'jar recall {taint.name}'. Wash it out before it touches anything "
            "else.")  # fmt: skip
