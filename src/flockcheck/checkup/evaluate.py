"""The values and conditions of a rule, worked out for one item of one setup.

A value is one thing or a list by day. A condition is true, false or unknown: unknown is the
`Missing` that says which keys would settle it, and a condition may differ by day.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, cast

from flockcheck.checkup.comparing import by_day, by_days, compare, in_days
from flockcheck.measures.graph.run import Run
from flockcheck.rulebook.model import Expression, Term
from flockcheck.setup.sections import ITEMS
from flockcheck.setup.view import Missing
from flockcheck.tables import TableSilent, interpolate

# True, False or the Missing that says what would settle it.
Truth = bool | Missing
Tri = Truth | list[Truth]


class Scope:
    """The names of a rule asked of one item (or of the pen, with `each` empty)."""

    def __init__(
        self, run: Run, each: str = "", item: int | None = None, outer: Scope | None = None
    ) -> None:
        self.run = run
        self.each = each
        self.item = item
        self.outer = outer

    def thing(self) -> Any:
        """The item itself: a section, or a word."""
        assert self.item is not None
        return self.run.items(self.each)[self.item]

    def who(self) -> dict[str, Any]:
        """The items a table's words may speak of."""
        found = self.outer.who() if self.outer else {}
        if self.each:
            found[self.each] = self.thing()
        return found

    def term(self, term: Term) -> Any:
        """The value of a term. Raises Missing."""
        kind = term[0]
        if kind == "measure":
            node = self.run.registry.nodes[term[1]]
            return self.run.value(term[1], self.item if node.item else None)
        if kind == "item":
            thing = self.thing()
            return _walk(thing, term[2]) if term[2] else thing
        return _walk(self.run.whole, term[1])

    def axis(self, term: Term) -> str:
        """The item word that a term goes by, or ""."""
        if term[0] == "measure":
            return self.run.registry.nodes[term[1]].item or ""
        return str(term[1]) if term[0] == "item" else ""

    def meant(self, term: Term) -> list[Scope]:
        """Whom a condition may mean by a term: this scope, or each item of another word.

        Raises Missing where a list that it would go through is not written.
        """
        axis = self.axis(term)
        if not axis or axis == self.each:
            return [self]
        if self.outer is not None and self.outer.each == axis:
            return [self.outer]
        return [Scope(self.run, axis, at) for at in range(len(self.run.items(axis)))]

    def value(self, expression: Expression) -> Any:
        """What a comparator compares with: one thing or a list by day. Raises Missing."""
        kind = expression[0]
        if kind == "literal":
            return tuple(expression[1]) if isinstance(expression[1], list) else expression[1]
        if kind == "points":
            points = expression[2]
            return by_day(lambda x: _along(points, x), self.term(expression[1]))
        if kind == "table":
            return self._table(expression)
        if kind == "term":
            times = expression[2]
            found = self.term(expression[1])
            return found if times == 1 else by_day(lambda x: x * times, found)
        return self._each_bird(expression)

    def _table(self, expression: Expression) -> Any:
        _, name, column, times, along = expression
        table, who = self.run.reader(name), self.who()
        at = self.term(["measure", along]) if along else None
        if along and not any(one is not None for one in in_days(at, 1)):
            return at
        try:
            read = table.curve(column, **who)
            if along and isinstance(at, list):
                found = read.each(at)
            else:
                found = by_day(read, at) if along else read(None)
        except TableSilent as silent:
            raise Missing(why=silent.why) from None
        return found if times == 1 else by_day(lambda x: x * times, found)

    def _each_bird(self, expression: Expression) -> Any:
        """The sum over the birds present, each at its age; None on days without any of them."""
        totals: list[float | None] = [None] * len(self.run.days)
        lacking: list[Missing] = []
        for at in range(len(self.run.items("group"))):
            inner = Scope(self.run, "group", at, self)
            of = holds(inner, expression[2]) if expression[2] else True
            if of is False:
                continue
            try:
                if isinstance(of, Missing):
                    raise of
                count, each = self.run.value("birds_here", at), inner.value(expression[1])
            except Missing as error:
                lacking.append(error)
                continue
            days = zip(count, in_days(each, len(totals)), in_days(of, len(totals)), strict=True)
            for day, (birds, one, truth) in enumerate(days):
                if birds is None or one is None or truth is False:
                    continue
                if truth is not True:
                    lacking.append(truth)
                    break
                totals[day] = (totals[day] or 0.0) + birds * one
        if lacking:
            raise merged(lacking)
        return totals

    def cites(self, expression: Expression) -> list[dict[str, Any]]:
        """The citations of the table rows that a value is read from; none for other values."""
        if expression[0] == "each_bird":
            groups = range(len(self.run.items("group")))
            inner = [Scope(self.run, "group", at, self).cites(expression[1]) for at in groups]
            return [cite for found in inner for cite in found]
        if expression[0] != "table":
            return []
        try:
            return [self.run.tables[expression[1]].row(self.who()).cites]
        except (Missing, TableSilent):
            return []


