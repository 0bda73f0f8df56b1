"""A rulebook's proof: each example of each rule is tried, and the kinds that lack are named.

An example changes the base setup, and only its own rule is asked of the outcome. Besides, the base
setup itself must find nothing under any rule. Nothing is printed here; a `Proof` is data.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from flockcheck.checkup.check import check
from flockcheck.checkup.examples import (
    LEFT_OUT,
    Example,
    ExampleError,
    base_document,
    read_examples,
)
from flockcheck.checkup.sides import Sides
from flockcheck.checkup.trial import Trial, amiss, tried
from flockcheck.rulebook.book import Rulebook
from flockcheck.rulebook.model import Rule
from flockcheck.setup.form import general, shape_of
from flockcheck.setup.reader import SetupError, read_setup_text
from flockcheck.setup.written import Setup
from flockcheck.text.document import DocumentError, decode
from flockcheck.text.records import NamedTuple

BASE = "base.flock.yaml"


class Wrong(NamedTuple):
    """An example that came out otherwise, or what the base setup finds: file, line and words."""

    rule: str
    file: str
    line: int
    says: str


class Lack(NamedTuple):
    """A kind of example that a rule could have and has not.

    `kind` is nothing, grade, limit, standard, units or not checked.
    """

    rule: str
    file: str
    kind: str
    says: str


class Proof(NamedTuple):
    """What came of proving a rulebook: how many rules and examples, and what is amiss.

    `unchecked` are the questions that the base setup leaves open, as rule and missing keys.
    """

    rules: int
    examples: int
    wrong: tuple[Wrong, ...]
    lacks: tuple[Lack, ...]
    unchecked: tuple[tuple[str, tuple[str, ...]], ...]

    @property
    def passes(self) -> bool:
        """Whether every example came out as it says and none lacks."""
        return not self.wrong and not self.lacks


def prove(rulebook: Rulebook, files: Mapping[str, bytes]) -> Proof:
    """Prove the rules of one folder, whose files are given by their relative paths.

    `rulebook` is the book they were compiled into, alone or on top of others; the folder's own base
    setup is taken where it has one. Raises nothing for a book that compiles.
    """
    wrong: list[Wrong] = []
    lacks: list[Lack] = []
    examples = 0
    try:
        text = decode(files[BASE]) if BASE in files else rulebook.base()
        base, whole = base_document(text), read_setup_text(text, BASE)
    except (DocumentError, SetupError) as error:
        spoiled = [Wrong("", BASE, fault.line, fault.says) for fault in error.faults]
        return Proof(0, 0, tuple(spoiled), (), ())
    rules = [
        (file, rule)
        for file in sorted(files)
        if (rule := rulebook.rules.get(_name(file))) and file == f"{rule.topic}/{rule.name}.yaml"
    ]
    for file, rule in rules:
        proving = _Proving(rulebook, rule, file, base, whole)
        for example in read_examples(files[file]):
            examples += 1
            proving.example(example)
        wrong += proving.wrong
        lacks += proving.lacking()
    report = check(whole, rulebook)
    wrong += [
        Wrong(one.rule, BASE, one.place.line, f"the base setup finds {one.grade}: {one.says}")
        for one in report.findings
    ]
    wrong += [Wrong("", BASE, one.line, one.says) for one in report.errors]
    open_questions = (*report.not_checked, *report.partly_checked)
    return Proof(
        len(rules),
        examples,
        tuple(wrong),
        tuple(lacks),
        tuple((one.rule, one.needs) for one in open_questions),
    )


def _name(file: str) -> str:
    return file.rpartition("/")[2].removesuffix(".yaml")


class _Proving:
    """The examples of one rule, one after the other, and what they have shown so far."""

    def __init__(
        self, rulebook: Rulebook, rule: Rule, file: str, base: dict[str, Any], whole: Setup
    ) -> None:
        self.rulebook = rulebook
        self.rule = rule
        self.file = file
        self.base = base
        self.whole = whole
        self.wrong: list[Wrong] = []
        # What examples showed: an answer, or that a standard is kept or broken.
        self.found: set[str] = set()
        self.sides = Sides(rule)
        # Keys that the rule read, each with the changes of the first example in which it did; and
        # whether an example wrote one of them in another family of units than the base setup.
        self.heard: dict[str, dict[str, Any]] = {}
        self.other_units = False

    def example(self, example: Example) -> None:
        """Try an example; what comes out otherwise is kept."""
        try:
            asked = (example.standard,) if example.standard else ()
            trial = tried(self.rulebook, self.rule, self.base, example.changes, asked)
            says = amiss(example, trial)
        except ExampleError as error:
            says = error.says
        else:
            self.sides.take(trial.run)
            if not says:
                self.found.add(f"{example.standard} {example.finds}".strip())
                self.hear(trial, example.changes)
        if says:
            self.wrong.append(Wrong(self.rule.name, self.file, example.line, says))

    def hear(self, trial: Trial, changes: dict[str, Any]) -> None:
        """Note what the rule read of an example's setup, and in which units it was written."""
        if all(answer.state == "not asked" for _, answer in trial.answers):
            return
        for path in trial.run.everything:
            self.heard.setdefault(path, changes)
            written = trial.setup.values.get(path)
            before = self.whole.values.get(path)
            if not (written and written.family) or (before and before.text == written.text):
                continue
            dimension = str((shape_of(general(path)) or {}).get("dimension", ""))
            if written.family != self.whole.family(dimension):
                self.other_units = True

    def lacking(self) -> list[Lack]:
        """The kinds of example that the rule could have and has not."""
        rule = self.rule
        if rule.always:
            return [] if "nothing" in self.found else [self._lack("nothing", "finds nothing")]
        own = any(not limit.standard for limit in rule.limits) or bool(rule.otherwise)
        silent = own and "nothing" not in self.found
        lacks = [self._lack("nothing", "finds nothing")] if silent else []
        lacks += [
            self._lack("grade", f"finds {grade}")
            for grade in rule.grades
            if grade not in self.found
        ]
        lacks += [self._lack("limit", says) for says in self.sides.lacking()]
        standards = sorted({limit.standard for limit in rule.limits if limit.standard})
        lacks += [
            self._lack("standard", f"finds {name} {outcome}")
            for name in standards
            for outcome in ("kept", "broken")
            if f"{name} {outcome}" not in self.found
        ]
        if not self.other_units and any(self._has_units(path) for path in self.heard):
            lacks.append(self._lack("units", "is written in other units than the base setup"))
        if "not checked" not in self.found:
            key = self._could_lack()
            if key:
                lacks.append(self._lack("not checked", f"leaves out `{key}` and is not checked"))
        return lacks

    def _lack(self, kind: str, says: str) -> Lack:
        return Lack(self.rule.name, self.file, kind, f"no example {says}")

    def _has_units(self, path: str) -> bool:
        written = self.whole.values.get(path)
        return bool(written and written.family)

    def _could_lack(self) -> str:
        """A key without which the rule is not checked; empty where there is none."""
        for path, changes in sorted(self.heard.items()):
            kept = {
                key: value
                for key, value in changes.items()
                if key != path and not key.startswith(f"{path}.")
            }
            try:
                trial = tried(self.rulebook, self.rule, self.base, {**kept, path: LEFT_OUT})
            except ExampleError:
                continue
            if any(answer.state == "not checked" for _, answer in trial.answers):
                return path
        return ""
