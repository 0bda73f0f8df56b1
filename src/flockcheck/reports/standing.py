"""How setups stand: what a row of a club's table holds, what fails, and the table as text."""

from __future__ import annotations

import re
import textwrap
from collections.abc import Callable, Iterable, Sequence

from flockcheck.checkup.model import Report
from flockcheck.checkup.verdict import open_grade
from flockcheck.rulebook.model import GRADES
from flockcheck.text.document import on_screen
from flockcheck.text.records import NamedTuple

# The narrowest page on which a table has columns; below it each setup has two lines.
_LEAST_WIDTH = 72
_GAP = "  "
_COMMON_ENDING = ".flock.yaml"
# In the order in which a steward asks after them.
VERDICTS = ("ready", "ready until", "not ready", "cannot say", "over", "unreadable")
_SAID = {"unreadable": "can't be read"}


class Standing(NamedTuple):
    """How one setup stands.

    `until` is the last good day (ISO) with the verdict `ready until`, else empty. `open_worst` is
    the worst grade that counts and `worst` what it is about: a rule, or the first error of a file
    that can't be read. `unmet` names the standards that are not met and `required` the keys that
    the club requires and the setup lacks.
    """

    file: str
    name: str
    verdict: str
    until: str
    counts: tuple[int, int, int, int]
    open_worst: str
    worst: str
    unmet: tuple[str, ...]
    required: tuple[str, ...]


def standing_of(report: Report) -> Standing:
    """How the setup of a report stands."""
    counted = [one for one in report.findings if one.counts]
    worst = max(counted, key=lambda one: GRADES.index(open_grade(one)), default=None)
    told = worst.rule if worst is not None else ""
    if report.errors:
        told = f"line {report.errors[0].line}: {report.errors[0].says}"
    stop, mend, watch, tip = (report.counts[grade] for grade in reversed(GRADES))
    return Standing(
        file=report.file,
        name=report.name,
        verdict=report.verdict,
        until=report.ready_until.isoformat() if report.ready_until else "",
        counts=(stop, mend, watch, tip),
        open_worst=open_grade(worst) if worst is not None else "",
        worst=told,
        unmet=tuple(one.name for one in report.standards if one.met is False),
        required=report.required,
    )


def not_read(file: str, why: str) -> Standing:
    """How a setup stands whose file could not even be opened."""
    return Standing(file, "", "unreadable", "", (0, 0, 0, 0), "", why, (), ())


def fails(standing: Standing, least: str, unchecked_fails: bool = False) -> bool:
    """Whether a setup fails a run: something at or above the grade `least`, or asked and not met.

    One that can't be read fails every run; one that is over, none.
    """
    if standing.verdict in ("over", "unreadable"):
        return standing.verdict == "unreadable"
    if standing.open_worst and GRADES.index(standing.open_worst) >= GRADES.index(least):
        return True
    if standing.unmet or standing.required:
        return True
    return unchecked_fails and standing.verdict == "cannot say"


Paint = Callable[[str, str], str]


def table(standings: Sequence[Standing], paint: Paint, width: int) -> list[str]:
    """The lines of the table and of what it comes to; none is longer than `width`."""
    lines = _columns(standings, paint, width) if width >= _LEAST_WIDTH else _stacked(standings)
    lines = [_cut(line, width) if line and width < _LEAST_WIDTH else line for line in lines]
    return [*lines, "", *textwrap.wrap(told(standings), width)]


def told(standings: Iterable[Standing]) -> str:
    """What the table comes to, in a sentence."""
    verdicts = [one.verdict for one in standings]
    parts = []
    for verdict in VERDICTS:
        count = verdicts.count(verdict)
        if count:
            said = "ready until a day" if verdict == "ready until" else _SAID.get(verdict, verdict)
            parts.append(f"{count} {said}")
    things = "setup" if len(verdicts) == 1 else "setups"
    return f"{len(verdicts)} {things}: {', '.join(parts)}." if parts else "No setup."


def _columns(standings: Sequence[Standing], paint: Paint, width: int) -> list[str]:
    verdicts = [_SAID.get(one.verdict, one.verdict) for one in standings]
    wide = max([len("Verdict"), *map(len, verdicts)])
    until = len("2027-06-10") if any(one.until for one in standings) else 0
    counts = [max([2, *(len(str(one.counts[at])) for one in standings)]) for at in range(4)]
    fixed = wide + sum(counts) + 3 + len(_GAP) * 3 + (until + len(_GAP) if until else 0)
    room = width - fixed
    names = [_short_name(one.file) for one in standings]
    # The names are what a reader looks for: they get what they need, up to two thirds.
    first = min(max([len("Setup"), *map(len, names)]), room * 2 // 3)
    last = room - first
    lines = [paint(_row("Setup", "Verdict", "Until" if until else "", list("SMWT"), "Worst",
                        first, wide, until, counts), "head")]  # fmt: skip
    for one, verdict, name in zip(standings, verdicts, names, strict=True):
        shown = [str(count) if count else "." for count in _counts(one)]
        line = _row(middle_cut(name, first), verdict, one.until, shown,
                    _cut(_worst(one), last), first, wide, until, counts)  # fmt: skip
        lines.append(paint(line, one.open_worst) if one.open_worst in ("stop", "mend") else line)
    return [*lines, "", "S to stop for, M to mend, W to watch, T tips."]


def _row(
    name: str, verdict: str, until: str, counts: list[str], worst: str,
    first: int, second: int, third: int, widths: list[int],
) -> str:  # fmt: skip
    numbers = " ".join(f"{count:>{width}}" for count, width in zip(counts, widths, strict=True))
    parts = [f"{name:<{first}}", f"{verdict:<{second}}"]
    if third:
        parts.append(f"{until:<{third}}")
    return _GAP.join([*parts, numbers, worst]).rstrip()


def _stacked(standings: Sequence[Standing]) -> list[str]:
    lines: list[str] = []
    for one in standings:
        said = _SAID.get(one.verdict, one.verdict)
        until = f" {one.until}" if one.until else ""
        words = ("to stop for", "to mend", "to watch", "tip" if one.counts[3] == 1 else "tips")
        counts = [f"{n} {word}" for n, word in zip(_counts(one), words, strict=True) if n][:2]
        lines.append(_short_name(one.file))
        lines.append("  " + ", ".join([said + until, *counts]))
        if _worst(one):
            lines.append("  " + _worst(one))
    return lines


def _counts(one: Standing) -> tuple[int, int, int, int]:
    """The counts of a row; of birds that have left nothing counts."""
    return (0, 0, 0, 0) if one.verdict == "over" else one.counts


def _worst(one: Standing) -> str:
    """What a steward should look at first."""
    if one.verdict == "over":
        return ""
    if one.verdict != "unreadable" and one.open_worst not in ("stop", "mend"):
        if one.required:
            return f"lacks {', '.join(one.required)}"
        if one.unmet:
            return f"not {', '.join(one.unmet)}"
    return on_screen(one.worst)


def _short_name(file: str) -> str:
    return on_screen("standard input" if file == "-" else file.removesuffix(_COMMON_ENDING))


def middle_cut(text: str, width: int) -> str:
    """A text of at most `width`, with dots in its middle where it was longer."""
    if len(text) <= width:
        return text
    left = (width - 3) // 2
    return text[:left] + "..." + text[len(text) - (width - 3 - left) :]


def _cut(text: str, width: int) -> str:
    if len(text) <= width:
        return text
    if re.match(r" *\S+$", text):
        indent = len(text) - len(text.lstrip())
        return " " * indent + middle_cut(text.lstrip(), width - indent)
    return text[: width - 3] + "..."
