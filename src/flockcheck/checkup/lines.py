"""The lines of a working: each key, table figure and measure once, below what it rests on."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from math import isclose
from typing import Any, NamedTuple

from flockcheck.measures.graph.figures import Figure, Leaf, Sum, leaf
from flockcheck.measures.graph.retrace import Read, Retracer
from flockcheck.measures.graph.run import DAY, Run
from flockcheck.rulebook.names import Names, Slip
from flockcheck.setup.form import QUIET, general, shape_of
from flockcheck.setup.sections import ITEMS
from flockcheck.setup.view import absent_value
from flockcheck.tables import Row, Table
from flockcheck.text.nodes import Mark


class Days(NamedTuple):
    """The days that a measure goes over: how many, the first and last with a value, and the sum.

    `total` is None where adding them up is not what is done with them.
    """

    many: int
    first: tuple[date, Any]
    last: tuple[date, Any]
    total: float | None
    of: int


class Line(NamedTuple):
    """One line of a working.

    `kind` is day, key, none (a key that was left out, which is taken as none or as the format
    says), read (of a table), measure, each (what a limit asks for each bird) or limit. `name` is
    the key, the table or the measure, `about` the item's path or "". `uses` holds the places of the
    lines it rests on, from 1; the inputs of `sum` are ("line", place, place in a series). `days`
    stands where a measure goes over days, `left_out` has the measures it goes on without, and
    `points` are the neighbours that a limit lies between.
    """

    kind: str
    name: str
    value: Any
    dimension: str
    uses: tuple[int, ...] = ()
    sum: Sum | None = None
    about: str = ""
    read: Read | None = None
    days: Days | None = None
    cites: dict[str, Any] | None = None
    points: tuple[tuple[float, float], ...] = ()
    left_out: tuple[str, ...] = ()
    on: date | None = None

    @property
    def chosen(self) -> bool:
        """Whether it is a figure that brings a unit of its own: it is shown as it was chosen."""
        return self.read is not None and self.read.column in self.read.row.kinds


class Lines:
    """Lines as they are found, each thing once; `dated` tells whether any of them goes by day."""

    def __init__(self, run: Run) -> None:
        self.run = run
        self.found: list[Line] = []
        self.dated = False
        self._places: dict[tuple[Any, ...], int] = {}
        self._retracer = Retracer(run)
        self._names = Names(run.registry, {})

    def add(self, what: tuple[Any, ...], line: Line) -> int:
        """The place of a line, which is new unless the same thing has one."""
        place = self._places.get(what)
        if place is None:
            self.found.append(line)
            place = self._places[what] = len(self.found)
        return place

    def figure(self, place: int) -> Any:
        """The value of a line as an input of a sum."""
        return leaf(self.found[place - 1].value, ("line", place, None))

    @staticmethod
    def of(found: Sum) -> Figure:
        """A sum as a number that others can be worked out with."""
        return Figure(found.value, found)

    def day(self, at: int) -> int:
        """The line of the day itself."""
        self.dated = True
        return self.add(("day", at), Line("day", DAY, self.run.days[at], "date"))

    def key(self, path: str, value: Any) -> int:
        """The line of a key of the file."""
        return self.add(("key", path), Line("key", path, value, self._dimension(path)))

    def read_of(
        self,
        table: Table,
        row: Row,
        column: str,
        at: Sum | None,
        value: Any,
        uses: list[int],
    ) -> int:
        """The line of a figure of a table; `at` is the sum behind the point along its axis."""
        point = None if at is None or not row.xs else at
        below = [one.leaf[1] for one in point.leaves()] if point else []
        places = tuple(dict.fromkeys([*below, *uses]))
        read = Read(table, row, column, point, value)
        what = ("read", table.name, id(row), column, point.value if point else None)
        dimension = row.kinds.get(column, table.units[column])
        return self.add(what, Line("read", table.name, value, dimension, places, read=read))

    def node(self, name: str, item: int | None, at: int) -> int:
        """The line of a measure on a day, below those of all that it rests on."""
        known = self._places.get(("measure", name, item))
        if known is not None:
            return known
        spec = self.run.registry.nodes[name].spec
        node = self.run.registry.nodes[name]
        self.dated = self.dated or node.daily
        again = self._retracer.again(name, item, at)
        uses: list[int] = [self.day(at)] if again.day else []
        days: Days | None = None
        for use in again.uses:
            place = self.node(use.name, use.item, self._day_for(use.name, use.item, at))
            uses.append(place)
            if use.over:
                days = days or self._over(use.name, use.item, place, again.value)
        for path in again.keys:
            uses += self._keys(path, again.keys)
        places = {path: self._places.get(("key", path)) for path in again.keys}
        reads = [self._own_read(read, places) for read in again.reads]
        uses += reads
        found = None
        if again.sum is not None:
            found = _renamed(again.sum, self._naming(places, reads))
        line = Line(
            "measure",
            name,
            again.value,
            spec.gives,
            tuple(sorted(set(uses))),
            found,
            about=f"{ITEMS[node.item]}.{item}" if node.item else "",
            days=days,
            left_out=again.left_out,
            on=self.run.days[at] if node.daily else None,
        )
        return self.add(("measure", name, item), line)

    def _own_read(self, read: Read, places: dict[str, int | None]) -> int:
        at = _renamed(read.at, self._naming(places, [])) if read.at is not None else None
        return self.read_of(read.table, read.row, read.column, at, read.value, [])

    def _naming(self, places: dict[str, int | None], reads: list[int]) -> Callable[[Leaf], Leaf]:
        """What the inputs of a measure's sum are called by their lines."""

        def name(where: Leaf) -> Leaf:
            if where[0] == "measure":
                return ("line", self._places[where[:3]], where[3])
            place = reads[where[1]] if where[0] == "read" else places[where[1]]
            return ("line", place, None)

        return name

    def _keys(self, path: str, keys: tuple[str, ...]) -> list[int]:
        """The line of a key that was read; none for lists, which only tell how many there are."""
        setup = self.run.setup
        written = setup.values.get(path)
        if written is not None:
            return [self.key(path, written.value)]
        shape = shape_of(general(path)) or {}
        if path in setup.lists or "absent" not in shape:
            return []
        ends = [key for key in keys if general(key) == "birds.*.leaves"]
        looks_ahead = path == "look_ahead" and any(key not in setup.values for key in ends)
        if general(path) in QUIET and not looks_ahead:
            return []
        line = Line("none", path, absent_value(shape), self._dimension(path))
        return [self.add(("key", path), line)]

    def _day_for(self, name: str, item: int | None, at: int) -> int:
        """The day on which a measure is shown: the day at hand, or the nearest on which it applies.

        The days before come first.
        """
        value = self.run.done(name, item).value
        if not self.run.registry.nodes[name].daily or value[at] is not None:
            return at
        before = [day for day in range(at) if value[day] is not None]
        after = [day for day in range(at, len(value)) if value[day] is not None]
        return next(iter([*before[-1:], *after]), at)

    def _over(self, name: str, item: int | None, place: int, result: Any) -> Days | None:
        """The days of a measure that another goes over."""
        values = self.run.done(name, item).value
        there = [(day, one) for day, one in zip(self.run.days, values, strict=True) if one]
        if not there or isinstance(there[0][1], (str, tuple, bool)):
            return None
        total: float | None = float(sum(one for _, one in there))
        last = result[-1] if isinstance(result, (list, tuple)) and result else result
        if not isinstance(last, (int, float)) or not isclose(last, total or 0.0, rel_tol=1e-9):
            total = None
        return Days(len(there), there[0], there[-1], total, place)

    def _dimension(self, path: str) -> str:
        first, _, rest = path.partition(".")
        word = next((word for word, key in ITEMS.items() if key == first), None)
        name = path
        if word is not None:
            _, _, key = rest.partition(".")
            name = f"{word}.{key}" if key else word
        try:
            return self._names.find(name, Mark(1, 1, 0), "").dimension
        except Slip:
            return "word"


def _renamed(found: Sum, name: Callable[[Leaf], Leaf]) -> Sum:
    """A sum whose inputs are called otherwise."""
    if found.sign == "leaf":
        return found._replace(leaf=name(found.leaf))
    return found._replace(parts=tuple(_renamed(part, name) for part in found.parts))
