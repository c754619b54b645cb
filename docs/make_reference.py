"""Make the reference pages that are generated: the commands, and the figures of all tables.

    .venv/bin/python docs/make_reference.py

writes docs/reference/commands.md and docs/reference/figures.md; a test compares what stands there.
"""

from __future__ import annotations

import inspect
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

import click

from lacwright.cli import main
from lacwright.cli.lazy import LazyGroup
from lacwright.cli.mix_common import _OPTIONS as BENCH_OPTIONS
from lacwright.cli.record_common import reads, writes
from lacwright.figures import Mark
from lacwright.trade import Row, Table, table
from lacwright.trade.table import names

FOLDER = Path(__file__).resolve().parent / "reference"
NOTE = "<!-- Made by docs/make_reference.py; do not edit by hand. -->"
LONGEST_LINE = 100

# Commands that are there and not yet described, each with the reason.
LATER: dict[str, str] = {}

# What a table is about, in a sentence. A table without one is an error: see `figures`.
ABOUT = {
    "abrasives": "Papers, powders and stones: system and number together, median grain in um.",
    "absorption": "What bare wood takes up before it is sealed, in ml/m2 of a 2-lb cut.",
    "advice": "What to do with what carries a mix that failed its test.",
    "ageing": "When a test is due, and how much faster a warm shelf ages.",
    "alcohols": "Alcohols by name: their composition, or that it is not known.",
    "cautions": "Words of caution and stops of a plan, and what calls for each.",
    "cie_illuminants": "Relative power of the lights under which a colour is read.",
    "cie_observers": "Colour matching functions of the standard observers.",
    "climate": "Constants of vapour pressure and wood moisture.",
    "colour_accuracy": "What may be claimed of a predicted colour, by what it rests on.",
    "colour_calibration": "What the fit of colour panels assumes.",
    "colour_card": "Chips of a reference card.",
    "colour_cautions": "Words that go with a predicted colour.",
    "colour_choice": "Recipes for a wished look, and coats still to go: what counts as met.",
    "colour_constants": "Constants of colour under a film.",
    "colour_gardner": "Colour standards of Gardner, and the absorbance that matches each.",
    "colour_grades": "Colour that the name of a grade stands for.",
    "colour_panels": "How panels are made whose colour is to be read.",
    "colour_photo": "Photographs of boards and cards: where one is refused.",
    "colour_wishes": "Words for a wished colour, each a region about the sealed wood.",
    "colour_woods": "Colour of bare wood.",
    "colour_words": "Words for a colour by lightness, hue and chroma.",
    "compat": "What may lie under shellac and what may come over it.",
    "dilution_chart": "A much reprinted chart of thinning, with what is wrong in it.",
    "dissolving": "Hours until flakes are dissolved.",
    "drying": "Constants of the drying coat.",
    "drying_activity": "Activity of solvents in each other (NRTL).",
    "drying_bands": "Bands of an hour table by calibration.",
    "drying_boards": "What a coat lies on: heat.",
    "drying_changes": "Steps and ends of the changes that an hour table tries.",
    "drying_in_resin": "Solvents in the resin.",
    "drying_solvents": "Solvents of a drying coat.",
    "ethanol_water": "Coefficients of the density of ethanol and water.",
    "film": "How a film lies, what must be left of it, how thick it may get.",
    "grades": "Grades of lac: colour, wax and bleaching are three separate things.",
    "hand_keys": "Names of own figures without a default of their own here.",
    "instrument_extras": "Openings and necks of instruments.",
    "instrument_outlines": "Outlines of instruments.",
    "instruments": "Bodies of instruments in mm.",
    "methods": "How shellac is laid: load or wet film, share that lands, usual cut.",
    "practice": "Waits, rests, losses, reserves: the maker's practice.",
    "proving": "Conditions under which a test of a mix or a film says something.",
    "removal": "What sanding and rubbing take off.",
    "room_air_changes": "Air changes that may be credited where nobody measured.",
    "room_cautions": "Words of caution and stops of the air of a room.",
    "room_constants": "Constants of the air of a room.",
    "room_flammability": "Lower explosive limits, flash points, autoignition.",
    "room_jurisdictions": "Who sets limits of vapour in air.",
    "room_limits": "Limits of vapour in air, dated, by substance and by who sets them.",
    "room_statements": "Standard words of hazard and precaution codes, for labels.",
    "room_unknown": "As what counts what is not known of an alcohol.",
    "sheen": "Gloss classes, gloss after the last step, constants of the mirror limit.",
    "solution": "Constants of lac solutions.",
    "solution_cautions": "Words of caution that travel with a mix.",
    "steps": "Kinds of step in a course.",
    "substances": "Solvents: density at 20 C, expansion.",
    "uses": "What a piece must bear, and whether shellac bears it.",
    "woods": "Woods: pores, and how they drink.",
}


def write() -> None:
    """Write both pages."""
    for name, text in pages().items():
        (FOLDER / name).write_text(text, encoding="utf-8")


def pages() -> dict[str, str]:
    """Return the generated pages by file name."""
    return {"commands.md": commands(), "figures.md": figures()}


