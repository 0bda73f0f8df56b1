"""The text report: verdict first, worst first, in the keeper's own numbers, without a code.

It is read on a phone, in a log and aloud, so it is calm, within 80 columns and complete without
colour.
"""

from __future__ import annotations

import re
import textwrap
from collections.abc import Callable, Sequence
from datetime import date
from typing import Any

from flockcheck.checkup.model import Finding, Problem, Report
from flockcheck.checkup.wording import club_words, day_words, sentences
from flockcheck.reports.dates import dates_of
from flockcheck.reports.fixtext import FixText
from flockcheck.reports.sources import WORKED_OUT, cite_words
from flockcheck.reports.standing import Standing, standing_of, table
from flockcheck.reports.together import key_words, places, together, told
from flockcheck.rulebook.book import Rulebook
from flockcheck.text.document import AND_MORE, on_screen

WIDTH = 80
_INDENT = 7
# A number stays on one line with what it counts: `10.5 C`, `12 May`.
_BESIDE_A_NUMBER = re.compile(r"(?<=\d) (?=[A-Za-z%])")
_MOST_TO_MEASURE = 10

Paint = Callable[[str, str], str]


def _unpainted(text: str, kind: str) -> str:
    return text


def write(
    reports: Sequence[Report],
    rulebook: Rulebook | None,
    problems: Sequence[Problem],
    *,
    paint: Paint = _unpainted,
    width: int = WIDTH,
    standings: Sequence[Standing] = (),
    on: date | None = None,
    **options: Any,
) -> str:
    """The whole run as text, ending in a newline.

    `paint` colours a text by what it is (a grade, `head` or `quiet`); `width` is the longest line.
    Where not every report is to be shown, `standings` tells how all setups stand; where none is, no
    rulebook is needed. `on` is the day on which the reports are read, where that was said.
    """
    sheet = _Sheet(rulebook, paint, max(40, min(width, WIDTH)), on)
    for problem in problems:
        sheet.problem(problem)
    for number, report in enumerate(reports):
        if number or problems:
            sheet.line()
            sheet.line(paint("~" * min(24, sheet.width), "quiet"))
            sheet.line()
        sheet.report(report, several=len(reports) > 1 or bool(standings))
    if standings or len(reports) > 1:
        sheet.summary(standings or [standing_of(report) for report in reports])
    return "\n".join(sheet.lines).rstrip("\n") + "\n"


