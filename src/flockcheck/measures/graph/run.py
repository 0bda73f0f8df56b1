"""Working measures out for one setup, each at most once, with what each of them read.

A value is a single thing, or a list with one entry for each day of the stay. `None` means "does not
apply" (a bird group that is not there on that day, a rim of a feeder that has none); what was left
out of the file is `Missing` and is carried up to whoever asked.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from datetime import date, timedelta
from typing import Any, NamedTuple

from flockcheck.measures.graph.registry import DAY, Node, Registry, table_called
from flockcheck.setup.form import general, kind_of, shape_of
from flockcheck.setup.sections import ITEMS, PARTS, Group, Whole
from flockcheck.setup.view import Missing, Section
from flockcheck.setup.written import Setup
from flockcheck.tables import Table, TableReader, TableSilent

# Nobody plans a batch further ahead; a slip in a year must not cost minutes.
MOST_DAYS = 1100

Key = tuple[str, int | None]


class Done(NamedTuple):
    """A node that was worked out.

    `value` or `missing`; `reads` the keys it read itself, `uses` the nodes below it, `sharper` the
    keys left out that would make it more exact.
    """

    value: Any
    missing: Missing | None
    reads: frozenset[str]
    uses: frozenset[Key]
    sharper: frozenset[str]


class Failure(NamedTuple):
    """A measure that raised: a mistake in the code, not in the setup."""

    measure: str
    says: str


class Run:
    """The measures of one setup. Ask with `value`; `changed` gives a run for a changed setup."""

    def __init__(self, setup: Setup, registry: Registry, tables: dict[str, Table]) -> None:
        self.setup = setup
        self.registry = registry
        self.tables = tables
        self.failures: list[Failure] = []
        self._done: dict[Key, Done] = {}
        # The keys read since the node at hand was begun. A list's own `append` hears of them, since
        # it is called thousands of times a check.
        self._heard: list[str] = []
        self.whole = Whole(setup, "", self._heard.append)
        self._days: list[date] | None = None
        self._things: dict[str, tuple[Any, ...]] = {}

    @property
    def everything(self) -> set[str]:
        """Every key that was asked for in this run, written or not."""
        return set(self._heard).union(*(done.reads for done in self._done.values()))

    def _reads_since(self, start: int) -> frozenset[str]:
        """The keys heard since a point, taken out so that the node above hears only its own."""
        found = frozenset(self._heard[start:])
        del self._heard[start:]
        return found

    def sharper(self) -> set[str]:
        """Keys left out that would make some answer more exact."""
        return {key for done in self._done.values() for key in done.sharper}

    @property
    def days(self) -> list[date]:
        """Every day of the stay, from the first `out` to the last `leaves`."""
        if self._days is None:
            start = len(self._heard)
            self._days = _stay(self.whole.birds, self.whole.look_ahead)
            reads = self._reads_since(start)
            self._done[(DAY, None)] = Done(self._days, None, reads, frozenset(), frozenset())
        return self._days

    def items(self, word: str) -> tuple[Any, ...]:
        """The things that an item word stands for. Raises Missing where the list is not written."""
        found = self._things.get(word)
        if found is None:
            found = self._things[word] = getattr(self.whole, ITEMS[word])
        else:
            self._heard.append(ITEMS[word])
        return found

    def value(self, name: str, item: int | None = None) -> Any:
        """The value of a measure: one thing, or a list by day. Raises Missing.

        `item` is the position in its list for a measure that goes by an item.
        """
        done = self.done(name, item)
        if done.missing is not None:
            raise done.missing
        return done.value

    def done(self, name: str, item: int | None = None) -> Done:
        """A node with what it read; worked out at the first call."""
        key = (name, item)
        found = self._done.get(key)
        if found is None:
            found = self._work(self.registry.nodes[name], item)
            self._done[key] = found
        return found

    def reads(self, name: str, item: int | None = None) -> frozenset[str]:
        """Every key that a node rests on, its own and those of the nodes below it."""
        found: set[str] = set()
        seen: set[Key] = set()
        waiting: list[Key] = [(name, item)]
        while waiting:
            key = waiting.pop()
            if key not in seen:
                seen.add(key)
                done = self._done[key] if key[0] == DAY else self.done(*key)
                found |= done.reads
                waiting += done.uses
        return frozenset(found)

    def changed(self, setup: Setup, paths: Iterable[str]) -> Run:
        """A run for a setup that differs at these paths, keeping all that doesn't rest on them."""
        new = Run(setup, self.registry, self.tables)
        wanted = tuple(paths)
        stale = {
            key for key, done in self._done.items() if any(_touch(done.reads, p) for p in wanted)
        }
        if (DAY, None) in stale and new.days == self.days:
            stale.discard((DAY, None))
        again = True
        while again:
            above = {k for k, done in self._done.items() if k not in stale and done.uses & stale}
            again = bool(above)
            stale |= above
        kept = {key: done for key, done in self._done.items() if key not in stale}
        new._done.update(kept)
        return new

    def _work(self, node: Node, item: int | None) -> Done:
        uses: set[Key] = set()
        if node.daily:
            _ = self.days
            uses.add((DAY, None))
        start = len(self._heard)
        sharper: set[str] = set()
        try:
            given = self._given(node, item, uses, sharper)
            value = self._call(node, item, given)
            missing = None
        except Missing as error:
            value, missing = None, error
        reads = self._reads_since(start)
        return Done(value, missing, reads, frozenset(uses), frozenset(sharper))

    def _given(
        self, node: Node, item: int | None, uses: set[Key], sharper: set[str]
    ) -> list[_Given]:
        """What each parameter receives. Raises Missing with the keys of all that lack."""
        given: list[_Given] = []
        lacking: list[Missing] = []
        for asked in node.spec.asks:
            try:
                found = self._ask(node, asked, item, uses, sharper)
            except Missing as error:
                if asked not in node.spec.defaults:
                    lacking.append(error)
                    continue
                sharper.update(error.keys)
                found = _Given(node.spec.defaults[asked], "", False)
            given.append(found)
        if lacking:
            keys = [key for error in lacking for key in error.keys]
            raise Missing(*keys, why=next((error.why for error in lacking if error.why), ""))
        return given

    def _ask(
        self, node: Node, asked: str, item: int | None, uses: set[Key], sharper: set[str]
    ) -> _Given:
        if asked in PARTS:
            return _Given(getattr(self.whole, asked), "", False)
        if asked == "setup":
            return _Given(self.whole, "", False)
        if asked == DAY:
            return _Given(self.days, "", True)
        if asked in ITEMS:
            things = self.items(asked)
            if asked in node.spec.gather:
                return _Given(list(things), asked, False)
            return _Given(things[_position(node, item)], "", False)
        if asked in self.registry.nodes:
            return self._ask_measure(node, asked, item, uses, sharper)
        return _Given(TableReader(self.tables[table_called(asked, self.tables)]), "", False)

    def _ask_measure(
        self, node: Node, asked: str, item: int | None, uses: set[Key], sharper: set[str]
    ) -> _Given:
        below = self.registry.nodes[asked]
        daily = below.daily and DAY not in node.spec.gather
        if below.item is None or below.item not in node.spec.gather:
            at = _position(node, item) if below.item else None
            done = self._below(asked, at, uses, sharper)
            if done.missing is not None:
                raise done.missing
            if done.value is None and asked in node.spec.defaults:
                return _Given(node.spec.defaults[asked], "", False)
            return _Given(done.value, "", daily and done.value is not None)
        found: list[Any] = []
        lacking: list[Missing] = []
        for at in range(len(self.items(below.item))):
            done = self._below(asked, at, uses, sharper)
            found.append(done.value)
            if done.missing is not None:
                lacking.append(done.missing)
        if lacking:
            keys = [key for error in lacking for key in error.keys]
            raise Missing(*keys, why=next((error.why for error in lacking if error.why), ""))
        return _Given(found, below.item, daily)

    def _below(self, name: str, item: int | None, uses: set[Key], sharper: set[str]) -> Done:
        done = self.done(name, item)
        uses.add((name, item))
        sharper |= done.sharper
        return done

    def _call(self, node: Node, item: int | None, given: list[_Given]) -> Any:
        try:
            if not node.daily:
                args = _Arguments(given).at(None)
                return None if args is None else node.spec.function(*args)
            return _by_day(node.spec.function, given, len(self.days))
        except TableSilent as silent:
            raise Missing(why=silent.why) from None
        except Missing as error:
            raise Missing(*self._also_missing(node, item, error), why=error.why) from None
        except Exception as error:
            says = f"{type(error).__name__}: {error}"
            self.failures.append(Failure(node.spec.name, says))
            raise Missing(why=f"the measure {node.spec.name} failed ({says})") from None

    def _also_missing(self, node: Node, item: int | None, first: Missing) -> list[str]:
        """The other keys that a measure would have met, had the first numbers been written.

        A number that is missing rarely decides which others are asked for, so one stands in for it
        and the measure goes on to the next; a missing word or flag does decide, and ends it.
        """
        keys = list(first.keys)
        setup = self.setup
        while keys and len(keys) < 12:
            shape = shape_of(general(keys[-1])) or {}
            if kind_of(shape) not in ("quantity", "integer", "number"):
                break
            setup = setup.with_value(keys[-1], 1)
            probe = Run(setup, self.registry, self.tables)
            probe._done.update(self._done)
            probe._days = self._days
            try:
                given = probe._given(node, item, set(), set())
                args = _Arguments(given).at(0 if node.daily else None)
                if args is not None:
                    node.spec.function(*args)
                break
            except Missing as error:
                keys += [key for key in error.keys if key not in keys] or [""]
                if keys[-1] == "":
                    keys.pop()
                    break
            except Exception:
                break
        return keys


