"""Cited look-up tables: rows chosen by words, read at a point along an axis.

Numbers inside are in base units. A table knows nothing of setups: who asks passes the things that
its words speak of (`group=...`), and the table takes from them only what its rows tell apart.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Callable, Sequence
from math import inf
from typing import Any

from flockcheck.text.records import NamedTuple


class TableSilent(LookupError):
    """A table has no row for what was asked, or refuses to go past its end; `why` says which."""

    def __init__(self, why: str) -> None:
        self.why = why
        super().__init__(why)


_NO_KINDS: dict[str, str] = {}


class Row(NamedTuple):
    """One cited row.

    `where` gives the words it is for (a tuple: any of them); `xs` the points along the axis, empty
    for a plain row; `ys` a list of numbers for each column (one number long for a plain row).
    `kinds` has the dimension of a figure that brings its own unit, by its column.
    """

    where: dict[str, tuple[str, ...]]
    xs: list[float]
    ys: dict[str, list[Any]]
    cites: dict[str, Any]
    kinds: dict[str, str] = _NO_KINDS


class Table(NamedTuple):
    """A table: its name and words, how it goes between and beyond its points, and its rows.

    `by` are the words that its rows tell apart and `along` is its axis ("" for plain rows);
    `between` is straight, steps or smooth, `beyond` is hold or refuse; `units` has the dimension of
    each column.
    """

    name: str
    says: str
    by: tuple[str, ...]
    along: str
    between: str
    beyond: str
    units: dict[str, str]
    rows: list[Row]

    def row(self, who: dict[str, Any], asked: dict[str, str] | None = None) -> Row:
        """The first row that is for what was asked.

        A word is looked up only when a row tells it apart, so that a key which doesn't matter for
        this kind of bird need not be written; `asked` receives what each of them is. Raises
        TableSilent where no row matches, and whatever the looked-up thing raises for a key that was
        left out.
        """
        if asked is None:
            asked = {}
        for row in self.rows:
            for word, wanted in row.where.items():
                if word not in asked:
                    asked[word] = word_of(who, word)
                if asked[word] not in wanted:
                    break
            else:
                return row
        told = ", ".join(f"{word} {found}" for word, found in asked.items())
        raise TableSilent(f"the table {self.name} has nothing for {told}")

    def __call__(self, column: str, at: float | None = None, **who: Any) -> Any:
        """The value of a column, in base units, at a point along the axis (none: a plain row).

        Raises TableSilent where no row matches, or past the last point of a table that refuses.
        """
        return self.read(self.row(who), column, at)

    def read(self, row: Row, column: str, at: float | None) -> Any:
        """The value of a column in one row."""
        if not row.xs:
            return row.ys[column][0]
        if at is None:
            raise TypeError(f"the table {self.name} is read at a point along {self.along}")
        if self.beyond == "refuse" and at > row.xs[-1]:
            raise TableSilent(f"the table {self.name} ends at {self.along} {row.xs[-1]:g}")
        return interpolate(row.xs, row.ys[column], at, self.between)

    def curve(self, column: str, **who: Any) -> Curve:
        """A column of the matching row, to be read at many points. Raises TableSilent without."""
        return Curve(self, self.row(who), column)

    def last(self, **who: Any) -> float | None:
        """Where the axis of the matching row ends; None where no row matches or it is plain."""
        return end_of(self.row, who)


def end_of(row_for: Callable[[dict[str, Any]], Row], who: dict[str, Any]) -> float | None:
    """Where the axis of the row for what was asked ends; None without one, or without an axis."""
    try:
        row = row_for(who)
    except TableSilent:
        return None
    return row.xs[-1] if row.xs else None


class Curve:
    """A column of one row; called with a point along the axis it gives the value there.

    What was read once is kept: birds of one age weigh the same for every measure, and in every
    setup.
    """

    __slots__ = ("_between", "_column", "_end", "_row", "_slopes", "_table", "_xs", "_ys", "known")

    def __init__(self, table: Table, row: Row, column: str) -> None:
        self._table, self._row, self._column = table, row, column
        self._xs, self._ys, self._between = row.xs, row.ys[column], table.between
        self._end = row.xs[-1] if row.xs and table.beyond == "refuse" else inf
        self._slopes: dict[int, float] = {}
        self.known: dict[float | None, Any] = {}

    def __call__(self, at: float | None) -> Any:
        """The value at a point (None: of a plain row). Raises TableSilent past the end."""
        found = self.known.get(at)
        if found is None:
            if at is None or not self._xs or at > self._end:
                found = self._table.read(self._row, self._column, at)
            else:
                # The short way for most points, of which a check reads thousands.
                found = interpolate(self._xs, self._ys, at, self._between, self._slopes)
            keep(self.known, at, found)
        return found

    def each(self, points: Sequence[float | None]) -> list[Any]:
        """The value at each of many points, None at None. Raises TableSilent past the end."""
        found = list(map(self.known.get, points))
        if None in found or not self._xs:
            return [None if at is None else self(at) for at in points]
        return found


# How much is kept of what could be worked out again, lest many odd setups fill the memory.
_MOST_KEPT = 1024


def keep(kept: dict[Any, Any], key: Any, value: Any) -> None:
    """Keep a thing to be found again, and begin anew where there are too many."""
    if len(kept) >= _MOST_KEPT:
        kept.clear()
    kept[key] = value


def word_of(who: dict[str, Any], word: str) -> str:
    """What `group.kind` (or `predator`) stands for among the things passed; flags are yes or no."""
    first, _, key = word.partition(".")
    if first not in who:
        raise TypeError(f"a table's rows differ by {word}: pass {first}=")
    found = getattr(who[first], key) if key else who[first]
    if type(found) is str:
        return found
    return ("yes" if found else "no") if isinstance(found, bool) else str(found)


def interpolate(
    xs: list[float],
    ys: list[float],
    x: float,
    between: str,
    slopes: dict[int, float] | None = None,
) -> float:
    """A value at `x` through points with rising `xs`; flat outside them.

    `steps` holds each point's value until the next, `straight` goes in straight lines, `smooth`
    follows the monotone cubic of Fritsch and Carlson (SIAM J. Numer. Anal. 17, 1980, 238-246, with
    the three-point harmonic mean of Fritsch and Butland for the slopes), which never overshoots.
    `slopes` keeps those that were worked out, for who reads the same points again.
    """
    if x <= xs[0]:
        return ys[0]
    if x >= xs[-1]:
        return ys[-1]
    at = bisect_right(xs, x) - 1
    if between == "steps":
        return ys[at]
    width = xs[at + 1] - xs[at]
    part = (x - xs[at]) / width
    if between == "straight" or len(xs) == 2:
        return ys[at] + part * (ys[at + 1] - ys[at])
    if slopes is None:
        slopes = {}
    for end in (at, at + 1):
        if end not in slopes:
            slopes[end] = _slope(xs, ys, end)
    left, right = slopes[at], slopes[at + 1]
    a, b = part * part, part * part * part
    return (
        (2 * b - 3 * a + 1) * ys[at]
        + (b - 2 * a + part) * width * left
        + (3 * a - 2 * b) * ys[at + 1]
        + (b - a) * width * right
    )


def _slope(xs: list[float], ys: list[float], at: int) -> float:
    """The slope of the monotone cubic at one of its points."""
    if 0 < at < len(xs) - 1:
        before, after = xs[at] - xs[at - 1], xs[at + 1] - xs[at]
        rise, next_rise = (ys[at] - ys[at - 1]) / before, (ys[at + 1] - ys[at]) / after
        if rise * next_rise <= 0:
            return 0.0
        one, two = 2 * after + before, after + 2 * before
        return (one + two) / (one / rise + two / next_rise)
    # At an end: the three-point parabola, held back where it would overshoot.
    step = 1 if at == 0 else -1
    near, far = abs(xs[at + step] - xs[at]), abs(xs[at + 2 * step] - xs[at + step])
    rise = step * (ys[at + step] - ys[at]) / near
    next_rise = step * (ys[at + 2 * step] - ys[at + step]) / far
    slope = ((2 * near + far) * rise - near * next_rise) / (near + far)
    if slope * rise <= 0:
        return 0.0
    if rise * next_rise <= 0 and abs(slope) > 3 * abs(rise):
        return 3 * rise
    return slope