class _Sheet:
    def __init__(
        self, rulebook: Rulebook | None, paint: Paint, width: int, on: date | None = None
    ) -> None:
        self._on = on
        self.lines: list[str] = []
        self._rulebook = rulebook
        self.paint = paint
        self.width = width

    @property
    def rulebook(self) -> Rulebook:
        """The rulebook that the reports were judged by."""
        assert self._rulebook is not None
        return self._rulebook

    def fix_text(self, report: Report) -> FixText:
        """Words for a report's fixes, with the titles of the rulebook."""
        titles = {name: rule.title for name, rule in self.rulebook.rules.items()}
        return FixText(titles, report.predators)

    def line(self, text: str = "") -> None:
        self.lines.append(text)

    def para(self, text: str, *, indent: int = 0, hang: int = 0, kind: str = "") -> None:
        """A paragraph wrapped within the width; `hang` more for its second line and after."""
        lines = textwrap.wrap(
            _BESIDE_A_NUMBER.sub("\xa0", on_screen(text)),
            self.width,
            initial_indent=" " * indent,
            subsequent_indent=" " * (indent + hang),
            break_long_words=False,
            break_on_hyphens=False,
        )
        lines = [line.replace("\xa0", " ") for line in lines]
        self.lines += [self.paint(line, kind) for line in lines] if kind else lines

    def problem(self, problem: Problem) -> None:
        self.para(f"Trouble with {problem.about}: {_ended(problem.says)}", hang=2)

    def report(self, report: Report, *, several: bool) -> None:
        self.para(_heading(report, several), hang=2, kind="head")
        self.line()
        self.para(_verdict(report))
        self.looked_too_short(report)
        if report.what_if is not None:
            self.line()
            for said in self.fix_text(report).what_if(
                report.what_if, report.verdict, report.ready_until
            ):
                self.para(said, hang=2)
        if report.verdict == "unreadable":
            self.errors(report)
        if report.verdict in ("unreadable", "over"):
            return
        for group in together(report.findings):
            self.line()
            self.findings(group, report)
        self.plan(report)
        self.standards(report)
        self.required(report)
        self.dates(report)
        self.measure_next(report)
        self.notes(report)

    def looked_too_short(self, report: Report) -> None:
        """That the days ahead that were looked at are over, where no day of leaving is written."""
        until = report.looked_until
        if self._on is None or until is None or not report.open_end or until >= self._on:
            return
        last, now = day_words(until, year=True), day_words(self._on, year=True)
        self.line()
        self.para(
            f"{last} is gone on {now}, and nothing after it was looked at. Write the day on which "
            "they leave as `leaves`, or a longer `look_ahead`, and check again."
        )

    def errors(self, report: Report) -> None:
        self.line()
        column = len(f"line {max(fault.line for fault in report.errors)}") + 2
        for fault in report.errors:
            where = f"line {fault.line}"
            self.para(f"{where:<{column}}{_ended(fault.says)}", indent=2, hang=column)

    def findings(self, group: list[Finding], report: Report) -> None:
        first = group[0]
        word = f"{first.grade.capitalize():<{_INDENT}}"
        said = told(group, report)
        title = _BESIDE_A_NUMBER.sub("\xa0", on_screen(said.title))
        for line in textwrap.wrap(title, self.width - _INDENT):
            self.line(self.paint(word, first.grade) + self.paint(line.replace("\xa0", " "), "head"))
            word = " " * _INDENT
        if first.accepted:
            self.para(_accepted(first, report), indent=_INDENT)
        if said.whom:
            self.para(said.whom, indent=_INDENT)
        if len(said.says) == 1:
            self.para(f"{said.says[0]} {_first_sentence(first.why)}", indent=_INDENT)
        else:
            for one in said.says:
                self.para(f"- {one}", indent=_INDENT, hang=2)
            self.para(_first_sentence(first.why), indent=_INDENT)
        self.ways(group, report)
        if first.caution:
            self.para(f"Take care: {first.caution}", indent=_INDENT, hang=4)
        cites = [cite for finding in group for cite in finding.cites]
        sources = self.rulebook.sources
        words = list(dict.fromkeys(cite_words(cite, sources, brief=True) for cite in cites))
        # A figure worked out from one that is cited here too adds nothing to who says so.
        plain = [one for one in words if WORKED_OUT not in one]
        words = [one for one in words if one in plain or one.replace(WORKED_OUT, "") not in plain]
        if words:
            self.para(" ".join(words), indent=_INDENT, hang=4)
        file = report.club if first.place.club else report.file
        self.para(f"See {places(group, file)} ({first.rule})", indent=_INDENT)

    def ways(self, group: list[Finding], report: Report) -> None:
        """What to do: what was tried, and what else helps."""
        tried, orders = self.fix_text(report).fixes(group)
        advice = sentences(group[0].advice)
        if not orders:
            if tried or advice:
                said = " ".join(filter(None, (tried, advice)))
                self.para(f"Do: {said}", indent=_INDENT, hang=4)
            return
        self.para(f"Do: {tried}", indent=_INDENT, hang=4)
        for order in orders:
            self.para(f"- {order}", indent=_INDENT + 4, hang=2)
        if advice:
            self.para(advice, indent=_INDENT + 4)

    def plan(self, report: Report) -> None:
        """What to do, all together, where that was asked for."""
        if report.plan is None:
            return
        self.line()
        self.line(self.paint("Plan", "head"))
        for said in self.fix_text(report).plan(report.plan):
            self.para(said, indent=2, hang=2)

    def standards(self, report: Report) -> None:
        """How the setup stands against each standard, and which questions speak against it."""
        if not report.standards:
            return
        self.line()
        self.line(self.paint("Standards asked for", "head"))
        column = max(len(standard.name) for standard in report.standards) + 2
        for standard in report.standards:
            said = {True: "met", False: "not met", None: "not checked in full"}[standard.met]
            self.para(f"{standard.name:<{column}}{said}", indent=2, hang=column)
            for names, head in ((standard.by, ""), (standard.not_checked, "Not checked: ")):
                for name in names:
                    asks = self.rulebook.rules[name].asks
                    self.para(f"{head}{asks} ({name})", indent=2 + column)

    def required(self, report: Report) -> None:
        """The keys that the club requires and the setup lacks."""
        if not report.required:
            return
        self.line()
        self.line(self.paint("Required by the club, and not written", "head"))
        for key in report.required:
            self.para(key, indent=2)

    def dates(self, report: Report) -> None:
        """The few days that matter."""
        days = dates_of(report)
        if not days:
            return
        self.line()
        self.line(self.paint("Dates", "head"))
        for day, says in days:
            self.para(f"{day_words(day):<13}{'; '.join(says)}", indent=2, hang=13)

    def measure_next(self, report: Report) -> None:
        """What to find out next, by how many questions each answer would settle."""
        settles: dict[str, list[str]] = {}
        for one in (*report.not_checked, *report.partly_checked):
            for key in one.needs:
                asks = self.rulebook.rules[one.rule].asks
                wanted = settles.setdefault(key_words(key), [])
                wanted.append(asks)
        if not settles:
            return
        self.line()
        self.line(self.paint("Measure next", "head"))
        order = sorted(settles, key=lambda key: (-len(settles[key]), key))
        shown = order[:_MOST_TO_MEASURE]
        column = min(max(len(key) for key in shown), 26) + 2
        for key in shown:
            questions = list(dict.fromkeys(settles[key]))
            count = len(settles[key])
            head = f"{key:<{column}}{count} question{'' if count == 1 else 's'}: "
            text = " ".join(questions[:2]) + (" ..." if len(questions) > 2 else "")
            self.para(head + text, indent=2, hang=column)
        if len(order) > len(shown):
            self.para(f"and {len(order) - len(shown)} more after these", indent=2)

    def notes(self, report: Report) -> None:
        """What stands behind the answers without being one."""
        unchecked = (*report.not_checked, *report.partly_checked)
        needed = {key for one in unchecked for key in one.needs}
        sharper = [key_words(key) for key in report.sharper if key not in needed]
        titles = [self.rulebook.rules[name].title for name in report.reminders]
        notes = [
            *(f"Could not be worked out: {_ended(one.why)}" for one in unchecked if one.why),
            *([club_words(report.from_club)] if report.from_club else ()),
            *_note("Taken as none, not written", report.taken_as_none),
            *_note("Would make an answer more exact", sharper),
            *(_note("To hear once", ["; ".join(titles)]) if titles else ()),
        ]
        if notes:
            self.line()
        for note in dict.fromkeys(notes):
            self.para(note, hang=2)

    def summary(self, standings: Sequence[Standing]) -> None:
        """The table of all setups."""
        if self.lines:
            self.line()
            self.line(self.paint("~" * min(24, self.width), "quiet"))
            self.line()
        self.lines += table(standings, self.paint, self.width)


