"""What each parameter of a measure receives in a run: other measures, tables, parts of a setup."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from flockcheck.measures.graph.arguments import Given
from flockcheck.measures.graph.registry import DAY, Node, table_called
from flockcheck.setup.sections import ITEMS, PARTS
from flockcheck.setup.view import Missing

if TYPE_CHECKING:
    from flockcheck.measures.graph.run import Done, Key, Run


def given_to(
    node: Node, item: int | None, run: Run, uses: set[Key], sharper: set[str]
) -> list[Given]:
    """What each parameter receives. Raises Missing with the keys of all that lack.

    The nodes below are added to `uses`, and to `sharper` the keys left out that would make the
    answer more exact.
    """
    inputs = _Inputs(node, item, run, uses, sharper)
    given: list[Given] = []
    lacking: list[Missing] = []
    for asked in node.spec.asks:
        try:
            found = inputs.ask(asked)
        except Missing as error:
            if asked not in node.spec.defaults:
                lacking.append(error)
                continue
            sharper.update(error.keys)
            found = inputs.default(asked)
        given.append(found)
    if lacking:
        raise _together(lacking)
    return given


class _Inputs:
    """The parameters of one node, asked one after the other."""

    __slots__ = ("item", "node", "run", "sharper", "uses")

    def __init__(
        self, node: Node, item: int | None, run: Run, uses: set[Key], sharper: set[str]
    ) -> None:
        self.node = node
        self.item = item
        self.run = run
        self.uses = uses
        self.sharper = sharper

    def ask(self, asked: str) -> Given:
        """What a parameter receives. Raises Missing."""
        run, gather = self.run, self.node.spec.gather
        if asked in run.registry.nodes:
            return self._ask_measure(asked)
        if asked in PARTS:
            return Given(getattr(run.whole, asked), "", False)
        if asked == "setup":
            return Given(run.whole, "", False)
        if asked == DAY:
            self.uses.add((DAY, None))
            return Given(run.days, "", DAY not in gather)
        if asked in ITEMS:
            things = run.items(asked)
            if asked in gather:
                return Given(list(things), asked, False)
            return Given(things[self._position()], "", False)
        return Given(run.reader(table_called(asked, run.tables)), "", False)

    def default(self, asked: str) -> Given:
        """What a parameter receives by default: for each day, where it goes by day."""
        node = self.node
        value, below = node.spec.defaults[asked], self.run.registry.nodes.get(asked)
        if node.daily and below is not None and below.daily:
            return Given([value] * len(self.run.days), "", True)
        return Given(value, "", False)

    def _ask_measure(self, asked: str) -> Given:
        below, spec = self.run.registry.nodes[asked], self.node.spec
        daily = below.daily and DAY not in spec.gather
        if below.item is None or below.item not in spec.gather:
            done = self._below(asked, self._position() if below.item else None)
            if done.missing is not None:
                raise copy_of(done.missing)
            if done.value is None and asked in spec.defaults:
                return self.default(asked)
            return Given(done.value, "", daily and done.value is not None)
        found: list[Any] = []
        lacking: list[Missing] = []
        for at in range(len(self.run.items(below.item))):
            done = self._below(asked, at)
            found.append(done.value)
            if done.missing is not None:
                lacking.append(done.missing)
        if lacking:
            raise _together(lacking)
        return Given(found, below.item, daily)

    def _below(self, name: str, item: int | None) -> Done:
        done = self.run.done(name, item)
        self.uses.add((name, item))
        self.sharper |= done.sharper
        return done

    def _position(self) -> int:
        if self.item is None:
            raise TypeError(f"{self.node.spec.name} goes by {self.node.item}; say which one")
        return self.item


def copy_of(missing: Missing) -> Missing:
    """A copy to be raised, or kept after it was."""
    return Missing(*missing.keys, why=missing.why)


def _together(lacking: list[Missing]) -> Missing:
    keys = [key for error in lacking for key in error.keys]
    return Missing(*keys, why=next((error.why for error in lacking if error.why), ""))
