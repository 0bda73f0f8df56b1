"""The walk round the pen on move-out day: one page of plain text to print and tick.

What only eyes and hands can check stands in the rules as `look`. A look is shown if its rule is
asked of the setup, open questions included, in the walking order of `stations.yaml`; what the file
leaves out stands as blanks where it is to be measured.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence

from flockcheck.checkup.check import ask_all, check
from flockcheck.checkup.model import Report
from flockcheck.checkup.wording import club_words, day_words, listed
from flockcheck.measures.graph.run import Run
from flockcheck.reports.stations import place_of, position, station_of, stations
from flockcheck.reports.whypage import Page
from flockcheck.rulebook.book import Rulebook
from flockcheck.rulebook.model import GRADES, Rule
from flockcheck.setup.form import general
from flockcheck.setup.written import Setup
from flockcheck.text.records import NamedTuple

WIDTH = 80
LINES = 60
# Blanks beyond these are for `check` to list.
_MOST_BLANKS = 12
_STATES = ("found", "open", "nothing")
_TWO_LINES = 148
# A sentence as short as this hardly says what to look for.
_SHORT = 64
_SENTENCE = re.compile(r"(?<=[.?!]) ")


class Look(NamedTuple):
    """What to look at for one rule, and what is known of it: found, open or nothing."""

    rule: Rule
    station: str
    place: str
    state: str


def round_text(book: Rulebook, setup: Setup | None = None, *, whole: bool = False) -> str:
    """The round for a setup, or for any pen.

    It keeps to about one page; what weighs least is left to `whole`, which prints everything.
    """
    report = check(setup, book) if setup is not None else None
    looks = _any_pen(book) if setup is None else _for_setup(book, setup)
    blanks = _blanks(report) if report is not None else {}
    head, foot = _head(report, setup), _foot()
    used = len(head) + len(foot) + 1 + _lines_of_blanks(blanks)
    texts, left = _fitted(looks, blanks, LINES - used)
    if whole:
        texts, left = {one.rule.name: _ticked(one.rule.look) for one in looks}, 0
    page = Page(WIDTH)
    page.lines += head
    for station in stations():
        here = [one for one in looks if one.station == station.name and one.rule.name in texts]
        keys = blanks.get(station.name, [])
        if not here and not keys:
            continue
        page.lines.append(f"{station.name} ".ljust(WIDTH - 1, "-"))
        for one in sorted(here, key=_walking):
            page.lines += texts[one.rule.name]
        page.lines += _blank_lines(keys)
    page.lines += foot
    if left:
        page.para(f"{left} more to look at: `flockcheck round --whole` prints them all.", indent=0)
    return page.text()


def _for_setup(book: Rulebook, setup: Setup) -> list[Look]:
    run = Run(setup, book.registry, book.tables)
    looks = []
    for rule in _walked(book):
        answers = [one.answer for one in ask_all(rule, run, ())]
        states = {one.state for one in answers} - {"not asked"}
        if not states:
            continue
        state = "open" if states & {"partly", "not checked"} else "nothing"
        if any(one.failed for one in answers):
            state = "found"
        looks.append(_look(rule, state))
    return looks


def _any_pen(book: Rulebook) -> list[Look]:
    return [_look(rule, "open") for rule in _walked(book)]


def _walked(book: Rulebook) -> Iterable[Rule]:
    """The rules with something to look at on the day the birds move in."""
    rules = book.rules.values()
    return (rule for rule in rules if rule.look and rule.on != "leaves" and rule.grades)


def _look(rule: Rule, state: str) -> Look:
    place = place_of(rule)
    return Look(rule, station_of(place, rule.topic), place, state)


def _walking(look: Look) -> tuple[int, str]:
    """Within a station: the order of the setup file, then of the rules' names."""
    return position(look.place), look.rule.name


def _fitted(
    looks: Sequence[Look], blanks: Mapping[str, list[str]], room: int
) -> tuple[dict[str, list[str]], int]:
    """What is printed for each rule in so many lines, and how many rules are left out.

    Each station gives its weightiest look in turn, so that no part of the walk is passed by.
    """
    texts: dict[str, list[str]] = {}
    heads = set(blanks)
    room -= len(heads)
    for one in _in_turn(looks):
        lines = _ticked(_brief(one.rule.look))
        cost = len(lines) + (one.station not in heads)
        if cost <= room:
            room -= cost
            heads.add(one.station)
            texts[one.rule.name] = lines
    return texts, len(looks) - len(texts)


