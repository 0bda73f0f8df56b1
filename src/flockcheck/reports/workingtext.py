"""The working in the text of `flockcheck why`: numbered lines, to be followed with a pencil."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from datetime import date
from typing import Any

from flockcheck.checkup.wording import day_words, listed
from flockcheck.reports.whypage import Page


def working(page: Page, data: Mapping[str, Any]) -> None:
    """The lines of a working, leaves first, and what came of them."""
    about = f" for {data['item']}" if data["about"] else ""
    day = f", on {day_words(date.fromisoformat(data['day']), year=True)}" if data["day"] else ""
    page.head(f"The working{about}{day}")
    last = len(data["lines"]) + 1
    column = len(str(last)) + 2
    for line in data["lines"]:
        page.para(_first(line), hang=column, first=f"{line['line']:>{column - 2}}. ")
        for more in _below(line):
            page.para(more, indent=2 + column, hang=2)
    result = data["result"]
    uses = _places(result["uses"])
    page.para(f"{result['says']}. (From {uses}.)", hang=column, first=f"{last:>{column - 2}}. ")


def _first(line: Mapping[str, Any]) -> str:
    """A line up to its number."""
    if line["written"] is not None:
        text, shown = line["written"]["text"], line["shown"]
        also = f" ({shown})" if line["unit"] and shown not in (text, line["value"]) else ""
        club = f" of {line['written']['file']}" if line["written"]["file"] else ""
        return f"{line['says']}, line {line['written']['line']}{club}: {text}{also}"
    if line["kind"] == "none":
        return f"{line['says']}: {' '.join(line['more'])}"
    return f"{line['says']}: {line['shown']}"


def _below(line: Mapping[str, Any]) -> Iterator[str]:
    """What stands below a line: where its number comes from."""
    uses = _places(line["from"])
    if line["formula"]:
        yield line["formula"]
    if line["sum"]:
        yield f"From {uses}: {line['sum']}"
    elif line["from"]:
        yield f"From {uses}." + (f" {line['how']}" if line["how"] else "")
    if line["days"] is not None:
        yield f"{line['days']['says']} (each as in {line['days']['line']})."
    if line["kind"] != "none":
        yield from line["more"]
    if line["source"] is not None:
        yield line["source"]["says"]


def _places(lines: Sequence[int]) -> str:
    """Lines by their numbers, those that follow each other together: 1, 4 to 8 and 12."""
    runs: list[list[int]] = []
    for one in sorted(set(lines)):
        if runs and runs[-1][-1] == one - 1:
            runs[-1].append(one)
        else:
            runs.append([one])
    told = [
        word
        for run in runs
        for word in ([f"{run[0]} to {run[-1]}"] if len(run) > 2 else map(str, run))
    ]
    return listed(told)
