"""The days as a text: a table within 80 columns, what begins when, and the batch below it."""

from __future__ import annotations

import re
import textwrap
from collections.abc import Mapping
from datetime import date
from typing import Any

from flockcheck.checkup.ledger import Begin, Column, Ledger, Row, Yield
from flockcheck.checkup.wording import Wording, club_words, day_words
from flockcheck.reports.daysunits import in_unit, unit_of, whole_unit
from flockcheck.reports.sources import cite_words
from flockcheck.rulebook.model import Source

WIDTH = 80
# The heads of the columns that are shown, and what they mean, for the line below the table.
HEADS = {
    "age": ("Age", "Age in days"),
    "birds": ("Birds", ""),
    "weight": ("Each", "Each: the weight of one bird"),
    "floor_load": ("Floor", "Floor: live weight on it"),
    "feed": ("Feed", ""),
    "water": ("Water", ""),
    "droppings": ("Patch", "Patch: nitrogen that falls on one while the pen stands there"),
    "night_margin": (
        "Night",
        "Night: how much warmer (+) or colder (-) it is than they can do with",
    ),
    "heat_index": ("Heat", "Heat: how hot they feel it at the day's high"),
}
_MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "June", "July", "Aug", "Sep", "Oct", "Nov", "Dec")
_NARROW = 2
# A number stays on one line with what it counts.
_IN_ONE = re.compile(r"(?<=\d) (?=[A-Za-z%])")


def write(book: Ledger, wording: Wording, sources: Mapping[str, Source]) -> str:
    """The whole text, ending in a newline."""
    lines = [*_heading(book), ""]
    table = _table(book, wording, ranges=False)
    if max(map(len, table)) > WIDTH:
        table = _table(book, wording, ranges=True)
    lines += [*table, ""]
    lines += _legend(book)
    lines += _batch(book, wording, sources)
    return "\n".join(lines) + "\n"


def _wrapped(text: str, indent: int = 0, hang: int = 0) -> list[str]:
    lines = textwrap.wrap(
        _IN_ONE.sub("\xa0", text),
        WIDTH,
        initial_indent=" " * indent,
        subsequent_indent=" " * (indent + hang),
        break_long_words=False,
        break_on_hyphens=False,
    )
    return [line.replace("\xa0", " ") for line in lines]


def _heading(book: Ledger) -> list[str]:
    report = book.report
    name = report.name or report.file
    first = day_words(book.first, year=book.first.year != book.last.year)
    last = day_words(book.last, year=True)
    said = f"{name}: {report.birds}, {first} to {last}"
    if report.open_end:
        said += " (as far as was looked; no day of leaving is written)"
    club = _wrapped(club_words(report.from_club), hang=2) if report.from_club else []
    return [*_wrapped(said, hang=2), *club]


def _short(day: date) -> str:
    return f"{day.day:>2} {_MONTHS[day.month - 1]}"


class _Cells:
    """One column of the table as texts, head and unit first."""

    def __init__(self, column: Column, head: str, book: Ledger, wording: Wording) -> None:
        self.column = column
        self.unit, self.decimals = unit_of(column, wording)
        self.head = head
        self.of_days = column.over == "sum" and book.every > 1

    def heads(self) -> tuple[str, str]:
        unit = self.unit if self.column.name not in ("age", "birds") else ""
        return self.head, whole_unit(unit).replace("lb/sq ft", "lb/ft2")

    def one(self, value: Any) -> str:
        if value is None:
            return "-"
        sign = "+" if self.column.name == "night_margin" else ""
        shown = f"{in_unit(value, self.column, self.unit):{sign}.{self.decimals}f}"
        return shown.replace("+0.0", "0.0").replace("-0.0", "0.0") if sign else shown

    def cell(self, row: Row, ranges: bool) -> str:
        """The cell of a row: by group side by side, or the least and the most of them."""
        value = row.values[self.column.name]
        if not self.column.by_group:
            return self.one(value)
        there = [one for one in value if one is not None]
        if self.column.name == "birds":
            return self.one(sum(there))
        if self.column.name == "night_margin":
            return self.one(min(there, default=None))
        if self.column.name == "heat_index":
            return self.one(max(there, default=None))
        if ranges and len(there) > 1:
            return f"{self.one(min(there))}-{self.one(max(there))}"
        return "/".join(self.one(one) for one in value)


def _table(book: Ledger, wording: Wording, *, ranges: bool) -> list[str]:
    columns = [
        _Cells(column, HEADS[column.name][0], book, wording)
        for column in book.columns
        if column.name in HEADS and not _lacks(column)
    ]
    heads = [("", ""), *(cells.heads() for cells in columns)]
    rows = [
        [_short(row.first), *(cells.cell(row, ranges) for cells in columns)] for row in book.rows
    ]
    widths = [
        max(len(text) for text in (*heads[at], *(row[at] for row in rows)))
        for at in range(len(heads))
    ]
    gap = " " * _NARROW if sum(widths) + _NARROW * (len(widths) - 1) <= WIDTH else " "
    lines = [_line([head[at] for head in heads], widths, gap) for at in (0, 1)]
    year = book.first.year
    for row, cells in zip(book.rows, rows, strict=True):
        if row.first.year != year:
            year = row.first.year
            lines.append(str(year))
        lines.append(_line(cells, widths, gap))
        for begin in row.begins:
            lines += _begins(begin, row, book.every)
    return lines


