"""`lacwright hours`: which hours of a forecast or a log are usable for a coat."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from lacwright.cli import dry_common as common
from lacwright.cli.plan_made import record_options
from lacwright.cli.plot_file import check_plot, write_plot
from lacwright.cli.record_progress import progress
from lacwright.cli.show import SHARE, TEMPERATURE, Quantity, emit, json_option
from lacwright.figures import Refusal
from lacwright.figures import units as u

if TYPE_CHECKING:
    import datetime as dt

    from lacwright.drying import HourTable
    from lacwright.files.air_table import AirTable
    from lacwright.plan.judged import Wanted


@click.command()
@click.argument("forecast", metavar="FORECAST.csv")
@click.option("--piece", "piece_file", metavar="PIECE.toml",
              help="Judge the coats of its plan, in place of a coat by options.")  # fmt: skip
@common.coat_options
@click.option("--after", multiple=True, help="A coat below, its age at the first hour: '100 um "
              "2-lb 6 h ago'; may be repeated.")  # fmt: skip
@common.speed_options
@common.board_options
@common.hand_option
@click.option("--own-chill", "own_chill_k", type=common.KELVIN,
              help="Your own measured chill of the film, before the model's.")  # fmt: skip
@click.option("--own-chill-slow", "own_chill_slow_k", type=common.KELVIN,
              help="The same with your slow alcohol.")  # fmt: skip
@click.option("--own-margin", "own_margin_k", type=common.KELVIN,
              help="Your own rule: dew point at least so far below the chilled film.")  # fmt: skip
@click.option("--slow", default="n-butanol", show_default=True, help="The slow alcohol.")
@click.option("--slow-share", type=SHARE, help="Its share by mass, judged beside [5 %].")
@click.option("--volume", "volume_m3", type=Quantity(u.ROOM),
              help="Of the room: tells the water to take out of its air.")  # fmt: skip
@click.option("--heated-to", "heated_c", type=TEMPERATURE, help="The table is of outdoor air, and "
              "the room is warmed to this with the same water in its air.")  # fmt: skip
@click.option("--zone", help="Time zone of the table, such as Europe/Vienna [this machine's].")
@click.option("--column", "columns", multiple=True, help="Heading of a column: 'temp=Outside'; "
              "time, date, temp, rh, dew, board, speed. May be repeated.")  # fmt: skip
@click.option("--dates", type=click.Choice(["dmy", "mdy"]),
              help="Which stands first in days with strokes.")  # fmt: skip
@click.option("--from", "from_", metavar="WHEN", help='First hour: "2027-03-01 08:00" or a day.')
@click.option("--until", metavar="WHEN", help="Last hour, or day.")
@click.option("--no-changes", is_flag=True,
              help="Go and wait alone, quicker for a long table.")  # fmt: skip
@click.option("--plot", "plot_file", metavar="FILE",
              help="Draws film minimum and dew point over time into FILE, an SVG.")  # fmt: skip
@record_options
@json_option
def hours(
    forecast: str, own_chill_k: float | None, own_chill_slow_k: float | None,
    own_margin_k: float | None, slow: str, slow_share: float | None, volume_m3: float | None,
    heated_c: float | None, zone: str | None, columns: tuple[str, ...], dates: str | None,
    from_: str | None, until: str | None, no_changes: bool, plot_file: str | None, as_json: bool,
    **asked: Any,
) -> None:  # fmt: skip
    """Usable hours of a forecast or a log: go, wait or change, and what would make it a go.

    "Go" speaks of the film alone. The table is a CSV with columns for time, temperature and
    relative humidity (or dew point); its order, units and headings may be as the logger has them.

    Example: lacwright hours forecast.csv --method brush --wet "100 um" --cut 2 --alcohol
    ethanol-190 --volume "60 m3"
    """
    from lacwright.cli import hours_coats
    from lacwright.cli.hours_text import page
    from lacwright.drying import Rule, hour_table
    from lacwright.files.coat_words import read_vapours
    from lacwright.files.stated_coat import extrapolated, stated_room, stated_speed

    if slow_share is not None and not 0 < slow_share <= 0.5:
        raise Refusal("--slow-share", f"{slow_share:.0%} is no share of a slow alcohol",
                      "write e.g. '5 %'")  # fmt: skip
    check_plot(plot_file)
    rule = _rule(Rule, own_chill_k, own_chill_slow_k, own_margin_k)
    there = _zone(zone)
    air = _air(forecast, there, columns, dates, from_, until)
    wanted = hours_coats.wanted(rule=rule, **asked)
    temp, rh, of_air = stated_room(air, heated_c)
    speed, of_speed = stated_speed(asked["speed_m_s"], air)
    of_speed = of_speed if wanted.coats else ()
    board = asked["board_c"] if asked["board_c"] is not None else air.board_c
    vapour = read_vapours(asked["vapour"], temp_c=float(max(temp)))
    if wanted.coats:
        common.ready_model()
    if len(air.at) * max(1, len(wanted.coats)) > LONG:
        click.echo(f"judging {len(air.at)} hours ...", err=True)
    made = hour_table(
        at=air.at, temp_c=temp, rh=rh, coats=wanted.coats, speed_m_s=speed, board_c=board,
        vapour_pa=vapour, volume_m3=volume_m3, rule=rule, slow_share=slow_share, slow=slow,
        hand=wanted.hand, stops=[s.text for s in wanted.stops], with_changes=not no_changes,
        parallel=True, progress=progress(),
    )  # fmt: skip
    assumed = (*wanted.assumed, *of_air, *of_speed)
    if wanted.coats:
        assumed = (*assumed, *extrapolated(temp))
    if plot_file is not None:
        from lacwright.bench.charts.hours import hours_chart

        write_plot(plot_file, hours_chart(made))
    keys, missing = _keys(made, wanted, air, assumed, slow, volume_m3, zone or _zone_name())
    keys["plot"] = plot_file
    if plot_file is None:
        missing["plot"] = "not asked for"
    lines = [] if as_json else page(made, wanted, air.reports, assumed, plot_file)
    emit(schema="lacwright.hours/1", keys=keys, missing=missing, lines=lines, as_json=as_json,
         cautions=wanted.cautions, stops=wanted.stops, short=True)  # fmt: skip


LONG = 400
"""Hours times coats from which on it takes more than a moment."""


def _rule(
    kind: type[Any], chill_k: float | None, chill_slow_k: float | None, margin_k: float | None
) -> Any:
    try:
        return kind(chill_k, chill_slow_k, margin_k)
    except Refusal as refusal:
        option = {"own chill": "--own-chill", "own chill, slow alcohol": "--own-chill-slow",
                  "own margin": "--own-margin"}.get(refusal.where, refusal.where)  # fmt: skip
        raise refusal.at(option) from None


def _zone(name: str | None) -> dt.tzinfo:
    from lacwright.shop.clock import read_zone

    return read_zone(name or _zone_name(), "--zone")


def _zone_name() -> str:
    from lacwright.shop.clock import zone_here

    return zone_here()


def _air(
    forecast: str, zone: dt.tzinfo, columns: tuple[str, ...], dates: str | None,
    from_: str | None, until: str | None,
) -> AirTable:  # fmt: skip
    from lacwright.files.air_table import load_air

    named: dict[str, str] = {}
    for text in columns:
        what, mark, heading = text.partition("=")
        if not mark or not heading.strip():
            raise Refusal("--column", f"'{text}' does not say which heading is meant",
                          "write e.g. --column 'temp=Outside'")  # fmt: skip
        named[what.strip().lower()] = heading.strip()
    try:
        air = load_air(forecast, zone, columns=named, dates=dates).hourly()
    except Refusal as refusal:
        raise refusal.at("--column") if refusal.where == "column" else refusal from None
    first = None if from_ is None else _when(from_, zone, "--from", end=False).timestamp()
    last = None if until is None else _when(until, zone, "--until", end=True).timestamp()
    # By seconds: times of one zone are held against each other by what the clock shows.
    rows = [i for i, at in enumerate(air.at) if (first is None or at.timestamp() >= first)
            and (last is None or at.timestamp() <= last)]  # fmt: skip
    if not rows:
        raise Refusal(
            "--from" if from_ else "--until",
            "the table has no hour there",
            f"it goes from {air.at[0]:%Y-%m-%d %H:%M} to {air.at[-1]:%Y-%m-%d %H:%M}",
        )
    return air.chosen(rows) if len(rows) < len(air.at) else air


def _when(text: str, zone: dt.tzinfo, where: str, *, end: bool) -> dt.datetime:
    import re

    from lacwright.shop.clock import from_us, read_moment

    if re.fullmatch(r"\s*\d{4}-\d{2}-\d{2}\s*", text):
        text = f"{text.strip()} {'23:59' if end else '00:00'}"
    return from_us(read_moment(text, zone, where), zone)


def _keys(
    made: HourTable, wanted: Wanted, air: AirTable, assumed: tuple[str, ...], slow: str,
    volume_m3: float | None, zone: str,
) -> tuple[dict[str, Any], dict[str, str]]:  # fmt: skip
    from lacwright.cli.hours_coats import coat_keys
    from lacwright.cli.hours_keys import hour_keys, window_keys
    from lacwright.drying import FILM_ONLY

    windows = [window_keys(w) for w in made.windows()]
    keys: dict[str, Any] = {
        "hours": [hour_keys(hour) for hour in made.hours],
        "next_go": windows[0] if windows else None, "windows": windows,
        "film_only": FILM_ONLY, "calibrated": made.calibrated,
        "own_rule": {"chill_k": made.rule.chill_k, "chill_slow_k": made.rule.chill_slow_k,
                     "margin_k": made.rule.least_k} if made.rule.given else None,
        "slow_alcohol": None if made.slow_share is None else slow,
        "slow_share": made.slow_share, "volume_m3": volume_m3, "zone": zone,
        "coats": coat_keys(wanted),
        "silent": [{"name": name, "why": why} for name, why in wanted.silent],
        "assumed": list(assumed),
        "from_record": list(wanted.of_record),
        "reports": list(air.reports),
    }  # fmt: skip
    missing = {}
    if not windows:
        missing["next_go"] = "a standing stop replaces it" if made.stops else "no hour is a go"
    if not made.rule.given:
        missing["own_rule"] = "none was given"
    else:
        why = {k: "not given" for k, v in keys["own_rule"].items() if v is None}
        keys["own_rule"]["missing"] = why
    if made.slow_share is None:
        missing |= dict.fromkeys(("slow_alcohol", "slow_share"), "not judged by the model")
    if volume_m3 is None:
        missing["volume_m3"] = "not given"
    return keys, missing
