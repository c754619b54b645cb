"""What a request wrote down: every observation of it, by its token."""

from __future__ import annotations

from collections.abc import Sequence

from lacwright.shop.models import Event, Movement

_AT_ONCE = 200


def written_by(tokens: Sequence[str]) -> list[int]:
    """Return the movements that requests wrote down, the last first.

    Parameters
    ----------
    tokens : sequence of str
        Of the requests, in the order in which they were sent; one that wrote nothing is passed
        over.
    """
    found: list[int] = []
    for token in tokens:
        mine: list[int] = []
        first = 1
        while True:
            named = [token if n == 1 else f"{token}.{n}" for n in range(first, first + _AT_ONCE)]
            some = Movement.objects.filter(token__in=named).values_list("id", flat=True)
            mine += sorted(some)
            if len(mine) < first + _AT_ONCE - 1:
                break
            first += _AT_ONCE
        found += mine
    return found[::-1]


def wrote_more(token: str) -> bool:
    """Return whether a request wrote down more than one observation."""
    return Movement.objects.filter(token=f"{token}.2").exists()


def counting(numbers: Sequence[int]) -> list[int]:
    """Return those that count, of observations by the numbers of their first versions."""
    rows = Event.objects.filter(root__in=numbers, void=False)
    live = set(rows.values_list("root_id", flat=True))
    return [number for number in numbers if number in live]
