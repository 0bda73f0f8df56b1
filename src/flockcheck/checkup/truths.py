"""True, false or unknown, by day where it changes by day.

Unknown is the `Missing` that says which keys would settle it.
"""

from __future__ import annotations

from collections.abc import Sequence

from flockcheck.setup.view import Missing

# True, False or the Missing that says what would settle it.
Truth = bool | Missing
Tri = Truth | list[Truth]


def every(parts: Sequence[Tri]) -> Tri:
    """All of them: false if any is, else unknown if any is, else true; by day where one is."""
    return _combine(parts, False)


def some(parts: Sequence[Tri]) -> Tri:
    """Any of them: true if one is, else unknown if one is, else false; by day where one is."""
    return _combine(parts, True)


def _combine(parts: Sequence[Tri], settles: bool) -> Tri:
    lists: list[list[Truth]] = []
    unknown: list[Truth] = []
    for part in parts:
        if part is settles:
            return settles
        if isinstance(part, list):
            lists.append(part)
        elif isinstance(part, Missing):
            unknown.append(part)
    if not lists:
        return merged(unknown) if unknown else not settles
    if len(lists) == 1 and not unknown:
        return lists[0]
    if not unknown and all(known(one) for one in lists):
        found = lists[0]
        for other in lists[1:]:
            days = zip(found, other, strict=True)
            found = [a or b for a, b in days] if settles else [a and b for a, b in days]
        return found
    # Days on end are alike, and then one Missing says of all of them what they lack.
    answers: list[Truth] = []
    before: tuple[Truth, ...] = ()
    for row in zip(*lists, strict=True):
        answers.append(answers[-1] if row == before else _one([*row, *unknown], settles))
        before = row
    return answers


def known(truths: Sequence[Truth]) -> bool:
    """Whether none of these is unknown."""
    return Missing not in map(type, truths)


def _one(parts: Sequence[Truth], settles: bool) -> Truth:
    if settles in parts:
        return settles
    unknown = [part for part in parts if isinstance(part, Missing)]
    return merged(unknown) if unknown else not settles


def merged(unknown: Sequence[Truth]) -> Missing:
    """One Missing with the keys of several."""
    errors = [error for error in unknown if isinstance(error, Missing)]
    keys = [key for error in errors for key in error.keys]
    return Missing(*keys, why=next((error.why for error in errors if error.why), ""))
