"""`lacwright calibrate-drying`: own figures of the drying coat from timed coats and whitenings."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import click

from lacwright.cli import dry_common as common
from lacwright.cli.show import brief, counted, emit, json_option
from lacwright.figures import Refusal

if TYPE_CHECKING:
    from lacwright.drying import Bound
    from lacwright.figures import Caution, Learned
    from lacwright.files.timed_coat import Written

NAMES = {
    "air_factor": ("drying.air", "air", "Air factor"),
    "diffusion_step": ("drying.diffusion", "diffusion", "Step of diffusion"),
    "water_tolerance": ("drying.water_tolerance", "tolerance", "Water tolerance"),
}
"""Keys of the answer, with the own figure, its key in what one coat says, and its words."""
CONTRADICT = (
    "The events contradict each other: a coat stayed clear with more water than one that whitened "
    "had. Look at hygrometer and wet film; the range holds both."
)
ALIKE = 0.005
"""What is kept and what is computed again may differ so much by rounding."""
TEXT_OPTIONS = {
    "name": ("--name", "What the panel is called, 'panel 3'."),
    "date": ("--on", "Day, e.g. 2027-02-01."),
    "wet": ("--wet", "Its wet film, or one of the next two with --size or --area."),
    "weighed": ("--weighed", "Weight of the wet coat: what jar and brush lost."),
    "used": ("--used", "Volume that landed."),
    "size": ("--size", "Coated face, '100x100 mm', the side along the air first."),
    "area": ("--area", "Coated area, where it is no rectangle."),
    "cut": ("--cut", "Cut of the mix."),
    "alcohol": ("--alcohol", "Name or composition of the alcohol."),
    "temp": ("--temp", "Thermometer beside the panel."),
    "rh": ("--rh", "Hygrometer beside it: '45 %' or 0.45."),
    "air": ("--air", "Speed of the air you will state for this bench [still]."),
    "wood": ("--board", "Wood of the panel, or glass, steel, paper."),
    "thickness": ("--thickness", "Of the panel."),
    "length": ("--length", "Of the panel along the air [the first side of --size]."),
    "board_temp": ("--board-temp", "Of the panel [the room's]."),
    "touch_dry": ("--touch-dry", "Until a fingertip takes nothing off."),
    "print_free": ("--print-free", "Until it can be handled without a print."),
    "recoat": ("--recoat", "Or until the next coat lay clean."),
}
"""Keys of a table of the file that can be given as options."""


def _text_options(command: Any) -> Any:
    for key, (option, words) in reversed(TEXT_OPTIONS.items()):
        command = click.option(option, key, metavar="TEXT", help=words)(command)
    return command


@click.command("calibrate-drying")
@click.argument("file", required=False)
@_text_options
@click.option("--whitened/--stayed-clear", "whitened", default=None,
              help="In place of times: whether the coat whitened.")  # fmt: skip
@common.hand_option
@click.option("--keep", "keep_file", metavar="HAND.toml",
              help="Add the observations to this hand file, new or old.")  # fmt: skip
@click.option("--dry-run", is_flag=True, help="With --keep: say what would be added.")
@json_option
def calibrate_drying(
    file: str | None, whitened: bool | None, hand_file: str | None, keep_file: str | None,
    dry_run: bool, as_json: bool, **texts: str | None,
) -> None:  # fmt: skip
    """Own figures of the drying coat from timed coats, and from coats that whitened or did not.

    FILE is TOML with [[timed]] and [[event]] tables, or a hand file, whose kept observations are
    then computed again; one observation can also be given as options. Nothing is written without
    --keep.

    Example: lacwright calibrate-drying --name "panel 3" --on 2027-02-01 --weighed "0.86 g"
    --size "100x100 mm" --cut 2 --alcohol ethanol-190 --board maple --thickness "20 mm" --temp 20
    --rh "45 %" --touch-dry "7 min" --print-free "22 min"
    """
    if dry_run and keep_file is None:
        raise Refusal("--dry-run", "nothing would be written", "add --keep HAND.toml")
    if hand_file is not None and keep_file is not None:
        raise Refusal("--hand", "with --keep the figures of that file are the base",
                      "leave --hand out")  # fmt: skip
    given = {k: v for k, v in texts.items() if v is not None}
    if file is not None and (given or whitened is not None):
        raise Refusal("FILE", "a file and options of a coat are given", "give one of them")
    if file is None and not given:
        raise Refusal("FILE", "there is no observation", "name a file, or give --name, --wet, "
                      "--cut, ...: see --help")  # fmt: skip
    written = _from_file(file) if file is not None else (_from_options(given, whitened),)
    base = _base(keep_file or hand_file, new=keep_file is not None)
    common.ready_model()
    answer = _learn(written, base)
    added = _keep(keep_file, answer, dry_run=dry_run) if keep_file is not None else ""
    _show(answer, keep_file, added, dry_run=dry_run, as_json=as_json)


def _from_file(file: str) -> tuple[Written, ...]:
    from lacwright.files.timed_coat import read_observations

    return read_observations(file)


def _from_options(given: dict[str, str], whitened: bool | None) -> Written:
    """Return the one observation that the options say, or refuse it by the names of its options."""
    from lacwright.figures import Refusals
    from lacwright.files.timed_coat import EventTable, TimedTable, Written, observation

    timed = [k for k in ("touch_dry", "print_free", "recoat") if k in given]
    if whitened is not None and timed:
        raise Refusal(TEXT_OPTIONS[timed[0]][0], "an event has no times",
                      "ask for the times and the whitening one by one")  # fmt: skip
    raw: dict[str, Any] = {**given} if whitened is None else {**given, "whitened": whitened}
    model = TimedTable if whitened is None else EventTable
    row, wrong = observation(model, raw, "")
    if row is None:
        raise Refusals(_of_option(r) for r in wrong)
    assert isinstance(row, TimedTable | EventTable)
    return Written(row, raw, "")


def _of_option(refusal: Refusal) -> Refusal:
    key = refusal.where
    option = TEXT_OPTIONS[key][0] if key in TEXT_OPTIONS else key
    if " = " in refusal.mend and refusal.mend.startswith("write e.g. "):
        # "write e.g. wet = "100 um"" is how the file says it.
        return Refusal(option, refusal.what,
                       f"write e.g. {option} {refusal.mend.partition(' = ')[2]}")  # fmt: skip
    return refusal.at(option)


@dataclass(frozen=True)
class Base:
    """What is known before: own figures, and the bounds of events that were kept."""

    hand: dict[str, Learned]
    bounds: tuple[Bound, ...]
    sources: tuple[tuple[str, str], ...]


def _base(file: str | None, *, new: bool) -> Base:
    from pathlib import Path

    from lacwright.drying import Bound, own_constants
    from lacwright.files.own import read_hand
    from lacwright.files.timed_coat import EventTable, observations_of
    from lacwright.files.toml import load_toml

    if file is None or (new and not Path(file).exists()):
        return Base({}, (), ())
    hand = dict(own_constants(read_hand(file).own))
    kept, _ = observations_of(load_toml(file).get("hand", {}), "hand.")
    bounds = tuple(
        Bound(one.row.whitened, one.row.says.tolerance, one.row.source)
        for one in kept if isinstance(one.row, EventTable)
    )  # fmt: skip
    return Base(hand, bounds, tuple((_kind(one), one.row.source) for one in kept))


def _kind(one: Written) -> str:
    from lacwright.files.timed_coat import TimedTable

    return "timed" if isinstance(one.row, TimedTable) else "event"


@dataclass(frozen=True)
class Answer:
    """What the observations say.

    Parameters
    ----------
    said : tuple of (Written, mapping)
        Each, with what it says by itself, as it is kept.
    before, after : mapping of str to Learned
        The three constants without and with them.
    above, below : float or None
        The tightest bounds of the water tolerance.
    base : Base
    """

    said: tuple[tuple[Written, Mapping[str, float]], ...]
    before: Mapping[str, Learned]
    after: Mapping[str, Learned]
    above: float | None
    below: float | None
    base: Base


def _learn(written: Sequence[Written], base: Base) -> Answer:
    from lacwright import drying
    from lacwright.files.timed_coat import TimedTable

    hand = dict(base.hand)
    said: list[tuple[Written, Mapping[str, float]]] = []
    for one in written:
        if isinstance(one.row, TimedTable):
            try:
                told = drying.calibrate(one.row.timed(), hand=hand)
            except Refusal as refusal:
                raise refusal.at(f"{one.row.source}, {refusal.where}") from None
            hand |= told.hand()
            says = {"air": told.air_factor}
            said.append((one, says if told.step is None else {**says, "diffusion": told.step}))
    bounds = list(base.bounds)
    for one in written:
        if not isinstance(one.row, TimedTable):
            # With the air that is known by then: the order in the file does not matter.
            bound = drying.bound_of(one.row.event(), hand=hand)
            bounds.append(bound)
            said.append((one, {"tolerance": bound.tolerance}))
    above = below = None
    if len(bounds) > len(base.bounds):
        if drying.TOLERANCE in base.hand and not base.bounds:
            raise Refusal("event", "the hand file gives drying.water_tolerance as a value",
                          "take that line out first")  # fmt: skip
        told_tolerance = drying.tolerance_of(bounds)
        above, below = told_tolerance.low, told_tolerance.high
        hand[drying.TOLERANCE] = told_tolerance.learned
    before = {name: base.hand.get(name) or drying.prior(name) for name, *_ in NAMES.values()}
    return Answer(tuple(said), before, {**before, **hand}, above, below, base)


def _keep(file: str, answer: Answer, *, dry_run: bool) -> str:
    """Add the observations to the end of a hand file; return what is added."""
    from lacwright.cli.hand_file import added_to

    for one, _ in answer.said:
        if (_kind(one), one.row.source) in answer.base.sources:
            raise Refusal("--keep", f"'{one.row.source}' is kept in {file} already",
                          "give the new one another name or date")  # fmt: skip
    rows: dict[str, list[dict[str, Any]]] = {"timed": [], "event": []}
    for one, says in answer.said:
        exact = {name: float(f"{value:.6g}") for name, value in says.items()}
        rows[_kind(one)].append({**one.raw, "says": exact})
    return added_to(file, rows, dry_run=dry_run)


def _show(
    answer: Answer, keep_file: str | None, added: str, *, dry_run: bool, as_json: bool
) -> None:  # fmt: skip
    from lacwright.drying import state

    keys: dict[str, Any] = {}
    figures = {}
    for key, (name, *_) in NAMES.items():
        figure = answer.after[name].figure()
        figures[name] = figure
        keys |= {key: figure.value, f"{key}_low": figure.low, f"{key}_high": figure.high}
    missing: dict[str, str] = {}
    keys["calibrated"] = state(answer.after).words
    keys["prior"] = {key: _prior(answer.before[name]) for key, (name, *_) in NAMES.items()}
    keys["timed"] = [
        {"source": one.row.source, "air_factor": says["air"],
         "diffusion_step": says.get("diffusion"),
         **({} if "diffusion" in says else {"missing": {"diffusion_step": "no late time"}})}
        for one, says in answer.said if _kind(one) == "timed"
    ]  # fmt: skip
    keys["events"] = [
        {"source": one.row.source, "whitened": bool(one.raw["whitened"]),
         "tolerance": says["tolerance"]}
        for one, says in answer.said if _kind(one) == "event"
    ]  # fmt: skip
    keys |= {"tolerance_above": answer.above, "tolerance_below": answer.below}
    for key in ("tolerance_above", "tolerance_below"):
        if keys[key] is None:
            missing[key] = "no event says so"
    keys["kept"] = None if dry_run else keep_file
    if keys["kept"] is None:
        missing["kept"] = "only tried" if dry_run else "not asked for"
    emit(schema="lacwright.calibrate-drying/1", keys=keys, figures=figures, missing=missing,
         lines=_lines(answer, keep_file, added, dry_run=dry_run), as_json=as_json,
         cautions=_cautions(answer), short=True)  # fmt: skip


def _cautions(answer: Answer) -> tuple[Caution, ...]:
    """Return the usual cautions of the alcohols that the panels were coated with."""
    from lacwright.plan.cautions import Job, cautions_of_job
    from lacwright.plan.judged import with_slow_limits
    from lacwright.solution import read_alcohol

    alcohols = tuple(dict.fromkeys(read_alcohol(one.row.alcohol) for one, _ in answer.said))
    return with_slow_limits(cautions_of_job(Job(alcohols=alcohols))[0])


def _prior(one: Learned) -> dict[str, float]:
    figure = one.figure()
    assert figure.low is not None
    assert figure.high is not None
    return {"value": figure.number(), "low": figure.low, "high": figure.high, "seen": len(one.seen)}


def _lines(answer: Answer, keep_file: str | None, added: str, *, dry_run: bool) -> list[str]:
    from lacwright.drying import state

    timed = sum(_kind(one) == "timed" for one, _ in answer.said)
    events = len(answer.said) - timed
    of = [counted(n, word) for n, word in ((timed, "timed coat"), (events, "event")) if n]
    words = state(answer.after).words
    lines = [f"{' and '.join(of)}: {words}."]
    for name, key, told in NAMES.values():
        before, after = answer.before[name], answer.after[name]
        if not any(key in says for _, says in answer.said):
            lines.append(f"{told:<18} nothing new: {_banded(before)}")
            continue
        lines.append(f"{told:<18} {_banded(after)}")
        known = (f"with {counted(len(before.seen), 'observation')} of your own" if before.seen
                 else str(before.mark))  # fmt: skip
        lines.append(f"  before           {_banded(before)}, {known}")
        lines += [f"  {one.row.source}: {_said(one, says[key], key)}"
                  for one, says in answer.said if key in says]  # fmt: skip
    if answer.above is not None and answer.below is not None and answer.above > answer.below:
        lines.append(CONTRADICT)
    if keep_file is None:
        lines.append("Nothing was written; --keep HAND.toml keeps it.")
    elif dry_run:
        lines += [f"Would be added to {keep_file}, nothing was written:", *added.splitlines()]
    else:
        lines.append(f"Kept in {keep_file}, at its end: use it with --hand {keep_file}.")
    return lines


def _said(one: Written, value: float, key: str) -> str:
    from lacwright.files.timed_coat import EventTable

    row, was = one.row, ""
    kept = getattr(row.says, key) if row.says is not None else None
    if kept is not None and abs(kept / value - 1) > ALIKE:
        was = f", where {brief(kept)} is kept"
    if isinstance(row, EventTable):
        side = "whitened, so below" if row.whitened else "stayed clear, so above"
        return f"{side} {brief(value)}{was}"
    return f"says {brief(value)}{was}"


def _banded(one: Learned) -> str:
    figure = one.figure()
    assert figure.low is not None
    assert figure.high is not None
    return f"{brief(figure.number())} ({brief(figure.low)} to {brief(figure.high)})"
