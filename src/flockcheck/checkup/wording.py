"""What a rule says, put into the keeper's own numbers and units."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date
from typing import Any

from flockcheck.checkup.readers import Scope
from flockcheck.rulebook.model import Template, Term
from flockcheck.setup.view import Missing
from flockcheck.setup.written import Setup
from flockcheck.text.quantities import show, show_apart

MONTHS = (
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
)
_ONE_OF = {"group": "group", "feeder": "feeder", "drinker": "drinker", "guardian": "guardian"}


def club_words(keys: Sequence[str]) -> str:
    """What came from a club, in a line that every report has in these words."""
    return f"From the club: {', '.join(dict.fromkeys(keys))}."


class Wording:
    """Shows values for one setup, in the units that its keeper wrote or in those asked for.

    `units` is us, metric or written.
    """

    def __init__(self, setup: Setup, units: str = "written") -> None:
        self._setup = setup
        self._units = units

    def family(self, dimension: str) -> str:
        """The family of units in which a dimension is shown."""
        return self._setup.family(dimension) if self._units == "written" else self._units

    def show(self, value: Any, dimension: str) -> str:
        """A value as the keeper would write it."""
        if value is None:
            return "none"
        if dimension == "names" and isinstance(value, bool):
            # What `none` asks of a list: that it is empty, or that it is not.
            return "none" if value else "at least one"
        if dimension == "flag":
            return "yes" if value else "no"
        if dimension == "date":
            return day_words(value if isinstance(value, date) else date.fromisoformat(str(value)))
        if dimension == "names" or isinstance(value, (list, tuple)):
            return listed([str(one) for one in value])
        if dimension == "word" or isinstance(value, str):
            return str(value)
        return show(float(value), dimension, self.family(dimension))

    def pair(self, value: Any, limit: Any, dimension: str) -> tuple[str, str]:
        """A value and its limit; two that differ never look the same."""
        number = (int, float)
        if (
            isinstance(value, bool)
            or not isinstance(value, number)
            or not isinstance(limit, number)
        ):
            return self.show(value, dimension), self.show(limit, dimension)
        return show_apart(float(value), float(limit), dimension, self.family(dimension))


def listed(words: list[str]) -> str:
    """Words as they are read aloud: fox, mink and rat."""
    if not words:
        return "none"
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"


def sentences(parts: Sequence[str]) -> str:
    """Fragments joined by "or" as the first sentence, whole sentences after them."""
    short = [one for one in parts if not one.endswith(".")]
    said = f"{', '.join(short[:-1])}, or {short[-1]}" if len(short) > 1 else "".join(short)
    whole = [one for one in parts if one.endswith(".")]
    return " ".join(([f"{said}."] if said else []) + [one[:1].upper() + one[1:] for one in whole])


def day_words(day: date, *, year: bool = False) -> str:
    """A date in words: 27 May, or 27 May 2027."""
    words = f"{day.day} {MONTHS[day.month - 1]}"
    return f"{words} {day.year}" if year else words


def item_words(scope: Scope) -> str:
    """What an item is called: the drinker, drinker 2, group 1 (egg chicken), fox."""
    if not scope.each:
        return "the pen"
    thing = scope.thing()
    if scope.each == "predator":
        return str(thing)
    count = len(scope.run.items(scope.each))
    word = _ONE_OF[scope.each]
    if scope.each == "group":
        kind = f"{thing.kind}s"
        return f"the {kind}" if count == 1 else f"group {(scope.item or 0) + 1} ({kind})"
    return f"the {word}" if count == 1 else f"{word} {(scope.item or 0) + 1}"


class Moment:
    """What a finding's text may speak of besides measures and keys.

    `at` is the worst day's place in the stay; `shown` has the special words already as texts, and
    `sides` the terms of the two sides that were compared with theirs: they are shown alike wherever
    they stand, so that two that differ never look the same.
    """

    def __init__(
        self,
        scope: Scope,
        wording: Wording,
        at: int,
        shown: dict[str, str],
        sides: list[tuple[Term, str]],
    ) -> None:
        self._scope = scope
        self._wording = wording
        self._at = at
        self._shown = shown
        self._sides = sides

    def text(self, template: Template) -> str:
        """A template with its names filled in; what is not written is said to be so."""
        said = "".join(part if isinstance(part, str) else self._put(part) for part in template)
        return said[:1].upper() + said[1:]

    def _put(self, part: list[Any]) -> str:
        _, term, suffix, dimension = part
        if isinstance(term, str):
            return self._shown.get(term, "")
        side = next((shown for one, shown in self._sides if one == term), None)
        if side is not None and not suffix:
            return side
        try:
            value = self._scope.term(term)
        except Missing:
            return "an unwritten number of" if dimension == "count" else "what is not written"
        if isinstance(value, list):
            value = _of_days(value, suffix, self._at)
        return self._wording.show(value, dimension)


def _of_days(values: list[Any], suffix: str, at: int) -> Any:
    there = [value for value in values if value is not None]
    if not suffix or not there:
        return values[at]
    pick: dict[str, Callable[[list[Any]], Any]] = {
        "first": lambda found: found[0],
        "last": lambda found: found[-1],
        "least": min,
        "most": max,
    }
    return pick[suffix](there)
