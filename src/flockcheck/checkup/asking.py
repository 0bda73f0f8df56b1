"""Every question asked of a setup, and what was found; a changed setup is asked only what is new.

A rule is asked again if something that it read has changed: a key, whether a key is written, a
measure's value, the days of the stay. Everything else is kept, which is what makes fixes cheap.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date
from typing import Any

from flockcheck.checkup.accept import Accepted, accepted_in, covered, in_vain, open_days
from flockcheck.checkup.finding import Failed, finding_of, left_of
from flockcheck.checkup.judge import Answer, ask, unknown
from flockcheck.checkup.model import Finding
from flockcheck.checkup.readers import Scope
from flockcheck.checkup.wording import Wording
from flockcheck.measures.graph.inputs import copy_of
from flockcheck.measures.graph.run import Failure, Run
from flockcheck.rulebook.book import Rulebook
from flockcheck.rulebook.model import GRADES, Rule
from flockcheck.setup.form import general
from flockcheck.setup.sections import ITEMS
from flockcheck.setup.view import Missing
from flockcheck.setup.written import Setup
from flockcheck.text.records import NamedTuple


class Asked(NamedTuple):
    """A rule asked of one item (None: of the pen, or of a list that is not written)."""

    rule: Rule
    item: int | None
    answer: Answer

    @property
    def about(self) -> str | None:
        """The item's path."""
        return f"{ITEMS[self.rule.each]}.{self.item}" if self.item is not None else None


class Told(NamedTuple):
    """A rule's answers with what is found, the keys that it read itself, the measures it asked.

    The two latter are noted by a run that tracks them.
    """

    pairs: tuple[tuple[Asked, Finding | None], ...]
    reads: frozenset[str]
    measures: tuple[tuple[str, int | None], ...]


class Sheet(NamedTuple):
    """A setup with every answer to it, from which a changed setup is answered quickly.

    `told` goes by rule; `standards` and `units` are what it was asked with, and `weighty` are the
    rules that could say stop or mend.
    """

    run: Run
    told: dict[str, Told]
    findings: tuple[Finding, ...]
    standards: tuple[str, ...]
    units: str
    weighty: frozenset[str]

    @property
    def every(self) -> list[Asked]:
        """Every question, asked or not."""
        return [one for told in self.told.values() for one, _ in told.pairs]

    @property
    def questions(self) -> list[Asked]:
        """Every question that is for a setup like this."""
        return [one for one in self.every if one.answer.state != "not asked"]

    @property
    def enough(self) -> bool:
        """Whether at least half of the questions that could say stop or mend were checked."""
        states = [one.answer.state for one in self.questions if one.rule.name in self.weighty]
        return 2 * states.count("checked") >= len(states)


def sheet_of(
    setup: Setup,
    rulebook: Rulebook,
    standards: tuple[str, ...] = (),
    units: str = "written",
    *,
    tracks: bool = True,
) -> Sheet:
    """Every question of a rulebook asked of a setup; without `tracks` for no `again` after it."""
    run = Run(setup, rulebook.registry, rulebook.tables, tracks=tracks)
    names = tuple(sorted({*run.whole.standards, *standards}))
    wording = Wording(setup, units)
    told = {
        rule.name: _told(rule, run, names, wording)
        for rule in rulebook.rules.values()
        if not rule.always
    }
    findings = _findings(told.values(), run, wording)
    return Sheet(run, told, findings, names, units, rulebook.weighty)


def again(sheet: Sheet, rulebook: Rulebook, run: Run, paths: Sequence[str]) -> Sheet:
    """The sheet of a setup that differs from another's at these paths (an added item by its own).

    `run` is the other's, changed. It is the same as a new sheet, but that what is not asked any
    more may still be in the run.
    """
    old, setup = sheet.run.setup, run.setup
    wording = Wording(setup, sheet.units)
    appear = [path for path in paths if old.is_written(path) != setup.is_written(path)]
    anew = run.days != sheet.run.days
    told = {
        name: _told(rulebook.rules[name], run, sheet.standards, wording)
        if anew or _stale(rulebook.rules[name], one, sheet.run, run, paths, appear)
        else one
        for name, one in sheet.told.items()
    }
    findings = _findings(told.values(), run, wording)
    return sheet._replace(run=run, told=told, findings=findings)


