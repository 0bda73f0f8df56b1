"""A setup that has been read: what is written where, in base units."""

from __future__ import annotations

from typing import Any

from flockcheck.text.document import Mark
from flockcheck.text.records import NamedTuple


class Written(NamedTuple):
    """One value of the file.

    `value` is in base units (a float, int, bool, str, date or a tuple of them), `text` is what the
    keeper wrote, `start` and `end` say where; `family` is "us" or "metric" for a quantity whose
    unit belongs to one, else "".
    """

    value: Any
    text: str
    start: Mark
    end: Mark
    family: str = ""


class FromClub(NamedTuple):
    """What a club gave to a setup, and asks of it.

    `file` is the club's own; `given` every path that stands in it and not in the member's file,
    `told` the values among them as reports list them. `lacks` are the keys that the club requires
    and the member left out. A risk may be accepted for `longest` days (None: as long as one likes),
    and those of the rules in `never` not at all.
    """

    file: str
    given: frozenset[str] = frozenset()
    told: tuple[str, ...] = ()
    lacks: tuple[str, ...] = ()
    longest: int | None = None
    never: frozenset[str] = frozenset()


class Setup(NamedTuple):
    """What a setup file says.

    `values` has each written value by its path (`pen.roof.cover`, `birds.0.count`), `lists` the
    length of each written list of sections, `marks` where each section, list and list item begins,
    and `families` the unit family that the keeper used most for each dimension. `club` tells what
    of it a club gave, `tried` what was put in to try it (`KEY=VALUE`) and does not stand in `text`.
    """

    file: str
    name: str
    text: str
    values: dict[str, Written]
    lists: dict[str, int]
    marks: dict[str, Mark]
    families: dict[str, str]
    club: FromClub | None = None
    tried: tuple[str, ...] = ()

    def family(self, dimension: str) -> str:
        """The unit family ("us" or "metric") in which a value of this dimension is shown."""
        found = self.families.get(dimension)
        if found:
            return found
        counts = list(self.families.values())
        return "us" if counts.count("us") > counts.count("metric") else "metric"

    def is_written(self, path: str) -> bool:
        """Whether anything stands at or below a path."""
        if path in self.values or path in self.lists:
            return True
        below = f"{path}."
        return any(key.startswith(below) for key in self.values)

    def place(self, path: str) -> tuple[str, Mark]:
        """The path itself or its nearest parent that stands in the file, and where it begins."""
        here = path
        while here:
            if here in self.values:
                return here, self.values[here].start
            if here in self.marks:
                return here, self.marks[here]
            here = here.rpartition(".")[0]
        return "", Mark(1, 1, 0)

    def with_value(self, path: str, value: Any) -> Setup:
        """A copy in which one value is another (in base units), as if the keeper had written it."""
        _, mark = self.place(path)
        old = self.values.get(path)
        new = Written(value, "", mark, mark, old.family if old else "")
        return self._replace(values={**self.values, path: new})
