"""What a fix may try: the values that a lever can take, nearest to what is written first.

Amounts are round in the keeper's own family of units: multiples of the lever's step, the sizes that
are sold, days. Each comes with what moves along with it, so that a try is a whole change.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from datetime import date, timedelta
from typing import Any, NamedTuple

from flockcheck.checkup.changes import apply, changed_to, value_of
from flockcheck.checkup.model import Change
from flockcheck.checkup.wording import day_words
from flockcheck.rulebook.model import FixIdea, Lever
from flockcheck.setup.form import general, kind_of, shape_of
from flockcheck.setup.scalars import Unfit
from flockcheck.setup.sections import ITEMS
from flockcheck.setup.view import absent_value
from flockcheck.setup.written import Setup
from flockcheck.text.quantities import parse_quantity, show

# A number is on the grid within this share of a step.
ON_GRID = 1e-6
# A guard for levers without bounds of their own: a search never gets this far.
MOST_STEPS = 4096


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

    `in_order` tells that the steps are to be tried one by one, as more is not always better.
    """

    def __init__(self, lever: Lever, path: str, idea: FixIdea, setup: Setup) -> None:
        self.lever = lever
        self.path = path
        self.idea = idea
        self.setup = setup
        shape = shape_of(general(path)) or {}
        self.shape = shape
        self.kind = kind_of(shape)
        self.old = _start(setup, path, shape, lever)
        self.in_order = self.kind == "date" or "sizes" in lever.data or "in_order" in lever.data
        self._values: Sequence[Any] = ()
        self._grid: _Grid | None = None
        if idea.way in ("set", "add"):
            self.steps = int(self._may_set())
        elif self.old is None and not (lever.data.get("with") and "sizes" in lever.data):
            self.steps = 0
        elif "sizes" in lever.data:
            self._values = _sizes(self)
            self.steps = len(self._values)
        elif "step" in lever.data:
            self._grid = _grid(self)
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
            return Move((change, *self._with(change)), _words(change), once + each, ())
        if self._grid is not None:
            amount, count = self._grid.at(step), self._grid.moved(step)
            change = changed_to(self.setup, self.path, self._text(amount))
            shown = day_words(change.new) if isinstance(change.new, date) else change.text
            more, unproved = self._along(change)
            return Move((change, *more), shown, once + each * count, unproved)
        size = self._values[step - 1]
        change = changed_to(self.setup, self.path, size.text)
        changes = [change, *self._with(change)]
        if size.weave:
            beside = f"{self.path.rpartition('.')[0]}.weave"
            written = self.setup.values.get(beside)
            if written is None or written.value != size.weave:
                changes.append(changed_to(self.setup, beside, size.weave))
        return Move(tuple(changes), size.name or change.text, once + each * step, ())

    def _text(self, amount: Any) -> str:
        """An amount as it would be written, so that reading it gives that very amount."""
        if isinstance(amount, date):
            return amount.isoformat()
        if self.kind != "quantity":
            return f"{amount:.10g}"
        return quantity_text(amount, self.shape["dimension"], self.family)

    def _with(self, change: Change) -> list[Change]:
        """What is written with a lever where it is not written yet: a new mesh has an opening."""
        found = []
        for path, texts in self.lever.data.get("with", {}).items():
            if path not in self.setup.values and path != change.path:
                text = texts if isinstance(texts, str) else texts[self.family]
                found.append(changed_to(self.setup, path, text))
        return found

    def _along(self, change: Change) -> tuple[list[Change], tuple[str, ...]]:
        """What moves along, and what should and is not written."""
        moved: list[Change] = []
        unproved: list[str] = []
        for path, how in self.lever.data.get("along", {}).items():
            written = self.setup.values.get(path)
            if written is None or (how == "in proportion" and not self.old):
                unproved.append(path)
                continue
            shape = shape_of(general(path)) or {}
            share = how == "in proportion"
            new = (
                written.value * change.new / self.old
                if share
                else written.value + change.new - self.old
            )
            dimension = shape["dimension"]
            family = written.family or self.setup.family(dimension)
            text = show(new, dimension, family) if share else quantity_text(new, dimension, family)
            moved.append(changed_to(self.setup, path, text))
        return moved, tuple(unproved)


def _start(setup: Setup, path: str, shape: dict[str, Any], lever: Lever) -> Any:
    """What a lever moves from: what is written, or what leaving it out stands for; else None."""
    written = setup.values.get(path)
    if written is not None:
        return written.value
    return absent_value(shape) if "absent" in shape and "step" in lever.data else None


def _words(change: Change) -> str:
    if isinstance(change.new, bool):
        return ""
    return change.text.strip("[]") if isinstance(change.new, tuple) else change.text