def _line(cells: list[str], widths: list[int], gap: str) -> str:
    first = f"{cells[0]:<{widths[0]}}"
    rest = [f"{cell:>{width}}" for cell, width in zip(cells[1:], widths[1:], strict=True)]
    return gap.join([first, *rest]).rstrip()


def _begins(begin: Begin, row: Row, every: int) -> list[str]:
    on = f" on {day_words(begin.day)}" if every > 1 and begin.day != row.first else ""
    return _wrapped(f"{begin.grade}{on}: {begin.title} ({begin.rule})", indent=8, hang=2)


def _lacks(column: Column) -> bool:
    return all(one is None for one in column.series)


def _legend(book: Ledger) -> list[str]:
    """What the heads mean, and which columns could not be worked out."""
    there = {column.name for column in book.columns if not _lacks(column)}
    words = [says for name, (_, says) in HEADS.items() if name in there and says]
    if book.every > 1:
        words.append(
            f"A row stands for {book.every} days: the age and weight of its first, the feed and "
            "water of all, the worst of the rest"
        )
    lines = _wrapped(". ".join(words) + ".")
    for column in book.columns:
        if column.name not in HEADS or not (column.needs or column.why):
            continue
        head = HEADS[column.name][0]
        part = "" if _lacks(column) else " in part"
        want = f"it needs {', '.join(column.needs)}" if column.needs else column.why
        lines += _wrapped(f"{head} is not worked out{part}: {want}.", hang=2)
    return [*lines, ""]


def _batch(book: Ledger, wording: Wording, sources: Mapping[str, Source]) -> list[str]:
    batch, report = book.batch, book.report
    whole = (book.first, book.last) == (report.first_day, report.looked_until)
    days = f"{batch.days} days" if batch.days != 1 else "1 day"
    span = f"{day_words(book.first)} to {day_words(book.last)}"
    lines = [f"The batch, {days}" if whole else f"{span}, {days}"]
    column = {one.name: one for one in book.columns}

    def amount(value: float | None, name: str) -> str:
        unit, decimals = unit_of(column[name], wording)
        if value is None:
            return ""
        shown = in_unit(value, column[name], unit)
        return f"{shown:.{0 if shown >= 100 else decimals}f} {whole_unit(unit)}"

    if batch.rations:
        parts = [
            f"{amount(one.feed, 'feed')} {_protein(one.protein)}, "
            f"{day_words(one.first)} to {day_words(one.last)}"
            for one in batch.rations
        ]
        if len(parts) > 1:
            parts.append(f"{amount(batch.feed, 'feed')} in all")
        lines += _labelled("Feed", parts)
    if batch.water is not None:
        lines += _labelled("Water", [amount(batch.water, "water")])
    if batch.patches is not None and batch.ground is not None:
        patches = "1 patch" if batch.patches == 1 else f"{batch.patches} patches"
        lines += _labelled("Ground", [f"{patches}, {wording.show(batch.ground, 'area')}"])
    if batch.nitrogen is not None:
        lines += _labelled("Droppings", [f"{wording.show(batch.nitrogen, 'mass')} of nitrogen"])
    lines += _labelled("Weight", [_weighs(one, wording) for one in batch.yields])
    cites = [cite_words(one.cites, sources, brief=True) for one in batch.yields if one.cites]
    for says in dict.fromkeys(cites):
        lines += _wrapped(f"Dressed weights: {says}", indent=2, hang=11)
    return lines


def _labelled(label: str, parts: list[str]) -> list[str]:
    lines = []
    for number, part in enumerate(parts):
        head = label if not number else ""
        lines += _wrapped(
            f"{head:<11}{part}" if head else f"{part}", 2 if head else 13, 11 if head else 2
        )
    return lines


def _protein(share: float | None) -> str:
    return "of feed (protein not written)" if share is None else f"of {share * 100:.3g} % protein"


def _weighs(one: Yield, wording: Wording) -> str:
    def kg(value: float) -> str:
        return wording.show(value, "mass")

    when = day_words(one.day)
    when = f"on {when}" if one.ends else f"by {when}, as far as was looked"
    if one.live is None:
        return f"{one.words}, {when}: not known"
    said = f"{one.birds} of {kg(one.live)} {when}, {kg(one.birds * one.live)} alive"
    if len(one.words.split()) > 1 and one.words.startswith("group"):
        said = f"{one.words}: {said}"
    if one.least is None or one.most is None:
        return said
    each = f"{kg(one.least)} to {kg(one.most)}"
    every = f"{kg(one.birds * one.least)} to {kg(one.birds * one.most)}"
    return f"{said}; dressed {every}, {each} each"


__all__ = ["write"]
