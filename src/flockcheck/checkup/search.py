"""The search for the fixes of one finding: the smallest change that ends it and passes the check.

For each lever that the rule proposes the nearest value is looked for that ends the finding; then
the whole setup with that change is checked, and only what brings nothing as bad is an offer. Where
no lever does it alone, two are tried together.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import date
from itertools import combinations
from math import inf

from flockcheck.checkup.changes import apply
from flockcheck.checkup.judge import ask
from flockcheck.checkup.levers import Lane, Move, lanes
from flockcheck.checkup.model import Change, Finding
from flockcheck.checkup.offers import Doing, Offer, Part, merged, order
from flockcheck.checkup.proof import allowed
from flockcheck.checkup.readers import Scope
from flockcheck.checkup.trials import Trials
from flockcheck.checkup.wording import Wording, day_words, item_words
from flockcheck.measures.graph.run import Run
from flockcheck.rulebook.model import GRADES
from flockcheck.setup.sections import ITEMS
from flockcheck.setup.written import Setup

_MEND = GRADES.index("mend")
# A guard: where leaps find nothing, so many steps are few enough to be tried in order.
_IN_ORDER = 40


class Search:
    """The search for the fixes of one finding."""

    def __init__(self, trials: Trials, finding: Finding) -> None:
        self.trials = trials
        self.finding = finding
        self.which = (finding.rule, finding.about)
        self.rule = trials.rulebook.rules[finding.rule]
        self.item = int(finding.about.rpartition(".")[2]) if finding.about else None
        self.weighty = GRADES.index(finding.grade) >= _MEND
        self.lacks: tuple[str, ...] = ()

    def offers(self) -> list[Offer]:
        """Every fix of the finding, the least effort first."""
        found: dict[Doing, Offer] = {}
        movable: list[Lane] = []
        tried = self.trials.tried.setdefault(self.which, set())
        for place, lane in self.lanes(self.trials.sheet.run.setup):
            if self.trials.kept(lane.path):
                self.trials.held.setdefault(self.which, set()).add(place)
                continue
            if not lane.steps:
                if lane.old is not None or lane.idea.way in ("set", "add"):
                    # A roof over the whole floor can't be made to cover more of it.
                    self.trials.held.setdefault(self.which, set()).add(place)
                continue
            movable.append(lane)
            self.lacks = ()
            offer = self.best((), lane)
            if offer is not None:
                found.setdefault(offer.doing, offer)
            if offer is not None or not self.lacks:
                tried.add(place)
            else:
                self.trials.wants.setdefault(self.which, {})[place] = self.lacks
        if self.weighty:
            for both in self.pairs(movable, min((o.effort for o in found.values()), default=inf)):
                found.setdefault(both.doing, both)
        return sorted(found.values(), key=order)

    def pairs(self, movable: list[Lane], least: float) -> Iterator[Offer]:
        """Two levers moved together, where no one does it alone or two cost less.

        `least` is the effort of the cheapest fix by one lever.
        """
        for one, other in combinations(movable, 2):
            first, second = one.at(1), other.at(1)
            if one.path == other.path or first is None or second is None:
                continue
            if first.effort + second.effort >= least:
                continue
            both = self.together(one, other) if least == inf else None
            limit = least if both is None else both.effort
            cheaper = self.cheapest(one, other, limit) if limit < inf else None
            found = cheaper or both
            if found is not None:
                yield found

    def cheapest(self, one: Lane, other: Lane, limit: float) -> Offer | None:
        """The two levers at the amounts that together cost least, and less than a limit."""
        second = other.at(1)
        last = _affordable(one, limit - (second.effort if second is not None else 0.0))
        end = one.at(last) if last else None
        if end is None:
            return None
        far = self.lane_after(end.changes, other)
        furthest = far.at(_affordable(far, limit))
        if furthest is None or not self.ends(merged(end.changes, furthest.changes)):
            return None
        found: Offer | None = None
        for step in range(1, last + 1):
            move = one.at(step)
            if move is None or second is None or move.effort + second.effort >= limit:
                break
            before = (Part(one, move, order_words(self.trials, one, move)),)
            lane = self.lane_after(move.changes, other)
            least = self.first(before, lane, _affordable(lane, limit - move.effort))
            then = lane.at(least) if least else None
            if then is None or move.effort + then.effort >= limit:
                continue
            offer = self.best(before, lane)
            if offer is not None and offer.effort < limit:
                found, limit = offer, offer.effort
        return found

    def lanes(self, setup: Setup) -> list[tuple[int, Lane]]:
        """Every lever that the rule proposes, at each place where it is; with the idea's place."""
        levers = self.trials.rulebook.levers
        base = self.trials.base
        return [
            (place, lane)
            for place, idea in enumerate(self.rule.fixes)
            if idea.lever in levers
            for lane in lanes(idea, levers[idea.lever], self.rule.each, self.item, setup, base)
        ]

    def best(self, before: tuple[Part, ...], lane: Lane) -> Offer | None:
        """The smallest move of a lane, on top of other parts, that passes a check of the whole."""
        first = self.first(before, lane)
        if not first:
            return None
        last = min(lane.steps, first + int(self.trials.figure("tries_further")))
        for step in range(first, last + 1):
            move = lane.at(step)
            if move is None:
                return None
            changes = self.changes(before, move)
            if not self.trials.may(changes):
                return None
            if step > first and not self.ends(changes):
                continue
            found = self.trials.outcome(changes)
            if allowed(found, self.which, self.finding.grade):
                parts = (*before, Part(lane, move, order_words(self.trials, lane, move)))
                return self.wholly(Offer(parts, changes, found), step)
            if found.spoils and not self.lacks:
                self.lacks = found.open_keys
        return None

    def wholly(self, offer: Offer, step: int) -> Offer:
        """The same, or a further move that costs no more and leaves nothing of the finding."""
        part = offer.parts[-1]
        for further in range(step + 1, part.lane.steps + 1):
            move = part.lane.at(further) if self.which in offer.outcome.eases else None
            if move is None or move.effort > part.move.effort:
                break
            changes = self.changes(offer.parts[:-1], move)
            if not self.ends(changes, 0):
                continue
            found = self.trials.outcome(changes)
            if allowed(found, self.which, self.finding.grade) and self.which in found.ends:
                parts = (
                    *offer.parts[:-1],
                    Part(part.lane, move, order_words(self.trials, part.lane, move)),
                )
                return Offer(parts, changes, found)
            break
        return offer

    def together(self, one: Lane, other: Lane) -> Offer | None:
        """Two levers moved together: the smallest second move with the furthest first, then back.

        None where even both at their furthest do not end the finding.
        """
        far = one.at(one.steps)
        if one.path == other.path or far is None:
            return None
        second = self.lane_after(self.changes((), far), other)
        furthest = second.at(second.steps) if second.steps else None
        if furthest is None or not self.ends(merged(far.changes, furthest.changes)):
            return None
        step = self.first((Part(one, far, ""),), second)
        move = second.at(step) if step else None
        if move is None:
            return None
        back = self.lane_after(move.changes, one)
        least = self.first((Part(second, move, ""),), back)
        moved = one.at(least) if least else None
        if moved is None:
            return None
        part = Part(one, moved, order_words(self.trials, one, moved))
        return self.best((part,), self.lane_after(moved.changes, other))

    def lane_after(self, changes: tuple[Change, ...], lane: Lane) -> Lane:
        """A lane as it is with other changes made."""
        setup = apply(self.trials.sheet.run.setup, changes)
        return Lane(lane.lever, lane.path, lane.idea, setup, self.trials.base)

    @staticmethod
    def changes(before: tuple[Part, ...], move: Move) -> tuple[Change, ...]:
        """All that parts and one more move change."""
        changes: tuple[Change, ...] = ()
        for part in before:
            changes = merged(changes, part.move.changes)
        return merged(changes, move.changes)

    def first(self, before: tuple[Part, ...], lane: Lane, last: int | None = None) -> int:
        """The first step, up to the last, that ends the finding; 0 where none does.

        More of a lever mostly helps more, so the step is found by leaps and then by halves; where
        it does not, or leaps find nothing, each step is tried in order.
        """
        last = lane.steps if last is None else last

        def ends(step: int) -> bool:
            move = lane.at(step)
            return move is not None and self.ends(self.changes(before, move))

        if not last:
            return 0
        if lane.in_order:
            return next((step for step in range(1, last + 1) if ends(step)), 0)
        low, high = 0, 1
        while not ends(high):
            if high == last:
                return next((s for s in range(1, last) if ends(s)), 0) if last <= _IN_ORDER else 0
            low, high = high, min(2 * high, last)
        while high - low > 1:
            middle = (low + high) // 2
            low, high = (low, middle) if ends(middle) else (middle, high)
        return high

    def ends(self, changes: tuple[Change, ...], bar: int | None = None) -> bool:
        """Whether changes leave nothing as bad as `bar` of the finding, whatever else they do."""
        answer = ask(self.rule, self.trials.run(changes), self.item, ())
        if bar is None:
            bar = _MEND if self.weighty else 0
        if any(GRADES.index(one.limit.grade) >= bar for one in answer.failed):
            return False
        if answer.state == "not checked":
            self.lacks = tuple(dict.fromkeys(key for one in answer.lacks for key in one.keys))
            return False
        return True