def _walk(thing: Any, path: str) -> Any:
    for part in path.split("."):
        thing = getattr(thing, f"{part}_" if part in ("from",) else part)
    return thing


def _along(points: list[list[Any]], x: float) -> float:
    return interpolate([p[0] for p in points], [p[1] for p in points], x, "straight")


def holds(scope: Scope, condition: Expression) -> Tri:
    """Whether a condition holds: true, false or unknown, by day where it changes by day."""
    kind = condition[0]
    if kind == "all":
        return every([holds(scope, part) for part in condition[1]])
    if kind == "any":
        return some([holds(scope, part) for part in condition[1]])
    if kind == "written":
        return _is_written(scope, condition)
    _, term, comparator, expression = condition
    try:
        meant = scope.meant(term)
    except Missing as error:
        return error
    return some([_test(one, term, comparator, expression) for one in meant])


def _is_written(scope: Scope, condition: Expression) -> bool:
    _, path, word, wanted = condition
    setup = scope.run.setup
    if not word:
        return bool(setup.is_written(path) == wanted)
    if not path:
        # An item by itself is written if it is there to be asked about.
        there = word == scope.each or setup.is_written(ITEMS[word])
        return bool(there == wanted)
    at = [scope.item] if word == scope.each else list(range(setup.lists.get(ITEMS[word], 0)))
    found = [setup.is_written(f"{ITEMS[word]}.{n}.{path}") for n in at]
    return wanted in (found or [False])


def _test(scope: Scope, term: Term, comparator: str, expression: Expression) -> Tri:
    try:
        found, wanted = scope.term(term), scope.value(expression)
    except Missing as error:
        return error
    if isinstance(found, list) or isinstance(wanted, list):
        answers = by_days(comparator, found, wanted, len(scope.run.days))
        if None not in answers:
            return cast("list[Truth]", answers)
        return [answer is True for answer in answers]
    return found is not None and compare(comparator, found, wanted)


def every(parts: list[Tri]) -> Tri:
    """All of them: false if any is, else unknown if any is, else true; by day where one is."""
    return _combine(parts, False)


def some(parts: list[Tri]) -> Tri:
    """Any of them: true if one is, else unknown if one is, else false; by day where one is."""
    return _combine(parts, True)


def _combine(parts: list[Tri], settles: bool) -> Tri:
    lists: list[list[Truth]] = []
    unknown: list[Truth] = []
    for part in parts:
        if isinstance(part, list):
            lists.append(part)
        elif part is settles:
            return settles
        elif isinstance(part, Missing):
            unknown.append(part)
    if not lists:
        return _one(unknown, settles)
    if len(lists) == 1 and not unknown:
        return lists[0]
    if not unknown and all(known(one) for one in lists):
        found = lists[0]
        for other in lists[1:]:
            days = zip(found, other, strict=True)
            found = [a or b for a, b in days] if settles else [a and b for a, b in days]
        return found
    # Days on end are alike, and then one Missing says of all of them what they lack.
    answers: list[Truth] = []
    before: tuple[Truth, ...] = ()
    for row in zip(*lists, strict=True):
        answers.append(answers[-1] if row == before else _one([*row, *unknown], settles))
        before = row
    return answers


def known(truths: Sequence[Truth]) -> bool:
    """Whether none of these is unknown."""
    return set(map(type, truths)) <= {bool}


def _one(parts: Sequence[Truth], settles: bool) -> Truth:
    if settles in parts:
        return settles
    unknown = [part for part in parts if isinstance(part, Missing)]
    return merged(unknown) if unknown else not settles


def merged(unknown: list[Missing]) -> Missing:
    """One Missing with the keys of several."""
    keys = [key for error in unknown for key in error.keys]
    return Missing(*keys, why=next((error.why for error in unknown if error.why), ""))
