"""Fixes: the smallest change that ends a finding, tried on the setup and checked as a whole.

For each lever that a rule proposes the nearest value is looked for that ends the finding; then the
whole setup with that change is checked, and only what brings nothing as bad is offered.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date
from math import inf
from typing import NamedTuple

from flockcheck.checkup.asking import Sheet, again
from flockcheck.checkup.changes import apply
from flockcheck.checkup.evaluate import Scope
from flockcheck.checkup.judge import ask
from flockcheck.checkup.levers import Lane, Move, lanes
from flockcheck.checkup.model import Change, Finding, Fix
from flockcheck.checkup.proof import Outcome, Which, allowed, outcome
from flockcheck.checkup.wording import Wording, day_words, item_words
from flockcheck.measures.graph.run import Run
from flockcheck.rulebook.book import Rulebook
from flockcheck.rulebook.model import GRADES
from flockcheck.setup.form import general
from flockcheck.setup.sections import ITEMS

TABLE = "fixing"
_MEND = GRADES.index("mend")
# Where every step of a lever is few enough to be tried in order, if leaps find nothing.
_IN_ORDER = 40
# A change by what it does, whatever it is called.
Doing = tuple[tuple[str, object], ...]


class Offer(NamedTuple):
    """A fix that may be offered, with the lane it moves and what it does to the whole setup."""

    lane: Lane
    move: Move
    outcome: Outcome
    says: str

    @property
    def doing(self) -> Doing:
        """What it changes, for comparing."""
        return doing(self.move.changes)

    def clears(self, which: Which) -> bool:
        """Whether it ends a finding, or leaves something milder of it."""
        return which in self.outcome.ends or which in self.outcome.eases


def doing(changes: Iterable[Change]) -> Doing:
    """What changes come to, whatever they are called."""
    return tuple((one.path, one.item or one.new) for one in changes)


class Finder:
    """Looks for fixes of one setup. `keep` are the keys that the keeper will not change.

    Everything that was tried is kept, since one change serves several findings.
    """

    def __init__(self, sheet: Sheet, rulebook: Rulebook, keep: Sequence[str] = ()) -> None:
        self.sheet = sheet
        self.rulebook = rulebook
        self.keep = tuple(keep)
        self._runs: dict[Doing, Run] = {}
        self._tried: dict[Doing, Outcome] = {}
        # Of each finding the places of its rule's ideas that were tried, in vain or not.
        self.ideas: dict[Which, set[int]] = {}

    def figure(self, name: str) -> float:
        """A judgement about fixes; see rules/tables/fixing.yaml."""
        return float(self.rulebook.tables[TABLE]("value", figure=name))

    def offers(self, finding: Finding) -> list[Offer]:
        """Every fix that ends a finding by a lever of its rule, the least effort first."""
        rule = self.rulebook.rules.get(finding.rule)
        if rule is None or not finding.counts or TABLE not in self.rulebook.tables:
            return []
        item = int(finding.about.rpartition(".")[2]) if finding.about else None
        found: dict[Doing, Offer] = {}
        tried = self.ideas.setdefault((finding.rule, finding.about), set())
        for place, idea in enumerate(rule.fixes):
            lever = self.rulebook.levers.get(idea.lever)
            if lever is None:
                continue
            for lane in lanes(idea, lever, rule.each, item, self.sheet.run.setup):
                if not lane.steps:
                    continue
                tried.add(place)
                offer = self._best(lane, finding, item)
                if offer is not None:
                    found.setdefault(offer.doing, offer)
        return sorted(found.values(), key=_order)

    def _best(self, lane: Lane, finding: Finding, item: int | None) -> Offer | None:
        """The smallest move of a lane that ends a finding and passes the check of the whole."""
        if self._kept(lane.path):
            return None
        which = (finding.rule, finding.about)
        first = self._first(lane, finding, item)
        if not first:
            return None
        last = min(lane.steps, first + int(self.figure("tries_further")))
        for step in range(first, last + 1):
            move = lane.at(step)
            if move is None or any(self._kept(one.path) for one in move.changes):
                return None
            if step > first and not self._ends(move, finding, item):
                continue
            found = self.tried(move.changes)
            if allowed(found, which, finding.grade):
                return Offer(lane, move, found, self._says(lane, move))
        return None

    def _first(self, lane: Lane, finding: Finding, item: int | None) -> int:
        """The first step that ends a finding; 0 where none does.

        More of a lever mostly helps more, so the step is found by leaps and then by halves; where
        it does not, or leaps find nothing, each step is tried in order.
        """

        def ends(step: int) -> bool:
            move = lane.at(step)
            return move is not None and self._ends(move, finding, item)

        if lane.in_order:
            return next((step for step in range(1, lane.steps + 1) if ends(step)), 0)
        low, high = 0, 1
        while not ends(high):
            if high == lane.steps:
                few = lane.steps <= _IN_ORDER
                return next((s for s in range(1, lane.steps) if ends(s)), 0) if few else 0
            low, high = high, min(2 * high, lane.steps)
        while high - low > 1:
            middle = (low + high) // 2
            low, high = (low, middle) if ends(middle) else (middle, high)
        return high

    def _ends(self, move: Move, finding: Finding, item: int | None) -> bool:
        """Whether a move alone ends a finding, whatever else it does."""
        rule = self.rulebook.rules[finding.rule]
        answer = ask(rule, self.run(move.changes), item, ())
        grades = [GRADES.index(one.limit.grade) for one in answer.failed]
        bar = _MEND if GRADES.index(finding.grade) >= _MEND else 0
        return answer.state != "not checked" and all(grade < bar for grade in grades)

    def run(self, changes: tuple[Change, ...]) -> Run:
        """The measures of the setup with some changes."""
        key = doing(changes)
        found = self._runs.get(key)
        if found is None:
            setup = apply(self.sheet.run.setup, changes)
            found = self.sheet.run.changed(setup, [one.path for one in changes])
            self._runs[key] = found
        return found

    def after(self, changes: tuple[Change, ...]) -> Sheet:
        """The setup with some changes, checked as a whole."""
        paths = [one.path for one in changes]
        return again(self.sheet, self.rulebook, self.run(changes), paths)

    def tried(self, changes: tuple[Change, ...]) -> Outcome:
        """What some changes do to the whole setup."""
        key = doing(changes)
        found = self._tried.get(key)
        if found is None:
            found = self._tried[key] = outcome(self.sheet, self.after(changes))
        return found

    def _kept(self, path: str) -> bool:
        """Whether a key is one that the keeper will not change."""
        return any(
            one == kept or one.startswith(f"{kept}.")
            for kept in self.keep
            for one in (path, general(path), general(path).replace(".*", ""))
        )

    def _says(self, lane: Lane, move: Move) -> str:
        """The fix as an order, in the keeper's units."""
        data, way = lane.lever.data, lane.idea.way
        if way == "add":
            return lane.idea.words
        run = self.sheet.run
        words = data.get(f"do_{way}", data["do"])
        change = move.changes[0]
        old = day_words(change.old) if isinstance(change.old, date) else change.was
        item, which = "the pen", ""
        first, _, _ = lane.lever.path.partition(".")
        if first in ITEMS:
            at = int(lane.path.split(".")[1])
            item = item_words(Scope(run, first, at))
            which = f" ({item})" if len(run.items(first)) > 1 else ""
        wording = Wording(run.setup, self.sheet.units)
        shown = wording.show(change.new, lane.shape["dimension"]) if self._converts(lane) else ""
        told = {"new": shown or move.shown, "old": old or "none", "item": item, "which": which}
        for name, text in told.items():
            words = words.replace(f"{{{name}}}", text)
        return " ".join(words.split())

    def _converts(self, lane: Lane) -> bool:
        """Whether a quantity is to be shown in other units than the keeper's."""
        units = self.sheet.units
        return lane.kind == "quantity" and units != "written" and units != lane.family


