"""What the commands about lots, jars and pads share: the entry, the words, the answer."""

from __future__ import annotations

import contextlib
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import TYPE_CHECKING, Any

from lacwright.cli.mix_common import cut_words, ml
from lacwright.cli.record_common import did, entry, in_json, record
from lacwright.cli.show import brief, emit, to_step
from lacwright.figures import Basis, Caution, Figure, Mark

if TYPE_CHECKING:
    from lacwright.shop.ledger import Amount
    from lacwright.shop.writing import Answer, Entry

WHEN = ("at", "ago", "author", "reason", "token", "dry_run", "now")
STEP_G = 0.1
VISIBLE_G = 0.05
"""Less than this no bench scale shows."""


@contextlib.contextmanager
def desk(when: Mapping[str, Any], *, create: bool = False) -> Iterator[Entry]:
    """Open the record for a command that writes, and yield who writes and when."""
    with record(when["home"], create=create, dry_run=when["dry_run"]) as zone:
        yield entry(zone, **{word: when[word] for word in WHEN})


def say(
    name: str, answer: Answer, *, line: str, when: Mapping[str, Any], lines: Sequence[str] = (),
    keys: Mapping[str, Any] | None = None, missing: Mapping[str, str] | None = None,
    cautions: Iterable[Caution] | None = None,
) -> None:  # fmt: skip
    """Print what a request did.

    Parameters
    ----------
    name : str
        Of the command: "jar.mix".
    answer : Answer
        Of the service: its data are the keys, unless `keys` are given.
    line : str
        The sentence of what was done, beginning with what is said first: "wrote down jar J7".
    when : mapping
        The options of `record_common.writes`.
    lines : sequence of str
        Further lines.
    keys, missing : mapping
        In place of the data of the answer; reasons for further nulls.
    cautions : iterable of Caution, optional
        In place of those of the answer.
    """
    data = in_json(answer.data if keys is None else keys)
    figures = {key: figure(told) for key, told in answer.data.get("figures", {}).items()}
    told_cautions = [Caution(**c) for c in answer.data.get("cautions", ())]
    inner = data.get("jar")
    why = dict(data.pop("missing", {}) or {}) | dict(missing or {})
    for key in ("figures", "cautions"):
        data.pop(key, None)
    said: list[str] = []
    if isinstance(inner, Mapping) and "lots" in inner:
        said = answer.data.get("says", [])
        del data["jar"]  # what the jar is stands beside what was done with it
        data = {**inner, **data}
        why = dict(inner["missing"]) | why
        del data["missing"]
    out = {"movement": answer.movement, "dry_run": answer.dry_run, "repeated": answer.repeated,
           **data}  # fmt: skip
    why |= {f"takes.{n}.amount": "the amount was not said"
            for n, take in enumerate(data.get("takes", ())) if take["amount"] is None}  # fmt: skip
    if answer.movement is None:
        why["movement"] = "a dry run writes nothing"
    notes = [] if answer.movement is None else [f"Movement {answer.movement}."]
    emit(
        schema=f"lacwright.{name}/1", keys=out, missing=why, as_json=when["as_json"],
        figures={key: told for key, told in figures.items() if key in out},
        cautions=told_cautions if cautions is None else cautions,
        lines=[did(line, answer), *lines, *said, *notes],
    )  # fmt: skip


def figure(told: Mapping[str, Any]) -> Figure:
    """Return a figure out of an answer that was kept."""
    return Figure(told["value"], told["low"], told["high"], told["unit"], Basis(told["basis"]),
                  Mark(told["mark"]), told["source"], None, told["missing"])  # fmt: skip


