"""A setup held against a rulebook: every question asked, the verdict drawn.

`check` is a pure function of its arguments: it opens nothing, prints nothing and reads no clock, so
it can run in any pool.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import NamedTuple

from flockcheck.checkup.accept import IN_VAIN, Accepted, accepted_in, covered, in_vain, open_days
from flockcheck.checkup.evaluate import Scope, holds
from flockcheck.checkup.finding import Failed, finding_of, left_of
from flockcheck.checkup.judge import Answer, ask, unknown
from flockcheck.checkup.model import Finding, Report, StandardAnswer, Unchecked, unreadable
from flockcheck.checkup.verdict import first_bad_day, open_grade, verdict
from flockcheck.checkup.wording import Wording, listed
from flockcheck.measures.graph.run import Failure, Run
from flockcheck.rulebook.book import Rulebook
from flockcheck.rulebook.model import GRADES, Rule
from flockcheck.setup.reader import nearest
from flockcheck.setup.sections import ITEMS
from flockcheck.setup.view import Missing
from flockcheck.setup.written import Setup
from flockcheck.text.document import Fault

# What leaving out means "none", and the report says so where a question rested on it.
NONE_KEYS = ("mesh.skirt", "pen.anchors.count", "site.nitrogen_used", "guardians", "pets")


class Asked(NamedTuple):
    """A rule asked of one item (None: of the pen, or of a list that is not written)."""

    rule: Rule
    item: int | None
    answer: Answer

    @property
    def about(self) -> str | None:
        """The item's path."""
        return f"{ITEMS[self.rule.each]}.{self.item}" if self.item is not None else None


def check(
    setup: Setup,
    rulebook: Rulebook,
    *,
    standards: tuple[str, ...] = (),
    units: str = "written",
    on: date | None = None,
) -> Report:
    """The report of one setup.

    `standards` are judged besides those that the setup asks for; `units` is us, metric or written;
    with `on`, a stay that ended before that day is `over`. Raises nothing for any setup.
    """
    errors = _reference_errors(setup, rulebook)
    if errors:
        return unreadable(setup.file, errors, setup.name)
    run = Run(setup, rulebook.registry, rulebook.tables)
    names = tuple(sorted({*run.whole.standards, *standards}))
    told = [
        pair
        for rule in rulebook.rules.values()
        if not rule.always
        for pair in _told(rule, run, names, Wording(setup, units))
    ]
    every = [one for one, _ in told]
    questions = [one for one in every if one.answer.state != "not asked"]
    findings = _findings(told, run, Wording(setup, units))
    counts = dict.fromkeys(reversed(GRADES), 0)
    for finding in findings:
        if finding.counts:
            counts[open_grade(finding)] += 1
    said, until = _verdict(findings, questions, run, on)
    return Report(
        file=setup.file,
        name=setup.name,
        verdict=said,
        ready_until=until,
        first_day=run.days[0],
        looked_until=run.days[-1],
        open_end=_open_end(run),
        birds=_birds(run),
        asked=len(questions),
        checked=sum(one.answer.state == "checked" for one in questions),
        partly=sum(one.answer.state == "partly" for one in questions),
        counts=counts,
        findings=findings,
        standards=tuple(_standard(name, every) for name in names),
        partly_checked=_unchecked(questions, "partly"),
        not_checked=_unchecked(questions, "not checked"),
        taken_as_none=tuple(
            key for key in NONE_KEYS if key in run.everything and not setup.is_written(key)
        ),
        sharper=tuple(sorted(run.sharper())),
        reminders=_reminders(rulebook, run),
        errors=(),
        failures=tuple(dict.fromkeys(f"{one.measure}: {one.says}" for one in run.failures)),
    )


def _reference_errors(setup: Setup, rulebook: Rulebook) -> tuple[Fault, ...]:
    """Names in the file that only a rulebook can know: accepted rules and standards."""
    faults: list[Fault] = []
    for at in range(setup.lists.get("accepted", 0)):
        written = setup.values[f"accepted.{at}.rule"]
        if written.value not in rulebook.rules:
            near = nearest(written.value, list(rulebook.rules))
            hint = f"; did you mean `{near}`?" if near else ""
            says = f"there is no rule `{written.value}` to accept{hint}"
            start = written.start
            faults.append(Fault(start.line, start.column, f"accepted.{at}.rule", says))
    wanted = setup.values.get("standards")
    for at, name in enumerate(wanted.value if wanted else ()):
        if name not in rulebook.standards:
            mark = setup.marks.get(f"standards.{at}", wanted.start if wanted else None)
            near = nearest(name, list(rulebook.standards))
            known = listed([f"`{one}`" for one in rulebook.standards])
            hint = f"did you mean `{near}`?" if near else f"the rulebook knows {known}"
            says = f"there is no standard `{name}`; {hint}"
            if mark is not None:
                faults.append(Fault(mark.line, mark.column, f"standards.{at}", says))
    return tuple(faults)


def ask_all(rule: Rule, run: Run, standards: tuple[str, ...]) -> list[Asked]:
    """A rule's answers, one for each item; a list that is not written is one open question."""
    if not rule.each:
        return [Asked(rule, None, ask(rule, run, None, standards))]
    try:
        count = len(run.items(rule.each))
    except Missing as error:
        return [Asked(rule, None, unknown(rule, error, standards))]
    return [Asked(rule, item, ask(rule, run, item, standards)) for item in range(count)]


