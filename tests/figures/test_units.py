"""Unit factors against pint, a general library of units, as the oracle."""

import pint
import pytest

from lacwright.figures import units as u

PINT = pint.UnitRegistry()

# Our kind -> pint's name of the bench unit, and the names that pint writes differently.
BENCH = [(u.MASS, "g"), (u.VOLUME, "ml"), (u.LENGTH, "mm"), (u.AREA, "m**2"), (u.ROOM, "m**3"),
         (u.TIME, "h"), (u.FILM, "um"), (u.LOAD, "g/m**2"), (u.DENSITY, "g/ml"), (u.SPEED, "m/s"),
         (u.AIR_CHANGES, "1/h"),
         (u.AIR_FLOW, "m**3/h"), (u.SHARE, ""), (u.CUT, "lb/US_liquid_gallon"),
         (u.SPREAD, "ml/m**2")]  # fmt: skip
WRITTEN = {
    "gr": "g", "gramme": "g", "grammes": "g", "kilo": "kg", "kilos": "kg", "oz weight": "oz",
    "oz av": "oz", "lbs": "lb", "cc": "cm**3", "cm3": "cm**3", "tsp": "teaspoon",
    "tbsp": "tablespoon", "fl oz": "fluid_ounce", "floz": "fluid_ounce",
    "fluid ounce": "fluid_ounce",
    "fluid oz": "fluid_ounce",
    "fluid ounces": "fluid_ounce", "us fl oz": "US_fluid_ounce", "us cup": "cup", "us cups": "cup",
    "us pint": "US_pint", "us pints": "US_pint", "us qt": "US_liquid_quart", "qt": "quart",
    "us quart": "US_liquid_quart", "us quarts": "US_liquid_quart", "gal": "US_liquid_gallon",
    "us gal": "US_liquid_gallon", "us gallon": "US_liquid_gallon",
    "us gallons": "US_liquid_gallon", "imp fl oz": "imperial_fluid_ounce",
    "uk fl oz": "imperial_fluid_ounce", "imperial fluid ounce": "imperial_fluid_ounce",
    "um": "um", '"': "inch", "'": "foot", "yd": "yard", "mm2": "mm**2", "cm2": "cm**2",
    "m2": "m**2", "sqm": "m**2", "sq in": "inch**2", "sqin": "inch**2", "in2": "inch**2",
    "sqft": "foot**2", "sq ft": "foot**2", "ft2": "foot**2", "square feet": "foot**2",
    "sq yd": "yard**2", "yd2": "yard**2", "m3": "m**3", "ft3": "foot**3", "cuft": "foot**3",
    "cu ft": "foot**3", "cubic feet": "foot**3", "mil": "thou", "mils": "thou",
    "hr": "hour", "hrs": "hour", "sec": "second", "g/m2": "g/m**2", "mg/cm2": "mg/cm**2",
    "oz/sqft": "oz/foot**2", "g/cm3": "g/cm**3", "kg/m3": "kg/m**3",
    "lb/gal": "lb/US_liquid_gallon", "fpm": "ft/min", "/h": "1/h", "per hour": "1/h",
    "ach": "1/h", "m3/h": "m**3/h", "cbm/h": "m**3/h", "m3/min": "m**3/min", "m3/s": "m**3/s",
    "cfm": "foot**3/min", "cu ft/min": "foot**3/min", "ft3/min": "foot**3/min",
    "cuft/min": "foot**3/min", "%": "percent", "pct": "percent", "per cent": "percent",
    "lb": "lb", "ml/m2": "ml/m**2", "ml per m2": "ml/m**2", "l/m2": "l/m**2",
    "fl oz/sqft": "fluid_ounce/foot**2", "floz/sqft": "fluid_ounce/foot**2",
    "g/l": "g/l", "g per l": "g/l", "g/100 ml": "g/(100 ml)", "g/100ml": "g/(100 ml)",
    "oz/pint": "oz/US_pint", "oz/pt": "oz/US_pint", "oz/qt": "oz/US_liquid_quart",
    "oz/quart": "oz/US_liquid_quart",
}  # fmt: skip


def in_pint(name, kind):
    for imperial in ("imperial ", "imp ", "uk "):
        for names, unit in (("pint pints", "pint"), ("qt quart", "quart"),
                            ("gal gallon gallons", "gallon")):  # fmt: skip
            if name in [imperial + n for n in names.split()]:
                return f"imperial_{unit}"
    if kind is u.CUT and "/" not in name and "per" not in name:
        return "lb/US_liquid_gallon"  # a cut is pounds per US gallon
    if kind is u.CUT and name.startswith("lb"):
        imperial = "imp" in name or "uk" in name
        return "lb/imperial_gallon" if imperial else "lb/US_liquid_gallon"
    return WRITTEN.get(name, name)


@pytest.mark.parametrize(("kind", "bench"), BENCH, ids=lambda k: getattr(k, "name", ""))
def test_factors_agree_with_pint(kind, bench):
    for name, factor in kind.units.items():
        by_pint = PINT(in_pint(name, kind)).to(bench).magnitude
        assert factor == pytest.approx(by_pint, rel=1e-9), name


def test_area_per_volume_agrees_with_pint():
    written = {"m2/l": "m**2/l", "m2 per l": "m**2/l"}
    for names, factor in u.SPREAD_INVERSE.items():
        for name in names.split("|"):
            _, _, volume = name.replace(" per ", "/").partition("/")
            by_hand = f"foot**2/{in_pint(volume, u.VOLUME)}"
            by_pint = 1 / PINT.Quantity(1, written.get(name, by_hand)).to("m**2/ml").magnitude
            assert factor == pytest.approx(by_pint, rel=1e-9), name


@pytest.mark.parametrize(("text", "unit"), [("f", "degF"), ("°f", "degF"), ("c", "degC")])
def test_temperatures_agree_with_pint(text, unit):
    from lacwright.figures.quantities import read

    for number in (-40, 32, 70, 212):
        by_pint = PINT.Quantity(number, unit).to("degC").magnitude
        assert read(f"{number} {text}", u.TEMPERATURE, "w") == pytest.approx(by_pint, abs=1e-9)


def test_every_kind_is_compared():
    kinds = {v.name for v in vars(u).values() if isinstance(v, u.Kind)}
    assert kinds == {kind.name for kind, _ in BENCH} | {u.TEMPERATURE.name}


def test_named_factors():
    assert pytest.approx(PINT.Quantity(1, "lb/US_liquid_gallon").to("g/l").m) == u.G_PER_L_PER_CUT
    one_mil = PINT.Quantity(1, "US_liquid_gallon/thou").to("foot**2").m
    assert pytest.approx(one_mil) == u.SQFT_GAL_AT_1_MIL
    assert PINT.Quantity(0, "degC").to("kelvin").m == u.ZERO_C_K
