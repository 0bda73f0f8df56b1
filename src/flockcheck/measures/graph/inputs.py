"""What each parameter of a measure receives in a run: other measures, tables, parts of a setup."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from flockcheck.measures.graph.arguments import Gaps, Shape
from flockcheck.measures.graph.registry import DAY, Node, Registry, table_called
from flockcheck.setup.sections import ITEMS, PARTS
from flockcheck.setup.view import Missing
from flockcheck.text.records import NamedTuple

if TYPE_CHECKING:
    from flockcheck.measures.graph.run import Key, Run

# Stands for a default where a parameter has none.
NONE = object()
NOTHING: frozenset[Any] = frozenset()
# The modules of measures that come with the program.
OURS = "flockcheck.measures."
# Setups differ in how many items they have, but not in so many ways that all need be kept.
MOST_COUNTS = 200


class Step(NamedTuple):
    """One parameter of a measure: what is asked for, and what stands in for it.

    A measure is named, with `own` where it goes by the item that is asked about; what is gathered
    has a `word`. Anything else is got from the run by its name, `asked`; `fixed` is the same where
    it is a table or a part of the setup, which are one for the whole run. `default` is NONE without
    one.
    """

    measure: str
    own: bool
    word: str
    daily: bool
    default: Any
    fixed: str = ""
    asked: str = ""


_SHAPES = {(word, daily): Shape(word, daily) for word in ("", *ITEMS) for daily in (False, True)}


class Plan:
    """How a measure gets what it asks for, worked out once for all runs."""

    __slots__ = ("_gathers", "_uses", "daily", "gathers", "node", "ours", "shapes", "steps")

    def __init__(self, node: Node, registry: Registry) -> None:
        self.node = node
        self.daily = node.daily
        # Whether it comes with the program, so that tests hold it to what it says it gives.
        self.ours = registry.origin(node.spec.name).startswith(OURS)
        self.steps = tuple([_step(asked, node, registry) for asked in node.spec.asks])
        self.shapes = tuple([_SHAPES[step.word, step.daily] for step in self.steps])
        gathered = [step.measure for step in self.steps if step.word]
        self.gathers = bool(gathered)
        self._gathers = tuple(filter(None, gathered))
        self._uses: dict[tuple[int | None, tuple[int, ...]], frozenset[Key]] = {}

    def uses(self, item: int | None, counts: tuple[int, ...]) -> frozenset[Key]:
        """The nodes below, with so many items of each measure that is gathered."""
        found = self._uses.get((item, counts))
        if found is None:
            below: set[Key] = {
                (step.measure, item if step.own else None)
                for step in self.steps
                if step.measure and not step.word
            }
            for name, count in zip(self._gathers, counts, strict=True):
                below.update((name, at) for at in range(count))
            if self.daily or DAY in self.node.spec.asks:
                below.add((DAY, None))
            if len(self._uses) >= MOST_COUNTS:
                self._uses.clear()
            found = self._uses[(item, counts)] = frozenset(below)
        return found


def _step(asked: str, node: Node, registry: Registry) -> Step:
    spec = node.spec
    default = spec.defaults.get(asked, NONE)
    if asked in registry.nodes:
        below = registry.nodes[asked]
        word = below.item if below.item in spec.gather else None
        daily = below.daily and DAY not in spec.gather
        return Step(asked, below.item is not None, word or "", daily, default)
    word = asked if asked in ITEMS and asked in spec.gather else ""
    daily = asked == DAY and DAY not in spec.gather
    fixed = "" if asked in ITEMS or asked == DAY else asked
    return Step("", False, word, daily, default, fixed, asked)


def _got(asked: str, word: str, node: Node, run: Run, item: int | None) -> Any:
    """What a parameter receives that is no measure. Raises Missing."""
    if asked in ITEMS:
        things = run.items(asked)
        return list(things) if word else things[_position(item, node)]
    if asked == DAY:
        return run.days
    if asked in PARTS:
        return getattr(run.whole, asked)
    return run.whole if asked == "setup" else run.reader(table_called(asked, run.tables))


def _position(item: int | None, node: Node) -> int:
    if item is None:
        raise TypeError(f"{node.spec.name} goes by {node.item}; say which one")
    return item


class Inputs(NamedTuple):
    """What the parameters of a measure receive, their shapes and gaps; see `arguments`.

    `missing` says what all of them lack, where something does. `uses` are the nodes below, and
    `sharper` the keys left out that would make the answer more exact.
    """

    values: list[Any]
    shapes: Sequence[Shape]
    gaps: Sequence[Gaps]
    missing: Missing | None
    uses: frozenset[Key]
    sharper: frozenset[str]


def given_to(plan: Plan, item: int | None, run: Run) -> Inputs:
    """What each parameter of a measure receives."""
    values: list[Any] = []
    shapes: Sequence[Shape] = plan.shapes
    gaps: list[Gaps] = []
    lacking: list[Missing] = []
    counts: tuple[int, ...] = ()
    sharper: frozenset[str] = NOTHING
    known, parts = run.known, run.parts
    for measure, own, word, daily, default, fixed, asked in plan.steps:
        if measure and not word:
            key = (measure, item if own else None)
            done = known.get(key) or run.done(*key)
            if done.sharper:
                sharper |= done.sharper
            value = done.value
            if value is not None:
                if daily and done.gaps is not None and done.gaps not in gaps:
                    gaps.append(done.gaps)
                values.append(value)
                continue
            missing = done.missing
        elif measure:
            value, missing = [], None
            try:
                count = len(run.items(word))
            except Missing as error:
                count, missing = 0, copy_of(error)
            counts += (count,)
            for at in range(count):
                done = known.get((measure, at)) or run.done(measure, at)
                if done.sharper:
                    sharper |= done.sharper
                value.append(done.value)
                if daily and done.gaps is not None and done.gaps not in gaps:
                    gaps.append(done.gaps)
                if done.missing is not None:
                    missing = together([missing, done.missing]) if missing else done.missing
        elif fixed in parts:
            values.append(parts[fixed])
            continue
        else:
            try:
                value, missing = _got(asked, word, plan.node, run, item), None
            except Missing as error:
                value, missing = None, copy_of(error)
            if fixed:
                parts[fixed] = value
        if missing is not None:
            if default is NONE:
                lacking.append(missing)
                continue
            sharper = sharper.union(missing.keys)
        if default is not NONE and (missing is not None or (value is None and measure)):
            by_day = daily and bool(measure)
            value = [default] * len(run.days) if by_day else default
            if word:
                # What stands in for a gathered list is passed as it is.
                shapes = [*shapes[: len(values)], Shape("", by_day), *shapes[len(values) + 1 :]]
        values.append(value)
    return Inputs(
        values,
        shapes,
        gaps,
        together(lacking) if lacking else None,
        plan.uses(item, counts) if run.tracks else NOTHING,
        sharper,
    )


def copy_of(missing: Missing) -> Missing:
    """A copy to be raised, or kept after it was."""
    return Missing(*missing.keys, why=missing.why)


def together(lacking: Sequence[Missing]) -> Missing:
    """One Missing with what several lack."""
    keys = [key for error in lacking for key in error.keys]
    return Missing(*keys, why=next((error.why for error in lacking if error.why), ""))
