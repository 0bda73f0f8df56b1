"""A setup held against a rulebook: every question asked, the verdict drawn.

`check` is a pure function of its arguments: it opens nothing, prints nothing and reads no clock, so
it can run in any pool.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

from flockcheck.checkup.evaluate import Scope, holds
from flockcheck.checkup.judge import Answer, ask
from flockcheck.checkup.model import (
    Acceptance,
    Finding,
    Place,
    Report,
    Span,
    StandardAnswer,
    Unchecked,
    unreadable,
)
from flockcheck.checkup.wording import Wording, listed
from flockcheck.measures.graph.run import Run
from flockcheck.rulebook.book import Rulebook
from flockcheck.rulebook.model import GRADES, Rule
from flockcheck.setup.reader import nearest
from flockcheck.setup.sections import ITEMS, Missing
from flockcheck.setup.written import Setup
from flockcheck.text.document import Fault

# The longest time that a risk which can hurt someone may be accepted.
CAUTION_DAYS = 30
# Not in any rulebook: it is about the file's own list of accepted risks.
IN_VAIN = "accepted-nothing"
# What leaving out means "none", and the report says so where a question rested on it.
NONE_KEYS = ("mesh.skirt", "pen.anchors.count", "site.nitrogen_used", "guardians", "pets")


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
    wording = Wording(setup, units)
    asked = tuple(sorted({*run.whole.standards, *standards}))
    answers = [
        (rule, item, answer)
        for rule in rulebook.rules.values()
        if not rule.always
        for item, answer in _ask_all(rule, run, wording, asked)
    ]
    shown = _stand_in(
        [answer.finding for _, _, answer in answers if answer.finding], rulebook.rules, run.days
    )
    shown = _accept(shown, setup, run)
    findings = tuple(sorted(shown, key=_order))
    counts = dict.fromkeys(reversed(GRADES), 0)
    for finding in findings:
        if finding.counts:
            counts[open_grade(finding)] += 1
    verdict, until = _verdict(findings, answers, run, on)
    return Report(
        file=setup.file,
        name=setup.name,
        verdict=verdict,
        ready_until=until,
        first_day=run.days[0],
        looked_until=run.days[-1],
        open_end=_open_end(run),
        birds=_birds(run),
        asked=len(answers),
        checked=sum(answer.state == "checked" for _, _, answer in answers),
        partly=sum(answer.state == "partly" for _, _, answer in answers),
        counts=counts,
        findings=findings,
        standards=tuple(_standard(name, answers) for name in asked),
        partly_checked=_unchecked(answers, "partly"),
        not_checked=_unchecked(answers, "not checked"),
        taken_as_none=tuple(
            key for key in NONE_KEYS if key in run.everything and not setup.is_written(key)
        ),
        sharper=tuple(sorted(run.sharper())),
        reminders=_reminders(rulebook, run),
        errors=(),
        failures=tuple(f"{failure.measure}: {failure.says}" for failure in run.failures),
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
            known = listed([f"`{one}`" for one in rulebook.standards])
            says = f"there is no standard `{name}`; the rulebook knows {known}"
            if mark is not None:
                faults.append(Fault(mark.line, mark.column, f"standards.{at}", says))
    return tuple(faults)


def _ask_all(
    rule: Rule, run: Run, wording: Wording, asked: tuple[str, ...]
) -> list[tuple[int | None, Answer]]:
    """A rule's answers, one for each item; a list that is not written is one open question."""
    if not rule.each:
        return _asked([(None, ask(rule, run, None, wording, asked))])
    try:
        count = len(run.items(rule.each))
    except Missing as error:
        standards = {limit.standard for limit in rule.limits if limit.standard in asked}
        lacking = Answer("not checked", None, (error,), dict.fromkeys(standards, error))
        return [(None, lacking)]
    return _asked([(item, ask(rule, run, item, wording, asked)) for item in range(count)])


def _asked(answers: list[tuple[int | None, Answer]]) -> list[tuple[int | None, Answer]]:
    return [(item, answer) for item, answer in answers if answer.state != "not asked"]


def _order(finding: Finding) -> tuple[object, ...]:
    return (
        -GRADES.index(finding.grade),
        finding.place.line,
        finding.place.column,
        finding.rule,
        finding.about or "",
    )


def _stand_in(findings: list[Finding], rules: dict[str, Rule], days: list[date]) -> list[Finding]:
    """Findings without the days on which another one says the same better."""
    hiding: dict[str, list[Finding]] = {}
    for finding in findings:
        for name in rules[finding.rule].instead_of:
            hiding.setdefault(name, []).append(finding)
    kept: list[Finding] = []
    for finding in findings:
        hidden: set[date] = set()
        for other in hiding.get(finding.rule, ()):
            same = other.about is None or finding.about is None or other.about == finding.about
            if same:
                hidden |= _days_of(other, days)
        if not hidden:
            kept.append(finding)
            continue
        left = [day for day in days if day in _days_of(finding, days) and day not in hidden]
        if left and finding.spans:
            kept.append(_only_on(finding, left))
        elif left and len(left) == len(days):
            kept.append(finding)
    return kept


def _days_of(finding: Finding, days: list[date]) -> set[date]:
    if not finding.spans:
        return set(days)
    return {day for day in days for span in finding.spans if span.first <= day <= span.last}


def _only_on(finding: Finding, days: list[date]) -> Finding:
    spans: list[Span] = []
    for day in days:
        grade = next(span.grade for span in finding.spans if span.first <= day <= span.last)
        if spans and spans[-1].grade == grade and spans[-1].last + timedelta(days=1) == day:
            spans[-1] = Span(spans[-1].first, day, grade)
        else:
            spans.append(Span(day, day, grade))
    return replace(
        finding,
        spans=tuple(spans),
        first=spans[0].first,
        open_from=spans[0].first,
        grade=max((span.grade for span in spans), key=GRADES.index),
    )


