"""The generated reference is up to date, and says every command and option."""

from types import ModuleType

import click
import pytest

from lacwright.cli.main import COMMANDS

PAGES = ("commands.md", "figures.md")


@pytest.mark.parametrize("name", PAGES)
def test_it_is_up_to_date(make_reference: ModuleType, name: str) -> None:
    stands = (make_reference.FOLDER / name).read_text(encoding="utf-8")
    assert stands == make_reference.pages()[name], "run docs/refresh.py"


def sections(text: str) -> dict[str, str]:
    """Return the parts of a page by heading."""
    parts = text.split("\n## ")[1:]
    return {head: rest for head, _, rest in (p.partition("\n") for p in parts)}


def test_every_command_has_a_heading_and_every_option_a_row(make_reference: ModuleType) -> None:
    page = sections((make_reference.FOLDER / "commands.md").read_text(encoding="utf-8"))
    of_every = page["Options of every command"]
    missing = []
    for name, command in make_reference.walk():
        text = page.get(f"lacwright {name}")
        if text is None:
            missing.append(name)
            continue
        text += of_every
        shared = make_reference.shared_by(command)
        if shared is not None:
            text += page[shared.heading]
        for option in command.params:
            if not isinstance(option, click.Option):
                continue
            words = [*option.opts, *option.secondary_opts]
            missing += [f"{name} {w}" for w in words if f"`{w}" not in text and f" {w}" not in text]
    assert missing == []


def test_only_commands_that_exist_are_left_for_later(make_reference: ModuleType) -> None:
    # Each stands there with its reason; the list is empty when nothing is half finished.
    assert set(make_reference.LATER) <= set(COMMANDS)
    assert all(make_reference.LATER.values())
    assert not set(make_reference.LATER) & {name for name, _ in make_reference.walk()}


def test_every_command_and_option_says_what_it_does(make_reference: ModuleType) -> None:
    silent = []
    for name, command in make_reference.walk():
        silent += [name] if not command.help else []
        silent += [
            f"{name} {p.opts[0]}"
            for p in command.params
            if isinstance(p, click.Option) and not p.help
        ]
    assert silent == []


def test_a_row_shows_its_value_range_unit_and_source(make_reference: ModuleType) -> None:
    text = sections(make_reference.figures())["solution"]
    row = next(line for line in text.splitlines() if line.startswith("| `resin_density` |"))
    assert "**1.14 (1.035 to 1.21) g/ml**" in row
    assert "| published |" in row
    assert "Handbook of Pharmaceutical Excipients" in row
