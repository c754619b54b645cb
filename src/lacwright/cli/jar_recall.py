"""`jar recall`, and the words of a recall wherever it is told."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import click

from lacwright.cli.jar_common import grams
from lacwright.cli.mix_common import cut_words, ml
from lacwright.cli.record_common import moment, reads, record
from lacwright.cli.show import counted, emit
from lacwright.figures import Refusal


@click.command("recall")
@click.argument("jar")
@click.option("--since", metavar="MOMENT", help="From when on it counts as bad.")
@click.option("--all", "everything", is_flag=True, help="From its beginning.")
@reads
def recall_(
    *, jar: str, since: str | None, everything: bool, home: str | None, now: str | None,
    as_json: bool,
) -> None:  # fmt: skip
    """What carries a jar: coats, pieces, panels, jars, pads and brushes, forward in time.

    Without --since it begins at the last passed test before the jar failed; what was laid before
    is not on the list.
    """
    if since is not None and everything:
        raise Refusal("--since", "--all is given too", "leave one of them out")
    with record(home) as zone:
        from lacwright.shop import names
        from lacwright.shop.clock import read_moment
        from lacwright.shop.models import Jar
        from lacwright.shop.queries import carry
        from lacwright.shop.services.jar_answers import cautions

        row = names.find(Jar, jar, "JAR")
        start = None if since is None else read_moment(since, zone, "--since")
        found = carry.recall(row, since_us=start, everything=everything,
                             now_us=moment(now, zone))  # fmt: skip
        told = found.as_json()
        warned = cautions(found.jars[0].contents)
    missing = told.pop("missing")
    emit(schema="lacwright.jar.recall/1", keys=told, lines=recall_lines(told), missing=missing,
         as_json=as_json, cautions=warned)  # fmt: skip


def recall_lines(told: Mapping[str, Any], *, why: bool = True) -> list[str]:
    """Return a recall as a person reads it; `why` it is one is left out where it stands already."""
    of = f"{told['of_kind']} {told['of']}"
    lines = [f"{_carriers(told)} {of}, {told['since_words']}."]
    if why and told["failed"]:
        test = told["failed"]
        lines.append(f"It failed its {test['test']} test of {test['at'][:10]}: "
                     f"{' '.join(test['says'])}")  # fmt: skip
    if told["coats_before_left_out"]:
        n = told["coats_before_left_out"]
        lines.append(f"{counted(n, 'coat')} {'was' if n == 1 else 'were'} laid from it before, and "
                     f"{'is' if n == 1 else 'are'} not on the list.")  # fmt: skip
    if told["age_days"] is not None:
        lines.append(f"It is {counted(told['age_days'], 'day')} old.")
    for word, pieces in (("Piece", told["pieces"]), ("Panel", told["panels"])):
        for piece in pieces:
            lines += _piece(word, piece)
    lines += [_jar(jar) for jar in told["jars"]]
    for pad in told["applicators"]:
        kind, name = pad["kind"], pad["name"]
        name = name if name.startswith(kind) else f"{kind} {name}"
        lines.append(f"{_first(name)}: in use with it since {pad['since'][:10]}"
                     f"{_way(pad['way'])}.")  # fmt: skip
    return [*lines, *_loss(told["loss"]), *_fresh(told["replacement"], of),
            *(f"- {item['text']}" for item in told["advice"])]  # fmt: skip


def _carriers(told: Mapping[str, Any]) -> str:
    coats = sum(len(p["coats"]) for p in (*told["pieces"], *told["panels"]))
    counts = [
        _count(coats, "coat"), _count(len(told["pieces"]), "piece"),
        _count(len(told["panels"]), "panel"),
        _count(len({j["name"] for j in told["jars"]} - {told["of"]}),
               "further jar" if told["of_kind"] == "jar" else "jar"),
        _count(len(told["applicators"]), "pad or brush", "pads and brushes"),
    ]  # fmt: skip
    told_counts = [c for c in counts if c]
    if not told_counts:
        return "No coat, piece, other jar or pad carries"
    several = len(told_counts) > 1 or not told_counts[0].startswith("1 ")
    return f"{', '.join(told_counts)} {'carry' if several else 'carries'}"


def _count(n: int, one: str, many: str = "") -> str:
    return counted(n, one, many) if n else ""


def _piece(word: str, piece: Mapping[str, Any]) -> list[str]:
    title = f" ({piece['title']})" if piece["title"] else ""
    owner = f", of {piece['customer']}" if piece["customer"] else ""
    lines = [f"{word} {piece['name']}{title}{owner}:"]
    for coat in piece["coats"]:
        number = f" {coat['number']}" if coat["number"] is not None else ""
        parts = f", {', '.join(coat['parts'])}" if coat["parts"] else ""
        resin = (
            "amount not said" if coat["resin_g"] is None else (f"{grams(coat['resin_g'])} of resin")
        )
        job = f", job {coat['job']}" if coat["job"] else ""
        off = f"; washed off on {coat['washed_off'][:10]}" if coat["washed_off"] else ""
        lines.append(
            f"  {coat['at'][:10]} {coat['at'][11:16]} {coat['what']}{number}{parts}: "
            f"{resin}, {_from(coat)}{job}{off}"
        )
    return lines


def _from(coat: Mapping[str, Any]) -> str:
    """Return the way to a coat: "from jar J1 -> jar B -> pad 1"."""
    jar = f"jar {coat['jar']}"
    if jar in coat["way"] or not coat["jar"]:
        return f"from {_arrows(coat['way'])}"
    # A pad carried it into a coat of a jar that has nothing of it.
    return f"from {jar}, carried by {_arrows(coat['way'])}"


def _arrows(way: Sequence[str]) -> str:
    return " -> ".join(way)


def _jar(jar: Mapping[str, Any]) -> str:
    where = "" if jar["since"] is None else f", since {jar['since'][:10]}{_way(jar['way'])}"
    if jar["discarded"]:
        return f"Jar {jar['name']}{where}: washed out on {jar['discarded'][:10]}."
    if jar["cut_lb_per_gal"] is None:
        empty = "empty" in jar["missing"]["cut_lb_per_gal"]
        return f"Jar {jar['name']}{where}: {'empty' if empty else 'its cut is not known'}."
    return (f"Jar {jar['name']}{where}: {ml(jar['solution_ml'])} of "
            f"{jar['cut_lb_per_gal']:.3g}-lb cut are in it.")  # fmt: skip


def _way(way: Sequence[str]) -> str:
    return f" from {_arrows(way)}" if way else ""


def _loss(loss: Mapping[str, Any]) -> list[str]:
    money = f"{loss['value']:.2f} {loss['currency']}".strip()
    resin = grams(loss["resin_g"])
    line = f"Lost: {resin} of resin in all these jars and on these coats; cost {money}"
    if loss["lots_without_price"]:
        line += f", without {', '.join(loss['lots_without_price'])} (no price on record)"
    lines = [f"{line}."]
    if loss["coats_without_amount"]:
        lines.append(f"{_count(loss['coats_without_amount'], 'coat')} not counted: the amount was "
                     "not said.")  # fmt: skip
    return lines


def _fresh(fresh: Mapping[str, Any], of: str) -> list[str]:
    flakes = " and ".join(f"{grams(f['g'])} of {f['lot']}" for f in fresh["flakes"])
    if fresh["solution_ml"] is not None and flakes:
        line = (f"Mix anew: {ml(fresh['solution_ml'])} of {cut_words(fresh['cut_lb_per_gal'])}, "
                f"as much as is left in {of} and the coats took: {flakes} and "
                f"{ml(fresh['alcohol_ml'])} of alcohol.")  # fmt: skip
        beside = [f"jar {j['jar']}" + ("" if j["solution_ml"] is None else
                                       f" ({ml(j['solution_ml'])})")
                  for j in fresh["jars_not_counted"]]  # fmt: skip
        if beside:
            line += (f" What is in {' and '.join(beside)} is lost as well and not counted in "
                     "that.")  # fmt: skip
    elif flakes:
        line = f"In its place: {flakes}."
    else:
        return [f"Nothing to mix anew: {fresh['why_not']}."]
    return [line] if fresh["why_not"] is None else [line, f"Short: {fresh['why_not']}."]


def _first(word: str) -> str:
    return f"{word[0].upper()}{word[1:]}"
