"""How a club stands, as text: to be read aloud at a meeting, and saying what to do next."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from flockcheck.checkup.model import Problem
from flockcheck.checkup.wording import day_words, listed
from flockcheck.reports.clubdata import About
from flockcheck.reports.clubmodel import WORST_FIRST, Common, Member, Standard, Tally
from flockcheck.reports.clubpage import Page
from flockcheck.reports.standing import told
from flockcheck.rulebook.book import Rulebook

WIDTH = 80
_COUNTED = {"stop": "to stop for", "mend": "to mend"}
_FOUND = {**_COUNTED, "watch": "to watch", "tip": "a tip"}
_CUT = {
    "": "",
    "caution": " It ends sooner than written, since someone can get hurt.",
    "club": " It ends sooner than written, as the club has set.",
}


def write(
    tally: Tally,
    about: About,
    rulebook: Rulebook | None,
    problems: Sequence[Problem],
    *,
    width: int = WIDTH,
) -> str:
    """All of it as text, ending in a newline. The rulebook may lack where all was checked."""
    page = _Club(tally, about, rulebook, max(40, min(width, WIDTH)))
    for problem in problems:
        page.para(f"Trouble with {problem.about}: {_ended(problem.says)}", hang=2)
    if problems:
        page.lines.append("")
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
    if tally.members:
        page.next_steps()
    return "\n".join(page.lines).strip("\n") + "\n"


class _Club(Page):
    def __init__(self, tally: Tally, about: About, rulebook: Rulebook | None, width: int) -> None:
        super().__init__([one.standing.file for one in tally.members], width)
        self.tally = tally
        self.about = about
        self.rulebook = rulebook
        titles = [*((one.rule, one.title) for one in tally.common),
                  *((one.rule, one.title) for one in tally.risks)]  # fmt: skip
        self.titles = {rule: title[:1].lower() + title[1:] for rule, title in titles}

    def rule(self, name: str) -> str:
        """A rule in a sentence: what it finds, and its name."""
        return f"{self.titles[name]} ({name})" if name in self.titles else name

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
        self.rows([(self.name(one.standing.file), self.stands(one)) for one in found])

    def stands(self, one: Member) -> str:
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
        worst = "; the worst: " if sum(stands.counts[:2]) > 1 else ": "
        return f"{said}{worst}{self.rule(stands.worst)}"

    def calendar(self) -> None:
        """Which flocks stop being ready, and when."""
        if not self.tally.endings:
            return
        self.head("Ready until a day")
        together: dict[tuple[date, tuple[str, ...]], list[str]] = {}
        for one in self.tally.endings:
            together.setdefault((one.day, one.rules), []).append(one.file)
        rows = []
        for (day, rules), files in together.items():
            why = listed([self.rule(name) for name in rules])
            if not rules:
                why = "as far as was looked; no day is written on which they leave"
            past = " (past)" if self._past(day) else ""
            rows.append((day_words(day, year=True), f"{self.names(files)}{past}: {why}"))
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
        self.head("Predators without an answer" if rows else "Predators")
        self.rows(rows, "more predators")
        if answered:
            said_so = f"Every setup that lists it has an answer: {', '.join(answered)}."
            self.para(said_so, indent=2, hang=2)

    def risks(self) -> None:
        """Which risks are accepted, and when that ends."""
        if not self.tally.risks:
            return
        self.head("Risks accepted, the soonest to end first")
        rows = []
        for one in self.tally.risks:
            past = " (past)" if self._past(one.until) else ""
            count = f", {len(one.about)} times" if len(one.about) > 1 else ""
            said = f"{self.name(one.file)}{past}: {self.rule(one.rule)}{count}, because "
            said += _ended(one.because) + _CUT[one.cut]
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
            rows = []
            for key, count in self.tally.required:
                files = [
                    one.standing.file for one in self._lacking() if key in one.standing.required
                ]
                rows.append((key, f"{_setups(count)}: {self.names(files)}"))
            self.rows(rows)

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
                f"ready: {listed([self.rule(name) for name in first.rules])}. It is the first that "
                "needs a change."
            )
        past = [one for one in tally.risks if self._past(one.until)]
        if past:
            files = list(dict.fromkeys(one.file for one in past))
            steps.append(f"Ask whose accepted risks have run out: {self.names(files)}.")
        if tally.required:
            files = [one.standing.file for one in self._lacking()]
            steps.append(f"Have these write what the club requires: {self.names(files)}.")
        asked = {key for key, _ in tally.required}
        key = next((one for one in tally.keys if one.key not in asked), None)
        if key is not None:
            steps.append(
                f"Ask members to write {key.key}: {_questions(key.questions)} in "
                f"{_setups(key.setups)} {'needs' if key.questions == 1 else 'need'} it."
            )
        return steps

    def _files(self, verdict: str) -> list[str]:
        return [one.standing.file for one in self.tally.members if one.standing.verdict == verdict]

    def _lacking(self) -> list[Member]:
        """Members who have not written all that the club requires."""
        return [
            one
            for one in self.tally.members
            if one.standing.required and one.standing.verdict not in ("over", "unreadable")
        ]

    def _past(self, day: date) -> bool:
        return self.about.on is not None and day < self.about.on


def _found(one: Common) -> tuple[str, str]:
    there = [grade for grade in WORST_FIRST if one.grades[grade]]
    said = ", ".join(f"{_FOUND[grade]} in {one.grades[grade]}" for grade in there)
    if len(there) == 1:
        said = _FOUND[there[0]]
    return (_setups(one.setups), f"{one.title} ({one.rule}): {said}")


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