def _affordable(lane: Lane, limit: float) -> int:
    """The furthest step that costs less than a limit."""
    for step in range(lane.steps, 0, -1):
        move = lane.at(step)
        if move is not None and move.effort < limit:
            return step
    return 0


def order_words(trials: Trials, lane: Lane, move: Move) -> str:
    """A move as an order, in the keeper's units."""
    data, way = lane.lever.data, lane.idea.way
    if way == "add":
        return lane.idea.words
    run, units = trials.sheet.run, trials.sheet.units
    words = str(data.get(f"do_{way}", data["do"]))
    change = move.changes[0]
    written = (trials.base or run.setup).values.get(change.path)
    old = "" if written is None else written.text
    if written is not None and isinstance(written.value, date):
        old = day_words(written.value)
    item, which = _called(lane, run)
    shown = move.shown
    # A time is the same for everyone, and half a day is plainer than 12 hours.
    shows = lane.kind == "quantity" and lane.shape["dimension"] != "time"
    if shows and units not in ("written", lane.family):
        shown = Wording(run.setup, units).show(change.new, lane.shape["dimension"])
    if shown == "1":
        words = re.sub(r"\{new\} (\w+)s\b", r"{new} \1", words).replace(
            "new} people", "new} person"
        )
    told = {"new": shown, "old": old or "none", "item": item, "which": which}
    for name, text in told.items():
        words = words.replace(f"{{{name}}}", text)
    return " ".join(words.split())


def _called(lane: Lane, run: Run) -> tuple[str, str]:
    """What is moved, in words; and the same behind a name, where there are several."""
    parts = lane.path.split(".")
    word = next((word for word, key in ITEMS.items() if key == parts[0]), "")
    if word and len(parts) > 1:
        at = int(parts[1])
        which = f" ({word} {at + 1})" if len(run.items(word)) > 1 else ""
        return item_words(Scope(run, word, at)), which
    place = next((n for n, part in enumerate(parts) if part.isdigit()), None)
    if place is None:
        return "the pen", ""
    start = run.setup.values.get(".".join([*parts[: place + 1], "from"]))
    since = f"from {day_words(start.value)} on" if start is not None else ""
    return since, f" {since}"
