"""What failed, made into a finding: its days by grade, the worst of them, and what is said."""

from __future__ import annotations

from collections.abc import Set
from datetime import date
from itertools import groupby
from typing import Any

from flockcheck.checkup.comparing import in_days
from flockcheck.checkup.model import Finding, Measured, Place, Span
from flockcheck.checkup.readers import Scope
from flockcheck.checkup.wording import Moment, Wording, day_words, item_words
from flockcheck.rulebook.model import GRADES, Limit, Rule, Template
from flockcheck.setup.sections import ITEMS
from flockcheck.text.quantities import base_unit
from flockcheck.text.records import NamedTuple

_NOT_NUMBERS = ("flag", "word", "names", "date")


class Failed(NamedTuple):
    """A limit that fails: on which days (None: all the time), and the two sides of it."""

    limit: Limit
    days: list[bool] | None
    found: Any
    wanted: Any
    says: Template


def finding_of(rule: Rule, scope: Scope, failed: list[Failed], wording: Wording) -> Finding:
    """The finding that a rule's failed limits (one at least) come to."""
    run = scope.run
    worst = max(failed, key=lambda one: GRADES.index(one.limit.grade))
    spans, at = _spans(failed, run.days), _worst_day(worst, len(run.days))
    dated = bool(spans)
    found, wanted = _at(worst.found, at), _at(worst.wanted, at)
    limit = worst.limit
    shown, bound = wording.pair(found, wanted, limit.dimension)
    day = run.days[at]
    special = {
        "day": day_words(day),
        "first_day": day_words(spans[0].first if dated else run.days[0]),
        "last_day": day_words(spans[-1].last if dated else run.days[-1]),
        "value": shown,
        "limit": bound,
        "item": item_words(scope),
    }
    sides = [(limit.term, shown)]
    if limit.value[0] == "term" and limit.value[2] == 1:
        sides.append((limit.value[1], bound))
    unit = "" if limit.dimension in _NOT_NUMBERS else base_unit(limit.dimension)
    return Finding(
        rule=rule.name,
        topic=rule.topic,
        grade=limit.grade,
        title=rule.title,
        says=Moment(scope, wording, at, special, sides).text(worst.says),
        why=rule.why,
        about=f"{ITEMS[rule.each]}.{scope.item}" if rule.each else None,
        place=_place(rule, scope, limit),
        measured=Measured(_term_name(limit), found, unit, shown),
        comparator=limit.comparator,
        limit=Measured("", wanted, unit, bound),
        first=spans[0].first if dated else None,
        worst=(day, found) if dated else None,
        spans=spans,
        cites=tuple(_cites(failed, limit, scope)),
        caution=_caution(failed, rule),
        advice=tuple(fix.words.replace("{item}", special["item"]) for fix in rule.fixes),
        accepted=None,
        open_from=spans[0].first if dated else run.days[0],
    )


def left_of(failed: tuple[Failed, ...], hidden: Set[date], days: list[date]) -> list[Failed]:
    """What fails on the days that are not hidden."""
    left: list[Failed] = []
    for one in failed:
        fails = [
            day not in hidden and (one.days is None or one.days[at]) for at, day in enumerate(days)
        ]
        if any(fails):
            left.append(one._replace(days=fails))
    return left


def _at(value: Any, day: int) -> Any:
    return value[day] if isinstance(value, list) else value


def _term_name(limit: Limit) -> str:
    return ".".join(str(part) for part in limit.term[1:] if part)


def _cites(failed: list[Failed], worst: Limit, scope: Scope) -> list[dict[str, Any]]:
    """The citations of the limits that fail, the worst one's first, each once.

    Where the worst one's figure stands in a table, the row's citation goes along.
    """
    limits = [worst, *(one.limit for one in failed)]
    found: list[dict[str, Any]] = []
    for cite in (worst.cites, *scope.cites(worst.value), *(limit.cites for limit in limits)):
        if cite not in found:
            found.append(cite)
    return found


def _caution(failed: list[Failed], rule: Rule) -> str:
    """The caution of the worst limit that has one of its own, else the rule's."""
    worst_first = sorted(failed, key=lambda one: -GRADES.index(one.limit.grade))
    return next((one.limit.caution for one in worst_first if one.limit.caution), rule.caution)


def _spans(failed: list[Failed], days: list[date]) -> tuple[Span, ...]:
    """The days by their worst failing grade; empty where nothing that fails changes by day."""
    if all(one.days is None for one in failed):
        return ()
    grades = [""] * len(days)
    # The worst comes last, and stands wherever it fails.
    for one in sorted(failed, key=lambda one: GRADES.index(one.limit.grade)):
        grade = one.limit.grade
        if one.days is None:
            grades = [grade] * len(days)
        else:
            pairs = zip(grades, one.days, strict=True)
            grades = [grade if fails else milder for milder, fails in pairs]
    spans: list[Span] = []
    at = 0
    for grade, alike in groupby(grades):
        first, at = at, at + len(list(alike))
        if grade:
            spans.append(Span(days[first], days[at - 1], grade))
    return tuple(spans)


def _worst_day(failed: Failed, days: int) -> int:
    """The place of the day on which a limit is missed by the most; the first of them."""
    if failed.days is None:
        return 0
    best = failed.days.index(True)
    sides = failed.found, failed.wanted
    numbers = all(isinstance(_at(side, best), (int, float)) for side in sides)
    if not numbers or not any(isinstance(side, list) for side in sides):
        return best
    least = -1.0
    found, wanted = (in_days(side, days) for side in sides)
    for at, (fails, one, other) in enumerate(zip(failed.days, found, wanted, strict=True)):
        if fails:
            excess = abs(one - other)
            if excess > least:
                best, least = at, excess * (1 + 1e-9) + 1e-12
    return best


def _place(rule: Rule, scope: Scope, limit: Limit) -> Place:
    """Where a finding points: `at`, or the first that is written of what is judged and the levers.

    Where none of them is, it is the item, or what stands nearest to one of them in the file.
    """
    setup = scope.run.setup
    judged = [] if limit.term[0] == "measure" else [_term_name(limit)]
    levers = [fix.lever for fix in rule.fixes]
    names = filter(None, (rule.at, *judged, *levers, rule.each))
    paths = [_path(name, rule.each, scope.item) for name in names]
    path = next((path for path in paths if path in setup.marks or setup.is_written(path)), "")
    if not path:
        around = [setup.place(path)[0] for path in paths]
        path = next(filter(None, around), "pen")
    found, mark = setup.place(path)
    from_club = setup.club is not None and found in setup.club.given
    return Place(found, mark.line, mark.column, from_club)


def _path(at: str, each: str, item: int | None) -> str:
    first, _, rest = at.partition(".")
    if first not in ITEMS:
        return at
    place = item if first == each else 0
    return f"{ITEMS[first]}.{place}" + (f".{rest}" if rest else "")
