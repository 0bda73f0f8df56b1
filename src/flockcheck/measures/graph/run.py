"""Working measures out for one setup, each at most once, with what each of them read.

A value is a single thing, or a list with one entry for each day of the stay. `None` means "does not
apply" (a bird group that is not there on that day, a rim of a feeder that has none); what was left
out of the file is `Missing` and is carried up to whoever asked.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from datetime import date
from typing import Any

from flockcheck.measures.graph.arguments import Gaps, arguments, day_by_day, gaps_of
from flockcheck.measures.graph.inputs import NOTHING, Inputs, Plan, copy_of, given_to
from flockcheck.measures.graph.lacking import also_missing
from flockcheck.measures.graph.registry import DAY, Registry
from flockcheck.measures.graph.stay import stay
from flockcheck.measures.graph.values import endless, unlike, whole
from flockcheck.setup.sections import ITEMS, Whole
from flockcheck.setup.view import Missing, Section
from flockcheck.setup.written import Setup
from flockcheck.tablereader import TableReader
from flockcheck.tables import Table, TableSilent
from flockcheck.text.records import NamedTuple

Key = tuple[str, int | None]


class Done(NamedTuple):
    """A node that was worked out.

    `value` or `missing`; `reads` the keys it read itself, `uses` the nodes below it, `sharper` the
    keys left out that would make it more exact, `tried` the keys read in search of others that are
    missing, `gaps` the days on which a series has nothing. `missing` is to be raised by a copy
    (`copy_of`): an error that was raised keeps alive whatever it passed.
    """

    value: Any
    missing: Missing | None
    reads: frozenset[str]
    uses: frozenset[Key]
    sharper: frozenset[str]
    tried: frozenset[str] = frozenset()
    gaps: Gaps | None = None


class Failure(NamedTuple):
    """A measure that raised: a mistake in the code, not in the setup."""

    measure: str
    says: str


class Run:
    """The measures of one setup. Ask with `value`; `changed` gives a run for a changed setup.

    Without `tracks` it takes no note of what each of them read, which is quicker: then there is no
    run for a changed setup, and neither `reads` nor `since`.
    """

    def __init__(
        self, setup: Setup, registry: Registry, tables: dict[str, Table], *, tracks: bool = True
    ) -> None:
        self.setup = setup
        self.tracks = tracks
        self.registry = registry
        self.tables = tables
        self._readers: dict[str, TableReader] = {}
        # Tables and parts of the setup, by what measures call them.
        self.parts: dict[str, Any] = {}
        self.failures: list[Failure] = []
        # The nodes that were worked out.
        self.known: dict[Key, Done] = {}
        # The keys read since the node at hand was begun. A list's own `append` hears of them, since
        # it is called thousands of times a check.
        self._heard: list[str] = []
        self.hear: Callable[[str], None] = self._heard.append
        # The measures that were asked for from outside, in that order.
        self._asked: list[Key] = []
        self.whole = Whole(setup, "", self.hear, once=not tracks)
        self._days: list[date] | None = None
        self._things: dict[str, tuple[Any, ...]] = {}

    @property
    def everything(self) -> set[str]:
        """Every key that was asked for in this run, written or not."""
        return set(self._heard).union(*(done.reads for done in self.known.values()))

    def _reads_since(self, start: int) -> frozenset[str]:
        """The keys heard since a point, taken out so that the node above hears only its own."""
        if len(self._heard) == start:
            return NOTHING
        found = frozenset(self._heard[start:])
        del self._heard[start:]
        return found

    def sharper(self) -> set[str]:
        """Keys left out that would make some answer more exact."""
        return {key for done in self.known.values() for key in done.sharper}

    @property
    def days(self) -> list[date]:
        """Every day of the stay, from the first `out` to the last `leaves`."""
        if self._days is None:
            start = len(self._heard)
            self._days = stay(self.whole)
            reads = self._reads_since(start) if self.tracks else NOTHING
            self.known[(DAY, None)] = Done(self._days, None, reads, frozenset(), frozenset())
        return self._days

    def items(self, word: str) -> tuple[Any, ...]:
        """The things that an item word stands for. Raises Missing where the list is not written."""
        found = self._things.get(word)
        if found is None:
            found = self._things[word] = getattr(self.whole, ITEMS[word])
        elif self.tracks:
            self._heard.append(ITEMS[word])
        return found

    def reader(self, table: str) -> TableReader:
        """A table, as this run reads it."""
        found = self._readers.get(table)
        if found is None:
            found = self._readers[table] = TableReader(self.tables[table], self._heard)
        return found

    def value(self, name: str, item: int | None = None) -> Any:
        """The value of a measure: one thing, or a list by day. Raises Missing.

        `item` is the position in its list for a measure that goes by an item.
        """
        done = self.answer((name, item))
        if done.missing is not None:
            raise copy_of(done.missing)
        return done.value

    def answer(self, key: Key) -> Done:
        """A measure's value with what it read, or the Missing that tells why it has none."""
        if self.tracks:
            self._asked.append(key)
        return self.known.get(key) or self.done(*key)

    def mark(self) -> tuple[int, int]:
        """A point in the run, for `since`."""
        return len(self._heard), len(self._asked)

    def since(self, mark: tuple[int, int]) -> tuple[frozenset[str], tuple[Key, ...]]:
        """What was asked for since a point: keys but for those of measures, and measures.

        Nothing where the run takes no note of it.
        """
        if not self.tracks:
            return NOTHING, ()
        return frozenset(self._heard[mark[0] :]), tuple(dict.fromkeys(self._asked[mark[1] :]))

    def done(self, name: str, item: int | None = None) -> Done:
        """A node with what it read; worked out at the first call."""
        key = (name, item)
        found = self.known.get(key)
        if found is None:
            found = self.known[key] = self._work(name, item)
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
                done = self.known[key] if key[0] == DAY else self.done(*key)
                found |= done.reads
                waiting += done.uses
        return frozenset(found)

    def changed(self, setup: Setup, paths: Iterable[str]) -> Run:
        """A run for a setup that differs at these paths, keeping all that doesn't rest on them.

        Raises ValueError where the run takes no note of what was read.
        """
        if not self.tracks:
            raise ValueError("this run took no note of what its measures read")
        new = Run(setup, self.registry, self.tables)
        exact, below = _reach(paths, self.setup, setup)
        stale = {
            key
            for key, done in self.known.items()
            if any(
                not exact.isdisjoint(reads) or any(read.startswith(below) for read in reads)
                for reads in (done.reads, done.tried)
            )
        }
        if (DAY, None) not in stale:
            new._days = self._days
        elif new.days == self.days:
            stale.discard((DAY, None))
        again = True
        while again:
            above = {k for k, done in self.known.items() if k not in stale and done.uses & stale}
            again = bool(above)
            stale |= above
        for key, done in self.known.items():
            if key not in stale:
                # The days are there already where they had to be counted again.
                new.known.setdefault(key, done)
        names = {name for name, _ in new.known}
        new.failures += [failure for failure in self.failures if failure.measure in names]
        return new

    def probe(self, setup: Setup) -> Run:
        """A run for a setup in which something stands in for a key, with all that is known here."""
        new = Run(setup, self.registry, self.tables)
        new.known = self.known.copy()
        new._days = self._days
        return new

    def _plan(self, name: str) -> Plan:
        plan = self.registry.plans[name] = Plan(self.registry.nodes[name], self.registry)
        return plan

    def _work(self, name: str, item: int | None) -> Done:
        plan = self.registry.plans.get(name) or self._plan(name)
        if plan.daily:
            _ = self.days
        start = len(self._heard)
        given = given_to(plan, item, self)
        value, gaps, missing, tried = None, None, given.missing, NOTHING
        if missing is None:
            try:
                value, gaps = self._call(plan, given)
            except TableSilent as silent:
                missing = Missing(why=silent.why)
            except Missing as error:
                keys, tried = also_missing(self, plan, item, error)
                missing = Missing(*keys, why=error.why)
            except (Exception, SystemExit) as error:  # a plugin's measure may raise anything
                says = " ".join(f"{type(error).__name__}: {error}".split())[:300]
                failure = Failure(name, says)
                if failure not in self.failures:
                    self.failures.append(failure)
                missing = Missing(why=f"the measure {name} failed ({says})")
        reads = self._reads_since(start) if self.tracks else NOTHING
        return Done(value, missing, reads, given.uses, given.sharper, tried, gaps)

    def _call(self, plan: Plan, given: Inputs) -> tuple[Any, Gaps | None]:
        """What a measure gives, and where it has gaps.

        Raises whatever the measure raises, TypeError where what it gives is no answer.
        """
        spec, value = plan.node.spec, None
        if plan.daily:
            values, shapes, gaps, days = given.values, given.shapes, given.gaps, len(self.days)
            value = day_by_day(spec.function, values, shapes, gaps, days, spec.at_once)
            if plan.ours and whole(value):
                return value, None
        else:
            args = arguments(given.values, given.shapes, gathers=plan.gathers)
            if args is not None:
                value = spec.function(*args)
        look = endless if plan.ours else unlike
        wrong = look(value, spec.gives, daily=plan.daily)
        if wrong:
            raise TypeError(wrong)
        return value, gaps_of(value) if plan.daily and value is not None else None


def _reach(paths: Iterable[str], old: Setup, new: Setup) -> tuple[set[str], tuple[str, ...]]:
    """The keys that a change at some paths touches, and what those begin with that lie below them.

    What holds a changed key is touched too, but not a list of entries of which there are as many as
    before: who reads it alone, reads how many there are.
    """
    exact: set[str] = set()
    below: list[str] = []
    for path in paths:
        exact.add(path)
        if path not in old.values and path not in new.values:
            below.append(f"{path}.")
        parts = path.split(".")
        above = (".".join(parts[:at]) for at in range(1, len(parts)))
        exact.update(
            one for one in above if one not in old.lists or old.lists[one] != new.lists.get(one)
        )
    return exact, tuple(below)


__all__ = ["DAY", "Done", "Failure", "Run", "Section"]
