"""A setup for a keeper to fill in, made from `template.yaml` and the schema's own descriptions.

It can be checked as it stands. What nobody but the keeper can know is left blank, behind a `#`;
what has a usual or a cautious value is written and marked as a guess.
"""

from __future__ import annotations

import os
import textwrap
from collections.abc import Mapping
from datetime import date, timedelta
from functools import cache
from typing import Any

from flockcheck.setup.form import general, kind_of, resolve, shape_of
from flockcheck.text.document import plain, read_nodes
from flockcheck.text.records import NamedTuple

BIRDS = ("meat", "hens", "turkeys")
UNITS = ("metric", "us")
KINDS = {"meat": "meat chicken", "hens": "egg chicken", "turkeys": "turkey"}
_NAMES = {"meat": "Meat chickens", "hens": "Hens", "turkeys": "Turkeys"}
# How many birds of each kind fit the pen that is guessed.
COUNTS = {"meat": 30, "hens": 20, "turkeys": 10}
# Days to each date from the first day of the plan, which is the hatch, or for hens the move.
_HATCHED = {"meat": 0, "hens": -126, "turkeys": 0}
_OUT = {"meat": 35, "hens": 14, "turkeys": 56}
_LEAVES = {"meat": 63, "hens": 14 + 182, "turkeys": 126}
_HEAT_OFF = 7
# What is no guess whoever asks.
_SURE = ("1", "name", "kind")
# The dates of the setup format.
FIRST, LAST = date(2000, 1, 1), date(2099, 12, 31)
_COLUMN, _WIDTH = 34, 100


class Plan(NamedTuple):
    """What a keeper says of a batch: `birds` and `units` as above, the number and the dates.

    `told` names what the keeper said; the rest is guessed, and marked so.
    """

    birds: str
    units: str
    number: int
    hatched: date
    out: date
    leaves: date
    told: frozenset[str] = frozenset()

    @property
    def readable(self) -> bool:
        """Whether the setup format knows all of its dates."""
        days = (self.hatched, self.out, self.leaves, self.heat_off)
        return all(FIRST <= day <= LAST for day in days)

    @property
    def heat_off(self) -> date:
        """When the heat goes off: a week before the move, after the hatch in any case."""
        return max(self.hatched, self.out - timedelta(days=_HEAT_OFF))


def planned(birds: str, units: str, first: date) -> Plan:
    """A usual plan from a day on. Raises OverflowError where the calendar ends."""
    hatched, out, leaves = (
        first + timedelta(days=days[birds]) for days in (_HATCHED, _OUT, _LEAVES)
    )
    return Plan(birds, units, COUNTS[birds], hatched, out, leaves)


def setup_text(plan: Plan, name: str = "") -> str:
    """The text of a setup file for a plan; `name` is its file's, for the last line of the head."""
    page = _Page(plan)
    page.lines += _head(name)
    for entry in _entries():
        if plan.birds in entry.get("only", BIRDS):
            page.entry(entry)
    return "\n".join(page.finished()) + "\n"


def _head(name: str) -> list[str]:
    return [
        "# A setup to fill in. A value marked `guess` is one: measure, put your own in its place,",
        "# and take the word away. A line that begins with # says nothing until you fill in the",
        "# blank and take the # away; what you don't know may stay as it is, and is not checked.",
        f"# When you are done: flockcheck check {name or 'FILE'}",
        "",
    ]


@cache
def _entries() -> list[dict[str, Any]]:
    path = os.path.join(os.path.dirname(__file__), "template.yaml")
    with open(path, encoding="utf-8") as file:
        found: list[dict[str, Any]] = plain(read_nodes(file.read()))
    return found


class _Line(NamedTuple):
    """A line to come: its path, its text without indent, its comment, and whether it counts."""

    path: str
    text: str
    comment: str
    live: bool


