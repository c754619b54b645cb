"""Speed, side by side with what one would otherwise run, as ratios in one run.

    .venv/bin/python benchmarks/run.py [--small]

No test asserts a time; the ratios are printed with the goal beside them.
"""

from __future__ import annotations

import argparse
import datetime as dt
import os
import subprocess
import sys
from pathlib import Path

from timing import median

ROOT = Path(__file__).resolve().parent.parent
LACWRIGHT = Path(sys.executable).with_name("lacwright")


def main() -> None:
    """Run all and print a line each."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--small", action="store_true", help="few repeats, so that it does not rot")
    small = parser.parse_args().small
    repeats = 3 if small else 15
    os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
    start_up(repeats)
    plan_draws(repeats)
    sys.stdout.flush()
    for name in ("drying.py", "colour_fit.py", "colour_search.py", "photo.py", "record.py",
                 "pages.py"):  # fmt: skip
        other = Path(__file__).with_name(name)
        subprocess.run([sys.executable, str(other), *(["--small"] if small else [])], check=True)
        sys.stdout.flush()


def start_up(repeats: int) -> None:
    """The mix command, start to finish, against a bare import of numpy."""
    bare = median(lambda: call(sys.executable, "-c", "import numpy"), repeats)
    print(f"python -c 'import numpy'                 {bare * 1000:7.0f} ms   1.0")
    for goal, *args in (
        ("goal below 3", "mix", "make", "--cut", "2", "--solution", "600 ml"),
        ("goal below 3", "mix", "thin", "--have", "350 ml", "--cut", "3", "--to", "1.5", "--json"),
        ("goal below 1 s", "tonight", "--cut", "1.5", "--make", "200 ml", "--grade", "garnet",
         "--box", "300x200x120 mm", "--coats", "2"),
        ("", "plan", str(ROOT / "examples" / "table.toml"), "--now", "2027-02-01"),
    ):  # fmt: skip
        took = median(lambda args=args: call(LACWRIGHT, *args), repeats)
        name = "lacwright " + " ".join(args[:2]).replace(str(ROOT) + os.sep, "")
        print(f"{name:<40} {took * 1000:7.0f} ms   {took / bare:.1f}   {goal}")


def plan_draws(repeats: int) -> None:
    """A plan with 2,000 draws, warm, against planning once for every draw."""
    from lacwright.files.piece import read_piece
    from lacwright.plan import make_plan

    piece = read_piece(ROOT / "examples" / "table.toml")
    today = dt.date(2027, 2, 1)
    make_plan(piece, today=today, n=10)
    once = median(lambda: make_plan(piece, today=today, n=0), repeats)
    whole = median(lambda: make_plan(piece, today=today, n=2000), repeats)
    print(f"plan, central case alone                 {once * 1000:7.0f} ms")
    print(f"plan, 2,000 draws at once                {whole * 1000:7.0f} ms         goal below 1 s")
    print(f"2,000 plans one by one would take        {once * 2000:7.0f} s    "
          f"{once * 2000 / whole:.0f} times as long")  # fmt: skip


def call(*command: object) -> None:
    """Run a command; an exit code other than 0 ends the benchmark."""
    subprocess.run([str(c) for c in command], check=True, stdout=subprocess.DEVNULL)


if __name__ == "__main__":
    main()
