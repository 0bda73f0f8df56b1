"""The margin format: a line a finding, in the form that hosts show beside the line of a change.

A line is a workflow command (`::error file=...,line=...::what is wrong`), which GitHub Actions and
what is modelled on it take from a job's log and put beside that line of the file. Levels are as in
SARIF: error for stop and mend, warning for watch, notice for tip.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import Any

from flockcheck.checkup.model import Finding, Problem, Report
from flockcheck.rulebook.book import Rulebook

_LEVELS = {"stop": "error", "mend": "error", "watch": "warning", "tip": "notice"}
# Hosts show a few lines beside a change; the whole list is in the text report.
MOST_WAYS = 3
# What a command's text may not hold as it is; the percent sign first, since the others bring it.
_IN_TEXT = (("%", "%25"), ("\r", "%0D"), ("\n", "%0A"))
_IN_PROPERTY = (*_IN_TEXT, (":", "%3A"), (",", "%2C"))


def write(
    reports: Iterable[Report], rulebook: Rulebook, problems: Sequence[Problem], **options: Any
) -> str:
    """The run's findings, unreadable lines and problems, a command each; "" where there is none."""
    lines = [line for report in reports for line in _setup_lines(report)]
    lines += [_command("error", {"title": one.about}, one.says) for one in problems]
    return "".join(f"{line}\n" for line in lines)


def _setup_lines(report: Report) -> Iterator[str]:
    for fault in report.errors:
        where = {"file": report.file, "line": str(fault.line), "col": str(fault.column)}
        yield _command("error", {**where, "title": "Can't be read"}, fault.says)
    if report.verdict == "over":
        # Nobody is to be called to birds that have left.
        return
    for finding in report.findings:
        if finding.counts:
            yield _finding_line(finding, report.club if finding.place.club else report.file)
    for key in report.required:
        where = {"file": report.file, "line": "1", "title": "Required by the club"}
        yield _command("error", where, f"`{key}` is not written, and the club requires it.")


def _finding_line(finding: Finding, file: str) -> str:
    place = finding.place
    fixes = [f"{fix.says} (tried on this setup)" for fix in finding.fixes] or finding.advice
    ways = [_way(way, first=not at) for at, way in enumerate(fixes[:MOST_WAYS])]
    return _command(
        _LEVELS[finding.grade],
        {
            "file": file,
            "line": str(place.line),
            "col": str(place.column),
            "title": f"{finding.grade.capitalize()}: {finding.title} ({finding.rule})",
        },
        "\n".join(filter(None, (finding.says, finding.caution, *ways))),
    )


def _way(way: str, *, first: bool) -> str:
    """A way to mend a finding; a whole sentence is advice, which goes beside the others."""
    head = "Do" if first else "Also" if way.endswith(".") else "Or"
    return f"{head}: {way.rstrip('.')}."


def _command(level: str, properties: dict[str, str], text: str) -> str:
    told = ",".join(f"{name}={_with(value, _IN_PROPERTY)}" for name, value in properties.items())
    return f"::{level} {told}::{_with(text, _IN_TEXT)}"


def _with(text: str, signs: tuple[tuple[str, str], ...]) -> str:
    for sign, escape in signs:
        text = text.replace(sign, escape)
    return text
