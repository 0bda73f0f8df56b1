"""The measures known to a run, and the checks that hold before any setup is read."""

from __future__ import annotations

from collections.abc import Container, Iterable
from types import ModuleType
from typing import NamedTuple

from flockcheck.measures.graph.spec import Spec, measures_of
from flockcheck.setup.sections import ITEMS, PARTS

DAY = "day"
# What a parameter may name besides measures and tables.
_WORDS = frozenset(ITEMS) | frozenset(PARTS) | {DAY, "setup"}


class RegistryError(ValueError):
    """A measure that can't work: its name and what is wrong with it."""

    def __init__(self, measure: str, says: str) -> None:
        self.measure = measure
        self.says = says
        super().__init__(f"measure {measure}: {says}")


class Node(NamedTuple):
    """A measure with its axes worked out: the item word (or none), and whether it goes by day."""

    spec: Spec
    item: str | None
    daily: bool


class Registry:
    """Measures by name. Add modules or plugins' functions, then `close` before the first run."""

    def __init__(self) -> None:
        self._specs: dict[str, Spec] = {}
        self._from: dict[str, str] = {}
        self.nodes: dict[str, Node] = {}
        self.tables: frozenset[str] = frozenset()

    def take(self, module: ModuleType) -> None:
        """Add every measure that a module defines."""
        for spec in measures_of(module):
            self.add(spec, module.__name__)

    def add(self, spec: Spec, origin: str) -> None:
        """Add one measure; a name that is taken or reserved is refused, naming both sides."""
        if spec.name in self._specs:
            raise RegistryError(spec.name, f"{origin} gives it, but {self._from[spec.name]} has it")
        if spec.name in _WORDS:
            raise RegistryError(spec.name, "this word names a part of the setup")
        self._specs[spec.name] = spec
        self._from[spec.name] = origin

    def origin(self, name: str) -> str:
        """The module that gave a measure."""
        return self._from[name]

    def close(self, tables: Iterable[str]) -> Registry:
        """Check every measure against the others and the tables; gives back the registry.

        Raises RegistryError for a parameter that names nothing, a circle, two item axes, a day
        axis that is not declared (or declared in vain) and a gathered word that nothing uses.
        """
        self.tables = frozenset(tables)
        self.nodes = {}
        for name in self._specs:
            self._node(name, ())
        return self

    def signature(self) -> str:
        """What a compiled rulebook rests on: each measure's name, what it gives and its axes."""
        return " ".join(
            f"{name}:{spec.gives}:{','.join(spec.asks)}:{','.join(spec.gather)}"
            for name, spec in sorted(self._specs.items())
        )

    def _node(self, name: str, above: tuple[str, ...]) -> Node:
        if name in self.nodes:
            return self.nodes[name]
        if name in above:
            circle = " -> ".join((*above[above.index(name) :], name))
            raise RegistryError(name, f"asks for itself: {circle}")
        spec = self._specs[name]
        items: list[str] = []
        daily = False
        used: set[str] = set()
        for asked in spec.asks:
            for axis in self._axes(spec, asked, (*above, name)):
                if axis in spec.gather:
                    used.add(axis)
                elif axis == DAY:
                    daily = True
                elif axis not in items:
                    items.append(axis)
        self._check(spec, items, daily, used)
        node = Node(spec, items[0] if items else None, daily)
        self.nodes[name] = node
        return node

    def _axes(self, spec: Spec, asked: str, above: tuple[str, ...]) -> tuple[str, ...]:
        if asked in ITEMS or asked == DAY:
            return (asked,)
        if asked in PARTS or asked == "setup":
            return ()
        if asked in self._specs:
            node = self._node(asked, above)
            return tuple(axis for axis in (node.item, DAY if node.daily else None) if axis)
        if table_called(asked, self.tables):
            return ()
        raise RegistryError(
            spec.name, f"asks for {asked}, which is no measure, table or part of a setup"
        )

    def _check(self, spec: Spec, items: list[str], daily: bool, used: set[str]) -> None:
        if len(items) > 1:
            raise RegistryError(spec.name, f"goes by {' and by '.join(items)}; gather one of them")
        if daily and DAY not in spec.each:
            raise RegistryError(spec.name, 'goes by day; say each="day" or gather the days')
        for axis in spec.each:
            if (axis == DAY and not daily) or (axis != DAY and axis not in items):
                raise RegistryError(spec.name, f"says each={axis!r} but nothing it asks for does")
        for word in spec.gather:
            if word not in used:
                raise RegistryError(spec.name, f"gathers {word}, which nothing it asks for goes by")


def table_called(asked: str, tables: Container[str]) -> str:
    """The table that a parameter names; empty where it names none.

    `x_table` is the table x: so a measure reaches a table that shares its name with a measure, the
    measure being what the bare name stands for.
    """
    short = asked.removesuffix("_table")
    return asked if asked in tables else short if short in tables else ""