def _order(offer: Offer) -> tuple[object, ...]:
    """The least effort first; of those that cost the same, what ends most."""
    return offer.move.effort, -len(offer.outcome.ends), offer.lane.path


def fix_of(offer: Offer, finding: Finding, sheet: Sheet) -> Fix:
    """A fix as it is offered for one finding."""
    found, which = offer.outcome, (finding.rule, finding.about)
    cleared = cleared_rules(found, sheet)
    clears = [finding.rule, *(rule for rule in cleared if rule != finding.rule)]
    eased = sorted({rule for rule, _ in found.eases})
    brings = {rule for rule, _ in (*found.brings, *found.worse)} - set(clears)
    return Fix(
        says=offer.says,
        kind=offer.lane.lever.kind,
        effort=round(offer.move.effort, 2),
        changes=offer.move.changes,
        clears=tuple(clears),
        remains=tuple(rule for rule in eased if rule in clears or which in found.eases),
        brings=tuple(sorted(brings)),
        not_proved_for=tuple(dict.fromkeys((*offer.move.unproved, *found.open_keys))),
    )


def cleared_rules(found: Outcome, sheet: Sheet) -> list[str]:
    """The rules of which every finding is ended or milder."""
    done = found.ends | found.eases
    rules = dict.fromkeys(one.rule for one in sheet.findings if (one.rule, one.about) in done)
    return [
        rule
        for rule in rules
        if all((one.rule, one.about) in done for one in sheet.findings if one.rule == rule)
    ]


