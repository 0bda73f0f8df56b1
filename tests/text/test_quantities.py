from __future__ import annotations

import math
import pickle
import re
import subprocess
import sys

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from flockcheck.text.quantities import (
    DIMENSIONS,
    Quantity,
    QuantityError,
    base_unit,
    dimension_of,
    parse_quantity,
    pattern_for,
    show,
    show_apart,
    unit_factor,
)
from flockcheck.text.unit_table import PAIRS

FAMILIES = ("us", "metric", "")


def error_of(text: str, dimension: str) -> QuantityError:
    with pytest.raises(QuantityError) as caught:
        parse_quantity(text, dimension)
    return caught.value


def is_read(text: str, dimension: str) -> bool:
    try:
        parse_quantity(text, dimension)
    except QuantityError:
        return False
    return True


# --- Reading -------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "dimension", "value", "family"),
    [
        # Every text of the ground rules of the setup format.
        ("12 ft", "length", 12 * 0.3048, "us"),
        ("3.6 m", "length", 3.6, "metric"),
        ("24 in", "length", 0.6096, "us"),
        ("36 F", "temperature", 20 / 9, "us"),
        ("2 C", "temperature", 2.0, "metric"),
        ("5 gal", "volume", 0.01892705892, "us"),
        ("5 imp gal", "volume", 0.02273045, "metric"),
        ("19 l", "volume", 0.019, "metric"),
        ("45 kg", "mass", 45.0, "metric"),
        ("98 lb", "mass", 98 * 0.45359237, "us"),
        ("6 %", "slope", 0.06, ""),
        ("6 %", "share", 0.06, ""),
        ("3 deg", "slope", math.tan(math.radians(3)), ""),
        ("1 in 16", "slope", 0.0625, ""),
        ("35 mph", "speed", 35 * 0.44704, "us"),
        ("14 m/s", "speed", 14.0, "metric"),
        ("1 day", "time", 1.0, ""),
        ("0.4 ha", "area", 4000.0, "metric"),
        ("1/3 acre", "area", 4046.8564224 / 3, "us"),
        ("0.09 mm", "length", 0.00009, "metric"),
        ("6 kV", "voltage", 6000.0, ""),
        ("2 ft 6 in", "length", 0.762, "us"),
        ("3 1/2 in", "length", 0.0889, "us"),
        ("6' 4\"", "length", 76 * 0.0254, "us"),
        ("120 sq ft", "area", 120 * 0.09290304, "us"),
        ("11 m2", "area", 11.0, "metric"),
        ("40 kg/ha", "spread", 40.0, "metric"),
        ("36 lb/acre", "spread", 36 * 0.45359237 / 0.40468564224, "us"),
        ("12 weeks", "time", 84.0, ""),
        ("3 years", "time", 1095.75, ""),
        ("400 N", "force", 400.0, "metric"),
        ("90 lbf", "force", 90 * 4.4482216152605, "us"),
        ("25 km/h", "speed", 25 / 3.6, "metric"),
        ("10 kn", "speed", 18520 / 3600, ""),
        ("12 mm", "length", 0.012, "metric"),
        ("500 g", "mass", 0.5, "metric"),
        ("8 oz", "mass", 0.2267961850, "us"),
        ("500 ml", "volume", 0.0005, "metric"),
        ("1 qt", "volume", 0.000946352946, "us"),
        # What tables and rules need beside.
        ("3 lb/sq ft", "load", 3 * 0.45359237 / 0.09290304, "us"),
        ("15 kg/m2", "load", 15.0, "metric"),
        ("110 g/day", "feed rate", 0.11, "metric"),
        ("1 lb/day", "feed rate", 0.45359237, "us"),
        ("250 ml/day", "water rate", 0.00025, "metric"),
        ("2 gal/day", "water rate", 0.007570823568, "us"),
        ("9 F", "temperature step", 5.0, "us"),
        ("5 C", "temperature step", 5.0, "metric"),
        ("0.5 J", "energy", 0.5, ""),
        ("15 psi", "pressure", 15 * 6894.757293168361, "us"),
        ("36", "count", 36.0, ""),
        ("1/180", "number", 1 / 180, ""),
    ],
)
def test_a_quantity_is_read_in_base_units_with_its_family(
    text: str, dimension: str, value: float, family: str
) -> None:
    read = parse_quantity(text, dimension)
    assert read == Quantity(read.value, dimension, family)
    assert read.value == pytest.approx(value, rel=1e-14)


