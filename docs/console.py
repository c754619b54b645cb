"""Commands in the pages: find them, run them, shorten what they print.

A block that begins with ```console holds commands ("$ lacwright ...") and what they print. A
comment on the line before may say how much of it is shown, and how the commands end:

    <!-- keep: first 3; section Mix; grep STOP -->   the rest is shown as [...]
    <!-- exit: 2 -->                                 refused; what is shown is the refusal
    <!-- file: box.toml -->                          before any block: written to that file first
"""

from __future__ import annotations

import contextlib
import io
import os
import re
import shlex
import shutil
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from unittest.mock import patch

ROOT = Path(__file__).resolve().parent.parent
LEFT_OUT = "[...]"
_BLOCK = re.compile(
    r"(?P<comments>(?:^[ ]*<!-- (?:keep|exit|file): .*? -->\n)*)"
    r"^(?P<indent>[ ]*)```(?P<kind>\w*)\n(?P<body>.*?)^(?P=indent)```$",
    re.MULTILINE | re.DOTALL,
)
_COMMENT = re.compile(r"<!-- (keep|exit|file): (.*?) -->")


@dataclass(frozen=True)
class Command:
    """One command of a page with the output that stands under it."""

    page: Path
    line: int
    text: str  # as typed, without the prompt
    shown: str  # "" where the page shows none
    keep: str
    exit: int

    def __str__(self) -> str:
        return f"{self.page.relative_to(ROOT)}:{self.line}"


def pages() -> list[Path]:
    """Return every page of the documentation."""
    return [*sorted(ROOT.glob("*.md")), *sorted((ROOT / "docs").rglob("*.md"))]


def commands(page: Path) -> Iterator[Command]:
    """Return the commands of a page in order."""
    text = page.read_text(encoding="utf-8")
    for block in _BLOCK.finditer(text):
        if block["kind"] != "console":
            continue
        said = dict(_COMMENT.findall(block["comments"]))
        line = text.count("\n", 0, block.start("body")) + 1
        typed: list[tuple[int, str]] = []
        outputs: list[list[str]] = []
        for n, row in enumerate(block["body"].splitlines()):
            row = row.removeprefix(block["indent"])
            if row.startswith("$ "):
                typed.append((line + n, row[2:]))
                outputs.append([])
            elif typed and typed[-1][1].endswith("\\"):
                typed[-1] = (typed[-1][0], typed[-1][1] + "\n" + row)
            elif typed:
                outputs[-1].append(row)
        for (at, words), rows in zip(typed, outputs, strict=True):
            shown = "\n".join(rows).strip("\n")
            yield Command(page, at, words, shown, said.get("keep", ""), int(said.get("exit", 0)))


def written_files(page: Path) -> dict[str, str]:
    """Return the files that a page tells the reader to write, by name."""
    found = {}
    for block in _BLOCK.finditer(page.read_text(encoding="utf-8")):
        said = dict(_COMMENT.findall(block["comments"]))
        if "file" in said:
            found[said["file"]] = block["body"]
    return found


def prepare(folder: Path, page: Path) -> None:
    """Make a folder look like the project's to the commands of a page."""
    shutil.copytree(ROOT / "examples", folder / "examples", dirs_exist_ok=True)
    for name, text in written_files(page).items():
        (folder / name).write_text(text, encoding="utf-8")


def run(command: Command, folder: Path) -> tuple[int, str]:
    """Run a command in a folder; return its exit code and what it says."""
    from lacwright.cli.main import run as lacwright

    words = shlex.split(command.text.replace("\\\n", " "))
    if words[0] != "lacwright":
        raise ValueError(f"{command}: '{words[0]}' is not lacwright")
    out, err, before = io.StringIO(), io.StringIO(), Path.cwd()
    # The record of a page is its own: empty where the page begins, kept from block to block.
    here = {"LACWRIGHT_HOME": str(folder / "shop"), "TZ": "UTC"}
    os.chdir(folder)
    try:
        with (
            patch.dict(os.environ, here),
            contextlib.redirect_stdout(out),
            contextlib.redirect_stderr(err),
        ):
            code = lacwright(words[1:])
    finally:
        os.chdir(before)
    said = out.getvalue() if code == 0 else err.getvalue()
    # A reader's record lies elsewhere than this one; what is told of it begins with "shop/".
    said = said.replace(f"{folder}{os.sep}", "")
    plain = "\n".join(row.rstrip() for row in said.splitlines())
    try:
        return code, shortened(plain, command.keep)
    except ValueError as error:  # the page asks for what is no longer printed
        return -1, f"{error}\n{plain}"


def shortened(text: str, keep: str) -> str:
    """Return the lines that `keep` names, each gap as one [...]."""
    rows = text.strip("\n").splitlines()
    if not keep:
        return "\n".join(rows)
    wanted: set[int] = set()
    for item in keep.split(";"):
        word, _, rest = item.strip().partition(" ")
        wanted |= set(_kept(rows, word, rest.strip()))
    out: list[str] = []
    for n, row in enumerate(rows):
        if n in wanted:
            out.append(row)
        elif not out or out[-1] != LEFT_OUT:
            out.append(LEFT_OUT)
    return "\n".join(out)


def _kept(rows: list[str], word: str, rest: str) -> Iterator[int]:
    if word == "first":
        yield from range(min(int(rest), len(rows)))
    elif word == "last":
        yield from range(max(0, len(rows) - int(rest)), len(rows))
    elif word == "grep":
        found = [n for n, row in enumerate(rows) if rest in row]
        if not found:
            raise ValueError(f"keep: no line holds '{rest}'")
        yield from found
    elif word == "section":
        # "section Days 4": the heading and its first lines, up to the next empty line
        name, most = (m[1], int(m[2])) if (m := re.fullmatch(r"(.+) (\d+)", rest)) else (rest, 999)
        if name not in rows:
            raise ValueError(f"keep: there is no section '{name}'")
        start = rows.index(name)
        for n in range(start, min(start + most + 1, len(rows))):
            if not rows[n]:
                break
            yield n
    else:
        raise ValueError(f"keep: '{word}' is not known")
