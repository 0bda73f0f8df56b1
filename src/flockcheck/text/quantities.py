"""Quantity texts such as `3 1/2 in` and `6' 4"`, to numbers in base units and back.

Inside, every number is in the base unit of its dimension (`base_unit`); a keeper reads and writes
numbers in units. `parse_quantity` reads them, `show` writes them in the family of units (us or
metric) that the keeper used, and `pattern_for` says as a regular expression what is read, for the
JSON Schema of our files. The units themselves stand in `unit_table.py`.

A number is `12`, `3.6`, `.5`, `1/3` or `3 1/2`, with a minus where it is below zero. Beside a whole
number, a fraction must be one that a tape or a recipe shows (thirds, sixteenths ...). `2 ft 6 in`,
`4 lb 6 oz` and `3 weeks 2 days` are each one measure, and a slope may be written `1 in 16`.
"""

from __future__ import annotations

from math import floor, isclose, isfinite, isnan, log10, radians, tan

from flockcheck.text.records import NamedTuple
from flockcheck.text.unit_table import DIMENSIONS, PAIRS, Unit
from flockcheck.text.units import (
    QuantityError,
    base_unit,
    dimension_called,
    dimension_of,
    spelled,
    units_of,
)

__all__ = [
    "DIMENSIONS",
    "Quantity",
    "QuantityError",
    "base_unit",
    "dimension_of",
    "parse_quantity",
    "pattern_for",
    "show",
    "show_apart",
    "unit_factor",
]


class Quantity(NamedTuple):
    """A number in the base unit of its dimension, and the family of units it was written in.

    `family` is "us", "metric", or "" where the unit belongs to neither (`days`, `%`, `knots`).
    """

    value: float
    dimension: str
    family: str


# What a number is made of. It is scanned by hand, as compiling an expression takes longer than
# reading a file full of quantities.
_MINUS = ("-", "\u2212")
_SIGNS = "0123456789./ -\u2212"
# Of what a fraction beside a whole number may be.
_PARTS = frozenset({2, 3, 4, 5, 6, 8, 10, 12, 16, 32, 64})
_UPRIGHT = 90


def parse_quantity(text: str, dimension: str) -> Quantity:
    """Read a quantity text of the given dimension.

    Returns its value in base units. Raises QuantityError, which says in plain words what was read
    and what would do instead, for every text that is none; ValueError for an unknown dimension.
    What a size may be is not judged here: `-3 ft` is a length.

    >>> parse_quantity("2 ft 6 in", "length")
    Quantity(value=0.762, dimension='length', family='us')
    >>> parse_quantity("1 in 16", "slope").value
    0.0625
    """
    quantity = _read(text, dimension)
    if quantity is None:
        # Imported late, as files without faults never need it.
        from flockcheck.text.misread import misread

        raise misread(text, dimension, _read)
    return quantity


def _read(text: str, dimension: str) -> Quantity | None:
    """The quantity that a text is, or None."""
    units = units_of(dimension)
    text = " ".join(text.split())
    rest = text.lstrip(_SIGNS)
    number = text[: len(text) - len(rest)].rstrip()
    unit = units.get(spelled(rest))
    if unit is None:
        if dimension == "slope":
            return _read_fall(number, rest)
        return _read_pair(number, rest, dimension) if dimension in PAIRS else None
    if not unit.factor:
        degrees = _number(number, below=_UPRIGHT)
        return None if degrees is None else Quantity(tan(radians(degrees)), dimension, unit.family)
    value = _number(number)
    if value is None:
        return None
    return Quantity(value * unit.factor + unit.offset, dimension, unit.family)


def _number(text: str, below: int = 0) -> float | None:
    """The number that a text is; None where it is none, or one that no keeper means.

    With `below`, its size must be under that: two digits at most and what follows the point, or a
    fraction of a tape. The lengths are bounded so that no number can be infinite.
    """
    minus = text.startswith(_MINUS)
    whole, slash, bottom = text[minus:].partition("/")
    if whole.startswith(" "):
        return None
    if slash:
        whole, _, top = whole.rpartition(" ")
        if not (_digits(top, 9) and _digits(bottom, 9)) or bottom[0] == "0":
            return None
        # `3 5/2` and `3 2/7` are slips of the hand, and `6 ft 30/2 in` is another.
        proper = int(top) < int(bottom) and int(bottom) in _PARTS and top[0] != "0"
        if (whole or below) and not proper:
            return None
        size = int(top) / int(bottom)
    else:
        whole, point, decimals = whole.partition(".")
        if not (_digits(decimals, 20) if point else whole):
            return None
        size = 0.0
    if whole and not (_digits(whole, 2) and int(whole) < below if below else _digits(whole, 9)):
        return None
    size = int(whole or 0) + size if slash else float(text[minus:])
    return -size if minus else size