def contents_words(jar: Mapping[str, Any]) -> str:
    """Return "500 ml of 2-lb cut (240 g per litre of alcohol)", or what is known in its place."""
    if jar["cut_lb_per_gal"] is not None:
        share = jar["claimed_share"]
        claimed = "" if not share else ", as claimed on its label" if share > 1 - 1e-9 else (
            f", {share:.0%} of its resin as a label claims"
        )  # fmt: skip
        return f"{ml(jar['solution_ml'])} of {cut_words(jar['cut_lb_per_gal'])}{claimed}"
    reason: str = jar["missing"]["cut_lb_per_gal"]
    if not jar["lots"] and not jar["amounts_not_said"]:
        return "nothing"
    return f"a mix without a cut ({reason})"


def parts_lines(jar: Mapping[str, Any]) -> list[str]:
    """Return what is in a jar, a line for a kind."""
    words = {"flakes": "Resin", "alcohol": "Alcohol", "dye": "Dye"}
    out = []
    for kind in dict.fromkeys(lot["kind"] for lot in jar["lots"]):
        told = [_lot_words(lot) for lot in jar["lots"] if lot["kind"] == kind]
        out.append(f"{words.get(kind, 'Not known')}: {', '.join(told)}.")
    return sorted(out, key=lambda line: -ord(line[0]))


def _lot_words(lot: Mapping[str, Any]) -> str:
    name = lot["lot"] if not lot["grade"] else f"{lot['lot']} ({lot['grade']})"
    if "density_from" in lot:
        return (f"{ml(lot['ml'])} of {name} ({grams(lot['g'])} at {brief(lot['density_g_ml'])} "
                f"g/ml, {lot['density_from']})")  # fmt: skip
    claimed = ", claimed" if lot["claimed"] else ""
    if lot["g"] is None:
        return f"{ml(lot['ml'])} of {name}{claimed}"
    volume = f"{ml(lot['ml'])} ({grams(lot['g'])})" if "ml" in lot else grams(lot["g"])
    return f"{volume} of {name}{claimed}"


def short_lines(short: Mapping[str, float], jar: Mapping[str, Any]) -> list[str]:
    """Return what was taken that the book did not have; liquids in the jar by volume too."""
    density = {lot["lot"]: lot["g"] / lot["ml"] for lot in jar["lots"] if lot.get("ml")
               and lot["g"] is not None}  # fmt: skip
    told = [f"{by_volume(g, density.get(lot))} of {lot}" for lot, g in short.items()
            if g >= VISIBLE_G]  # fmt: skip
    if not told:
        return []
    return [f"The book had less: {', '.join(told)} more than it knew of went (unaccounted). "
            "Count the lot or weigh the jar."]  # fmt: skip


def takes_words(takes: Sequence[Mapping[str, Any]], step: float = STEP_G) -> str:
    """Return "60.0 g of garnet-b12 and 413 ml of spirit"."""
    told = []
    for take in takes:
        name = f"jar {take['name']}" if take["kind"] == "jar" else take["lot"]
        told.append(f"{amount(take['amount'], step)} of {name}")
    return f"{', '.join(told[:-1])} and {told[-1]}" if len(told) > 1 else told[0]


def amount(said: Amount | None, step: float = STEP_G) -> str:
    """Return an amount as it is weighed or measured."""
    from lacwright.shop.amounts import amount_words

    if said is not None and said["u"] == "ug":
        return grams(said["n"] / 1e6, step)
    if said is not None and said["u"] == "ul":
        return ml(said["n"] / 1e3)
    return amount_words(said)


def grams(value: float, step: float = STEP_G) -> str:
    """Return a weight to the step of the scale, more digits where that would hide a tenth of it."""
    return f"{to_step(value, step) if abs(value) >= 10 * step or not value else brief(value)} g"


def by_volume(g: float, density_g_ml: float | None) -> str:
    """Return grams of a liquid by its volume, the weight beside; of anything else the weight."""
    return grams(g) if not density_g_ml else f"{ml(g / density_g_ml)} ({grams(g)})"


def number_words(value: float) -> str:
    """Return a number of pieces, or another number, in short."""
    return f"{value:.0f}" if value == round(value) else brief(value)
