"""One measure worked out again for one day, with everything that it reads written down.

Measures are pure, so that calling one again changes nothing; only `why` does so.
"""

from __future__ import annotations

from collections.abc import Callable
from math import isclose
from typing import Any

from flockcheck.measures.graph.figures import Sum, how, leaf, sum_of, traced
from flockcheck.measures.graph.registry import Node, table_called
from flockcheck.measures.graph.run import DAY, Run
from flockcheck.setup.sections import ITEMS, PARTS, Whole
from flockcheck.setup.written import Setup
from flockcheck.tables import Row, Table
from flockcheck.text.records import NamedTuple


class Read(NamedTuple):
    """One figure read from a table: the row, the column, the point along its axis, and the value.

    `at` is the sum behind that point, None for a plain row.
    """

    table: Table
    row: Row
    column: str
    at: Sum | None
    value: Any


class Use(NamedTuple):
    """A measure that was asked for; `over` tells that all of its days were."""

    name: str
    item: int | None
    over: bool


class Again(NamedTuple):
    """What a measure came to on one day, and from what.

    `sum` is None where the answer is no sum of its inputs; `day` tells that it asks for the day
    itself, `keys` holds the keys it read, in that order, and `left_out` the measures for which it
    went on without, since they are not known.
    """

    value: Any
    sum: Sum | None
    uses: tuple[Use, ...]
    day: bool
    keys: tuple[str, ...]
    reads: tuple[Read, ...]
    left_out: tuple[str, ...]


class _Reader:
    """A table that writes down what is read of it."""

    def __init__(self, table: Table, reads: list[Read], *, figures: bool) -> None:
        self.table = table
        self._reads = reads
        self._figures = figures

    def __call__(self, column: str, at: float | None = None, **who: Any) -> Any:
        row = self.table.row(who)
        value = self.table.read(row, column, None if at is None else float(at))
        point = None if at is None or not row.xs else how(at)
        known = next((n for n, one in enumerate(self._reads) if _same(one, row, column, at)), None)
        if known is None:
            known = len(self._reads)
            self._reads.append(Read(self.table, row, column, point, value))
        return leaf(value, ("read", known)) if self._figures else value

    def curve(self, column: str, **who: Any) -> Callable[[float | None], Any]:
        # Without a row it is silent at once, not where it is read.
        self.table.row(who)
        return lambda at: self(column, at, **who)

    def row(self, who: dict[str, Any]) -> Row:
        return self.table.row(who)

    def last(self, **who: Any) -> float | None:
        return self.table.last(**who)


def _same(one: Read, row: Row, column: str, at: float | None) -> bool:
    point = None if one.at is None else one.at.value
    return one.row is row and one.column == column and (point is None or point == at)


