"""What a check gives: findings and the report of one setup.

They are named tuples, made by keyword: frozen like a dataclass, which would cost each start more
than a millisecond to build.
"""

from __future__ import annotations

from datetime import date
from typing import Any

from flockcheck.text.document import Fault
from flockcheck.text.records import NamedTuple


class Span(NamedTuple):
    """Days with one grade, first and last included."""

    first: date
    last: date
    grade: str


class Place(NamedTuple):
    """Where in the keeper's file a finding points, or in the club's where the value is its own."""

    path: str
    line: int
    column: int
    club: bool = False


class Measured(NamedTuple):
    """A value with its base unit, and as it is shown to the keeper."""

    name: str
    value: Any
    unit: str
    shown: str


class Acceptance(NamedTuple):
    """A risk that the keeper takes knowingly: why, and until which day.

    Where the day is earlier than the keeper's, `cut` says why: `caution`, since someone can get
    hurt, or `club`, which lets no risk be accepted for longer.
    """

    because: str
    until: date
    cut: str = ""


class Change(NamedTuple):
    """One key that a fix changes.

    `old` and `new` are values in base units, None where nothing is written; `was` and `text` are
    the same as the keeper writes them ("12 ft", "2027-05-26", "yes"). A list item that is added has
    its path in `path` (`guardians.1`), None and "" for what was, and its keys in `item`.
    """

    path: str
    old: Any
    new: Any
    was: str
    text: str
    item: tuple[tuple[str, str], ...] = ()


class Fix(NamedTuple):
    """A change of the setup that was checked again as a whole.

    `clears` names the rules it ends, `remains` those it was meant for whose milder findings stay,
    `brings` the milder ones that it raises, and `not_proved_for` the unwritten keys that it would
    move along. `kind` is choice or work.
    """

    says: str
    kind: str
    effort: float
    changes: tuple[Change, ...]
    clears: tuple[str, ...]
    remains: tuple[str, ...]
    brings: tuple[str, ...]
    not_proved_for: tuple[str, ...]


class Plan(NamedTuple):
    """Fixes that together make a setup ready, or bring it as near to that as they can.

    `verdict` and `ready_until` are what a check of the setup with all of them says; `least` tells
    that no set of fixes with less effort does it; `advice` has rule and words for what no number
    mends, `remains` the rules that still stop or mend.
    """

    fixes: tuple[Fix, ...]
    effort: float
    least: bool
    verdict: str
    ready_until: date | None
    remains: tuple[str, ...]
    advice: tuple[tuple[str, str], ...]


class WhatIf(NamedTuple):
    """What other values than those written come to; the rest of the report is about those.

    `verdict`, `ready_until` and `counts` are those of the file as it is written. `gone` and `new`
    have rule, item (None: the pen) and grade of each finding, `graded` rule, item, the grade it had
    and the one it has. `predators` are those of the file, which the items of `gone` are among.
    """

    changes: tuple[Change, ...]
    verdict: str
    ready_until: date | None
    counts: dict[str, int]
    gone: tuple[tuple[str, str | None, str], ...]
    new: tuple[tuple[str, str | None, str], ...]
    graded: tuple[tuple[str, str | None, str, str], ...]
    predators: tuple[str, ...] = ()


class Finding(NamedTuple):
    """One rule failed for one thing.

    `about` is the item's path (`drinkers.0`) or None for the pen; `spans` its days by grade, empty
    where it holds all the time; `open_from` the first day that no acceptance covers (None: it is
    covered to the end), the stay's first day where undated. `why` and `caution` are the rule's.
    """

    rule: str
    topic: str
    grade: str
    title: str
    says: str
    why: str
    about: str | None
    place: Place
    measured: Measured | None
    comparator: str
    limit: Measured | None
    first: date | None
    worst: tuple[date, Any] | None
    spans: tuple[Span, ...]
    cites: tuple[dict[str, Any], ...]
    caution: str
    advice: tuple[str, ...]
    accepted: Acceptance | None
    open_from: date | None
    fixes: tuple[Fix, ...] = ()

    @property
    def counts(self) -> bool:
        """Whether it counts: some of its days are not accepted."""
        return self.accepted is None or self.open_from is not None


class Unchecked(NamedTuple):
    """A question that could not be judged, or only in part: rule, item and the keys it needs.

    `why` says what else stood in the way where no key would help.
    """

    rule: str
    about: str | None
    needs: tuple[str, ...]
    why: str


class StandardAnswer(NamedTuple):
    """How a setup stands against an opt-in set of limits; `met` None where parts are unchecked."""

    name: str
    met: bool | None
    by: tuple[str, ...]
    not_checked: tuple[str, ...]


class Report(NamedTuple):
    """The answer for one setup; see docs/report-format.md for each field.

    `first_day` is the day the first birds go out, `looked_until` the last day looked at, and
    `open_end` tells that some group has no `leaves`. `club` is the club's file or "", `from_club`
    the values that come from it, `required` the keys that it requires and the setup lacks.
    `comings` says who moves in and who leaves, by day, without the day on which all is over.
    `predators` are those that the setup and its club list, in the order in which `about` counts.
    """

    file: str
    name: str
    verdict: str
    ready_until: date | None
    first_day: date | None
    looked_until: date | None
    open_end: bool
    birds: str
    asked: int
    checked: int
    partly: int
    counts: dict[str, int]
    findings: tuple[Finding, ...]
    standards: tuple[StandardAnswer, ...]
    partly_checked: tuple[Unchecked, ...]
    not_checked: tuple[Unchecked, ...]
    taken_as_none: tuple[str, ...]
    sharper: tuple[str, ...]
    reminders: tuple[str, ...]
    errors: tuple[Fault, ...]
    failures: tuple[str, ...]
    plan: Plan | None = None
    club: str = ""
    from_club: tuple[str, ...] = ()
    required: tuple[str, ...] = ()
    what_if: WhatIf | None = None
    comings: tuple[tuple[date, str], ...] = ()
    predators: tuple[str, ...] = ()


def unreadable(file: str, errors: tuple[Fault, ...], name: str = "") -> Report:
    """The report of a file that could not be read."""
    return Report(
        file=file,
        name=name,
        verdict="unreadable",
        ready_until=None,
        first_day=None,
        looked_until=None,
        open_end=False,
        birds="",
        asked=0,
        checked=0,
        partly=0,
        counts={"stop": 0, "mend": 0, "watch": 0, "tip": 0},
        findings=(),
        standards=(),
        partly_checked=(),
        not_checked=(),
        taken_as_none=(),
        sharper=(),
        reminders=(),
        errors=errors,
        failures=(),
    )


class Problem(NamedTuple):
    """What went wrong with the run: the plugin, folder or rulebook, and what to do about it."""

    about: str
    says: str
