"""The working of a rule for one setup: from the keeper's own values to what is judged.

A pass of its own, after the check: the graph is walked down from the judged limit, on the worst
day; each measure, key and table figure becomes one line, above the lines that use it.
"""

from __future__ import annotations

from datetime import date
from math import isclose
from typing import Any

from flockcheck.checkup.comparing import compare
from flockcheck.checkup.evaluate import holds, value_of
from flockcheck.checkup.finding import Failed, finding_of
from flockcheck.checkup.judge import Answer, asked_days
from flockcheck.checkup.lines import Line, Lines
from flockcheck.checkup.model import Finding
from flockcheck.checkup.readers import Scope
from flockcheck.checkup.truths import every
from flockcheck.checkup.wording import Wording, item_words
from flockcheck.measures.graph.figures import Sum, sum_of
from flockcheck.measures.graph.retrace import on_day
from flockcheck.measures.graph.run import Run
from flockcheck.rulebook.model import GRADES, Limit, Rule
from flockcheck.setup.sections import ITEMS
from flockcheck.setup.view import Missing
from flockcheck.text.records import NamedTuple


class Working(NamedTuple):
    """How a number came about and what it was held against.

    `about` is the item's path or None, `item` what it is called, `day` the day that was worked out
    (None where nothing changes by day); the last two of `lines` are those of the two sides, unless
    one side stands further up already: `measured` and `limit` give their places. `passes` tells
    whether the limit is kept.
    """

    about: str | None
    item: str
    day: date | None
    lines: tuple[Line, ...]
    term: str
    dimension: str
    comparator: str
    measured: int
    limit: int
    shown: str
    limit_shown: str
    passes: bool


class _Case(NamedTuple):
    """What is to be worked out: a limit, the two sides of it, and the day by its place.

    `dated` tells that the limit is missed on some days only.
    """

    limit: Limit
    found: Any
    wanted: Any
    at: int
    shown: tuple[str, str]
    dated: bool = False


def working_of(
    rule: Rule,
    run: Run,
    answers: list[tuple[int | None, Answer]],
    findings: list[Finding],
    wording: Wording,
) -> Working | None:
    """The working of a rule: of its worst finding, else of the least margin of its first item.

    `answers` are the rule's, by item; `findings` those of the report, the worst first. None where
    nothing could be judged.
    """
    found = _failed_case(rule, run, answers, findings, wording)
    if found is None:
        found = _kept_case(rule, run, answers, wording)
    if found is None:
        return None
    item, case = found
    return _worked(Scope(run, rule.each, item), case)


def _failed_case(
    rule: Rule,
    run: Run,
    answers: list[tuple[int | None, Answer]],
    findings: list[Finding],
    wording: Wording,
) -> tuple[int | None, _Case] | None:
    failed = [(item, answer.failed) for item, answer in answers if answer.failed]
    if not failed:
        return None
    if not findings:
        # Another rule says the same better, so that none of them stands in the report.
        findings = [
            finding_of(rule, Scope(run, rule.each, item), list(one), wording)
            for item, one in failed
        ]
        findings.sort(key=lambda one: -GRADES.index(one.grade))
    finding = findings[0]
    for item, limits in failed:
        if finding.about in (None, f"{ITEMS.get(rule.each)}.{item}"):
            at = run.days.index(finding.worst[0]) if finding.worst else 0
            one = _meant(limits, finding, at)
            assert finding.measured is not None and finding.limit is not None
            shown = (finding.measured.shown, finding.limit.shown)
            dated = finding.worst is not None
            return item, _Case(one.limit, one.found, one.wanted, at, shown, dated)
    return None


def _meant(limits: tuple[Failed, ...], finding: Finding, at: int) -> Failed:
    """The limit whose numbers a finding shows: the first of its grade that fails on its worst day.

    Another of that grade may come first, and fail on days only that are told by another rule.
    """
    own = [one for one in limits if one.limit.grade == finding.grade]
    return next((one for one in own if one.days is None or one.days[at]), own[0])


def _kept_case(
    rule: Rule, run: Run, answers: list[tuple[int | None, Answer]], wording: Wording
) -> tuple[int | None, _Case] | None:
    """The limit and the day on which the least is to spare, of the first item that was judged."""
    for item, answer in answers:
        if answer.state not in ("checked", "partly"):
            continue
        scope = Scope(run, rule.each, item)
        case = _tightest(rule.limits, rule, scope, wording)
        for other in rule.otherwise:
            case = case or _tightest(tuple(other.limits), rule, scope, wording)
        if case is not None:
            return item, case
    return None


def _tightest(
    limits: tuple[Limit, ...], rule: Rule, scope: Scope, wording: Wording
) -> _Case | None:
    best: _Case | None = None
    least = 0.0
    days = len(scope.run.days)
    for limit in limits:
        if limit.standard:
            continue
        asked = every([asked_days(rule, scope), holds(scope, limit.when) if limit.when else True])
        try:
            found, wanted = scope.term(limit.term), value_of(scope, limit.value)
        except Missing:
            continue
        for at in range(days):
            one, other = _at(found, at), _at(wanted, at)
            if _at(asked, at) is not True or one is None or other is None:
                continue
            margin = _margin(one, other)
            if best is None or margin < least * (1 - 1e-9):
                best, least = _Case(limit, found, wanted, at, ("", "")), margin
    if best is None:
        return None
    sides = (_at(best.found, best.at), _at(best.wanted, best.at))
    return best._replace(shown=wording.pair(*sides, best.limit.dimension))


