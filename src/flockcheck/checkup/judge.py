"""One rule asked of one item: which limits fail on which days, and what that makes.

Each day takes the worst limit that fails, so that a milder grade which begins earlier is not lost.
A limit that can't be evaluated is skipped alone, and the question is then partly checked.
"""

from __future__ import annotations

from datetime import date
from typing import Any, NamedTuple

from flockcheck.checkup.evaluate import Scope, Tri, compare, every, holds, pair
from flockcheck.checkup.model import Finding, Measured, Place, Span
from flockcheck.checkup.wording import Moment, Wording, day_words, item_words
from flockcheck.measures.graph.run import Run, presence
from flockcheck.rulebook.model import GRADES, Limit, Rule, Template
from flockcheck.setup.sections import ITEMS, Missing
from flockcheck.text.quantities import base_unit

_NOT_NUMBERS = ("flag", "word", "names", "date")


class Answer(NamedTuple):
    """What came of a question.

    `state` is checked, partly, not checked or not asked; `lacks` what would settle the rest, and
    `broken` the standards whose limits failed (or, mapped to a Missing, could not be checked).
    """

    state: str
    finding: Finding | None
    lacks: tuple[Missing, ...]
    broken: dict[str, bool | Missing]


class Failed(NamedTuple):
    """A limit that fails: on which days (None: all the time), and the two sides of it."""

    limit: Limit
    days: list[bool] | None
    found: Any
    wanted: Any
    says: Template


def ask(rule: Rule, run: Run, item: int | None, wording: Wording, asked: tuple[str, ...]) -> Answer:
    """Ask a rule of one item, or of the pen; `asked` names the standards to judge as well."""
    scope = Scope(run, rule.each, item)
    mask = _mask(rule, scope)
    if mask is False:
        return Answer("not asked", None, (), {})
    if isinstance(mask, Missing):
        return Answer(
            "not checked", None, (mask,), dict.fromkeys(_standards(rule, asked), mask)
        )
    limits = [limit for limit in rule.limits if not limit.standard]
    failed, lacks, judged = _judge(limits, scope, mask, rule.says)
    if not judged and lacks:
        for other in rule.otherwise:
            if not _lacks(other.missing, scope):
                continue
            failed, more, judged = _judge(other.limits, scope, mask, other.says or rule.says)
            if judged:
                lacks += more
                break
    unsure = [day for day in mask if isinstance(day, Missing)] if isinstance(mask, list) else []
    lacks += unsure[:1]
    broken = _judge_standards(rule, scope, mask, asked)
    if not judged and not lacks:
        # No limit is for birds or kit like these.
        return Answer("checked" if broken else "not asked", None, (), broken)
    finding = _finding(rule, scope, failed, wording) if failed else None
    state = "partly" if lacks and judged else "checked" if judged else "not checked"
    return Answer(state, finding, tuple(lacks), broken)


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
    """Whether one of these keys is not written (for this item)."""
    for key in keys:
        first, _, rest = key.partition(".")
        if first in ITEMS:
            key = f"{ITEMS[first]}.{scope.item}.{rest}" if first == scope.each else ITEMS[first]
        if not scope.run.setup.is_written(key):
            return True
    return False


def _mask(rule: Rule, scope: Scope) -> Tri:
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
        if all(day is False for day in mask):
            return False
        if not any(day is True for day in mask):
            return next(day for day in mask if isinstance(day, Missing))
    return mask


def _only_day(rule: Rule, scope: Scope) -> Tri:
    """The first or the last day of the group, or of the pen."""
    run = scope.run
    first, last = run.days[0], run.days[-1]
    try:
        if rule.each == "group":
            group = scope.thing()
            first, last = presence(group, run.whole.look_ahead)
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
        try:
            when: Tri = holds(scope, limit.when) if limit.when else True
            if when is False:
                continue
            if isinstance(when, Missing):
                raise when
            found, wanted = scope.term(limit.term), scope.value(limit.value)
        except Missing as error:
            lacks.append(error)
            continue
        outcome = _outcome(limit, found, wanted, every([mask, when]), len(scope.run.days))
        if outcome is None:
            continue
        judged = True
        fails, unsure = outcome
        lacks += unsure
        if fails is None or any(fails):
            failed.append(Failed(limit, fails, found, wanted, limit.says or says))
        elif fails == []:
            continue
    return failed, lacks, judged