class _Given(NamedTuple):
    """What a parameter receives: a value, the word it is gathered by, whether it goes by day."""

    value: Any
    word: str
    daily: bool


def _by_day(function: Callable[..., Any], given: list[_Given], days: int) -> list[Any]:
    """A measure worked out for each day, and only where something it asks for has changed."""
    arguments = _Arguments(given)
    values: list[Any] = []
    before: list[Any] | None = None
    for day in range(days):
        args = arguments.at(day)
        if args is None:
            values.append(None)
        elif args == before:
            values.append(values[-1])
        else:
            values.append(function(*args))
        before = args
    return values


class _Arguments:
    """The arguments of a measure, day by day.

    Gathered lists leave out each item that does not apply on that day; there are no arguments where
    something that is needed does not apply, or no item of a gathered word does.
    """

    def __init__(self, given: list[_Given]) -> None:
        self._fixed = [None if one.word or one.daily else one.value for one in given]
        self._daily = [
            (at, one.value) for at, one in enumerate(given) if one.daily and not one.word
        ]
        words = dict.fromkeys(one.word for one in given if one.word)
        self._gathered = [
            [(at, one.value, one.daily) for at, one in enumerate(given) if one.word == word]
            for word in words
        ]
        moving = {at for at, one in enumerate(given) if one.daily or one.word}
        # What never changes and does not apply leaves nothing to ask on any day.
        self._never = any(
            value is None and at not in moving for at, value in enumerate(self._fixed)
        )

    def at(self, day: int | None) -> list[Any] | None:
        """The arguments on a day (None: a measure that doesn't go by day)."""
        if self._never:
            return None
        args = self._fixed.copy()
        for at, value in self._daily:
            args[at] = value[day]
            if args[at] is None:
                return None
        for parts in self._gathered:
            columns = [
                [None if one is None else one[day] for one in value] if daily else value
                for _, value, daily in parts
            ]
            there = [row for row in zip(*columns, strict=True) if None not in row]
            if not there and columns[0]:
                return None
            for column, (at, _, _) in enumerate(parts):
                args[at] = [row[column] for row in there]
        return args


def _position(node: Node, item: int | None) -> int:
    if item is None:
        raise TypeError(f"{node.spec.name} goes by {node.item}; say which one")
    return item


def _touch(reads: frozenset[str], path: str) -> bool:
    """Whether a change at a path reaches something read: the key, a part of it or its list."""
    return any(
        read == path or read.startswith(f"{path}.") or path.startswith(f"{read}.") for read in reads
    )


def _stay(birds: tuple[Group, ...], look_ahead: float) -> list[date]:
    spans = [presence(group, look_ahead) for group in birds]
    first = min(span[0] for span in spans)
    last = max(span[1] for span in spans)
    length = min((last - first).days, MOST_DAYS)
    return [first + timedelta(days=at) for at in range(length + 1)]


def presence(group: Group, look_ahead: float) -> tuple[date, date]:
    """The first and last day of a group in the pen, as far as it is looked at.

    Without `leaves` it is looked at `look_ahead` days ahead. Dates out of order leave one day, on
    which the rule for them speaks.
    """
    out = group.out
    try:
        leaves = group.leaves
    except Missing:
        leaves = out + timedelta(days=int(look_ahead))
    return out, max(out, leaves)


__all__ = ["DAY", "Done", "Failure", "Run", "Section", "presence"]
