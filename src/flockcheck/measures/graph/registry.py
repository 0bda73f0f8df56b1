"""The measures known to a run, and the checks that hold before any setup is read."""

from __future__ import annotations

from collections.abc import Container, Iterable
from types import ModuleType
from typing import TYPE_CHECKING, Any

from flockcheck.measures.graph.spec import Spec, measures_of
from flockcheck.setup.sections import ITEMS, PARTS
from flockcheck.text.records import NamedTuple

if TYPE_CHECKING:
    from flockcheck.measures.graph.inputs import Plan

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
        # How each measure gets what it asks for, as runs come to need it.
        self.plans: dict[str, Plan] = {}
        # What those who ask keep here, to ask the next setup more quickly.
        self.kept: dict[Any, Any] = {}

    def __getstate__(self) -> dict[str, Any]:
        """What another process receives: what it can make for itself is left out."""
        return {**self.__dict__, "plans": {}, "kept": {}}

    def take(self, *modules: ModuleType) -> None:
        """Add every measure that modules define, or none of them where one can't be added."""
        specs = [(spec, module.__name__) for module in modules for spec in measures_of(module)]
        names: set[str] = set()
        for spec, origin in specs:
            self._check_name(spec, origin)
            if spec.name in names:
                raise RegistryError(spec.name, f"{origin} gives it twice. Call one otherwise")
            names.add(spec.name)
        for spec, origin in specs:
            self.add(spec, origin)

    def add(self, spec: Spec, origin: str) -> None:
        """Add one measure; a name that is taken or reserved is refused, naming both sides."""
        self._check_name(spec, origin)
        self._specs[spec.name] = spec
        self._from[spec.name] = origin

    def _check_name(self, spec: Spec, origin: str) -> None:
        if spec.name in self._specs:
            has = self._from[spec.name]
            says = f"{origin} gives it, but {has} has it already. Call one of them otherwise"
            raise RegistryError(spec.name, says)
        if spec.name in _WORDS:
            says = f"{origin} gives it, but the word stands for a part of the setup"
            raise RegistryError(spec.name, f"{says}. Call it otherwise")

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
        self.plans, self.kept = {}, {}
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
        says = f"asks for {asked}, which is no measure, table or part of a setup"
        raise RegistryError(spec.name, says + self._meant(asked))

    def _meant(self, asked: str) -> str:
        """What a name that is none was most likely meant to be."""
        word = next((word for word, key in ITEMS.items() if key == asked), None)
        if word is None:
            from difflib import get_close_matches

            known = [*self._specs, *self.tables, *sorted(_WORDS)]
            word = next(iter(get_close_matches(asked, known, 1, 0.7)), None)
        return f"; did you mean {word}?" if word else ""

    def _check(self, spec: Spec, items: list[str], daily: bool, used: set[str]) -> None:
        if len(items) > 1:
            raise RegistryError(spec.name, f"goes by {' and by '.join(items)}; gather one of them")
        if daily and DAY not in spec.each:
            says = 'goes by day, as what it asks for does; say each="day" or gather="day"'
            raise RegistryError(spec.name, says)
        if spec.at_once and not daily:
            raise RegistryError(
                spec.name, "takes days at once, but nothing it asks for goes by day"
            )
        for axis in spec.each:
            if (axis == DAY and not daily) or (axis != DAY and axis not in items):
                says = f'says each="{axis}", but nothing that it asks for goes by {axis}'
                raise RegistryError(spec.name, says)
        for word in spec.gather:
            if word not in used:
                says = f"gathers {word}, but nothing that it asks for goes by {word}"
                raise RegistryError(spec.name, says)


def table_called(asked: str, tables: Container[str]) -> str:
    """The table that a parameter names; empty where it names none.

    `x_table` is the table x: so a measure reaches a table that shares its name with a measure, the
    measure being what the bare name stands for.
    """
    short = asked.removesuffix("_table")
    return asked if asked in tables else short if short in tables else ""
