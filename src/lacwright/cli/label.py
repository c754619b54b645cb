"""`lacwright label`: the words of a label, of a jar of the record or of an alcohol."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from lacwright.cli.show import emit, json_option, only_one
from lacwright.figures import Refusal
from lacwright.figures.spoken import trimmed

if TYPE_CHECKING:
    from lacwright.room import Label
    from lacwright.shop.queries.label import JarLabel

SCHEMA = "lacwright.label/1"


@click.command()
@click.option("--jar", metavar="NAME", help="A jar of the record.")
@click.option("--alcohol", help='Without the record: a name ("unknown") or "ethanol 85, methanol '
              '10, water 5" by weight.')  # fmt: skip
@click.option("--name", default="", metavar="TEXT", help="What stands on top, without the record.")
@click.option("--codes", default="", metavar='"H225, P210"',
              help="Hazard and precaution codes, copied from the supplier's safety data "
              "sheet.")  # fmt: skip
@click.option("--signal", default="", metavar="WORD", help="Its signal word: Danger, Warning.")
@click.option("--home", metavar="FOLDER", help="Folder of the shop (or LACWRIGHT_HOME).")
@json_option
def label(
    jar: str | None, alcohol: str | None, name: str, codes: str, signal: str, home: str | None,
    as_json: bool,
) -> None:  # fmt: skip
    """Words of a label for a jar: what is in it, methanol, and the hazard lines that you copied.

    Nothing is classified here: without codes there are no hazard lines. It is a reminder for the
    bench, no label under the law.

    Example: lacwright label --alcohol "ethanol 85, methanol 10, water 5" --name "spirit can"
    --codes "H225, H319, P210" --signal Danger
    """
    from lacwright.room import COPIED
    from lacwright.solution import cautions_of, read_alcohol

    of = None
    try:
        if only_one(jar=jar, alcohol=alcohol) == "jar":
            of = _of_record(jar or "", codes, signal, home)
            words, spirit = of.words, of.alcohol
        else:
            from lacwright.room import label_of

            spirit = read_alcohol(alcohol or "")
            words = label_of(spirit, codes=codes, signal=signal)
    except Refusal as refusal:
        raise refusal.at(_WHERE.get(refusal.where, refusal.where)) from None
    top = of.name if of is not None else name.strip()
    keys: dict[str, Any] = {
        "name": top or None, "contents": _contents(of), "failed_test": of is not None and of.failed,
        "mixed": None if of is None else of.mixed.isoformat(),
        "solvents": [{"of": s, "percent": share} for s, share in words.solvents],
        "methanol": words.methanol or None, "signal": words.signal or None,
        "hazards": [{"code": c, "words": w} for c, w in words.hazards],
        "precautions": [{"code": c, "words": w} for c, w in words.precautions],
        "reminder": words.reminder,
    }  # fmt: skip
    why = {"name": "not said", "contents": "not of the record", "mixed": "not of the record",
           "methanol": "none is named", "signal": "not copied"}  # fmt: skip
    missing = {k: why[k] for k in why if keys[k] is None}
    missing |= {f"solvents.{n}.percent": "composition not known"
                for n, (_, share) in enumerate(words.solvents) if share is None}  # fmt: skip
    emit(schema=SCHEMA, keys=keys, missing=missing, lines=_lines(top, of, words, COPIED),
         as_json=as_json, cautions=cautions_of([spirit]))  # fmt: skip


_WHERE = {"hazard codes": "--codes", "signal word": "--signal"}


def _of_record(jar: str, codes: str, signal: str, home: str | None) -> JarLabel:
    from lacwright.cli.record_common import record

    with record(home):
        from lacwright.shop import names
        from lacwright.shop.models import Jar
        from lacwright.shop.queries.label import jar_label

        return jar_label(names.find(Jar, jar, "--jar"), codes=codes, signal=signal)


def _contents(of: JarLabel | None) -> str | None:
    if of is None:
        return None
    if of.cut is None:
        return "cut not known" + (f", {of.grade}" if of.grade else "")
    return f"{trimmed(of.cut, 2)}-lb cut" + (f" of {of.grade}" if of.grade else "")


def _lines(top: str, of: JarLabel | None, words: Label, copied: str) -> list[str]:
    """Return the label, line by line: what is in it first."""
    out = [top or "no name"]
    if of is not None:
        out.append(f"{_contents(of)}, mixed {of.mixed.isoformat()}")
        out += ["FAILED ITS TEST: not for use"] if of.failed else []
    solvents = ", ".join(s if share is None else f"{s} {trimmed(share, 2)} %"
                         for s, share in words.solvents)  # fmt: skip
    known = "" if any(share is None for _, share in words.solvents) else " by weight"
    out.append(f"in {solvents}{known}")
    out += [words.methanol.capitalize()] if words.methanol else []
    out += [words.signal.upper()] if words.signal else []
    out += [f"{code}  {text}" for code, text in (*words.hazards, *words.precautions)]
    out.append(f"{words.missing or f'Hazard lines: {copied}'}.")
    return [*out, f"{words.reminder}."]