def _digits(text: str, most: int) -> bool:
    """Whether a text is plain digits alone, and at most so many."""
    return text.isascii() and text.isdigit() and len(text) <= most


def _read_fall(number: str, rest: str) -> Quantity | None:
    """A slope as fall over run: `1 in 16`."""
    run_text = rest[3:]
    fall, run = _number(number), _number(run_text)
    if spelled(rest[:3]) != "in " or fall is None or run is None or "/" in number + run_text:
        return None
    return Quantity(fall / run, "slope", "") if run_text[0] in "123456789" else None


def _read_pair(number: str, rest: str, dimension: str) -> Quantity | None:
    """One measure in two units: `2 ft 6 in`."""
    large, small, many = PAIRS[dimension]
    units = units_of(dimension)
    minus = number.startswith(_MINUS)
    # The second number begins at the first digit or point after the first unit.
    begin = next((place for place, sign in enumerate(rest) if sign in "0123456789."), len(rest))
    second = rest[begin:]
    end = len(second) - len(second.lstrip(_SIGNS))
    first_unit = units.get(spelled(rest[:begin].rstrip()))
    unit = units.get(spelled(second[end:]))
    part = _number(second[:end].rstrip(), below=many)
    if not (first_unit and unit) or (first_unit.name, unit.name) != (large, small):
        return None
    if part is None or not _digits(number[minus:], 9):
        return None
    # Counted in the small unit, so that `2 ft 6 in` and `30 in` are the very same number.
    size = int(number[minus:]) * many + part
    return Quantity((-size if minus else size) * unit.factor, dimension, unit.family)


def unit_factor(unit: str, dimension: str) -> tuple[float, float]:
    """What turns a bare number in `unit` into base units: number * factor + offset.

    For table columns and the like that give one unit to many numbers. The base unit is read here as
    `base_unit` writes it. Raises QuantityError for a unit that is none of the dimension's, and for
    degrees of slope, which are no multiple of a slope.

    >>> unit_factor("in", "length")
    (0.0254, 0.0)
    """
    if unit == base_unit(dimension):
        return 1.0, 0.0
    found = units_of(dimension).get(spelled(" ".join(unit.split())))
    if found is None or not found.factor:
        from flockcheck.text.misread import misread_unit

        raise misread_unit(unit, dimension)
    return found.factor, found.offset


# The grammar of `_number` once more, as text. `\s` is where `str.split` parts; in ECMA-262 it lacks
# a few control characters and adds U+FEFF, none of which anyone writes between number and unit.
_DECIMAL = r"[0-9]{1,9}(?:\.[0-9]{1,20})?|\.[0-9]{1,20}"
_TAPE = (
    "(?:1/2|[12]/3|[1-3]/4|[1-4]/5|[1-5]/6|[1-7]/8|[1-9]/10|(?:[1-9]|1[01])/12|(?:[1-9]|1[0-5])/16"
    "|(?:[1-9]|[12][0-9]|3[01])/32|(?:[1-9]|[1-5][0-9]|6[0-3])/64)"
)
_MAYBE_MINUS = r"(?:-|\u2212)?"
_BELOW = {7: "0?[0-6]", 12: "(?:0?[0-9]|1[01])", 16: "(?:0?[0-9]|1[0-5])", 90: "[0-8]?[0-9]"}


def pattern_for(dimension: str) -> str:
    """A regular expression (ECMA-262, no flags) that fits the texts `parse_quantity` reads.

    It is anchored, in ASCII, and uses nothing that other languages lack. Raises ValueError for an
    unknown dimension.

    >>> import re
    >>> bool(re.search(pattern_for("length"), "3 1/2 in"))
    True
    """
    number = rf"{_MAYBE_MINUS}(?:{_DECIMAL}|[0-9]{{1,9}}/[1-9][0-9]{{0,8}}|[0-9]{{1,9}}\s+{_TAPE})"
    units = dimension_called(dimension).units
    plain = [unit for unit in units if unit.factor]
    forms = [number + _pattern_of_names(*plain)]
    for unit in units:
        if not unit.factor:
            forms.append(_MAYBE_MINUS + _pattern_below(_UPRIGHT) + _pattern_of_names(unit))
    if dimension == "slope":
        forms.append(
            rf"{_MAYBE_MINUS}(?:{_DECIMAL})\s*[iI][nN]\s+[1-9][0-9]{{0,8}}(?:\.[0-9]{{1,20}})?"
        )
    if dimension in PAIRS:
        large, small, many = PAIRS[dimension]
        names = [
            _pattern_of_names(next(unit for unit in units if unit.name == name))
            for name in (large, small)
        ]
        forms.append(rf"{_MAYBE_MINUS}[0-9]{{1,9}}{names[0]}\s*{_pattern_below(many)}{names[1]}")
    return rf"^\s*(?:{'|'.join(forms)})\s*$"


