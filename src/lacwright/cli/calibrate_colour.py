"""`lacwright calibrate-colour`: own figures of grades and woods from panels that were read."""

from __future__ import annotations

import statistics
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import click

from lacwright.cli import dry_common as common
from lacwright.cli.show import brief, counted, emit, json_option
from lacwright.figures import Refusal

if TYPE_CHECKING:
    from lacwright.colour import Calibration, Evidence, Hit
    from lacwright.figures import Figure
    from lacwright.files.colour_panels import Written

WORDS = {
    "level": "depth of colour",
    "slope": "fall towards red",
    "band": "red of lac dye",
    "haze": "haze of its wax",
    "wetting": "wetting",
    "skin": "skin",
}
"""What a constant is in a few words; the reference says the rest."""
GLOSS = "8/d"
SKIN_KEPT_OUT = (
    "Read with the gloss included, a skin is that of this geometry alone: as an own figure it is "
    "left out, looks take the usual one."
)
NOT_CLAIMED = (
    "Not claimed: ageing, figure that moves with the eye, a screen that nobody calibrated. "
    "A piece differs from its panel by what one board varies itself, about 2 dE."
)


@click.command("calibrate-colour")
@click.argument("file", required=False)
@common.hand_option
@click.option("--keep", "keep_file", metavar="HAND.toml",
              help="Add the panels to this hand file, new or old.")  # fmt: skip
@click.option("--dry-run", is_flag=True, help="With --keep: say what would be added.")
@json_option
def calibrate_colour(
    file: str | None, hand_file: str | None, keep_file: str | None, dry_run: bool, as_json: bool
) -> None:  # fmt: skip
    """Own figures of the colour of your grades and woods, from panels in bands.

    FILE is TOML with [[panel]] tables: a board with bands, bare, sealed, 1, 2, 4, 6, 9 coats, what
    lies on each in g/m2 and how it reads, L*, a*, b* or a patch of a corrected photo. Or it is a
    hand file, whose kept panels are then fitted again. Nothing is written without --keep. Without
    FILE it says how panels are made.

    Example: lacwright calibrate-colour panels.toml --keep mine.toml
    """
    if file is None:
        if hand_file is not None or keep_file is not None or dry_run:
            raise Refusal("FILE", "there is no panel", "name a file with [[panel]] tables")
        _protocol(as_json=as_json)
        return
    if dry_run and keep_file is None:
        raise Refusal("--dry-run", "nothing would be written", "add --keep HAND.toml")
    if hand_file is not None and keep_file is not None:
        raise Refusal("--hand", "with --keep the figures of that file are the base",
                      "leave --hand out")  # fmt: skip
    from lacwright.colour import calibrate
    from lacwright.files.colour_panels import read_panels

    written = read_panels(file)
    gloss = {one.panel.wood for one in written if one.panel.viewing.geometry == GLOSS}
    base = _base(keep_file or hand_file, gloss, new=keep_file is not None)
    found = calibrate([one.panel for one in written], grades=base.grades, bares=base.bares)
    answer = Answer(written, base, found)
    added = _keep(keep_file, answer, dry_run=dry_run) if keep_file is not None else ""
    _show(answer, keep_file, added, dry_run=dry_run, as_json=as_json)


def _protocol(*, as_json: bool) -> None:
    from lacwright.trade import table

    rows = list(table("colour_panels"))
    lines = ["Make panels like this, read them, and give the file to this command.",
             *(f"{n}. {row.text('text')}" for n, row in enumerate(rows, 1)),
             "(common practice, no source)"]  # fmt: skip
    emit(schema="lacwright.calibrate-colour/1",
         keys={"protocol": [{"of": row.key, "text": row.text("text"), "mark": str(row.mark)}
                            for row in rows]},
         lines=lines, as_json=as_json)  # fmt: skip


@dataclass(frozen=True)
class Base:
    """What is known before: own grades and woods, and which panels are kept already."""

    grades: Mapping[str, Any]
    bares: Mapping[str, Any]
    own: Mapping[str, Figure]
    sources: tuple[str, ...]


