"""The page of one rule."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from example_words import example_words
from markdown_words import (
    MADE,
    PRACTICE,
    axes,
    cited,
    code,
    docstring,
    head,
    inputs,
    joined,
    mark,
    measure_link,
    named,
    plainly,
    row,
    rule_link,
    table_link,
    tables_behind,
    unit,
)

from flockcheck.checkup.examples import read_examples
from flockcheck.checkup.wording import listed
from flockcheck.reports.lesson import lesson
from flockcheck.reports.rulewords import upper_first
from flockcheck.rulebook.book import Rulebook
from flockcheck.rulebook.model import Expression, Limit, Rule, Template

ROOT = "../"


def rule_page(rule: Rule, book: Rulebook, file: bytes) -> str:
    """Everything about a rule; `file` is its rule file, which alone has the examples."""
    told = lesson(rule, book)
    lines = [MADE, "", f"# {rule.title}", "", f"**{plainly(rule.asks)}**", ""]
    grades = ", ".join(rule.grades)
    kind = f"can say {grades}" if grades else "asked only where a standard is"
    kind = "a reminder, which finds nothing" if rule.always else kind
    up = f"Topic [{rule.topic}](../README.md#{rule.topic})"
    lines += [f"{code(rule.name)}: {kind}. {up}.", ""]
    lines += ["## What happens", "", plainly(rule.why), ""]
    if rule.always:
        lines += ["## The reminder", "", plainly(template_words(rule.says)), ""]
    if rule.caution:
        lines += ["## Take care", "", plainly(rule.caution), ""]
    if rule.look:
        lines += ["## What to look at in the pen", "", plainly(rule.look), ""]
    asked = f"Asked {plainly(told['asked'])}."
    if rule.grades:
        lines += ["## Limits", "", asked, ""]
        lines += limits(told["limits"], book)
        for other in told["instead"]:
            keys = " or ".join(map(code, other["where_missing"]))
            lines += [f"Where {keys} is not written, this is looked at instead:", ""]
            lines += limits(other["limits"], book)
    lines += standards(told["standards"], book, "" if rule.grades else asked)
    lines += tables(told["tables"], book)
    lines += sums(rule, book)
    if told["helps"]:
        lines += ["## What helps", "", *(f"- {plainly(upper_first(one))}" for one in told["helps"])]
        lines.append("")
    lines += examples(file)
    lines += related(rule, book)
    lines += sources(rule, told, book)
    return joined(lines)


def template_words(template: Template) -> str:
    """What a rule says, with the name of each value where the value would stand."""
    parts = [part if isinstance(part, str) else f"({part[0][-1]})" for part in template]
    return "".join(parts).strip()


def limits(found: Sequence[Mapping[str, Any]], book: Rulebook) -> list[str]:
    """The limits, those on one subject in a table of their own."""
    lines = []
    for subject in dict.fromkeys(one["looks_at"] for one in found):
        own = [one for one in found if one["looks_at"] == subject]
        whole = f"{plainly(upper_first(own[0]['in_words']))} ({name_of(subject, book)})"
        lines += [f"{whole}:", ""]
        lines += filled(
            ("grade", "if it is", "where", "who says so"),
            [
                (one["grade"], plainly(fails(one)), plainly(one["where"] or ""), who)
                for one in own
                for who in [cited(one["source"], book, ROOT)]
            ],
        )
        cautions = dict.fromkeys(one["caution"] for one in own if one["caution"])
        lines += [line for one in cautions for line in (f"Take care: {plainly(one)}", "")]
    return lines


def filled(heads: Sequence[str], rows: Sequence[Sequence[str]]) -> list[str]:
    """A table, without the columns that are empty in every row."""
    wanted = [at for at in range(len(heads)) if any(cells[at] for cells in rows)]
    lines = head(*(heads[at] for at in wanted))
    lines += [row(*(cells[at] for at in wanted)) for cells in rows]
    return [*lines, ""]


def name_of(subject: str, book: Rulebook) -> str:
    """A measure's name with its link; a key as it is written."""
    return measure_link(subject, ROOT) if subject in book.registry.nodes else code(subject)


def fails(one: Mapping[str, Any]) -> str:
    """When a limit fails, with its points where it goes along something."""
    if not one["points"]:
        return str(one["fails_if"])
    points = "; ".join(f"{y} at {x}" for x, y in one["points"])
    words = str(one["fails_if"]).replace("the figure below", "the figure for its point")
    return f"{words}, by {one['along']}: {points}"


def standards(found: Sequence[Mapping[str, Any]], book: Rulebook, asked: str) -> list[str]:
    """The opt-in limits; `asked` says of what the rule is asked, where nothing has said it yet."""
    if not found:
        return []
    lines = ["## Standards", "", *([asked, ""] if asked else [])]
    lines += ["Judged only where the setup asks for them, and apart from the verdict.", ""]
    rows = [
        (
            f"[{one['standard']}](../../standards.md#{one['standard']})",
            plainly(one["in_words"]),
            plainly(fails(one)),
            plainly(one["where"] or ""),
            cited(one["source"], book, ROOT),
        )
        for one in sorted(found, key=lambda one: str(one["standard"]))
    ]
    heads = ("standard", "looks at", "not met if it is", "where", "who says so")
    return [*lines, *filled(heads, rows)]


