"""What a measure is called with: once, or day by day, without whatever does not apply.

What its parameters receive comes as a list of values and, beside it, one of their shapes.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from itertools import groupby, repeat
from operator import eq
from typing import Any

from flockcheck.text.records import NamedTuple


class Shape(NamedTuple):
    """How a parameter receives its value: the word it is gathered by, whether it goes by day.

    A value that goes by day is a list with an entry for each day, a gathered one a list with an
    entry for each item; where it is both, the items' entries are lists of days (None: on no day).
    """

    word: str
    daily: bool


class Stretch(NamedTuple):
    """Days on end on which the same things apply, the first of them and the one after the last.

    `there` are the items there by gathered word; None where something needed does not apply.
    """

    first: int
    end: int
    there: dict[str, Sequence[int]] | None


def day_by_day(
    function: Callable[..., Any],
    values: list[Any],
    shapes: Sequence[Shape],
    days: int,
    at_once: Callable[..., list[Any]] | None = None,
) -> list[Any]:
    """A measure worked out for each day; None where something that it needs does not apply.

    It is called for a day, and only where something it asks for has changed. `at_once` is called
    in its place where it is given: for stretches of days, with what goes by day as lists.
    """
    found: list[Any] = []
    for first, end, there in _stretches(values, shapes, days):
        if there is None:
            found += repeat(None, end - first)
        elif at_once is not None and all(there.values()):
            many = at_once(*_spans(values, shapes, first, end, there))
            if type(many) is not list or len(many) != end - first:
                raise TypeError("at once it does not give one value for each day that it received")
            found += many
        else:
            found += _each_day(function, values, shapes, first, end, there)
    return found


def _each_day(
    function: Callable[..., Any],
    values: list[Any],
    shapes: Sequence[Shape],
    first: int,
    end: int,
    there: dict[str, Sequence[int]],
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


def arguments(values: list[Any], shapes: Sequence[Shape]) -> list[Any] | None:
    """The arguments of a measure that doesn't go by day; None where one of them does not apply.

    Gathered lists leave out each item that does not apply.
    """
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


def _there(
    values: list[Any], shapes: Sequence[Shape], day: int | None
) -> dict[str, Sequence[int]] | None:
    """The items that apply on a day, by gathered word; None where not all that is needed does.

    A list without any items applies: there is none that could fail to.
    """
    there: dict[str, Sequence[int]] = {}
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


def _stretches(values: list[Any], shapes: Sequence[Shape], days: int) -> Iterable[Stretch]:
    """The stay, cut where something comes to apply or ceases to."""
    # What may be absent on some days: the lists that have a None in them.
    lists: list[list[Any]] = []
    there: dict[str, Sequence[int]] = {}
    absent = False
    for value, (word, daily) in zip(values, shapes, strict=True):
        if value is None:
            return (Stretch(0, days, None),)
        if word:
            there[word] = range(len(value))
            if None in value:
                absent = True
            if daily:
                lists += [series for series in value if series is not None and None in series]
        elif daily and None in value:
            lists.append(value)
    if lists:
        return _cut(values, shapes, lists)
    return (Stretch(0, days, _there(values, shapes, 0) if absent else there),)


def _cut(values: list[Any], shapes: Sequence[Shape], lists: list[list[Any]]) -> Iterator[Stretch]:
    absent: list[list[bool]] = []
    for series in lists:
        flags = [one is None for one in series]
        # What follows from one another is mostly absent on the same days.
        if flags not in absent:
            absent.append(flags)
    patterns = absent[0] if len(absent) == 1 else zip(*absent, strict=True)
    first = 0
    for _, group in groupby(patterns):
        end = first + len(list(group))
        yield Stretch(first, end, _there(values, shapes, first))
        first = end


def _whole(value: Any, word: str, there: dict[str, Sequence[int]]) -> list[Any]:
    """A gathered argument where nothing goes by day."""
    return [value[at] for at in there[word]]


def _column(
    value: Any, word: str, daily: bool, first: int, end: int, there: dict[str, Sequence[int]]
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
    there: dict[str, Sequence[int]],
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
