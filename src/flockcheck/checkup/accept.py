"""Risks that the keeper takes knowingly: which findings they cover, and on which days."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta

from flockcheck.checkup.model import Acceptance, Finding, Place
from flockcheck.setup.sections import Whole
from flockcheck.setup.written import FromClub, Setup
from flockcheck.text.records import NamedTuple

# The longest time that a risk which can hurt someone may be accepted.
CAUTION_DAYS = 30
# Not in any rulebook: they are about the file's own list of accepted risks.
IN_VAIN = "accepted-nothing"
REFUSED = "accepted-refused"


class Accepted(NamedTuple):
    """An entry of `accepted`: its place in the list, the rule, the item or "", reason and end.

    A club may let it hold for `longest` days only, or refuse it: then it covers nothing.
    """

    at: int
    rule: str
    item: str
    because: str
    until: date
    longest: int | None = None
    refused: bool = False

    def covers(self, rule: str, about: str | None) -> bool:
        """Whether it speaks of a rule's answer for an item (None: for the pen)."""
        return not self.refused and self.rule == rule and self.item in ("", about)


def accepted_in(setup: Setup, whole: Whole) -> list[Accepted]:
    """The entries of `accepted` in the order of the file."""
    found = []
    club = setup.club or FromClub("")
    for at in range(setup.lists.get("accepted", 0)):
        entry = whole.accepted[at]
        item = setup.values.get(f"accepted.{at}.item")
        written = item.value if item else ""
        terms = (club.longest, entry.rule in club.never)
        found.append(Accepted(at, entry.rule, written, entry.because, entry.until, *terms))
    return found


def days_of(finding: Finding, days: Sequence[date]) -> list[date]:
    """The days of a finding; those of the whole stay where it does not change by day."""
    if not finding.spans:
        return list(days)
    return [day for day in days if any(span.first <= day <= span.last for span in finding.spans)]


def open_days(finding: Finding, days: Sequence[date]) -> list[date]:
    """The days of a finding that no acceptance covers."""
    own = days_of(finding, days)
    if finding.accepted is None:
        return own
    return [day for day in own if day > finding.accepted.until]


def covered(finding: Finding, entries: Sequence[Accepted], days: Sequence[date]) -> Finding:
    """A finding with the acceptance that covers it longest, if there is one.

    Where someone can get hurt, an acceptance ends `CAUTION_DAYS` after the finding's first day, and
    a club may have set an end of its own.
    """
    own = [entry for entry in entries if entry.covers(finding.rule, finding.about)]
    if not own:
        return finding
    longest = max(own, key=lambda entry: entry.until)
    until, cut = longest.until, ""
    terms = (("caution", CAUTION_DAYS if finding.caution else None), ("club", longest.longest))
    for why, most in terms:
        end = (finding.first or days[0]) + timedelta(days=most) if most is not None else until
        if end < until:
            until, cut = end, why
    acceptance = Acceptance(longest.because, until, cut)
    found = finding._replace(accepted=acceptance)
    return found._replace(open_from=next(iter(open_days(found, days)), None))


def in_vain(entry: Accepted, setup: Setup) -> Finding:
    """The tip that an entry of `accepted` covers nothing, or that the club refuses it."""
    path = f"accepted.{entry.at}.rule"
    start = setup.values[path].start
    where = f"for {entry.item}" if entry.item else "in this setup"
    title = "A risk is accepted that is not there"
    says = f"`{entry.rule}` is accepted, but it finds nothing {where}."
    why = "An acceptance that covers nothing today would cover the finding when it comes."
    if entry.refused:
        title = "A risk is accepted that the club does not let pass"
        says = f"The club does not let `{entry.rule}` be accepted; what it finds counts."
        why = "Some risks a club leaves to nobody's own judgement."
    return Finding(
        rule=REFUSED if entry.refused else IN_VAIN,
        topic="accepted",
        grade="tip",
        title=title,
        says=says,
        why=why,
        about=f"accepted.{entry.at}",
        place=Place(path, start.line, start.column),
        measured=None,
        comparator="",
        limit=None,
        first=None,
        worst=None,
        spans=(),
        cites=(),
        caution="",
        advice=("take the entry out of `accepted`",),
        accepted=None,
        open_from=None,
    )
