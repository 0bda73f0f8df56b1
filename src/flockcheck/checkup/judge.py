"""One rule asked of one item: which limits fail on which days, and what that makes.

Each day takes the worst limit that fails, so that a milder grade which begins earlier is not lost.
A limit that can't be evaluated is skipped alone, and the question is then partly checked.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any, cast

from flockcheck.checkup.comparing import against, compare, fails_on
from flockcheck.checkup.evaluate import Condition, condition_of, value_reader
from flockcheck.checkup.finding import Failed
from flockcheck.checkup.readers import Reader, Scope, literal, term_reader
from flockcheck.checkup.truths import Tri, Truth, every, known, merged
from flockcheck.measures.graph.registry import Registry
from flockcheck.measures.graph.run import Run
from flockcheck.measures.graph.stay import presence
from flockcheck.rulebook.model import Alternative, Limit, Rule, Template
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
# What most answers are.
PASSED = Answer("checked", (), (), {})


class _Bound:
    """A limit made ready: its condition and, once that holds, both of its sides.

    `fixed` is a limit that stands in the rule itself, and `passes` then compares with it.
    """

    __slots__ = ("_registry", "fixed", "found", "limit", "passes", "says", "wanted", "when")

    def __init__(self, limit: Limit, rule: Rule, says: Template, registry: Registry) -> None:
        self.limit = limit
        self.says = limit.says or says
        self._registry = registry
        self.when: Condition | None = (
            condition_of(limit.when, registry, rule.each) if limit.when else None
        )
        self.found: Reader | None = None
        self.fixed = literal(limit.value) if limit.value[0] == "literal" else None
        self.passes: Callable[[Any], bool] | None = None

    def made(self) -> Reader:
        """How what is held against the limit is read; the rest of the limit is made ready too."""
        limit = self.limit
        self.wanted: Reader = value_reader(limit.value, self._registry)
        if self.fixed is not None:
            self.passes = against(limit.comparator, self.fixed)
        self.found = term_reader(limit.term, self._registry)
        return self.found


class _Ready:
    """A rule made ready to be asked of many setups; what is not asked for is not made."""

    __slots__ = ("_registry", "_standards", "limits", "otherwise", "own", "rule", "when")

    def __init__(self, rule: Rule, registry: Registry) -> None:
        self.rule = rule
        self._registry = registry
        self.when = condition_of(rule.when, registry, rule.each) if rule.when else None
        self.own = [limit for limit in rule.limits if not limit.standard]
        self.limits: list[_Bound] | None = None
        self.otherwise: dict[int, list[_Bound]] = {}
        self._standards: dict[str, list[_Bound]] = {}

    def bounds(self) -> list[_Bound]:
        """The rule's own limits, without those of standards."""
        if self.limits is None:
            self.limits = self._bounds(self.own, self.rule.says)
        return self.limits

    def instead(self, at: int, other: Alternative) -> list[_Bound]:
        """The limits of an alternative, by its place among them."""
        if at not in self.otherwise:
            self.otherwise[at] = self._bounds(other.limits, other.says or self.rule.says)
        return self.otherwise[at]

    def of_standard(self, name: str) -> list[_Bound]:
        """The limits of a standard."""
        if name not in self._standards:
            own = [limit for limit in self.rule.limits if limit.standard == name]
            self._standards[name] = self._bounds(own, self.rule.says)
        return self._standards[name]

    def _bounds(self, limits: Sequence[Limit], says: Template) -> list[_Bound]:
        return [_Bound(limit, self.rule, says, self._registry) for limit in limits]


def _ready(rule: Rule, registry: Registry) -> _Ready:
    """A rule made ready, once for all setups."""
    found: _Ready | None = registry.kept.get(rule.name)
    if found is None or found.rule is not rule:
        found = registry.kept[rule.name] = _Ready(rule, registry)
    return found


