"""Every unit's factor and offset, held against the units library `pint`.

The expected numbers come from pint's registry, not from our table: pint keeps its own definitions
(from CODATA and NIST Special Publication 811). Where a name means something else to pint, the unit
is built here from others by its definition, with the reason beside it.
"""

from __future__ import annotations

import math

import pint
import pytest

from flockcheck.text.quantities import DIMENSIONS, base_unit, parse_quantity, unit_factor
from flockcheck.text.unit_table import PAIRS

# Conversions in doubles, each of a few roundings.
TOLERANCE = 1e-12

REGISTRY: pint.UnitRegistry[float] = pint.UnitRegistry()

BASES = {
    "length": "m",
    "area": "m**2",
    "volume": "m**3",
    "mass": "kg",
    "force": "N",
    "pressure": "Pa",
    "speed": "m/s",
    "time": "day",
    "temperature": "degC",
    "temperature step": "delta_degC",
    "slope": "dimensionless",
    "share": "dimensionless",
    "count": "dimensionless",
    "number": "dimensionless",
    "load": "kg/m**2",
    "spread": "kg/hectare",
    "feed rate": "kg/day",
    "water rate": "m**3/day",
    "voltage": "V",
    "energy": "J",
}

# What pint calls each unit, whatever its dimension; TEMPERATURES has those that depend on it.
NAMES = {
    "": "dimensionless",
    "%": "percent",
    "mm": "millimeter",
    "cm": "centimeter",
    "m": "meter",
    "km": "kilometer",
    "in": "inch",
    "ft": "foot",
    "yd": "yard",
    "mile": "mile",
    "cm2": "cm**2",
    "m2": "m**2",
    "ha": "hectare",
    "sq in": "inch**2",
    "sq ft": "foot**2",
    "sq yd": "yard**2",
    # pint's acre is of the survey foot, given up in 2022; ours is 4840 square yards.
    "acre": "4840 * yard**2",
    "ml": "milliliter",
    "cl": "centiliter",
    "l": "liter",
    "m3": "m**3",
    "fl oz": "fluid_ounce",
    "pt": "pint",
    "qt": "quart",
    "gal": "gallon",
    "imp pt": "imperial_pint",
    "imp qt": "imperial_quart",
    "imp gal": "imperial_gallon",
    "g": "gram",
    "kg": "kilogram",
    "oz": "ounce",
    "lb": "pound",
    "N": "newton",
    "kN": "kilonewton",
    "kgf": "kilogram_force",
    "lbf": "pound_force",
    "Pa": "pascal",
    "kPa": "kilopascal",
    "MPa": "megapascal",
    "GPa": "gigapascal",
    "psi": "psi",
    "lbf/sq ft": "pound_force / foot**2",
    "m/s": "meter / second",
    "km/h": "kilometer / hour",
    "mph": "mile / hour",
    "ft/s": "foot / second",
    "kn": "knot",
    "minute": "minute",
    "hour": "hour",
    "day": "day",
    "week": "week",
    "year": "year",
    "kg/m2": "kilogram / meter**2",
    "lb/sq ft": "pound / foot**2",
    "kg/ha": "kilogram / hectare",
    "lb/acre": "pound / (4840 * yard**2)",
    "g/day": "gram / day",
    "kg/day": "kilogram / day",
    "oz/day": "ounce / day",
    "lb/day": "pound / day",
    "ml/day": "milliliter / day",
    "l/day": "liter / day",
    "m3/day": "meter**3 / day",
    "fl oz/day": "fluid_ounce / day",
    "gal/day": "gallon / day",
    "V": "volt",
    "kV": "kilovolt",
    "J": "joule",
}
TEMPERATURES = {
    "temperature": {"C": "degC", "F": "degF"},
    "temperature step": {"C": "delta_degC", "F": "delta_degF"},
}

# The list comes from the module, so that a new unit without a counterpart here fails.
UNITS = [
    (dimension, unit.name)
    for dimension, kind in DIMENSIONS.items()
    for unit in kind.units
    if unit.factor
]


def outside(number: float, name: str, dimension: str) -> float:
    """`number` of our unit `name` in our base unit, as pint has it."""
    theirs = TEMPERATURES.get(dimension, NAMES)[name]
    if dimension == "temperature":
        quantity = REGISTRY.Quantity(number, theirs)
    else:
        quantity = number * REGISTRY.parse_expression(theirs)
    return float(quantity.to(BASES[dimension]).magnitude)


def test_every_dimension_has_its_base_unit_outside() -> None:
    assert list(BASES) == list(DIMENSIONS)


@pytest.mark.parametrize(("dimension", "name"), UNITS)
def test_a_unit_s_factor_and_offset_are_those_of_pint(dimension: str, name: str) -> None:
    factor, offset = unit_factor(name or base_unit(dimension), dimension)
    # A degree of a thermometer is as large as one of a step.
    scale = "temperature step" if dimension == "temperature" else dimension
    assert factor == pytest.approx(outside(1.0, name, scale), rel=TOLERANCE)
    assert offset == pytest.approx(outside(0.0, name, dimension), rel=TOLERANCE)


@pytest.mark.parametrize(("dimension", "name"), UNITS)
@pytest.mark.parametrize("number", [3.6, 1250.0, -3.0])
def test_a_quantity_is_what_pint_makes_of_it(dimension: str, name: str, number: float) -> None:
    value = parse_quantity(f"{number} {name}", dimension).value
    assert value == pytest.approx(outside(number, name, dimension), rel=TOLERANCE)


@pytest.mark.parametrize("number", [-459.67, -40.0, 0.0, 32.0, 50.0, 98.6, 212.0])
def test_temperatures_are_those_of_pint_down_to_the_coldest_there_is(number: float) -> None:
    value = parse_quantity(f"{number} F", "temperature").value
    expected = outside(number, "F", "temperature")
    # pint goes by way of kelvins, which leaves it with about 1e-13 of them.
    assert value == pytest.approx(expected, rel=TOLERANCE, abs=1e-12 * 273.15)


@pytest.mark.parametrize("degrees", [0.5, 3.0, 30.0, 45.0, 60.0, 89.0])
def test_degrees_of_slope_become_the_tangent_of_pint_s_angle(degrees: float) -> None:
    angle = REGISTRY.Quantity(degrees, "degree").to("radian").magnitude
    value = parse_quantity(f"{degrees} deg", "slope").value
    assert value == pytest.approx(math.tan(angle), rel=TOLERANCE)


def test_degrees_are_the_only_unit_that_is_no_multiple() -> None:
    names = {unit.name for kind in DIMENSIONS.values() for unit in kind.units}
    assert names - {name for _, name in UNITS} == {"deg"}


@pytest.mark.parametrize("dimension", list(PAIRS))
def test_the_small_unit_of_a_pair_goes_as_often_into_the_large_one(dimension: str) -> None:
    large, small, many = PAIRS[dimension]
    assert outside(1.0, large, dimension) == pytest.approx(
        outside(many, small, dimension), rel=TOLERANCE
    )