@pytest.mark.parametrize(
    ("text", "dimension", "same_as"),
    [
        ("12ft", "length", "12 ft"),
        ("12\u00a0ft", "length", "12 ft"),
        ("  12   ft \n", "length", "12 ft"),
        ("12 FT", "length", "12 ft"),
        ("12 Feet", "length", "12 ft"),
        ("1 foot", "length", "1 ft"),
        ("12'", "length", "12 ft"),
        ("12\u2019", "length", "12 ft"),
        ("6'4\"", "length", "76 in"),
        ("6\u2032 4\u2033", "length", "76 in"),
        ("6\u2019 4\u201d", "length", "76 in"),
        ("6 ft 4 1/2 in", "length", "76.5 in"),
        ("6 feet 4.5 inches", "length", "76.5 in"),
        ("6ft4in", "length", "76 in"),
        ("6 ft 04 in", "length", "76 in"),
        ("6 ft 1/2 in", "length", "72.5 in"),
        ("6 ft .5 in", "length", "72.5 in"),
        ("-2 ft 6 in", "length", "-30 in"),
        (".5 in", "length", "0.5 in"),
        ("1/2 in", "length", "0.5 in"),
        ("7/2 in", "length", "3.5 in"),
        ("3 yards", "length", "9 ft"),
        ("4 lb 6 oz", "mass", "70 oz"),
        ("4 lbs 6 ounces", "mass", "70 oz"),
        ("3 weeks 2 days", "time", "23 days"),
        ("24 hours", "time", "1 day"),
        ("11 m\u00b2", "area", "11 m2"),
        ("11 sq m", "area", "11 m2"),
        ("120 Square Feet", "area", "120 sq ft"),
        ("2 acres", "area", "2 acre"),
        ("43560 sq ft", "area", "1 acre"),
        ("19 L", "volume", "19 l"),
        ("500 ML", "volume", "500 ml"),
        ("19 litres", "volume", "19 liters"),
        ("4 qt", "volume", "1 gal"),
        ("8 pints", "volume", "1 gal"),
        ("128 fl oz", "volume", "1 gal"),
        ("4 imp qt", "volume", "1 imp gal"),
        ("\u22123 C", "temperature", "-3 C"),
        ("-3 c", "temperature", "-3 C"),
        ("20\u00b0C", "temperature", "20 C"),
        ("20 \u00baC", "temperature", "20 C"),
        ("20 deg C", "temperature", "20 C"),
        ("68 f", "temperature", "20 C"),
        ("68 \u00b0F", "temperature", "20 C"),
        ("-40 F", "temperature", "-40 C"),
        ("5%", "slope", "5 %"),
        ("5 percent", "slope", "5 %"),
        ("3\u00b0", "slope", "3 deg"),
        ("45 degrees", "slope", "100 %"),
        ("-45 deg", "slope", "-100 %"),
        ("1 IN 20", "slope", "5 %"),
        ("0.5 in 10", "slope", "5 %"),
        ("6 KV", "voltage", "6 kV"),
        ("6000 volts", "voltage", "6 kV"),
        ("5 j", "energy", "5 joules"),
        ("400 n", "force", "400 N"),
        ("90 kph", "speed", "25 m/s"),
        ("10 knots", "speed", "18.52 km/h"),
        ("2 mpa", "pressure", "2000 kPa"),
        ("1 psi", "pressure", "144 psf"),
        ("3 lb/ft\u00b2", "load", "3 lb/sq ft"),
        ("330 ml/d", "water rate", "0.33 l/day"),
    ],
)
def test_spellings_of_one_quantity_are_read_alike(text: str, dimension: str, same_as: str) -> None:
    read, same = parse_quantity(text, dimension), parse_quantity(same_as, dimension)
    assert read.value == pytest.approx(same.value, rel=1e-12)


def test_every_spelling_in_the_table_is_read_as_its_unit() -> None:
    for dimension, kind in DIMENSIONS.items():
        for unit in kind.units:
            for name in (*unit.spellings, unit.many):
                read = parse_quantity(f"2 {name}", dimension)
                if unit.factor:
                    assert read.value == 2 * unit.factor + unit.offset, name
                assert read.family == unit.family, name


def test_no_spelling_means_two_units_of_one_dimension() -> None:
    for dimension, kind in DIMENSIONS.items():
        names = [name.lower() for unit in kind.units for name in unit.spellings]
        assert sorted(set(names)) == sorted(names), dimension


def test_feet_with_inches_are_the_very_same_number_as_inches() -> None:
    assert parse_quantity("7 ft 11 3/4 in", "length") == parse_quantity("95 3/4 in", "length")


def test_a_minus_zero_is_zero() -> None:
    assert math.copysign(1.0, parse_quantity("-0 C", "temperature").value) == 1.0


def test_freezing_and_boiling_water_come_out_exactly() -> None:
    assert parse_quantity("32 F", "temperature").value == 0.0
    assert parse_quantity("212 F", "temperature").value == 100.0