def _stale(
    rule: Rule, told: Told, old: Run, new: Run, paths: Sequence[str], appear: Sequence[str]
) -> bool:
    """Whether a rule may answer otherwise than it did.

    Its measures are compared in the order in which it asked for them: as long as they are the same
    it asks for the next, so none is worked out that it would not ask for.
    """
    if any(_touches(path, read, old, new) for path in paths for read in told.reads):
        return True
    if appear and any(_holds(general(path), key) for path in appear for key in looked_at(rule)):
        return True
    for name, item in told.measures:
        before, after = old.done(name, item), new.done(name, item)
        if before is after:
            continue
        lacks = before.missing, after.missing
        if None in lacks and lacks != (None, None):
            return True
        if lacks[0] is not None and lacks[1] is not None:
            if (lacks[0].keys, lacks[0].why) != (lacks[1].keys, lacks[1].why):
                return True
        elif before.value != after.value:
            return True
    return False


def _touches(path: str, read: str, old: Run, new: Run) -> bool:
    """Whether a change at a path is one of what was read.

    Who reads a list of items alone reads how many there are.
    """
    if path.startswith(f"{read}."):
        return old.setup.lists.get(read, -1) != new.setup.lists.get(read, -1) or (
            read not in old.setup.lists
        )
    return path == read or read.startswith(f"{path}.")


def _holds(one: str, other: str) -> bool:
    """Whether one of two paths is the other or holds it."""
    return one == other or one.startswith(f"{other}.") or other.startswith(f"{one}.")


def looked_at(rule: Rule) -> tuple[str, ...]:
    """The keys of which a rule asks whether they are written, as general paths."""
    names = {rule.at, rule.each, *(fix.lever for fix in rule.fixes)}
    for limit in (*rule.limits, *(limit for other in rule.otherwise for limit in other.limits)):
        if limit.term[0] != "measure":
            names.add(".".join(str(part) for part in limit.term[1:] if part))
        names.update(_written_in(limit.when), _written_in(limit.value))
    names.update(key for other in rule.otherwise for key in other.missing)
    names.update(_written_in(rule.when))
    return tuple(sorted(_starred(name) for name in names if name))


def _written_in(compiled: Any) -> Iterable[str]:
    """The paths of every `written` in a compiled condition or value."""
    if isinstance(compiled, (list, tuple)):
        if len(compiled) == 4 and compiled[0] == "written":
            yield ".".join(part for part in (compiled[2], compiled[1]) if part)
        for part in compiled:
            yield from _written_in(part)


def _starred(name: str) -> str:
    first, dot, rest = name.partition(".")
    return general(f"{ITEMS[first]}.0{dot}{rest}" if first in ITEMS else name)


def ask_all(rule: Rule, run: Run, standards: tuple[str, ...]) -> list[Asked]:
    """A rule's answers, one for each item; a list that is not written is one open question."""
    if not rule.each:
        return [Asked(rule, None, ask(rule, run, None, standards))]
    try:
        count = len(run.items(rule.each))
    except Missing as error:
        return [Asked(rule, None, unknown(rule, copy_of(error), standards))]
    return [Asked(rule, item, ask(rule, run, item, standards)) for item in range(count)]


def _told(rule: Rule, run: Run, standards: tuple[str, ...], wording: Wording) -> Told:
    """A rule's answers, each with what is found.

    A rule that fails counts as not checked, and neither ends nor silences the others.
    """
    mark = run.mark()
    pairs: list[tuple[Asked, Finding | None]]
    try:
        pairs = [
            (one, _finding(one, run, wording, list(one.answer.failed)))
            for one in ask_all(rule, run, standards)
        ]
    except Exception as error:
        failure = Failure(f"rule {rule.name}", f"{type(error).__name__}: {error}")
        run.failures.append(failure)
        lacks = Missing(why=f"the {failure.measure} failed ({failure.says})")
        pairs = [(Asked(rule, None, unknown(rule, lacks, standards)), None)]
    return Told(tuple(pairs), *run.since(mark))


def _finding(one: Asked, run: Run, wording: Wording, failed: list[Failed]) -> Finding | None:
    if not failed:
        return None
    return finding_of(one.rule, Scope(run, one.rule.each, one.item), failed, wording)


def _findings(every_told: Iterable[Told], run: Run, wording: Wording) -> tuple[Finding, ...]:
    """What was found: the worst first, then in the order of the file.

    A finding is left out on the days on which another says the same better. One that the keeper
    accepted hides nothing on the days that the acceptance covers.
    """
    entries = accepted_in(run.setup, run.whole)
    told = [pair for one in every_told for pair in one.pairs]
    whole = [(one, covered(found, entries, run.days)) for one, found in told if found is not None]
    shown = [_in_vain(entry, told, run) for entry in entries]
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
        same = finding.about == other.about or None in (finding.about, other.about)
        if same and finding.rule in one.rule.instead_of:
            hidden.update(open_days(other, days))
    return frozenset(hidden)


def _in_vain(entry: Accepted, told: list[tuple[Asked, Finding | None]], run: Run) -> Finding | None:
    """A tip where an acceptance covers nothing; none while its rule can't be judged in full."""
    for one, _ in told:
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
