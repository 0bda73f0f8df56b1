"""One rule taught: everything that `flockcheck why` tells of it, as plain data.

The text (`whytext`) and the JSON are both made from this. What is in words is ready to be read;
values and citations stand beside it as the rule file has them.
"""

from __future__ import annotations

from typing import Any

from flockcheck.checkup.check import Asked, ask_all, check
from flockcheck.checkup.model import Report
from flockcheck.checkup.readers import Scope
from flockcheck.checkup.wording import Wording, item_words
from flockcheck.checkup.working import working_of
from flockcheck.measures.graph.run import Run
from flockcheck.reports.jsonform import setup_data
from flockcheck.reports.rulewords import RuleWords, both, key_description, name_of
from flockcheck.reports.sources import cite_words
from flockcheck.reports.workingdata import working_data
from flockcheck.rulebook.book import Rulebook
from flockcheck.rulebook.model import Limit, Rule
from flockcheck.setup.form import general
from flockcheck.setup.written import Setup
from flockcheck.tables import Row, Table
from flockcheck.text.quantities import DIMENSIONS, base_unit

_ITEMS = {
    "": "the pen",
    "group": "the birds",
    "feeder": "the feeder",
    "drinker": "the drinker",
    "guardian": "the guardian",
    "predator": "the predator",
}
# What a limit's table goes along when that is no measure: its bare number has no unit then.
_NUMBER = "number"


def lesson(rule: Rule, book: Rulebook) -> dict[str, Any]:
    """A rule as a newcomer reads it."""
    words = RuleWords(rule, book)
    limits = [_limit(one, words, book) for one in rule.limits if not one.standard]
    instead: list[dict[str, Any]] = [
        {
            "where_missing": list(other.missing),
            "limits": [_limit(one, words, book) for one in other.limits],
        }
        for other in rule.otherwise
    ]
    standards = [
        {"standard": one.standard, **_limit(one, words, book)}
        for one in rule.limits
        if one.standard
    ]
    every = [*limits, *(one for other in instead for one in other["limits"]), *standards]
    stands_in = [one for one in book.rules.values() if rule.name in one.instead_of]
    return {
        "rule": rule.name,
        "topic": rule.topic,
        "book": rule.book,
        "asks": rule.asks,
        "title": rule.title,
        "each": rule.each or None,
        "on": rule.on,
        "asked": words.asked(),
        "reminder": rule.always,
        "why": rule.why,
        "limits": limits,
        "instead": instead,
        "standards": standards,
        "tables": _tables(every, book),
        "caution": rule.caution or None,
        "helps": [fix.words.replace("{item}", _ITEMS[rule.each]) for fix in rule.fixes],
        "look": rule.look or None,
        "stood_in_for_by": [{"rule": one.name, "title": one.title} for one in stands_in],
        "stands_in_for": [
            {"rule": name, "title": book.rules[name].title} for name in rule.instead_of
        ],
        "setup": None,
    }


def _limit(limit: Limit, words: RuleWords, book: Rulebook) -> dict[str, Any]:
    fails = words.fails(limit)
    return {
        "looks_at": name_of(limit.term),
        "in_words": words.looked_at(limit.term),
        "grade": limit.grade,
        "comparator": limit.comparator,
        "value": limit.value[1] if limit.value[0] == "literal" else None,
        "unit": base_unit(limit.dimension) if limit.dimension in DIMENSIONS else None,
        "fails_if": fails.says,
        "along": fails.along or None,
        "points": [list(point) for point in fails.points],
        "table": fails.table or None,
        "column": fails.column or None,
        "where": words.condition(limit.when, limit.term) if limit.when else None,
        "caution": limit.caution or None,
        "source": {**limit.cites, "says": cite_words(limit.cites, book.sources)},
    }


