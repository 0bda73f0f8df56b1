"""How a club stands, as text: to be read aloud at a meeting, and saying what to do next."""

from __future__ import annotations

import re
import textwrap
from collections.abc import Sequence
from datetime import date

from flockcheck.checkup.model import Problem
from flockcheck.checkup.wording import day_words, listed
from flockcheck.reports.clubdata import About
from flockcheck.reports.clubtally import WORST_FIRST, Common, Member, Standard, Tally
from flockcheck.reports.standing import middle_cut, told
from flockcheck.rulebook.book import Rulebook
from flockcheck.text.document import on_screen

WIDTH = 80
# More rows than this nobody hears out; the JSON and CSV reports have them all.
MOST = 10
# Nor more names in a sentence.
_NAMES = 6
_LONGEST_NAME = 40
_ENDINGS = (".flock.yaml", "/flock.yaml")
_COUNTED = {"stop": "to stop for", "mend": "to mend", "watch": "to watch", "tip": "tips"}
# A number stays on one line with what it counts.
_BESIDE_A_NUMBER = re.compile(r"(?<=\d) (?=[A-Za-z%])")


def write(
    tally: Tally,
    about: About,
    rulebook: Rulebook | None,
    problems: Sequence[Problem],
    *,
    width: int = WIDTH,
) -> str:
    """All of it as text, ending in a newline. The rulebook may lack where all was checked."""
    page = _Page(tally, about, rulebook, max(40, min(width, WIDTH)))
    for problem in problems:
        page.para(f"Trouble with {problem.about}: {_ended(problem.says)}", hang=2)
    page.opening()
    page.members("Can't be read", "unreadable")
    page.members("Not ready", "not ready")
    page.calendar()
    page.members("Too little is written down to say", "cannot say")
    page.common()
    page.predators()
    page.risks()
    page.unchecked()
    page.standards()
    page.required()
    page.next_steps()
    return "\n".join(page.lines).strip("\n") + "\n"


