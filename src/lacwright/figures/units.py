"""Units of the bench: exact factors, the bench unit of each kind, and the names people write."""

from __future__ import annotations

from dataclasses import dataclass

# Exact by definition: pound 0.45359237 kg, inch 25.4 mm, US gallon 231 cubic inches, UK gallon
# 4.54609 L, 0 C 273.15 K.
LB_G = 453.59237
OZ_G = LB_G / 16
INCH_MM = 25.4
US_GAL_ML = 3785.411784
UK_GAL_ML = 4546.09
SQFT_M2 = 0.3048**2
ZERO_C_K = 273.15
G_PER_L_PER_CUT = LB_G / (US_GAL_ML / 1000)
"""Grams per litre of alcohol in a 1-lb cut (1 lb per US gallon), 119.826427."""
SQFT_GAL_AT_1_MIL = US_GAL_ML / 1000 / (INCH_MM / 1000) / SQFT_M2
"""Square feet that one US gallon covers one thousandth of an inch thick, 1604.17."""


@dataclass(frozen=True)
class Kind:
    """A kind of quantity, its bench unit, and the accepted units with their factor to it."""

    name: str
    unit: str
    units: dict[str, float]
    example: str
    bare: bool = False  # a number without a unit is accepted
    most: float = 1e9  # beyond this it is a slip, in the bench unit


def _kind(
    name: str, unit: str, example: str, units: dict[str, float], *, bare: bool = False,
    most: float = 1e9,
) -> Kind:  # fmt: skip
    return Kind(name, unit, {k: v for names, v in units.items() for k in names.split("|")},
                example, bare, most)  # fmt: skip


