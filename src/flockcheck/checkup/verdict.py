"""The verdict: may the birds move in, and until when."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta

from flockcheck.checkup.model import Finding
from flockcheck.rulebook.model import GRADES

_BAD = ("stop", "mend")


def open_grade(finding: Finding) -> str:
    """The worst grade on the days that no acceptance covers."""
    since = finding.open_from
    if since is None:
        return finding.grade
    left = [span.grade for span in finding.spans if span.last >= since]
    return max(left, key=GRADES.index) if left else finding.grade


def first_bad_day(findings: Sequence[Finding], start: date) -> date | None:
    """The first day with an open stop or mend; `start` for one that does not change by day."""
    begins = [_begins(finding, start) for finding in findings if finding.counts]
    return min((day for day in begins if day is not None), default=None)


def _begins(finding: Finding, start: date) -> date | None:
    since = finding.open_from or start
    if not finding.spans:
        return since if finding.grade in _BAD else None
    bad = (span for span in finding.spans if span.grade in _BAD and span.last >= since)
    return next((max(span.first, since) for span in bad), None)


def verdict(
    bad: date | None, days: Sequence[date], *, open_end: bool, enough: bool
) -> tuple[str, date | None]:
    """The verdict and, for `ready until`, the last good day.

    `bad` is the first bad day, `open_end` whether some group has no `leaves`, and `enough` whether
    at least half of the questions that could say stop or mend were checked.
    """
    if bad is not None and bad <= days[0]:
        return "not ready", None
    if not enough:
        return "cannot say", None
    if bad is not None:
        return "ready until", bad - timedelta(days=1)
    return ("ready until", days[-1]) if open_end else ("ready", None)
