"""`piece test`: a drop of water on the film of a piece or panel."""

from __future__ import annotations

from typing import Any

import click

from lacwright.cli.jar_common import desk, say
from lacwright.cli.jar_test import room_options, test_line, test_lines, test_missing, water_result
from lacwright.cli.record_common import writes
from lacwright.cli.show import TIME


@click.command("test")
@click.argument("name", metavar="NAME")
@click.option("--water", type=TIME, required=True, help="How long the drop of water stood.")
@click.option("--white/--no-mark", default=None, help="Whether it left a white mark.")
@click.option("--film-days", type=click.FloatRange(0), help="How old the film is.")
@room_options
@click.option("--anew", is_flag=True, help="Begin a new test though one is running.")
@writes
def test_(
    *, name: str, water: float, white: bool | None, film_days: float | None, temp: float | None,
    rh: float | None, anew: bool, **given: Any,
) -> None:  # fmt: skip
    """Test the film on a piece or panel: a drop of water stands on it, then it is wiped off.

    Example: lacwright piece test board-3 --water "4 h" --no-mark --film-days 30
    """
    with desk(given) as entry:
        from lacwright.shop.services.proving import record_test

        answer = record_test(of_kind="piece", of=name, test="water-spot", temp_c=temp, rh=rh,
                             result=water_result(water, white, film_days), anew=anew,
                             entry=entry)  # fmt: skip
    data = answer.data
    say("piece.test", answer, when=given, keys=data, missing=test_missing(data), cautions=(),
        line=test_line(data, str(data["of"])), lines=test_lines(data))  # fmt: skip
