"""What the checks against publications share: the built-in rulebook, birds by age, whole setups.

Expected numbers never come from here. Each test types them in from the publication it names;
"typed from memory" marks a figure that was not read off the page when the test was written.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from datetime import date, timedelta
from functools import cache
from typing import Any, NamedTuple

import yaml

from flockcheck.checkup.check import check
from flockcheck.checkup.model import Finding, Report
from flockcheck.measures.graph.run import Run
from flockcheck.rulebook.book import Rulebook
from flockcheck.setup.reader import read_setup_text
from flockcheck.setup.written import Setup
from flockcheck.tables import Table
from flockcheck.workshop import tools

# Expected numbers are typed with few digits; our arithmetic adds a few roundings of doubles.
EXACT = 1e-9
HATCHED = date(2027, 4, 1)
GRAMS = 1000.0
ML = 1e6
WEEK = 7


class Bird(NamedTuple):
    """The words that tables ask of a group of birds."""

    kind: str
    growth: str = "fast"
    sexes: str = "mixed"


class Kit(NamedTuple):
    """The word that tables ask of a feeder or drinker."""

    form: str


@cache
def book() -> Rulebook:
    """The built-in rulebook, as a run of the program has it."""
    return tools().rulebook


def table(name: str) -> Table:
    """A table of the built-in rulebook."""
    return book().tables[name]


def figure(name: str) -> float:
    """A chosen figure, in base units."""
    return float(table("figures")("value", figure=name))


def setup_of(keys: Mapping[str, Any]) -> Setup:
    """A setup of these keys alone (`pen.roof.cover`, `birds.0.count`), read like a file."""
    return read_setup_text(json.dumps(_nested(dict(keys))), "outside.flock.yaml")


def run_of(keys: Mapping[str, Any]) -> Run:
    """The measures of a setup of these keys alone."""
    return Run(setup_of(keys), book().registry, book().tables)


def flock(kind: str, growth: str = "", sexes: str = "mixed", days: int = 63) -> dict[str, Any]:
    """The keys of ten birds that are in the pen from the day they hatch, for so many days.

    So the entry for a day is the one for that age: 0 for the day of hatching.
    """
    keys = {
        "flockcheck": 1,
        "pen.length": "4 m",
        "pen.width": "2.5 m",
        "birds.0.kind": kind,
        "birds.0.count": 10,
        "birds.0.hatched": HATCHED.isoformat(),
        "birds.0.out": HATCHED.isoformat(),
        "birds.0.leaves": (HATCHED + timedelta(days=days)).isoformat(),
        "birds.0.sexes": sexes,
    }
    return {**keys, "birds.0.growth": growth} if growth else keys


def by_age(measure: str, birds: Mapping[str, Any], **more: Any) -> list[float]:
    """A measure of one bird by its age in days; `more` are keys with `__` for the dot."""
    keys = {**birds, **{key.replace("__", "."): value for key, value in more.items()}}
    found = run_of(keys).value(measure, 0)
    return [float(value) for value in found if value is not None]


@cache
def weights(kind: str, growth: str = "", sexes: str = "mixed", days: int = 63) -> list[float]:
    """The live weight in g by age in days."""
    return [GRAMS * kg for kg in by_age("live_weight", flock(kind, growth, sexes, days))]


@cache
def eaten(kind: str, growth: str = "", sexes: str = "mixed", days: int = 63) -> list[float]:
    """The feed in g that a bird has eaten up to each age: the daily feed added up."""
    total = [0.0]
    for feed in by_age("grower_feed", flock(kind, growth, sexes, days)):
        total.append(total[-1] + GRAMS * feed)
    return total


@cache
def base() -> dict[str, Any]:
    """The base setup of the rulebook by dotted keys, every value as text."""
    found: dict[str, Any] = {}
    _flatten(yaml.load(book().base(), Loader=yaml.BaseLoader), "", found)
    return found


def changed(changes: Mapping[str, Any], without: Iterable[str] = ()) -> dict[str, Any]:
    """The base setup with keys changed; `without` drops keys, or all that lies below them."""
    gone = tuple(without)
    kept = {
        key: value
        for key, value in base().items()
        if not any(key == one or key.startswith(f"{one}.") for one in gone)
    }
    return {**kept, **changes}


def report_of(keys: Mapping[str, Any]) -> Report:
    """The report of a setup of these keys. Fails where a measure or the file itself failed."""
    report = check(setup_of(keys), book())
    assert not report.errors, report.errors
    assert not report.failures, report.failures
    return report


def found(report: Report, rule: str, about: str | None = None) -> Finding | None:
    """What a rule found, about one item where `about` names it; the rule must have been judged."""
    open_questions = [
        one for one in report.not_checked if one.rule == rule and about in (None, one.about)
    ]
    assert not open_questions, open_questions
    for finding in report.findings:
        if finding.rule == rule and about in (None, finding.about):
            return finding
    return None


def grade(report: Report, rule: str, about: str | None = None) -> str:
    """The grade that a rule gave, or "nothing"."""
    finding = found(report, rule, about)
    return finding.grade if finding else "nothing"


def rises_between(values: list[float], points: Iterable[int]) -> None:
    """Fail unless values rise from each point to the next and stay between the two."""
    ages = list(points)
    for start, end in zip(ages, ages[1:], strict=False):
        stretch = values[start : end + 1]
        assert stretch == sorted(stretch), (start, end)
        assert len(set(stretch)) == len(stretch), (start, end)


def _flatten(node: Any, path: str, into: dict[str, Any]) -> None:
    """Dotted keys; lists of words, and what is empty, stay whole."""
    if isinstance(node, dict) and node:
        for key, value in node.items():
            _flatten(value, f"{path}.{key}" if path else str(key), into)
    elif isinstance(node, list) and any(isinstance(item, dict) for item in node):
        for at, item in enumerate(node):
            _flatten(item, f"{path}.{at}", into)
    else:
        into[path] = node


def _nested(keys: dict[str, Any]) -> Any:
    """`{"a.0.b": 1}` as `{"a": [{"b": 1}]}`."""
    heads: dict[str, dict[str, Any]] = {}
    whole: dict[str, Any] = {}
    for key, value in keys.items():
        head, _, rest = key.partition(".")
        if rest:
            heads.setdefault(head, {})[rest] = value
        else:
            whole[head] = value
    whole |= {head: _nested(below) for head, below in heads.items()}
    if whole and all(key.isdigit() for key in whole):
        return [whole[key] for key in sorted(whole, key=int)]
    return whole
