"""What a worker of any pool or cluster does: a text in, a report out, nothing else needed."""

from __future__ import annotations

from functools import cache

import flockcheck


@cache
def book() -> flockcheck.Rulebook:
    """The built-in rules, loaded once in each process."""
    return flockcheck.load_rulebook()


def verdict(text: str) -> tuple[str, str | None, dict[str, int]]:
    """A setup's verdict, its last good day and its counts; what can't be read is "unreadable"."""
    try:
        report = flockcheck.check(flockcheck.parse_setup(text, "member"), book())
    except flockcheck.SetupError:
        return "unreadable", None, {}
    until = report.ready_until.isoformat() if report.ready_until else None
    return report.verdict, until, report.counts
