"""The counting of how a club stands, over the reports of all its members' setups.

Reports come one after the other and none is kept, so that a club of ten thousand needs little more
memory than one of ten. Nothing is asked of a setup that is over, or that can't be read: it has a
verdict and a row of its own, and counts nowhere else.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from datetime import date, timedelta

from flockcheck.checkup.model import Finding, Report
from flockcheck.checkup.verdict import first_bad_day, open_grade
from flockcheck.reports.clubmodel import (
    Common,
    Ending,
    Key,
    Member,
    Predator,
    Question,
    Risk,
    Standard,
    Tally,
    Unanswered,
)
from flockcheck.reports.standing import VERDICTS, not_read, standing_of
from flockcheck.rulebook.model import GRADES
from flockcheck.setup.form import general

_BAD = ("stop", "mend")
_PREDATOR = "predators."


def tally(reports: Iterable[Report]) -> Tally:
    """How a club with these reports stands."""
    count = Count()
    for report in reports:
        count.add(report)
    return count.tally()


class Count:
    """The counting, report by report."""

    def __init__(self) -> None:
        self._members: list[Member] = []
        self._endings: list[Ending] = []
        self._common: dict[str, _Rule] = {}
        self._risks: list[Risk] = []
        self._predators: dict[str, _Listed] = {}
        self._asked_in: Counter[str] = Counter()
        self._not_checked: Counter[str] = Counter()
        self._partly: Counter[str] = Counter()
        self._needed: Counter[str] = Counter()
        self._alone: Counter[str] = Counter()
        self._lacking: Counter[str] = Counter()
        self._standards: dict[str, _Asked] = {}
        self._required: Counter[str] = Counter()

    def unread(self, file: str, why: str) -> None:
        """Count a setup whose file could not even be opened."""
        self._members.append(Member(not_read(file, why), None, 0, 0, 0, 0))

    def add(self, report: Report) -> None:
        """Count a report."""
        self._members.append(
            Member(
                standing_of(report),
                report.looked_until,
                report.asked,
                report.checked,
                report.partly,
                sum(one.accepted is not None for one in report.findings),
            )
        )
        if report.verdict in ("over", "unreadable"):
            return
        if report.verdict == "ready until":
            self._endings.append(_ending(report))
        self._findings(report)
        self._accepted(report)
        self._listed(report)
        self._unchecked(report)
        for answer in report.standards:
            asked = self._standards.setdefault(answer.name, _Asked())
            asked.answers[answer.met] += 1
            asked.by.update(answer.by)
        self._required.update(report.required)

    def tally(self) -> Tally:
        """What was counted."""
        verdicts = Counter(one.standing.verdict for one in self._members)
        return Tally(
            members=tuple(sorted(self._members, key=lambda one: one.standing.file)),
            verdicts={verdict: verdicts[verdict] for verdict in VERDICTS},
            endings=tuple(sorted(self._endings, key=lambda one: (one.day, one.file))),
            common=tuple(sorted((one.told() for one in self._common.values()), key=_by_weight)),
            risks=tuple(sorted(self._risks, key=_by_end)),
            predators=tuple(
                sorted(
                    (one.told(name) for name, one in self._predators.items()),
                    key=lambda one: (-len(one.unanswered), -len(one.unknown), one.name),
                )
            ),
            questions=self._questions(),
            keys=self._keys(),
            standards=tuple(one.told(name) for name, one in sorted(self._standards.items())),
            required=_most_first(self._required),
        )

    def _findings(self, report: Report) -> None:
        worst: dict[str, str] = {}
        for finding in report.findings:
            if not finding.counts:
                continue
            grade = open_grade(finding)
            rule = self._common.setdefault(finding.rule, _Rule(finding))
            rule.findings += 1
            worst[finding.rule] = _worse(worst.get(finding.rule, ""), grade)
        for name, grade in worst.items():
            self._common[name].grades[grade] += 1

    def _accepted(self, report: Report) -> None:
        together: dict[tuple[date, str, str, str, str], list[str | None]] = {}
        for one in report.findings:
            if one.accepted is not None:
                taken = one.accepted
                key = (taken.until, one.rule, one.title, taken.because, taken.cut)
                together.setdefault(key, []).append(one.about)
        for (until, rule, title, because, cut), about in together.items():
            risk = Risk(until, report.file, report.name, rule, title, because, cut, tuple(about))
            self._risks.append(risk)

    def _listed(self, report: Report) -> None:
        open_to: dict[str, list[Finding]] = {}
        accepted: set[str | None] = set()
        for finding in report.findings:
            about = finding.about or ""
            if not about.startswith(_PREDATOR) or open_grade(finding) not in _BAD:
                continue
            if finding.counts:
                open_to.setdefault(about, []).append(finding)
            else:
                accepted.add(about)
        unchecked = {one.about for one in (*report.not_checked, *report.partly_checked)}
        for at, name in enumerate(report.predators):
            listed = self._predators.setdefault(name, _Listed())
            listed.setups += 1
            about = f"{_PREDATOR}{at}"
            if about in open_to:
                found = open_to[about]
                grade = ""
                for one in found:
                    grade = _worse(grade, open_grade(one))
                rules = tuple(dict.fromkeys(one.rule for one in found))
                listed.unanswered.append(Unanswered(report.file, report.name, grade, rules))
            elif about in accepted:
                listed.accepted.append(report.file)
            elif about in unchecked:
                listed.unknown.append(report.file)

    def _unchecked(self, report: Report) -> None:
        self._not_checked.update(one.rule for one in report.not_checked)
        self._partly.update(one.rule for one in report.partly_checked)
        every = (*report.not_checked, *report.partly_checked)
        self._asked_in.update({one.rule for one in every})
        lacking: set[str] = set()
        for one in every:
            keys = {general(key).replace(".*", "") for key in one.needs}
            self._needed.update(keys)
            if len(keys) == 1:
                self._alone.update(keys)
            lacking |= keys
        self._lacking.update(lacking)

    def _questions(self) -> tuple[Question, ...]:
        found = [
            Question(rule, setups, self._not_checked[rule], self._partly[rule])
            for rule, setups in self._asked_in.items()
        ]
        order = sorted(found, key=lambda one: (-one.setups, -one.not_checked, one.rule))
        return tuple(order)

    def _keys(self) -> tuple[Key, ...]:
        found = [
            Key(key, questions, self._alone[key], self._lacking[key])
            for key, questions in self._needed.items()
        ]
        return tuple(sorted(found, key=lambda one: (-one.questions, -one.setups, one.key)))


class _Rule:
    """What a rule finds."""

    def __init__(self, first: Finding) -> None:
        self.first = (first.rule, first.topic, first.title)
        self.findings = 0
        self.grades = dict.fromkeys(reversed(GRADES), 0)

    def told(self) -> Common:
        return Common(*self.first, sum(self.grades.values()), self.findings, self.grades)


class _Listed:
    """What is known of a predator."""

    def __init__(self) -> None:
        self.setups = 0
        self.unanswered: list[Unanswered] = []
        self.accepted: list[str] = []
        self.unknown: list[str] = []

    def told(self, name: str) -> Predator:
        unanswered = sorted(self.unanswered, key=lambda one: (-GRADES.index(one.grade), one.file))
        accepted, unknown = tuple(sorted(self.accepted)), tuple(sorted(self.unknown))
        return Predator(name, self.setups, tuple(unanswered), accepted, unknown)


class _Asked:
    """What is known of a standard."""

    def __init__(self) -> None:
        self.answers: Counter[bool | None] = Counter()
        self.by: Counter[str] = Counter()

    def told(self, name: str) -> Standard:
        met = self.answers
        return Standard(name, met[True], met[False], met[None], _most_first(self.by))


def _ending(report: Report) -> Ending:
    """On which day a setup stops being ready, and by which rules."""
    assert report.ready_until is not None and report.first_day is not None
    bad = report.ready_until + timedelta(days=1)
    rules = [one.rule for one in report.findings if first_bad_day((one,), report.first_day) == bad]
    named = tuple(dict.fromkeys(rules))
    return Ending(report.ready_until, report.file, report.name, named, report.open_end)


def _by_weight(one: Common) -> tuple[int, int, str]:
    """What stops or wants mending in the most setups comes first."""
    return (-one.grades["stop"] - one.grades["mend"], -one.setups, one.rule)


def _by_end(one: Risk) -> tuple[date, str, str, str]:
    return (one.until, one.file, one.rule, one.because)


def _worse(one: str, other: str) -> str:
    return other if not one or GRADES.index(other) > GRADES.index(one) else one


def _most_first(counter: Counter[str]) -> tuple[tuple[str, int], ...]:
    return tuple(sorted(counter.items(), key=lambda pair: (-pair[1], pair[0])))
