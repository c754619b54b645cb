"""Words of a label: by the codes that were copied from the supplier's safety data sheet.

No substance is classified here: without codes there are no hazard lines.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from lacwright.figures import Refusal
from lacwright.room.balance import constant
from lacwright.room.job import UNKNOWN
from lacwright.solution import Alcohol
from lacwright.trade import table

COPIED = "copied from the supplier's safety data sheet, which comes first"
MAY_CONTAIN, CONTAINS = "may contain methanol", "contains methanol"
SIGNALS = ("Danger", "Warning")
_CODE = re.compile(r"(?:EUH|H|P)\d{3}[A-Z]*", re.IGNORECASE)


def hazard_lines(codes: str) -> tuple[tuple[str, str], ...]:
    """Return each code with its standard words.

    Parameters
    ----------
    codes : str
        As they stand in the data sheet: "H225, H319, P210, P303+P361+P353".

    Returns
    -------
    tuple of (code, words)

    Raises
    ------
    Refusal
        For a code that is not in the table, or for no code at all.

    Examples
    --------
    >>> hazard_lines("h225")
    (('H225', 'Highly flammable liquid and vapour'),)
    """
    found = [c.upper() for c in re.split(r"[\s,;]+", re.sub(r"\s*\+\s*", "+", codes.strip())) if c]
    if not found:
        raise Refusal("hazard codes", "there are none", "copy them from the supplier's data sheet")
    rows, out = table("room_statements"), []
    for code in dict.fromkeys(found):
        if not all(_CODE.fullmatch(part) for part in code.split("+")):
            raise Refusal("hazard codes", f"'{code}' is no code", "write e.g. H225, P210")
        if code in rows:
            out.append((code, rows[code].text("text")))
            continue
        parts = code.split("+")
        if not all(part in rows for part in parts):
            raise Refusal("hazard codes", f"the words of {code} are not on file",
                          "write them out as the data sheet has them")  # fmt: skip
        out.append((code, ". ".join(rows[part].text("text") for part in parts)))
    return tuple(out)


def methanol_words(alcohol: Alcohol) -> str:
    """Return what a label says of methanol: that it may hold it, that it does, or nothing.

    An alcohol of unknown composition may contain it. A known one names it from the share of the
    table on, by weight.
    """
    share = alcohol.share("methanol")
    if share is None:
        return MAY_CONTAIN
    return CONTAINS if share >= constant("methanol_named") else ""


@dataclass(frozen=True)
class Label:
    """The words of a label for a jar.

    Parameters
    ----------
    solvents : tuple of (str, float or None)
        Each with its per cent by weight; None where the composition is not known.
    methanol : str
        That it may hold methanol, or does; "" for neither.
    signal : str
        The signal word as it was copied.
    hazards, precautions : tuple of (code, words)
        As they were copied; none without codes.
    missing : str
        What stands there where no codes were copied.
    reminder : str
        What this label is not.
    """

    solvents: tuple[tuple[str, float | None], ...]
    methanol: str
    signal: str
    hazards: tuple[tuple[str, str], ...]
    precautions: tuple[tuple[str, str], ...]
    missing: str
    reminder: str


def label_of(alcohol: Alcohol, *, codes: str = "", signal: str = "") -> Label:
    """Return the words of a label for what holds an alcohol.

    Parameters
    ----------
    alcohol : Alcohol
        Unknown composition is not guessed: it may contain methanol.
    codes : str
        Hazard and precaution codes, copied from the supplier's safety data sheet.
    signal : str
        Its signal word, "Danger" or "Warning"; "" where none was copied.

    Raises
    ------
    Refusal
        For a code that is not on file, or another signal word.
    """
    word = signal.strip().capitalize()
    if word and word not in SIGNALS:
        raise Refusal("signal word", f"'{signal}' is none", f"copy {' or '.join(SIGNALS)}")
    lines = hazard_lines(codes) if codes.strip() else ()
    parts = alcohol.parts or ()
    rows = table("room_cautions")
    return Label(
        tuple((s, 100 * share) for s, share in parts) or ((_not_known(alcohol), None),),
        methanol_words(alcohol), word,
        tuple(x for x in lines if not x[0].startswith("P")),
        tuple(x for x in lines if x[0].startswith("P")),
        "" if lines else rows["label-codes"].text("text"), rows["label-reminder"].text("text"),
    )  # fmt: skip


def _not_known(alcohol: Alcohol) -> str:
    name = "" if alcohol.lot in ("", UNKNOWN) else f" ({alcohol.lot})"
    return f"alcohol of unknown composition{name}"
