"""`flockcheck check`: setups from files, folders or standard input, the answer as text or JSON."""

from __future__ import annotations

import os
import sys
from datetime import date
from typing import Any

import click

from flockcheck.checkup.model import Problem, Report
from flockcheck.cli.complete import rule_names, setup_paths
from flockcheck.cli.fixing import Fixing, fixing_options, what_if_outcome, wishes_with
from flockcheck.cli.members import Ask, Members, Run, outcomes
from flockcheck.cli.options import rulebook_option, standard_option
from flockcheck.cli.output import TROUBLE, Trouble, give, give_lines, tell
from flockcheck.cli.reading import text_of
from flockcheck.club.work import Wishes
from flockcheck.files import os_words, shown
from flockcheck.plugins import ANYTHING, error_words
from flockcheck.reports import text as text_report
from flockcheck.rulebook.model import GRADES, BookFault, RulebookError
from flockcheck.setup.reader import nearest
from flockcheck.text.document import on_screen, quoted
from flockcheck.workshop import Tools, tools

# More mistakes of a rulebook than this are too long to read before a check.
MOST_FAULTS = 20
# Nor would anyone read a longer list of names.
MOST_NAMES = 20
# Formats for which no plugin need be asked.
OWN_FORMATS = ("json", "jsonl", "text")
_COLOURS = {
    "stop": "\033[1;35m",
    "mend": "\033[1;33m",
    "watch": "\033[36m",
    "tip": "\033[2m",
    "head": "\033[1m",
    "quiet": "\033[2m",
}


@click.command("check", short_help="Check setups before birds move out.")
@click.argument("paths", nargs=-1, metavar="[PATH]...", shell_complete=setup_paths)
@click.option(
    "--format",
    "format_name",
    default="text",
    metavar="NAME",
    show_default=True,
    help="One of text, json, jsonl, sarif and margin, or what a plugin brings.",
)
@click.option("--output", metavar="FILE", help="Write the report there.")
@standard_option
@click.option(
    "--least",
    type=click.Choice([*reversed(GRADES)]),
    help="The mildest grade that fails the run.  [default: the club's, or mend]",
)
@click.option("--unchecked-fails", is_flag=True, help="Fail where too little could be checked.")
@rulebook_option
@click.option(
    "--units",
    type=click.Choice(["us", "metric", "written"]),
    default="written",
    show_default=True,
    help="The units to show.",
)
@fixing_options
@click.option("--mend", is_flag=True, help="Write the plan's choices into the files named.")
@click.option(
    "--done",
    multiple=True,
    metavar="RULE",
    shell_complete=rule_names,
    help="With --mend: this work of the plan is done, write it too. Can be given again.",
)
@click.option(
    "--on", "on_text", metavar="DATE|today", help="The day it is: stays that ended before are over."
)
@click.option("--since", metavar="REV", help="Only setups that changed since that git revision.")
@click.option("--summary", is_flag=True, help="Only the table of how all setups stand.")
@click.option("--afresh", is_flag=True, help="Check everything again; keep no report.")
@click.option(
    "--colour",
    type=click.Choice(["auto", "always", "never"]),
    default="auto",
    show_default=True,
    help="Colour in the text report.",
)
def command(
    paths: tuple[str, ...],
    format_name: str,
    output: str | None,
    standards: tuple[str, ...],
    least: str | None,
    unchecked_fails: bool,
    rulebooks: tuple[str, ...],
    units: str,
    on_text: str | None,
    since: str | None,
    summary: bool,
    afresh: bool,
    colour: str,
    fixing: Fixing,
    mend: bool,
    done: tuple[str, ...],
) -> None:
    """Check setups: files, folders (every setup below them), or `-` for standard input.

    Without a PATH the setups here are checked, of a folder those that fail are shown, and a table
    of all. The settings in the club.yaml of their folder, or of one above it, hold for all of them.
    Exit status: 0 nothing at or above --least, 1 something, 2 a file, folder, plugin or rulebook
    could not be handled.
    """
    on = day_asked(on_text)
    if summary and format_name != "text":
        raise Trouble("--summary is for the text report; leave it out, or --format")
    members = Members(Ask(paths, since, rulebooks), load_tools)
    _check_names(members, format_name, standards)
    wishes = wishes_with(Wishes(standards, units, on), fixing, members)
    if mend:
        from flockcheck.cli.mend import mend_all

        mend_all(members, wishes, done, fixing)
    elif done:
        raise Trouble("--done goes with --mend: it names work that is done, to be written")
    run = Run(members, members.least(least), unchecked_fails)
    if fixing.changes:
        every = what_if_outcome(members, wishes, fixing.changes)
    else:
        quiet = output is None and _streams(format_name)
        every = outcomes(members, wishes, afresh=afresh, quiet=quiet)
    if format_name == "jsonl":
        give_lines(run.lines(every), output)
        problems = run.problems()
        tell(problems)
    else:
        shape = "all" if format_name != "text" else "none" if summary else "failing"
        reports = run.reports(every, shown=shape)
        problems = run.problems()
        painted = colour == "always" or (colour == "auto" and output is None and _may_paint())
        text = written(
            members,
            format_name,
            reports,
            problems,
            paint=_paint if painted else lambda text, kind: text,
            width=_width(output),
            text_of=text_of,
            standings=run.standings if summary or len(run.standings) > 1 else (),
            on=on,
        )
        if format_name == "text" and since is not None and not (members.jobs or problems):
            text = f"No setup changed since {on_screen(since)}.\n"
        give(text, output, data=format_name != "text")
    sys.exit(TROUBLE if problems else run.ended)