# --- What can't be read --------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "dimension", "would_do"),
    [
        ("12", "length", "12 ft, 12 in, 12 m or 12 cm"),
        ("1/3", "area", "1/3 sq ft, 1/3 acre, 1/3 m2 or 1/3 ha"),
        ("5", "volume", "5 gal, 5 qt, 5 l or 5 ml"),
        ("98", "mass", "98 lb, 98 oz, 98 kg or 98 g"),
        ("400", "force", "400 lbf, 400 N or 400 kgf"),
        ("15", "pressure", "15 psi, 15 kPa or 15 Pa"),
        ("35", "speed", "35 mph, 35 m/s or 35 km/h"),
        ("1", "time", "1 day, 1 week, 1 hour or 1 year"),
        ("12", "time", "12 days, 12 weeks, 12 hours or 12 years"),
        ("-3", "temperature", "-3 F or -3 C"),
        ("5", "temperature step", "5 F or 5 C"),
        ("5", "slope", "5 % or 5 deg"),
        ("60", "share", "60 %"),
        ("0.6", "share", "60 % or 0.6 %"),
        ("15", "load", "15 lb/sq ft or 15 kg/m2"),
        ("40", "spread", "40 lb/acre or 40 kg/ha"),
        ("110", "feed rate", "110 lb/day, 110 kg/day or 110 g/day"),
        ("250", "water rate", "250 gal/day, 250 l/day or 250 ml/day"),
        ("6", "voltage", "6 kV or 6 V"),
        ("0.5", "energy", "0.5 J"),
    ],
)
def test_a_bare_number_names_the_units_that_would_do(
    text: str, dimension: str, would_do: str
) -> None:
    error = error_of(text, dimension)
    assert (error.says, error.would_do) == (f"`{text}` has no unit", would_do)


@pytest.mark.parametrize(
    ("dimension", "would_do"),
    [
        ("length", "a length such as 12 ft or 3.6 m"),
        ("area", "an area such as 120 sq ft or 11 m2"),
        ("volume", "a volume such as 5 gal or 19 l"),
        ("mass", "a weight such as 98 lb or 45 kg"),
        ("force", "a force such as 90 lbf or 400 N"),
        ("pressure", "a pressure such as 15 psi or 100 kPa"),
        ("speed", "a speed such as 35 mph or 14 m/s"),
        ("time", "a time such as 1 day or 12 weeks"),
        ("temperature", "a temperature such as 36 F or 2 C"),
        ("temperature step", "a difference of temperatures such as 9 F or 5 C"),
        ("slope", "a slope such as 5 %, 3 deg or 1 in 16"),
        ("share", "a share such as 60 %"),
        ("count", "a number such as 36"),
        ("number", "a number such as 0.5"),
        ("load", "a load on the floor such as 3 lb/sq ft or 15 kg/m2"),
        ("spread", "an amount on the ground such as 36 lb/acre or 40 kg/ha"),
        ("feed rate", "an amount of feed a day such as 0.25 lb/day or 110 g/day"),
        ("water rate", "an amount of water a day such as 2 gal/day or 250 ml/day"),
        ("voltage", "a voltage such as 6 kV"),
        ("energy", "an energy such as 0.5 J"),
    ],
)
def test_an_empty_text_says_so_and_what_the_dimension_takes(dimension: str, would_do: str) -> None:
    for text in ("", "   "):
        error = error_of(text, dimension)
        assert (error.says, error.would_do) == ("nothing is written", would_do)


def test_the_table_of_empty_texts_above_leaves_no_dimension_out() -> None:
    marks = test_an_empty_text_says_so_and_what_the_dimension_takes.pytestmark  # type: ignore[attr-defined]
    assert [row[0] for row in marks[0].args[1]] == list(DIMENSIONS)


def test_every_example_in_a_message_is_read_itself() -> None:
    for dimension, kind in DIMENSIONS.items():
        for text in re.split(", | or ", kind.such_as):
            parse_quantity(text, dimension)


