"""One example tried: its setup is made, its rule is asked, and the outcome held against it."""

from __future__ import annotations

from typing import Any

from flockcheck.checkup.evaluate import holds
from flockcheck.checkup.examples import Example, ExampleError, changed_setup
from flockcheck.checkup.finding import finding_of
from flockcheck.checkup.judge import Answer, ask, unknown
from flockcheck.checkup.model import Finding
from flockcheck.checkup.readers import Scope
from flockcheck.checkup.wording import Wording
from flockcheck.measures.graph.run import Run
from flockcheck.rulebook.book import Rulebook
from flockcheck.rulebook.model import GRADES, Rule
from flockcheck.setup.sections import ITEMS
from flockcheck.setup.view import Missing
from flockcheck.setup.written import Setup
from flockcheck.text.records import NamedTuple

# An item's place in its list (None: the pen, or a list that is not written) and the answer for it.
Answers = list[tuple[int | None, Answer]]


class Trial(NamedTuple):
    """A changed setup, and what a rule answers to it."""

    rule: Rule
    setup: Setup
    run: Run
    answers: Answers


def tried(
    rulebook: Rulebook,
    rule: Rule,
    base: dict[str, Any],
    changes: dict[str, Any],
    standards: tuple[str, ...] = (),
) -> Trial:
    """A rule's answers to the base setup with some changes; `standards` are judged as well.

    Raises ExampleError where the changes make no setup, and where a measure fails on it.
    """
    setup = changed_setup(base, changes, "example")
    run = Run(setup, rulebook.registry, rulebook.tables)
    answers = _answers(rule, run, standards)
    if run.failures:
        failed = run.failures[0]
        raise ExampleError(f"the measure {failed.measure} failed: {failed.says}")
    return Trial(rule, setup, run, answers)


def _answers(rule: Rule, run: Run, standards: tuple[str, ...]) -> Answers:
    """A rule's answers, one for each item; a list that is not written is one open question."""
    if rule.always:
        truth = holds(Scope(run), rule.when) if rule.when else True
        days = truth if isinstance(truth, list) else [truth]
        state = "checked" if any(day is True for day in days) else "not asked"
        return [(None, Answer(state, (), (), {}))]
    if not rule.each:
        return [(None, ask(rule, run, None, standards))]
    try:
        count = len(run.items(rule.each))
    except Missing as error:
        return [(None, unknown(rule, error, standards))]
    return [(item, ask(rule, run, item, standards)) for item in range(count)]


def amiss(example: Example, trial: Trial) -> str:
    """What an example's outcome is, where it is not what the example says; empty where it is.

    Raises ExampleError for an item that is not there.
    """
    answers = _meant(example, trial)
    if example.standard:
        return _amiss_of_standard(example, [answer for _, answer in answers])
    wording = Wording(trial.setup)
    found = [
        finding_of(trial.rule, Scope(trial.run, trial.rule.each, item), list(one.failed), wording)
        for item, one in answers
        if one.failed
    ]
    asked = [answer for _, answer in answers if answer.state != "not asked"]
    outcome = _outcome(example, asked, found)
    lacks = [error for answer in asked for error in answer.lacks]
    named = _keys(lacks)
    if outcome != example.finds:
        told = f": {found[0].says}" if found else f": {named} is missing" if named else ""
        return f"it finds {outcome}, not {example.finds}{told}"
    return _other_needs(example, lacks) or _other_days(example, found)


def _amiss_of_standard(example: Example, answers: list[Answer]) -> str:
    """The same for an example about the limits of a standard."""
    broken = [one.broken[example.standard] for one in answers if example.standard in one.broken]
    lacks = [one for one in broken if isinstance(one, Missing)]
    if any(one is True for one in broken):
        outcome, lacks = "broken", []
    elif broken:
        outcome = "not checked" if lacks else "kept"
    else:
        outcome = "not asked"
    if outcome != example.finds:
        named = _keys(lacks)
        told = f": {named} is missing" if named else ""
        return f"{example.standard} is {outcome}, not {example.finds}{told}"
    return _other_needs(example, lacks)


def _keys(lacks: list[Missing]) -> str:
    return ", ".join(f"`{key}`" for key in dict.fromkeys(key for one in lacks for key in one.keys))


def _other_needs(example: Example, lacks: list[Missing]) -> str:
    """What is named as missing, where the example names other keys."""
    if {key for one in lacks for key in one.keys} == set(example.needs):
        return ""
    why = next((f" ({error.why})" for error in lacks if error.why), "")
    return f"it names {_keys(lacks) or 'nothing'} as missing{why}; `needs` should say the same"


def _meant(example: Example, trial: Trial) -> Answers:
    """The answers that an example is about."""
    if not example.item:
        return trial.answers
    meant: Answers = [
        (item, answer)
        for item, answer in trial.answers
        if item is not None and example.item in _called(trial.rule, trial.run, item)
    ]
    if not meant:
        raise ExampleError(f"`{example.item}` is not among the things that the rule is asked of")
    return meant


def _called(rule: Rule, run: Run, item: int) -> tuple[str, str]:
    """What an item may be called in an example: its place, or a predator's name."""
    thing = run.items(rule.each)[item]
    return f"{ITEMS[rule.each]}.{item}", thing if isinstance(thing, str) else ""


def _outcome(example: Example, asked: list[Answer], found: list[Finding]) -> str:
    grades = [one.grade for one in found]
    if example.on:
        grades = [
            span.grade
            for one in found
            for span in one.spans
            if span.first.isoformat() <= example.on <= span.last.isoformat()
        ] + [one.grade for one in found if not one.spans]
    if grades:
        return max(grades, key=GRADES.index)
    if not asked:
        return "not asked"
    return "not checked" if any(one.state == "not checked" for one in asked) else "nothing"


def _other_days(example: Example, found: list[Finding]) -> str:
    """What the days of the findings are, where the example says others."""
    spans = [span for one in found for span in one.spans]
    first = min((span.first.isoformat() for span in spans), default="no day on")
    last = max((span.last.isoformat() for span in spans), default="no day on")
    if example.first and example.first != first:
        return f"it begins from {first}, not from {example.first}"
    if example.last and example.last != last:
        return f"it lasts until {last}, not until {example.last}"
    return ""
