"""What a comparator says of two values: of one thing, or day by day."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from datetime import date
from typing import Any

# Within this share two numbers are equal, so that metric and US files agree.
EQUAL = 1e-9
# So near to each other, numbers about nought are equal as well.
NOUGHT = 1e-12


def _close(one: float, other: float) -> bool:
    return math.isclose(one, other, rel_tol=EQUAL, abs_tol=NOUGHT)


# Comparators of numbers by which is the larger; those that are equal pass the first two.
_OF_SIZE: dict[str, Callable[[float, float], bool]] = {
    "at_least": lambda found, wanted: found >= wanted or _close(found, wanted),
    "at_most": lambda found, wanted: found <= wanted or _close(found, wanted),
    "over": lambda found, wanted: found > wanted and not _close(found, wanted),
    "under": lambda found, wanted: found < wanted and not _close(found, wanted),
}


def by_day(function: Callable[[Any], Any], value: Any) -> Any:
    """A function of a value, for each day where it goes by day; None stays None."""
    if isinstance(value, list):
        return [None if one is None else function(one) for one in value]
    return None if value is None else function(value)


def in_days(value: Any, days: int) -> list[Any]:
    """A value for each day; what doesn't change is repeated."""
    return value if isinstance(value, list) else [value] * days


def pair(one: Any, other: Any, days: int) -> Iterable[tuple[Any, Any]]:
    """Two values side by side for each day."""
    return zip(in_days(one, days), in_days(other, days), strict=True)


def compare(comparator: str, found: Any, wanted: Any) -> bool:
    """Whether what a comparator says holds; equal numbers pass `at_least` and `at_most`.

    Of a list of names `is` and `one_of` ask whether any of them is meant, `not` whether none is.
    """
    if comparator == "none":
        return (not found) == bool(wanted)
    if isinstance(found, tuple):
        return any(compare("one_of", one, wanted) for one in found) != (comparator == "not")
    if comparator == "one_of":
        return any(compare("is", found, one) for one in _listed(wanted))
    if comparator == "not":
        return not any(compare("is", found, one) for one in _listed(wanted))
    if isinstance(found, date):
        found, wanted = found.toordinal(), date.fromisoformat(str(wanted)).toordinal()
    if comparator == "is":
        if isinstance(found, (bool, str)) or isinstance(wanted, (bool, str)):
            return bool(found == wanted)
        return math.isclose(found, wanted, rel_tol=EQUAL)
    return _OF_SIZE[comparator](found, wanted)


def against(comparator: str, wanted: Any) -> Callable[[Any], bool]:
    """`compare` with one and the same other side."""
    if comparator in _OF_SIZE and isinstance(wanted, (int, float)):
        holds = _OF_SIZE[comparator]
        return lambda found: holds(found, wanted)
    listed = (wanted,) if comparator == "is" else tuple(_listed(wanted))
    if comparator in ("is", "one_of", "not") and all(type(one) in (bool, str) for one in listed):
        among = comparator != "not"

        def passes(found: Any) -> bool:
            if type(found) in (bool, str):
                return (found in listed) is among
            return compare(comparator, found, wanted)

        return passes
    return lambda found: compare(comparator, found, wanted)


def fails_on(
    comparator: str, found: Any, wanted: Any, asked: list[Any] | None, days: int
) -> tuple[list[bool], bool]:
    """The days on which a comparator fails (none of them: an empty list), and whether any applies.

    It is asked on the days of `asked` that are True (None: on all).
    """
    series, one = (found, wanted) if type(found) is list else (wanted, found)
    if comparator in _MET_BY and isinstance(one, (int, float)):
        there = [x for x in series if x is not None] if None in series else series
        if not there:
            return [], False
        # Where the least or the most of them passes, all do.
        if _MET_BY[comparator](found, wanted, there):
            if asked is None:
                return [], True
            pairs = zip(series, asked, strict=True)
            return [], any(true is True and x is not None for x, true in pairs)
    answers = by_days(comparator, found, wanted, days)
    if asked is None:
        fails = [answer is False for answer in answers] if False in answers else []
        return fails, bool(fails) or True in answers
    asked_of = zip(answers, asked, strict=True)
    # What is not asked on a day counts like what does not apply.
    answers = [answer if truth is True else None for answer, truth in asked_of]
    fails = [answer is False for answer in answers] if False in answers else []
    return fails, bool(fails) or True in answers


# Whether a comparator holds on all days, of two sides of which one goes by day (`there`).
_MET_BY: dict[str, Callable[[Any, Any, list[Any]], bool]] = {
    "at_least": lambda found, wanted, there: (
        min(there) >= wanted if type(found) is list else found >= max(there)
    ),
    "at_most": lambda found, wanted, there: (
        max(there) <= wanted if type(found) is list else found <= min(there)
    ),
}


def _numbers(comparator: str, found: list[Any], wanted: list[Any]) -> list[bool | None]:
    """What `compare` says of many numbers, without asking each time what they are."""
    holds, pairs = _OF_SIZE[comparator], zip(found, wanted, strict=True)
    return [None if one is None or other is None else holds(one, other) for one, other in pairs]


def _with_one(comparator: str, found: list[Any], wanted: float) -> list[bool | None]:
    """What `_numbers` says with one and the same other side."""
    there = [x for x in found if x is not None] if None in found else found
    if not there:
        return [None] * len(found)
    over = comparator in ("at_least", "over")
    # Only what lies this near could be equal to it; mostly all of them lie to one side.
    near = 2 * EQUAL * abs(wanted) + 10 * NOUGHT
    below, above = wanted - near, wanted + near
    if min(there) > above or max(there) < below:
        answer = over is (min(there) > above)
        return [None if one is None else answer for one in found]
    holds = _OF_SIZE[comparator]
    return [
        None
        if one is None
        else over
        if one > above
        else not over
        if one < below
        else holds(one, wanted)
        for one in found
    ]


def by_days(comparator: str, found: Any, wanted: Any, days: int) -> list[bool | None]:
    """Whether a comparator holds on each day; None where one of the two does not apply.

    Much stays the same from one day to the next, and then so does the answer.
    """
    left, right = in_days(found, days), in_days(wanted, days)
    if comparator in _OF_SIZE:
        sample = next((one for one in right if one is not None), None)
        if isinstance(sample, (int, float)):
            if right is not wanted:
                return _with_one(comparator, left, wanted)
            return _numbers(comparator, left, right)
    if right is not wanted and wanted is not None:
        # Days have few values that are no numbers, and each is compared once.
        each = {one: one is not None and compare(comparator, one, wanted) for one in set(left)}
        return [None if one is None else each[one] for one in left]
    answers: list[bool | None] = []
    answer: bool | None = None
    before: Any = answers
    before_other: Any = answers
    for one, other in zip(left, right, strict=True):
        if one is not before or other is not before_other:
            absent = one is None or other is None
            answer = None if absent else compare(comparator, one, other)
            before, before_other = one, other
        answers.append(answer)
    return answers


def _listed(wanted: Any) -> Sequence[Any]:
    return wanted if isinstance(wanted, (list, tuple)) else (wanted,)