@pytest.mark.parametrize(
    ("text", "dimension", "says", "would_do"),
    [
        # Decimal commas and thousands.
        ("3,6 m", "length", "`3,6 m` has a comma in its number", "3.6 m"),
        (
            "1,200 g",
            "mass",
            "`1,200 g` has a comma in its number",
            "1200 g, or 1.200 g if the comma begins decimals",
        ),
        ("1,200,000 g", "mass", "`1,200,000 g` has a comma in its number", "1200000 g"),
        ("1 200 g", "mass", "`1 200 g` has its thousands set apart", "1200 g"),
        ("1'200 g", "mass", "`1'200 g` has its thousands set apart", "1200 g"),
        ("1_200 g", "mass", "`1_200 g` has its thousands set apart", "1200 g"),
        (
            "3,6",
            "length",
            "`3,6` has a comma in its number",
            "a length such as 12 ft or 3.6 m",
        ),
        # Months.
        (
            "3 m",
            "time",
            "`3 m` is a length, or months, which differ in their days",
            "days or weeks, such as 91 days",
        ),
        (
            "2 months",
            "time",
            "`2 months` is not exact: months differ in their days",
            "days or weeks, such as 61 days",
        ),
        # Numbers that are none.
        (
            "nan m",
            "length",
            "`nan m` does not begin with a number",
            "a length such as 12 ft or 3.6 m",
        ),
        (
            ".inf m",
            "length",
            "`.inf m` does not begin with a number",
            "a length such as 12 ft or 3.6 m",
        ),
        ("1e3 m", "length", "`1e3 m` has a number with an exponent", "1000 m"),
        (
            "1e999 m",
            "length",
            "`1e999 m` has a number with an exponent",
            "a length such as 12 ft or 3.6 m",
        ),
        (
            "12345678901 m",
            "length",
            "`12345678901 m` has more digits than are read",
            "a length such as 12 ft or 3.6 m",
        ),
        ("1.2.3 m", "length", "`1.2.3` is no number", "a length such as 12 ft or 3.6 m"),
        ("1/0 acre", "area", "`1/0 acre` divides by 0", "an area such as 120 sq ft or 11 m2"),
        ("5. m", "length", "`5. m` has a point after its number", "5 m"),
        ("+3 C", "temperature", "`+3 C` has a plus sign", "3 C"),
        (
            "\u20133 C",
            "temperature",
            "`\u20133 C` has no plain minus before its number",
            "-3 C",
        ),
        (
            "minus 3 C",
            "temperature",
            "`minus 3 C` has no plain minus before its number",
            "-3 C",
        ),
        ("about 12 ft", "length", "`about 12 ft` does not begin with a number", "12 ft"),
        ("many", "count", "`many` does not begin with a number", "a number such as 36"),
        # Fractions.
        ("3\u00bd in", "length", "`3\u00bd in` has a fraction in one sign", "3 1/2 in"),
        ("3-1/2 in", "length", "`3-1/2 in` has a hyphen before its fraction", "3 1/2 in"),
        ("1 / 3 acre", "area", "`1 / 3 acre` has spaces in its fraction", "1/3 acre"),
        (
            "-3 5/2 in",
            "length",
            "`-3 5/2 in` has a fraction that does not go with a whole number",
            "-5.5 in",
        ),
        (
            "3 2/7 in",
            "length",
            "`3 2/7 in` has a fraction that does not go with a whole number",
            "3.2857 in",
        ),
        # Two numbers.
        ("2-3 ft", "length", "`2-3 ft` is a range", "one figure: 2 ft or 3 ft"),
        ("10 lb to 12 lb", "mass", "`10 lb to 12 lb` is a range", "one figure: 10 lb or 12 lb"),
        ("6' 4", "length", "`6' 4` has no unit after its second number", "6' 4 in"),
        (
            "6 ft, 4 in",
            "length",
            "`6 ft, 4 in` has more than a space in the middle",
            "6 ft 4 in",
        ),
        ("6 ft 14 in", "length", "`6 ft 14 in` needs whole ft and fewer than 12 in", "86 in"),
        ("2.5 ft 6 in", "length", "`2.5 ft 6 in` needs whole ft and fewer than 12 in", "36 in"),
        (
            "3 weeks 9 days",
            "time",
            "`3 weeks 9 days` needs whole weeks and fewer than 7 days",
            "30 days",
        ),
        ("1 m 20 cm", "length", "`1 m 20 cm` is two measures", "120 cm"),
        # Unknown units.
        ("12 feeet", "length", "no unit is called `feeet`", "12 feet"),
        ("12 ft.", "length", "no unit is called `ft.`", "12 ft"),
        ("5 galon", "volume", "no unit is called `galon`", "5 gallons"),
        ("1 galon", "volume", "no unit is called `galon`", "1 gallon"),
        ("2 dyas", "time", "no unit is called `dyas`", "2 days"),
        ("60 Celsus", "temperature", "no unit is called `Celsus`", "60 celsius"),
        ("5 imperial gallons", "volume", "no unit is called `imperial gallons`", "5 imp gallons"),
        ("3 lb / sq ft", "load", "no unit is called `lb / sq ft`", "3 lb/sq ft"),
        ("15 kg per m2", "load", "`15 kg per m2` has `per` in its unit", "15 kg/m2"),
        (
            "12 parsecs",
            "length",
            "no unit is called `parsecs`",
            "a length such as 12 ft or 3.6 m",
        ),
        ("36 birds", "count", "`36 birds` has more than a number", "36"),
        # Units of another dimension.
        (
            "12 lb",
            "length",
            "`12 lb` is a weight, not a length",
            "a length such as 12 ft or 3.6 m",
        ),
        (
            "12 m",
            "area",
            "`12 m` is a length, not an area",
            "an area such as 120 sq ft or 11 m2",
        ),
        (
            "8 oz",
            "volume",
            "`8 oz` is a weight, not a volume",
            "a volume such as 5 gal or 19 l",
        ),
        (
            "5 %",
            "length",
            "`5 %` is a slope or a share, not a length",
            "a length such as 12 ft or 3.6 m",
        ),
        (
            "5 C",
            "slope",
            "`5 C` is a temperature, not a slope",
            "a slope such as 5 %, 3 deg or 1 in 16",
        ),
        ("90 lb", "force", "`90 lb` is a weight, not a force", "90 lbf"),
        ("12 ft", "count", "`12 ft` is a length, not a number", "a number such as 36"),
        (
            "5 l",
            "water rate",
            "`5 l` is a volume, not an amount of water a day",
            "an amount of water a day such as 2 gal/day or 250 ml/day",
        ),
        # Angles and slopes.
        ("20 deg", "temperature", "`20 deg` leaves open which degrees", "20 C or 20 F"),
        ("1:16", "slope", "`1:16` does not say that it is a fall over a run", "1 in 16"),
        ("1/16", "slope", "`1/16` does not say that it is a fall over a run", "1 in 16"),
        (
            "1 in 0",
            "slope",
            "`1 in 0` is no fall over a run of 1 or more",
            "a slope such as 5 %, 3 deg or 1 in 16",
        ),
        (
            "90 deg",
            "slope",
            "`90 deg` is upright or past it",
            "a slope under 90 deg, such as 5 %, 3 deg or 1 in 16",
        ),
    ],
)
def test_a_text_that_is_no_quantity_says_what_is_wrong_and_what_would_do(
    text: str, dimension: str, says: str, would_do: str
) -> None:
    error = error_of(text, dimension)
    assert (error.says, error.would_do) == (says, would_do)


