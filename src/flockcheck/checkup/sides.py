"""How near the examples of a rule come to each of its limits, from either side."""

from __future__ import annotations

from datetime import date
from typing import Any

from flockcheck.checkup.comparing import compare, pair
from flockcheck.checkup.evaluate import holds, value_of
from flockcheck.checkup.readers import Scope
from flockcheck.checkup.truths import every
from flockcheck.measures.graph.run import Run
from flockcheck.rulebook.expressions import NUMBERS
from flockcheck.rulebook.model import Limit, Rule
from flockcheck.setup.view import Missing
from flockcheck.text.records import NamedTuple

# "Just" on one side of a limit is within this share of it.
NEAR = 0.05
# Whole days, birds and half barriers: what goes in such steps comes no nearer than one of them.
GRAINS = (1.0, 0.5)
IN_GRAINS = ("count", "number", "time", "date")


class Pair(NamedTuple):
    """What a limit was held against, the limit on that day, and whether it passed."""

    found: float
    wanted: float
    passes: bool


def _pair(found: Any, wanted: Any, passes: bool) -> Pair:
    """What was compared, as numbers; a date by its days from the limit."""
    if isinstance(found, date):
        return Pair((found - date.fromisoformat(str(wanted))).days, 0, passes)
    return Pair(float(found), float(wanted), passes)


class Sides:
    """The values that a rule's limits were held against, over all its examples."""

    def __init__(self, rule: Rule) -> None:
        self._rule = rule
        others = [limit for other in rule.otherwise for limit in other.limits]
        self._limits = [limit for limit in (*rule.limits, *others) if not limit.standard]
        self._met: list[list[Pair]] = [[] for _ in self._limits]
        self._results: list[set[bool]] = [set() for _ in self._limits]

    def take(self, run: Run) -> None:
        """Hold every limit against the values of one setup, as far as they are known."""
        try:
            items = range(len(run.items(self._rule.each))) if self._rule.each else [None]
        except Missing:
            return
        for item in items:
            scope = Scope(run, self._rule.each, item)
            for at, limit in enumerate(self._limits):
                self._hold(at, limit, scope)

    def _hold(self, at: int, limit: Limit, scope: Scope) -> None:
        conditions = [when for when in (self._rule.when, limit.when) if when]
        asked = every([holds(scope, when) for when in conditions]) if conditions else True
        try:
            found, wanted = scope.term(limit.term), value_of(scope, limit.value)
        except Missing:
            return
        days = len(scope.run.days)
        truths = asked if isinstance(asked, list) else [asked] * days
        for truth, (one, other) in zip(truths, pair(found, wanted, days), strict=True):
            if truth is not True or one is None or other is None:
                continue
            passes = compare(limit.comparator, one, other)
            self._results[at].add(passes)
            if limit.comparator in NUMBERS:
                self._met[at].append(_pair(one, other, passes))

    def lacking(self) -> list[str]:
        """What no example does: come just to either side of a limit, in words."""
        says = []
        for at, limit in enumerate(self._limits):
            for passes, side in ((True, "holds"), (False, "fails")):
                where = f"the limit of line {limit.line}"
                if passes not in self._results[at]:
                    says.append(f"shows how {where} {side}")
                elif self._met[at] and not self._near(limit, self._met[at], passes):
                    says.append(f"comes just to the side where {where} {side}")
        return says

    @staticmethod
    def _near(limit: Limit, met: list[Pair], passes: bool) -> bool:
        nearest = min(abs(one.found - one.wanted) for one in met if one.passes == passes)
        wanted = max(abs(one.wanted) for one in met)
        scale = wanted or max(abs(one.found) for one in met)
        grain = 0.0
        if limit.dimension in IN_GRAINS:
            numbers = [number for one in met for number in (one.found, one.wanted)]
            grain = next((g for g in GRAINS if all(n % g == 0 for n in numbers)), 0.0)
        return nearest <= max(NEAR * scale, grain) * (1 + 1e-9)
