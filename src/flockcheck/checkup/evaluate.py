"""The values and conditions of a rule, made into functions that are called for each item.

A rulebook's tagged lists are taken apart once, and what comes of them is asked of thousands of
setups. A reader gives a value, which is one thing or a list by day, or else the `Missing` that says
why there is none: it is given back, not raised, since much of what a rule names is not written. A
condition is true, false or unknown, and may differ by day.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, cast

from flockcheck.checkup.comparing import against, by_day, by_days, compare, in_days
from flockcheck.checkup.truths import Tri, every, merged, some
from flockcheck.measures.graph.inputs import copy_of
from flockcheck.measures.graph.registry import Registry
from flockcheck.measures.graph.run import Run
from flockcheck.rulebook.model import Expression, Term
from flockcheck.setup.form import general, kind_of, shape_of
from flockcheck.setup.sections import ITEMS
from flockcheck.setup.view import Missing, absent_value
from flockcheck.setup.written import Setup
from flockcheck.tables import TableSilent, interpolate


class Scope:
    """The names of a rule asked of one item (or of the pen, with `each` empty)."""

    __slots__ = ("each", "item", "outer", "run")

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
        return _or_raised(term_reader(term, self.run.registry)(self))

    def value(self, expression: Expression) -> Any:
        """What a comparator compares with: one thing or a list by day. Raises Missing."""
        return _or_raised(value_reader(expression, self.run.registry)(self))

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


# What other keys may stand below.
HOLDERS = ("section", "list", "weights")
# A value or the Missing that tells why there is none, and a truth.
Reader = Callable[[Scope], Any]
Condition = Callable[[Scope], Tri]


def _or_raised(found: Any) -> Any:
    if type(found) is Missing:
        raise copy_of(found)
    return found


def term_reader(term: Term, registry: Registry) -> Reader:
    """How the value of a term is read."""
    kind = term[0]
    if kind == "measure":
        return _measure_reader(term[1], by_item=registry.nodes[term[1]].item is not None)
    if kind == "key":
        return _key_reader(term[1])
    return _item_reader(term[1], term[2]) if term[2] else Scope.thing


def _measure_reader(name: str, *, by_item: bool) -> Reader:
    if by_item:

        def of_item(scope: Scope) -> Any:
            done = scope.run.answer((name, scope.item))
            return done.value if done.missing is None else done.missing

        return of_item
    key = (name, None)

    def of_all(scope: Scope) -> Any:
        done = scope.run.answer(key)
        return done.value if done.missing is None else done.missing

    return of_all


def _key_reader(path: str) -> Reader:
    def read(scope: Scope) -> Any:
        run = scope.run
        written = run.setup.values.get(path)
        if written is not None:
            run.hear(path)
            return written.value
        return _unwritten(run, path)

    return read


def _item_reader(word: str, key: str) -> Reader:
    of = ITEMS[word]

    def read(scope: Scope) -> Any:
        run, path = scope.run, f"{of}.{scope.item}.{key}"
        written = run.setup.values.get(path)
        if written is not None:
            run.hear(of)
            run.hear(path)
            return written.value
        return _unwritten(run, path)

    return read


def _unwritten(run: Run, path: str) -> Any:
    """What a key that is not written as one value comes to."""
    shape = shape_of(general(path))
    if shape is not None and kind_of(shape) not in HOLDERS:
        run.hear(path)
        return absent_value(shape) if "absent" in shape else Missing(path)
    thing: Any = run.whole
    try:
        for part in path.split("."):
            thing = thing[int(part)] if part.isdigit() else getattr(thing, part)
    except Missing as error:
        return copy_of(error)
    return thing


def value_reader(expression: Expression, registry: Registry) -> Reader:
    """How what a comparator compares with is read."""
    kind = expression[0]
    if kind == "literal":
        fixed = literal(expression)
        return lambda scope: fixed
    if kind == "table":
        return _table_reader(expression, registry)
    if kind == "each_bird":
        return _each_bird(expression, registry)
    term = term_reader(expression[1], registry)
    if kind == "points":
        return _changed(term, _along(expression[2]))
    times = expression[2]
    return term if times == 1 else _changed(term, lambda x: x * times)


def literal(expression: Expression) -> Any:
    """The value that stands in the rule itself."""
    return tuple(expression[1]) if isinstance(expression[1], list) else expression[1]


def _changed(read: Reader, change: Callable[[Any], Any]) -> Reader:
    """A reader whose values are changed, day by day where they go by day."""

    def changed(scope: Scope) -> Any:
        found = read(scope)
        return found if type(found) is Missing else by_day(change, found)

    return changed


def _along(points: list[list[Any]]) -> Callable[[float], float]:
    xs, ys = [point[0] for point in points], [point[1] for point in points]
    return lambda x: interpolate(xs, ys, x, "straight")


def _table_reader(expression: Expression, registry: Registry) -> Reader:
    _, name, column, times, along = expression
    point = term_reader(["measure", along], registry) if along else None

    def read(scope: Scope) -> Any:
        table = scope.run.reader(name)
        at = point(scope) if point else None
        if type(at) is Missing:
            return at
        if along and not any(one is not None for one in in_days(at, 1)):
            return at
        try:
            curve = table.curve(column, **scope.who())
            if along and isinstance(at, list):
                found = curve.each(at)
            else:
                found = by_day(curve, at) if along else curve(None)
        except TableSilent as silent:
            return Missing(why=silent.why)
        except Missing as error:
            return copy_of(error)
        return found if times == 1 else by_day(lambda x: x * times, found)

    return read


def _each_bird(expression: Expression, registry: Registry) -> Reader:
    """The sum over the birds present, each at its age; None on days without any of them."""
    of = condition_of(expression[2], registry, "group") if expression[2] else None
    each = value_reader(expression[1], registry)
    here = _measure_reader("birds_here", by_item=True)

    def read(scope: Scope) -> Any:
        run = scope.run
        totals: list[float | None] = [None] * len(run.days)
        lacking: list[Missing] = []
        for at in range(len(run.items("group"))):
            inner = Scope(run, "group", at, scope)
            truth = of(inner) if of else True
            if truth is False:
                continue
            if isinstance(truth, Missing):
                lacking.append(truth)
                continue
            count, wanted = here(inner), each(inner)
            if Missing in (type(count), type(wanted)):
                lacking.append(count if type(count) is Missing else wanted)
                continue
            days = zip(
                count, in_days(wanted, len(totals)), in_days(truth, len(totals)), strict=True
            )
            for day, (birds, one, true) in enumerate(days):
                if birds is None or one is None or true is False:
                    continue
                if true is not True:
                    lacking.append(true)
                    break
                totals[day] = (totals[day] or 0.0) + birds * one
        return merged(lacking) if lacking else totals

    return read


def condition_of(condition: Expression, registry: Registry, each: str) -> Condition:
    """A condition of a rule that asks about `each` (or the pen), as a function."""
    kind = condition[0]
    if kind == "written":
        return _written(condition)
    if kind == "test":
        return _test(condition, registry, each)
    parts = [condition_of(part, registry, each) for part in condition[1]]
    settles, together = (False, every) if kind == "all" else (True, some)

    def both(scope: Scope) -> Tri:
        answers = [part(scope) for part in parts]
        return settles if settles in answers else together(answers)

    return both


def holds(scope: Scope, condition: Expression) -> Tri:
    """Whether a condition holds: true, false or unknown, by day where it changes by day."""
    return condition_of(condition, scope.run.registry, scope.each)(scope)


def _written(condition: Expression) -> Condition:
    _, path, word, wanted = condition
    of = ITEMS[word] if word else ""
    there = _there(f"{of}.*.{path}" if of and path else of or path)

    def written(scope: Scope) -> bool:
        setup = scope.run.setup
        if not word:
            return there(setup, path) is wanted
        if not path:
            # An item by itself is written if it is there to be asked about.
            return (word == scope.each or there(setup, of)) is wanted
        at = [scope.item] if word == scope.each else list(range(setup.lists.get(of, 0)))
        return wanted in ([there(setup, f"{of}.{n}.{path}") for n in at] or [False])

    return written


def _there(path: str) -> Callable[[Setup, str], bool]:
    """How to see whether something stands at or below a path such as this."""
    shape = shape_of(path)
    if shape is None or kind_of(shape) in HOLDERS:
        return Setup.is_written
    # Nothing can stand below it, and need not be looked for.
    return lambda setup, path: path in setup.values


def _test(condition: Expression, registry: Registry, each: str) -> Condition:
    """A test of whom it may mean: the item asked about, or each item of another word."""
    _, term, comparator, expression = condition
    axis = registry.nodes[term[1]].item or "" if term[0] == "measure" else ""
    if term[0] == "item":
        axis = str(term[1])
    read = term_reader(term, registry)
    test: Condition
    if expression[0] == "literal":
        # Many rules ask the same, such as whether the birds are of an age.
        fixed = literal(expression)
        name = (*term, comparator, type(fixed), fixed)
        test = registry.kept.get(name) or _against_literal(read, comparator, fixed)
        registry.kept[name] = test
    else:
        test = _against_value(read, comparator, value_reader(expression, registry))
    if axis in ("", each):
        return test

    def tested(scope: Scope) -> Tri:
        if scope.outer is not None and scope.outer.each == axis:
            return test(scope.outer)
        try:
            count = len(scope.run.items(axis))
        except Missing as error:
            return copy_of(error)
        return some([test(Scope(scope.run, axis, at)) for at in range(count)])

    return tested


def _against_literal(read: Reader, comparator: str, wanted: Any) -> Condition:
    passes = against(comparator, wanted)
    # The days that were compared last, and what came of it: the next rule has the same.
    last: tuple[list[Any], Tri] = ([], [])

    def test(scope: Scope) -> Tri:
        nonlocal last
        found = read(scope)
        if type(found) is Missing:
            return found
        if type(found) is list:
            days, truth = last
            if days is not found:
                truth = _by_days(comparator, found, wanted, len(found))
                last = found, truth
            return truth
        return found is not None and passes(found)

    return test


def _against_value(read: Reader, comparator: str, other: Reader) -> Condition:
    def test(scope: Scope) -> Tri:
        found, wanted = read(scope), other(scope)
        for one in (found, wanted):
            if type(one) is Missing:
                return one
        if isinstance(found, list) or isinstance(wanted, list):
            return _by_days(comparator, found, wanted, len(scope.run.days))
        return found is not None and compare(comparator, found, wanted)

    return test


def _by_days(comparator: str, found: Any, wanted: Any, days: int) -> Tri:
    answers = by_days(comparator, found, wanted, days)
    if None not in answers:
        return cast("Tri", answers)
    return [answer is True for answer in answers]