def test_a_long_or_unprintable_text_is_shown_short_and_on_one_line() -> None:
    assert error_of("12 ft " * 5000, "length").says == (
        "`12 ft 12 ft 12 ft 12 ft 12 ft 12 ft 1...` is too long"
    )
    assert error_of("12 \x00\u2028ft\x1b[31m", "length").says == "no unit is called `? ft?[31m`"


def test_an_error_reads_as_one_sentence_and_survives_a_process_pool() -> None:
    error = error_of("12 feeet", "length")
    assert str(error) == "no unit is called `feeet`; it takes 12 feet"
    copy = pickle.loads(pickle.dumps(error))
    assert (copy.says, copy.would_do, str(copy)) == (error.says, error.would_do, str(error))


@pytest.mark.parametrize(
    "ask",
    [
        lambda: parse_quantity("12 ft", "lenght"),
        lambda: show(1.0, "lenght"),
        lambda: show_apart(1.0, 2.0, "lenght", "us"),
        lambda: base_unit("lenght"),
        lambda: unit_factor("ft", "lenght"),
        lambda: pattern_for("lenght"),
    ],
)
def test_an_unknown_dimension_is_a_mistake_of_ours_and_names_those_there_are(ask: object) -> None:
    assert callable(ask)
    with pytest.raises(
        ValueError, match="no dimension is called `lenght`; there are length, "
    ) as e:
        ask()
    assert not isinstance(e.value, QuantityError)


# --- Dimensions and factors ----------------------------------------------------------------------


def test_a_dimension_is_found_by_its_name_and_by_its_base_unit() -> None:
    assert dimension_of("kg/m2") == "load"
    assert dimension_of("kg/ha") == "spread"
    assert dimension_of("deg C") == "temperature"
    assert dimension_of("deg C step") == "temperature step"
    assert dimension_of("1") == "number"
    for dimension in DIMENSIONS:
        assert dimension_of(dimension) == dimension
        if base_unit(dimension) != "1":
            assert dimension_of(base_unit(dimension)) == dimension


def test_an_unknown_word_for_a_dimension_names_those_there_are() -> None:
    with pytest.raises(ValueError, match=r"^`kgm2` is no dimension and no base unit; there are"):
        dimension_of("kgm2")


def test_a_column_s_unit_gives_factor_and_offset() -> None:
    assert unit_factor("in", "length") == (0.0254, 0.0)
    assert unit_factor("Days", "time") == (1.0, 0.0)
    assert unit_factor("F", "temperature") == (5 / 9, -160 / 9)
    assert unit_factor("F", "temperature step") == (5 / 9, 0.0)
    assert unit_factor("%", "share") == (0.01, 0.0)
    for dimension in DIMENSIONS:
        assert unit_factor(base_unit(dimension), dimension) == (1.0, 0.0)


