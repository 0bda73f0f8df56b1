"""`flockcheck rules`: what the rulebook asks, with grades and sources."""

from __future__ import annotations

import json
import sys
from textwrap import wrap
from typing import Any

import click

from flockcheck.cli.check import load_tools, unknown
from flockcheck.cli.complete import standards_known
from flockcheck.cli.options import rulebook_option
from flockcheck.cli.output import TROUBLE, Trouble, give, tell
from flockcheck.reports.sources import cite_words
from flockcheck.reports.text import WIDTH
from flockcheck.rulebook.book import Rulebook
from flockcheck.rulebook.model import Limit, Rule


@click.command("rules", short_help="List the rules.")
@click.option("--topic", metavar="NAME", help="Only the rules of this topic.")
@click.option("--source", metavar="ID", help="Only the rules that cite this source.")
@click.option(
    "--standard",
    metavar="NAME",
    shell_complete=standards_known,
    help="Only the rules with limits of this standard.",
)
@rulebook_option
@click.option("--format", "format_name", type=click.Choice(["text", "json"]), default="text")
@click.option("--output", metavar="FILE", help="Write the list there.")
def command(
    topic: str | None,
    source: str | None,
    standard: str | None,
    rulebooks: tuple[str, ...],
    format_name: str,
    output: str | None,
) -> None:
    """List the rules: topic, name, question, grades and sources."""
    kit = load_tools(rulebooks)
    book = kit.rulebook
    tell(kit.problems)
    topics = sorted({rule.topic for rule in book.rules.values()})
    for kind, wanted, known in (
        ("topic", topic, topics),
        ("source", source, sorted(book.sources)),
        ("standard", standard, list(book.standards)),
    ):
        if wanted is not None and wanted not in known:
            raise Trouble(unknown(kind, wanted, known))
    rules = [
        rule
        for rule in sorted(book.rules.values(), key=lambda rule: (rule.topic, rule.name))
        if (topic is None or rule.topic == topic)
        and (source is None or source in _ids(rule))
        and (standard is None or any(limit.standard == standard for limit in rule.limits))
    ]
    if format_name == "json":
        data = {"rules": [rule_data(rule, book) for rule in rules]}
        give(json.dumps(data, indent=2, ensure_ascii=False) + "\n", output, data=True)
    else:
        give(_text(rules, book, standard), output)
    if kit.problems:
        sys.exit(TROUBLE)


def every_limit(rule: Rule) -> list[Limit]:
    """A rule's limits with those of its alternatives."""
    return [*rule.limits, *(limit for other in rule.otherwise for limit in other.limits)]


def _ids(rule: Rule) -> set[str]:
    return {str(limit.cites.get("id")) for limit in every_limit(rule)}


def rule_data(rule: Rule, book: Rulebook) -> dict[str, Any]:
    """A rule as other programs read it."""
    return {
        "rule": rule.name,
        "topic": rule.topic,
        "book": rule.book,
        "asks": rule.asks,
        "title": rule.title,
        "each": rule.each or None,
        "grades": list(rule.grades),
        "reminder": rule.always,
        "standards": sorted({limit.standard for limit in rule.limits if limit.standard}),
        "why": rule.why,
        "look": rule.look or None,
        "caution": rule.caution or None,
        "sources": [
            {**limit.cites, "says": cite_words(limit.cites, book.sources)}
            for limit in every_limit(rule)
        ],
    }


def _text(rules: list[Rule], book: Rulebook, standard: str | None) -> str:
    lines: list[str] = []
    topic = ""
    for rule in rules:
        if rule.topic != topic:
            topic = rule.topic
            lines += ["", topic.capitalize()] if lines else [topic.capitalize()]
        grades = ", ".join(rule.grades) or ("reminder" if rule.always else "standards only")
        lines.append(f"  {rule.name:<29} {grades}")
        limits = [one for one in every_limit(rule) if standard is None or one.standard == standard]
        cites = dict.fromkeys(cite_words(limit.cites, book.sources, brief=True) for limit in limits)
        for text in (rule.asks, *cites):
            lines += wrap(text, WIDTH, initial_indent=" " * 6, subsequent_indent=" " * 10)
    return "\n".join(lines) + "\n" if lines else "No rule fits.\n"