def _accept(findings: list[Finding], setup: Setup, run: Run) -> list[Finding]:
    """Findings with the keeper's acceptances; one that covers nothing becomes a tip of its own."""
    found = list(findings)
    for at in range(setup.lists.get("accepted", 0)):
        entry = run.whole.accepted[at]
        item = setup.values.get(f"accepted.{at}.item")
        used = False
        for n, finding in enumerate(found):
            if finding.rule != entry.rule or (item and finding.about != item.value):
                continue
            used = True
            found[n] = _covered(finding, entry.because, entry.until, run.days)
        if not used:
            found.append(_in_vain(setup, at))
    return found


def _covered(finding: Finding, because: str, until: date, days: list[date]) -> Finding:
    if finding.caution:
        until = min(until, (finding.first or days[0]) + timedelta(days=CAUTION_DAYS))
    open_days = [day for day in days if day in _days_of(finding, days) and day > until]
    return replace(
        finding,
        accepted=Acceptance(because, until),
        open_from=open_days[0] if open_days else None,
    )


def _in_vain(setup: Setup, at: int) -> Finding:
    path = f"accepted.{at}.rule"
    written = setup.values[path]
    return Finding(
        rule=IN_VAIN,
        topic="plan",
        grade="tip",
        title="A risk is accepted that is not there",
        says=f"`{written.value}` is accepted, but it finds nothing in this setup.",
        why="An acceptance that covers nothing would hide the finding when it comes.",
        about=f"accepted.{at}",
        place=Place(path, written.start.line, written.start.column),
        measured=None,
        comparator="",
        limit=None,
        first=None,
        worst=None,
        spans=(),
        cites=({"practice": "common"},),
        caution="",
        advice=("take the entry out of `accepted`",),
        accepted=None,
        open_from=None,
    )


def open_grade(finding: Finding) -> str:
    """The worst grade on the days that no acceptance covers."""
    if not finding.spans or finding.open_from is None:
        return finding.grade
    left = [span.grade for span in finding.spans if span.last >= finding.open_from]
    return max(left, key=GRADES.index) if left else finding.grade


def _verdict(
    findings: tuple[Finding, ...],
    answers: list[tuple[Rule, int | None, Answer]],
    run: Run,
    on: date | None,
) -> tuple[str, date | None]:
    """The verdict and, for `ready until`, the last good day."""
    start, end = run.days[0], run.days[-1]
    if on is not None and end < on and not _open_end(run):
        return "over", None
    first_bad: date | None = None
    for finding in findings:
        if finding.accepted is not None and finding.open_from is None:
            continue
        begins = _begins(finding, start)
        if begins is not None and (first_bad is None or begins < first_bad):
            first_bad = begins
    if first_bad is not None and first_bad <= start:
        return "not ready", None
    weighty = [answer for rule, _, answer in answers if rule.can_stop]
    if 2 * sum(answer.state == "checked" for answer in weighty) < len(weighty):
        return "cannot say", None
    if first_bad is not None:
        return "ready until", first_bad - timedelta(days=1)
    return ("ready until", end) if _open_end(run) else ("ready", None)


def _begins(finding: Finding, start: date) -> date | None:
    """The first day on which a finding is an open stop or mend."""
    bad = ("stop", "mend")
    if not finding.spans:
        return (finding.open_from or start) if finding.grade in bad else None
    for span in finding.spans:
        if span.grade in bad and (finding.open_from is None or span.last >= finding.open_from):
            return max(span.first, finding.open_from or span.first)
    return None


def _open_end(run: Run) -> bool:
    birds = run.setup.lists["birds"]
    return any(not run.setup.is_written(f"birds.{at}.leaves") for at in range(birds))


def _birds(run: Run) -> str:
    """The flock in words: 36 meat chickens and 12 turkeys."""
    counts: dict[str, int] = {}
    for group in run.items("group"):
        counts[group.kind] = counts.get(group.kind, 0) + group.count
    return listed([f"{count} {kind}{'' if count == 1 else 's'}" for kind, count in counts.items()])


def _unchecked(answers: list[tuple[Rule, int | None, Answer]], state: str) -> tuple[Unchecked, ...]:
    found = []
    for rule, item, answer in answers:
        if answer.state != state:
            continue
        keys = [key for error in answer.lacks for key in error.keys]
        why = next((error.why for error in answer.lacks if error.why), "")
        about = f"{ITEMS[rule.each]}.{item}" if item is not None else None
        found.append(Unchecked(rule.name, about, tuple(dict.fromkeys(keys)), why))
    return tuple(found)


def _standard(name: str, answers: list[tuple[Rule, int | None, Answer]]) -> StandardAnswer:
    by: list[str] = []
    open_rules: list[str] = []
    for rule, _, answer in answers:
        found = answer.broken.get(name, False)
        if found is True:
            by.append(rule.name)
        elif isinstance(found, Missing):
            open_rules.append(rule.name)
    met = False if by else None if open_rules else True
    return StandardAnswer(name, met, tuple(dict.fromkeys(by)), tuple(dict.fromkeys(open_rules)))


def _reminders(rulebook: Rulebook, run: Run) -> tuple[str, ...]:
    return tuple(
        rule.name
        for rule in rulebook.rules.values()
        if rule.always and (rule.when is None or _ever(holds(Scope(run), rule.when)))
    )


def _ever(truth: object) -> bool:
    return any(day is True for day in truth) if isinstance(truth, list) else truth is True


__all__ = ["IN_VAIN", "check", "open_grade"]
