"""Workings for tests: of fixtures and of the examples that stand in the rule files."""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Any, NamedTuple

from flockcheck.checkup.check import ask_all, check
from flockcheck.checkup.examples import base_document, changed_setup, read_examples
from flockcheck.checkup.finding import finding_of
from flockcheck.checkup.model import Finding
from flockcheck.checkup.readers import Scope
from flockcheck.checkup.wording import Wording
from flockcheck.checkup.working import working_of
from flockcheck.measures.graph.run import Run
from flockcheck.reports.lesson import answered, lesson
from flockcheck.reports.whytext import rule_text
from flockcheck.reports.workingdata import working_data
from flockcheck.rulebook.model import Rule
from flockcheck.setup.reader import SetupError, read_setup_text
from flockcheck.setup.written import Setup
from tests.little_cases import ROOT
from tests.outside.cases import book

GRADES = ("tip", "watch", "mend", "stop")


class Case(NamedTuple):
    """A working, the finding it belongs to and the setup it is for."""

    setup: Setup
    finding: Finding
    working: dict[str, Any]


def working(rule: Rule, setup: Setup, found: list[Finding]) -> dict[str, Any] | None:
    """The working of a rule for a setup whose findings are known."""
    run, wording = Run(setup, book().registry, book().tables), Wording(setup)
    answers = [(one.item, one.answer) for one in ask_all(rule, run, ())]
    made = working_of(rule, run, answers, found, wording)
    return working_data(made, run, book(), wording) if made else None


@cache
def fixture(path: str) -> Setup | None:
    """A fixture that can be read."""
    try:
        return read_setup_text((ROOT / path).read_text(encoding="utf-8"), path)
    except SetupError:
        return None


def fixtures() -> list[str]:
    """The fixtures that can be read."""
    found = sorted(
        path.relative_to(ROOT).as_posix() for path in (ROOT / "fixtures").rglob("*.flock.yaml")
    )
    return [path for path in found if fixture(path) is not None]


def of_rule(rule: Rule, setup: Setup) -> Case:
    """A working for one rule that finds something, the other rules left aside."""
    run, wording = Run(setup, book().registry, book().tables), Wording(setup)
    findings = [
        finding_of(rule, Scope(run, rule.each, one.item), list(one.answer.failed), wording)
        for one in ask_all(rule, run, ())
        if one.answer.failed
    ]
    findings.sort(key=lambda one: -GRADES.index(one.grade))
    made = working(rule, setup, findings)
    assert made is not None
    return Case(setup, findings[0], made)


def of_setup(setup: Setup) -> Iterator[Case]:
    """A working for each rule that finds something."""
    report = check(setup, book())
    for name in dict.fromkeys(one.rule for one in report.findings):
        rule = book().rules.get(name)
        if rule is None:
            continue
        found = [one for one in report.findings if one.rule == name]
        made = working(rule, setup, found)
        assert made is not None, name
        yield Case(setup, found[0], made)


def failing_examples(rule: Rule) -> Iterator[Setup]:
    """The setups of a rule's own examples that find something."""
    base = base_document((ROOT / "rules" / "base.flock.yaml").read_text(encoding="utf-8"))
    path = ROOT / "rules" / rule.topic / f"{rule.name}.yaml"
    for example in read_examples(path.read_bytes()):
        if example.finds in GRADES:
            yield changed_setup(base, example.changes, f"{rule.name}:{example.line}")


def printed(rule: str, path: str) -> str:
    """What `why` prints below its heading of the working."""
    setup = read_setup_text(Path(ROOT / path).read_text(encoding="utf-8"), path)
    data = lesson(book().rules[rule], book())
    data["setup"] = answered(book().rules[rule], book(), setup)
    text = rule_text(data)
    assert max(map(len, text.splitlines())) <= 80
    return text[text.index("\nThe working") + 1 :]


def figure(text: str, name: str) -> float:
    """The number that the printed line of a measure or key shows."""
    flat = " ".join(text.split())
    found = re.search(rf"(?:\({name}\)[^:]*|\b{name}, line \d+|Table {name}): (-?[\d.]+)", flat)
    assert found, name
    return float(found.group(1))


def last_line(text: str) -> tuple[float, float]:
    """The two numbers of the last line: what came out, and the limit."""
    flat = " ".join(text.split()).rpartition(". ")[0]
    found = re.search(r" (-?[\d.]+)[^;\d]*; the limit is (-?[\d.]+)[^;\d]*: \w[\w ]*$", flat)
    assert found, flat[-200:]
    return float(found.group(1)), float(found.group(2))
