"""Print `docs/figures-read.md`: how every limit and table row of the rulebook came by its figure.

`python docs/make/citation_page.py > docs/figures-read.md`. Only the opening is written by hand.
"""

from __future__ import annotations

import sys
from collections import Counter
from collections.abc import Iterator, Mapping
from typing import Any, NamedTuple

from markdown_words import cited, head, joined, row, rule_link, table_link
from rule_pages import rulebook

from flockcheck.rulebook.book import Rulebook

OPENING = """\
<!-- Made by docs/make/citation_page.py from the rulebook: change that, not this page. -->

# Which figures were read

Every limit of a rule and every row of a table cites a publication, or says that it is common
practice. Not every figure was read off its publication, and each that was not says so, here and in
every report. Where two marks would fit, the weaker stands.

- **Read**: it was read in the publication, its official transposition or a copy of its text.
- **Worked out**: it follows from what was read by a sum that is written beside it.
- **Second hand**: it was read where somebody else reports it.
- **From memory**: the publication was not found, or nobody looked yet.
- **Common practice**: no publication was found; keepers do so.
"""
CLASSES = ("read", "worked out", "second hand", "from memory", "common practice")
OPEN = ("from memory", "second hand")


class Cited(NamedTuple):
    """A limit or a table row: where it stands, as a link, and what it cites."""

    kind: str
    where: str
    cites: Mapping[str, Any]

    @property
    def mark(self) -> str:
        """The class of the citation. Raises ValueError for one that has none, or several."""
        cites = self.cites
        if (cites.get("practice") == "common") == bool(cites.get("id")):
            raise ValueError(f"{self.where} wants either a source or `practice: common`: {cites}")
        marks = [
            name
            for key, name in (
                ("practice", "common practice"),
                ("recalled", "from memory"),
                ("seen", "second hand"),
                ("derived", "worked out"),
            )
            if cites.get(key)
        ]
        if len(marks) > 1:
            raise ValueError(f"{self.where} has more than one mark: {', '.join(marks)}")
        return marks[0] if marks else "read"


def every(book: Rulebook) -> Iterator[Cited]:
    """Every limit and every table row of a book, in the order of the book."""
    for rule in book.rules.values():
        limits = [*rule.limits, *(limit for other in rule.otherwise for limit in other.limits)]
        for limit in limits:
            of = f" ({limit.standard})" if limit.standard else ""
            yield Cited("limits", f"{rule_link(rule, 'rules/')}{of}", limit.cites)
    for table in book.tables.values():
        for one in table.rows:
            words = ", ".join(word for words in one.where.values() for word in words)
            yield Cited("table rows", f"{table_link(table.name, 'rules/')}: {words}", one.cites)


def counts(book: Rulebook) -> Counter[tuple[str, str]]:
    """How many limits and table rows there are of each class."""
    return Counter((one.mark, one.kind) for one in every(book))


def page(book: Rulebook) -> str:
    """The whole page."""
    found = counts(book)
    lines = [OPENING, *head("", "limits", "table rows", "together")]
    for mark in CLASSES:
        pair = [found[mark, kind] for kind in ("limits", "table rows")]
        lines.append(row(mark, *(str(number) for number in (*pair, sum(pair)))))
    both = [sum(found[mark, kind] for mark in CLASSES) for kind in ("limits", "table rows")]
    lines += [row("**all**", *(f"**{number}**" for number in (*both, sum(both)))), ""]
    for mark in OPEN:
        lines += [f"## {mark.capitalize()}", "", *head("where", "what it cites")]
        told = [
            row(one.where, cited({**one.cites, "recalled": "", "seen": ""}, book, "rules/"))
            for one in every(book)
            if one.mark == mark
        ]
        lines += [*dict.fromkeys(told), ""]
    return joined(lines)


if __name__ == "__main__":
    sys.stdout.write(page(rulebook()))