def _in_turn(looks: Sequence[Look]) -> list[Look]:
    """The first look of each station, then the second of each, and so on."""
    turns: list[tuple[int, int, Look]] = []
    for at, station in enumerate(stations()):
        own = sorted((one for one in looks if one.station == station.name), key=_weight)
        turns += [(turn, at, one) for turn, one in enumerate(own)]
    return [one for *_, one in sorted(turns, key=lambda turn: turn[:2])]


def _weight(look: Look) -> tuple[int, int, str]:
    """What can stop a move comes first; of two alike, what was found, then what is open."""
    worst = max(GRADES.index(grade) for grade in look.rule.grades)
    return -worst, _STATES.index(look.state), look.rule.name


def _brief(look: str) -> str:
    """As many of a look's sentences as take two lines; a short one is not left by itself."""
    first, *rest = _SENTENCE.split(look)
    for sentence in rest:
        room = _TWO_LINES if len(first) > _SHORT else 2 * _TWO_LINES
        if len(first) + len(sentence) >= room:
            break
        first += f" {sentence}"
    return first


def _ticked(text: str) -> list[str]:
    page = Page(WIDTH)
    page.para(text, indent=0, hang=4, first="[ ] ")
    return page.lines


def _head(report: Report | None, setup: Setup | None) -> list[str]:
    page = Page(WIDTH)
    page.para("The walk round the pen on the day the birds move in", indent=0)
    page.lines.append("")
    if report is None or setup is None or report.first_day is None:
        page.lines.append(f"Pen {'_' * 32}  Birds {'_' * 35}")
    else:
        name = f"{report.name} ({report.file})" if report.name else report.file
        last = day_words(report.looked_until, year=True) if report.looked_until else ""
        stay = f"{day_words(report.first_day)} to {last}"
        page.para(f"{name}: {report.birds}, {stay}.", indent=0, hang=2)
        against = setup.values.get("predators")
        if against is not None and against.value:
            page.para(f"Against {listed(list(against.value))}.", indent=0)
        if report.from_club:
            page.para(club_words(report.from_club), indent=0, hang=2)
        page.para(_verdict(report), indent=0, hang=2)
    page.lines.append("")
    page.lines.append(f"Day {'_' * 12}  Hour {'_' * 8}  Walked by {'_' * 16}  Weather {'_' * 11}")
    page.lines.append("")
    return page.lines


def _verdict(report: Report) -> str:
    """What the check says of the file, in one line."""
    words = {"stop": "to stop for", "mend": "to mend", "watch": "to watch", "tip": "tip"}
    counts = [
        f"{count} {words[grade]}{'s' if grade == 'tip' and count > 1 else ''}"
        for grade, count in report.counts.items()
        if count
    ]
    said = report.verdict
    if said == "ready until" and report.ready_until is not None:
        said = f"ready until {day_words(report.ready_until)}"
    return f"By the file: {said}{' (' + ', '.join(counts) + ')' if counts else ''}."


def _foot() -> list[str]:
    page = Page(WIDTH)
    page.lines.append("")
    page.para(
        "Where a box stays empty, put it right before the birds move in. Write what you measured "
        "into the file and check it again.",
        indent=0,
    )
    return page.lines


def _blanks(report: Report) -> dict[str, list[str]]:
    """The keys to fill in, by station: those first that settle the most questions."""
    settles: dict[str, int] = {}
    for one in (*report.not_checked, *report.partly_checked):
        for key in one.needs:
            named = general(key).replace(".*", "")
            settles[named] = settles.get(named, 0) + 1
    chosen = sorted(settles, key=lambda key: (-settles[key], key))[:_MOST_BLANKS]
    found: dict[str, list[str]] = {}
    for key in sorted(chosen, key=lambda key: (position(key), key)):
        found.setdefault(station_of(key), []).append(key)
    return found


def _lines_of_blanks(blanks: Mapping[str, list[str]]) -> int:
    return sum(len(_blank_lines(keys)) for keys in blanks.values())


def _blank_lines(keys: Sequence[str]) -> list[str]:
    """Keys with room to write, two on a line where they fit."""
    half = (WIDTH - 6) // 2
    lines, waiting = [], ""
    for key in keys:
        blank = f"{key}: ".ljust(half - 1, "_")
        if len(key) > half - 12:
            blank = f"{key}: ".ljust(2 * half, "_")
        if waiting and len(blank) < half:
            lines.append(f"    {waiting}  {blank}")
            waiting = ""
        elif len(blank) >= half:
            lines.append(f"    {blank}")
        else:
            if waiting:
                lines.append(f"    {waiting}")
            waiting = blank
    return [*lines, f"    {waiting}"] if waiting else lines
