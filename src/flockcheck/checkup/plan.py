"""The plan: the set of fixes with the least effort that makes a setup ready.

A search goes from the setup as it is, always on from the set of fixes that promises to cost least.
At each it takes one finding that stops or wants mending, and every fix of it, found anew since
amounts differ once other fixes are made, leads on. The whole is checked at each step.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterable
from heapq import heappop, heappush
from math import inf

from flockcheck.checkup.asking import Sheet
from flockcheck.checkup.check import report_of
from flockcheck.checkup.fixes import TRIED, Finder, advice_of, cleared_rules
from flockcheck.checkup.levers import Lane, Move
from flockcheck.checkup.model import Change, Finding, Fix, Plan
from flockcheck.checkup.offers import Doing, Offer, Part, doing, merged
from flockcheck.checkup.proof import Which, allowed
from flockcheck.checkup.search import Search, order_words
from flockcheck.checkup.verdict import open_grade
from flockcheck.checkup.wording import sentences
from flockcheck.rulebook.book import Rulebook
from flockcheck.rulebook.model import GRADES
from flockcheck.text.records import NamedTuple

_MEND = GRADES.index("mend")


class Step(NamedTuple):
    """A part of a plan: a lever that is moved, the rules that it cleared then, what it brought."""

    part: Part
    clears: tuple[str, ...]
    brings: frozenset[Which]
    unproved: tuple[str, ...]


class Node(NamedTuple):
    """A set of fixes: all that they change, the steps, the findings left, and those given up.

    `lost` counts what was given up although a fix was known for it at first. The sheet comes of the
    finder of the node before and the last offer, when it is asked for.
    """

    changes: tuple[Change, ...]
    steps: tuple[Step, ...]
    bad: frozenset[Which]
    given_up: frozenset[Which]
    lost: int
    before: Finder | None
    offer: Offer | None

    @property
    def efforts(self) -> dict[str, float]:
        """What each lever that is moved costs, counted from the keeper's own value."""
        return {step.part.lane.path: step.part.move.effort for step in self.steps}

    @property
    def cost(self) -> float:
        """The effort of all of it."""
        return sum(self.efforts.values())


def bad_findings(sheet: Sheet) -> list[Finding]:
    """The findings that stop or want mending, on days that are not accepted."""
    return [one for one in sheet.findings if one.counts and GRADES.index(open_grade(one)) >= _MEND]


def which_of(finding: Finding) -> Which:
    """What a finding is known by."""
    return finding.rule, finding.about


def plan_of(sheet: Sheet, rulebook: Rulebook, finder: Finder) -> Plan:
    """The plan for a setup; `finder` looks for the fixes of the setup as it is."""
    planner = _Planner(sheet, rulebook, finder)
    node, least = planner.search()
    return planner.told(node, least)


