"""What the pages of the rulebook share: links, citations, docstrings and tables as Markdown."""

from __future__ import annotations

import inspect
import re
from collections.abc import Iterable, Mapping
from typing import Any

from flockcheck.checkup.wording import listed
from flockcheck.measures.graph.registry import Node
from flockcheck.reports.rulewords import key_description, lower_first, upper_first
from flockcheck.rulebook.book import Rulebook
from flockcheck.rulebook.model import Rule, Source
from flockcheck.text.quantities import DIMENSIONS, base_unit

PRACTICE = "common practice, no source"
# What must not be read as Markdown outside backticks.
_MARKUP = re.compile(r"(`[^`]*`)|([*<|\\])")
# What programmers are told of a day or an item to which a measure does not apply.
_NONE = re.compile(r"(?<!`)\bNone (?=while|on|where|for|without|before|after)")
# Where the format of setups explains what a measure is given.
_SECTIONS = {"group": "birds", "feeder": "feeders", "drinker": "drinkers", "guardian": "guardians"}
_SECTIONS |= {one: one for one in ("site", "weather", "brooder", "pen", "feed", "water", "mesh")}
_SECTIONS |= {"care": "care"}
_OTHERS = {"day": "the day", "predator": "the predator", "setup": "the whole setup"}
# What may be the id of a source inside a text.
_ID = re.compile(r"[a-z][a-z0-9]*(?:-[a-z0-9]+)+")
# A page's opening line: what it is made from.
MADE = "<!-- Made by docs/make/rule_pages.py from the rulebook: change that, not this page. -->"


def plainly(text: str) -> str:
    """A text in which nothing is read as markup but what stands in backticks."""
    return _MARKUP.sub(lambda found: found[1] or f"\\{found[2]}", text)


def code(text: str) -> str:
    return f"`{text}`"


def row(*cells: str) -> str:
    """One line of a table; its cells are Markdown already."""
    return "| " + " | ".join(cells) + " |"


def head(*cells: str) -> list[str]:
    """The head of a table."""
    return [row(*cells), row(*("---" for _ in cells))]


def rule_link(rule: Rule, root: str) -> str:
    """A rule by its name, linked; `root` leads to the folder of the pages."""
    return f"[{rule.name}]({root}{rule.topic}/{rule.name}.md)"


def measure_link(name: str, root: str) -> str:
    return f"[`{name}`]({root}measures.md#{name})"


def table_link(name: str, root: str) -> str:
    return f"[`{name}`]({root}tables.md#{name})"


def year_of(source: Source) -> str:
    return "undated" if source.year in ("", "undated") else source.year


def cited(cite: Mapping[str, Any], book: Rulebook, root: str) -> str:
    """A citation in brief: who, when, where in it and how it was seen, linked to the source."""
    if "practice" in cite:
        return PRACTICE
    source = book.sources[str(cite["id"])]
    link = f"[{plainly(upper_first(source.issuer))} ({year_of(source)})]"
    where = f", {plainly(str(cite['where']))}" if cite.get("where") else ""
    return f"{link}({root}by-source.md#{source.id}){where}{mark(cite, book, root)}"


def mentioned(text: str, book: Rulebook) -> list[str]:
    """The sources that a text names by their ids."""
    return [one for one in dict.fromkeys(_ID.findall(text)) if one in book.sources]


def mark(cite: Mapping[str, Any], book: Rulebook, root: str) -> str:
    """How a figure was seen, where it was not read in the publication itself."""
    if cite.get("recalled"):
        return "; **from memory**"
    if cite.get("seen"):
        return "; **second hand**"
    if cite.get("derived"):
        text = plainly(str(cite["derived"]))
        for name in mentioned(text, book):
            text = text.replace(name, f"[{name}]({root}by-source.md#{name})")
        return f"; **worked out from it**: {text}"
    return ""


def named(source: Source) -> str:
    """A source in full: issuer, title, year, and where it is kept."""
    where = f" At {source.at}." if source.at else ""
    title = f"*{plainly(source.title)}*"
    return f"{plainly(upper_first(source.issuer))}, {title} ({year_of(source)}).{where}"


def docstring(node: Node) -> list[str]:
    """A measure's docstring as Markdown: its sums as code, everything else as it stands."""
    text = inspect.cleandoc(node.spec.function.__doc__ or "")
    lines: list[str] = []
    inside = False
    for line in text.splitlines():
        starts = line.startswith(">>>")
        if starts and not inside:
            lines += ["```python"] if not lines or not lines[-1] else ["", "```python"]
            inside = True
        elif inside and not line:
            lines.append("```")
            inside = False
        lines.append(line if inside else plainly(_NONE.sub("No figure ", line)))
    return [*lines, "```"] if inside else lines


def inputs(node: Node, book: Rulebook, root: str) -> str:
    """What a measure is worked out from: other measures, tables, and parts of the setup."""
    words = []
    for name in node.spec.asks:
        table = name.removesuffix("_table")
        if name in book.registry.nodes:
            words.append(measure_link(name, root))
        elif table in book.tables:
            words.append(f"the table {table_link(table, root)}")
        elif name in _SECTIONS:
            words.append(f"[{name}]({root}../setup-file.md#{_SECTIONS[name]}) of the setup")
        else:
            words.append(_OTHERS.get(name, name))
    return listed(words)


def tables_behind(names: Iterable[str], book: Rulebook) -> list[str]:
    """The tables that measures rest on, down to the last: sorted, without those of the limits."""
    found: set[str] = set()
    open_names, seen = list(names), set[str]()
    while open_names:
        name = open_names.pop()
        if name in seen:
            continue
        seen.add(name)
        if name.removesuffix("_table") in book.tables:
            found.add(name.removesuffix("_table"))
        elif name in book.registry.nodes:
            open_names += book.registry.nodes[name].spec.asks
    return sorted(found)


def unit(dimension: str) -> str:
    """The unit in which a measure is worked out, or what else it gives."""
    if dimension not in DIMENSIONS:
        return {"flag": "yes or no", "names": "a list of names"}.get(dimension, dimension)
    if dimension == "slope":
        return "a slope, rise over run"
    base = base_unit(dimension).removesuffix(" step")
    return "a plain number" if base in ("", "1") else f"in {base}"


def axes(node: Node) -> str:
    """For what a measure has a value each."""
    words = [f"for each {node.item}"] if node.item else []
    words += ["for each day"] if node.daily else []
    return " and ".join(words).replace(" and for", " and")


def key_words(path: str) -> str:
    """A key's description from the schema of setups, as a phrase."""
    return lower_first(key_description(path).rstrip("."))


def joined(lines: Iterable[str]) -> str:
    """A page from its lines, ending in one newline."""
    return "\n".join(lines).rstrip("\n") + "\n"
