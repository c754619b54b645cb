"""`lacwright own-figures`: what is usual, what your coats say, what comes of it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from lacwright.cli.job_common import entry_of, tell
from lacwright.cli.record_common import reads, record, writes
from lacwright.cli.show import brief, counted, emit, founded

if TYPE_CHECKING:
    import datetime as dt

    from lacwright.figures import Figure
    from lacwright.shop.queries.own_figures import OwnLine
    from lacwright.shop.queries.own_seen import Told


class _ShowFirst(click.Group):
    """A group whose command `show` need not be said: `own-figures spread.brush` shows it."""

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        """Put "show" before anything that is no command of the group."""
        if not args or (args[0] not in self.commands and args[0] not in ("-h", "--help")):
            args = ["show", *args]
        return super().parse_args(ctx, args)


@click.group(cls=_ShowFirst)
def own_figures() -> None:
    """Your own figures: from your log, or as you set them.

    `lacwright own-figures` lists them, `lacwright own-figures NAME` shows one. Learned are
    spread, lost, left_in, deposit, film and hours of every method (spread.brush) and
    jar.evaporation; from timed panels and whitenings (`lacwright piece test`) drying.air,
    drying.diffusion and drying.water_tolerance; from panels whose colour was read
    colour.amber.level and the like. A plan takes spread, lost, left_in and those of drying, and
    all that you set.
    """


@own_figures.command("show")
@click.argument("name", metavar="NAME", required=False)
@click.option("--working", is_flag=True, help="Every coat that counts, and every one left out.")
@reads
def show_(
    name: str | None, working: bool, home: str | None, now: str | None, as_json: bool
) -> None:  # fmt: skip
    """Show the own figures, or one with what was left out and why."""
    with record(home) as zone:
        from lacwright.shop.clock import iso
        from lacwright.shop.queries.own_figures import as_json as plain
        from lacwright.shop.queries.own_figures import own_figures as found_in_record

        found = found_in_record(only=None if name is None else [name])
        rows = [plain(line, lambda us: iso(us, zone)) for line in found.values()]
        lines = [] if as_json else _lines(found, name, working, zone)
    figures = {key: line.figure for key, line in found.items()}
    emit(schema="lacwright.own-figures.show/1", keys={"own_figures": rows}, figures=figures,
         lines=lines, as_json=as_json)  # fmt: skip


@own_figures.command("foretold")
@click.option("--piece", metavar="NAME", help="Of one piece or panel alone.")
@reads
def foretold_(
    piece: str | None, home: str | None, now: str | None, as_json: bool
) -> None:  # fmt: skip
    """Colours that were foretold before they were read: which came true, which did not."""
    with record(home) as zone:
        from lacwright.shop.clock import iso, plain
        from lacwright.shop.queries.colour_seen import foretold, tally

        found = foretold(piece)
        inside, read = tally(found)
        rows = [one.as_json(lambda us: iso(us, zone)) for one in found]
        lines = ["Nothing was foretold yet: 'piece test NAME --foretell', or read a panel."]
        if found:
            waiting = len(found) - read
            lines = [f"{inside} of {counted(read, 'colour')} that were read came true"
                     f"{f'; {waiting} not read yet' if waiting else ''}."]  # fmt: skip
        for one in found:
            told = f"within {brief(one.reach, 2)} dE00, not read yet"
            if one.de00 is not None:
                side = "inside" if one.inside else "outside"
                told = f"{brief(one.de00, 2)} dE00 off, {side} {brief(one.reach, 2)}"
            lines.append(f"  {plain(one.at_us, zone)} ({one.movement}) {one.piece}, {one.what}: "
                         f"{told}")  # fmt: skip
    emit(schema="lacwright.own-figures.foretold/1",
         keys={"foretold": rows, "inside": inside, "of": read}, lines=lines,
         as_json=as_json)  # fmt: skip


def _lines(
    found: dict[str, OwnLine], name: str | None, working: bool, zone: dt.tzinfo
) -> list[str]:  # fmt: skip
    if name is not None:
        return _one(next(iter(found.values())), working=True, zone=zone)
    counting = [line for line in found.values() if line.seen or line.given]
    if not found:
        return ["Nothing is learned yet: weigh the jar before and after a coat, and say the area."]
    out = [f"{counted(len(counting), 'figure')} of your own; the usual one stands beside each."]
    for line in found.values():
        if not (line.seen or line.given or any(t.value is not None for t in line.left_out)):
            continue
        told = _one(line, working=working, zone=zone)
        out += [f"  {text}" for text in (told if working else told[:1])]
        if not working:
            out += [f"    {text}" for text in told[1:] if text.startswith("Odd")]
    return out


def _one(line: OwnLine, *, working: bool, zone: dt.tzinfo) -> list[str]:
    from lacwright.shop.clock import plain

    first = f"{line.name}: {banded(line.figure)}"
    if line.given is not None:
        first += ", set by you"
    elif line.seen:
        assert line.last_us is not None
        last = (f"calibrated on {line.calibrated_on}" if line.calibrated_on
                else f"last {plain(line.last_us, zone)[:10]}")  # fmt: skip
        first += f" from your log, n = {line.n}, {last}"
    else:
        first += ", the usual one" if line.prior.value is not None else ""
    usual = f"Usual: {banded(line.prior)} ({founded(line.prior.mark, line.prior.source)})"
    if line.prior.value is None:
        usual = f"Usual: none ({line.prior.missing})"
    elif line.seen or line.given is not None:
        first += f"; usual {banded(line.prior)}"
    out = [first]
    odd = [t for t in line.left_out if t.value is not None]
    out += [
        f"Odd, not counted: {_number(t.value)} {line.unit} of {plain(t.at_us, zone)} (movement "
        f"{t.movement}): check the weighing, and correct it if it was a slip."
        for t in odd
    ]
    if not working:
        return out
    out.append(usual)
    if line.words:
        out.append(f"What it is: {line.words}.")
    out += [f"{plain(t.at_us, zone)} ({t.movement}): {_seen(t)}"
            f"{'' if line.unit == '1' else f' {line.unit}'}" for t in line.seen]  # fmt: skip
    out += [f"Left out {counted(n, 'time')}: {why}." for why, n in line.reasons.items()]
    return out


def _seen(told: Told) -> str:
    """Return what one observation says; of a whitening on which side it lies."""
    whitened = getattr(told, "whitened", None)
    side = "" if whitened is None else "it whitened, so below " if whitened else (
        "it stayed clear, so above "
    )  # fmt: skip
    return f"{side}{_number(told.value)}"


def _number(value: float | None) -> str:
    return "-" if value is None else brief(value, 3)


def banded(figure: Figure) -> str:
    """Return a figure with its unit and band as a person reads it."""
    if figure.value is None:
        return f"not known ({figure.missing})"
    unit = "" if figure.unit == "1" else f" {figure.unit}"
    text = f"{brief(figure.value, 3)}{unit}"
    low, high = figure.low or 0.0, figure.high or 0.0
    return text if high <= low else f"{text} ({brief(low, 3)} to {brief(high, 3)})"


@own_figures.command("set", context_settings={"ignore_unknown_options": True})
@click.argument("name", metavar="NAME")
@click.argument("value", metavar="VALUE")
@writes
def set_(
    name: str, value: str, home: str | None, dry_run: bool, as_json: bool, **given: Any
) -> None:  # fmt: skip
    """Set an own figure: `own-figures set wait.brush "90 min"`. It goes before what was learned.

    The names are those of the [hand] table of a piece file.
    """
    # Unknown options are let through so that "-5" comes as the value that it is, and is refused.
    with record(home, create=True, dry_run=dry_run) as zone:
        from lacwright.shop.services.own_settings import set_own

        answer = set_own(name=name, value=_value(value),
                         entry=entry_of(zone, given | {"dry_run": dry_run}))  # fmt: skip
    told = ", ".join(
        f"{f['name']} to {_number(f['value'])}{'' if f['unit'] == '1' else ' ' + f['unit']}"
        for f in answer.data["own_figures"]
    )
    tell(schema="lacwright.own-figures.set/1", answer=answer, as_json=as_json,
         line=f"set {told}.")  # fmt: skip


@own_figures.command("unset")
@click.argument("name", metavar="NAME")
@writes
def unset_(
    name: str, home: str | None, dry_run: bool, as_json: bool, **given: Any
) -> None:  # fmt: skip
    """Take an own figure that was set away: what your coats say, or the usual one, holds again."""
    with record(home, dry_run=dry_run) as zone:
        from lacwright.shop.services.own_settings import unset_own

        answer = unset_own(name=name, entry=entry_of(zone, given | {"dry_run": dry_run}))
    tell(schema="lacwright.own-figures.unset/1", answer=answer, as_json=as_json,
         line=f"took {answer.data['name']} away: what your coats say, or the usual one, holds.",
         )  # fmt: skip


def _value(text: str) -> str | float | bool:
    """Return a bare number or true and false as such, all else as text."""
    if text.strip().lower() in ("true", "false"):
        return text.strip().lower() == "true"
    for read in (int, float):
        try:
            return read(text)
        except ValueError:
            continue
    return text
