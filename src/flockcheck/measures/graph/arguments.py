"""What a measure is called with: once, or day by day, without whatever does not apply."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from itertools import repeat
from operator import itemgetter
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
    value: Any = None
    before: tuple[Any, ...] | None = None
    of = arguments.of if arguments.gathers else arguments.of_plain
    for moving in arguments.by_day(days):
        if moving != before:
            args = of(moving)
            value = None if args is None else function(*args)
            before = moving
        values.append(value)
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
        # What moves, then what stays, put into the order of the parameters.
        still = [at for at in range(len(given)) if at not in moving]
        self._still = tuple(self._fixed[at] for at in still)
        places = {at: place for place, at in enumerate([at for at, _ in self._daily] + still)}
        self._many = len(given) > 1 and not self._gathered
        self._in_order: Callable[[tuple[Any, ...]], tuple[Any, ...]] = (
            itemgetter(*(places[at] for at in range(len(given)))) if self._many else tuple
        )
        # What never changes and does not apply leaves nothing to ask on any day.
        self._never = any(
            value is None and at not in moving for at, value in enumerate(self._fixed)
        )

    @property
    def gathers(self) -> bool:
        """Whether any parameter is gathered."""
        return bool(self._gathered)

    def of_plain(self, moving: tuple[Any, ...]) -> tuple[Any, ...] | None:
        """As `of`, where nothing is gathered."""
        if self._never or None in moving:
            return None
        # One parameter alone would come without its tuple.
        return self._in_order(moving + self._still) if self._many else moving + self._still

    def by_day(self, days: int) -> Iterable[tuple[Any, ...]]:
        """What moves, for each day: plain values first, then a column for each gathered one."""
        if self._never:
            return repeat((None,), days)
        columns = [value for _, value in self._daily]
        for parts in self._gathered:
            columns += [_column(value, daily, days) for _, value, daily in parts]
        return zip(*columns, strict=True) if columns else repeat((), days)

    def of(self, moving: tuple[Any, ...]) -> Sequence[Any] | None:
        """The arguments for what moves; None where something that is needed does not apply."""
        plain = len(self._daily)
        if self._never or None in moving[:plain]:
            return None
        args = self._fixed.copy()
        for (at, _), value in zip(self._daily, moving[:plain], strict=True):
            args[at] = value
        for parts in self._gathered:
            columns = moving[plain : plain + len(parts)]
            plain += len(parts)
            if any(None in column for column in columns):
                there = [row for row in zip(*columns, strict=True) if None not in row]
                if not there:
                    return None
                columns = tuple(zip(*there, strict=True))
            for (at, _, _), column in zip(parts, columns, strict=True):
                args[at] = list(column)
        return args

    def at(self, day: int | None) -> Sequence[Any] | None:
        """The arguments on a day (None: a measure that doesn't go by day)."""
        if self._never:
            return None
        moving = [value if day is None else value[day] for _, value in self._daily]
        for parts in self._gathered:
            for _, value, daily in parts:
                if daily and day is not None:
                    moving.append(tuple(None if one is None else one[day] for one in value))
                else:
                    moving.append(tuple(value))
        return self.of(tuple(moving))


def _column(value: Any, daily: bool, days: int) -> Iterable[tuple[Any, ...]]:
    """A gathered parameter for each day: its value for each item, None where it does not apply."""
    if not daily or not value:
        return repeat(tuple(value), days)
    return zip(*(repeat(None, days) if one is None else one for one in value), strict=True)
