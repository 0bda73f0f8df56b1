"""The JSON report, report 1: what other programs read. Its schema is `report.schema.json`."""

from __future__ import annotations

import json
from collections.abc import Sequence
from datetime import date
from typing import Any

from flockcheck import __version__
from flockcheck.checkup.model import Finding, Measured, Problem, Report, Unchecked
from flockcheck.reports.fixdata import fix_data, plan_data, what_if_data
from flockcheck.rulebook.book import Rulebook

REPORT = 1
_ON_A_LINE = json.JSONEncoder(ensure_ascii=False, separators=(",", ":"), check_circular=False)


def write(
    reports: Sequence[Report], rulebook: Rulebook, problems: Sequence[Problem], **options: Any
) -> str:
    """The whole run as one JSON text, ending in a newline; the same input gives the same bytes."""
    return json.dumps(run_data(reports, rulebook, problems), indent=2, ensure_ascii=False) + "\n"


def write_lines(
    reports: Sequence[Report], rulebook: Rulebook, problems: Sequence[Problem], **options: Any
) -> str:
    """A line of JSON for each setup. What went wrong with the run itself has no line."""
    return "".join(f"{setup_line(report)}\n" for report in reports)


def setup_line(report: Report) -> str:
    """The report of one setup on one line, without its end."""
    return _ON_A_LINE.encode(setup_data(report))


def run_data(
    reports: Sequence[Report], rulebook: Rulebook, problems: Sequence[Problem]
) -> dict[str, Any]:
    """The whole run as plain data."""
    return {
        "flockcheck": {
            "version": __version__,
            "report": REPORT,
            "rulebooks": [
                {"name": name, "version": version or None} for name, version in rulebook.books
            ],
        },
        "setups": [setup_data(report) for report in reports],
        "problems": [{"about": problem.about, "says": problem.says} for problem in problems],
    }


def setup_data(report: Report) -> dict[str, Any]:
    """The report of one setup as plain data."""
    return {
        "file": report.file,
        "name": report.name or None,
        "verdict": report.verdict,
        "ready_until": _day(report.ready_until),
        "looked_until": _day(report.looked_until),
        "asked": report.asked,
        "checked": report.checked,
        "partly": report.partly,
        "counts": dict(report.counts),
        "findings": [_finding(finding, report) for finding in report.findings],
        "standards": [
            {
                "name": standard.name,
                "met": standard.met,
                "by": list(standard.by),
                "not_checked": list(standard.not_checked),
            }
            for standard in report.standards
        ],
        "partly_checked": [_unchecked(one) for one in report.partly_checked],
        "not_checked": [_unchecked(one) for one in report.not_checked],
        "taken_as_none": list(report.taken_as_none),
        "sharper": list(report.sharper),
        "reminders": list(report.reminders),
        "plan": plan_data(report.plan),
        "errors": [
            {
                "line": fault.line,
                "column": fault.column,
                "path": fault.path,
                "says": fault.says,
            }
            for fault in report.errors
        ],
        "club": report.club or None,
        "from_club": list(report.from_club),
        "required": list(report.required),
        "predators": list(report.predators),
        "with": what_if_data(report.what_if),
    }


def _finding(finding: Finding, report: Report) -> dict[str, Any]:
    limit, place = finding.limit, finding.place
    return {
        "rule": finding.rule,
        "topic": finding.topic,
        "grade": finding.grade,
        "title": finding.title,
        "says": finding.says,
        "about": finding.about,
        "place": {
            "file": report.club if place.club else report.file,
            "path": place.path,
            "line": place.line,
            "column": place.column,
        },
        "measured": _measured(finding.measured),
        "limit": None
        if limit is None
        else {
            finding.comparator: _plain(limit.value),
            "unit": limit.unit or None,
            "shown": limit.shown,
        },
        "from": _day(finding.first),
        "worst": None
        if finding.worst is None
        else {"day": _day(finding.worst[0]), "value": _plain(finding.worst[1])},
        "days": [
            {"from": _day(span.first), "to": _day(span.last), "grade": span.grade}
            for span in finding.spans
        ],
        "sources": [dict(cite) for cite in finding.cites],
        "caution": finding.caution or None,
        "fixes": [fix_data(fix) for fix in finding.fixes],
        "advice": list(finding.advice),
        "accepted": None
        if finding.accepted is None
        else {
            "because": finding.accepted.because,
            "until": _day(finding.accepted.until),
            "cut": finding.accepted.cut or None,
        },
    }


def _measured(measured: Measured | None) -> dict[str, Any] | None:
    if measured is None:
        return None
    return {
        "name": measured.name,
        "value": _plain(measured.value),
        "unit": measured.unit or None,
        "shown": measured.shown,
    }


def _unchecked(one: Unchecked) -> dict[str, Any]:
    return {
        "rule": one.rule,
        "about": one.about,
        "needs": list(one.needs),
        "why": one.why or None,
    }


def _day(day: date | None) -> str | None:
    return day.isoformat() if day else None


def _plain(value: Any) -> Any:
    """A value as JSON has it; numbers to twelve digits, so that the last bits never show."""
    if isinstance(value, float):
        return float(f"{value:.12g}")
    if isinstance(value, (list, tuple)):
        return [_plain(one) for one in value]
    return value.isoformat() if isinstance(value, date) else value
