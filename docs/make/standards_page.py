"""Print `docs/standards.md`: what each opt-in standard asks of a pen, and what can't be checked.

`python docs/make/standards_page.py > docs/standards.md`. The questions come from the rules;
`standards.yaml` beside this file says what each standard is, and what a setup can't say.
"""

from __future__ import annotations

import sys
import textwrap
from pathlib import Path
from typing import Any

from markdown_words import cited, head, joined, plainly, row
from one_rule import fails
from rule_pages import rulebook

from flockcheck.reports.lesson import lesson
from flockcheck.rulebook.book import Rulebook
from flockcheck.text.document import plain, read_document

TOLD = Path(__file__).with_name("standards.yaml")
OPENING = """\
<!-- Made by docs/make/standards_page.py from the rules and docs/make/standards.yaml. -->

# Standards

A standard is a set of limits that somebody publishes and that you may ask for, in the setup
(`standards: [eu-organic]`) or with `--standard NAME`. It is judged apart from the verdict: met, not
met, or not checked, with the rules that decide. A pen can meet a standard and still be unsafe, and
be safe without meeting one.

A setup says what a pen is, not all that a standard asks. What it can't say is listed below each.
The certifier decides, and where a law is named, the law as it stands today.
"""


def told() -> dict[str, dict[str, Any]]:
    """What is written by hand of each standard: what it `is`, and its `gaps`."""
    found: dict[str, dict[str, Any]] = plain(read_document(TOLD.read_text(encoding="utf-8")))
    return found


def page(book: Rulebook) -> str:
    """The whole page. Raises KeyError for a standard of the rules that nothing is written of."""
    lines = [OPENING]
    written = told()
    for name in book.standards:
        lines += [f"## {name}", "", *textwrap.wrap(str(written[name]["is"]), 100), ""]
        lines += ["What it asks of a pen:", ""]
        lines += head("question", "looks at", "not met if it is", "where it stands")
        for rule in book.rules.values():
            for one in lesson(rule, book)["standards"]:
                if one["standard"] == name:
                    asks = f"[{plainly(rule.asks)}](rules/{rule.topic}/{rule.name}.md)"
                    when = f", where {plainly(one['where'])}" if one["where"] else ""
                    where = cited(one["source"], book, "rules/")
                    lines.append(
                        row(asks, plainly(one["in_words"]) + when, plainly(fails(one)), where)
                    )
        lines += ["", "What it asks and a setup can't say:", ""]
        for gap in written[name]["gaps"]:
            lines += textwrap.wrap(str(gap), 98, initial_indent="- ", subsequent_indent="  ")
        lines.append("")
    return joined(lines)


if __name__ == "__main__":
    sys.stdout.write(page(rulebook()))
