"""Print the page of units, made from the table that the reader of quantities uses.

`python docs/make/units.py > docs/units.md`. Only the opening and the notes are written by hand.
"""

from __future__ import annotations

import sys
from decimal import Decimal
from fractions import Fraction

from flockcheck.text.misread import either
from flockcheck.text.quantities import DIMENSIONS, parse_quantity, show
from flockcheck.text.unit_table import PAIRS, Dimension, Unit

OPENING = """\
<!-- Made by docs/make/units.py from the table of units: change that, not this page. -->

# Units

Write every quantity with its unit, in the units that you use: `12 ft`, `3.6 m`. You may mix them in
one file; the report answers in US or metric units, kind by kind, as you wrote. A bare number stands
only where a count or a plain number is asked for.

## How a number is written

| write | for |
|---|---|
{forms}

- The space before the unit may be left out, and capitals don't matter: `12FT` is `12 ft`. Curly
  quotes, a raised 2 or 3 (`11 m²`) and a true minus sign are read as the plain signs.
- The decimal sign is a point. A comma is refused, as it may mean decimals or thousands; so are
  thousands set apart, powers of ten (`1e3`), a plus sign, ranges (`2-3 ft`) and `about`.
- Beside a whole number stand only fractions that a tape or a recipe shows: halves, thirds,
  quarters, fifths, sixths, eighths, tenths, twelfths, sixteenths, 32nds and 64ths.
- Months are refused, as they differ in length: write days or weeks. A year is 365.25 days.
- `gal`, `qt`, `pt` and `fl oz` are the US ones; the imperial ones are written `imp gal`, and the
  report answers them in litres.
- `lb`, `kg` and `oz` are weights. A force, such as what one screw holds, is written in `lbf`, `kgf`
  or `N`.

The last column below is what a unit is by definition; figures of sixteen digits are rounded there.
"""

FORMS = (
    ("12 ft", "length", "a whole number"),
    ("3.6 m", "length", "decimals"),
    ("1/3 acre", "area", "a fraction"),
    ("3 1/2 in", "length", "a whole number with a fraction"),
    ("2 ft 6 in", "length", "feet with inches, also as `2' 6\"`"),
    ("4 lb 6 oz", "mass", "pounds with ounces"),
    ("3 weeks 2 days", "time", "weeks with days"),
    ("-3 C", "temperature", "a number below zero"),
    ("1 in 16", "slope", "a slope that falls 1 over a run of 16"),
)

NOTES = {
    "mass": "What a thing or a bird weighs.",
    "force": "What a fixing or an anchor holds, or what it takes to pull.",
    "temperature step": "How much warmer or colder, not how warm.",
    "slope": "Rise over run, as a share, an angle under 90 degrees, or `1 in 16`.",
    "share": "A part of the whole.",
    "count": "A bare number.",
    "number": "A bare number.",
    "load": "Live weight on the floor.",
    "spread": "What is spread on the ground.",
}


def code(text: str) -> str:
    return f"`{text}`"


def exactly(number: float) -> str:
    """A factor as a person would write it: decimals if they end, else a fraction if it is one."""
    decimals = format(Decimal(repr(number)).normalize(), "f")
    fraction = Fraction(number).limit_denominator(2000)
    if len(decimals) > 15 and float(fraction) == number:
        return str(fraction)
    return decimals


def meaning(unit: Unit, kind: Dimension) -> str:
    if not unit.factor:
        return "the tangent of the angle"
    if unit.offset:
        shift = exactly(-unit.offset / unit.factor)
        return f"(number - {shift}) times {exactly(unit.factor)} {kind.base}"
    base = "" if kind.base in {"1", "slope"} else kind.base
    # `day` is the one base unit that is a word: 7 days.
    if unit.factor > 1 and base == "day":
        base = "days"
    return f"{exactly(unit.factor)} {base}".rstrip()


def answers(kind: Dimension) -> str:
    """The units in which a report shows a dimension, by family."""
    many = {unit.name: unit.many for unit in kind.units}
    metric, us = (
        either(code(many[name]) for name, _ in ladder) for ladder in (kind.metric, kind.us)
    )
    by_size = ", by size" if len(kind.metric) > 1 else ""
    if kind.metric == kind.us:
        return metric + by_size
    return f"{metric}, or where you write US units in {us}{by_size}"


def units_of_dimension(name: str, kind: Dimension) -> str:
    lines = [f"## {name[0].upper()}{name[1:]}", ""]
    if name in NOTES:
        lines += [NOTES[name], ""]
    if any(not unit.name for unit in kind.units):
        return "\n".join([*lines, f"Such as {code(kind.such_as)}.", ""])
    lines += [f"The report answers in {answers(kind)}.", ""]
    lines += ["| unit | also written | is |", "|---|---|---|"]
    for unit in kind.units:
        also = ", ".join(map(code, unit.also))
        lines.append(f"| {code(unit.name)} | {also} | {meaning(unit, kind)} |")
    if name in PAIRS:
        large, small, many = PAIRS[name]
        plural = next(unit.many for unit in kind.units if unit.name == small)
        lines += ["", f"1 {large} is {many} {plural}, and the two may be joined in one measure."]
    return "\n".join([*lines, ""])


def units_table() -> str:
    """The whole page; an example in it that is not read raises."""
    forms = "\n".join(
        f"| {code(text)} | {what} ({show(parse_quantity(text, kind).value, kind, digits=4)}) |"
        for text, kind, what in FORMS
    )
    sections = [units_of_dimension(name, kind) for name, kind in DIMENSIONS.items()]
    return "\n".join([OPENING.format(forms=forms), *sections])


if __name__ == "__main__":
    sys.stdout.write(units_table())
