"""Write the outputs in the pages anew, and the generated reference pages.

    .venv/bin/python docs/refresh.py

Look at what it changed (git diff) before keeping it: a changed output is a changed behaviour.
"""

from __future__ import annotations

import sys
import tempfile
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent))

import console
import make_reference

from lacwright.files import reference


def main() -> int:
    """Refresh everything; return 1 if a command does not end as its page says."""
    make_reference.write()
    wrong = 0
    for page in console.pages():
        wrong += refresh(page)
    reference.main([str(make_reference.FOLDER / "piece-file.md")])
    return 1 if wrong else 0


def refresh(page: Path) -> int:
    """Write the outputs of one page anew; return how many commands ended otherwise."""
    wrong = 0
    rows = page.read_text(encoding="utf-8").splitlines()
    with tempfile.TemporaryDirectory() as scratch:
        console.prepare(Path(scratch), page)
        found = list(console.commands(page))
        said = [console.run(command, Path(scratch)) for command in found]
    for command, (code, text) in reversed(list(zip(found, said, strict=True))):
        if code != command.exit:
            sys.stderr.write(f"{command}: exit {code}, not {command.exit}\n{text}\n")
            wrong += 1
            continue
        if not command.shown:
            continue
        first = command.line + command.text.count("\n")  # the row after the command, from 0
        last = first
        while not rows[last].lstrip().startswith(("```", "$ ")):
            last += 1
        indent = rows[command.line - 1][: -len(rows[command.line - 1].lstrip())]
        new = [(indent + row).rstrip() for row in text.splitlines()]
        gap = [""] if rows[last].lstrip().startswith("$ ") else []
        rows[first:last] = [*new, *gap]
    text = "\n".join(rows) + "\n"
    if text != page.read_text(encoding="utf-8"):
        page.write_text(text, encoding="utf-8")
        sys.stderr.write(f"changed: {page.relative_to(console.ROOT)}\n")
    return wrong


if __name__ == "__main__":
    sys.exit(main())