def _margin(found: Any, wanted: Any) -> float:
    """How far two numbers lie apart, against the greater of them; 1 for what is no number."""
    if isinstance(found, (bool, str)) or not isinstance(found, (int, float)):
        return 1.0
    if isinstance(wanted, bool) or not isinstance(wanted, (int, float)):
        return 1.0
    return abs(found - wanted) / max(abs(found), abs(wanted), 1e-12)


def _at(value: Any, at: int) -> Any:
    return value[at] if isinstance(value, list) else value


def _worked(scope: Scope, case: _Case) -> Working:
    """The lines of both sides of a limit."""
    run, limit = scope.run, case.limit
    lines = Lines(run)
    sides = _Sides(lines, scope, case.at)
    measured = sides.term(scope, limit.term)
    bound = sides.limit(limit, _at(case.wanted, case.at))
    found, wanted = _at(case.found, case.at), _at(case.wanted, case.at)
    dated = case.dated or isinstance(case.found, list) or isinstance(case.wanted, list)
    return Working(
        about=f"{ITEMS[scope.each]}.{scope.item}" if scope.each else None,
        item=item_words(scope),
        day=run.days[case.at] if dated or lines.dated else None,
        lines=tuple(lines.found),
        term=".".join(str(part) for part in limit.term[1:] if part),
        dimension=limit.dimension,
        comparator=limit.comparator,
        measured=measured,
        limit=bound,
        shown=case.shown[0],
        limit_shown=case.shown[1],
        passes=compare(limit.comparator, found, wanted),
    )


class _Sides:
    """The two sides of a limit, put into lines."""

    def __init__(self, lines: Lines, scope: Scope, at: int) -> None:
        self._lines = lines
        self._scope = scope
        self._at = at

    def term(self, scope: Scope, term: list[Any]) -> int:
        """The line of what a limit looks at."""
        if term[0] == "measure":
            node = scope.run.registry.nodes[term[1]]
            return self._lines.node(term[1], scope.item if node.item else None, self._at)
        if term[0] == "item":
            path = f"{ITEMS[term[1]]}.{scope.item}" + (f".{term[2]}" if term[2] else "")
            return self._lines.key(path, scope.term(term))
        return self._lines.key(term[1], scope.term(term))

    def limit(self, limit: Limit, value: Any) -> int:
        """The line of the limit, below those that it is read or worked out from."""
        self._limit = limit
        uses, found = self._value(self._scope, limit.value)
        if found is not None and not isclose(found.value, float(value), rel_tol=1e-9):
            found = None
        points: tuple[tuple[float, float], ...] = ()
        if limit.value[0] == "points":
            points = _around(limit.value[2], self._lines.found[uses[0] - 1].value)
        line = Line("limit", "", value, limit.dimension, tuple(uses), found)
        return self._lines.add(("limit",), line._replace(cites=limit.cites, points=points))

    def _value(self, scope: Scope, expression: list[Any]) -> tuple[list[int], Sum | None]:
        """The lines that a value rests on, and its sum."""
        kind = expression[0]
        if kind == "points":
            return [self.term(scope, expression[1])], None
        if kind == "term":
            number = self.term(scope, expression[1])
            return [number], self._times(number, expression[2])
        if kind == "table":
            number = self._read(scope, expression)
            return [number], self._times(number, expression[3])
        if kind == "each_bird":
            return self._each_bird(scope, expression)
        if scope is self._scope:
            return [], None
        # What each bird asks for, of which the limit is the sum.
        line = Line("each", "", expression[1], self._limit.dimension, cites=self._limit.cites)
        number = self._lines.add(("each", expression[1]), line)
        return [number], sum_of(self._lines.figure(number))

    def _times(self, number: int, times: float) -> Sum | None:
        figure = self._lines.figure(number)
        return sum_of(figure * times) if times != 1 and sum_of(figure) else sum_of(figure)

    def _read(self, scope: Scope, expression: list[Any]) -> int:
        _, name, column, _, along = expression
        point = self.term(scope, ["measure", along]) if along else 0
        table = scope.run.tables[name]
        who = scope.who()
        row = table.row(who)
        keys = []
        for word in row.where:
            first, _, key = word.partition(".")
            owner = scope if first == scope.each else scope.outer
            if key and owner is not None and first == owner.each:
                path = f"{ITEMS[first]}.{owner.item}.{key}"
                keys.append(self._lines.key(path, getattr(who[first], key)))
        at = self._lines.figure(point) if point else None
        value = table.read(row, column, None if at is None else float(at))
        return self._lines.read_of(table, row, column, sum_of(at), value, keys)

    def _each_bird(self, scope: Scope, expression: list[Any]) -> tuple[list[int], Sum | None]:
        """The birds present times what each one asks for, each group at its age."""
        uses: list[int] = []
        total: Any = 0
        for place in range(len(scope.run.items("group"))):
            inner = Scope(scope.run, "group", place, scope)
            of = holds(inner, expression[2]) if expression[2] else True
            birds = on_day(scope.run.value("birds_here", place), self._at, daily=True)
            each = _at(value_of(inner, expression[1]), self._at) if of is not False else None
            if birds is None or each is None or _at(of, self._at) is False:
                continue
            number = self._lines.node("birds_here", place, self._at)
            below, found = self._value(inner, expression[1])
            uses += [number, *below]
            total = total + self._lines.figure(number) * (self._lines.of(found) if found else each)
        return list(dict.fromkeys(uses)), sum_of(total)


def _around(points: list[list[float]], x: float) -> tuple[tuple[float, float], ...]:
    """The points of a limit between which it was read: the two beside, or the nearest end."""
    at = [(float(one), float(two)) for one, two in points]
    for here in at:
        if here[0] == x:
            return (here,)
    before = [one for one in at if one[0] < x][-1:]
    return (*before, *[one for one in at if one[0] > x][:1])


__all__ = ["Working", "working_of"]
