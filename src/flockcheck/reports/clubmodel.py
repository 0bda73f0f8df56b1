"""How a club stands: the records of what is counted over all its members' setups."""

from __future__ import annotations

from datetime import date

from flockcheck.reports.standing import Standing
from flockcheck.rulebook.model import GRADES
from flockcheck.text.records import NamedTuple

WORST_FIRST = tuple(reversed(GRADES))


class Member(NamedTuple):
    """One setup: how it stands, until when it was looked at, and how much of it was checked.

    `accepted` is the number of its findings that the keeper has accepted.
    """

    standing: Standing
    looked_until: date | None
    asked: int
    checked: int
    partly: int
    accepted: int


class Ending(NamedTuple):
    """A flock that is ready until a day: which rules end it, none where it was looked no further.

    `open_end` tells that no day is written on which the birds leave.
    """

    day: date
    file: str
    name: str
    rules: tuple[str, ...]
    open_end: bool


class Common(NamedTuple):
    """A rule that finds something: in how many setups, and in how many with each worst grade."""

    rule: str
    topic: str
    title: str
    setups: int
    findings: int
    grades: dict[str, int]


class Risk(NamedTuple):
    """A risk that a member has accepted: until when, why, and for which items (None: the pen).

    `cut` says why it ends sooner than the member wrote: `caution`, `club`, or "".
    """

    until: date
    file: str
    name: str
    rule: str
    title: str
    because: str
    cut: str
    about: tuple[str | None, ...]


class Unanswered(NamedTuple):
    """A member with no answer to a predator: the worst grade, and the rules that say so."""

    file: str
    name: str
    grade: str
    rules: tuple[str, ...]


class Predator(NamedTuple):
    """A predator: how many setups list it, and which have no answer to it.

    `accepted` are the files of setups whose keepers take that knowingly, `unknown` those of which
    too little is written down to tell.
    """

    name: str
    listed: int
    unanswered: tuple[Unanswered, ...]
    accepted: tuple[str, ...]
    unknown: tuple[str, ...]


class Question(NamedTuple):
    """A rule that could not be asked: in how many setups, how many times, and how many in part."""

    rule: str
    setups: int
    not_checked: int
    partly: int


class Key(NamedTuple):
    """An unwritten key: questions that need it, those that need nothing else, and setups."""

    key: str
    questions: int
    alone: int
    setups: int


class Standard(NamedTuple):
    """A standard asked for: how many setups meet it, do not (by which rules), or are open."""

    name: str
    met: int
    not_met: int
    open: int
    by: tuple[tuple[str, int], ...]


class Tally(NamedTuple):
    """How a club stands; every list in the order in which a steward asks after it."""

    members: tuple[Member, ...]
    verdicts: dict[str, int]
    endings: tuple[Ending, ...]
    common: tuple[Common, ...]
    risks: tuple[Risk, ...]
    predators: tuple[Predator, ...]
    questions: tuple[Question, ...]
    keys: tuple[Key, ...]
    standards: tuple[Standard, ...]
    required: tuple[tuple[str, int], ...]
