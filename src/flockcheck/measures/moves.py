"""How long the pen stands where."""

from __future__ import annotations

from datetime import date

from flockcheck.measures.graph.spec import at_once, measure
from flockcheck.measures.stretches import held
from flockcheck.measures.unwritten import value_or
from flockcheck.setup.sections import Pen, Rhythm


@measure("time", each="day")
def time_on_patch(day: date, pen: Pen) -> float:
    """The time in days that the pen stands on one patch, by the rhythm of its moves on that day.

    The latest change of rhythm that has begun counts.

    >>> from types import SimpleNamespace as Of
    >>> daily = Of(from_=date(2027, 5, 20), every=1.0)
    >>> pen = Of(moves=Of(every=3.0, later=(daily,)))
    >>> [time_on_patch(date(2027, 5, on), pen) for on in (19, 20)]
    [3.0, 1.0]
    """
    later: tuple[Rhythm, ...] = value_or(pen.moves, "later", ())
    begun = [one for one in later if one.from_ <= day]
    if not begun:
        return pen.moves.every
    return max(begun, key=lambda one: one.from_).every


@at_once(time_on_patch)
def times_on_patch(day: list[date], pen: Pen) -> list[float]:
    """`time_on_patch` of many days: once for each rhythm."""
    later: tuple[Rhythm, ...] = value_or(pen.moves, "later", ())
    return held(day, [one.from_ for one in later], lambda on: time_on_patch(on, pen))
