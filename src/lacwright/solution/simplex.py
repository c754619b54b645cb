"""A small linear programme: the best amounts from a shelf, with wishes in order of rank."""

from __future__ import annotations

from collections.abc import Sequence

EPS = 1e-9
TURNS = 50  # for every amount and limit


def best_amounts(
    *, wishes: Sequence[Sequence[float]], uses: Sequence[Sequence[float]], limits: Sequence[float]
) -> list[float]:
    """Return amounts x >= 0 with `uses` x <= `limits`, best by the wishes in their order.

    Parameters
    ----------
    wishes : sequence of rows
        Each row gives one number per amount; the first row is made as large as can be, the
        second among the solutions that remain, and so on.
    uses : sequence of rows
        What a unit of each amount takes of every limit.
    limits : sequence of float
        Not below zero.

    Returns
    -------
    list of float
        The amounts.

    Notes
    -----
    The simplex method with Bland's rule, which cannot run in circles (Bland, New finite pivoting
    rules for the simplex method, Math. Oper. Res. 2 (1977) 103; from memory). A cost is a
    column of numbers compared from the top, so no weights have to be guessed. Amounts are few:
    lots and jars of one shelf. Every amount and every wish is scaled to a largest number of 1, so
    that EPS means the same for a drop and a barrel; should rounding turn it in circles all the
    same, it stops after far more turns than such a shelf needs, at amounts that keep the limits.
    """
    n, m = len(wishes[0]), len(limits)
    if min(limits, default=0.0) < 0:
        raise ValueError("a limit below zero has no solution to start from")
    sizes = [max((abs(row[j]) for row in uses), default=0.0) or 1.0 for j in range(n)]
    uses = [[x / size for x, size in zip(row, sizes, strict=True)] for row in uses]
    wishes = [_to_one([x / size for x, size in zip(row, sizes, strict=True)]) for row in wishes]
    tableau = [
        [*map(float, row), *(1.0 if i == k else 0.0 for i in range(m)), float(limit)]
        for k, (row, limit) in enumerate(zip(uses, limits, strict=True))
    ]
    gains = [[*map(float, row), *([0.0] * (m + 1))] for row in wishes]
    basis = [n + k for k in range(m)]
    for _ in range(TURNS * (n + m)):
        column = _entering(gains, n + m)
        if column is None:
            break
        pivot = _leaving(tableau, basis, column)
        if pivot is None:
            raise ValueError("an amount has no limit")
        _turn(tableau, gains, pivot, column)
        basis[pivot] = column
    amounts = [0.0] * (n + m)
    for k, j in enumerate(basis):
        amounts[j] = max(tableau[k][-1], 0.0)
    return [amount / size for amount, size in zip(amounts[:n], sizes, strict=True)]


def _to_one(row: list[float]) -> list[float]:
    most = max(map(abs, row), default=0.0)
    return [x / most for x in row] if most > 0 else row


def _entering(gains: list[list[float]], width: int) -> int | None:
    """Return the first column that improves the highest wish it touches."""
    for j in range(width):
        first = next((row[j] for row in gains if abs(row[j]) > EPS), 0.0)
        if first > EPS:
            return j
    return None


def _leaving(tableau: list[list[float]], basis: list[int], column: int) -> int | None:
    ratios = [
        (row[-1] / row[column], basis[k], k) for k, row in enumerate(tableau) if row[column] > EPS
    ]
    if not ratios:
        return None
    smallest = min(ratio for ratio, _, _ in ratios)
    return min((b, k) for ratio, b, k in ratios if ratio <= smallest + EPS * (1 + smallest))[1]


def _turn(tableau: list[list[float]], gains: list[list[float]], pivot: int, column: int) -> None:
    row = [x / tableau[pivot][column] for x in tableau[pivot]]
    tableau[pivot] = row
    for other in (*(r for k, r in enumerate(tableau) if k != pivot), *gains):
        factor = other[column]
        if factor:
            for j, x in enumerate(row):
                other[j] -= factor * x
