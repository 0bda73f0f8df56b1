"""The pages of the whole rulebook: by topic, by source, its measures and its tables."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from markdown_words import (
    MADE,
    axes,
    cited,
    docstring,
    head,
    inputs,
    joined,
    mark,
    measure_link,
    mentioned,
    named,
    plainly,
    row,
    rule_link,
    table_link,
    unit,
)
from one_rule import filled, for_words

from flockcheck.reports.glossary import words
from flockcheck.reports.rulewords import both, upper_first
from flockcheck.rulebook.book import Rulebook
from flockcheck.rulebook.model import Rule
from flockcheck.tables import Row, Table

# The tables as their files have them, by name.
Written = Mapping[str, Mapping[str, Any]]
# The topics in the order of a batch: what is planned first, and who looks after it last.
TOPICS = {
    "plan": "when they go out and leave, and who with whom",
    "space": "room on the floor and above it",
    "feed": "enough of it, dry and reachable",
    "water": "enough of it, level, clean and within reach",
    "weather": "cold, heat, rain and snow at their age",
    "wind": "what a gust does to the pen",
    "frame": "what carries the roof",
    "moves": "moving the pen, and the grass it leaves",
    "ground": "what the pen stands on and near",
    "fence": "mesh, rail and what gets through",
    "predators": "who comes, and who guards",
    "health": "what comes in with birds, boots and wild ones",
    "care": "who looks in, and how often",
    "people": "hands, children, fire and the law",
}
KINDS = {
    "law": "Law and official codes",
    "standard": "Technical standards",
    "certifier": "Certifiers",
    "science": "Science",
    "extension": "Extension services",
    "report": "Reports and guides",
    "trade": "The trade",
}


def readme(book: Rulebook) -> str:
    """The index by topic."""
    lines = [MADE, "", "# The rules", ""]
    lines += [
        "Each rule asks one question of a setup. Its page says what happens to the birds, where",
        "the limits lie and who says so, how the figure is worked out, and what helps. Much of it",
        "is told by `flockcheck why NAME`, and for your own setup by `flockcheck why NAME",
        "my.flock.yaml`.",
        "",
        "Figures that were not read in the publication itself are marked *from memory*, *second",
        "hand* or *worked out*; a limit without a source says *common practice*. It is advice, not",
        "a permit: local codes, your veterinarian and licensed trades decide where law, medicine,",
        "electricity or building are concerned.",
        "",
        "- [By source](by-source.md): which rules and tables rest on which publication",
        "- [By standard](../standards.md): what the opt-in standards ask",
        "- [By how it was seen](../figures-read.md): which figures were read, and which were not",
        "- [Measures](measures.md): how every figure is worked out",
        "- [Tables](tables.md): the figures that measures and limits look up",
        "",
    ]
    topics = dict.fromkeys([*TOPICS, *sorted(rule.topic for rule in book.rules.values())])
    for topic in topics:
        rules = [rule for rule in book.rules.values() if rule.topic == topic]
        if not rules:
            continue
        lines += [f"## {upper_first(topic)}", ""]
        if topic in TOPICS:
            lines += [f"{upper_first(TOPICS[topic])}.", ""]
        lines += head("rule", "asks", "can say")
        for rule in rules:
            grades = ", ".join(rule.grades) or ("a reminder" if rule.always else "for standards")
            lines.append(row(rule_link(rule, ""), plainly(rule.asks), grades))
        lines.append("")
    return joined(lines)


def limits_of(rule: Rule) -> Iterator[tuple[str, Mapping[str, Any]]]:
    """The citations of a rule with the standard that each belongs to."""
    for limit in (*rule.limits, *(one for other in rule.otherwise for one in other.limits)):
        yield limit.standard, limit.cites


def by_source(book: Rulebook) -> str:
    """Every source that is cited, with what rests on it."""
    lines = [MADE, "", "# The sources, and what rests on them", ""]
    lines += [
        "Only what a limit or a row of a table cites stands here. Beside each rule or table is the",
        "place in the publication, and how it was seen where it was not read there. `flockcheck",
        "rules --source ID` lists the rules of one source.",
        "",
    ]
    rests = resting(book)
    for kind, kind_words in KINDS.items():
        own = [one for one in sorted(rests) if book.sources[one].kind == kind]
        if own:
            lines += [f"## {kind_words}", ""]
        for name in own:
            lines += [f"### {name}", "", named(book.sources[name]), ""]
            lines += [f"- {one}" for one in rests[name]]
            lines.append("")
    lines += idle_words(book)
    lines += ["## Common practice", ""]
    lines += ["No source was found for some limits or rows of these:", ""]
    rules = [rule for rule in book.rules.values() if has_practice(rule)]
    tables = [one for one in book.tables.values() if any("practice" in r.cites for r in one.rows)]
    lines += [f"- {rule_link(rule, '')}" for rule in rules]
    lines += [f"- the table {table_link(table.name, '')}" for table in tables]
    return joined(lines)


def idle(book: Rulebook) -> list[str]:
    """The sources that no limit, row or word of the glossary cites, by id."""
    told = {str(cite["id"]) for word in words().values() for cite in word.cites if "id" in cite}
    return sorted(set(book.sources) - set(resting(book)) - told)


def idle_words(book: Rulebook) -> list[str]:
    """The sources on which nothing rests so far."""
    found = idle(book)
    if not found:
        return []
    lines = ["## Listed, but nothing rests on them", ""]
    lines += ["The bibliography names these too. No limit and no figure is taken from them.", ""]
    return [*lines, *(f"- {named(book.sources[one])} ({one})" for one in found), ""]


def has_practice(rule: Rule) -> bool:
    return any("practice" in cite for _, cite in limits_of(rule))


def resting(book: Rulebook) -> dict[str, list[str]]:
    """By source: the rules and tables that cite it, as Markdown, each once a place."""
    rests: dict[str, dict[str, dict[str, None]]] = {}
    for rule in book.rules.values():
        for standard, cite in limits_of(rule):
            of = f" ({standard})" if standard else ""
            note(rests, cite, f"{rule_link(rule, '')}{of}", book)
    for table in book.tables.values():
        for one in table.rows:
            note(rests, one.cites, f"the table {table_link(table.name, '')}", book)
    return {
        name: [f"{who}: {'; '.join(places)}" for who, places in own.items()]
        for name, own in rests.items()
    }


def note(
    rests: dict[str, dict[str, dict[str, None]]], cite: Mapping[str, Any], who: str, book: Rulebook
) -> None:
    """Note what a citation rests on, with its place and mark in short."""
    if "id" not in cite:
        return
    seen = mark(cite, book, "").partition(":")[0].replace("; ", " (").replace("**", "")
    place = plainly(str(cite.get("where") or "the whole")) + (f"{seen})" if seen else "")
    rests.setdefault(str(cite["id"]), {}).setdefault(who, {})[place] = None
    for name in mentioned(str(cite.get("derived", "")), book):
        beside = f"beside [{cite['id']}](#{cite['id']})"
        rests.setdefault(name, {}).setdefault(who, {})[beside] = None


def measures_page(book: Rulebook) -> str:
    """Every measure: what it is, its formula and source, and what it is worked out from."""
    lines = [MADE, "", "# The measures", ""]
    lines += [
        "A measure is a figure that is worked out from a setup. The sums below are run by the",
        "tests. Follow the links to work a figure out by hand, down to what stands in your file.",
        "",
    ]
    for name in sorted(book.registry.nodes):
        node = book.registry.nodes[name]
        lines += [f"## {name}", "", *docstring(node), ""]
        gives = ", ".join(filter(None, (unit(node.spec.gives), axes(node))))
        lines += [f"- It is {gives}.", f"- Worked out from {inputs(node, book, '')}."]
        used = [
            measure_link(other, "")
            for other, one in sorted(book.registry.nodes.items())
            if name in one.spec.asks
        ]
        lines += [f"- Goes into {', '.join(used)}."] if used else []
        lines.append("")
    return joined(lines)


def tables_page(book: Rulebook, written: Written) -> str:
    """Every table with its rows and who says so; `written` are the files."""
    lines = [MADE, "", "# The tables", ""]
    lines += [
        "Figures that measures and limits look up. The first row that fits is taken. The figures",
        "that somebody chose stand together in [figures](#figures).",
        "",
    ]
    for name in sorted(book.tables):
        lines += table(book.tables[name], book, written[name])
    return joined(lines)


def table(one: Table, book: Rulebook, written: Mapping[str, Any]) -> list[str]:
    """One table."""
    lines = [f"## {one.name}", "", f"{upper_first(plainly(one.says))}.", ""]
    if one.along:
        way = {"straight": "in straight lines", "smooth": "smoothly"}.get(one.between, "in steps")
        past = "it is not read" if one.beyond == "refuse" else "the last figure stands"
        lines += [
            f"By {one.along.replace('_', ' ')}, {way} between the points; past them {past}.",
            "",
        ]
    # A compiled table has its columns in another order.
    columns = list(written["gives"])
    rows = []
    along = along_dimension(one, book)
    for found, raw in zip(one.rows, written["rows"], strict=True):
        # A figure of no one dimension is shown as it is written, with the unit that it has there.
        cells = [
            str(raw["values"][column])
            if one.units[column] == "quantity"
            else values(found, column, one, along)
            for column in columns
        ]
        notes = plainly(upper_first(str(raw.get("note", ""))))
        who = cited(found.cites, book, "")
        rows.append((for_words(found.where), *map(plainly, cells), who, notes))
    lines += filled(("for", *columns, "who says so", "note"), rows)[:-1]
    used = [
        measure_link(name, "")
        for name, node in sorted(book.registry.nodes.items())
        if {one.name, f"{one.name}_table"} & set(node.spec.asks)
    ]
    lines += ["", f"Read by {', '.join(used)}."] if used else []
    return [*lines, ""]


def along_dimension(one: Table, book: Rulebook) -> str:
    """The dimension of what a table goes along; a plain number where that is no measure."""
    node = book.registry.nodes.get(one.along)
    return node.spec.gives if node else "number"


def values(found: Row, column: str, one: Table, along: str) -> str:
    """A row's figures in one column."""
    ys = [both(y, one.units[column]) for y in found.ys[column]]
    if not found.xs:
        return ys[0]
    return "; ".join(f"{y} at {both(x, along)}" for x, y in zip(found.xs, ys, strict=True))