class _Page:
    def __init__(self, tally: Tally, about: About, rulebook: Rulebook | None, width: int) -> None:
        self.tally = tally
        self.about = about
        self.rulebook = rulebook
        self.width = width
        self.lines: list[str] = []
        self.folder = _folder_of([one.standing.file for one in tally.members])

    def para(self, text: str, *, indent: int = 0, hang: int = 0) -> None:
        """A paragraph wrapped within the width; `hang` more for its second line and after."""
        lines = textwrap.wrap(
            _BESIDE_A_NUMBER.sub("\xa0", on_screen(text)),
            self.width,
            initial_indent=" " * indent,
            subsequent_indent=" " * (indent + hang),
            break_on_hyphens=False,
        )
        self.lines += [line.replace("\xa0", " ") for line in lines]

    def head(self, text: str) -> None:
        self.lines.append("")
        self.para(text)

    def rows(self, rows: Sequence[tuple[str, str]], more: str = "more") -> None:
        """Rows of a short text and what is said of it, the first few of them."""
        shown = rows[:MOST]
        column = min(max((len(first) for first, _ in shown), default=0), _LONGEST_NAME) + 2
        column = min(column, self.width // 2)
        for first, said in shown:
            if len(first) + 2 > column:
                self.para(first, indent=2)
                self.para(said, indent=2 + column)
            else:
                self.para(f"{first:\xa0<{column}}{said}", indent=2, hang=column)
        if len(rows) > len(shown):
            self.para(f"and {len(rows) - len(shown)} {more}", indent=2)

    def name(self, file: str) -> str:
        """A member's file as it is said: below the folder that all share, without its ending."""
        said = file.removeprefix(self.folder)
        for ending in _ENDINGS:
            if said.endswith(ending) and said != ending:
                said = said.removesuffix(ending)
                break
        return middle_cut(on_screen(said), _LONGEST_NAME)

    def names(self, files: Sequence[str]) -> str:
        """Some members in a sentence, the first few by name."""
        if len(files) <= _NAMES:
            return listed([self.name(file) for file in files])
        few = ", ".join(self.name(file) for file in files[: _NAMES - 1])
        return f"{few} and {len(files) - _NAMES + 1} more"

    def opening(self) -> None:
        """Whose club it is, and how many of its setups stand how."""
        about = self.about
        seen = f", on {day_words(about.on, year=True)}" if about.on else ""
        where = "this folder" if about.folder == "." else about.folder
        self.para(f"{about.name or about.file or where}: how the club stands{seen}")
        self.lines.append("")
        self.para(told([one.standing for one in self.tally.members]))
        if self.folder:
            self.para(f"The files named here are below {self.folder}")
        if self.tally.verdicts["over"]:
            self.para("Of the stays that are over nothing is told below.")

    def members(self, head: str, verdict: str) -> None:
        """The members with a verdict, the worst first."""
        found = [one for one in self.tally.members if one.standing.verdict == verdict]
        if not found:
            return
        self.head(head)
        found.sort(key=lambda one: [-count for count in one.standing.counts])
        self.rows([(self.name(one.standing.file), _stands(one)) for one in found])

    def calendar(self) -> None:
        """Which flocks stop being ready, and when."""
        if not self.tally.endings:
            return
        self.head("Ready until a day")
        rows = []
        for one in self.tally.endings:
            why = listed(list(one.rules)) if one.rules else "as far as was looked"
            if not one.rules and one.open_end:
                why += "; no day is written on which they leave"
            past = " (past)" if self._past(one.day) else ""
            rows.append((day_words(one.day, year=True), f"{self.name(one.file)}{past}: {why}"))
        last = day_words(self.tally.endings[-1].day, year=True)
        self.rows(rows, f"more, the last on {last}")

    def common(self) -> None:
        """What is found most often."""
        if self.tally.common:
            self.head("Found most often, what stops or wants mending first")
            self.rows([_found(one) for one in self.tally.common], "more rules find something")

    def predators(self) -> None:
        """Which members have no answer to which predator."""
        if not self.tally.predators:
            return
        self.head("Predators without an answer")
        rows, answered = [], []
        for one in self.tally.predators:
            if not (one.unanswered or one.accepted or one.unknown):
                answered.append(one.name)
                continue
            said = [f"{len(one.unanswered)} of {_setups(one.listed)}"]
            if one.unanswered:
                said[0] += f": {self.names([member.file for member in one.unanswered])}"
            for files, words in ((one.accepted, "accepted by"), (one.unknown, "not known of")):
                if files:
                    said.append(f"{words} {len(files)}: {self.names(files)}")
            rows.append((one.name, "; ".join(said)))
        self.rows(rows, "more predators")
        if answered:
            said_so = f"Every setup that lists it has an answer: {', '.join(answered)}."
            self.para(said_so, indent=2, hang=2)

    def risks(self) -> None:
        """Which risks are accepted, and when that ends."""
        if not self.tally.risks:
            return
        self.head("Risks accepted, those that end first first")
        rows = []
        for one in self.tally.risks:
            past = " (past)" if self._past(one.until) else ""
            count = f", {len(one.about)} times" if len(one.about) > 1 else ""
            said = f"{self.name(one.file)}{past}: {one.rule}{count}. {_ended(one.because)}"
            rows.append((day_words(one.until, year=True), said))
        self.rows(rows)

    def unchecked(self) -> None:
        """What could not be asked, and what would help the most."""
        if not self.tally.questions:
            return
        assert self.rulebook is not None
        self.head("Most often not checked, or only in part")
        rows = []
        for one in self.tally.questions:
            asks = self.rulebook.rules[one.rule].asks
            rows.append((_setups(one.setups), f"{asks} ({one.rule})"))
        self.rows(rows, "more questions")
        if self.tally.keys:
            self.head("What to ask members to measure")
            keys = []
            for key in self.tally.keys:
                said = f"{_questions(key.questions)} in {_setups(key.setups)}"
                if key.alone:
                    own = "all" if key.alone == key.questions else f"{key.alone}"
                    said += f", {own} by itself" if key.alone > 1 or own != "all" else ""
                keys.append((key.key, said))
            self.rows(keys, "more keys")

    def standards(self) -> None:
        """How the club stands against each standard that was asked for."""
        if self.tally.standards:
            self.head("Standards asked for")
            self.rows([(one.name, _answers(one)) for one in self.tally.standards])

    def required(self) -> None:
        """What the club requires and members have not written."""
        if self.tally.required:
            self.head("Required by the club, and not written")
            self.rows([(key, f"in {_setups(count)}") for key, count in self.tally.required])

    def next_steps(self) -> None:
        """What a steward does now, the most urgent first."""
        self.head("What to do next")
        steps = self._steps() or ["Nothing presses. Look again when a setup changes."]
        for number, step in enumerate(steps, 1):
            self.para(f"{number}. {step}", indent=2, hang=3)
        self.para("`flockcheck check FILE` tells a member what is wrong and what to do about it. "
                  "It is advice, not a permit.", indent=2)  # fmt: skip

    def _steps(self) -> list[str]:
        tally, steps = self.tally, []
        broken = self._files("unreadable")
        if broken:
            steps.append(f"Have what can't be read put right: {self.names(broken)}.")
        stopped = [
            one.standing.file
            for one in tally.members
            if one.standing.verdict in ("not ready", "cannot say") and one.standing.counts[0]
        ]
        if stopped:
            steps.append(
                "Speak with these members before birds move in, since birds or people are "
                f"likely to be hurt: {self.names(stopped)}."
            )
        mends = [file for file in self._files("not ready") if file not in set(stopped)]
        if mends:
            steps.append(f"See that these mend what is below a minimum: {self.names(mends)}.")
        gone = [one.file for one in tally.endings if self._past(one.day)]
        if gone:
            steps.append(f"Ask after those whose last good day is past: {self.names(gone)}.")
        ends = [one for one in tally.endings if one.rules and not self._past(one.day)]
        if ends:
            first = ends[0]
            steps.append(
                f"After {day_words(first.day, year=True)} {self.name(first.file)} is no longer "
                f"ready ({listed(list(first.rules))}); it is the first that needs a change."
            )
        past = [one for one in tally.risks if self._past(one.until)]
        if past:
            files = list(dict.fromkeys(one.file for one in past))
            steps.append(f"Ask whose accepted risks have run out: {self.names(files)}.")
        if tally.keys:
            key = tally.keys[0]
            steps.append(
                f"Ask members to write {key.key}: {_questions(key.questions)} in "
                f"{_setups(key.setups)} {'needs' if key.questions == 1 else 'need'} it."
            )
        return steps

    def _files(self, verdict: str) -> list[str]:
        return [one.standing.file for one in self.tally.members if one.standing.verdict == verdict]

    def _past(self, day: date) -> bool:
        return self.about.on is not None and day < self.about.on


def _folder_of(files: Sequence[str]) -> str:
    """The folder that all files share, with its slash; empty where they share none."""
    if not files:
        return ""
    shared = files[0].rpartition("/")[0].split("/")
    for file in files:
        parts = file.rpartition("/")[0].split("/")
        same = 0
        while same < min(len(shared), len(parts)) and shared[same] == parts[same]:
            same += 1
        shared = shared[:same]
    # A file that is called flock.yaml is known by its folder.
    if any(file == "/".join([*shared, "flock.yaml"]) for file in files):
        shared = shared[:-1]
    return "".join(f"{part}/" for part in shared)


def _stands(one: Member) -> str:
    """What is against a member's setup, in a few words."""
    stands = one.standing
    if stands.verdict == "unreadable":
        return stands.worst
    counts = [
        f"{count} {_COUNTED[grade]}"
        for grade, count in zip(WORST_FIRST[:2], stands.counts[:2], strict=True)
        if count
    ]
    said = ", ".join(counts)
    if stands.verdict == "cannot say":
        checked = f"{one.checked} of {_questions(one.asked)} checked"
        return f"{checked}; so far {said}" if said else checked
    return f"{said}; the worst is {stands.worst}" if stands.worst else said


def _found(one: Common) -> tuple[str, str]:
    grades = [
        f"{_COUNTED[grade]} in {count}" if grade != "tip" else f"a tip in {count}"
        for grade, count in one.grades.items()
        if count
    ]
    return (_setups(one.setups), f"{one.title} ({one.rule}): {', '.join(grades)}")


def _answers(one: Standard) -> str:
    parts = [f"met by {one.met}", f"not met by {one.not_met}"]
    if one.by:
        few = [f"{rule} in {count}" for rule, count in one.by[:3]]
        more = f" and {len(one.by) - 3} more" if len(one.by) > 3 else ""
        parts[-1] += f" ({', '.join(few)}{more})"
    return ", ".join([*parts, f"not checked in full for {one.open}"])


def _setups(count: int) -> str:
    return f"{count} setup" if count == 1 else f"{count} setups"


def _questions(count: int) -> str:
    return f"{count} question" if count == 1 else f"{count} questions"


def _ended(text: str) -> str:
    return text if text.endswith((".", "?", "!")) else f"{text}."
