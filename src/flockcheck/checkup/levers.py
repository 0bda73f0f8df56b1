"""What a fix may try: the values that a lever can take, nearest to what is written first.

Amounts are round in the keeper's own family of units: multiples of the lever's step, the sizes that
are sold, days. Each comes with what moves along with it, so that a try is a whole change.
"""

from __future__ import annotations

from datetime import date
from typing import Any

from flockcheck.checkup.changes import changed_to, value_of
from flockcheck.checkup.grids import Grid, Size, Spot, grid_of, quantity_text, sizes_of
from flockcheck.checkup.model import Change
from flockcheck.checkup.wording import day_words
from flockcheck.rulebook.model import FixIdea, Lever
from flockcheck.setup.form import general, kind_of, shape_of
from flockcheck.setup.scalars import Unfit
from flockcheck.setup.sections import ITEMS
from flockcheck.setup.view import absent_value
from flockcheck.setup.written import Setup
from flockcheck.text.quantities import show
from flockcheck.text.records import NamedTuple


class Move(NamedTuple):
    """One value that a lever may take.

    `shown` is the new value in words, `effort` what the change costs, and `unproved` the keys that
    should move along and are not written.
    """

    changes: tuple[Change, ...]
    shown: str
    effort: float
    unproved: tuple[str, ...]