@pytest.mark.parametrize(
    ("unit", "dimension", "says", "would_do"),
    [
        ("lb", "length", "`lb` measures a weight, not a length", "ft, in, m or cm"),
        ("inchs", "length", "no unit is called `inchs`", "inches"),
        ("xyzzy", "length", "no unit is called `xyzzy`", "ft, in, m or cm"),
        ("", "length", "no unit is given", "ft, in, m or cm"),
        ("deg", "slope", "`deg` is no multiple of a slope", "%"),
        ("birds", "count", "no unit is called `birds`", "1"),
    ],
)
def test_a_column_s_unit_that_is_none_says_what_is_wrong(
    unit: str, dimension: str, says: str, would_do: str
) -> None:
    with pytest.raises(QuantityError) as caught:
        unit_factor(unit, dimension)
    assert (caught.value.says, caught.value.would_do) == (says, would_do)


# --- Showing -------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("value", "dimension", "metric", "us"),
    [
        (2.4384, "length", "2.44 m", "8 ft"),
        (2.5908, "length", "2.59 m", "8.5 ft"),
        (0.762, "length", "76.2 cm", "30 in"),
        (0.9144, "length", "91.4 cm", "3 ft"),
        (36 * 0.0254, "length", "91.4 cm", "3 ft"),
        (0.0117, "length", "11.7 mm", "0.461 in"),
        (0.0127, "length", "12.7 mm", "0.5 in"),
        (0.09996, "length", "10 cm", "3.94 in"),
        (0.99996, "length", "1 m", "3.28 ft"),
        (0.0, "length", "0 mm", "0 in"),
        (-0.005, "length", "-5 mm", "-0.197 in"),
        (12345.6, "length", "12346 m", "40504 ft"),
        (10.4, "area", "10.4 m2", "112 sq ft"),
        (0.005, "area", "50 cm2", "7.75 sq in"),
        (2023.4282112, "area", "0.202 ha", "0.5 acre"),
        (8093.7128448, "area", "0.809 ha", "2 acres"),
        (0.019, "volume", "19 l", "5.02 gal"),
        (0.00025, "volume", "250 ml", "8.45 fl oz"),
        (45.359237, "mass", "45.4 kg", "100 lb"),
        (0.05, "mass", "50 g", "1.76 oz"),
        (400.0, "force", "400 N", "89.9 lbf"),
        (500.0, "pressure", "500 Pa", "10.4 lbf/sq ft"),
        (2e6, "pressure", "2 MPa", "290 psi"),
        (15.0, "speed", "15 m/s", "33.6 mph"),
        (15.0, "load", "15 kg/m2", "3.07 lb/sq ft"),
        (40.0, "spread", "40 kg/ha", "35.7 lb/acre"),
        (0.11, "feed rate", "110 g/day", "3.88 oz/day"),
        (4.5359237, "feed rate", "4.54 kg/day", "10 lb/day"),
        (0.00025, "water rate", "250 ml/day", "8.45 fl oz/day"),
        (0.007570823568, "water rate", "7.57 l/day", "2 gal/day"),
        (0.0, "temperature", "0 C", "32 F"),
        (-40.0, "temperature", "-40 C", "-40 F"),
        (20 / 9, "temperature", "2.22 C", "36 F"),
        (5.0, "temperature step", "5 C", "9 F"),
    ],
)
def test_a_number_is_shown_in_the_unit_that_suits_family_and_size(
    value: float, dimension: str, metric: str, us: str
) -> None:
    assert (show(value, dimension), show(value, dimension, "us")) == (metric, us)


@pytest.mark.parametrize(
    ("value", "dimension", "shown"),
    [
        (0.05, "slope", "5 %"),
        (0.0625, "slope", "6.25 %"),
        (0.6, "share", "60 %"),
        (0.0, "time", "0 minutes"),
        (1 / 1440, "time", "1 minute"),
        (1 / 24, "time", "1 hour"),
        (0.5, "time", "12 hours"),
        (1.0, "time", "1 day"),
        (2.0, "time", "2 days"),
        (84.0, "time", "84 days"),
        (1095.75, "time", "3 years"),
        (6000.0, "voltage", "6 kV"),
        (500.0, "voltage", "500 V"),
        (0.5, "energy", "0.5 J"),
        (36.0, "count", "36"),
        (1234.4, "count", "1234"),
        (1 / 3, "number", "0.333"),
        (1e-4, "number", "0.0001"),
        (1e15, "number", "1000000000000000"),
    ],
)
def test_what_both_families_share_is_shown_alike(value: float, dimension: str, shown: str) -> None:
    assert {show(value, dimension, family) for family in FAMILIES} == {shown}


def test_more_digits_can_be_asked_for() -> None:
    assert show(14.974999, "load", "metric", 5) == "14.975 kg/m2"


def test_what_is_dust_of_a_conversion_is_shown_as_zero_without_a_minus() -> None:
    assert show(-1e-12, "length") == "0 mm"
    assert show(-1e-17, "temperature") == "0 C"


