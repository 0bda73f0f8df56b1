"""Fixes, plan and what-if in the text report: what to do, that it was tried, what it leaves."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from flockcheck.checkup.model import Change, Finding, Fix, Plan, WhatIf
from flockcheck.checkup.wording import day_words, listed

_PLACES = ("first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth")


def fixes_text(group: Sequence[Finding]) -> str:
    """What was tried for findings that stand together; empty where nothing helps.

    What helps them all is told once; else each is told what helps it.
    """
    shared = [fix for fix in group[0].fixes if all(_has(one, fix) for one in group)]
    if shared:
        return _tried(shared, group[0].rule)
    parts = [(place, one) for place, one in enumerate(group) if one.fixes]
    if len(parts) == 1 and len(group) == 1:
        return _tried(group[0].fixes, group[0].rule)
    told = [
        f"For the {_PLACES[place] if place < len(_PLACES) else f'one at {place + 1}'}: "
        f"{_tried(one.fixes[:1], one.rule)}"
        for place, one in parts
    ]
    return " ".join(told)


def _has(finding: Finding, fix: Fix) -> bool:
    return any(one.changes == fix.changes for one in finding.fixes)


def _tried(fixes: Sequence[Fix], rule: str) -> str:
    """Fixes as one order, and that each was tried on the setup."""
    if len(fixes) == 1:
        return f"{fixes[0].says}. Tried on this setup: {outcome_words(fixes[0], rule)}."
    orders = [_order(fix, rule) for fix in fixes]
    return f"{', '.join(orders[:-1])}, or {orders[-1]}. Each was tried on this setup."


def _order(fix: Fix, rule: str) -> str:
    notes = _notes(fix, rule)
    return f"{fix.says} ({'; '.join(notes)})" if notes else fix.says


def _notes(fix: Fix, rule: str) -> list[str]:
    """What else a fix does, in a few words each."""
    others = [one for one in fix.clears if one != rule and one not in fix.remains]
    milder = [one for one in fix.remains if one != rule]
    return [
        *(["to watch all the same"] if rule in fix.remains else []),
        *([f"also clears {listed(others)}"] if others else []),
        *([f"makes {listed(milder)} milder"] if milder else []),
        *([f"brings {listed(list(fix.brings))}"] if fix.brings else []),
        *([f"not proved for {listed(list(fix.not_proved_for))}"] if fix.not_proved_for else []),
    ]


def outcome_words(fix: Fix, rule: str) -> str:
    """What a fix that stands alone does, as the end of a sentence."""
    does = "leaves it milder" if rule in fix.remains else "clears it"
    if not fix.brings:
        does += " and brings nothing new"
    notes = [note for note in _notes(fix, rule) if not note.startswith("to watch")]
    return "; ".join([does, *notes])


def plan_text(plan: Plan) -> list[str]:
    """A plan: a sentence that leads it in, each fix, and what stands beside it."""
    if not plan.fixes and not plan.remains:
        return ["Nothing has to be done first."]
    lines = []
    if plan.fixes:
        lines.append(_after(plan))
        lines += [f"- {_planned(fix)}" for fix in plan.fixes]
        least = "No set of fixes with less was found" if plan.least else "Not shown to be the least"
        lines.append(f"Effort {plan.effort:g}. {least}.")
    else:
        lines.append("No change of a number was found that helps.")
    for rule, words in plan.advice:
        lines.append(f"Beside it, as advice that can't be proved here ({rule}): {words}")
    advised = {rule for rule, _ in plan.advice}
    left = [rule for rule in plan.remains if rule not in advised]
    if left:
        lines.append(f"Not mended: {listed(left)}.")
    return lines


def _planned(fix: Fix) -> str:
    notes = [
        f"clears {listed(list(fix.clears))}",
        *_notes(fix._replace(clears=()), ""),
    ]
    return f"{fix.says} ({'; '.join(notes)})"


def _after(plan: Plan) -> str:
    """What a plan comes to, before what it asks."""
    if plan.remains:
        return "All of this together mends what a number can mend; what is left stands below it."
    if plan.verdict == "cannot say":
        return "With all of this nothing stops or wants mending as far as it was checked."
    return f"With all of this the setup is {_verdict(plan.verdict, plan.ready_until)}."


def what_if_text(what_if: WhatIf, verdict: str, until: date | None) -> list[str]:
    """What other values change against the file as it is written."""
    was = _verdict(what_if.verdict, what_if.ready_until)
    now = _verdict(verdict, until)
    same = f"The verdict stays {now}" if was == now else f"The verdict was {was} and is {now}"
    lines = [f"What if: {'; '.join(map(_changed, what_if.changes))}. {same}."]
    gone = [_named(rule, about, grade) for rule, about, grade in what_if.gone]
    new = [_named(rule, about, grade) for rule, about, grade in what_if.new]
    graded = [f"{_named(rule, about, now)}, was {was}" for rule, about, was, now in what_if.graded]
    for head, names in (("Gone", gone), ("New", new), ("Graded differently", graded)):
        if names:
            lines.append(f"{head}: {'; '.join(names)}.")
    if not (gone or new or graded):
        lines.append("No finding comes, goes or changes its grade.")
    return lines


def _changed(change: Change) -> str:
    if not change.was:
        return f"{change.path} is {change.text or 'left out'}, and was not written"
    return f"{change.path} is {change.text or 'left out'} in place of {change.was}"


def _named(rule: str, about: str | None, grade: str) -> str:
    item = ""
    if about:
        of, _, at = about.rpartition(".")
        item = f", {of} {int(at) + 1}"
    return f"{rule} ({grade}{item})"


def _verdict(verdict: str, until: date | None) -> str:
    return f"{verdict} {day_words(until, year=True)}" if until else verdict
