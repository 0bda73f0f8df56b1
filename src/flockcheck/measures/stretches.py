"""What holds for days on end, worked out once for all of them."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from datetime import date
from operator import mul
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


def summed(by_group: Iterable[Iterable[float]]) -> list[float]:
    """The sum over groups, for each of many days.

    >>> summed([[1, 2], [10, 20]])
    [11, 22]
    """
    return [sum(today) for today in zip(*by_group, strict=True)]


def for_all_birds(each: list[list[float]], birds: list[list[int]]) -> list[float]:
    """The sum over groups of what each bird has times their number, for each of many days.

    >>> for_all_birds([[0.5, 1.0], [2.0, 2.0]], [[40, 40], [5, 4]])
    [30.0, 48.0]
    """
    return summed(map(mul, of_one, count) for of_one, count in zip(each, birds, strict=True))
