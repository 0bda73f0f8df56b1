"""What a change does to the whole setup: what it clears, what it brings, what it makes worse.

Two sheets are held against each other, finding by finding and day by day.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date

from flockcheck.checkup.asking import Sheet
from flockcheck.checkup.model import Finding
from flockcheck.rulebook.model import GRADES
from flockcheck.setup.view import Missing
from flockcheck.text.records import NamedTuple

# A rule, and the item it was asked of.
Which = tuple[str, str | None]
_MEND = GRADES.index("mend")
_STATES = ("not checked", "partly", "checked")


class Outcome(NamedTuple):
    """What a change does.

    `ends` are the findings that are gone, `eases` those that stopped or wanted mending and are
    milder now. `brings` and `worse` give the worst grade (its place in GRADES) on the days that a
    finding is new, or worse than it was. `spoils` tells that something checked is checked no more,
    or that a standard is broken that was not; `open_keys` are the unwritten keys of questions that
    are asked now and were not, or, where it spoils, for want of which they can't be checked.
    """

    ends: frozenset[Which]
    eases: frozenset[Which]
    brings: dict[Which, int]
    worse: dict[Which, int]
    spoils: bool
    open_keys: tuple[str, ...]


def outcome(before: Sheet, after: Sheet) -> Outcome:
    """What has become of a setup between two sheets."""
    old, new = _by_question(before.findings), _by_question(after.findings)
    brings: dict[Which, int] = {}
    worse: dict[Which, int] = {}
    eases: set[Which] = set()
    for which, finding in new.items():
        was = old.get(which)
        if was is None:
            brings[which] = GRADES.index(finding.grade)
        elif finding is not was:
            grade = _worse(was, finding, after.run.days)
            if grade is not None:
                worse[which] = grade
            if GRADES.index(finding.grade) < _MEND <= GRADES.index(was.grade):
                eases.add(which)
    less, open_keys = _checked_less(before, after)
    spoils = less or (before.enough and not after.enough) or _breaks(before, after)
    ends = frozenset(old.keys() - new.keys())
    return Outcome(ends, frozenset(eases), brings, worse, spoils, open_keys)


def allowed(found: Outcome, which: Which, grade: str) -> bool:
    """Whether a change may be offered for a finding: it ends it, and brings nothing as bad.

    A stop or mend is ended by what leaves no stop or mend, a watch or tip by what leaves nothing.
    A finding that was there must not get worse where it is as bad, or where it counts.
    """
    bar = GRADES.index(grade)
    done = which in found.ends or (bar >= _MEND and which in found.eases)
    return (
        done
        and not found.spoils
        and all(one < bar for one in found.brings.values())
        and all(one < min(bar, _MEND) for one in found.worse.values())
    )


def _by_question(findings: Iterable[Finding]) -> dict[Which, Finding]:
    return {(one.rule, one.about): one for one in findings}


def _worse(was: Finding, now: Finding, days: list[date]) -> int | None:
    """The worst grade on the days on which a finding is worse than it was; None if on none."""
    if was.spans == now.spans and was.grade == now.grade:
        return None
    found = [
        grade
        for day in days
        if (grade := _on(now, day)) > (_on(was, day) if was.spans else GRADES.index(was.grade))
    ]
    return max(found, default=None)


def _on(finding: Finding, day: date) -> int:
    """The grade on a day, by its place in GRADES; -1 for none."""
    if not finding.spans:
        return GRADES.index(finding.grade)
    grades = (one.grade for one in finding.spans if one.first <= day <= one.last)
    return max(map(GRADES.index, grades), default=-1)


def _checked_less(before: Sheet, after: Sheet) -> tuple[bool, tuple[str, ...]]:
    """Whether a question is checked less than it was, and the keys that it or a new one lacks."""
    less: list[str] = []
    fresh: list[str] = []
    spoilt = False
    for name, told in after.told.items():
        if told is before.told[name]:
            continue
        states = {one.about: one.answer.state for one, _ in before.told[name].pairs}
        for one, _ in told.pairs:
            state, was = one.answer.state, states.get(one.about, "not asked")
            keys = [key for error in one.answer.lacks for key in error.keys]
            if state == "not asked":
                continue
            if was == "not asked":
                fresh += keys if one.rule.can_stop else []
            elif _STATES.index(state) < _STATES.index(was):
                spoilt = True
                less += keys
    return spoilt, tuple(dict.fromkeys(less if spoilt else fresh))


def _breaks(before: Sheet, after: Sheet) -> bool:
    """Whether a standard that was asked for is broken by what did not break it."""
    return any(
        found is True and name not in old
        for rule, told in after.told.items()
        if told is not before.told[rule]
        for old in [_broken(before, rule)]
        for one, _ in told.pairs
        for name, found in one.answer.broken.items()
    )


def _broken(sheet: Sheet, rule: str) -> set[str]:
    pairs = sheet.told[rule].pairs
    return {
        name
        for one, _ in pairs
        for name, found in one.answer.broken.items()
        if not isinstance(found, Missing) and found
    }