class _Grid(NamedTuple):
    """Round amounts one way from a number or date: `first` is the nearest, then by `step`."""

    old: Any
    first: Any
    step: Any
    steps: int

    def at(self, step: int) -> Any:
        """The amount that a step comes to."""
        if isinstance(self.first, date):
            return self.first + timedelta(days=self.step * (step - 1))
        # Counted in whole steps, so that a long way brings no dust of its own.
        return (round(self.first / abs(self.step)) + math.copysign(step - 1, self.step)) * abs(
            self.step
        )

    def moved(self, step: int) -> float:
        """How many steps, a part of one counted whole, that is from what is written."""
        if isinstance(self.first, date):
            return float(abs((self.at(step) - self.old).days / self.step))
        return float(math.ceil(abs(self.at(step) - self.old) / abs(self.step) - ON_GRID))


def _grid(lane: Lane) -> _Grid:
    data, way = lane.lever.data, lane.idea.way
    sign = -1 if way in ("less", "earlier") else 1
    if lane.kind == "date":
        days = int(_number(data["step"], "time"))
        most = _number(data["at_most_change"], "time") if "at_most_change" in data else 0.0
        first = lane.old + timedelta(days=sign * days)
        return _Grid(lane.old, first, sign * days, int(most // days))
    dimension = lane.shape.get("dimension", "number")
    text = data["step"]
    size = _number(text if isinstance(text, str) else text[lane.family], dimension)
    old = float(lane.old)
    least, most = _bounds(lane, dimension)
    place = old / size
    near = math.floor(place + ON_GRID) + 1 if sign > 0 else math.ceil(place - ON_GRID) - 1
    end = most / size + ON_GRID if sign > 0 else least / size - ON_GRID
    steps = math.floor(end) - near + 1 if sign > 0 else near - math.ceil(end) + 1
    return _Grid(old, near * size, sign * size, max(0, min(steps, MOST_STEPS)))


def _bounds(lane: Lane, dimension: str) -> tuple[float, float]:
    """The least and the most that a number may become: the lever's bounds and the format's."""
    data, shape, old = lane.lever.data, lane.shape, float(lane.old)
    least, most = [-MOST_STEPS * 1e6], [MOST_STEPS * 1e6]
    if "floor" in data:
        least.append(_number(data["floor"], dimension))
    if "ceiling" in data:
        most.append(_number(data["ceiling"], dimension))
    for key, bounds in (("least", least), ("most", most)):
        if key in shape:
            bounds.append(parse_quantity(shape[key], dimension).value)
    least += [shape["minimum"]] if "minimum" in shape else []
    most += [shape["maximum"]] if "maximum" in shape else []
    change = data.get("at_most_change")
    if change is not None:
        share = change.endswith("%")
        far = _number(change, "share") * abs(old) if share else _number(change, dimension)
        least.append(old - far)
        most.append(old + far)
    return max(least), min(most)


def _number(text: str, dimension: str) -> float:
    """A number of the levers file in base units."""
    return float(text) if dimension == "number" else parse_quantity(text, dimension).value


class _Size(NamedTuple):
    value: float
    text: str
    name: str
    weave: str


def _sizes(lane: Lane) -> list[_Size]:
    """The sizes that can be had one way from what is written, the nearest first."""
    listed = lane.lever.data["sizes"]
    if isinstance(listed, dict):
        listed = listed[lane.family]
    found = []
    for one in listed:
        text = one if isinstance(one, str) else one["clear"]
        value, _ = value_of(text, lane.path, lane.shape)
        name, weave = ("", "") if isinstance(one, str) else (one["name"], one.get("weave", ""))
        found.append(_Size(value, text, name, weave))
    less = lane.idea.way == "less"
    if lane.old is not None:
        slack = ON_GRID * abs(lane.old)
        found = [
            one
            for one in found
            if (one.value < lane.old - slack if less else one.value > lane.old + slack)
        ]
    return sorted(found, key=lambda one: -one.value if less else one.value)


def quantity_text(value: float, dimension: str, family: str) -> str:
    """A quantity as a keeper would write it, with as many digits as it takes to be that one."""
    for digits in range(3, 9):
        text = show(value, dimension, family, digits)
        if math.isclose(parse_quantity(text, dimension).value, value, rel_tol=1e-9):
            break
    return text


def lanes(idea: FixIdea, lever: Lever, each: str, item: int | None, setup: Setup) -> list[Lane]:
    """A lever at each place where it can be moved for a rule's item.

    A lever of the rule's own item is moved there; one of another item at each in turn.
    """
    first, _, rest = lever.path.partition(".")
    if first not in ITEMS:
        return [Lane(lever, lever.path, idea, setup)]
    of = ITEMS[first]
    at = [item] if first == each and item is not None else range(setup.lists.get(of, 0))
    return [Lane(lever, f"{of}.{one}.{rest}", idea, setup) for one in at]


__all__ = ["Lane", "Move", "apply", "lanes", "quantity_text"]
