"""A setup held against a rulebook: every question asked, the verdict drawn.

`check` is a pure function of its arguments: it opens nothing, prints nothing and reads no clock, so
it can run in any pool.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from flockcheck.checkup.accept import IN_VAIN
from flockcheck.checkup.asking import Asked, Sheet, ask_all, sheet_of
from flockcheck.checkup.evaluate import holds
from flockcheck.checkup.model import Report, StandardAnswer, Unchecked, unreadable
from flockcheck.checkup.readers import Scope
from flockcheck.checkup.verdict import first_bad_day, open_grade, verdict
from flockcheck.checkup.wording import listed
from flockcheck.measures.graph.run import Failure, Run
from flockcheck.measures.graph.stay import presence
from flockcheck.rulebook.book import Rulebook
from flockcheck.rulebook.model import GRADES, Rule
from flockcheck.setup.reader import nearest
from flockcheck.setup.sections import Group
from flockcheck.setup.view import Missing
from flockcheck.setup.written import Setup
from flockcheck.text.document import Fault

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
    errors = reference_errors(setup, rulebook)
    if errors:
        return unreadable(setup.file, errors, setup.name)
    return report_of(sheet_of(setup, rulebook, standards, units, tracks=False), rulebook, on)


def report_of(sheet: Sheet, rulebook: Rulebook, on: date | None = None) -> Report:
    """The report on a setup of which everything was asked."""
    run, setup, findings = sheet.run, sheet.run.setup, sheet.findings
    every = sheet.every
    states: dict[str, list[Asked]] = {"checked": [], "partly": [], "not checked": []}
    for one in sheet.questions:
        states[one.answer.state].append(one)
    checked, partly, unchecked = states.values()
    heard = run.everything
    counts = dict.fromkeys(reversed(GRADES), 0)
    for finding in findings:
        if finding.counts:
            counts[open_grade(finding)] += 1
    said, until = _verdict(sheet, on)
    return Report(
        file=setup.file,
        name=setup.name,
        verdict=said,
        ready_until=until,
        first_day=run.days[0],
        looked_until=run.days[-1],
        open_end=_open_end(run),
        birds=_birds(run.items("group")),
        asked=len(checked) + len(partly) + len(unchecked),
        checked=len(checked),
        partly=len(partly),
        counts=counts,
        findings=findings,
        standards=tuple(_standard(name, every) for name in sheet.standards),
        partly_checked=_unchecked(partly),
        not_checked=_unchecked(unchecked),
        taken_as_none=tuple(key for key in NONE_KEYS if key in heard and not setup.is_written(key)),
        sharper=tuple(sorted(run.sharper())),
        reminders=_reminders(rulebook, run),
        errors=(),
        failures=tuple(dict.fromkeys(f"{one.measure}: {one.says}" for one in run.failures)),
        club=setup.club.file if setup.club else "",
        from_club=setup.club.told if setup.club else (),
        required=setup.club.lacks if setup.club else (),
        comings=_comings(run),
        predators=setup.values["predators"].value if "predators" in setup.values else (),
    )


def reference_errors(setup: Setup, rulebook: Rulebook) -> tuple[Fault, ...]:
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


def _verdict(sheet: Sheet, on: date | None) -> tuple[str, date | None]:
    """The verdict and, for `ready until`, the last good day."""
    run = sheet.run
    open_end = _open_end(run)
    if on is not None and run.days[-1] < on and not open_end:
        return "over", None
    bad = first_bad_day(sheet.findings, run.days[0])
    return verdict(bad, run.days, open_end=open_end, enough=sheet.enough)


def _open_end(run: Run) -> bool:
    birds = run.setup.lists["birds"]
    return any(not run.setup.is_written(f"birds.{at}.leaves") for at in range(birds))


def _birds(groups: Sequence[Group]) -> str:
    """Birds in words: 36 meat chickens and 12 turkeys."""
    counts: dict[str, int] = {}
    for group in groups:
        counts[group.kind] = counts.get(group.kind, 0) + group.count
    return listed([f"{count} {kind}{'' if count == 1 else 's'}" for kind, count in counts.items()])


def _comings(run: Run) -> tuple[tuple[date, str], ...]:
    """Who moves in and who leaves, by day; the day on which the last birds leave says itself."""
    groups = run.items("group")
    if len(groups) == 1:
        return ((run.days[0], "birds move in"),)
    moves: dict[tuple[date, str, str], list[Group]] = {}
    for group in groups:
        first, last = presence(group, run.whole)
        moves.setdefault((first, "moves in", "move in"), []).append(group)
        if last < run.days[-1]:
            moves.setdefault((last, "leaves", "leave"), []).append(group)
    return tuple(
        (day, f"{_birds(birds)} {one if sum(group.count for group in birds) == 1 else many}")
        for (day, one, many), birds in sorted(moves.items(), key=lambda move: move[0])
    )


def _unchecked(questions: list[Asked]) -> tuple[Unchecked, ...]:
    found = []
    for one in questions:
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


__all__ = ["IN_VAIN", "Asked", "ask_all", "check", "open_grade", "report_of"]
