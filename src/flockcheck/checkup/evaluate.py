"""The values and conditions of a rule, made into functions that are called for each item.

A rulebook's tagged lists are taken apart once, and what comes of them is asked of thousands of
setups. A condition is true, false or unknown, and may differ by day.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, cast

from flockcheck.checkup.comparing import against, by_days, compare, in_days
from flockcheck.checkup.readers import (
    HOLDERS,
    Reader,
    Scope,
    literal,
    measure_reader,
    or_raised,
    plain_reader,
    term_reader,
)
from flockcheck.checkup.truths import Tri, every, merged, some
from flockcheck.measures.graph.inputs import copy_of
from flockcheck.measures.graph.registry import Registry
from flockcheck.rulebook.model import Expression
from flockcheck.setup.form import kind_of, shape_of
from flockcheck.setup.sections import ITEMS
from flockcheck.setup.view import Missing
from flockcheck.setup.written import Setup

Condition = Callable[[Scope], Tri]


def value_reader(expression: Expression, registry: Registry) -> Reader:
    """How what a comparator compares with is read."""
    if expression[0] == "each_bird":
        return _each_bird(expression, registry)
    return plain_reader(expression, registry)


def value_of(scope: Scope, expression: Expression) -> Any:
    """What a comparator compares with: one thing or a list by day. Raises Missing."""
    return or_raised(value_reader(expression, scope.run.registry)(scope))


def _each_bird(expression: Expression, registry: Registry) -> Reader:
    """The sum over the birds present, each at its age; None on days without any of them."""
    of = condition_of(expression[2], registry, "group") if expression[2] else None
    each = value_reader(expression[1], registry)
    here = measure_reader("birds_here", by_item=True)

    def read(scope: Scope) -> Any:
        run = scope.run
        totals: list[float | None] = [None] * len(run.days)
        lacking: list[Missing] = []
        for at in range(len(run.items("group"))):
            inner = Scope(run, "group", at, scope)
            truth = of(inner) if of else True
            if truth is False:
                continue
            if isinstance(truth, Missing):
                lacking.append(truth)
                continue
            count, wanted = here(inner), each(inner)
            if Missing in (type(count), type(wanted)):
                lacking.append(count if type(count) is Missing else wanted)
                continue
            days = zip(
                count, in_days(wanted, len(totals)), in_days(truth, len(totals)), strict=True
            )
            for day, (birds, one, true) in enumerate(days):
                if birds is None or one is None or true is False:
                    continue
                if true is not True:
                    lacking.append(true)
                    break
                totals[day] = (totals[day] or 0.0) + birds * one
        return merged(lacking) if lacking else totals

    return read


def condition_of(condition: Expression, registry: Registry, each: str) -> Condition:
    """A condition of a rule that asks about `each` (or the pen), as a function."""
    kind = condition[0]
    if kind == "written":
        return _written(condition)
    if kind == "test":
        return _test(condition, registry, each)
    parts = [condition_of(part, registry, each) for part in condition[1]]
    settles, together = (False, every) if kind == "all" else (True, some)

    def both(scope: Scope) -> Tri:
        answers = []
        for part in parts:
            answer = part(scope)
            if answer is settles:
                # What the others say makes no difference, and need not be worked out.
                return settles
            answers.append(answer)
        return together(answers)

    return both


def holds(scope: Scope, condition: Expression) -> Tri:
    """Whether a condition holds: true, false or unknown, by day where it changes by day."""
    return condition_of(condition, scope.run.registry, scope.each)(scope)


def _written(condition: Expression) -> Condition:
    _, path, word, wanted = condition
    of = ITEMS[word] if word else ""
    there = _there(f"{of}.*.{path}" if of and path else of or path)

    def written(scope: Scope) -> bool:
        setup = scope.run.setup
        if not word:
            return there(setup, path) is wanted
        if not path:
            # An item by itself is written if it is there to be asked about.
            return (word == scope.each or there(setup, of)) is wanted
        at = [scope.item] if word == scope.each else list(range(setup.lists.get(of, 0)))
        return wanted in ([there(setup, f"{of}.{n}.{path}") for n in at] or [False])

    return written


def _there(path: str) -> Callable[[Setup, str], bool]:
    """How to see whether something stands at or below a path such as this."""
    shape = shape_of(path)
    if shape is None or kind_of(shape) in HOLDERS:
        return Setup.is_written
    # Nothing can stand below it, and need not be looked for.
    return lambda setup, path: path in setup.values


def _test(condition: Expression, registry: Registry, each: str) -> Condition:
    """A test of whom it may mean: the item asked about, or each item of another word."""
    _, term, comparator, expression = condition
    axis = registry.nodes[term[1]].item or "" if term[0] == "measure" else ""
    if term[0] == "item":
        axis = str(term[1])
    read = term_reader(term, registry)
    test: Condition
    if expression[0] == "literal":
        # Many rules ask the same, such as whether the birds are of an age.
        fixed = literal(expression)
        name = (*term, comparator, type(fixed), fixed)
        test = registry.kept.get(name) or _against_literal(read, comparator, fixed)
        registry.kept[name] = test
    else:
        test = _against_value(read, comparator, value_reader(expression, registry))
    if axis in ("", each):
        return test

    def tested(scope: Scope) -> Tri:
        if scope.outer is not None and scope.outer.each == axis:
            return test(scope.outer)
        try:
            count = len(scope.run.items(axis))
        except Missing as error:
            return copy_of(error)
        return some([test(Scope(scope.run, axis, at)) for at in range(count)])

    return tested


def _against_literal(read: Reader, comparator: str, wanted: Any) -> Condition:
    passes = against(comparator, wanted)
    # The days that were compared last, and what came of it: the next rule has the same.
    last: tuple[list[Any], Tri] = ([], [])

    def test(scope: Scope) -> Tri:
        nonlocal last
        found = read(scope)
        if type(found) is Missing:
            return found
        if type(found) is list:
            days, truth = last
            if days is not found:
                truth = _by_days(comparator, found, wanted, len(found))
                last = found, truth
            return truth
        return found is not None and passes(found)

    return test


def _against_value(read: Reader, comparator: str, other: Reader) -> Condition:
    def test(scope: Scope) -> Tri:
        found, wanted = read(scope), other(scope)
        for one in (found, wanted):
            if type(one) is Missing:
                return one
        if isinstance(found, list) or isinstance(wanted, list):
            return _by_days(comparator, found, wanted, len(scope.run.days))
        return found is not None and compare(comparator, found, wanted)

    return test


def _by_days(comparator: str, found: Any, wanted: Any, days: int) -> Tri:
    answers = by_days(comparator, found, wanted, days)
    if None not in answers:
        return cast("Tri", answers)
    return [answer is True for answer in answers]
