"""The air of a room: dew point, vapour, and the moisture that wood takes on in it."""

from lacwright.climate.air import Air
from lacwright.climate.reading import reading
from lacwright.climate.warming import warming
from lacwright.climate.water import (
    absolute_humidity_g_m3,
    dew_margin_k,
    dew_point_c,
    saturation_pa,
    vapour_pa,
)
from lacwright.climate.wood import emc_percent, rh_of_emc

__all__ = [
    "Air",
    "absolute_humidity_g_m3",
    "dew_margin_k",
    "dew_point_c",
    "emc_percent",
    "reading",
    "rh_of_emc",
    "saturation_pa",
    "vapour_pa",
    "warming",
]
