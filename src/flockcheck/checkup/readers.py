"""How the names and values of a rule are read, made into functions that are called for each item.

A reader gives a value, which is one thing or a list by day, or else the `Missing` that says why
there is none: it is given back, not raised, since much of what a rule names is not written.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from flockcheck.checkup.comparing import by_day, in_days
from flockcheck.measures.graph.inputs import copy_of
from flockcheck.measures.graph.registry import Registry
from flockcheck.measures.graph.run import Run
from flockcheck.rulebook.model import Expression, Term
from flockcheck.setup.form import general, kind_of, shape_of
from flockcheck.setup.sections import ITEMS
from flockcheck.setup.view import Missing, absent_value
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
        return or_raised(term_reader(term, self.run.registry)(self))

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
# A value or the Missing that tells why there is none.
Reader = Callable[[Scope], Any]


def or_raised(found: Any) -> Any:
    """A value, as it is. Raises the Missing that stands in its place."""
    if type(found) is Missing:
        raise copy_of(found)
    return found


def term_reader(term: Term, registry: Registry) -> Reader:
    """How the value of a term is read."""
    kind = term[0]
    if kind == "measure":
        return measure_reader(term[1], by_item=registry.nodes[term[1]].item is not None)
    if kind == "key":
        return _key_reader(term[1])
    return _item_reader(term[1], term[2]) if term[2] else Scope.thing


def measure_reader(name: str, *, by_item: bool) -> Reader:
    """How the value of a measure is read."""
    if by_item:

        def of_item(scope: Scope) -> Any:
            run, key = scope.run, (name, scope.item)
            done = run.known.get(key)
            if done is None or run.tracks:
                done = run.answer(key)
            return done.value if done.missing is None else done.missing

        return of_item
    key = (name, None)

    def of_all(scope: Scope) -> Any:
        run = scope.run
        done = run.known.get(key)
        if done is None or run.tracks:
            done = run.answer(key)
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


def plain_reader(expression: Expression, registry: Registry) -> Reader:
    """How a value that is no sum over birds is read."""
    kind = expression[0]
    if kind == "literal":
        fixed = literal(expression)
        return lambda scope: fixed
    if kind == "table":
        return _table_reader(expression, registry)
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
