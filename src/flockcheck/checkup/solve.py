"""A check with fixes: the report of `check`, with what was found to put each finding right."""

from __future__ import annotations

from datetime import date

from flockcheck.checkup.asking import Sheet, sheet_of
from flockcheck.checkup.check import reference_errors, report_of
from flockcheck.checkup.model import Report, unreadable
from flockcheck.rulebook.book import Rulebook
from flockcheck.setup.written import Setup


def solve(
    setup: Setup,
    rulebook: Rulebook,
    *,
    standards: tuple[str, ...] = (),
    units: str = "written",
    on: date | None = None,
    keep: tuple[str, ...] = (),
    plan: bool = False,
) -> Report:
    """The report of one setup, with fixes that were tried on it and checked as a whole.

    `keep` are the keys that no fix may change, or what holds them: `birds`, `pen.length`; with
    `plan` the fixes are told that together make it ready with the least effort. All else is as for
    `check`. Raises nothing for any setup.
    """
    errors = reference_errors(setup, rulebook)
    if errors:
        return unreadable(setup.file, errors, setup.name)
    sheet = sheet_of(setup, rulebook, standards, units)
    report = report_of(sheet, rulebook, on)
    if report.verdict == "over":
        return report
    if not plan and not _may_be_fixed(sheet, rulebook):
        return report
    # Imported only where there is something to look for.
    from flockcheck.checkup.fixes import Finder, with_fixes

    finder = Finder(sheet, rulebook, keep)
    report = report._replace(findings=with_fixes(sheet, finder))
    if not plan:
        return report
    from flockcheck.checkup.plan import plan_of

    return report._replace(plan=plan_of(sheet, rulebook, finder))


def _may_be_fixed(sheet: Sheet, rulebook: Rulebook) -> bool:
    """Whether a finding that counts has a lever; to all others a search would add nothing."""
    rules = (rulebook.rules.get(one.rule) for one in sheet.findings if one.counts)
    return any(idea.lever for rule in rules if rule is not None for idea in rule.fixes)