class Lane:
    """A lever at one place of a setup, moved one way: `at(1)` is the nearest value, `steps` many.

    `in_order` tells that the steps are to be tried one by one, as more is not always better;
    `base` is the keeper's own setup, where `setup` has changes of a plan already.
    """

    def __init__(
        self, lever: Lever, path: str, idea: FixIdea, setup: Setup, base: Setup | None = None
    ) -> None:
        self.lever = lever
        self.path = path
        self.idea = idea
        self.setup = setup
        shape = shape_of(general(path)) or {}
        self.shape = shape
        self.kind = kind_of(shape)
        self.old = _start(setup, path, shape, lever)
        # Efforts count from what the keeper has, also where a plan has moved the lever already.
        self.origin = self.old if base is None else _start(base, path, shape, lever)
        self.in_order = self.kind == "date" or "sizes" in lever.data or "in_order" in lever.data
        self._sizes: list[Size] = []
        self._grid: Grid | None = None
        way, old = idea.way, self.old
        spot = Spot(lever.data, way, path, self.kind, shape, old, self.origin, self.family)
        if idea.way in ("set", "add"):
            self.steps = int(self._may_set())
        elif self.old is None and not (lever.data.get("with") and "sizes" in lever.data):
            self.steps = 0
        elif "sizes" in lever.data:
            self._sizes = sizes_of(spot)
            self.steps = len(self._sizes)
        elif "step" in lever.data:
            self._grid = grid_of(spot)
            self.steps = self._grid.steps
        else:
            self.steps = 0

    @property
    def family(self) -> str:
        """The family of units in which the keeper writes this key, or would."""
        written = self.setup.values.get(self.path)
        if written is not None and written.family:
            return written.family
        return self.setup.family(self.shape.get("dimension", "length"))

    def _may_set(self) -> bool:
        """Whether there is anything to set or add."""
        if self.idea.way == "set":
            value, _ = value_of(self.idea.to, self.path, self.shape)
            written = self.setup.values.get(self.path)
            return written is None or written.value != value
        word = self.lever.data.get("one_of_each")
        there = range(self.setup.lists.get(self.path, 0))
        kinds = [self.setup.values.get(f"{self.path}.{at}.{word}") for at in there]
        return self.idea.to.get(word) not in [one.value for one in kinds if one is not None]

    def at(self, step: int) -> Move | None:
        """The change that a step makes; None where the setup format does not take it."""
        try:
            return self._at(step)
        except Unfit:
            return None

    def _at(self, step: int) -> Move:
        data = self.lever.data
        once, each = float(data["effort"]["once"]), float(data["effort"].get("each", 0))
        if self.idea.way == "add":
            added = changed_to(self.setup, self.path, self.idea.to)
            return Move((added,), "", once, ())
        if self.idea.way == "set":
            change = changed_to(self.setup, self.path, self.idea.to)
            return Move((change, *self._with(change)), self._called(change), once + each, ())
        if self._grid is not None:
            amount = self._grid.at(step)
            count = self._grid.steps_from(self.origin, amount)
            change = changed_to(self.setup, self.path, self._text(amount))
            shown = day_words(change.new) if isinstance(change.new, date) else change.text
            more, unproved = self._along(change)
            return Move((change, *more), shown, once + each * count, unproved)
        size = self._sizes[step - 1]
        change = changed_to(self.setup, self.path, size.text)
        changes = [change, *self._with(change)]
        if size.weave:
            beside = f"{self.path.rpartition('.')[0]}.weave"
            written = self.setup.values.get(beside)
            if written is None or written.value != size.weave:
                changes.append(changed_to(self.setup, beside, size.weave))
        return Move(tuple(changes), size.name or change.text, once + each * step, ())

    def _called(self, change: Change) -> str:
        """What is set, as it is read aloud."""
        text = change.text.strip("[]") if isinstance(change.new, tuple) else change.text
        called = self.lever.data.get("called", {})
        return "" if isinstance(change.new, bool) else str(called.get(text, text))

    def _text(self, amount: Any) -> str:
        """An amount as it would be written, so that reading it gives that very amount."""
        if isinstance(amount, date):
            return amount.isoformat()
        if self.kind != "quantity":
            return f"{amount:.10g}"
        return quantity_text(amount, self.shape["dimension"], self.family)

    def _with(self, change: Change) -> list[Change]:
        """What is written with a lever: a new mesh has an opening."""
        found = []
        for path, texts in self.lever.data.get("with", {}).items():
            written = self.setup.values.get(path)
            if path == change.path or (written and "anew" not in self.lever.data):
                continue
            text = texts if isinstance(texts, str) else texts[self.family]
            one = changed_to(self.setup, path, text)
            if written is None or one.new != written.value:
                found.append(one)
        return found

    def _along(self, change: Change) -> tuple[list[Change], tuple[str, ...]]:
        """What moves along, and what should and is not written."""
        moved: dict[str, Change] = {}
        unproved: list[str] = []
        along = self.lever.data.get("along", {})
        for path, how in sorted(along.items(), key=lambda one: one[1].startswith("with ")):
            written = self.setup.values.get(path)
            leader = moved.get(how.removeprefix("with ")) if how.startswith("with ") else change
            if written is None or leader is None or (how == "in proportion" and not self.old):
                unproved.append(path)
                continue
            dimension = (shape_of(general(path)) or {})["dimension"]
            family = written.family or self.setup.family(dimension)
            if how == "in proportion":
                text = show(written.value * change.new / self.old, dimension, family)
            else:
                old = self.old if leader is change else leader.old
                text = quantity_text(written.value + leader.new - old, dimension, family)
            moved[path] = changed_to(self.setup, path, text)
        return list(moved.values()), tuple(unproved)


def _start(setup: Setup, path: str, shape: dict[str, Any], lever: Lever) -> Any:
    """What a lever moves from: what is written, or what leaving it out stands for; else None."""
    written = setup.values.get(path)
    if written is not None:
        return written.value
    return absent_value(shape) if "absent" in shape and "step" in lever.data else None


def lanes(
    idea: FixIdea,
    lever: Lever,
    each: str,
    item: int | None,
    setup: Setup,
    base: Setup | None = None,
) -> list[Lane]:
    """A lever at each place where it can be moved for a rule's item.

    A lever of the rule's own item is moved there; one of another item at each in turn, and so is
    the same key in the entries of a list (a rhythm of moves that changes).
    """
    first, _, rest = lever.path.partition(".")
    paths = [lever.path]
    if first in ITEMS:
        of = ITEMS[first]
        at = [item] if first == each and item is not None else range(setup.lists.get(of, 0))
        paths = [f"{of}.{one}.{rest}" for one in at]
    if "also" in lever.data:
        of, _, rest = lever.data["also"].partition(".*.")
        paths += [f"{of}.{one}.{rest}" for one in range(setup.lists.get(of, 0))]
    return [Lane(lever, path, idea, setup, base) for path in paths]
