"""Rules, limits, levers and sources as the judge meets them.

Values and conditions are kept as small tagged lists (see `expressions`), since they go to the
compiled cache as JSON and come back by the thousand at every start.
"""

from __future__ import annotations

from typing import Any

from flockcheck.text.records import NamedTuple

GRADES = ("tip", "watch", "mend", "stop")
# A term names what is looked at: ["measure", name], ["key", path] or ["item", word, key].
Term = list[Any]
Expression = list[Any]
# A template is a list of texts and of [term or special word, suffix, dimension].
Template = list[Any]


class Limit(NamedTuple):
    """One limit: what must hold of a subject, how bad it is if not, and who says so.

    `when` is the condition under which it is asked; `standard` names the opt-in set it belongs to;
    `caution` is its own, in place of the rule's.
    """

    term: Term
    dimension: str
    comparator: str
    value: Expression
    grade: str
    when: Expression | None
    cites: dict[str, Any]
    says: Template | None
    standard: str
    line: int
    caution: str


class Alternative(NamedTuple):
    """Limits that are tried where a key is missing and no other limit could be judged."""

    missing: list[str]
    limits: list[Limit]
    says: Template | None


class FixIdea(NamedTuple):
    """What a rule proposes: a lever to move (less, more, earlier, later, set, add), or `do`."""

    way: str
    lever: str
    to: Any
    words: str


class Rule(NamedTuple):
    """One question, asked of each item or of the pen, with its limits and what to tell a newcomer.

    `each` is the item word or ""; `on` the part of the stay it is asked for; `when` the condition;
    `at` the key that a finding points at, where the rule names one;
    `examples` are kept with the source files only and are empty in a compiled book.
    """

    name: str
    topic: str
    book: str
    asks: str
    title: str
    each: str
    on: str
    when: Expression | None
    always: bool
    limits: tuple[Limit, ...]
    otherwise: tuple[Alternative, ...]
    says: Template
    at: str
    look: str
    why: str
    caution: str
    instead_of: tuple[str, ...]
    fixes: tuple[FixIdea, ...]

    @property
    def grades(self) -> tuple[str, ...]:
        """The grades that the rule can give outside standards, worst first."""
        limits = [*self.limits, *(lim for other in self.otherwise for lim in other.limits)]
        found = {limit.grade for limit in limits if not limit.standard}
        return tuple(grade for grade in reversed(GRADES) if grade in found)

    @property
    def can_stop(self) -> bool:
        """Whether the rule could say stop or mend, and so counts for the verdict."""
        return bool({"stop", "mend"} & set(self.grades))


class Lever(NamedTuple):
    """A setup value that a fix may move; `words` says each way in plain words."""

    path: str
    kind: str
    words: dict[str, str]
    data: dict[str, Any]


class Source(NamedTuple):
    """A publication."""

    id: str
    title: str
    issuer: str
    year: str
    kind: str
    at: str


class BookFault(NamedTuple):
    """A mistake in a rulebook: file (relative to its book), line, key and what is wrong."""

    file: str
    line: int
    key: str
    says: str


class RulebookError(ValueError):
    """A rulebook that can't be used; `faults` holds every mistake in it."""

    def __init__(self, book: str, faults: tuple[BookFault, ...]) -> None:
        self.book = book
        self.faults = faults
        many = "1 mistake" if len(faults) == 1 else f"{len(faults)} mistakes"
        super().__init__(f"rulebook {book}: {many}, first {faults[0].says}")