def test_a_value_without_end_and_one_that_is_none_are_shown_in_words() -> None:
    assert show(math.inf, "time") == "no limit"
    assert show(-math.inf, "time") == "no limit below"
    assert show(math.nan, "time") == "unknown"


@pytest.mark.parametrize(
    ("value", "limit", "dimension", "family", "shown"),
    [
        (14.97, 15.0, "load", "metric", ("14.97 kg/m2", "15 kg/m2")),
        (14.99996, 15.0, "load", "metric", ("14.99996 kg/m2", "15 kg/m2")),
        (18.9, 15.0, "load", "metric", ("18.9 kg/m2", "15 kg/m2")),
        (15.0, 15.0, "load", "metric", ("15 kg/m2", "15 kg/m2")),
        (15.0 * (1 + 1e-12), 15.0, "load", "metric", ("15 kg/m2", "15 kg/m2")),
        # One unit for both where they lie near each other or one is nothing ...
        (0.0999, 0.1, "length", "metric", ("9.99 cm", "10 cm")),
        (0.9, 0.95, "length", "us", ("2.95 ft", "3.12 ft")),
        (-0.005, 0.0, "length", "metric", ("-5 mm", "0 mm")),
        (0.0, 0.6, "length", "metric", ("0 cm", "60 cm")),
        # ... and the unit of each where they do not.
        (0.012, 2.0, "length", "metric", ("12 mm", "2 m")),
        (math.inf, 2.0, "time", "", ("no limit", "2 days")),
        (2.0, math.inf, "time", "", ("2 days", "no limit")),
        (math.nan, 2.0, "time", "", ("unknown", "2 days")),
    ],
)
def test_a_value_and_its_limit_are_shown_apart(
    value: float, limit: float, dimension: str, family: str, shown: tuple[str, str]
) -> None:
    assert show_apart(value, limit, dimension, family) == shown


dimensions = st.sampled_from(list(DIMENSIONS))
sizes = st.floats(-1e5, 1e5) | st.floats(-100, 100) | st.floats(-0.1, 0.1)


@given(sizes, dimensions, st.sampled_from(FAMILIES))
@example(-1e-12, "length", "metric")
@example(0.9144 - 1e-16, "length", "us")
@example(1 - 1e-9, "time", "")
def test_what_is_shown_is_read_back_within_the_digits_shown(
    value: float, dimension: str, family: str
) -> None:
    shown = show(value, dimension, family)
    assert "e" not in shown.partition(" ")[0]
    assert not re.match(r"-0(?![.0-9])", shown)
    assert not re.search(r"\.[0-9]*0(?![0-9])", shown)
    read = parse_quantity(shown, dimension)
    factor, _ = unit_factor(shown.partition(" ")[2] or "1", dimension)
    # Half of the last of three digits of the number shown, or of the last decimal.
    number = abs(float(shown.partition(" ")[0]))
    step = max(min(10 ** (math.floor(math.log10(number)) - 2), 1) if number else 0, 1e-4)
    # 9.996 is shown as 10: its third digit was one place further.
    assert abs(read.value - value) <= 0.5000001 * step * factor + 1e-9 * abs(value)


@given(sizes, st.floats(-0.1, 0.1), dimensions, st.sampled_from(FAMILIES))
@example(15.0, -1e-6, "load", "us")
def test_two_different_numbers_are_never_shown_alike(
    limit: float, change: float, dimension: str, family: str
) -> None:
    value = limit * (1 + change)
    shown = show_apart(value, limit, dimension, family)
    kind = DIMENSIONS[dimension]
    dust = 1e-12 * max(unit.factor for unit in kind.units)
    # A temperature in F has lost the last of its digits to the offset.
    if not math.isclose(value, limit, rel_tol=2e-9, abs_tol=max(dust, 1e-9)):
        assert shown[0] != shown[1]
        parse_quantity(shown[0], dimension)
        parse_quantity(shown[1], dimension)


# --- Any text ------------------------------------------------------------------------------------


@given(st.text() | st.text("0123456789 -/.,'\"ftincmkglboze%\u2212\u00bd\u00b2"), dimensions)
@example("1" * 400 + " m", "length")
@example("1e400 m", "length")
@example("1 " + "9" * 400 + "/1 m", "length")
@example("1/" + "0" * 400 + " m", "length")
@example("\u0661\u0662 ft", "length")
@example("1\u00b2 ft", "length")
@example("12 \u212ag", "mass")
@example("." * 60, "length")
@example("1 in \u00bd", "slope")
def test_any_text_is_read_or_refused_in_words_and_nothing_else(text: str, dimension: str) -> None:
    try:
        quantity = parse_quantity(text, dimension)
    except QuantityError as error:
        for part in (error.says, error.would_do):
            assert part
            assert part.isprintable()
            assert len(part) < 250
    else:
        assert math.isfinite(quantity.value)


