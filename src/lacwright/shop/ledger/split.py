"""Parting a whole number of micrograms over lots: exact, never more than there is."""

from __future__ import annotations

from collections.abc import Mapping


def split(total: int, holdings: Mapping[str, int]) -> dict[str, int]:
    """Part `total` over lots in proportion to what is held of each.

    Parameters
    ----------
    total : int
        Micrograms to part, not below 0.
    holdings : mapping of lot to int
        Micrograms held, none below 0, not all 0 unless `total` is 0.

    Returns
    -------
    dict of lot to int
        floor(total b / B) each; the micrograms left over go one each to the largest remainders,
        ties by name of the lot. Sums to `total`; with total <= B no lot gives more than it has.

    Raises
    ------
    ValueError
        For a total that cannot be parted.

    Examples
    --------
    >>> split(10, {"a": 1, "b": 1, "c": 1})
    {'a': 4, 'b': 3, 'c': 3}
    """
    whole = sum(holdings.values())
    if total < 0 or (total and whole <= 0):
        raise ValueError(f"{total} cannot be parted over {dict(holdings)}")
    if total == 0:
        return {}
    if total == whole:
        return {lot: held for lot, held in holdings.items() if held}
    if len(holdings) == 1:
        return dict.fromkeys(holdings, total)
    out: dict[str, int] = {}
    remainders = []
    given = 0
    for lot, held in holdings.items():
        share, remainder = divmod(total * held, whole)
        out[lot] = share
        given += share
        if remainder:
            remainders.append((-remainder, lot))
    remainders.sort()
    for _, lot in remainders[: total - given]:
        out[lot] += 1
    return {lot: ug for lot, ug in out.items() if ug}