class _Planner:
    def __init__(self, sheet: Sheet, rulebook: Rulebook, finder: Finder) -> None:
        self.sheet = sheet
        self.rulebook = rulebook
        self.root = finder
        self.base = sheet.run.setup
        bad = bad_findings(sheet)
        self.offers = {which_of(one): finder.offers(one) if finder.able else [] for one in bad}
        self.pool = list({o.doing: o for found in self.offers.values() for o in found}.values())
        self.levers = {which_of(one): self._levers(one) for one in bad}
        # Those with the fewest ways out first, so that the search does not branch in vain.
        rank = sorted(bad, key=lambda one: self._rank(which_of(one)))
        self.rank = {which_of(one): place for place, one in enumerate(rank)}
        self.likely = {
            which: min(one.effort for one in offers)
            for which, offers in self.offers.items()
            if offers
        }
        self.finders: dict[Doing, Finder] = {(): finder}

    def _rank(self, which: Which) -> tuple[object, ...]:
        offers = self.offers[which]
        least = min((one.effort for one in offers), default=0.0)
        return not offers, len(offers), -least, which[0], which[1] or ""

    def _levers(self, finding: Finding) -> dict[str, float]:
        """The levers that may end a finding, each with the least that moving it costs."""
        found: dict[str, float] = {}
        if not self.root.able or finding.rule not in self.rulebook.rules:
            return found
        for _, lane in Search(self.root, finding).lanes(self.base):
            move = lane.at(1) if lane.steps else None
            if move is not None:
                found[lane.path] = min(move.effort, found.get(lane.path, move.effort))
        which = which_of(finding)
        for offer in self.pool:
            if which in offer.outcome.ends or which in offer.outcome.eases:
                for part in offer.parts:
                    first = part.lane.at(1)
                    effort = first.effort if first is not None else part.move.effort
                    found[part.lane.path] = min(effort, found.get(part.lane.path, effort))
        return found

    def search(self) -> tuple[Node, bool]:
        """The set of fixes with the least effort that leaves nothing to stop for or to mend.

        The second is whether that was shown: that every other set would cost as much. Past the
        bound in nodes the first set that is whole is taken.
        """
        bad = frozenset(self.rank)
        start = Node((), (), bad, frozenset(), 0, None, None)
        if not self.root.able:
            return start._replace(given_up=bad), False
        most, seen, counted, pushed = int(self.root.figure("plan_nodes")), set[object](), 0, 0
        best: Node | None = None
        waiting: list[tuple[int, float, int, Node]] = [(0, self.promise(start), 0, start)]
        while waiting:
            _, _, _, node = heappop(waiting)
            if best is not None and (node.lost, self.least(node)) >= (best.lost, best.cost):
                continue
            if not node.bad - node.given_up:
                trimmed = self.trimmed(node)
                if best is None or (trimmed.lost, trimmed.cost) < (best.lost, best.cost):
                    best = trimmed
                continue
            key = (doing(node.changes), node.given_up)
            if key in seen:
                continue
            seen.add(key)
            counted += 1
            if counted > most and best is not None:
                return best, False
            children = self.children(node)
            if counted > most:
                # Only one way on from here: what promises to cost least.
                fresh = [one for one in children if (doing(one.changes), one.given_up) not in seen]
                children = sorted(fresh, key=lambda one: (one.lost, self.promise(one)))[:1]
                waiting = []
                if not children:
                    # Every way on leads back: what is left here is given up.
                    left = node.bad - node.given_up
                    known = sum(bool(self.offers.get(which, True)) for which in left)
                    given_up = node.given_up | node.bad
                    return node._replace(given_up=given_up, lost=node.lost + known), False
            for child in children:
                pushed += 1
                heappush(waiting, (child.lost, self.promise(child), pushed, child))
        assert best is not None
        return best, counted <= most and not best.lost

    def promise(self, node: Node) -> float:
        """What a set of fixes is likely to cost once it is made whole."""
        return node.cost + self.bound_of(node, self.likely)

    def least(self, node: Node) -> float:
        """What a set of fixes costs at least, if what is moved could do with the smallest step."""
        firsts = {}
        for step in node.steps:
            lane = step.part.lane
            own = Lane(lane.lever, lane.path, lane.idea, self.base)
            move = own.at(1) if own.steps else None
            firsts[lane.path] = min(step.part.move.effort, move.effort if move else inf)
        return sum(firsts.values()) + self.bound_of(node, {})

    def trimmed(self, node: Node) -> Node:
        """The same fixes with no more of any than it takes once all the others are made."""
        for place in sorted(
            range(len(node.steps)), key=lambda at: -node.steps[at].part.move.effort
        ):
            step = node.steps[place]
            lane = step.part.lane
            own = Lane(lane.lever, lane.path, lane.idea, self.base)
            paths = {one.path for one in step.part.move.changes}
            others = {
                one.path
                for at, other in enumerate(node.steps)
                if at != place
                for one in other.part.move.changes
            }
            if not own.steps or paths & others or own.idea.way in ("set", "add"):
                continue
            rest = tuple(one for one in node.changes if one.path not in paths)
            move = self.least_move(own, step.part.move.effort, rest, node)
            if move is not None:
                part = Part(own, move, order_words(self.root, own, move))
                steps = list(node.steps)
                steps[place] = step._replace(part=part)
                changes = (*rest, *move.changes)
                node = node._replace(steps=tuple(steps), changes=changes, before=None)
        return node

    def least_move(
        self, lane: Lane, effort: float, rest: tuple[Change, ...], node: Node
    ) -> Move | None:
        """The least move of a lever that does beside the rest; None where none does for less."""
        moves: list[Move] = []
        for at in range(1, lane.steps + 1):
            move = lane.at(at)
            if move is None or move.effort >= effort:
                break
            moves.append(move)

        def enough(move: Move) -> bool:
            return self.does((*rest, *move.changes), node)

        if lane.in_order:
            return next(filter(enough, moves), None)
        # More helps more, so a few looks find where it begins to be enough.
        first = bisect_left(moves, True, key=enough)
        return moves[first] if first < len(moves) else None

    def does(self, changes: tuple[Change, ...], node: Node) -> bool:
        """Whether changes of the setup as it is leave no more than a node does."""
        sheet = self.root.after(changes)
        if {which_of(one) for one in bad_findings(sheet)} - node.given_up:
            return False
        return not self.root.outcome(changes).spoils

    def bound_of(self, node: Node, likely: dict[Which, float]) -> float:
        """What is left to do: findings that share no lever, each at the least it may cost.

        Where `likely` has what its cheapest fix costs as things are, that is taken; without it the
        answer is no more than what the rest will cost.
        """
        moved = node.efforts
        used: set[str] = set()
        total = 0.0
        for which in sorted(node.bad - node.given_up, key=lambda one: self.rank.get(one, 0)):
            levers = self.levers.get(which, {})
            if not levers or used & levers.keys() or moved.keys() & levers.keys():
                continue
            used |= levers.keys()
            total += likely.get(which, min(levers.values()))
        return total

    def finder(self, node: Node) -> Finder:
        """The finder of a node, which has its sheet."""
        key = doing(node.changes)
        found = self.finders.get(key)
        if found is None and node.before is None:
            found = Finder(self.root.after(node.changes), self.rulebook, self.root.keep, self.base)
        elif found is None:
            assert node.before is not None and node.offer is not None
            sheet = node.before.after(node.offer.changes)
            found = Finder(sheet, self.rulebook, self.root.keep, self.base)
        self.finders[key] = found
        return found

    def children(self, node: Node) -> list[Node]:
        """Every set of fixes that ends one more finding, or gives that one up."""
        finder = self.finder(node)
        there = {which_of(one): one for one in bad_findings(finder.sheet)}
        left = there.keys() - node.given_up
        if not left:
            return [node._replace(bad=frozenset(there))]
        which = min(left, key=lambda one: (self.rank.get(one, -1), one[0], one[1] or ""))
        offers = {one.doing: one for one in finder.offers(there[which])}
        for offer in self._others(which, node):
            found = finder.outcome(offer.changes)
            if offer.doing not in offers and allowed(found, which, there[which].grade):
                offers[offer.doing] = offer._replace(outcome=found)
        if not offers:
            lost = node.lost + bool(self.offers.get(which, True))
            return [
                node._replace(bad=frozenset(there), given_up=node.given_up | {which}, lost=lost)
            ]
        return [self._child(node, finder, offer, frozenset(there)) for offer in offers.values()]

    def _others(self, which: Which, node: Node) -> list[Offer]:
        """The fixes of other findings that end this one too, by levers not moved so far."""
        moved = {one.path for one in node.changes}
        return [
            offer
            for offer in self.pool
            if which in offer.outcome.ends | offer.outcome.eases
            and moved.isdisjoint(one.path for one in offer.changes)
        ]

    def _child(self, node: Node, finder: Finder, offer: Offer, there: frozenset[Which]) -> Node:
        found = offer.outcome
        clears = tuple(cleared_rules(found, finder.sheet))
        brought = frozenset((*found.brings, *found.worse))
        unproved = tuple(dict.fromkeys(found.open_keys))
        steps = tuple(
            Step(part, clears, brought, (*part.move.unproved, *unproved)) for part in offer.parts
        )
        kept = tuple(
            one for one in node.steps if one.part.lane.path not in {s.part.lane.path for s in steps}
        )
        gone = found.ends | found.eases
        new = {
            one for one, grade in (*found.brings.items(), *found.worse.items()) if grade >= _MEND
        }
        return Node(
            changes=merged(node.changes, offer.changes),
            steps=(*kept, *steps),
            bad=(there - gone) | new,
            given_up=node.given_up - gone,
            lost=node.lost,
            before=finder,
            offer=offer,
        )

    def told(self, node: Node, least: bool) -> Plan:
        """A plan as it is told."""
        sheet = self.finder(node).sheet
        report = report_of(sheet, self.rulebook)
        at_first = {which_of(one) for one in self.sheet.findings}
        at_last = {which_of(one) for one in sheet.findings}
        waiting = {one.path: one for one in node.changes}
        fixes = []
        for step in node.steps:
            own = [waiting.pop(one.path) for one in step.part.move.changes if one.path in waiting]
            brings = {
                rule for rule, about in step.brings & at_last if (rule, about) not in at_first
            }
            fixes.append(
                Fix(
                    says=step.part.says,
                    kind=step.part.lane.lever.kind,
                    effort=round(step.part.move.effort, 2),
                    changes=tuple(own),
                    clears=step.clears,
                    remains=(),
                    brings=tuple(sorted(brings)),
                    not_proved_for=tuple(dict.fromkeys(step.unproved)),
                )
            )
        left = bad_findings(sheet)
        return Plan(
            fixes=tuple(fixes),
            effort=round(node.cost, 2),
            least=least,
            verdict=report.verdict,
            ready_until=report.ready_until,
            remains=tuple(sorted({one.rule for one in left})),
            advice=tuple(self._advice(left, self.finder(node))),
        )

    def _advice(self, left: Iterable[Finding], finder: Finder) -> list[tuple[str, str]]:
        """What to do about findings that no fix mends: what is said of them in words."""
        found: dict[str, str] = {}
        for finding in left:
            finder.offers(finding)
            advice = advice_of(finding, finder, fixed=False)
            words = [one for one in advice if not one.startswith(TRIED)]
            if words:
                found.setdefault(finding.rule, sentences(words))
        return list(found.items())