class Retracer:
    """Works measures of one run out again."""

    def __init__(self, run: Run) -> None:
        self.run = run
        self._heard: list[str] = []
        self._reads: list[Read] = []
        self._wholes = {
            figures: Whole(_figured(run.setup) if figures else run.setup, "", self._heard.append)
            for figures in (True, False)
        }

    def again(self, name: str, item: int | None, at: int) -> Again:
        """A node on one day, by its place in the stay; one that doesn't go by day as it is.

        Raises nothing for a node that the run could work out.
        """
        node = self.run.registry.nodes[name]
        value = on_day(self.run.done(name, item).value, at, daily=node.daily)
        found = None
        if value is not None:
            found = sum_of(self._called(node, item, at, figures=True))
            if found is None or not isclose(found.value, float(value), rel_tol=1e-9):
                # The answer is no figure, or the figures led it astray.
                found = None
                self._called(node, item, at, figures=False)
        uses, left_out = self._uses(node, item, at)
        keys = tuple(dict.fromkeys(self._heard))
        asks_day = DAY in node.spec.asks and DAY not in node.spec.gather
        return Again(value, found, uses, asks_day, keys, tuple(self._reads), left_out)

    def _called(self, node: Node, item: int | None, at: int, *, figures: bool) -> Any:
        """What the measure gives; None where it can't be called so."""
        self._heard.clear()
        self._reads.clear()
        function = traced(node.spec.function) if figures else node.spec.function
        try:
            return function(*self._arguments(node, item, at, figures=figures))
        except Exception:  # a measure may want what a figure is not, such as a whole number
            return None

    def _arguments(self, node: Node, item: int | None, at: int, *, figures: bool) -> list[Any]:
        whole = self._wholes[figures]
        there = {word: self._there(node, word, item, at) for word in node.spec.gather}
        found: list[Any] = []
        for asked in node.spec.asks:
            if asked in PARTS:
                found.append(getattr(whole, asked))
            elif asked == "setup":
                found.append(whole)
            elif asked == DAY:
                found.append(self.run.days if DAY in node.spec.gather else self.run.days[at])
            elif asked in ITEMS:
                things = getattr(whole, ITEMS[asked])
                own = there.get(asked)
                found.append(things[item or 0] if own is None else [things[place] for place in own])
            elif asked in self.run.registry.nodes:
                found.append(self._measure(node, asked, item, at, there, figures=figures))
            else:
                table = self.run.tables[table_called(asked, self.run.registry.tables)]
                found.append(_Reader(table, self._reads, figures=figures))
        return found

    def _measure(
        self,
        node: Node,
        asked: str,
        item: int | None,
        at: int,
        there: dict[str, list[int]],
        *,
        figures: bool,
    ) -> Any:
        below = self.run.registry.nodes[asked]
        if below.item is not None and below.item in there:
            return [
                self._value(node, asked, place, at, figures=figures) for place in there[below.item]
            ]
        return self._value(node, asked, item if below.item else None, at, figures=figures)

    def _value(self, node: Node, asked: str, item: int | None, at: int, *, figures: bool) -> Any:
        done = self.run.done(asked, item)
        if asked in node.spec.defaults and (done.missing is not None or done.value is None):
            return node.spec.defaults[asked]
        below = self.run.registry.nodes[asked]
        if below.daily and DAY in node.spec.gather:
            return done.value
        value = on_day(done.value, at, daily=below.daily)
        where = ("measure", asked, item)
        if not figures:
            return value
        if isinstance(value, (list, tuple)):
            return [leaf(one, (*where, place)) for place, one in enumerate(value)]
        return leaf(value, (*where, None))

    def _there(self, node: Node, word: str, item: int | None, at: int) -> list[int]:
        """The items of a gathered word that take part on a day, by their places."""
        if word == DAY:
            return []
        nodes = self.run.registry.nodes
        gathered = [one for one in node.spec.asks if one in nodes and nodes[one].item == word]
        count = len(getattr(self._wholes[False], ITEMS[word]))
        whole_stay = DAY in node.spec.gather
        return [
            place
            for place in range(count)
            if whole_stay
            or all(
                on_day(self.run.done(one, place).value, at, daily=nodes[one].daily) is not None
                for one in gathered
            )
        ]

    def _uses(
        self, node: Node, item: int | None, at: int
    ) -> tuple[tuple[Use, ...], tuple[str, ...]]:
        uses: list[Use] = []
        left_out: list[str] = []
        there = {word: self._there(node, word, item, at) for word in node.spec.gather}
        for asked in node.spec.asks:
            below = self.run.registry.nodes.get(asked)
            if below is None or asked in (*ITEMS, *PARTS):
                continue
            places: list[int | None] = [item if below.item else None]
            if below.item is not None and below.item in there:
                places = list(there[below.item])
            over = below.daily and DAY in node.spec.gather
            for place in places:
                done = self.run.done(asked, place)
                if done.missing is not None or done.value is None:
                    left_out.append(asked)
                else:
                    uses.append(Use(asked, place, over))
        return tuple(uses), tuple(dict.fromkeys(left_out))


def on_day(value: Any, at: int, *, daily: bool) -> Any:
    """What a value is on a day."""
    return value[at] if daily and value is not None else value


def _figured(setup: Setup) -> Setup:
    """A setup whose numbers know the keys they stand under."""
    values = {
        path: written._replace(value=leaf(written.value, ("key", path)))
        for path, written in setup.values.items()
    }
    return setup._replace(values=values)


__all__ = ["Again", "Read", "Retracer", "Use", "on_day"]
