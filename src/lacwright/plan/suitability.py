"""Is shellac right at all? A verdict from the use, what lies underneath and what comes over it.

The words lie in the tables of uses and of compatibility. The verdict is the worst of all that
is asked; it never says that a finish is fit to eat from, to chew on or to rely on.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from lacwright.figures import Mark, Refusal, nearest
from lacwright.plan.piece import Wish
from lacwright.trade.table import Row, Table, table

VERDICTS = ("suited", "conditional", "unsuited")
"""Best first."""

_NOT_SAID = "The use is not said, and without it nobody can judge whether shellac is right"
_SAY_USE = "say what the piece will have to bear: drinks, heat, sweat, cleaners, water, sun, wear"
_BORNE = "The top coat has to bear this, and only its supplier can say whether it does"


@dataclass(frozen=True)
class Ground:
    """One reason for a verdict, with where it comes from."""

    about: str
    verdict: str
    reason: str
    condition: str
    alternative: str
    mark: Mark
    source: str
    reaches: bool = True  # a resistant top coat would not help


@dataclass(frozen=True)
class Suitability:
    """A verdict, its reasons in order of weight, what to heed, and what to do instead.

    Attributes
    ----------
    verdict : str
        "suited", "conditional" or "unsuited".
    reasons : tuple of str
        Only of the grounds that decide, and of those that set a condition.
    alternative : str or None
        Instead of shellac alone, None where there is nothing to propose.
    conditions : tuple of str
        What has to be heeded.
    grounds : tuple of Ground
        Everything that was looked at, with mark and source.
    """

    verdict: str
    reasons: tuple[str, ...]
    alternative: str | None
    conditions: tuple[str, ...]
    grounds: tuple[Ground, ...]


def suitability(wish: Wish, waxed: bool | None = None) -> Suitability:
    """Return whether shellac suits a wish.

    Parameters
    ----------
    wish : Wish
        Its use, under and over are read.
    waxed : bool, optional
        Whether the mix holds wax; None where that is not known.

    Returns
    -------
    Suitability

    Raises
    ------
    Refusal
        For a use or a material that is in no table, with the nearest one.
    """
    grounds: list[Ground] = []
    over = [find(side_table("over"), w, "[wish] over") for w in _said(wish.over)]
    borne = any(row.yes("resistant") for row in over)
    for word in _said(wish.use):
        grounds.append(_of_use(find(table("uses"), word, "[wish] use"), borne))
    if not grounds:
        grounds.append(
            Ground("use", "conditional", _NOT_SAID, _SAY_USE, "", Mark.PRACTICE,
                   "common practice, no source")
        )  # fmt: skip
    grounds += [_of_side(row, waxed) for row in over]
    for word in _said(wish.under):
        grounds.append(_of_side(find(side_table("under"), word, "[wish] under"), waxed))
    return _verdict(tuple(dict.fromkeys(grounds)))


def use_keys(words: Sequence[str]) -> frozenset[str]:
    """Return the keys of the table of uses that a person's words mean ("guitar": instrument).

    Raises
    ------
    Refusal
        For a word that is not in the table.
    """
    return frozenset(find(table("uses"), w, "[wish] use").key for w in _said(words))


def accepted() -> dict[str, tuple[str, ...]]:
    """Return the words that are understood as use, under and over, without their other names."""
    return {
        "use": tuple(table("uses").rows),
        "under": tuple(side_table("under").rows),
        "over": tuple(side_table("over").rows),
    }


def find(of: Table, word: str, where: str) -> Row:
    """Return the row a word means; its other names take part in the search for the nearest."""
    try:
        return of.find(word, where)
    except Refusal:
        known = {n for row in of for n in row.words("also")} | set(of.rows)
        what = f"'{word}' is not in the table of {of.name}"
        raise Refusal(where, what, nearest(word, known)) from None


def side_table(side: str) -> Table:
    """Return one side of the table of compatibility by its short names."""
    rows = {}
    for row in table("compat"):
        if row.text("side") == side:
            short, *others = row.words("called")
            fields = {**row.fields, "also": ";".join(others)}
            rows[short] = replace(row, key=short, fields=fields)
    return Table(f"what may {'come over' if side == 'over' else 'lie under'} shellac", rows)


def _said(words: Sequence[str]) -> list[str]:
    return [w for w in words if w.strip()]


def _of_use(row: Row, borne: bool) -> Ground:
    verdict, alternative = row.text("verdict"), row.text("alternative")
    reason, condition = row.text("reason"), row.text("condition")
    reaches = row.text("barrier") != "top coat"
    if borne and not reaches:
        # The shellac is then a barrier; what it cannot bear it need not.
        verdict, alternative, condition = "conditional", "", _BORNE
    return Ground(row.text("words"), verdict, reason, condition, alternative, row.mark,
                  row.source, reaches)  # fmt: skip


def _of_side(row: Row, waxed: bool | None) -> Ground:
    side = row.text("side")
    state = "waxed" if waxed else "dewaxed"
    reason = row.text("reason")
    differs = any(
        row.text(f"waxed{c}") != row.text(f"dewaxed{c}") for c in ("", "_condition")
    )  # fmt: skip
    if waxed is None and differs:
        state = "waxed"  # the stricter of the two, by a test of the table
        reason += "; whether this mix holds wax is not said"
    verdict = row.text(state)
    alternative = row.text("alternative") if verdict != "suited" else ""
    about = f"{row.text('words')} {'over' if side == 'over' else 'under'} it"
    return Ground(about, verdict, reason, row.text(f"{state}_condition"), alternative, row.mark,
                  row.source)  # fmt: skip


def _verdict(grounds: tuple[Ground, ...]) -> Suitability:
    ranked = sorted(grounds, key=lambda g: -VERDICTS.index(g.verdict))
    worst = ranked[0].verdict
    shown = [g for g in ranked if g.verdict != "suited"] or ranked
    deciding = [g for g in ranked if g.verdict == worst and g.alternative]
    # Where a top coat over shellac does not help, it is no alternative to propose.
    stricter = [g for g in deciding if g.reaches] or deciding
    instead = "; ".join(dict.fromkeys(g.alternative for g in stricter))
    return Suitability(
        worst,
        tuple(f"{g.about}: {g.reason}" for g in shown),
        instead if instead and worst != "suited" else None,
        tuple(dict.fromkeys(g.condition for g in ranked if g.condition)),
        grounds,
    )