def _base(file: str | None, gloss: set[str], *, new: bool) -> Base:
    """Return what a hand file knows; of woods read with the gloss no skin, theirs is another."""
    from pathlib import Path

    from lacwright.colour import own_bare, own_grades, skinless
    from lacwright.files.colour_panels import panels_of
    from lacwright.files.own import read_hand
    from lacwright.files.toml import load_toml

    if file is None or (new and not Path(file).exists()):
        return Base({}, {}, {}, ())
    own = {n: f for n, f in read_hand(file).own.items() if n.startswith("colour.")}
    kept, _ = panels_of(load_toml(file).get("hand", {}), "hand.")
    return Base(own_grades(own), own_bare(skinless(own, gloss)), own,  # type: ignore[arg-type]
                tuple(one.row.source for one in kept))  # fmt: skip


@dataclass(frozen=True)
class Answer:
    """What the panels say."""

    written: tuple[Written, ...]
    base: Base
    found: Calibration


def _keep(file: str, answer: Answer, *, dry_run: bool) -> str:
    from lacwright.cli.hand_file import added_to

    for one in answer.written:
        if one.row.source in answer.base.sources:
            raise Refusal("--keep", f"'{one.row.source}' is kept in {file} already",
                          "give the new one another name or date")  # fmt: skip
    rows = [{**one.raw, "says": says.as_json()}
            for one, says in zip(answer.written, answer.found.evidence, strict=True)]  # fmt: skip
    return added_to(file, {"panel": rows}, dry_run=dry_run)


def _show(
    answer: Answer, keep_file: str | None, added: str, *, dry_run: bool, as_json: bool
) -> None:  # fmt: skip
    from lacwright.colour import figures_of

    found = answer.found
    before, after = figures_of(found.before), figures_of(found.after, found.evidence)
    figures = {name: figure for name, figure in after.items() if name in before}
    alone = [(one, figures_of(found.alone(one))) for one in found.evidence]
    viewings = list(dict.fromkeys(one.panel.viewing for one in answer.written))
    keys: dict[str, Any] = {
        "panels": [{"name": one.row.source, "wood": one.panel.wood, "grades": one.panel.grades,
                    "reader": one.panel.reader, **one.panel.viewing.as_json()}
                   for one in answer.written],
        "grades": _things(found.grades, before, after, alone),
        "woods": _things(found.bares, before, after, alone),
        "hits": [_hit(hit) for hit in found.hits],
        "inside": sum(hit.inside for hit in found.hits), "of": len(found.hits),
        "de00_before": statistics.fmean(hit.de00_before for hit in found.hits),
        "de00_after": statistics.fmean(hit.de00_after for hit in found.hits),
        "skin_left_out": sorted({w for one in answer.written
                                if (w := one.panel.wood) and one.panel.viewing.geometry == GLOSS}),
        "misfit": found.misfit, "kept": None if dry_run else keep_file,
    }  # fmt: skip
    missing = {}
    if keys["kept"] is None:
        missing["kept"] = "only tried" if dry_run else "not asked for"
    lines = _lines(answer, before, after, alone)
    lines.append("Read with " + "; ".join(v.words() for v in viewings) + ".")
    if any(v.geometry == GLOSS for v in viewings):
        lines.append(SKIN_KEPT_OUT)
    if keep_file is None:
        lines.append("Nothing was written; --keep HAND.toml keeps it.")
    elif dry_run:
        lines += [f"Would be added to {keep_file}, nothing was written:", *added.splitlines()]
    else:
        lines.append(f"Kept in {keep_file}, at its end: use it with --hand {keep_file}.")
    lines.append(NOT_CLAIMED)
    emit(schema="lacwright.calibrate-colour/1", keys=keys, figures=figures, missing=missing,
         lines=lines, as_json=as_json)  # fmt: skip


Alone = list[tuple["Evidence", dict[str, "Figure"]]]


