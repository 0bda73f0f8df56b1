"""Findings that stand together: what one rule found for several groups, feeders or predators.

They have one cause, so they are told once: the items by name, each with its own days where these
differ.
"""

from __future__ import annotations

from collections.abc import Sequence

from flockcheck.checkup.model import Finding, Report
from flockcheck.checkup.wording import day_words, listed
from flockcheck.setup.form import general
from flockcheck.text.records import NamedTuple

# What an item of a list is called, by the list's key; a predator goes by its own name.
_ITEMS = {"birds": "group", "feeders": "feeder", "drinkers": "drinker", "guardians": "guardian"}


class Told(NamedTuple):
    """Findings that stand together, in words: the title with its days, and what is said of each.

    `whom` names the items where one text is said of several of them, and is empty elsewhere.
    """

    title: str
    whom: str
    says: tuple[str, ...]


def together(findings: Sequence[Finding]) -> list[list[Finding]]:
    """Findings of one rule, one grade and one key side by side, in the order of the first of each.

    Accepted ones stand together where their days are the same too.
    """
    groups: dict[tuple[object, ...], list[Finding]] = {}
    for finding in findings:
        place = finding.place
        accepted = (finding.accepted, finding.spans) if finding.accepted else None
        key = (finding.rule, finding.grade, key_words(place.path), place.club, accepted)
        groups.setdefault(key, []).append(finding)
    return list(groups.values())


def told(group: Sequence[Finding], report: Report) -> Told:
    """The words for findings that stand together."""
    first = group[0]
    by_text: dict[str, list[Finding]] = {}
    for finding in group:
        by_text.setdefault(finding.says, []).append(finding)
    same_days = len({finding.spans for finding in group}) == 1
    title = first.title + (when(first, report) if same_days else "")
    if len(by_text) == 1:
        whom = ""
        if not same_days:
            whom = f"For {'; for '.join(_with_days(one, report) for one in group)}."
        elif len(group) > 1:
            whom = f"For {listed([item_words(one.about, report.predators) for one in group])}."
        return Told(title, whom, (first.says,))
    return Told(
        title, "", tuple(_said(says, of, report, same_days) for says, of in by_text.items())
    )


def _said(says: str, of: list[Finding], report: Report, same_days: bool) -> str:
    """One of several texts, with the items and days that it does not tell by itself."""
    names = [item_words(one.about, report.predators) for one in of]
    named = len(of) == 1 and names[0] in says.lower()
    if same_days:
        head = "" if len(of) == 1 else listed(names)
    elif named:
        head = when(of[0], report).removeprefix(", ") or "all the stay"
    else:
        head = "; ".join(_with_days(one, report) for one in of)
    return f"{head[:1].upper()}{head[1:]}: {says}" if head else says


def _with_days(finding: Finding, report: Report) -> str:
    days = when(finding, report) or ", all the stay"
    return item_words(finding.about, report.predators) + days


def item_words(about: str | None, predators: Sequence[str] = ()) -> str:
    """What the item of a finding is called: group 2, drinker 1, mink; the pen where it has none."""
    if about is None:
        return "the pen"
    of, _, at = about.rpartition(".")
    if of == "predators" and int(at) < len(predators):
        return f"the {predators[int(at)]}"
    return f"{_ITEMS.get(of, of)} {int(at) + 1}"


def when(finding: Finding, report: Report) -> str:
    """From when to when it is as bad as that, unless all the stay, and what leads up to it."""
    worst = [span for span in finding.spans if span.grade == finding.grade]
    if not worst:
        return ""
    first, last = worst[0].first, worst[-1].last
    if first == last:
        said = f", on {day_words(first)}"
    elif last != report.looked_until:
        said = f", {day_words(first)} to {day_words(last)}"
    else:
        said = "" if first == report.first_day else f", from {day_words(first)}"
    before: dict[str, str] = {}
    for span in finding.spans:
        if span.first < first and span.grade not in before:
            before[span.grade] = f"to {span.grade} from {day_words(span.first)}"
    return f"{said} ({', '.join(before.values())})" if before else said


def places(group: Sequence[Finding], file: str) -> str:
    """Where findings that stand together point: the key, and the file with its lines."""
    lines = sorted({finding.place.line for finding in group})
    return f"{key_words(group[0].place.path)}, {file}:{listed([str(line) for line in lines])}"


def key_words(key: str) -> str:
    """A key as a keeper looks for it: `drinkers.0.holds` is `drinkers.holds`."""
    return general(key).replace(".*", "")