def _tables(limits: list[dict[str, Any]], book: Rulebook) -> list[dict[str, Any]]:
    """The table columns that limits are read from, each once."""
    wanted = dict.fromkeys((one["table"], one["column"]) for one in limits if one["table"])
    return [_table(book.tables[name], column, book) for name, column in wanted]


def _table(table: Table, column: str, book: Rulebook) -> dict[str, Any]:
    node = book.registry.nodes.get(table.along)
    along = node.spec.gives if node else _NUMBER
    return {
        "table": table.name,
        "column": column,
        "says": table.says,
        "along": table.along or None,
        "between": table.between if table.along else None,
        "rows": [_row(row, table, column, along, book) for row in table.rows],
    }


def _row(row: Row, table: Table, column: str, along: str, book: Rulebook) -> dict[str, Any]:
    ys = [both(y, row.kinds.get(column, table.units[column])) for y in row.ys[column]]
    return {
        "for": {word: list(found) for word, found in row.where.items()},
        "points": [[both(x, along), y] for x, y in zip(row.xs, ys, strict=True)] if row.xs else [],
        "value": None if row.xs else ys[0],
        "source": {**row.cites, "says": cite_words(row.cites, book.sources, brief=True)},
    }


def answered(rule: Rule, book: Rulebook, setup: Setup, units: str = "written") -> dict[str, Any]:
    """What a rule comes to for one setup, for the key `setup` of a lesson.

    `state` of each answer is found, nothing, in part, not checked, not asked, or said by another
    (a rule that stands in for this one). `working` is the way from the keeper's own values to the
    worst of what is found, or to what has the least to spare.
    """
    report = check(setup, book, units=units)
    run = Run(setup, book.registry, book.tables)
    asked = [] if rule.always or report.errors else ask_all(rule, run, ())
    found = {
        one["about"]: one for one in setup_data(report)["findings"] if one["rule"] == rule.name
    }
    return {
        "file": report.file,
        "name": report.name or None,
        "verdict": report.verdict,
        "from_club": list(report.from_club),
        "reminds": rule.name in report.reminders,
        "answers": [_answer(one, found.get(one.about), report, book, run) for one in asked],
        "working": _working(rule, book, run, asked, report, Wording(setup, units)),
        "errors": [{"line": fault.line, "says": fault.says} for fault in report.errors],
    }


def _working(
    rule: Rule, book: Rulebook, run: Run, asked: list[Asked], report: Report, wording: Wording
) -> dict[str, Any] | None:
    answers = [(one.item, one.answer) for one in asked]
    findings = [one for one in report.findings if one.rule == rule.name]
    found = working_of(rule, run, answers, findings, wording)
    return working_data(found, run, book, wording) if found else None


def _answer(
    asked: Asked, finding: dict[str, Any] | None, report: Report, book: Rulebook, run: Run
) -> dict[str, Any]:
    rule, answer = asked.rule, asked.answer
    keys = dict.fromkeys(general(key) for lacks in answer.lacks for key in lacks.keys)
    there = not rule.each or asked.item is not None
    return {
        "about": asked.about,
        "item": item_words(Scope(run, rule.each, asked.item)) if there else None,
        "state": _state(answer.state, bool(answer.failed), finding is not None),
        "finding": finding,
        "needs": [{"key": key.replace(".*", ""), "says": key_description(key)} for key in keys],
        "why": next((lacks.why for lacks in answer.lacks if lacks.why), None),
        "said_by": _said_by(rule, report, book) if answer.failed and finding is None else [],
    }


def _state(state: str, failed: bool, found: bool) -> str:
    if found:
        return "found"
    if failed:
        return "said by another"
    return {"checked": "nothing", "partly": "in part"}.get(state, state)


def _said_by(rule: Rule, report: Report, book: Rulebook) -> list[str]:
    """The rules of this report's findings that stand in for a rule."""
    found = {finding.rule for finding in report.findings}
    return [
        other.name
        for other in book.rules.values()
        if rule.name in other.instead_of and other.name in found
    ]
