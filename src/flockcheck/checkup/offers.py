"""What a fix is while it is looked for: its parts, what they change, and what that does."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from flockcheck.checkup.levers import Lane, Move
from flockcheck.checkup.model import Change
from flockcheck.checkup.proof import Outcome
from flockcheck.text.records import NamedTuple

# A change by what it does, whatever it is called.
Doing = tuple[tuple[str, object], ...]


class Part(NamedTuple):
    """One lever that a fix moves: where, by what, and the order in words."""

    lane: Lane
    move: Move
    says: str


class Offer(NamedTuple):
    """A fix that may be offered: its parts, all that they change, and what that does."""

    parts: tuple[Part, ...]
    changes: tuple[Change, ...]
    outcome: Outcome

    @property
    def effort(self) -> float:
        """What all of it costs."""
        return sum(part.move.effort for part in self.parts)

    @property
    def levers(self) -> tuple[tuple[str, str], ...]:
        """Which levers it moves, and which way."""
        return tuple((part.lane.path, part.lane.idea.way) for part in self.parts)

    @property
    def doing(self) -> Doing:
        """What it changes, for comparing."""
        return doing(self.changes)


def doing(changes: Iterable[Change]) -> Doing:
    """What changes come to, whatever they are called."""
    return tuple(sorted((one.path, one.item or one.new) for one in changes))


def merged(first: Sequence[Change], then: Sequence[Change]) -> tuple[Change, ...]:
    """Changes on top of others, as changes of what was there before both."""
    found = {one.path: one for one in first}
    for one in then:
        before = found.get(one.path)
        found[one.path] = one if before is None else one._replace(old=before.old, was=before.was)
    return tuple(found.values())


def order(offer: Offer) -> tuple[object, ...]:
    """The least effort first; of those that cost the same, what ends most."""
    return round(offer.effort, 6), -len(offer.outcome.ends), offer.levers