def tables(found: Sequence[Mapping[str, Any]], book: Rulebook) -> list[str]:
    """The tables that limits are read from, each with a link to its rows and sources."""
    lines = []
    for name in dict.fromkeys(table["table"] for table in found):
        own = [table for table in found if table["table"] == name]
        says = plainly(own[0]["says"])
        lines += [f"The table {table_link(name, ROOT)}, {says}:", ""]
        lines += head("for", *(table["column"] for table in own), "who says so")
        for at, first in enumerate(own[0]["rows"]):
            cells = [plainly(points(table["rows"][at])) for table in own]
            lines.append(row(for_words(first["for"]), *cells, cited(first["source"], book, ROOT)))
        lines.append("")
    return lines


def points(one: Mapping[str, Any]) -> str:
    """A row's value, or its points."""
    return str(one["value"] or "; ".join(f"{y} from {x}" for x, y in one["points"]))


def for_words(found: Mapping[str, Sequence[str]]) -> str:
    """What a row is for."""
    return ", ".join(" or ".join(words) for words in found.values()) or "any other"


def sums(rule: Rule, book: Rulebook) -> list[str]:
    """How the measures that limits look at, or are held against, are worked out."""
    every = [*rule.limits, *(one for other in rule.otherwise for one in other.limits)]
    names = dict.fromkeys(name for limit in every for name in measures(limit))
    if not names:
        return []
    lines = ["## How it is worked out", ""]
    for name in names:
        node = book.registry.nodes[name]
        lines += [f"### {name}", "", *docstring(node), ""]
        gives = ", ".join(filter(None, (unit(node.spec.gives), axes(node))))
        lines += [f"It is {gives}, and worked out from {inputs(node, book, ROOT)}.", ""]
    behind = [table_link(name, ROOT) for name in tables_behind(names, book)]
    if behind:
        lines += [f"The figures behind it stand, with who says so, in {listed(behind)}.", ""]
    return lines


def measures(limit: Limit) -> list[str]:
    """The measures that a limit looks at and is held against."""
    found: list[str] = []

    def look(part: Expression) -> None:
        if isinstance(part, list) and len(part) == 2 and part[0] == "measure":
            found.append(str(part[1]))
        elif isinstance(part, list):
            for one in part:
                look(one)

    look(limit.term)
    look(limit.value)
    return found


def examples(file: bytes) -> list[str]:
    """The rule's own examples, which the tests run."""
    found = read_examples(file)
    if not found:
        return []
    base = "[a well-run setup](../../../rules/base.flock.yaml)"
    lines = ["## Examples", "", f"Changes to {base}; the tests try each of them.", ""]
    lines += [f"- {plainly(upper_first(example_words(one)))}" for one in found]
    return [*lines, ""]


def related(rule: Rule, book: Rulebook) -> list[str]:
    """The rules that share a finding with this one, and the others that look at the same."""
    lines = [
        f"- {rule_link(other, ROOT)}, {title(other)}: told instead of this rule where both find it."
        for other in book.rules.values()
        if rule.name in other.instead_of
    ]
    lines += [
        f"- {rule_link(book.rules[name], ROOT)}, {title(book.rules[name])}:"
        " this rule is told instead where both find it."
        for name in rule.instead_of
    ]
    told = {*rule.instead_of, *(o.name for o in book.rules.values() if rule.name in o.instead_of)}
    looks = {name for limit in rule.limits for name in measures(limit)}
    for other in book.rules.values():
        shared = looks & {name for limit in other.limits for name in measures(limit)}
        if other.name != rule.name and other.name not in told and shared:
            words = ", ".join(measure_link(name, ROOT) for name in sorted(shared))
            lines.append(f"- {rule_link(other, ROOT)}, {title(other)}: looks at {words} too.")
    return ["## Related rules", "", *lines, ""] if lines else []


def title(rule: Rule) -> str:
    return plainly(rule.title[:1].lower() + rule.title[1:])


def sources(rule: Rule, told: Mapping[str, Any], book: Rulebook) -> list[str]:
    """Every source of a limit or row above in full, with the places and how they were seen."""
    every = [*rule.limits, *(one for other in rule.otherwise for one in other.limits)]
    cites: list[Mapping[str, Any]] = [limit.cites for limit in every]
    cites += [one["source"] for table in told["tables"] for one in table["rows"]]
    lines: list[str] = []
    ids = {str(cite["id"]) for cite in cites if "id" in cite}
    for name in sorted(ids, key=lambda one: (book.sources[one].issuer.lower(), one)):
        own = [cite for cite in cites if cite.get("id") == name]
        places = dict.fromkeys(
            f"{plainly(str(one.get('where', '')))}{mark(one, book, ROOT)}" for one in own
        )
        link = f"[{name}](../by-source.md#{name})"
        lines += [f"- {named(book.sources[name])} ({link})"]
        lines += [f"  - {place.removeprefix('; ')}" for place in places if place]
    if any("practice" in cite for cite in cites):
        lines.append(f"- {upper_first(PRACTICE)}: what careful keepers hold to.")
    return ["## Sources", "", *lines, ""] if lines else []
