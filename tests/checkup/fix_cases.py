"""Fixes held against plain checks: everything here reads texts and checks from scratch."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from functools import cache
from pathlib import Path
from typing import NamedTuple

from flockcheck.checkup.asking import sheet_of
from flockcheck.checkup.check import check
from flockcheck.checkup.examples import base_document, changed_setup
from flockcheck.checkup.model import Change, Finding, Report
from flockcheck.checkup.whatif import what_if
from flockcheck.rulebook.book import Rulebook
from flockcheck.rulebook.model import GRADES
from flockcheck.setup.reader import SetupError, read_setup_bytes
from flockcheck.setup.written import Setup
from flockcheck.workshop import load_rulebook

ROOT = Path(__file__).parents[2]
Which = tuple[str, str | None]
MEND = GRADES.index("mend")


@cache
def book() -> Rulebook:
    """The built-in rulebook."""
    return load_rulebook()


def setup_with(**values: str) -> Setup:
    """The base setup with other values; `__` stands for the dot of a key."""
    changes = {key.replace("__", "."): value for key, value in values.items()}
    return changed_setup(base_document(book().base()), changes, "base.flock.yaml")


def fixtures() -> list[Setup]:
    """Every fixture that can be read."""
    found = []
    for path in sorted((ROOT / "fixtures").rglob("*.flock.yaml")):
        try:
            found.append(read_setup_bytes(path.read_bytes(), path.relative_to(ROOT).as_posix()))
        except SetupError:
            continue
    return found


def done(setup: Setup, changes: Iterable[Change]) -> Setup:
    """A setup with changes made in its text, read again."""
    return what_if(setup, [f"{one.path}={one.text or 'left out'}" for one in changes])[0]


def by_question(report: Report) -> dict[Which, Finding]:
    """The findings of a report by rule and item."""
    return {(one.rule, one.about): one for one in report.findings}


def grade_on(finding: Finding | None, day: date) -> int:
    """The grade of a finding on a day, by its place; -1 for none."""
    if finding is None:
        return -1
    if not finding.spans:
        return GRADES.index(finding.grade)
    return max(
        (GRADES.index(one.grade) for one in finding.spans if one.first <= day <= one.last),
        default=-1,
    )


class Answers(NamedTuple):
    """A check from scratch, with every question that is for the setup."""

    report: Report
    asked: frozenset[Which]


def checked(setup: Setup) -> Answers:
    """A check from scratch."""
    asked = {(one.rule.name, one.about) for one in sheet_of(setup, book()).questions}
    return Answers(check(setup, book()), frozenset(asked))


def as_bad(before: Answers, after: Report, grade: str) -> list[str]:
    """What is against offering a change for a finding of a grade: what is new, worse or unchecked.

    It goes by findings and days alone, and knows nothing of how fixes are found.
    """
    bar = GRADES.index(grade)
    old, new = by_question(before.report), by_question(after)
    told = [
        f"new {which}"
        for which in new
        if which not in old and GRADES.index(new[which].grade) >= bar
    ]
    spans = [span for one in (*old.values(), *new.values()) for span in one.spans]
    edges = {day for span in spans for day in (span.first, span.last)}
    days = sorted(day for day in (*edges, after.first_day, after.looked_until) if day is not None)
    for which in sorted(new.keys() & old.keys(), key=str):
        for day in days:
            if not after.first_day or not after.first_day <= day <= (after.looked_until or day):
                continue
            always = not old[which].spans
            was = GRADES.index(old[which].grade) if always else grade_on(old[which], day)
            if grade_on(new[which], day) > was and grade_on(new[which], day) >= min(bar, MEND):
                told.append(f"worse {which} on {day}")
    open_before = {
        (one.rule, one.about) for one in (*before.report.not_checked, *before.report.partly_checked)
    }
    for one in (*after.not_checked, *after.partly_checked):
        which = (one.rule, one.about)
        if which in before.asked and which not in open_before:
            told.append(f"unchecked {which}")
    return told


def ended(which: Which, grade: str, report: Report) -> bool:
    """Whether a finding is ended: a stop or mend leaves no such, a watch or tip leaves nothing."""
    left = by_question(report).get(which)
    if left is None:
        return True
    return GRADES.index(grade) >= MEND > GRADES.index(left.grade)
