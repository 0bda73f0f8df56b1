"""The few days of a stay that matter: who comes and goes, what begins, and the last good day."""

from __future__ import annotations

from datetime import date

from flockcheck.checkup.model import Finding, Report
from flockcheck.rulebook.model import GRADES


def dates_of(report: Report) -> list[tuple[date, list[str]]]:
    """The days that matter with what happens on each, in order; none where nothing changes.

    A finding has the day on which it begins and those on which it is worse than ever before; that
    it ends, eases or comes again is told with the finding. Tips wait.
    """
    if report.first_day is None or report.looked_until is None:
        return []
    days: dict[date, list[str]] = {}
    for day, says in report.comings or ((report.first_day, "birds move in"),):
        days.setdefault(day, []).append(says)
    if report.verdict == "ready until" and report.ready_until not in (None, report.looked_until):
        assert report.ready_until is not None
        days.setdefault(report.ready_until, []).append("last good day")
    begins = False
    for finding in report.findings:
        for day, says in _turns(finding, report.first_day):
            begins = True
            here = days.setdefault(day, [])
            if says not in here:
                here.append(says)
    if not begins and len(days) < 2:
        return []
    end = "as far as looked" if report.open_end else "last day"
    days.setdefault(report.looked_until, []).append(end)
    return sorted(days.items())


def _turns(finding: Finding, start: date) -> list[tuple[date, str]]:
    """The days on which a finding begins and gets worse, those that are accepted left out."""
    title = finding.title[:1].lower() + finding.title[1:]
    found: list[tuple[date, str]] = []
    since = finding.open_from
    if not finding.counts or since is None:
        return []
    lapsed = finding.accepted is not None and since > (finding.first or start)
    worst = -1
    for span in finding.spans:
        if span.last < since:
            continue
        grade, day = GRADES.index(span.grade), max(span.first, since)
        if grade > max(worst, 0):
            again = ", no longer accepted" if lapsed and worst < 0 else ""
            if day > start:
                found.append((day, f"{title}{again} ({span.grade})"))
            worst = grade
    if lapsed and not finding.spans and finding.grade != "tip":
        found.append((since, f"{title}, no longer accepted ({finding.grade})"))
    return found
