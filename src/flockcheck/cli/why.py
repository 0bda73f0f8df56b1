"""`flockcheck why`: one rule taught, with or without a setup, or one word explained."""

from __future__ import annotations

import json
import sys
from typing import Any

import click

from flockcheck.cli.complete import rules_and_words, setup_paths
from flockcheck.cli.home import Home
from flockcheck.cli.options import rulebook_option
from flockcheck.cli.output import TROUBLE, Trouble, give
from flockcheck.cli.reading import faulty, page_width
from flockcheck.files import readable
from flockcheck.reports.glossary import Word, find_key, find_word, nearest_names, spellings, words
from flockcheck.reports.lesson import answered, lesson
from flockcheck.reports.whytext import rule_text, word_data, word_text, words_text
from flockcheck.rulebook.book import Rulebook
from flockcheck.rulebook.model import Rule
from flockcheck.text.document import quoted


@click.command("why", short_help="Teach a rule, or explain a word.")
@click.argument("name", required=False, metavar="RULE|WORD", shell_complete=rules_and_words)
@click.argument("setup", required=False, metavar="[SETUP]", shell_complete=setup_paths)
@rulebook_option
@click.option(
    "--units",
    type=click.Choice(["us", "metric", "written"]),
    default="written",
    show_default=True,
    help="The units to show a setup's own figures in.",
)
@click.option("--format", "format_name", type=click.Choice(["text", "json"]), default="text")
@click.option("--output", metavar="FILE", help="Write it there.")
def command(
    name: str | None,
    setup: str | None,
    rulebooks: tuple[str, ...],
    units: str,
    format_name: str,
    output: str | None,
) -> None:
    """Teach a rule: what happens to the birds, where its limits lie, who says so and what helps.

    With a SETUP also what the rule comes to there, with what its club gives. A WORD of
    the trade or of ours, or a key of the setup file such as pen.weight, is explained; without a
    name the words are listed.
    """
    # `why clear opening` comes as two words, of which the second looks like a setup.
    two = name is not None and setup is not None and find_word(f"{name} {setup}") is not None
    home = Home(None if two else setup, rulebooks)
    book = home.rulebook
    if name is None:
        data: dict[str, Any] = {"words": list(words())}
        text = words_text
    else:
        rule, word = _meant(name, setup, book)
        if rule is not None:
            data, text = _taught(rule, home, setup, units), rule_text
        else:
            assert word is not None
            data, text = word_data(word, book.sources), word_text
    if format_name == "json":
        give(json.dumps(data, indent=2, ensure_ascii=False) + "\n", output, data=True)
    else:
        give(text(data, page_width(output)), output)
    if home.problems:
        sys.exit(TROUBLE)


def _meant(name: str, setup: str | None, book: Rulebook) -> tuple[Rule | None, Word | None]:
    """The rule or word that is meant. Raises Trouble with the nearest ones where there is none."""
    rule = book.rules.get("-".join(name.lower().replace("_", "-").split()))
    if rule is not None:
        return rule, None
    word = find_word(f"{name} {setup}") if setup is not None else None
    if word is not None:
        return None, word
    word = find_word(name) or find_key(name)
    if word is not None:
        if setup is not None:
            raise Trouble(
                f"`{word.word}` is a word and needs no setup; that goes with a rule's name"
            )
        return None, word
    near = [
        f"{kind} like it: {', '.join(found)}"
        for kind, found in (
            ("rules", nearest_names(name, {one: one for one in book.rules})),
            ("words", nearest_names(name, spellings())),
        )
        if found
    ]
    hint = "; ".join(near) or "`flockcheck rules` lists the rules, `flockcheck why` the words"
    raise Trouble(f"there is no rule and no word {quoted(readable(name))}; {hint}")


def _taught(rule: Rule, home: Home, path: str | None, units: str) -> dict[str, Any]:
    data = lesson(rule, home.rulebook)
    if path is not None:
        data["setup"] = answered(rule, home.rulebook, home.read(path), units)
        errors = data["setup"]["errors"]
        if errors:
            raise faulty(data["setup"]["file"], [(one["line"], one["says"]) for one in errors])
    return data
