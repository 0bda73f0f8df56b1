"""Tables as a run reads them: what was found once is found again quickly, in this setup or another.

What a run finds by the keys of its setup it keeps for itself, with the keys that were read; what
rests on a table alone is kept as long as the table is.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, TypeVar

from flockcheck.tables import Curve, Row, Table, TableSilent, end_of, keep, word_of
from flockcheck.text.records import NamedTuple

T = TypeVar("T")


class TableReader:
    """A table as one run reads it: for the same things it finds the same row, day after day.

    `heard` is the list of keys read so far; what finding a row read is heard again each time that
    the row is used, so that everyone who rests on it is known to.
    """

    __slots__ = ("_curves", "_found", "_heard", "_once", "_rows", "table")

    def __init__(self, table: Table, heard: list[str]) -> None:
        self.table = table
        self._heard = heard
        self._found = _found_in(table)
        self._rows: dict[tuple[Any, ...], tuple[Row | str, list[str]]] = {}
        self._curves: dict[tuple[Any, ...], tuple[Curve, list[str]]] = {}
        self._once: dict[Any, tuple[Any, list[str]]] = {}

    def __call__(self, column: str, at: float | None = None, **who: Any) -> Any:
        """The value of a column; see Table."""
        curve = self._found.by_word.get((column, *who.items())) or self.curve(column, **who)
        value = curve.known.get(at)
        return curve(at) if value is None else value

    def curve(self, column: str, **who: Any) -> Curve:
        """A column of the row for what was asked; see Table."""
        key = (column, *who.items())
        found = self._curves.get(key)
        if found is None:
            start = len(self._heard)
            curve = self._found.curve(self.row(who), column)
            self._curves[key] = curve, self._heard[start:]
            if self._found.words_alone and all(type(one) is str for one in who.values()):
                # Found by words alone, it is the same for every setup.
                keep(self._found.by_word, key, curve)
            return curve
        curve, reads = found
        if reads:
            self._heard.extend(reads)
        return curve

    def row(self, who: dict[str, Any]) -> Row:
        """The row for what was asked; see Table."""
        key = tuple(who.items())
        found = self._rows.get(key)
        if found is None:
            start = len(self._heard)
            row = self._found.row(who)
            self._rows[key] = row, self._heard[start:]
        else:
            row, reads = found
            if reads:
                self._heard.extend(reads)
        if isinstance(row, str):
            raise TableSilent(row)
        return row

    def last(self, **who: Any) -> float | None:
        """Where the axis of the matching row ends; see Table."""
        return end_of(self.row, who)

    def once(self, key: Any, make: Callable[[], T]) -> T:
        """What `make` gives, worked out once a run for a key; what it read is heard each time."""
        found = self._once.get(key)
        if found is None:
            start = len(self._heard)
            value = make()
            self._once[key] = value, self._heard[start:]
            return value
        value, reads = found
        if reads:
            self._heard.extend(reads)
        return value


class _Found:
    """What was found in one table, by any run: it rests on the table alone, not on a setup.

    `by_word` are the columns found by plain words (`figure`, `predator`) with nothing else read.
    """

    __slots__ = ("_curves", "_ways", "by_word", "table", "words_alone")

    def __init__(self, table: Table) -> None:
        self.table = table
        self.words_alone = all("." not in word for word in table.by)
        self._curves: dict[tuple[int, str], Curve] = {}
        # As in `_Ask`; the first of all has nothing that it came by.
        self._ways: dict[str, Any] = {}
        self.by_word: dict[tuple[Any, ...], Curve] = {}

    def curve(self, row: Row, column: str) -> Curve:
        """A column of one of the table's rows."""
        found = self._curves.get((id(row), column))
        if found is None:
            # The table keeps its rows, so that the id is never another's.
            found = self._curves[id(row), column] = Curve(self.table, row, column)
        return found

    def row(self, who: dict[str, Any]) -> Row | str:
        """The row for what was asked, or why there is none; words are asked as the table does."""
        asked: dict[str, str] = {}
        way = self._ways.get("")
        while type(way) is _Ask:
            answer = asked[way.word] = word_of(who, way.word)
            way = way.then.get(answer)
        if way is None:
            try:
                way = self.table.row(who, asked)
            except TableSilent as silent:
                way = silent.why
            here, came_by = self._ways, ""
            for word, answer in asked.items():
                ask = here.get(came_by)
                if type(ask) is not _Ask:
                    ask = _Ask(word, {})
                    keep(here, came_by, ask)
                here, came_by = ask.then, answer
            keep(here, came_by, way)
        found: Row | str = way
        return found


class _Ask(NamedTuple):
    """A word that tells rows apart, and where to go by what it is: another, a row, or why none."""

    word: str
    then: dict[str, Any]


_found: dict[int, _Found] = {}


def _found_in(table: Table) -> _Found:
    """What is kept of a table, which lives as long: a rulebook's as long as the program."""
    found = _found.get(id(table))
    if found is None:
        # The table is in it, so that its id is never another's.
        found = _Found(table)
        keep(_found, id(table), found)
    return found