def _things(
    named: Mapping[str, Any], before: Mapping[str, Figure], after: Mapping[str, Figure],
    alone: Alone,
) -> list[dict[str, Any]]:  # fmt: skip
    out = []
    for thing in named:
        constants: dict[str, Any] = {}
        for name in before:
            if not name.startswith(f"colour.{thing}."):
                continue
            now, was = after[name], before[name]
            constants[name.rpartition(".")[2]] = {
                "value": now.value, "low": now.low, "high": now.high, "unit": now.unit,
                "prior": {"value": was.value, "low": was.low, "high": was.high},
                "seen": [{"panel": one.source, "value": told[name].value}
                         for one, told in alone if name in one.names],
            }  # fmt: skip
        out.append({"name": thing, "constants": constants})
    return out


def _hit(hit: Hit) -> dict[str, Any]:
    return {"panel": hit.panel, "band": hit.band, "lab": list(hit.read),
            "foretold": list(hit.before), "de00_foretold": hit.de00_before,
            "de00_band": hit.reach, "inside": hit.inside, "fitted": list(hit.after),
            "de00": hit.de00_after}  # fmt: skip


def _lines(
    answer: Answer, before: Mapping[str, Figure], after: Mapping[str, Figure], alone: Alone
) -> list[str]:  # fmt: skip
    found = answer.found
    inside = sum(hit.inside for hit in found.hits)
    mean = statistics.fmean(hit.de00_after for hit in found.hits)
    first = statistics.fmean(hit.de00_before for hit in found.hits)
    grades, woods = _listed(found.grades), _listed(b.name for b in found.bares.values())
    lines = [
        f"{grades[:1].upper()}{grades[1:]} on {woods}, from "
        f"{counted(len(answer.written), 'panel')}: your bands now lie {brief(mean, 2)} dE00 from "
        f"the model on average, {brief(first, 2)} before."
    ]  # fmt: skip
    for thing in (*found.grades, *found.bares):
        lines.append(_heading(thing, before, after))
        for name in (n for n in before if n.startswith(f"colour.{thing}.")):
            word = WORDS[name.rpartition(".")[2]]
            lines.append(f"  {word:<17}{banded(after[name])}; before {banded(before[name])}")
            if len(alone) > 1:
                lines += [f"    {one.source} says {brief(told[name].number())}"
                          for one, told in alone if name in one.names]  # fmt: skip
    lines.append(f"Foretold before the reading: {inside} of {len(found.hits)} bands inside.")
    lines += [
        f"  {hit.panel}, {hit.band}: {brief(hit.de00_before, 2)} dE00 off, "
        f"{'inside' if hit.inside else 'outside'} {brief(hit.reach, 2)}; "
        f"{brief(hit.de00_after, 2)} now"
        for hit in found.hits
    ]  # fmt: skip
    if found.misfit > MISFIT:
        lines.append(f"The bands scatter {brief(found.misfit, 2)} times as far as such readings "
                     "should: look at loads, gloss and changed bands. The ranges were widened by "
                     "it.")  # fmt: skip
    return lines


def _heading(thing: str, before: Mapping[str, Figure], after: Mapping[str, Figure]) -> str:
    """Return grade or wood, of a grade with how deep it is."""
    title = thing[:1].upper() + thing[1:].replace("-", " ")
    level = f"colour.{thing}.level"
    if level not in before:
        return title
    was, now = before[level].number(), after[level]
    assert now.low is not None
    assert now.high is not None
    return (f"{title}: {brief(now.number() / was, 2)} times as deep as was known before "
            f"({brief(now.low / was, 2)} to {brief(now.high / was, 2)})")  # fmt: skip


def _listed(names: Iterable[str]) -> str:
    *first, last = names
    return f"{', '.join(first)} and {last}" if first else last


MISFIT = 1.5
"""From so many times the spread on the maker is told that readings do not fit together."""


def banded(figure: Figure) -> str:
    """Return a constant with its band, as a person reads it."""
    assert figure.low is not None
    assert figure.high is not None
    unit = "" if figure.unit == "1" else f" {figure.unit}"
    return (f"{brief(figure.number())} ({brief(figure.low)} to {brief(figure.high)})"
            f"{unit}")  # fmt: skip