def _outcome(
    limit: Limit, found: Any, wanted: Any, asked: Tri, days: int
) -> tuple[list[bool] | None, list[Missing]] | None:
    """The days on which a limit fails (None for always, [] for never); None: it does not apply."""
    daily = any(isinstance(one, list) for one in (found, wanted, asked))
    if not daily:
        if found is None or wanted is None:
            return None
        return ([] if compare(limit.comparator, found, wanted) else None), []
    fails: list[bool] = []
    unsure: list[Missing] = []
    applies = False
    asked_days = asked if isinstance(asked, list) else [asked] * days
    for (one, other), truth in zip(pair(found, wanted, days), asked_days, strict=True):
        if isinstance(truth, Missing):
            unsure = [truth]
        if one is None or other is None or truth is not True:
            fails.append(False)
            continue
        applies = True
        fails.append(not compare(limit.comparator, one, other))
    return (fails, unsure) if applies else None


def _finding(rule: Rule, scope: Scope, failed: list[Failed], wording: Wording) -> Finding:
    run = scope.run
    worst = max(failed, key=lambda one: GRADES.index(one.limit.grade))
    spans, at = _spans(failed, run.days), _worst_day(worst, len(run.days))
    dated = bool(spans)
    place_of = at if at is not None else 0
    found, wanted = _at(worst.found, place_of), _at(worst.wanted, place_of)
    limit = worst.limit
    shown, bound = wording.pair(found, wanted, limit.dimension)
    day = run.days[place_of]
    last = spans[-1].last if dated else run.days[-1]
    moment = Moment(
        scope,
        wording,
        place_of,
        {
            "day": day_words(day),
            "first_day": day_words(spans[0].first if dated else run.days[0]),
            "last_day": day_words(last),
            "value": shown,
            "limit": bound,
            "item": item_words(scope),
        },
    )
    unit = "" if limit.dimension in _NOT_NUMBERS else base_unit(limit.dimension)
    return Finding(
        rule=rule.name,
        topic=rule.topic,
        grade=limit.grade,
        title=rule.title,
        says=moment.text(worst.says),
        why=rule.why,
        about=f"{ITEMS[rule.each]}.{scope.item}" if rule.each else None,
        place=_place(rule, scope),
        measured=Measured(_term_name(limit), found, unit, shown),
        comparator=limit.comparator,
        limit=Measured("", wanted, unit, bound),
        first=spans[0].first if dated else None,
        worst=(day, found) if dated else None,
        spans=spans,
        cites=tuple(_cites(failed, limit)),
        caution=rule.caution,
        advice=tuple(fix.words for fix in rule.fixes),
        accepted=None,
        open_from=spans[0].first if dated else run.days[0],
    )


def _at(value: Any, day: int) -> Any:
    return value[day] if isinstance(value, list) else value


def _term_name(limit: Limit) -> str:
    return ".".join(str(part) for part in limit.term[1:] if part)


def _cites(failed: list[Failed], worst: Limit) -> list[dict[str, Any]]:
    """The citations of the limits that fail, the worst one's first, each once."""
    found = [worst.cites]
    for one in failed:
        if one.limit.cites not in found:
            found.append(one.limit.cites)
    return found


def _spans(failed: list[Failed], days: list[date]) -> tuple[Span, ...]:
    """The days by their worst failing grade; empty where a limit fails all the time."""
    if any(one.days is None for one in failed):
        return ()
    spans: list[Span] = []
    for at, day in enumerate(days):
        grades = [one.limit.grade for one in failed if one.days and one.days[at]]
        if not grades:
            continue
        grade = max(grades, key=GRADES.index)
        if spans and spans[-1].grade == grade and (day - spans[-1].last).days == 1:
            spans[-1] = Span(spans[-1].first, day, grade)
        else:
            spans.append(Span(day, day, grade))
    return tuple(spans)


def _worst_day(failed: Failed, days: int) -> int | None:
    """The day on which a limit is missed by the most; the first of them; None where undated."""
    if failed.days is None:
        return None
    best, most = 0, -1.0
    for at in range(days):
        if failed.days[at]:
            found, wanted = _at(failed.found, at), _at(failed.wanted, at)
            numbers = isinstance(found, (int, float)) and isinstance(wanted, (int, float))
            excess = abs(float(found) - float(wanted)) if numbers else 0.0
            if excess > most * (1 + 1e-9) + 1e-12:
                best, most = at, excess
    return best


def _place(rule: Rule, scope: Scope) -> Place:
    first, _, rest = rule.at.partition(".")
    path = rule.at
    if first in ITEMS:
        item = scope.item if first == rule.each else 0
        path = f"{ITEMS[first]}.{item}" + (f".{rest}" if rest else "")
    found, mark = scope.run.setup.place(path)
    return Place(found, mark.line, mark.column)
