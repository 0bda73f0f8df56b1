"""What a measure is called with: once, or day by day, without whatever does not apply.

What its parameters receive comes as a list of values and, beside it, one of their shapes.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from functools import lru_cache
from itertools import groupby, repeat
from operator import eq
from typing import Any, TypeVar

from flockcheck.text.records import NamedTuple

T = TypeVar("T")


class Shape(NamedTuple):
    """How a parameter receives its value: the word it is gathered by, whether it goes by day.

    A value that goes by day is a list with an entry for each day, a gathered one a list with an
    entry for each item; where it is both, the items' entries are lists of days (None: on no day).
    """

    word: str
    daily: bool


class Gaps(NamedTuple):
    """The days on which a series has nothing.

    `absent` tells it of each day, `cuts` has the days on end that are alike: the first of them, the
    one after the last, and whether there is nothing.
    """

    absent: tuple[bool, ...]
    cuts: tuple[tuple[int, int, bool], ...]


def gaps_of(series: list[Any]) -> Gaps | None:
    """The gaps of a series by day; None where it has none."""
    return _gaps(tuple([one is None for one in series])) if None in series else None


@lru_cache(maxsize=256)
def _gaps(absent: tuple[bool, ...]) -> Gaps:
    """Gaps, kept for the many series that have the same, as all of one group do."""
    return Gaps(absent, tuple(_cuts(absent)))


def _cuts(patterns: Iterable[T]) -> Iterator[tuple[int, int, T]]:
    """The days on end that are alike."""
    first = 0
    for pattern, group in groupby(patterns):
        end = first + len(list(group))
        yield first, end, pattern
        first = end


# The items that are there, by gathered word.
There = dict[str, Sequence[int]]


def day_by_day(
    function: Callable[..., Any],
    values: list[Any],
    shapes: Sequence[Shape],
    gaps: Sequence[Gaps],
    days: int,
    at_once: Callable[..., list[Any]] | None = None,
) -> list[Any]:
    """A measure worked out for each day; None where something that it needs does not apply.

    It is called for a day, and only where something it asks for has changed. `at_once` is called
    in its place where it is given: for stretches of days, with what goes by day as lists. `gaps`
    are those of all the series among the values.
    """
    there: There = {}
    all_there = True
    for value, (word, _) in zip(values, shapes, strict=True):
        if value is None:
            return [None] * days
        if word:
            there[word] = range(len(value))
            all_there = all_there and None not in value
    if not gaps and not there and at_once is not None:
        # The short way for most, of which every check has dozens.
        pairs = zip(values, shapes, strict=True)
        return _many(at_once, [value[:] if daily else value for value, (_, daily) in pairs], days)
    found: list[Any] = []
    if not gaps:
        here = there if all_there else _there(values, shapes, 0)
        return list(_stretch(function, values, shapes, 0, days, here, at_once))
    if len(gaps) == 1 and not there:
        for first, end, absent in gaps[0].cuts:
            here = None if absent else there
            found += _stretch(function, values, shapes, first, end, here, at_once)
        return found
    for first, end, _ in _cuts(zip(*(one.absent for one in gaps), strict=True)):
        here = _there(values, shapes, first)
        found += _stretch(function, values, shapes, first, end, here, at_once)
    return found


def _stretch(
    function: Callable[..., Any],
    values: list[Any],
    shapes: Sequence[Shape],
    first: int,
    end: int,
    there: There | None,
    at_once: Callable[..., list[Any]] | None,
) -> Iterable[Any]:
    """A measure worked out for days on end on which the same things apply.

    The first of them and the one after the last; without `there` something that it needs does not.
    """
    if there is None:
        return repeat(None, end - first)
    if at_once is None or not all(there.values()):
        return _each_day(function, values, shapes, first, end, there)
    return _many(at_once, _spans(values, shapes, first, end, there), end - first)


def _many(at_once: Callable[..., list[Any]], spans: list[Any], days: int) -> list[Any]:
    """What a measure gives for days on end, one value for each of them."""
    many = at_once(*spans)
    if type(many) is not list or len(many) != days:
        raise TypeError("at once it does not give one value for each day that it received")
    return many


def _each_day(
    function: Callable[..., Any],
    values: list[Any],
    shapes: Sequence[Shape],
    first: int,
    end: int,
    there: There,
) -> Iterable[Any]:
    """A measure called for each day of a stretch."""
    columns = []
    moves = False
    for value, (word, daily) in zip(values, shapes, strict=True):
        columns.append(_column(value, word, daily, first, end, there))
        if daily and value and not moves:
            # Where items are gathered it is enough to look at the first of them.
            moves = _always_moves(value[there[word][0]] if word else value, first, end)
    if moves:
        return map(function, *columns)
    found: list[Any] = []
    value = None
    before: tuple[Any, ...] | None = None
    for args in zip(*columns, strict=True):
        if args != before:
            value, before = function(*args), args
        found.append(value)
    return found


def _always_moves(value: list[Any], first: int, end: int) -> bool:
    """Whether a series is another on each day of a stretch than on the day before, as ages are."""
    return not any(map(eq, value[first:end], value[first + 1 : end]))


def arguments(
    values: list[Any], shapes: Sequence[Shape], *, gathers: bool = True
) -> list[Any] | None:
    """The arguments of a measure that doesn't go by day; None where one of them does not apply.

    Gathered lists, where it `gathers` any, leave out each item that does not apply.
    """
    if not gathers:
        for value in values:
            if value is None:
                return None
        return values
    there = _there(values, shapes, None)
    if there is None:
        return None
    return [
        _whole(value, word, there) if word else value
        for value, (word, _) in zip(values, shapes, strict=True)
    ]


def arguments_on(values: list[Any], shapes: Sequence[Shape], day: int) -> list[Any] | None:
    """The arguments on one day of the stay; None where something needed does not apply."""
    there = _there(values, shapes, day)
    if there is None:
        return None
    return [
        next(iter(_column(value, word, daily, day, day + 1, there)))
        for value, (word, daily) in zip(values, shapes, strict=True)
    ]


def _there(values: list[Any], shapes: Sequence[Shape], day: int | None) -> There | None:
    """The items that apply on a day, by gathered word; None where not all that is needed does.

    A list without any items applies: there is none that could fail to.
    """
    there: There = {}
    for value, (word, daily) in zip(values, shapes, strict=True):
        by_day = daily and day is not None
        if not word:
            if value is None or (by_day and value[day] is None):
                return None
            continue
        found = [
            at
            for at in there.get(word, range(len(value)))
            if value[at] is not None and not (by_day and value[at][day] is None)
        ]
        if value and not found:
            return None
        there[word] = found
    return there


def _whole(value: Any, word: str, there: There) -> list[Any]:
    """A gathered argument where nothing goes by day."""
    return [value[at] for at in there[word]]


def _column(
    value: Any, word: str, daily: bool, first: int, end: int, there: There
) -> Iterable[Any]:
    """A parameter's argument on each day of a stretch."""
    if not word:
        return value[first:end] if daily and value else repeat(value, end - first)
    if not daily or not value:
        # A list of its own for each day: a plugin's measure may well empty it.
        return map(list, repeat(_whole(value, word, there), end - first))
    return map(list, zip(*(value[at][first:end] for at in there[word]), strict=True))


def _spans(
    values: list[Any],
    shapes: Sequence[Shape],
    first: int,
    end: int,
    there: There,
) -> list[Any]:
    """The arguments for all days of a stretch at once."""
    found: list[Any] = []
    for value, (word, daily) in zip(values, shapes, strict=True):
        if not daily:
            found.append(_whole(value, word, there) if word else value)
        elif word:
            found.append([value[at][first:end] for at in there[word]])
        else:
            found.append(value[first:end])
    return found
