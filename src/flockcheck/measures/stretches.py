"""What holds for days on end, worked out once for all of them."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable
from datetime import date
from operator import mul
from typing import Any, TypeVar

T = TypeVar("T")
N = TypeVar("N", int, float)


def held(days: list[date], changes: Collection[date], of: Callable[[date], T]) -> list[T]:
    """What `of` gives for each of some days that follow one another.

    It is worked out for the first of them and for each day in `changes`, and holds in between.

    >>> days = [date(2027, 6, on) for on in (9, 10, 11, 12)]
    >>> held(days, [date(2027, 6, 11), date(2027, 1, 1)], lambda day: day.day)
    [9, 9, 11, 11]
    """
    first = days[0]
    if not changes:
        return [of(first)] * len(days)
    places = {(change - first).days for change in changes}
    starts = [0, *sorted(at for at in places if 0 < at < len(days))]
    found: list[T] = []
    for start, end in zip(starts, [*starts[1:], len(days)], strict=True):
        found += [of(days[start])] * (end - start)
    return found


def summed(by_group: Iterable[Iterable[N]]) -> list[N]:
    """The sum over groups, for each of many days.

    >>> summed([[1, 2], [10, 20]])
    [11, 22]
    """
    return list(map(sum, zip(*by_group, strict=True)))


def least(by_item: list[list[T]]) -> list[T]:
    """The least over items, for each of many days.

    >>> least([[28, 29], [30, 10]])
    [28, 10]
    """
    return list(map(min, *by_item)) if len(by_item) > 1 else list(by_item[0])


def most(by_item: list[list[T]]) -> list[T]:
    """The most over items, for each of many days.

    >>> most([[28, 29], [30, 10]])
    [30, 29]
    """
    return list(map(max, *by_item)) if len(by_item) > 1 else list(by_item[0])


def alike(of: Callable[..., T], *series: list[Any]) -> list[T]:
    """What `of` gives for each of many days, worked out once for those that are alike.

    >>> alike(lambda gust, air: gust * air, [10, 10, 12], [2, 2, 2])
    [20, 20, 24]
    """
    if all(one.count(one[0]) == len(one) for one in series):
        return [of(*(one[0] for one in series))] * len(series[0])
    days = list(zip(*series, strict=True))
    found = {day: of(*day) for day in dict.fromkeys(days)}
    return [found[day] for day in days]


def for_all_birds(each: list[list[float]], birds: list[list[int]]) -> list[float]:
    """The sum over groups of what each bird has times their number, for each of many days.

    >>> for_all_birds([[0.5, 1.0], [2.0, 2.0]], [[40, 40], [5, 4]])
    [30.0, 48.0]
    """
    all_of_them = [list(map(mul, one, count)) for one, count in zip(each, birds, strict=True)]
    return all_of_them[0] if len(all_of_them) == 1 else summed(all_of_them)
