"""`lacwright climate`: dew point and wood moisture of a room."""

from __future__ import annotations

import click

from lacwright.cli.show import RH, TEMPERATURE, emit, json_option


@click.command()
@click.option("--temp", "temp_c", type=TEMPERATURE, required=True,
              help="Air temperature: 21 (Celsius) or '70 F'.")  # fmt: skip
@click.option("--rh", type=RH, required=True, help="Relative humidity: '45 %' or 0.45.")
@json_option
def climate(temp_c: float, rh: float, as_json: bool) -> None:
    """Dew point and wood moisture of a room.

    Example: lacwright climate --temp 21 --rh "50 %"
    """
    from lacwright.climate import reading
    from lacwright.figures import given

    figures = reading(temp_c=given(temp_c, "C", "--temp"), rh=given(rh, "1", "--rh"))
    dew, emc = figures["dew_point_c"].number(), figures["emc_percent"]
    wood = "no figure for wood"
    if emc.value is not None:
        wood = f"wood settles at {emc.value:.1f} % moisture"
    lines = [
        f"At {temp_c:.1f} C and {100 * rh:.0f} % the dew point is {dew:.1f} C; {wood}.",
        f"Air            {_both(temp_c)}",
        f"Dew point      {_both(dew)}: work that cold gets wet; a fresh film can whiten above it",
        f"Water in air   {figures['absolute_humidity_g_m3'].number():.1f} g/m3",
    ]
    if emc.value is None:
        lines.append(f"Wood moisture  {emc.missing}")
    else:
        lines.append(f"Wood moisture  {emc.low:.1f} to {emc.high:.1f} %, after weeks in this air, "
                     "by species and by whether it dried or took up water")  # fmt: skip
    keys = {
        "temp_c": temp_c,
        "rh": rh,
        "dew_point_c": dew,
        "emc_percent": emc.value,
        "absolute_humidity_g_m3": figures["absolute_humidity_g_m3"].number(),
    }
    missing = {} if emc.missing is None else {"emc_percent": emc.missing}
    emit(schema="lacwright.climate/1", keys=keys, lines=lines, as_json=as_json, figures=figures,
         missing=missing)  # fmt: skip


def _both(temp_c: float) -> str:
    return f"{temp_c:.1f} C ({temp_c * 9 / 5 + 32:.1f} F)"