wholes = st.integers(0, 130).map(str) | st.from_regex("[0-9]{1,11}", fullmatch=True)
fractions = st.tuples(st.integers(0, 70), st.integers(0, 70)).map(
    lambda pair: "{}/{}".format(*pair)
)
numbers = st.one_of(
    wholes,
    fractions,
    st.tuples(wholes, fractions).map(" ".join),
    st.from_regex(r"[0-9]{0,3}\.[0-9]{0,22}", fullmatch=True),
    st.sampled_from(["1,5", "1e3", "+3", "\u0663", "1\u00b2"]),
)
signs = st.sampled_from(["", "", "-", "\u2212", "\u2013", "- "])
spaces = st.sampled_from(["", " ", " ", "  ", "\u00a0", "\u2009", "\t", "\n"])


def plain(text: str) -> str:
    return text


@st.composite
def quantity_texts(draw: st.DrawFn) -> tuple[str, str]:
    """A dimension, and a text that is a quantity of it, or nearly one."""
    dimension = draw(dimensions)
    names = [name for unit in DIMENSIONS[dimension].units for name in unit.spellings]
    case = draw(st.sampled_from([plain, str.upper, str.title]))
    name = draw(st.sampled_from([*names, "m", "ft", "%", "deg", "in", "x", ""]).map(case))
    name = draw(st.sampled_from([name, name.replace("2", "\u00b2")]))
    text = draw(signs) + draw(numbers) + draw(spaces) + name
    if dimension in PAIRS and draw(st.booleans()):
        large, small, _ = PAIRS[dimension]
        first, second = case(large), case(small)
        text = draw(signs) + draw(numbers) + draw(spaces) + first + draw(spaces)
        text += draw(numbers) + draw(spaces) + second
    if dimension == "slope" and draw(st.booleans()):
        text = (
            draw(signs) + draw(numbers) + draw(spaces) + case("in") + draw(spaces) + draw(numbers)
        )
    return dimension, draw(spaces) + text + draw(spaces)


patterns = {dimension: re.compile(pattern_for(dimension)) for dimension in DIMENSIONS}


@given(quantity_texts())
@example(("length", "6 ft 11.99999999999999999999 in"))
@example(("slope", "89.99999999999999999999 deg"))
@example(("length", "3 01/2 in"))
@example(("length", "6 ft 12 in"))
@example(("mass", "12 \u212ag"))
@example(("length", "12 ft\n"))
@example(("length", "- 1/2 in"))
@example(("slope", "1 in \u00b2"))
@example(("slope", "1 in 1\u00b2"))
def test_the_pattern_fits_exactly_the_texts_that_are_read(case: tuple[str, str]) -> None:
    dimension, text = case
    assert bool(patterns[dimension].search(text)) == is_read(text, dimension)


@given(st.text() | st.text("0123456789 -/.'\"ftinmlboze%\u2212\u00b2"), dimensions)
def test_the_pattern_agrees_on_any_text(text: str, dimension: str) -> None:
    assert bool(patterns[dimension].search(text)) == is_read(text, dimension)


def test_the_pattern_knows_the_same_fractions_as_the_reader() -> None:
    for bottom in range(130):
        for top in range(130):
            text = f"1 {top}/{bottom} in"
            assert bool(patterns["length"].search(text)) == is_read(text, "length"), text


def test_the_pattern_holds_to_what_every_language_knows() -> None:
    for dimension in DIMENSIONS:
        pattern = pattern_for(dimension)
        assert pattern.isascii()
        assert pattern.startswith("^")
        assert pattern.endswith("$")
        # With the flag u, ECMA-262 knows no escapes but these (among those we need).
        allowed = r"\\(?:[s.]|u2212|u00b[0a23]|u2019|u2032|u201d|u2033)"
        assert "\\" not in re.sub(allowed, "", pattern)
        # Nor look-behind, named groups or flags inside.
        assert set(re.findall(r"\(\?(.)", pattern)) == {":"}
        # With the flag v (HTML's `pattern`), a bare minus in a class must stand between two signs.
        assert not re.search(r"\[-|[-]\]", pattern)


def test_reading_quantities_imports_nothing_that_only_errors_need() -> None:
    code = (
        "import sys; from flockcheck.text.quantities import parse_quantity, show;"
        "show(parse_quantity('6 ft 4 in', 'length').value, 'length');"
        "print({'re', 'difflib', 'unicodedata', 'dataclasses', 'flockcheck.text.misread'}"
        " & (set(sys.modules) - before))"
    )
    done = subprocess.run(
        [sys.executable, "-c", f"import sys, typing; before = set(sys.modules); {code}"],
        capture_output=True,
        text=True,
        check=True,
    )
    assert done.stdout.strip() == "set()"
