"""The working of a rule as plain data: every line with its words, its number and its sum."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from typing import Any

from flockcheck.checkup.lines import Days, Line
from flockcheck.checkup.readers import Scope
from flockcheck.checkup.wording import Wording, day_words, item_words, listed
from flockcheck.checkup.working import Working
from flockcheck.measures.graph.retrace import Read
from flockcheck.measures.graph.run import Run
from flockcheck.reports.docwords import formula_of, how_of
from flockcheck.reports.rulewords import measure_words, upper_first
from flockcheck.reports.sources import cite_words
from flockcheck.reports.workingsums import Numbers
from flockcheck.rulebook.book import Rulebook
from flockcheck.setup.form import general
from flockcheck.setup.sections import ITEMS
from flockcheck.text.quantities import DIMENSIONS, base_unit

_WORDS = {item: word for word, item in ITEMS.items()}
_ASKS = {
    "at_least": "at least ",
    "at_most": "at most ",
    "over": "more than ",
    "under": "less than ",
    "not": "anything but ",
}
# What is said of a value that keeps a limit, and of one that misses it.
_OUTCOMES = {
    "at_least": ("not under", "under"),
    "at_most": ("not over", "over"),
    "over": ("over", "not over"),
    "under": ("under", "not under"),
}
_DATED = {"not under": "not before", "under": "before", "not over": "not after", "over": "after"}


def working_data(working: Working, run: Run, book: Rulebook, wording: Wording) -> dict[str, Any]:
    """A working for the key `working` of a lesson's setup."""
    teller = _Teller(working, run, book, wording)
    return {
        "about": working.about,
        "item": working.item,
        "day": working.day.isoformat() if working.day else None,
        "lines": [teller.line(at) for at in range(len(working.lines))],
        "result": {
            "name": working.term,
            "uses": [working.measured, working.limit],
            "shown": working.shown,
            "comparator": working.comparator,
            "limit": working.limit_shown,
            "holds": working.passes,
            "says": _result(working),
        },
    }


def _result(working: Working) -> str:
    """The last line: what came out, the limit, and on which side of it."""
    # A key goes by its name; the name of a measure stands in the line that this one points to.
    what = working.term if "." in working.term else "It"
    if working.comparator in _OUTCOMES:
        outcome = _OUTCOMES[working.comparator][not working.passes]
        if working.dimension == "date":
            outcome = _DATED[outcome]
        return f"It comes to {working.shown}; the limit is {working.limit_shown}: {outcome}"
    must = "should not be" if working.comparator == "not" else "should be"
    so = "is" if working.passes != (working.comparator == "not") else "is not"
    return f"{what} is {working.shown}; it {must} {working.limit_shown}, and {so}"


