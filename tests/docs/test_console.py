"""Every command in the pages runs, and prints what the page shows."""

from pathlib import Path
from types import ModuleType

import pytest

MEND = "run docs/refresh.py and look at what it changed"


def test_commands_end_and_print_as_the_page_says(
    console: ModuleType, page_with_commands: Path, tmp_path: Path
) -> None:
    console.prepare(tmp_path, page_with_commands)
    wrong = []
    for command in console.commands(page_with_commands):
        code, said = console.run(command, tmp_path)
        if code != command.exit:
            wrong.append(f"{command}: exit {code}, not {command.exit}: {said[:300]}")
        elif command.shown and command.shown != said:
            wrong.append(f"{command}: shows\n{command.shown}\nbut prints\n{said}")
    assert not wrong, "\n\n".join([*wrong, MEND])


def test_the_readme_shows_the_answers(console: ModuleType) -> None:
    shown: dict[str, str] = {}
    for command in console.commands(console.ROOT / "README.md"):
        word = command.text.split()[1]
        shown[word] = shown.get(word, "") + command.shown
    assert {word for word, text in shown.items() if text} >= {"tonight", "mix", "plan", "job"}


def test_every_command_is_shown_somewhere(console: ModuleType, make_reference: ModuleType) -> None:
    typed = [c.text for page in console.pages() for c in console.commands(page)]
    leaves = [name for name, command in make_reference.walk() if not hasattr(command, "commands")]
    assert [n for n in leaves if not any(t.startswith(f"lacwright {n}") for t in typed)] == []


def test_commands_name_their_day(console: ModuleType, make_reference: ModuleType) -> None:
    # Without a date, what they print changes from one day to the next.
    dated = tuple(
        f"lacwright {name}"
        for name, command in make_reference.walk()
        if any("--now" in p.opts for p in command.params)
    )
    assert {"lacwright plan", "lacwright jar due"} <= set(dated)
    loose = [
        str(c)
        for page in console.pages()
        for c in console.commands(page)
        if c.text.startswith((*dated, "lacwright own-figures")) and "--now" not in c.text
    ]
    assert loose == []


PAGE = """\
<!-- file: own.toml -->
```toml
[hand]
```

<!-- keep: first 1; grep two -->
<!-- exit: 2 -->
```console
$ lacwright plan \\
    own.toml
one
[...]
```

1. In a list:

   ```console
   $ lacwright climate
   $ lacwright names woods
   three
   ```
"""


def test_a_page_is_read_with_its_files_comments_and_lists(
    console: ModuleType, tmp_path: Path
) -> None:
    page = tmp_path / "page.md"
    page.write_text(PAGE)
    assert console.written_files(page) == {"own.toml": "[hand]\n"}
    first, second, third = console.commands(page)
    assert first.text.split() == ["lacwright", "plan", "\\", "own.toml"]
    assert (first.shown, first.keep, first.exit) == ("one\n[...]", "first 1; grep two", 2)
    assert (second.text, second.shown) == ("lacwright climate", "")
    assert (third.text, third.shown, third.exit) == ("lacwright names woods", "three", 0)


TEXT = "do this\n\nMix\n  a\n  b\n  c\n\nDays\n  d\nSTOP: e"


@pytest.mark.parametrize(
    ("keep", "left"),
    [
        ("", TEXT),
        ("first 1", "do this\n[...]"),
        ("last 1", "[...]\nSTOP: e"),
        ("section Mix", "[...]\nMix\n  a\n  b\n  c\n[...]"),
        ("section Mix 1; grep STOP", "[...]\nMix\n  a\n[...]\nSTOP: e"),
    ],
)
def test_what_is_left_out_is_marked(console: ModuleType, keep: str, left: str) -> None:
    assert console.shortened(TEXT, keep) == left


@pytest.mark.parametrize("keep", ["section Coats", "grep nothing", "all"])
def test_what_is_not_there_cannot_be_kept(console: ModuleType, keep: str) -> None:
    with pytest.raises(ValueError, match="keep"):
        console.shortened(TEXT, keep)
