"""A report format of one line a setup, for a list or a message."""

from collections.abc import Sequence
from typing import Any

from flockcheck import Report, Rulebook


def write(
    reports: Sequence[Report], rulebook: Rulebook, problems: Sequence[Any], **options: Any
) -> str:
    """The whole run as text: what went wrong with it, then a line for each setup."""
    lines = [f"trouble with {one.about}: {one.says}" for one in problems]
    for report in reports:
        until = f" {report.ready_until}" if report.ready_until else ""
        found = ", ".join(finding.rule for finding in report.findings) or "nothing found"
        lines.append(f"{report.file}: {report.verdict}{until} ({found})")
    return "\n".join(lines) + "\n"