class _Page:
    """The file as it grows."""

    def __init__(self, plan: Plan) -> None:
        self.lines: list[str] = []
        self._plan = plan
        self._found: list[_Line] = []

    def entry(self, entry: Mapping[str, Any]) -> None:
        path = entry["key"]
        comment = _comment(_shape(path, self._plan.birds))
        key = path.rpartition(".")[2]
        if "is" in entry:
            word = entry["is"]
            sure = word in _SURE or word in self._plan.told
            text = f"{key}: {_answer(word, self._plan)}"
            self._found.append(_Line(path, text, comment if sure else f"guess. {comment}", True))
        elif "guess" in entry:
            value = self._chosen(entry["guess"])
            self._found.append(_Line(path, f"{key}: {value}", f"guess. {comment}", True))
        else:
            unit = self._chosen(entry["blank"])
            blank = unit if unit.startswith("[") else f"___ {unit}".rstrip()
            self._found.append(_Line(path, f"{key}: {blank}", comment, False))

    def _chosen(self, found: Any) -> str:
        """The value for these units and birds."""
        while isinstance(found, Mapping):
            words = (self._plan.units, self._plan.birds, "others")
            found = next(found[word] for word in words if word in found)
        return str(found)

    def finished(self) -> list[str]:
        """Every line, with the sections that they stand in; one without a value stays behind #."""
        opened: set[str] = set()
        before = ""
        for line in self._found:
            parents = _parents(line.path)
            if not parents and _parents(before):
                self.lines.append("")
            for parent in parents:
                if parent not in opened:
                    opened.add(parent)
                    self._open(parent)
            self._write(line)
            before = line.path
        return self.lines

    def _open(self, section: str) -> None:
        """The line of a section's name; an item of a list has none of its own."""
        parents = _parents(section)
        if not parents:
            self.lines.append("")
        if not section[-1].isdigit():
            shape = shape_of(general(section)) or {}
            text = f"{section.rpartition('.')[2]}:"
            self._line(section, text, str(shape.get("description", "")), self._lives(section))

    def _write(self, line: _Line) -> None:
        item = line.path.rpartition(".")[0]
        first = next((one for one in self._found if one.path.startswith(f"{item}.")), line)
        dash = item[-1:].isdigit() and line == first
        self._line(line.path, f"- {line.text}" if dash else line.text, line.comment, line.live)

    def _lives(self, section: str) -> bool:
        """Whether a section has any value."""
        return any(one.live and one.path.startswith(f"{section}.") for one in self._found)

    def _line(self, path: str, text: str, comment: str, live: bool) -> None:
        """A key in its place; what has no value stays behind a #, a whole section behind one."""
        parents = _parents(path)
        column = 2 * len(parents) - (2 if text.startswith("- ") else 0)
        if live:
            self._put(" " * column + text, comment)
            return
        dead = next((one for one in parents if not self._lives(one)), path)
        mark = min(2 * len(_parents(dead)), column)
        self._put(f"{' ' * mark}# {' ' * (column - mark)}{text}", comment)

    def _put(self, text: str, comment: str) -> None:
        """A line with its comment behind it, carried on below; above it where there is no room."""
        if len(text) > _COLUMN - 2:
            indent = " " * (len(text) - len(text.lstrip()))
            self.lines += textwrap.wrap(
                comment, _WIDTH, initial_indent=f"{indent}# ", subsequent_indent=f"{indent}# "
            )
            self.lines.append(text)
            return
        first, *more = textwrap.wrap(comment, _WIDTH - _COLUMN - 2)
        self.lines.append(f"{text:<{_COLUMN}}# {first}")
        self.lines += [f"{'':<{_COLUMN}}# {line}" for line in more]


def _parents(path: str) -> list[str]:
    parts = path.split(".")
    return [".".join(parts[:at]) for at in range(1, len(parts))]


def _shape(path: str, birds: str) -> Mapping[str, Any]:
    """The shape of a key, narrowed to the words that these birds allow."""
    shape = shape_of(general(path)) or {}
    section, _, key = general(path).rpartition(".")
    for condition in (shape_of(section) or {}).get("allOf", ()):
        if condition["if"]["properties"].get("kind", {}).get("const") == KINDS[birds]:
            shape = {**shape, **condition["then"].get("properties", {}).get(key, {})}
    return shape


def _comment(shape: Mapping[str, Any]) -> str:
    """What a key is, from the schema, with the words that it may be."""
    says = str(shape.get("description", ""))
    of = resolve(shape["items"]) if kind_of(dict(shape)) == "list" else dict(shape)
    words = [str(word) for word in of.get("enum", ())] if kind_of(of) == "word" else []
    return f"{says} ({' | '.join(words)})" if words else says


def _answer(word: str, plan: Plan) -> str:
    """What the keeper said, as it stands in the file."""
    return {
        "kind": KINDS[plan.birds],
        "count": str(plan.number),
        "hatched": plan.hatched.isoformat(),
        "out": plan.out.isoformat(),
        "leaves": plan.leaves.isoformat(),
        "heat_off": plan.heat_off.isoformat(),
        "name": f"{_NAMES[plan.birds]} from {plan.out}",
    }.get(word, word)
