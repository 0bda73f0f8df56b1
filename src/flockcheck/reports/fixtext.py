"""Fixes, plan and what-if in the text report: what to do, that it was tried, what it leaves."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date

from flockcheck.checkup.model import Change, Finding, Fix, Plan, WhatIf
from flockcheck.checkup.wording import day_words, listed
from flockcheck.reports.together import item_words

# More rules than this are told by their names alone: each stands in the report with its title.
_MOST_TITLES = 2
_NOT_LEAST = "Not shown to be the least"


class FixText:
    """Words for fixes, plans and what-ifs; `titles` are those of the rules, by name."""

    def __init__(self, titles: Mapping[str, str], predators: Sequence[str] = ()) -> None:
        self._titles = titles
        self._predators = predators

    def rule(self, name: str, *more: str) -> str:
        """A rule by its title, with its name and what more there is in brackets."""
        title = self._titles.get(name, "")
        said = ", ".join((name, *more))
        return f"{title[:1].lower()}{title[1:]} ({said})" if title else said

    def fixes(self, group: Sequence[Finding]) -> tuple[str, tuple[str, ...]]:
        """What was tried for findings that stand together; empty where nothing helps.

        A sentence, and below it the fixes one by one where there are several that do more than to
        clear what they are for. What helps them all is told once; else each is told what helps it.
        """
        rule = group[0].rule
        shared = [fix for fix in group[0].fixes if all(_has(one, fix) for one in group)]
        if shared:
            return self._tried(shared, rule)
        if len(group) == 1:
            return self._tried(group[0].fixes, rule)
        told = [
            f"For {item_words(one.about, self._predators)}: {self._tried(one.fixes[:1], rule)[0]}"
            for one in group
            if one.fixes
        ]
        return " ".join(told), ()

    def _tried(self, fixes: Sequence[Fix], rule: str) -> tuple[str, tuple[str, ...]]:
        """Fixes as one order, and that each was tried on the setup."""
        if not fixes:
            return "", ()
        if len(fixes) == 1:
            return f"{fixes[0].says}. Tried on this setup: {self._outcome(fixes[0], rule)}.", ()
        orders = tuple("; ".join((fix.says, *self._notes(fix, rule))) for fix in fixes)
        if any(self._notes(fix, rule) for fix in fixes):
            return "one of these; each was tried on this setup.", orders
        return f"{', '.join(orders[:-1])}, or {orders[-1]}. Each was tried on this setup.", ()

    def _outcome(self, fix: Fix, rule: str) -> str:
        """What a fix that stands alone does, as the end of a sentence."""
        does = "leaves it milder" if rule in fix.remains else "clears it"
        if not fix.brings:
            does += " and brings nothing new"
        notes = [note for note in self._notes(fix, rule) if not note.startswith("to watch")]
        return "; ".join([does, *notes])

    def _notes(self, fix: Fix, rule: str) -> list[str]:
        """What else a fix does, in a few words each."""
        others = [one for one in fix.clears if one != rule and one not in fix.remains]
        milder = [one for one in fix.remains if one != rule]
        return [
            *(["to watch all the same"] if rule in fix.remains else []),
            *([f"also clears{self._named(others)}"] if others else []),
            *([f"makes milder{self._named(milder)}"] if milder else []),
            *([f"brings{self._titled(fix.brings)}"] if fix.brings else []),
            *([f"not proved for {listed(list(fix.not_proved_for))}"] if fix.not_proved_for else []),
        ]

    def _titled(self, rules: Sequence[str]) -> str:
        return f": {listed([self.rule(one) for one in rules])}"

    def _named(self, rules: Sequence[str]) -> str:
        """Rules that stand in the report: by title where they are few."""
        if len(rules) <= _MOST_TITLES:
            return self._titled(rules)
        return f" {len(rules)} more: {listed(list(rules))}"

    def plan(self, plan: Plan) -> list[str]:
        """A plan: a sentence that leads it in, each fix, and what stands beside it."""
        if not plan.fixes and not plan.remains:
            return ["Nothing has to be done first."]
        lines = []
        if plan.fixes:
            lines.append(_after(plan))
            lines += [f"- {self._planned(fix)}" for fix in plan.fixes]
            least = "No set of fixes with less was found"
            lines.append(f"Effort {plan.effort:g}. {least if plan.least else _NOT_LEAST}.")
        else:
            lines.append("No change of a number was found that helps.")
        for rule, words in plan.advice:
            lines.append(f"Beside it, as advice that can't be proved here ({rule}): {words}")
        advised = {rule for rule, _ in plan.advice}
        left = [rule for rule in plan.remains if rule not in advised]
        if left:
            lines.append(f"Not mended: {listed([self.rule(one) for one in left])}.")
        return lines

    def _planned(self, fix: Fix) -> str:
        """A fix of a plan; what it clears stands above it with its title."""
        clears = f"clears {listed(list(fix.clears))}"
        return f"{fix.says} ({'; '.join([clears, *self._notes(fix._replace(clears=()), '')])})"

    def what_if(self, what_if: WhatIf, verdict: str, until: date | None) -> list[str]:
        """What other values change against the file as it is written."""
        was = _verdict(what_if.verdict, what_if.ready_until)
        now = _verdict(verdict, until)
        same = f"The verdict stays {now}" if was == now else f"The verdict was {was} and is {now}"
        lines = [f"What if: {'; '.join(map(_changed, what_if.changes))}. {same}."]
        before = FixText(self._titles, what_if.predators)
        gone = [before._about(rule, about, grade) for rule, about, grade in what_if.gone]
        new = [self._about(rule, about, grade) for rule, about, grade in what_if.new]
        graded = [
            f"{self._about(rule, about, now)}, was {was}"
            for rule, about, was, now in what_if.graded
        ]
        for head, names in (("Gone", gone), ("New", new), ("Graded differently", graded)):
            if names:
                lines.append(f"{head}: {'; '.join(names)}.")
        if not (gone or new or graded):
            lines.append("No finding comes, goes or changes its grade.")
        return lines

    def _about(self, rule: str, about: str | None, grade: str) -> str:
        item = [item_words(about, self._predators)] if about else []
        return self.rule(rule, grade, *item)


def _has(finding: Finding, fix: Fix) -> bool:
    return any(one.changes == fix.changes for one in finding.fixes)


def _after(plan: Plan) -> str:
    """What a plan comes to, before what it asks."""
    if plan.remains:
        return "All of this together mends what a number can mend; what is left stands below it."
    if plan.verdict == "cannot say":
        return "With all of this nothing stops or wants mending as far as it was checked."
    return f"With all of this the setup is {_verdict(plan.verdict, plan.ready_until)}."


def _changed(change: Change) -> str:
    if not change.was:
        return f"{change.path} is {change.text or 'left out'}, and was not written"
    return f"{change.path} is {change.text or 'left out'} in place of {change.was}"


def _verdict(verdict: str, until: date | None) -> str:
    return f"{verdict} {day_words(until, year=True)}" if until else verdict