def _check_names(members: Members, format_name: str, standards: tuple[str, ...]) -> None:
    """Refuse a format or standard that is not there. Raises Trouble."""
    asked: list[tuple[str, str, list[str]]] = []
    if format_name not in OWN_FORMATS:
        asked.append(("format", format_name, sorted(members.kit.gathered.reports)))
    asked += [("standard", name, list(members.kit.rulebook.standards)) for name in standards]
    for kind, name, known in asked:
        if name not in known:
            # A plugin that could not be loaded may well be why it is not there.
            tell(members.kit.problems)
            raise Trouble(unknown(kind, name, known))


def _streams(format_name: str) -> bool:
    """Whether lines go to a terminal while the run goes on; a bar would get between them."""
    return format_name == "jsonl" and _at_terminal()


def load_tools(
    rulebooks: tuple[str, ...], *, alone: bool = False, most: int = MOST_FAULTS
) -> Tools:
    """The rulebook and report formats. Raises Trouble with a rulebook's mistakes, `most` of them.

    With `alone` the folders are read by themselves, without the built-in rules.
    """
    try:
        return tools(rulebooks, alone=alone)
    except RulebookError as error:
        lines = [f"the rulebook {error.book} can't be used:"]
        lines += [f"  {fault_words(fault)}" for fault in error.faults[:most]]
        more = len(error.faults) - most
        if more > 0:
            lines.append(f"  and {more} more; `flockcheck prove` shows them all")
        raise Trouble("\n".join(lines)) from None
    except OSError as error:
        raise Trouble(f"{shown(str(error.filename))}: {os_words(error)}") from None


def written(
    members: Members,
    format_name: str,
    reports: list[Report],
    problems: list[Problem],
    **options: Any,
) -> str:
    """The report in a format. Raises Trouble where a plugin's format fails."""
    if format_name == "text" and not reports:
        # A table, or trouble, for which no rulebook is needed.
        return text_report.write((), None, problems, **options)
    kit = members.kit
    writer = kit.gathered.reports[format_name]
    plugin = kit.gathered.giver(format_name=format_name)
    if plugin is None:
        return writer(reports, kit.rulebook, problems, **options)
    try:
        text = writer(reports, kit.rulebook, problems, **options)
        wrong = "" if isinstance(text, str) else f"it gave {type(text).__name__}, which is no text"
    except ANYTHING as error:
        wrong = f"it failed ({error_words(error)})"
    if wrong:
        tell(problems)
        says = f"the format {format_name} of plugin {plugin.name} can't be used: {wrong}"
        raise Trouble(f"{says}. Take --format text, and mend or uninstall the plugin")
    return text


def fault_words(fault: BookFault) -> str:
    """A mistake in a rulebook in one line: file, line, key and what is wrong."""
    where = f"{fault.file}, line {fault.line}" if fault.file else ""
    return ": ".join(filter(None, (", ".join(filter(None, (where, fault.key))), fault.says)))


def unknown(kind: str, name: str, known: list[str]) -> str:
    """What is wrong with a name that is not among those known, and the nearest that is."""
    near = nearest(name, known)
    if near:
        hint = f"did you mean `{near}`?"
    elif len(known) <= MOST_NAMES:
        hint = f"there are {', '.join(known) or 'none'}"
    else:
        hint = "`flockcheck rules` shows them"
    return f"there is no {kind} {quoted(name)}; {hint}"


def day_asked(text: str | None) -> date | None:
    """The day of `--on`, None without one; only `today` reads the clock. Raises Trouble."""
    if text is None:
        return None
    if text == "today":
        return date.today()
    try:
        if len(text) != len("2027-04-20"):
            raise ValueError
        return date.fromisoformat(text)
    except ValueError:
        says = f"{quoted(text)} is not a date; write year-month-day, such as 2027-04-20, or today"
        raise Trouble(says) from None


def _may_paint() -> bool:
    return not os.environ.get("NO_COLOR") and _at_terminal()


def _at_terminal() -> bool:
    return sys.stdout is not None and sys.stdout.isatty()


def _paint(text: str, kind: str) -> str:
    return f"{_COLOURS[kind]}{text}\033[0m" if kind in _COLOURS else text


def _width(output: str | None) -> int:
    """The terminal's width where the report goes to one; a log gets the full page."""
    if output is None and _at_terminal():
        import shutil

        return shutil.get_terminal_size().columns
    return 80


__all__: list[Any] = ["command", "load_tools"]
