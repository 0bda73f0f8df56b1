"""One rule asked of one item: which limits fail on which days, and what that makes.

Each day takes the worst limit that fails, so that a milder grade which begins earlier is not lost.
A limit that can't be evaluated is skipped alone, and the question is then partly checked.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from flockcheck.checkup.comparing import by_days, compare
from flockcheck.checkup.evaluate import Scope, Tri, every, holds, known, merged
from flockcheck.checkup.finding import Failed
from flockcheck.measures.graph.run import Run
from flockcheck.measures.graph.stay import presence
from flockcheck.rulebook.model import Limit, Rule, Template
from flockcheck.setup.sections import ITEMS
from flockcheck.setup.view import Missing
from flockcheck.text.records import NamedTuple


class Answer(NamedTuple):
    """What came of a question.

    `state` is checked, partly, not checked or not asked; `failed` what fails of the rule's own
    limits, `lacks` what would settle the rest, and `broken` whether the limits of each standard
    failed (or the Missing for which they could not be checked).
    """

    state: str
    failed: tuple[Failed, ...]
    lacks: tuple[Missing, ...]
    broken: dict[str, bool | Missing]


NOT_ASKED = Answer("not asked", (), (), {})


def ask(rule: Rule, run: Run, item: int | None, asked: tuple[str, ...]) -> Answer:
    """Ask a rule of one item, or of the pen; `asked` names the standards to judge as well."""
    limits = [limit for limit in rule.limits if not limit.standard]
    if not limits and not rule.otherwise and not _standards(rule, asked):
        return NOT_ASKED
    scope = Scope(run, rule.each, item)
    mask = asked_days(rule, scope)
    if mask is False:
        return NOT_ASKED
    if isinstance(mask, Missing):
        return unknown(rule, mask, asked)
    failed, lacks, judged = _judge(limits, scope, mask, rule.says)
    if not judged and lacks:
        for other in rule.otherwise:
            if not _lacks(other.missing, scope):
                continue
            failed, more, judged = _judge(other.limits, scope, mask, other.says or rule.says)
            if judged:
                lacks += more
                break
    if isinstance(mask, list) and not known(mask):
        lacks += _different([day for day in mask if isinstance(day, Missing)])
    if judged:
        state = "partly" if lacks else "checked"
    else:
        # With nothing lacking, no limit is for birds or kit like these.
        state = "not checked" if lacks else "not asked"
    broken = _judge_standards(rule, scope, mask, asked)
    return Answer(state, tuple(failed), tuple(lacks), broken)


def unknown(rule: Rule, lacks: Missing, asked: tuple[str, ...]) -> Answer:
    """The answer where it is unknown whether (or of what) a rule is to be asked."""
    broken: dict[str, bool | Missing] = dict.fromkeys(_standards(rule, asked), lacks)
    if all(limit.standard for limit in rule.limits) and not rule.otherwise:
        return Answer("not asked", (), (), broken)
    return Answer("not checked", (), (lacks,), broken)


def _standards(rule: Rule, asked: tuple[str, ...]) -> list[str]:
    return sorted({limit.standard for limit in rule.limits if limit.standard in asked})


def _judge_standards(
    rule: Rule, scope: Scope, mask: Tri, asked: tuple[str, ...]
) -> dict[str, bool | Missing]:
    broken: dict[str, bool | Missing] = {}
    for name in _standards(rule, asked):
        own = [limit for limit in rule.limits if limit.standard == name]
        failed, lacks, judged = _judge(own, scope, mask, rule.says)
        if failed:
            broken[name] = True
        elif lacks:
            broken[name] = lacks[0]
        elif judged:
            broken[name] = False
    return broken


def _lacks(keys: list[str], scope: Scope) -> bool:
    """Whether one of these keys is not written (for this item, or for any of another word)."""
    setup = scope.run.setup
    for key in keys:
        first, _, rest = key.partition(".")
        paths = [key]
        if first in ITEMS:
            of = ITEMS[first]
            at = [scope.item] if first == scope.each else list(range(setup.lists.get(of, 0)))
            paths = [f"{of}.{n}.{rest}" if rest else of for n in at] or [of]
        if not all(setup.is_written(path) for path in paths):
            return True
    return False


def asked_days(rule: Rule, scope: Scope) -> Tri:
    """The days on which a rule is asked: all (True), none (False), some, or unknown."""
    parts: list[Tri] = []
    if rule.when is not None:
        found = holds(scope, rule.when)
        if found is False:
            return False
        parts.append(found)
    if rule.on in ("out", "leaves"):
        parts.append(_only_day(rule, scope))
    if not parts:
        return True
    mask = every(parts)
    if isinstance(mask, list):
        if True in mask:
            return mask
        unknown = [day for day in mask if isinstance(day, Missing)]
        return merged(_different(unknown)) if unknown else False
    return mask


def _only_day(rule: Rule, scope: Scope) -> Tri:
    """The first or the last day of the group, or of the pen."""
    run = scope.run
    first, last = run.days[0], run.days[-1]
    try:
        if rule.each == "group":
            group = scope.thing()
            first, last = presence(group, run.whole)
            if rule.on == "leaves":
                _ = group.leaves
        elif rule.on == "leaves":
            for group in run.items("group"):
                _ = group.leaves
    except Missing as error:
        return error
    wanted = first if rule.on == "out" else last
    return [day == wanted for day in run.days]


def _judge(
    limits: list[Limit], scope: Scope, mask: Tri, says: Template
) -> tuple[list[Failed], list[Missing], bool]:
    """The limits that fail, what the others lack, and whether any could be judged at all."""
    failed: list[Failed] = []
    lacks: list[Missing] = []
    judged = False
    for limit in limits:
        unsure: list[Missing] = []
        when = holds(scope, limit.when) if limit.when else True
        if when is False:
            continue
        if isinstance(when, Missing):
            unsure.append(when)
        found = _or_missing(scope.term, limit.term, unsure)
        wanted = _or_missing(scope.value, limit.value, unsure)
        if unsure:
            lacks += unsure
            continue
        outcome = _outcome(limit, found, wanted, every([mask, when]), len(scope.run.days))
        lacks += outcome.unsure
        judged = judged or outcome.applies
        if outcome.applies and outcome.fails != []:
            failed.append(Failed(limit, outcome.fails, found, wanted, limit.says or says))
    return failed, lacks, judged


def _or_missing(ask_for: Callable[[list[Any]], Any], what: list[Any], unsure: list[Missing]) -> Any:
    """A term or value; what it lacks is added to `unsure`, so that all of it is named at once."""
    try:
        return ask_for(what)
    except Missing as error:
        unsure.append(error)
        return None


def _different(unsure: list[Missing]) -> list[Missing]:
    """Each of them once, by the keys they lack."""
    return list({(error.keys, error.why): error for error in unsure}.values())


class _Outcome(NamedTuple):
    """How a limit came out.

    `fails` are the days on which it fails (None for always, [] for never), `unsure` what is unknown
    about the days on which it is asked, and `applies` whether there was any day to judge.
    """

    fails: list[bool] | None
    unsure: list[Missing]
    applies: bool


def _outcome(limit: Limit, found: Any, wanted: Any, asked: Tri, days: int) -> _Outcome:
    if not isinstance(found, list) and not isinstance(wanted, list):
        if found is None or wanted is None:
            return _Outcome([], [], False)
        misses = not compare(limit.comparator, found, wanted)
        if not isinstance(asked, list):
            return _Outcome(None if misses else [], [], True)
        fails = [misses and truth is True for truth in asked]
        applies = True in asked
    else:
        answers: list[bool | None] = by_days(limit.comparator, found, wanted, days)
        if isinstance(asked, list):
            # What is not asked on a day counts like what does not apply.
            days_asked = zip(answers, asked, strict=True)
            answers = [answer if truth is True else None for answer, truth in days_asked]
        fails = [answer is False for answer in answers] if False in answers else []
        applies = bool(fails) or True in answers
    unsure: list[Missing] = []
    if isinstance(asked, list) and not known(asked):
        unsure = [day for day in asked if isinstance(day, Missing)]
    return _Outcome(fails if True in fails else [], _different(unsure), applies)
