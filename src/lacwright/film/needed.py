"""How many coats or sessions a wished film takes."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from lacwright.figures import Refusal, central
from lacwright.film.build import run_schedule
from lacwright.film.layers import Ground, Rules, Run
from lacwright.film.steps import Schedule


def coats_needed(
    *, grounds: Sequence[Ground], build: Callable[[int], Schedule], part: str,
    film_left_um: float, rules: Rules, most: int, at_least: int = 1,
) -> int:  # fmt: skip
    """Number of coats or sessions after which the wished film is left on the flats of a part.

    Parameters
    ----------
    grounds : sequence of Ground
        See `run_schedule`.
    build : callable
        The whole course for a number of coats, planned sandings included.
    part : str
        The part whose main zone is read.
    film_left_um : float
        Wished film after all planned sandings [um], above 0.
    rules : Rules
        See `run_schedule`.
    most : int
        Give up beyond this.
    at_least : int
        Where the search begins: a number below which the wish cannot be met.

    Returns
    -------
    int
        The smallest number, decided once on the central case. A planned sanding counts as taken
        off even where it would be refused: more coats are the mend for that.

    Raises
    ------
    Refusal
        If `most` coats do not reach it, or the film would pass `rules.stop_um` on the way.
    """
    if not film_left_um > 0:
        raise Refusal("film left", "it must be above zero", "write e.g. 60 um")
    if film_left_um > rules.stop_um:
        raise Refusal(
            "film left", f"{film_left_um:g} um is thicker than the {rules.stop_um:g} um at which "
            "shellac stops hardening well", f"wish for at most {rules.stop_um:g} um",
        )  # fmt: skip
    left = 0.0
    for n in range(max(1, min(at_least, most)), most + 1):
        left = _left_after_all(
            run_schedule(grounds=grounds, schedule=build(n), rules=rules, central_only=True), part
        )
        if left >= film_left_um:
            return n
    told = (
        f"{most} coats leave {left:.0f} um" if left > 0
        else f"the planned sandings take more than {most} coats lay"
    )  # fmt: skip
    raise Refusal(
        f"film left on {part}", f"{told}, {film_left_um:g} um are wished",
        "take a stronger cut or a fuller coat, sand less, or wish for less",
    )  # fmt: skip


def _left_after_all(run: Run, part: str) -> float:
    layer = run.main(part)
    skipped = [s.removed_um for s in run.steps if s.refused and s.zone is layer.zone]
    return central(layer.film_um) - sum(central(x) for x in skipped)
