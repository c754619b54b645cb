"""The search for a wished colour, side by side with what one would otherwise run.

    .venv/bin/python benchmarks/colour_search.py [--small]

Four grades at 5 % and 1 to 12 coats are 21,252 cases. The other is a plain loop: the film of each
case by itself, and colour-science's delta_E_CIE2000 (a general colour library, of the tests). It
runs over a sample of the cases in the same run; both must come to the same distances. No test
asserts a time.
"""

from __future__ import annotations

import argparse
import os
import time
import warnings

import numpy as np
from timing import median

from lacwright.colour import find_bare, find_grade_colour, lab_under
from lacwright.colour.choose import blends_of, choose
from lacwright.colour.wish import wish_of_lab

GRADES = ("blonde", "amber", "garnet", "ruby")
COATS, LOAD, WISH = 12, 3.5, (50.0, 20.0, 35.0)


def main() -> None:
    """Run all and print a line each."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--small", action="store_true", help="few repeats, so that it does not rot")
    small = parser.parse_args().small
    os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
    bare = find_bare("cherry")
    grades = [find_grade_colour(name) for name in GRADES]
    wish = wish_of_lab(WISH, bare.viewing)

    def whole() -> object:
        return choose(bare=bare, grades=grades, wish=wish, coat_g_m2=LOAD, coats_most=COATS)

    found = choose(bare=bare, grades=grades, wish=wish, coat_g_m2=LOAD, coats_most=COATS)
    mine = median(whole, 3 if small else 15)
    print(f"recipes of {found.cases} cases, with sensitivities  {mine * 1000:7.0f} ms   "
          "goal below 1 s")  # fmt: skip
    loads = np.array([LOAD * coats * blend for coats in range(1, COATS + 1)
                      for blend in blends_of(len(grades), 20)])  # fmt: skip
    some = np.random.default_rng(1).choice(len(loads), 100 if small else 1500, replace=False)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # it warns where parts that are not used are missing
        from colour.difference import delta_E_CIE2000

    def one(load: np.ndarray) -> float:
        lab = lab_under(bare=bare, grades=grades, loads_g_m2=load)
        return float(delta_E_CIE2000(lab, np.array(WISH)))

    one(loads[0])
    begin = time.perf_counter()
    slow = np.array([one(load) for load in loads[some]])
    each = (time.perf_counter() - begin) / len(some)
    fast = wish.distance(lab_under(bare=bare, grades=grades, loads_g_m2=loads[some]))
    off = float(np.abs(fast - slow).max())
    if off > 1e-9:
        raise SystemExit(f"the two differ by {off:.1e} dE00")
    loop = each * found.cases
    print(f"one by one, with colour-science         {loop * 1000:7.0f} ms   "
          f"{loop / mine:.0f} times as long ({len(some)} of them timed)")  # fmt: skip


if __name__ == "__main__":
    main()