class _Teller:
    """Puts the lines of one working into words."""

    def __init__(self, working: Working, run: Run, book: Rulebook, wording: Wording) -> None:
        self._working = working
        self._run = run
        self._book = book
        self._numbers = Numbers(working.lines, wording)

    def line(self, at: int) -> dict[str, Any]:
        """One line, by its place from 0."""
        line = self._working.lines[at]
        return {
            "line": at + 1,
            "kind": line.kind,
            "name": line.name or None,
            "about": line.about or None,
            "says": self._says(line),
            "value": _plain(line.value),
            "unit": base_unit(line.dimension) if line.dimension in DIMENSIONS else None,
            "shown": self._numbers.of(line),
            "from": list(line.uses),
            "sum": self._numbers.sum(line),
            "formula": self._formula(line),
            "how": self._how(line),
            "more": list(self._more(line, at + 1)),
            "written": self._written(line),
            "table": self._table(line.read) if line.read else None,
            "days": self._days(line.days, line.dimension) if line.days else None,
            "source": self._source(line),
        }

    def _says(self, line: Line) -> str:
        """What a line is about, up to its number."""
        if line.kind == "day":
            return "The day that is looked at"
        if line.kind == "measure":
            spec = self._run.registry.nodes[line.name].spec
            of = self._of(line.about)
            other = line.on is not None and line.on != self._working.day
            day = f", on {day_words(line.on)}" if line.on is not None and other else ""
            words = upper_first(measure_words(spec)).partition("; see ")[0]
            return f"{words} ({line.name}){of}{day}"
        if line.kind == "each":
            return "What each bird needs"
        if line.kind == "limit":
            asks = _ASKS.get(self._working.comparator, "")
            return f"The limit: {asks}".rstrip(": ") if not asks else f"The limit, {asks.rstrip()}"
        if line.read is not None:
            return self._read_says(line.read)
        return general(line.name).replace(".*", "")

    def _of(self, about: str) -> str:
        """Whom a measure is about, where there are several."""
        key, _, place = about.partition(".")
        if not about or len(self._run.items(_WORDS[key])) == 1:
            return ""
        return f", {item_words(Scope(self._run, _WORDS[key], int(place)))}"

    def _read_says(self, read: Read) -> str:
        words = [" or ".join(found) for found in read.row.where.values()]
        of = f" for {', '.join(words)}" if words else ""
        column = "" if read.column == "value" else f", {read.column}"
        at = f", at {self._point(read.at.value, read)}" if read.at is not None else ""
        return f"Table {read.table.name}{column}{of}{at}"

    def _point(self, x: float, read: Read) -> str:
        node = self._run.registry.nodes.get(read.table.along)
        return self._numbers.shown(x, node.spec.gives if node else "number")

    def _more(self, line: Line, number: int) -> Iterator[str]:
        """What else there is to say of a line's number."""
        if line.read is not None and line.read.at is not None:
            yield self._between(line.read, line.dimension)
        if line.points:
            yield self._limit_points(line)
        if line.kind == "none":
            taken = "none" if not line.value else self._numbers.shown(line.value, line.dimension)
            yield f"Not written, taken as {taken}."
        if isinstance(line.value, (list, tuple)) and line.kind == "measure":
            yield from self._used(line, number)
        if line.left_out:
            names = listed([name.replace("_", " ") for name in line.left_out])
            yield f"Without {names}, which is not known or does not apply here."

    def _between(self, read: Read, dimension: str) -> str:
        """The points of a row that a figure was read between."""
        assert read.at is not None
        x, points = read.at.value, list(zip(read.row.xs, read.row.ys[read.column], strict=True))
        before = [one for one in points if one[0] <= x][-1:]
        after = [one for one in points if one[0] > x][:1]
        told = [
            f"{self._numbers.shown(y, dimension)} at {self._point(at, read)}"
            for at, y in before + after
        ]
        if len(told) == 1:
            if before and before[0][0] == x:
                return "A point of the table."
            where = "last" if before else "first"
            beyond = "past" if before else "before"
            return f"The {where} point, {told[0]}, holds {beyond} it too."
        if before[0][0] == x:
            return "A point of the table."
        if read.table.between == "steps":
            return f"{told[0]} holds until the next point, {told[1]}."
        way = "In a straight line" if read.table.between == "straight" else "On a smooth curve"
        return f"{way} between {told[0]} and {told[1]}."

    def _limit_points(self, line: Line) -> str:
        along = self._working.lines[line.uses[0] - 1]
        told = [
            f"{self._numbers.shown(y, line.dimension)} at {self._numbers.shown(x, along.dimension)}"
            for x, y in line.points
        ]
        if len(told) == 1:
            return f"As it is for {told[0]}."
        return f"In a straight line between {told[0]} and {told[1]}."

    def _used(self, line: Line, number: int) -> Iterator[str]:
        """Which figures of a series the sums below it take."""
        places = {
            part.leaf[2]
            for other in self._working.lines
            if other.sum is not None
            for part in other.sum.leaves()
            if part.leaf[1] == number and part.leaf[2] is not None
        }
        days = self._run.days
        by_day = line.days is not None and len(line.value) == len(days)
        told = [
            f"{self._numbers.shown(line.value[place], line.dimension)} "
            + (f"by the end of {day_words(days[place])}" if by_day else f"in place {place + 1}")
            for place in sorted(places)
        ]
        if told:
            yield f"Of which {listed(told)} are used." if len(told) > 1 else f"Used: {told[0]}."

    def _days(self, days: Days, dimension: str) -> dict[str, Any]:
        of = self._working.lines[days.of - 1].dimension
        first, last = (self._numbers.shown(one[1], of) for one in (days.first, days.last))
        says = (
            f"over {days.many} days, {day_words(days.first[0])} {first} ... "
            f"{day_words(days.last[0])} {last}"
        )
        if days.total is not None:
            says = f"sum {says}, {self._numbers.shown(days.total, dimension)} in all"
        return {
            "line": days.of,
            "days": days.many,
            "first": {"day": days.first[0].isoformat(), "value": _plain(days.first[1])},
            "last": {"day": days.last[0].isoformat(), "value": _plain(days.last[1])},
            "sum": days.total,
            "says": upper_first(says),
        }

    def _written(self, line: Line) -> dict[str, Any] | None:
        """Where a key stands, and what stands there; `file` is the club's if that has it."""
        found = self._run.setup.values.get(line.name)
        if line.kind != "key":
            return None
        if found is None:
            # One entry of a list of words, such as a predator.
            _, mark = self._run.setup.place(line.name)
            text, at = _text(line.value), mark.line
        else:
            text = " ".join(found.text.split()) or self._numbers.shown(line.value, line.dimension)
            at = found.start.line
        club = self._run.setup.club
        file = club.file if club is not None and line.name in club.given else None
        if club is not None and file is None and isinstance(line.value, (tuple, list)):
            # A list of words to which the club has added some.
            every = enumerate(line.value)
            added = [str(one) for at, one in every if f"{line.name}.{at}" in club.given]
            text += f" ({listed(added)} from {club.file})" if added else ""
        return {"path": line.name, "line": at, "file": file, "text": text}

    def _table(self, read: Read) -> dict[str, Any]:
        return {
            "table": read.table.name,
            "column": read.column,
            "for": {word: list(found) for word, found in read.row.where.items()},
            "at": read.at.value if read.at is not None else None,
        }

    def _source(self, line: Line) -> dict[str, Any] | None:
        cites = _cites(line)
        if cites is None:
            return None
        first = next(at for at, one in enumerate(self._working.lines, 1) if _cites(one) == cites)
        says = cite_words(cites, self._book.sources, brief=True)
        same = "practice" not in cites and self._working.lines[first - 1] is not line
        return {**cites, "says": f"Source as in {first}." if same else says}

    def _formula(self, line: Line) -> str | None:
        if line.kind != "measure":
            return None
        return formula_of(self._run.registry.nodes[line.name].spec.function.__doc__) or None

    def _how(self, line: Line) -> str | None:
        """What the docstring says of a measure that is no sum of its inputs."""
        if line.kind != "measure" or self._numbers.sum(line) is not None or not line.uses:
            return None
        if len(line.uses) == 1 and self._working.lines[line.uses[0] - 1].value == line.value:
            return None
        return how_of(self._run.registry.nodes[line.name].spec.function.__doc__) or None


def _cites(line: Line) -> dict[str, Any] | None:
    return line.read.row.cites if line.read is not None else line.cites


def _plain(value: Any) -> Any:
    """A value as JSON has it."""
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, (list, tuple)):
        return [_plain(one) for one in value]
    return float(value) if isinstance(value, float) else value


def _text(value: Any) -> str:
    return ", ".join(map(str, value)) if isinstance(value, tuple) else str(value)
