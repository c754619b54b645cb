"""What is written down of a jar: the moves of a mix, a pour, a weighing, from what was said.

Made once when it is written, and again when it is corrected; `at_us` is given only the first time,
since what was shut or washed out then cannot be said of a correction.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from lacwright.figures import Refusal, nearest
from lacwright.shop import names
from lacwright.shop.amounts import check_amount
from lacwright.shop.facts import ALCOHOL, FLAKES
from lacwright.shop.ledger import ALL, WASTE, Move, clear, found, grams, take
from lacwright.shop.models import Applicator, Event, Jar, Lot
from lacwright.shop.queries import proving
from lacwright.shop.queries.preferences import zone
from lacwright.shop.services.amend import CHECK, RECOMPOSE, Body, merged
from lacwright.shop.services.lot_remarks import early_lots
from lacwright.shop.services.lots import checked_gone, unsaid_lot

LOT, JAR, GRADE, SPIRIT = "lot", "jar", "grade", "alcohol"
TAKES = (LOT, JAR, GRADE, SPIRIT)
WHY = ("", "thin", "strengthen", "correct", "top-up", "give-back")
TO = ("jar", "applicator", "waste")


def mix(jar: Jar, facts: Mapping[str, Any], *, at_us: int | None = None) -> Body:
    """Return the body of a mix."""
    for name, where in (("wished_cut", "--cut"), ("wished_ml", "--solution")):
        value = facts[name]
        if value is not None and not 0 < value < 1e7:
            raise Refusal(where, f"{value:g} is not a mix", "write e.g. 2")
    takes = _takes(facts["takes"], jar, at_us)
    return Body({"jar": jar.key}, _moves(takes, jar), {**facts, "takes": takes})


def add(jar: Jar, facts: Mapping[str, Any], *, at_us: int | None = None) -> Body:
    """Return the body of something added to a jar."""
    if at_us is not None:
        not_washed_out(jar, at_us)
        refuse_curing(jar, facts.get("in_spite", ""), at_us)
    if facts["why"] not in WHY:
        raise Refusal("--for", f"'{facts['why']}' is no reason to add something",
                      nearest(facts["why"], WHY[1:]))  # fmt: skip
    takes = _takes(facts["takes"], jar, at_us)
    lots = {t["lot"] for t in takes if t["kind"] != JAR}
    refs = {"jar": jar.key}
    if len(lots) == 1:
        refs["lot"] = lots.pop()
    return Body(refs, _moves(takes, jar), {**facts, "takes": takes})


def pour(jar: Jar, facts: Mapping[str, Any], *, at_us: int | None = None) -> Body:
    """Return the body of a pour."""
    to_kind, to_name = facts["to_kind"], facts["to_name"]
    if to_kind not in TO:
        raise Refusal("--to", f"nothing is poured into '{to_kind}'", nearest(to_kind, TO))
    if at_us is not None and to_kind != "waste":
        refuse_shut(jar, at_us)
    refs, to = {"jar": jar.key}, WASTE
    if to_kind == "jar":
        target = names.find(Jar, to_name, "--to")
        if target.id == jar.id:
            raise Refusal("--to", f"jar '{to_name}' is poured into itself", "name another jar")
        if at_us is not None:
            not_washed_out(target, at_us)
            refuse_curing(target, facts.get("in_spite", ""), at_us)
        to = target.place.key
    elif to_kind == "applicator":
        pad = names.find(Applicator, to_name, "--pad")
        refs["applicator"], to = pad.key, pad.place.key
    amount = check_amount(facts["amount"], "--amount", of="jar", unit="g")
    moves = (take(source=jar.place.key, to=to, amount=amount),)
    return Body(refs, moves, {**facts, "amount": amount, "to": to})


def weigh(jar: Jar, facts: Mapping[str, Any]) -> Body:
    """Return the body of a weighing."""
    net, gross = facts["net_g"], facts["gross_g"]
    if (net is None) == (gross is None):
        raise Refusal("--net or --gross", "give exactly one of them",
                      "the mix alone, or the jar with the mix")  # fmt: skip
    if gross is not None:
        if jar.tare_g is None:
            raise Refusal(
                "--gross",
                f"nobody said what jar '{jar.key}' weighs empty",
                f"write it down with 'jar change {jar.key} --tare', or give --net",
            )
        net = gross - jar.tare_g
        if net < 0:
            raise Refusal("--gross", f"{gross:g} g is less than the empty jar "
                          f"({jar.tare_g:g} g)", "weigh it again, or mend its tare")  # fmt: skip
    moves = (found(place=jar.place.key, amount=grams(net), gone=checked_gone(facts["gone"])),)
    return Body({"jar": jar.key}, moves, dict(facts))


def discard(jar: Jar, facts: Mapping[str, Any]) -> Body:
    """Return the body of washing a jar out."""
    return Body({"jar": jar.key}, (clear(place=jar.place.key),), dict(facts))


def _takes(
    said: Sequence[Mapping[str, Any]], jar: Jar, at_us: int | None
) -> list[dict[str, Any]]:  # fmt: skip
    """Return the takes with the lot of each, checked."""
    if not said:
        raise Refusal("--take", "nothing goes in", 'write e.g. --take "garnet-b12: 60 g"')
    out = []
    for item in said:
        kind, name = item["kind"], str(item["name"])
        where = f'--take "{name}"'
        if kind not in TAKES:
            raise Refusal(where, f"'{kind}' is nothing to take from", nearest(kind, TAKES))
        if kind == JAR:
            source = names.find(Jar, name, where)
            if source.id == jar.id:
                raise Refusal(where, "a jar is taken from itself", "name another jar")
            if at_us is not None:
                refuse_shut(source, at_us)
            amount = check_amount(item["amount"], where, of="jar", unit="g")
            out.append({"kind": kind, "name": source.key, "amount": amount})
            continue
        lot = names.find(Lot, name, where) if kind == LOT else unsaid_lot(
            kind=FLAKES if kind == GRADE else ALCOHOL, name=name, where=where
        )  # fmt: skip
        if at_us is not None:
            refuse_shut(lot, at_us)
        if item["amount"] == ALL:
            raise Refusal(where, "all of a lot", "say how much, and count the lot afterwards")
        amount = check_amount(item["amount"], where, of=lot.kind, unit=lot.unit)
        out.append({"kind": kind, "name": name, "lot": lot.key, "amount": amount})
    return out


def _moves(takes: Sequence[Mapping[str, Any]], jar: Jar) -> tuple[Move, ...]:
    return tuple(
        take(source=names.place_key(Jar, t["name"]) if t["kind"] == JAR
             else names.place_key(Lot, t["lot"]), to=jar.place.key, amount=t["amount"])
        for t in takes
    )  # fmt: skip


def refuse_shut(source: Jar | Lot, at_us: int) -> None:
    """Refuse to take from a jar or lot that had failed its test at that time.

    Raises
    ------
    Refusal
        With what to do instead.
    """
    if isinstance(source, Jar):
        shut = proving.quarantine(source, at_us=at_us)
        mend = (f"pour it away ('jar discard {source.key}'), or let a later test pass "
                f"('jar test {source.key}')")  # fmt: skip
        what = "jar"
    else:
        shut = proving.lot_quarantine(source, at_us=at_us)
        mend, what = f"take another, or let a later test pass ('lot test {source.key}')", "lot"
    if shut is not None:
        raise Refusal(what, f"{what} '{source.key}' {shut.words(zone())} and is shut", mend)


def refuse_curing(jar: Jar, in_spite: str, at_us: int) -> None:
    """Refuse to put something into a jar that had failed its test, unless it is said why.

    Raises
    ------
    Refusal
        With what to do instead.
    """
    shut = proving.quarantine(jar, at_us=at_us)
    if shut is not None and not in_spite.strip():
        raise Refusal(
            "jar", f"jar '{jar.key}' {shut.words(zone())} and is shut: fresh flakes or fresh "
            "alcohol do not cure it, and what is put into it is lost with it",
            f"mix a new jar and pour this one away ('jar discard {jar.key}'), or let a later test "
            f"pass ('jar test {jar.key}'); if it went in all the same, say why with --in-spite",
        )  # fmt: skip


def not_washed_out(jar: Jar, at_us: int) -> None:
    """Refuse to do something to a jar that had been washed out at that time."""
    gone = Event.objects.filter(jar=jar, kind="discard", void=False, at_us__lte=at_us).first()
    if gone is not None:
        raise Refusal("jar", f"jar '{jar.key}' was washed out by movement {gone.root_id}",
                      "a new filling is a jar of another name; or take that back")  # fmt: skip


def _jar_of(body: Mapping[str, Any]) -> Jar:
    # It may be gone for now: a mix that was taken back can be corrected and comes back.
    return Jar.objects.select_related("place").get(key=body["refs"]["jar"])


CHECK["mix"] = CHECK["add"] = early_lots
RECOMPOSE["mix"] = lambda body, changes: mix(
    _jar_of(body), merged(body, changes, ("takes", "wished_cut", "wished_ml"))
)
RECOMPOSE["add"] = lambda body, changes: add(
    _jar_of(body), merged(body, changes, ("takes", "why", "to_cut", "in_spite"))
)
RECOMPOSE["pour"] = lambda body, changes: pour(
    _jar_of(body), merged(body, changes, ("to_kind", "to_name", "amount", "in_spite"))
)
RECOMPOSE["discard"] = lambda body, changes: discard(_jar_of(body), merged(body, changes, ()))


def _weigh_again(body: Mapping[str, Any], changes: Mapping[str, Any]) -> Body:
    facts = merged(body, changes, ("net_g", "gross_g", "gone"))
    if "net_g" in changes and "gross_g" not in changes:
        facts["gross_g"] = None
    if "gross_g" in changes and "net_g" not in changes:
        facts["net_g"] = None
    return weigh(_jar_of(body), facts)


RECOMPOSE["weigh"] = _weigh_again
