"""The numbers and sums of a working, as they are written.

The figures of a sum are in the keeper's own units where it comes out in them, else in metric or in
base units: every sum that is written was worked out again from the figures as they are shown.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import Any

from flockcheck.checkup.lines import Line
from flockcheck.checkup.wording import Wording
from flockcheck.measures.graph.figures import Sum, worked_out, written
from flockcheck.text.quantities import DIMENSIONS, base_unit, show

# Digits of the figures on the way; the last line of a working has those of the finding. What is
# the difference of two that lie close together needs more of them to come out.
DIGITS = 4
_DIGITS = (DIGITS, 6, 8)
# Of numbers in a sum; a longer one is not followed by hand.
_MOST_NUMBERS = 24
# How near a sum comes to its answer, as a share of it.
_WITHIN = 0.002
_UNITS = {"1": "", "slope": "", "deg C": "C", "deg C step": "C", "day": "days"}
# Of a series; more figures than these are not all written out.
_FEW = 16


class Numbers:
    """Writes the numbers and the sums of one working's lines."""

    def __init__(self, lines: Sequence[Line], wording: Wording) -> None:
        self._lines = lines
        self._wording = wording

    def shown(self, value: Any, dimension: str, digits: int = DIGITS) -> str:
        """A value in the keeper's units."""
        if isinstance(value, (list, tuple)) and dimension not in ("names", "word"):
            return self._series(list(value), dimension)
        if dimension == "time" and value == 0:
            return "0 days"
        if isinstance(value, (bool, str, date)) or not isinstance(value, (int, float)):
            return self._wording.show(value, dimension)
        if dimension not in DIMENSIONS:
            return show(value, "number", "metric", digits)
        return show(value, dimension, self._wording.family(dimension), digits)

    def of(self, line: Line) -> str:
        """The value of a line."""
        if line.chosen:
            return self._figure(line.value, line.dimension, "metric", DIGITS)
        return self.shown(line.value, line.dimension)

    def _series(self, values: list[Any], dimension: str) -> str:
        """Many figures: all of them where they are few, else the first and the last."""
        if not values:
            return "none"
        told = [self.shown(one, dimension) for one in values]
        if len(values) > _FEW:
            return f"{len(values)} figures, {told[0]} at first and {told[-1]} at last"
        unit = told[-1].partition(" ")[2]
        if unit and all(one.partition(" ")[2] == unit for one in told):
            told = [*(one.partition(" ")[0] for one in told[:-1]), told[-1]]
        return f"{', '.join(told[:-1])} and {told[-1]}" if len(told) > 1 else told[0]

    def sum(self, line: Line) -> str | None:
        """A line's sum in figures; None where it has none, or none that comes out as written."""
        found = line.sum
        if found is None or found.size() > _MOST_NUMBERS:
            return None
        if found.sign == "leaf":
            return f"as in {found.leaf[1]}" if len(line.uses) > 1 else None
        for digits in _DIGITS:
            for units in ("keeper", "metric", "base"):
                text = self._sum_in(found, line, units, digits)
                if text is not None:
                    return text
        return None

    def _sum_in(self, found: Sum, line: Line, units: str, digits: int) -> str | None:
        def say(part: Sum) -> str:
            if part.sign != "leaf":
                return show(part.value, "number", "metric", _DIGITS[1])
            of = self._lines[part.leaf[1] - 1]
            own = "metric" if of.chosen and units == "keeper" else units
            return self._figure(part.value, of.dimension, own, digits)

        try:
            comes_to = worked_out(found, lambda part: _number(say(part)))
            result = self._figure(line.value, line.dimension, units, digits)
            if not abs(comes_to - _number(result)) <= _WITHIN * abs(comes_to) + 1e-12:
                return None
        except (ArithmeticError, ValueError):
            return None
        own = self._figure(line.value, line.dimension, "keeper", DIGITS)
        text = written(found, say)
        return text if units == "keeper" or result == own else f"{text} = {result}"

    def _figure(self, value: float, dimension: str, units: str, digits: int) -> str:
        if units == "keeper":
            return self.shown(value, dimension, digits)
        if dimension not in DIMENSIONS:
            return show(value, "number", "metric", digits)
        if units == "metric":
            return show(value, dimension, "metric", digits)
        figure = show(value, "number", "metric", digits)
        unit = base_unit(dimension)
        return f"{figure} {_UNITS.get(unit, unit)}".rstrip()


def _number(text: str) -> float:
    """The number that a figure shows, without its unit. Raises ValueError where it shows none."""
    return float(text.split()[0])
