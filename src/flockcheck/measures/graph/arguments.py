"""What a measure is called with: once, or day by day, without whatever does not apply."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, NamedTuple


class Given(NamedTuple):
    """What a parameter receives: a value, the word it is gathered by, whether it goes by day."""

    value: Any
    word: str
    daily: bool


def day_by_day(function: Callable[..., Any], given: list[Given], days: int) -> list[Any]:
    """A measure worked out for each day, and only where something it asks for has changed."""
    arguments = Arguments(given)
    values: list[Any] = []
    before: list[Any] | None = None
    for day in range(days):
        args = arguments.at(day)
        if args is None:
            values.append(None)
        elif args == before:
            values.append(values[-1])
        else:
            values.append(function(*args))
        before = args
    return values


class Arguments:
    """The arguments of a measure, day by day.

    Gathered lists leave out each item that does not apply on that day; there are no arguments where
    something that is needed does not apply, or no item of a gathered word does.
    """

    def __init__(self, given: list[Given]) -> None:
        self._fixed = [None if one.word or one.daily else one.value for one in given]
        self._daily = [
            (at, one.value) for at, one in enumerate(given) if one.daily and not one.word
        ]
        words = dict.fromkeys(one.word for one in given if one.word)
        self._gathered = [
            [(at, one.value, one.daily) for at, one in enumerate(given) if one.word == word]
            for word in words
        ]
        moving = {at for at, one in enumerate(given) if one.daily or one.word}
        # What never changes and does not apply leaves nothing to ask on any day.
        self._never = any(
            value is None and at not in moving for at, value in enumerate(self._fixed)
        )

    def at(self, day: int | None) -> list[Any] | None:
        """The arguments on a day (None: a measure that doesn't go by day)."""
        if self._never:
            return None
        args = self._fixed.copy()
        for at, value in self._daily:
            args[at] = value[day]
            if args[at] is None:
                return None
        for parts in self._gathered:
            columns = [
                [None if one is None else one[day] for one in value] if daily else value
                for _, value, daily in parts
            ]
            there = [row for row in zip(*columns, strict=True) if None not in row]
            if not there and columns[0]:
                return None
            for column, (at, _, _) in enumerate(parts):
                args[at] = [row[column] for row in there]
        return args