# --- commands -----------------------------------------------------------------------------------


def walk() -> Iterator[tuple[str, click.Command]]:
    """Return every command with its words after "lacwright", groups before their members."""
    context = click.Context(main.root, info_name="lacwright")
    for name in main.root.list_commands(context):
        if name in LATER:
            continue
        command = main.root.get_command(context, name)
        assert command is not None
        yield name, command
        if isinstance(command, click.Group):
            inner = click.Context(command, info_name=name, parent=context)
            for member in command.list_commands(inner):
                found = command.get_command(inner, member)
                assert found is not None
                yield f"{name} {member}", found


def line_of(name: str, command: click.Command) -> str:
    """Return what a command does in a line, as the list of its group has it."""
    words, group = name.split(), main.root
    for word in words[:-1]:
        inner = group.get_command(click.Context(group), word)
        assert isinstance(inner, click.Group)
        group = inner
    if isinstance(group, LazyGroup):
        return group.lazy[words[-1]][1]
    return command.get_short_help_str(LONGEST_LINE)


def commands() -> str:
    """Return the page of all commands."""
    out = [
        "# Commands",
        NOTE,
        "Exit codes: 0 done; 2 input refused, with one line that says what, where and how to mend;"
        " 1 a fault of the program.",
        "Quantities are typed with their unit, as people write them; see"
        " [nomenclature](../nomenclature.md#quantities).",
        "The keys of the JSON objects are described in [json.md](json.md).",
        "## All commands",
        _list(
            f"[`lacwright {name}`](#lacwright-{_anchor(name)}): {line_of(name, command)}"
            for name, command in walk()
        ),
        "## Options of every command",
        _rows(
            ("option", "what it does"),
            [
                ("`-h`, `--help`", "Shows the options and stops."),
                ("`--json`", "One JSON object in place of text; a group has none itself."),
                ("`--version`", "Of `lacwright` alone: shows the version and stops."),
            ],
        ),
        *_shared_sections(),
    ]
    for name, command in walk():
        out += _command(name, command)
    return "\n\n".join(out) + "\n"


@dataclass(frozen=True)
class Shared:
    """Options that many commands have, told once."""

    heading: str
    words: str
    options: tuple[click.Option, ...]

    @property
    def anchor(self) -> str:
        """Where they are told, as the anchors of their rows begin."""
        return _anchor(self.heading)

    def in_(self, command: click.Command) -> bool:
        """Return whether a command takes them all, with the same meaning."""
        here = {(p.opts[0], p.help) for p in command.params if isinstance(p, click.Option)}
        return {(o.opts[0], o.help) for o in self.options} <= here


def shared() -> tuple[Shared, ...]:
    """Return the options that are told once, those of the record that contain others first."""
    return (
        Shared(
            "Options of every mix command",
            "They describe the bench: the flakes, the alcohol, the scale.",
            _options_of(*BENCH_OPTIONS),
        ),
        Shared(
            "Options of every command that writes down",
            "They say when it was done, who says so and why; then those of reading.",
            _options_of(writes),
        ),
        Shared(
            "Options of every command that reads the record",
            "Which record, and when.",
            _options_of(reads),
        ),
    )


def _options_of(*options: Callable[[click.Command], click.Command]) -> tuple[click.Option, ...]:
    @click.command()
    def bare() -> None:
        """Carry the options."""

    for option in options:
        bare = option(bare)
    return tuple(p for p in bare.params if isinstance(p, click.Option) and "--json" not in p.opts)


def _shared_sections() -> Iterator[str]:
    for one in shared():
        yield f"## {one.heading}"
        yield one.words
        yield _options(one.anchor, one.options)


def shared_by(command: click.Command) -> Shared | None:
    """Return the options of a command that are told elsewhere."""
    return next((one for one in shared() if one.in_(command)), None)


def own_options(command: click.Command) -> list[click.Option]:
    """Return the options of a command that are told nowhere else."""
    told = {"--json", "--help"}
    if (elsewhere := shared_by(command)) is not None:
        told |= {option.opts[0] for option in elsewhere.options}
    found = [p for p in command.params if isinstance(p, click.Option)]
    return [p for p in found if p.opts[0] not in told]


def _command(name: str, command: click.Command) -> list[str]:
    text = inspect.cleandoc(command.help or "").replace("\b\n", "")
    words, example = _example(text)
    out = [f"## lacwright {name}", _paragraphs(words)]
    arguments = [p for p in command.params if isinstance(p, click.Argument)]
    usage = ["lacwright", name, *(a.make_metavar(click.Context(command)) for a in arguments)]
    if isinstance(command, click.Group):
        usage.append("COMMAND")
    out.append(f"```sh\n{' '.join([*usage, '[OPTIONS]'])}\n```")
    if example:
        out.append(f"Example: `{example}`")
    own = own_options(command)
    if own:
        out.append(_options(name, own))
    elsewhere = shared_by(command)
    if elsewhere is not None:
        link = f"[{elsewhere.heading[0].lower()}{elsewhere.heading[1:]}](#{elsewhere.anchor})"
        out.append(f"Also the {link} and `--json`.")
    elif any("--json" in p.opts for p in command.params):
        out.append("Also `--json`.")
    return out