def _pattern_below(many: int) -> str:
    return rf"(?:{_BELOW[many]}(?:\.[0-9]{{1,20}}|\s+{_TAPE})?|\.[0-9]{{1,20}}|{_TAPE})"


def _pattern_of_names(*units: Unit) -> str:
    names = sorted({spelled(name) for unit in units for name in unit.spellings})
    alike = {
        " ": r"\s+",
        "'": r"['\u2019\u2032]",
        '"': r'["\u201d\u2033]',
        "\u00b0": r"[\u00b0\u00ba]",
        "2": r"[2\u00b2]",
        "3": r"[3\u00b3]",
    }
    patterns = [
        "".join(
            f"[{sign}{sign.upper()}]" if "a" <= sign <= "z" else alike.get(sign, sign)
            for sign in name
        )
        for name in names
    ]
    return rf"\s*(?:{'|'.join(patterns)})" if names != [""] else ""


def show(value: float, dimension: str, family: str = "metric", digits: int = 3) -> str:
    """A value in base units as a keeper would write it.

    The unit follows the size; "us" is shown in US units, every other family in metric ones. About
    `digits` digits are shown, those before the point always whole, without trailing zeros. A value
    without end is shown as `no limit`, and one that is no number as `unknown`: a report must not
    end on one. Raises ValueError for an unknown dimension.

    >>> show(2.4384, "length", "us"), show(2.4384, "length")
    ('8 ft', '2.44 m')
    """
    return _written(value, _shown_in(value, dimension, family, digits), digits)


def show_apart(value: float, limit: float, dimension: str, family: str) -> tuple[str, str]:
    """A value and its limit, both shown with as many digits as it takes to tell them apart.

    Near each other, both are in the unit that suits the limit. Two numbers that are equal within a
    relative 1e-9, which is how limits are judged, may be shown alike.

    >>> show_apart(14.97, 15, "load", "metric")
    ('14.97 kg/m2', '15 kg/m2')
    """
    unit, limit_unit = (_shown_in(each, dimension, family, 3) for each in (value, limit))
    if not limit:
        limit_unit = unit
    elif not value or 0.1 <= abs(value / limit) <= 10:
        unit = limit_unit
    for digits in range(3, 13):
        shown = _written(value, unit, digits), _written(limit, limit_unit, digits)
        if shown[0] != shown[1] or isclose(value, limit, rel_tol=1e-9):
            break
    return shown


def _shown_in(value: float, dimension: str, family: str, digits: int) -> Unit:
    """The unit in which a value of this size is shown."""
    kind = dimension_called(dimension)
    units = units_of(dimension)
    for name, end in kind.us if family == "us" else kind.metric:
        unit = units[spelled(name)]
        if not end or not isfinite(value):
            break
        # As shown, so that 99.97 mm, which rounds to 100 mm, is 10 cm. A hair under the end is the
        # end: a conversion may make that of 36 inches.
        shown = float(_figure((value - unit.offset) / unit.factor, digits))
        if abs(shown) * unit.factor < end * (1 - 1e-12):
            break
    return unit


def _written(value: float, unit: Unit, digits: int) -> str:
    """A base value in a unit, with the unit's name."""
    if not isfinite(value):
        return "unknown" if isnan(value) else "no limit" if value > 0 else "no limit below"
    figure = _figure((value - unit.offset) / unit.factor, digits)
    if not unit.name:
        return figure
    return f"{figure} {unit.name if 0 < abs(float(figure)) <= 1 else unit.many}"


def _figure(number: float, digits: int) -> str:
    """A number with about so many digits: no trailing zeros, no exponent, never -0."""
    if not number:
        return "0"
    # At most one more decimal than digits: what is smaller is dust left by a conversion.
    decimals = min(max(digits - 1 - floor(log10(abs(number))), 0), digits + 1)
    figure = f"{number:.{decimals}f}"
    if decimals:
        figure = figure.rstrip("0").rstrip(".")
    return "0" if figure == "-0" else figure