def choose(finder: Finder, found: dict[Which, list[Offer]]) -> dict[Which, list[Offer]]:
    """Of all offers for each finding those that are worth telling: few, and none that is silly."""
    spread, most = finder.figure("effort_spread"), int(finder.figure("most_fixes"))
    grades = {(one.rule, one.about): one.grade for one in finder.sheet.findings}
    chosen: dict[Which, list[Offer]] = {}
    for which, offers in found.items():
        shared: dict[Doing, Offer] = {}
        for offer in offers:
            better = _shared(finder, offer, which, grades[which], found)
            shared.setdefault(better.doing, better)
        told = sorted(shared.values(), key=_order)
        least = min((one.move.effort for one in told), default=inf)
        told = [one for one in told if one.move.effort <= spread * least]
        widest = max(told, key=lambda one: len(one.outcome.ends), default=None)
        few = told[:most]
        if widest is not None and widest not in few and not _wide(widest, few):
            few[-1] = widest
        chosen[which] = few
    return chosen


def _wide(offer: Offer, few: list[Offer]) -> bool:
    """Whether one of a few offers ends as much as another."""
    return any(len(one.outcome.ends) >= len(offer.outcome.ends) for one in few)


def _shared(
    finder: Finder, own: Offer, which: Which, grade: str, found: dict[Which, list[Offer]]
) -> Offer:
    """An offer by the same lever that ends other findings of the rule too, if it costs little more.

    A mesh against mink and one against rats is one mesh.
    """
    most = finder.figure("shared_effort") * own.move.effort
    best = own
    for other, offers in found.items():
        if other[0] != which[0] or other == which:
            continue
        for offer in offers:
            same = (offer.lane.path, offer.lane.idea.way) == (own.lane.path, own.lane.idea.way)
            wider = len(offer.outcome.ends) > len(best.outcome.ends)
            if same and wider and offer.move.effort <= most:
                if allowed(offer.outcome, which, grade):
                    best = offer
    return best


def with_fixes(sheet: Sheet, finder: Finder) -> tuple[Finding, ...]:
    """The findings of a sheet with the fixes offered for each."""
    offers = {(one.rule, one.about): finder.offers(one) for one in sheet.findings if one.counts}
    chosen = choose(finder, offers) if offers and TABLE in finder.rulebook.tables else {}
    return tuple(
        _fixed(one, chosen.get((one.rule, one.about), []), finder) for one in sheet.findings
    )


def _fixed(finding: Finding, offers: list[Offer], finder: Finder) -> Finding:
    """A finding with its fixes; of the advice stays what no lever stands behind.

    Where no lever was found to help, those that were tried are said to be no fix, and those that
    could not be tried stay as words.
    """
    rule = finder.rulebook.rules.get(finding.rule)
    if rule is None or not finding.counts:
        return finding
    fixes = tuple(fix_of(offer, finding, finder.sheet) for offer in offers)
    tried = finder.ideas.get((finding.rule, finding.about), set())
    advice, vain = [], []
    for place, (idea, words) in enumerate(zip(rule.fixes, finding.advice, strict=True)):
        if not idea.lever or (place not in tried and not fixes):
            advice.append(words)
        elif place in tried and not fixes:
            vain.append(words)
    if vain:
        advice.append(f"Tried here, and no fix by itself: {'; '.join(vain)}.")
    return finding._replace(fixes=fixes, advice=tuple(advice))


__all__ = ["Finder", "Offer", "choose", "fix_of", "with_fixes"]
