"""What holds for days on end, worked out once for all of them."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from datetime import date
from typing import TypeVar

T = TypeVar("T")


def held(days: list[date], changes: Iterable[date], of: Callable[[date], T]) -> list[T]:
    """What `of` gives for each of some days that follow one another.

    It is worked out for the first of them and for each day in `changes`, and holds in between.

    >>> days = [date(2027, 6, on) for on in (9, 10, 11, 12)]
    >>> held(days, [date(2027, 6, 11), date(2027, 1, 1)], lambda day: day.day)
    [9, 9, 11, 11]
    """
    first = days[0]
    places = {(change - first).days for change in changes}
    starts = [0, *sorted(at for at in places if 0 < at < len(days))]
    found: list[T] = []
    for start, end in zip(starts, [*starts[1:], len(days)], strict=True):
        found += [of(days[start])] * (end - start)
    return found
