"""The stay day by day, and what the batch comes to: growth, feed, water, droppings, nights, heat.

`ledger` is a pure function of a setup, a rulebook and the report on them. All values are in base
units; what could not be worked out says which keys it needs.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date, timedelta
from typing import Any

from flockcheck.checkup.model import Report
from flockcheck.checkup.readers import Scope
from flockcheck.checkup.wording import item_words
from flockcheck.measures.graph.run import Run
from flockcheck.rulebook.book import Rulebook
from flockcheck.rulebook.model import GRADES
from flockcheck.setup.sections import ITEMS
from flockcheck.setup.view import Missing
from flockcheck.setup.written import Setup
from flockcheck.tables import TableSilent
from flockcheck.text.records import NamedTuple

# Each column: its name, the measure behind it, and what a row of several days shows of it.
COLUMNS = (
    ("age", "age", "first"),
    ("birds", "birds_here", "first"),
    ("weight", "live_weight", "first"),
    ("floor_load", "floor_load", "most"),
    ("feed", "feed_per_day", "sum"),
    ("water", "water_need", "sum"),
    ("nitrogen", "nitrogen_per_day", "sum"),
    ("droppings", "patch_droppings", "most"),
    ("night_margin", "night_margin", "least"),
    ("heat_index", "heat_index", "most"),
)
_OVER: dict[str, Callable[[list[Any]], Any]] = {
    "first": lambda values: values[0],
    "sum": sum,
    "most": max,
    "least": min,
}


class Column(NamedTuple):
    """A column: its measure's dimension, whether it goes by group, and how days are put together.

    `series` has a list by day for each group (one list where it does not go by group), None for
    what could not be worked out; `needs` are the keys that it lacks and `why` any other reason.
    """

    name: str
    dimension: str
    by_group: bool
    over: str
    series: tuple[list[Any] | None, ...]
    needs: tuple[str, ...]
    why: str


class Begin(NamedTuple):
    """A finding that begins, or gets worse, on a day."""

    day: date
    grade: str
    rule: str
    about: str | None
    title: str


class Row(NamedTuple):
    """A day, or several: its values by column (a tuple where it goes by group)."""

    first: date
    last: date
    values: dict[str, Any]
    begins: tuple[Begin, ...]


class Ration(NamedTuple):
    """A feed: its days in the pen, its protein (None: not written) and how much of it in kg."""

    first: date
    last: date
    protein: float | None
    feed: float


class Yield(NamedTuple):
    """What a group weighs on its last day, in kg a bird; None where it is unknown or not for meat.

    `ends` tells that the keeper wrote the day; `cites` is the source of the dressed weights.
    """

    about: str
    words: str
    birds: int
    day: date
    ends: bool
    live: float | None
    least: float | None
    most: float | None
    cites: dict[str, Any] | None


class Batch(NamedTuple):
    """What the days shown add up to; None (no rations) for what could not be worked out."""

    days: int
    rations: tuple[Ration, ...]
    feed: float | None
    water: float | None
    nitrogen: float | None
    patches: int | None
    ground: float | None
    yields: tuple[Yield, ...]


class Ledger(NamedTuple):
    """A stay: the groups in words, the columns, the rows that are shown and what they come to.

    `every` is the number of days in a row; `first` and `last` are the first and last day shown.
    """

    report: Report
    every: int
    first: date
    last: date
    groups: tuple[str, ...]
    columns: tuple[Column, ...]
    rows: tuple[Row, ...]
    batch: Batch


class NotInStay(ValueError):
    """None of the days asked for lies in the stay, which runs from `first` to `last`."""

    def __init__(self, first: date, last: date) -> None:
        self.first = first
        self.last = last
        super().__init__(f"the stay runs from {first} to {last}")


def ledger(
    setup: Setup,
    rulebook: Rulebook,
    report: Report,
    *,
    first: date | None = None,
    last: date | None = None,
    every: int = 1,
) -> Ledger:
    """The stay of a setup that could be read, from `first` to `last`, `every` so many days a row.

    A row of several days has the age, birds and weight of its first, the sum of feed, water and
    nitrogen, and the worst of the rest, so that totals add up to the rows whatever is shown. Raises
    NotInStay where there is no day to show, ValueError for rows of less than one day.
    """
    if every < 1:
        raise ValueError("a row has one day at least")
    run = Run(setup, rulebook.registry, rulebook.tables)
    days = run.days
    shown = [at for at, day in enumerate(days) if (first or day) <= day and day <= (last or day)]
    if not shown:
        raise NotInStay(days[0], days[-1])
    columns = tuple(
        _column(run, name, measure, over)
        for name, measure, over in COLUMNS
        if measure in rulebook.registry.nodes
    )
    begins = _begins(report, days[0])
    rows = tuple(
        _row(days, shown[at : at + every], columns, begins) for at in range(0, len(shown), every)
    )
    groups = range(len(run.items("group")))
    return Ledger(
        report=report,
        every=every,
        first=days[shown[0]],
        last=days[shown[-1]],
        groups=tuple(item_words(Scope(run, "group", at)) for at in groups),
        columns=columns,
        rows=rows,
        batch=_batch(run, shown, rows),
    )


def _column(run: Run, name: str, measure: str, over: str) -> Column:
    node = run.registry.nodes[measure]
    by_group = node.item == "group"
    items = range(len(run.items("group"))) if by_group else [None]
    series: list[list[Any] | None] = []
    needs: list[str] = []
    why = ""
    for item in items:
        try:
            series.append(run.value(measure, item))
        except Missing as error:
            series.append(None)
            needs += error.keys
            why = why or error.why
    return Column(
        name, node.spec.gives, by_group, over, tuple(series), tuple(dict.fromkeys(needs)), why
    )


def _begins(report: Report, out: date) -> list[Begin]:
    """The days on which a finding begins or gets worse; one without days begins on the first."""
    found: list[Begin] = []
    for one in report.findings:
        if not one.spans:
            found.append(Begin(out, one.grade, one.rule, one.about, one.title))
        worst = -1
        for span in one.spans:
            if GRADES.index(span.grade) > worst:
                worst = GRADES.index(span.grade)
                found.append(Begin(span.first, span.grade, one.rule, one.about, one.title))
    return sorted(found, key=lambda one: (one.day, -GRADES.index(one.grade), one.rule))


def _row(
    days: Sequence[date], at: list[int], columns: tuple[Column, ...], begins: list[Begin]
) -> Row:
    values: dict[str, Any] = {}
    for column in columns:
        found = tuple(_over(column.over, one, at) for one in column.series)
        values[column.name] = found if column.by_group else found[0]
    first, last = days[at[0]], days[at[-1]]
    return Row(first, last, values, tuple(one for one in begins if first <= one.day <= last))


def _over(over: str, series: list[Any] | None, at: list[int]) -> Any:
    there = [series[day] for day in at if series[day] is not None] if series else []
    return _OVER[over](there) if there else None


def _batch(run: Run, shown: list[int], rows: tuple[Row, ...]) -> Batch:
    def total(name: str) -> float | None:
        there = [row.values[name] for row in rows if row.values.get(name) is not None]
        return sum(there) if there else None

    def rise(measure: str) -> Any:
        found = _or_none(run, measure)
        before = found[shown[0] - 1] if found and shown[0] else None
        return (found[shown[-1]] or 0) - (before or 0) if found else None

    groups = range(len(run.items("group")))
    return Batch(
        days=len(shown),
        rations=_rations(run, shown),
        feed=total("feed"),
        water=total("water"),
        nitrogen=total("nitrogen"),
        patches=rise("patches_used"),
        ground=rise("ground_covered"),
        yields=tuple(_yield(run, at) for at in groups),
    )


def _rations(run: Run, shown: list[int]) -> tuple[Ration, ...]:
    """The feeds in the order they are given, each with its days among those shown."""
    feed = _or_none(run, "feed_per_day")
    if not feed:
        return ()
    protein = _or_none(run, "feed_protein")
    changes = {run.days[shown[0]]}
    for at in range(run.setup.lists.get("feed.later", 0)):
        changes.add(run.setup.values[f"feed.later.{at}.from"].value)
    starts = sorted(changes)
    found: list[Ration] = []
    for number, start in enumerate(starts):
        end = starts[number + 1] if number + 1 < len(starts) else date.max
        eaten = [at for at in shown if start <= run.days[at] < end and feed[at] is not None]
        if eaten:
            first, last = run.days[eaten[0]], run.days[eaten[-1]]
            kind = protein[eaten[0]] if protein else None
            found.append(Ration(first, last, kind, sum(feed[at] for at in eaten)))
    return tuple(found)


def _yield(run: Run, at: int) -> Yield:
    group = run.items("group")[at]
    age = run.value("age", at)
    end = max(day for day, one in enumerate(age) if one is not None)
    path = f"{ITEMS['group']}.{at}"
    written = run.setup.values.get(f"{path}.purpose")
    for_meat = written.value == "meat" if written else group.kind != "egg chicken"
    kept = {
        name: found[end] if (found := _or_none(run, measure, at)) else None
        for name, measure in (
            ("live", "live_weight"),
            ("least", "dressed_least"),
            ("most", "dressed_most"),
        )
        if name == "live" or for_meat
    }
    cites = None
    if kept.get("least") is not None:
        try:
            cites = run.tables["dressing"].row({"group": group}).cites
        except (KeyError, TableSilent):
            cites = None
    return Yield(
        about=path,
        words=item_words(Scope(run, "group", at)),
        birds=group.count,
        day=run.days[0] + timedelta(days=end),
        ends=run.setup.is_written(f"{path}.leaves"),
        live=kept["live"],
        least=kept.get("least"),
        most=kept.get("most"),
        cites=cites,
    )


def _or_none(run: Run, measure: str, item: int | None = None) -> Any:
    """The value of a measure; None where it could not be worked out or is not there."""
    if measure not in run.registry.nodes:
        return None
    try:
        return run.value(measure, item)
    except Missing:
        return None
