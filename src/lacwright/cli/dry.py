"""`lacwright dry`: one wet coat, how cold its film gets, whether it whitens, when it is ready."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

import click

from lacwright.cli import dry_common as common
from lacwright.cli.plan_made import record_options
from lacwright.cli.plot_file import check_plot, write_plot
from lacwright.cli.show import emit, json_option
from lacwright.figures import unknown

if TYPE_CHECKING:
    from lacwright.climate import Air
    from lacwright.drying import Board, Drying, Under
    from lacwright.figures import Figure
    from lacwright.files.stated_coat import StatedCoat

TIMES = {"touch_dry_s": "Touch-dry", "print_free_s": "Print-free", "recoat_s": "Next coat",
         "sandable_s": "Sandable"}  # fmt: skip
FIGURES = ("film_min_c", "chill_k", "dew_margin_k", "haze_index", *TIMES, "dew_point_c",
           "film_min_s", "left_1h", "left_24h")  # fmt: skip
NEVER = "withheld: the film does not get touch-dry in this air"
STOP = "stop"
"""The verdict where a stop stands, whatever the film does."""


@click.command()
@common.coat_options
@click.option("--after", multiple=True, help="A coat below: '100 um 2-lb 6 h ago', 'pad 30 min "
              "ago'.")  # fmt: skip
@common.room_options
@common.speed_options
@common.board_options
@common.hand_option
@record_options
@click.option("--plot", "plot_file", metavar="FILE",
              help="Draws film and dew point over time into FILE, an SVG.")  # fmt: skip
@json_option
def dry(
    method: str | None, wet_um: float | None, cut: float | None, alcohol: str | None,
    after: tuple[str, ...], temp_c: float, rh: float, speed_m_s: float | None,
    vapour: tuple[str, ...], board: str | None, thickness_mm: float | None, free_both_sides: bool,
    length_mm: float | None, vertical: bool, board_c: float | None, hand_file: str | None,
    plot_file: str | None, home: str | None, no_record: bool, as_json: bool,
) -> None:  # fmt: skip
    """One wet coat: how its film chills, whether it whitens, when it is ready.

    The verdict speaks of the film alone: nothing of vapour, fire or health.

    Example: lacwright dry --method brush --wet "100 um" --cut 2 --alcohol ethanol-190 --temp 20
    --rh "45 %"
    """
    from lacwright import drying
    from lacwright.drying import FILM_ONLY
    from lacwright.files.coat_words import read_below
    from lacwright.plan.judged import told_with

    own, of_record = common.own_with_record(hand_file, home=home, no_record=no_record)
    stated = common.stated_coat(method=method, wet_um=wet_um, cut=cut, alcohol=alcohol, own=own)
    on, of_board = common.stated_board(
        board=board, thickness_mm=thickness_mm, free_both_sides=free_both_sides,
        length_mm=length_mm, vertical=vertical, board_c=board_c,
    )  # fmt: skip
    air, of_air = common.stated_air(temp_c=temp_c, rh=rh, speed_m_s=speed_m_s, vapour=vapour)
    under = read_below(after, coat=stated.coat, own=own)
    check_plot(plot_file)
    common.ready_model()
    made = drying.dry(coat=stated.coat, air=air, under=under, board=on, hand=common.hand_of(own),
                      wet_ln_sd=stated.wet_ln_sd)  # fmt: skip
    if made.touch_dry_s.value is None:  # what a film takes up from the air is not left in it
        made = replace(made, left_1h=unknown("g/g", NEVER), left_24h=unknown("g/g", NEVER))
    assumed = (*stated.assumed, *of_air, *of_board)
    if plot_file is not None:
        from lacwright.bench.charts.wet import wet_chart

        write_plot(plot_file, wet_chart(made))
    keys, missing = _keys(made, stated, on, air, under)
    keys["film_only"], keys["assumed"] = FILM_ONLY, list(assumed)
    keys["from_record"] = list(of_record)
    keys["plot"] = plot_file
    if plot_file is None:
        missing["plot"] = "not asked for"
    cautions, stops = told_with(stated.alcohol, method=stated.method)
    if stops:  # whatever the film does, it is not to be laid so
        keys["verdict"], keys["reason"] = STOP, stops[0].text
    emit(schema="lacwright.dry/1", keys=keys, missing=missing, figures=_told_figures(made),
         lines=_lines(made, assumed, plot_file, bool(under), of_record, stopped=bool(stops)),
         as_json=as_json, cautions=cautions, stops=stops, short=True)  # fmt: skip


def _told_figures(made: Drying) -> dict[str, Figure]:
    """Return the figures; where the model ended before the high end, its source says so."""
    from lacwright.drying.dry import HORIZON_S

    return {
        name: replace(one, source=f"{one.source}; its high end is beyond {HORIZON_S / 86400:g} "
                      "days") if one.unit == "s" and (one.high or 0.0) >= HORIZON_S else one
        for name, one in made.figures().items()
    }  # fmt: skip


def _keys(
    made: Drying, stated: StatedCoat, board: Board, air: Air, under: tuple[Under, ...]
) -> tuple[dict[str, Any], dict[str, str]]:
    from lacwright.drying.dry import HORIZON_S

    keys: dict[str, Any] = {}
    missing: dict[str, str] = {}
    figures = made.figures()
    for name in FIGURES:
        figure = figures[name]
        for key, value in ((name, figure.value), (f"{name}_low", figure.low),
                           (f"{name}_high", figure.high)):  # fmt: skip
            beyond = figure.unit == "s" and value is not None and value >= HORIZON_S
            keys[key] = None if beyond else value
            if keys[key] is None:
                missing[key] = f"beyond {HORIZON_S / 86400:g} days" if beyond else (
                    figure.missing or "not told")  # fmt: skip
    keys |= {"verdict": made.verdict, "film_verdict": made.verdict, "reason": made.reason,
             "calibrated": made.calibrated}  # fmt: skip
    keys["coat"] = {
        "method": stated.method, "wet_um": stated.coat.wet_um, "dry_um": stated.coat.dry_um,
        "cut_lb_per_gal": stated.coat.cut_lb_per_gal, "alcohol": stated.alcohol.lot,
    }  # fmt: skip
    keys["below"] = [
        {"wet_um": u.coat.wet_um, "cut_lb_per_gal": u.coat.cut_lb_per_gal, "age_s": u.age_s}
        for u in under
    ]  # fmt: skip
    keys["board"] = {
        "wood": board.wood, "thickness_mm": board.thickness_mm,
        "free_both_sides": board.free_both_sides, "length_mm": board.length_m * 1000,
        "vertical": board.vertical, "temp_c": air.temp_c if board.temp_c is None else board.temp_c,
    }  # fmt: skip
    keys["air"] = {"temp_c": air.temp_c, "rh": air.rh, "speed_m_s": air.speed_m_s,
                   "vapour_pa": [{"of": k, "pa": v} for k, v in air.vapour_pa.items()]}  # fmt: skip
    return keys, missing


def _lines(
    made: Drying, assumed: tuple[str, ...], plot_file: str | None, on_coats: bool,
    of_record: tuple[str, ...], *, stopped: bool,
) -> list[str]:  # fmt: skip
    from lacwright.drying import NO_STOP, UNCALIBRATED

    film, margin, haze = made.film_min_c, made.dew_margin_k, made.haze_index
    lines = [
        _first(made, stopped=stopped),
        f"Film         down to {_number(film, 1, 'C')} after "
        f"{common.duration(made.film_min_s.number())}: {_number(made.chill_k, 1, 'K')} below "
        "the room",
        f"Dew point    {_number(made.dew_point_c, 1, 'C')}: {_number(margin, 1, 'K')} below the "
        "coldest film" if margin.number() > 0 else
        f"Dew point    {_number(made.dew_point_c, 1, 'C')}: the film gets colder",
        f"Haze index   {_number(haze, 2, '')}; from 0.6 marginal, above 1 it whitens"
        if haze.value is not None else f"Haze index   not told: {haze.missing}",
    ]  # fmt: skip
    figures = made.figures()
    lines += [_time(words, figures[name]) for name, words in TIMES.items()]
    if on_coats:
        lines.append("             counted from this coat, and for all coats below it together")
    if made.left_1h.value is None:
        lines.append(f"Left in it   {made.left_1h.missing}")
    else:
        lines.append(f"Left in it   {_share(made.left_1h)} of the resin's weight after 1 h, "
                     f"{_share(made.left_24h)} after a day")  # fmt: skip
    if stopped:
        lines.append(f"Why          the stop above; of the film alone: {made.reason}")
    else:
        lines.append(f"Why          {made.verdict}: {made.reason}")
    if made.calibrated == UNCALIBRATED:
        lines.append("Uncalibrated: a timed coat narrows the ranges, see `lacwright "
                     "calibrate-drying`")  # fmt: skip
    else:
        lines.append(f"{made.calibrated[0].upper()}{made.calibrated[1:]}")
    if of_record:
        lines.append(f"From the record: your own {', '.join(of_record)}")
    lines += [f"Assumed: {words}" for words in assumed]
    if made.verdict != NO_STOP:
        lines.append(common.AFTER_HAZE)
    if plot_file is not None:
        lines.append(f"Drawn: {plot_file}")
    return lines


def _first(made: Drying, *, stopped: bool) -> str:
    from lacwright.drying import FILM_ONLY, MARGINAL, WHITENS

    if made.verdict == WHITENS:
        told = f"Do not lay it in this air, it will whiten: {made.reason}"
        if stopped:
            told = f"In this air it will whiten too: {made.reason}"
        return f"{told}; {FILM_ONLY}."
    times = [f"touch-dry after about {common.duration(made.touch_dry_s.number())}"
             if made.touch_dry_s.value is not None else "touch-dry not within a week"]  # fmt: skip
    times.append(f"next coat after about {common.duration(made.recoat_s.number())}"
                 if made.recoat_s.value is not None else "next coat not told")  # fmt: skip
    said = ", ".join(times)
    if made.verdict == MARGINAL:
        return f"Marginal, it may whiten: {made.reason}; {said}; {FILM_ONLY}."
    word = "" if stopped else "; no stop"
    return f"{said[0].upper()}{said[1:]}{word}: {FILM_ONLY}."


def _time(words: str, figure: Figure) -> str:
    from lacwright.drying.dry import HORIZON_S

    if figure.value is None or figure.low is None or figure.high is None:
        return f"{words:<12} {figure.missing}"
    if figure.value == 0:
        return f"{words:<12} at once"
    more = " or more" if figure.high >= HORIZON_S else ""
    return (f"{words:<12} {common.duration(figure.value)}, {common.duration(figure.low)} to "
            f"{common.duration(figure.high)}{more}")  # fmt: skip


def _number(figure: Figure, digits: int, unit: str) -> str:
    unit = unit and f" {unit}"
    text = f"{figure.number():.{digits}f}{unit}"
    if figure.low is None or figure.high is None:
        return text
    return f"{text} ({figure.low:.{digits}f} to {figure.high:.{digits}f})"


def _share(figure: Figure) -> str:
    return f"{100 * figure.number():.1f} %" if figure.value is not None else "an unknown share"