MASS = _kind("weight", "g", "40 g, 2 oz, 1/2 lb", {
    "mg": 1e-3, "g|gr|gram|grams|gramme|grammes": 1.0, "kg|kilo|kilos": 1000.0,
    "oz|ounce|ounces|oz weight|oz av": OZ_G, "lb|lbs|pound|pounds": LB_G,
}, most=1e7)  # fmt: skip
VOLUME = _kind("volume", "ml", "600 ml, 1 cup, 1/2 pint, 1 imp gal", {
    "ml|cc|cm3|millilitre|millilitres|milliliter|milliliters": 1.0, "cl": 10.0, "dl": 100.0,
    "l|litre|litres|liter|liters": 1000.0,
    "tsp|teaspoon|teaspoons": US_GAL_ML / 768, "tbsp|tablespoon|tablespoons": US_GAL_ML / 256,
    "fl oz|floz|fluid oz|fluid ounce|fluid ounces|us fl oz": US_GAL_ML / 128,
    "cup|cups|us cup|us cups": US_GAL_ML / 16, "pt|pint|pints|us pint|us pints": US_GAL_ML / 8,
    "qt|quart|quarts|us qt|us quart|us quarts": US_GAL_ML / 4,
    "gal|gallon|gallons|us gal|us gallon|us gallons": US_GAL_ML,
    "imp fl oz|uk fl oz|imperial fluid ounce": UK_GAL_ML / 160,
    "imp pint|imp pints|uk pint|uk pints|imperial pint|imperial pints": UK_GAL_ML / 8,
    "imp qt|imp quart|imperial quart|uk quart": UK_GAL_ML / 4,
    "imp gal|imp gallon|imp gallons|uk gal|uk gallon|uk gallons|imperial gallon"
    "|imperial gallons": UK_GAL_ML,
}, most=1e7)  # fmt: skip
LENGTH = _kind("length", "mm", "300 mm, 24 in, 1.2 m", {
    "um|micron|microns": 1e-3, "mm": 1.0, "cm": 10.0, "m": 1000.0,
    "in|inch|inches|\"": INCH_MM, "ft|foot|feet|'": 12 * INCH_MM, "yd": 36 * INCH_MM,
}, most=1e6)  # fmt: skip
AREA = _kind("area", "m2", "0.5 m2, 12 sqft", {
    "mm2": 1e-6, "cm2": 1e-4, "m2|sqm": 1.0, "sq in|sqin|in2": INCH_MM**2 / 1e6,
    "sqft|sq ft|ft2|square feet": SQFT_M2, "sq yd|yd2": 9 * SQFT_M2,
}, most=1e5)  # fmt: skip
ROOM = _kind("room volume", "m3", "30 m3, 1000 cuft", {
    "m3": 1.0, "ft3|cuft|cu ft|cubic feet": 0.3048**3,
}, most=1e7)  # fmt: skip
CUT = _kind("cut", "lb/gal", "2, 2-lb cut, 240 g/l, 1.5 lb/imp gal", {
    "lb|lb cut|pound|pound cut|lbs|cut|lb/gal|lb/us gal|lb per gal|lb/gallon": 1.0,
    "lb/imp gal|lb/uk gal|lb per imp gal|lb/imperial gallon": US_GAL_ML / UK_GAL_ML,
    "g/l|g per l": 1 / G_PER_L_PER_CUT, "g/ml": 1000 / G_PER_L_PER_CUT,
    "g/100 ml|g/100ml": 10 / G_PER_L_PER_CUT,
    "oz/pint|oz/pt": OZ_G / (US_GAL_ML / 8) * 1000 / G_PER_L_PER_CUT,
    "oz/cup": OZ_G / (US_GAL_ML / 16) * 1000 / G_PER_L_PER_CUT,
    "oz/qt|oz/quart": OZ_G / (US_GAL_ML / 4) * 1000 / G_PER_L_PER_CUT,
}, bare=True, most=1e4)  # fmt: skip
SHARE = _kind("share", "1", "0.05, 5 %", {"%|percent|pct|per cent": 0.01}, bare=True)
SPREAD = _kind("spread", "ml/m2", "75 ml/m2, 500 sqft/gal, 12 m2/l", {
    "ml/m2|ml per m2": 1.0, "l/m2": 1000.0,
    "fl oz/sqft|floz/sqft": US_GAL_ML / 128 / SQFT_M2,
}, most=1e5)  # fmt: skip
# A spread is also written the other way round, as area for one volume: value = factor / number.
SPREAD_INVERSE = {
    "m2/l|m2 per l": 1000.0,
    "sqft/gal|ft2/gal|sq ft/gal|sqft per gal|sq ft per gallon|sqft/gallon": US_GAL_ML / SQFT_M2,
    "sqft/qt|ft2/qt|sqft/quart": US_GAL_ML / 4 / SQFT_M2,
    "sqft/imp gal|ft2/imp gal": UK_GAL_ML / SQFT_M2,
}
FILM = _kind("film", "um", "100 um, 3 mil", {
    "um|micron|microns|micrometre|micrometres": 1.0, "mm": 1000.0, "mil|mils|thou": INCH_MM,
}, most=1e5)  # fmt: skip
LOAD = _kind("load of resin", "g/m2", "3.5 g/m2", {
    "g/m2": 1.0, "mg/cm2": 10.0, "oz/sqft": OZ_G / SQFT_M2,
}, most=1e5)  # fmt: skip
TIME = _kind("time", "h", "30 min, 2 h, 3 days", {
    "s|sec|second|seconds": 1 / 3600, "min|minute|minutes": 1 / 60, "h|hr|hrs|hour|hours": 1.0,
    "d|day|days": 24.0, "week|weeks": 168.0,
}, most=1e6)  # fmt: skip
DENSITY = _kind("density", "g/ml", "1.14 g/ml", {
    "g/ml|g/cm3|kg/l": 1.0, "kg/m3|g/l": 1e-3, "lb/gal": LB_G / US_GAL_ML,
}, bare=True, most=1e3)  # fmt: skip
SPEED = _kind("air speed", "m/s", "0.1 m/s", {
    "m/s": 1.0, "ft/min|fpm": 0.3048 / 60, "km/h": 1 / 3.6,
}, bare=True, most=1e3)  # fmt: skip
AIR_CHANGES = _kind("number of air changes", "1/h", "0.5", {"1/h|/h|per hour|ach": 1.0}, bare=True,
                    most=1e4)  # fmt: skip
AIR_FLOW = _kind("flow of air", "m3/h", "200 m3/h, 120 cfm", {
    "m3/h|cbm/h": 1.0, "l/s": 3.6, "m3/min": 60.0, "m3/s": 3600.0,
    "cfm|cu ft/min|ft3/min|cuft/min": 60 * 0.3048**3,
}, most=1e6)  # fmt: skip
TEMPERATURE = Kind("temperature", "C", {"c": 1.0, "°c": 1.0, "f": 5 / 9, "°f": 5 / 9},
                   "21, 70 F", bare=True)  # fmt: skip