def ask(rule: Rule, run: Run, item: int | None, asked: tuple[str, ...]) -> Answer:
    """Ask a rule of one item, or of the pen; `asked` names the standards to judge as well."""
    ready = _ready(rule, run.registry)
    if not ready.own and not rule.otherwise and not (asked and _standards(rule, asked)):
        return NOT_ASKED
    scope = Scope(run, rule.each, item)
    mask = _asked_days(rule, ready.when, scope)
    if mask is False:
        return NOT_ASKED
    if isinstance(mask, Missing):
        return unknown(rule, mask, asked)
    failed, lacks, judged = _judge(ready.limits or ready.bounds(), scope, mask)
    if not judged and lacks:
        for at, other in enumerate(rule.otherwise):
            if not _lacks(other.missing, scope):
                continue
            failed, more, judged = _judge(ready.instead(at, other), scope, mask)
            if judged:
                lacks += more
                break
    if not lacks and not failed and judged and not asked and mask is True:
        return PASSED
    if isinstance(mask, list) and not known(mask):
        lacks += _different([day for day in mask if isinstance(day, Missing)])
    if judged:
        state = "partly" if lacks else "checked"
    else:
        # With nothing lacking, no limit is for birds or kit like these.
        state = "not checked" if lacks else "not asked"
    broken = _judge_standards(ready, scope, mask, asked) if asked else {}
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
    ready: _Ready, scope: Scope, mask: Tri, asked: tuple[str, ...]
) -> dict[str, bool | Missing]:
    broken: dict[str, bool | Missing] = {}
    for name in _standards(ready.rule, asked):
        failed, lacks, judged = _judge(ready.of_standard(name), scope, mask)
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
    return _asked_days(rule, _ready(rule, scope.run.registry).when, scope)


def _asked_days(rule: Rule, when: Condition | None, scope: Scope) -> Tri:
    mask = when(scope) if when else True
    if mask is False:
        return False
    if rule.on in ("out", "leaves"):
        mask = every([mask, _only_day(rule, scope)])
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
    only = [False] * len(run.days)
    at = (wanted - run.days[0]).days
    if 0 <= at < len(only):
        only[at] = True
    return cast("Tri", only)


def _judge(
    bounds: list[_Bound], scope: Scope, mask: Tri
) -> tuple[list[Failed], list[Missing], bool]:
    """The limits that fail, what the others lack, and whether any could be judged at all.

    A limit fails on some days, on none ([]) or, where nothing about it changes by day, always
    (None).
    """
    failed: list[Failed] = []
    lacks: list[Missing] = []
    judged = False
    for bound in bounds:
        when = bound.when(scope) if bound.when else True
        if when is False:
            continue
        found = (bound.found or bound.made())(scope)
        wanted = bound.wanted(scope) if bound.passes is None else bound.fixed
        if Missing in (type(when), type(found), type(wanted)):
            # All that it lacks is named at once.
            lacks += [one for one in (when, found, wanted) if isinstance(one, Missing)]
            continue
        asked = mask if when is True else when if mask is True else every([mask, when])
        days = asked if isinstance(asked, list) else None
        fails: list[bool] | None
        if type(found) is list or type(wanted) is list:
            comparator = bound.limit.comparator
            fails, applies = fails_on(comparator, found, wanted, days, len(scope.run.days))
        elif found is None or wanted is None:
            continue
        else:
            fails, applies = _steady(_misses(bound, found, wanted), days)
        if days is not None and not known(days):
            lacks += _different([day for day in days if isinstance(day, Missing)])
        if applies:
            judged = True
            if fails != []:
                failed.append(Failed(bound.limit, fails, found, wanted, bound.says))
    return failed, lacks, judged


def _misses(bound: _Bound, found: Any, wanted: Any) -> bool:
    if bound.passes is not None:
        return not bound.passes(found)
    return not compare(bound.limit.comparator, found, wanted)


def _steady(misses: bool, asked: list[Truth] | None) -> tuple[list[bool] | None, bool]:
    """The days on which what is the same every day fails, and whether it is asked on any."""
    if asked is None:
        return (None if misses else []), True
    applies = True in asked
    return ([truth is True for truth in asked] if misses and applies else []), applies


def _different(unsure: list[Missing]) -> list[Missing]:
    """Each of them once, by the keys they lack."""
    return list({(error.keys, error.why): error for error in unsure}.values())
