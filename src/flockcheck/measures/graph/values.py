"""Is what a measure gives of the kind that it says? Nothing else may reach rules and reports.

A plugin's measure can give anything at all. A text in place of a number would end the whole check
where it is compared, and NaN or infinity would make a JSON report that no other program reads.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from math import isfinite
from typing import Any

_ABSENT = type(None)
_NUMBER = "a number"
# What a measure may give by what it says it gives, and the words for it; None: a quantity.
_KINDS: dict[str | None, tuple[frozenset[type], str]] = {
    "flag": (frozenset({bool, _ABSENT}), "True or False"),
    "word": (frozenset({str, _ABSENT}), "a text"),
    "names": (frozenset({tuple, _ABSENT}), "a tuple of texts"),
    "date": (frozenset({date, _ABSENT}), "a date"),
    None: (frozenset({int, float, _ABSENT}), _NUMBER),
}


def unlike(value: Any, gives: str, *, daily: bool) -> str:
    """What is wrong with a measure's value, in words; empty where it is of the kind it says.

    `gives` is a dimension or one of flag, word, names, date; a daily value is a list with one of
    them for each day. None is always allowed: the measure does not apply.
    """
    kinds, words = _KINDS.get(gives) or _KINDS[None]
    values = value if daily else (value,)
    if words == _NUMBER and not daily and type(value) in (tuple, list):
        # A series for other measures to look into, such as the day on which each patch begins.
        values = value
    given = set(map(type, values))
    if not given <= kinds:
        for kind in given - kinds:
            # A number of another library, such as numpy's, may be as good as Python's own.
            if kind is bool or not issubclass(kind, tuple(kinds)):
                return f"gave {kind.__name__}, not {words}"
    if gives == "names":
        odd = next((one for names in values for one in names or () if type(one) is not str), None)
        return "" if odd is None else f"gave names with {type(odd).__name__} among them"
    return _endless(values) if words == _NUMBER else ""


def whole(series: list[Any]) -> bool:
    """Whether a series has a finite number or a flag for each day, as most have.

    Where it has not, it may still be all right: a text is no number, and None no fault.
    """
    try:
        return isfinite(sum(series))
    except TypeError:
        return False


def endless(value: Any, gives: str, *, daily: bool) -> str:
    """The same of a measure of which tests tell that its values are of their kind.

    Whether its numbers are finite depends on the setup, and is looked at all the same.
    """
    if gives in _KINDS:
        return ""
    return _endless(value if daily or type(value) in (tuple, list) else (value,))


def _endless(values: Sequence[Any]) -> str:
    try:
        total = sum(values)
    except TypeError:
        total = sum(filter(None, values))
    if isfinite(total):
        return ""
    odd = next((one for one in values if one is not None and not isfinite(one)), None)
    return "" if odd is None else f"gave {odd}, which is no finite number"