def _example(text: str) -> tuple[str, str]:
    """Part the help of a command into its words and its example."""
    words, _, example = text.partition("Example: ")
    if not example and "\nlacwright " in text:
        words, _, example = text.partition("\nlacwright ")
        example = f"lacwright {example}"
    return words, " ".join(example.split())


def _options(name: str, options: Sequence[click.Option]) -> str:
    rows = []
    for option in options:
        anchor = f'<a id="{_anchor(name)}{option.opts[0]}"></a>'
        context = click.Context(click.Command(name))
        metavar = "" if option.is_flag else f" {_metavar(option, context)}"
        needed = " Must be given." if option.required else ""
        said = any(word in (option.help or "") for word in ("again for more", "once for each"))
        again = " May be given several times." if option.multiple and not said else ""
        default = ""
        if option.show_default and not option.is_flag and option.default is not None:
            default = f" Default {option.default}."
        rows.append(
            (
                f"{anchor}`{', '.join([*option.opts, *option.secondary_opts])}{metavar}`",
                f"{option.help or ''}{needed}{again}{default}",
            )
        )
    return _rows(("option", "what it does"), rows)


def _metavar(option: click.Option, context: click.Context) -> str:
    plain = {"[%Y-%m-%d]": "YYYY-MM-DD", "FLOAT RANGE": "NUMBER", "FLOAT": "NUMBER"}
    plain |= {"INTEGER RANGE": "WHOLE NUMBER", "INTEGER": "WHOLE NUMBER"}
    metavar = option.make_metavar(context)
    return plain.get(metavar, metavar)


# --- figures ------------------------------------------------------------------------------------


def figures() -> str:
    """Return the page of all tables with marks and sources."""
    tables = [table(name) for name in names()]
    unknown = [t.name for t in tables if t.name not in ABOUT]
    if unknown:
        raise SystemExit(f"docs/make_reference.py: say in ABOUT what {', '.join(unknown)} holds")
    counts = Counter(row.mark for t in tables for row in t)
    total = sum(counts.values())
    out = [
        "# Figures and where they come from",
        NOTE,
        "Every number of the program that is no arithmetic and no exact factor stands in one of"
        " these tables, with its mark and its source.",
        "The maker's own figures go before all of them; how to write those down is in"
        " [the piece file](piece-file.md#hand).",
        "What the marks mean is in [nomenclature](../nomenclature.md#marks); what is missing"
        " altogether, in [about](../about.md).",
        "A range in brackets is 5 to 95 %.",
        f"All {total} rows by mark:",
        _rows(("mark", "rows"), [(str(m), str(counts[m])) for m in Mark if counts[m]]),
        "## Tables",
        _list(f"[{t.name}](#{_anchor(t.name)}): {ABOUT[t.name]}" for t in tables),
    ]
    for one in tables:
        out += [f"## {one.name}", ABOUT[one.name], _table(one)]
    return "\n\n".join(out) + "\n"


def _table(one: Table) -> str:
    rows = [(f"`{row.key}`", _cells(row), str(row.mark), row.source) for row in one]
    return _rows(("key", "what it says", "mark", "source"), rows)


def _cells(row: Row) -> str:
    """Return a row in words: its number with unit and range, then every other filled cell."""
    shown = []
    fields = {k: v.strip() for k, v in row.fields.items() if k not in ("key", "mark", "source")}
    ranged = {f"{k}_{end}" for k in fields for end in ("low", "high")} & fields.keys()
    unit = fields.pop("unit", "")
    unit = "" if unit == "1" else f" {unit}"
    if "value" in fields:
        low, high = fields.pop("low", ""), fields.pop("high", "")
        value = fields.pop("value")
        band = f" ({low} to {high})" if low and high else ""
        if value or band:
            shown.append(f"**{f'{value}{band}'.strip()}{unit}**")
    for name, cell in fields.items():
        if not cell or name in ranged:
            continue
        low, high = fields.get(f"{name}_low", ""), fields.get(f"{name}_high", "")
        band = f" ({low} to {high})" if low and high else ""
        if name in ("words", "text", "note"):
            shown.append(cell + band)
        else:
            shown.append(f"{name.replace('_', ' ')} {', '.join(cell.split(';'))}{band}")
    return "; ".join(shown)


# --- Markdown -----------------------------------------------------------------------------------


def _rows(head: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    lines = [head, ["---"] * len(head), *rows]
    return "\n".join("| " + " | ".join(_cell(c) for c in row) + " |" for row in lines)


def _cell(text: str) -> str:
    return text.replace("|", "\\|").replace("<method>", "&lt;method>")


def _list(items: Iterator[str]) -> str:
    return "\n".join(f"- {item}" for item in items)


def _paragraphs(text: str) -> str:
    return "\n\n".join(" ".join(p.split()) for p in text.strip().split("\n\n"))


def _anchor(heading: str) -> str:
    return heading.lower().replace(" ", "-")


if __name__ == "__main__":
    write()