def _told(
    rule: Rule, run: Run, standards: tuple[str, ...], wording: Wording
) -> list[tuple[Asked, Finding | None]]:
    """A rule's answers, each with what is found.

    A rule that fails counts as not checked, and neither ends nor silences the others.
    """
    try:
        return [
            (one, _finding(one, run, wording, list(one.answer.failed)))
            for one in ask_all(rule, run, standards)
        ]
    except Exception as error:
        failure = Failure(f"rule {rule.name}", f"{type(error).__name__}: {error}")
        run.failures.append(failure)
        lacks = Missing(why=f"the {failure.measure} failed ({failure.says})")
        return [(Asked(rule, None, unknown(rule, lacks, standards)), None)]


def _finding(one: Asked, run: Run, wording: Wording, failed: list[Failed]) -> Finding | None:
    if not failed:
        return None
    return finding_of(one.rule, Scope(run, one.rule.each, one.item), failed, wording)


def _findings(
    told: list[tuple[Asked, Finding | None]], run: Run, wording: Wording
) -> tuple[Finding, ...]:
    """What was found: the worst first, then in the order of the file.

    A finding is left out on the days on which another says the same better. One that the keeper
    accepted hides nothing on the days that the acceptance covers.
    """
    entries = accepted_in(run.setup, run.whole)
    whole = [(one, covered(found, entries, run.days)) for one, found in told if found is not None]
    every = [one for one, _ in told]
    shown = [_in_vain(entry, every, run) for entry in entries]
    found = [finding for finding in shown if finding is not None]
    for one, finding in whole:
        hidden = _hidden(finding, whole, run.days)
        if not hidden:
            found.append(finding)
            continue
        left = _finding(one, run, wording, left_of(one.answer.failed, hidden, run.days))
        if left is not None:
            found.append(covered(left, entries, run.days))
    return tuple(sorted(found, key=_order))


def _hidden(
    finding: Finding, whole: list[tuple[Asked, Finding]], days: Sequence[date]
) -> frozenset[date]:
    """The days on which another finding stands in for this one: for the same item, or the pen."""
    hidden: set[date] = set()
    for one, other in whole:
        same = None in (finding.about, other.about) or finding.about == other.about
        if finding.rule in one.rule.instead_of and same:
            hidden.update(open_days(other, days))
    return frozenset(hidden)


def _in_vain(entry: Accepted, every: list[Asked], run: Run) -> Finding | None:
    """A tip where an acceptance covers nothing; none while its rule can't be judged in full."""
    for one in every:
        unsure = one.answer.state in ("partly", "not checked")
        if (one.answer.failed or unsure) and entry.covers(one.rule.name, one.about):
            return None
    return in_vain(entry, run.setup)


def _order(finding: Finding) -> tuple[object, ...]:
    return (
        -GRADES.index(finding.grade),
        finding.place.line,
        finding.place.column,
        finding.rule,
        finding.about or "",
    )


def _verdict(
    findings: tuple[Finding, ...], questions: list[Asked], run: Run, on: date | None
) -> tuple[str, date | None]:
    """The verdict and, for `ready until`, the last good day."""
    open_end = _open_end(run)
    if on is not None and run.days[-1] < on and not open_end:
        return "over", None
    weighty = [one.answer for one in questions if one.rule.can_stop]
    checked = sum(answer.state == "checked" for answer in weighty)
    return verdict(
        first_bad_day(findings, run.days[0]),
        run.days,
        open_end=open_end,
        enough=2 * checked >= len(weighty),
    )


def _open_end(run: Run) -> bool:
    birds = run.setup.lists["birds"]
    return any(not run.setup.is_written(f"birds.{at}.leaves") for at in range(birds))


def _birds(run: Run) -> str:
    """The flock in words: 36 meat chickens and 12 turkeys."""
    counts: dict[str, int] = {}
    for group in run.items("group"):
        counts[group.kind] = counts.get(group.kind, 0) + group.count
    return listed([f"{count} {kind}{'' if count == 1 else 's'}" for kind, count in counts.items()])


def _unchecked(questions: list[Asked], state: str) -> tuple[Unchecked, ...]:
    found = []
    for one in questions:
        if one.answer.state != state:
            continue
        keys = [key for error in one.answer.lacks for key in error.keys]
        why = next((error.why for error in one.answer.lacks if error.why), "")
        found.append(Unchecked(one.rule.name, one.about, tuple(dict.fromkeys(keys)), why))
    return tuple(found)


def _standard(name: str, every: list[Asked]) -> StandardAnswer:
    by: list[str] = []
    open_rules: list[str] = []
    for one in every:
        found = one.answer.broken.get(name, False)
        if found is True:
            by.append(one.rule.name)
        elif isinstance(found, Missing):
            open_rules.append(one.rule.name)
    met = False if by else None if open_rules else True
    return StandardAnswer(name, met, tuple(dict.fromkeys(by)), tuple(dict.fromkeys(open_rules)))


def _reminders(rulebook: Rulebook, run: Run) -> tuple[str, ...]:
    return tuple(
        rule.name for rule in rulebook.rules.values() if rule.always and _reminds(rule, run)
    )


def _reminds(rule: Rule, run: Run) -> bool:
    """Whether a reminder is for this setup; one whose condition fails is given all the same."""
    if rule.when is None:
        return True
    try:
        truth = holds(Scope(run), rule.when)
    except Exception as error:
        run.failures.append(Failure(f"rule {rule.name}", f"{type(error).__name__}: {error}"))
        return True
    return any(day is True for day in truth) if isinstance(truth, list) else truth is True


__all__ = ["IN_VAIN", "Asked", "ask_all", "check", "open_grade"]