def _heading(report: Report, several: bool) -> str:
    file = "standard input" if report.file == "-" else report.file
    name = report.name or file
    if report.first_day is None or report.looked_until is None:
        return f"{name}, {file}" if report.name else file
    last = day_words(report.looked_until, year=True)
    same = report.first_day.year == report.looked_until.year
    first = day_words(report.first_day, year=not same)
    stay = f"from {first}, looked at until {last}" if report.open_end else f"{first} to {last}"
    where = f" ({file})" if several and report.name else ""
    return f"{name}: {report.birds}, {stay}{where}"


def _verdict(report: Report) -> str:
    if report.verdict == "unreadable":
        count = len(report.errors)
        things = "1 thing" if count == 1 else f"{count} things"
        if report.errors[-1].says == AND_MORE:
            things = f"More than {count - 1} things"
        return f"CANNOT BE READ. {things} to put right in the file; nothing else was checked."
    if report.verdict == "over":
        return "OVER. The stay has ended; nothing is asked of it any more."
    done = f"{report.checked} of {_questions(report.asked)}"
    part = f", {report.partly} in part" if report.partly else ""
    checked = f"{done} checked{part}"
    counted = _counted(report)
    if report.verdict == "cannot say":
        said = f"CANNOT SAY. Too little is written down: {checked}."
        return said + (f" So far {counted}." if counted else "")
    if report.verdict == "ready":
        if not report.asked:
            said = "READY, but no rule had anything to ask."
        elif report.checked == report.asked:
            said = f"READY. All {_questions(report.asked)} checked."
        else:
            said = f"READY as far as checked: {done}{part}."
        return said + (f" {_capital(counted)}." if counted else "")
    if report.verdict == "ready until":
        until = day_words(report.ready_until, year=True) if report.ready_until else ""
        why = ""
        if report.open_end and report.ready_until == report.looked_until:
            why = ", as far as was looked; no day is written on which they leave"
        counted = f"{counted}; " if counted else ""
        return f"READY UNTIL {until}{why}. {_capital(counted + checked)}."
    return f"NOT READY. {_capital(counted)}; {checked}."


def _questions(count: int) -> str:
    return f"{count} question" if count == 1 else f"{count} questions"


def _counted(report: Report) -> str:
    words = {"stop": "to stop for", "mend": "to mend", "watch": "to watch", "tip": "tip"}
    parts = []
    for grade, count in report.counts.items():
        if count:
            word = "tips" if grade == "tip" and count > 1 else words[grade]
            parts.append(f"{count} {word}")
    return ", ".join(parts)


def _accepted(finding: Finding, report: Report) -> str:
    """The keeper's own reason, until when it counts, and why it ends where it does."""
    accepted = finding.accepted
    assert accepted is not None
    until = f"until {day_words(accepted.until)}"
    if accepted.cut:
        why = {"caution": "since someone can get hurt", "club": "as the club has set"}
        until += f", no longer {why[accepted.cut]}"
    if finding.open_from is not None and finding.open_from == finding.first:
        until += ", before it begins"
    return f"Accepted {until}: {_ended(accepted.because)}"


def _note(head: str, keys: Sequence[str]) -> list[str]:
    return [f"{head}: {', '.join(dict.fromkeys(keys))}."] if keys else []


def _first_sentence(text: str) -> str:
    first, dot, _ = text.partition(". ")
    return first + ("." if dot else "")


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def _ended(text: str) -> str:
    """A text with a full stop, unless it ends in a sign of its own."""
    return text if text.endswith((".", "?", "!")) else f"{text}."
