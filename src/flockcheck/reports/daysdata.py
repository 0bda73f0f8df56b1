"""The days for other programs: JSON in base units, and CSV in the keeper's."""

from __future__ import annotations

import csv
import io
import json
from typing import Any

from flockcheck import __version__
from flockcheck.checkup.ledger import Batch, Begin, Column, Ledger, Row, Yield
from flockcheck.checkup.wording import Wording
from flockcheck.reports.daysunits import in_unit, plain, unit_of, whole_unit
from flockcheck.text.quantities import base_unit

DAYS = 1


def write_json(book: Ledger) -> str:
    """The whole stay as one JSON text, ending in a newline; its schema is `days.schema.json`."""
    return json.dumps(days_data(book), indent=2, ensure_ascii=False) + "\n"


def days_data(book: Ledger) -> dict[str, Any]:
    """The whole stay as plain data, every value in base units."""
    report = book.report
    return {
        "flockcheck": {"version": __version__, "days": DAYS},
        "file": report.file,
        "name": report.name or None,
        "verdict": report.verdict,
        "ready_until": plain(report.ready_until),
        "open_end": report.open_end,
        "from_club": list(report.from_club),
        "from": plain(book.first),
        "to": plain(book.last),
        "every": book.every,
        "groups": [
            {"about": one.about, "words": one.words, "count": one.birds}
            for one in book.batch.yields
        ],
        "columns": [_column(column) for column in book.columns],
        "rows": [_row(row) for row in book.rows],
        "batch": _batch(book.batch),
    }


def _column(column: Column) -> dict[str, Any]:
    return {
        "name": column.name,
        "unit": _unit(column),
        "by_group": column.by_group,
        "over_days": column.over,
        "needs": list(column.needs),
        "why": column.why or None,
    }


def _unit(column: Column) -> str:
    unit = base_unit(column.dimension)
    # What a column adds up is an amount, of one day or of several.
    return whole_unit(unit) if column.over == "sum" else unit


def _row(row: Row) -> dict[str, Any]:
    values = {name: plain(value) for name, value in row.values.items()}
    begins = [_begin(one) for one in row.begins]
    return {"from": plain(row.first), "to": plain(row.last), **values, "begins": begins}


def _begin(one: Begin) -> dict[str, Any]:
    return {
        "day": plain(one.day),
        "grade": one.grade,
        "rule": one.rule,
        "about": one.about,
        "title": one.title,
    }


def _batch(batch: Batch) -> dict[str, Any]:
    return {
        "days": batch.days,
        "rations": [
            {
                "from": plain(one.first),
                "to": plain(one.last),
                "protein": plain(one.protein),
                "feed": plain(one.feed),
            }
            for one in batch.rations
        ],
        "feed": plain(batch.feed),
        "water": plain(batch.water),
        "nitrogen": plain(batch.nitrogen),
        "patches": batch.patches,
        "ground": plain(batch.ground),
        "yields": [_yield(one) for one in batch.yields],
    }


def _yield(one: Yield) -> dict[str, Any]:
    return {
        "about": one.about,
        "birds": one.birds,
        "day": plain(one.day),
        "leaves_written": one.ends,
        "live": plain(one.live),
        "dressed_least": plain(one.least),
        "dressed_most": plain(one.most),
        "source": dict(one.cites) if one.cites else None,
    }


def write_csv(book: Ledger, wording: Wording) -> str:
    """A line for each row under a line of heads, each with its unit; empty where unknown."""
    text = io.StringIO()
    sheet = csv.writer(text, lineterminator="\n")
    units = [(column, unit_of(column, wording)[0]) for column in book.columns]
    heads = ["from", "to"]
    for column, unit in units:
        shown = whole_unit(unit) if column.over == "sum" else unit
        name = column.name.replace("_", " ") + (f" ({shown})" if shown else "")
        if column.by_group and len(column.series) > 1:
            heads += [f"{name}, group {at + 1}" for at in range(len(column.series))]
        else:
            heads.append(name)
    sheet.writerow([*heads, "begins"])
    for row in book.rows:
        cells = [row.first.isoformat(), row.last.isoformat()]
        for column, unit in units:
            value = row.values[column.name]
            for one in value if column.by_group else (value,):
                cells.append("" if one is None else f"{in_unit(one, column, unit):.12g}")
        cells.append("; ".join(f"{one.grade} {one.rule}" for one in row.begins))
        sheet.writerow(cells)
    return text.getvalue()
