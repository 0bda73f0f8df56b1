"""What a measure is called with: once, or day by day, without whatever does not apply."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from itertools import groupby, repeat
from operator import eq
from typing import Any

from flockcheck.text.records import NamedTuple


class Given(NamedTuple):
    """What a parameter receives: a value, the word it is gathered by, whether it goes by day.

    A value that goes by day is a list with an entry for each day, a gathered one a list with an
    entry for each item; where it is both, the items' entries are lists of days (None: on no day).
    """

    value: Any
    word: str
    daily: bool


class Stretch(NamedTuple):
    """Days on end on which the same things apply, the first of them and the one after the last.

    `there` are the items there by gathered word; None where something needed does not apply.
    """

    first: int
    end: int
    there: dict[str, list[int]] | None


def day_by_day(
    function: Callable[..., Any],
    given: list[Given],
    days: int,
    at_once: Callable[..., list[Any]] | None = None,
) -> list[Any]:
    """A measure worked out for each day; None where something that it needs does not apply.

    It is called for a day, and only where something it asks for has changed. `at_once` is called
    in its place where it is given: for stretches of days, with what goes by day as lists.
    """
    values: list[Any] = []
    for first, end, there in _stretches(given, days):
        if there is None:
            values += repeat(None, end - first)
        elif at_once is not None and all(there.values()):
            found = at_once(*_spans(given, first, end, there))
            if type(found) is not list or len(found) != end - first:
                raise TypeError("at once it does not give one value for each day that it received")
            values += found
        else:
            columns = [_column(one, first, end, there) for one in given]
            if any(
                _always_moves(one, first, end, there) for one in given if one.daily and one.value
            ):
                values += map(function, *columns)
                continue
            value: Any = None
            before: tuple[Any, ...] | None = None
            for args in zip(*columns, strict=True):
                if args != before:
                    value, before = function(*args), args
                values.append(value)
    return values


def _always_moves(one: Given, first: int, end: int, there: dict[str, list[int]]) -> bool:
    """Whether a parameter is another on each day of a stretch than on the day before, as ages are.

    Where items are gathered it is enough to look at the first of them.
    """
    value = one.value[there[one.word][0]] if one.word else one.value
    return not any(map(eq, value[first:end], value[first + 1 : end]))


def arguments(given: list[Given]) -> list[Any] | None:
    """The arguments of a measure that doesn't go by day; None where one of them does not apply.

    Gathered lists leave out each item that does not apply.
    """
    there = _there(given, None)
    return None if there is None else [_whole(one, there) for one in given]


def arguments_on(given: list[Given], day: int) -> list[Any] | None:
    """The arguments on one day of the stay; None where something needed does not apply."""
    there = _there(given, day)
    if there is None:
        return None
    return [next(iter(_column(one, day, day + 1, there))) for one in given]


def _there(given: list[Given], day: int | None) -> dict[str, list[int]] | None:
    """The items that apply on a day, by gathered word; None where not all that is needed does.

    A list without any items applies: there is none that could fail to.
    """
    there: dict[str, list[int]] = {}
    for value, word, daily in given:
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


def _stretches(given: list[Given], days: int) -> Iterator[Stretch]:
    """The stay, cut where something comes to apply or ceases to."""
    if any(one.value is None for one in given):
        yield Stretch(0, days, None)
        return
    # What may be absent on some days: the lists that have a None in them.
    lists = [
        values
        for value, word, daily in given
        if daily
        for values in (value if word else (value,))
        if values is not None and None in values
    ]
    if not lists:
        yield Stretch(0, days, _there(given, 0))
        return
    absent: list[list[bool]] = []
    for values in lists:
        flags = [one is None for one in values]
        # What follows from one another is mostly absent on the same days.
        if flags not in absent:
            absent.append(flags)
    patterns = absent[0] if len(absent) == 1 else zip(*absent, strict=True)
    first = 0
    for _, group in groupby(patterns):
        end = first + len(list(group))
        yield Stretch(first, end, _there(given, first))
        first = end


def _whole(one: Given, there: dict[str, list[int]]) -> Any:
    """A parameter's argument where nothing goes by day."""
    return [one.value[at] for at in there[one.word]] if one.word else one.value


def _column(one: Given, first: int, end: int, there: dict[str, list[int]]) -> Iterable[Any]:
    """A parameter's argument on each day of a stretch."""
    if not one.daily or not one.value:
        if one.word:
            # A list of its own for each day: a plugin's measure may well empty it.
            return map(list, repeat(_whole(one, there), end - first))
        return repeat(one.value, end - first)
    if not one.word:
        return one.value[first:end]  # type: ignore[no-any-return]
    return map(list, zip(*(one.value[at][first:end] for at in there[one.word]), strict=True))


def _spans(given: list[Given], first: int, end: int, there: dict[str, list[int]]) -> list[Any]:
    """The arguments for all days of a stretch at once."""
    return [
        _whole(one, there)
        if not one.daily
        else [one.value[at][first:end] for at in there[one.word]]
        if one.word
        else one.value[first:end]
        for one in given
    ]
