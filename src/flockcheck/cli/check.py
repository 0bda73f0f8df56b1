"""`flockcheck check`: setups from files, folders or standard input, the answer as text or JSON."""

from __future__ import annotations

import os
import sys
from datetime import date
from typing import Any

import click

from flockcheck.checkup.check import check, open_grade
from flockcheck.checkup.model import Problem, Report, unreadable
from flockcheck.cli.complete import setup_paths, standards_known
from flockcheck.cli.output import FAILED, TROUBLE, Trouble, give, tell
from flockcheck.files import each_once, find_setups, os_words, read_setup_file, shown
from flockcheck.plugins import ANYTHING, error_words
from flockcheck.rulebook.model import GRADES, BookFault, RulebookError
from flockcheck.setup.reader import SetupError, nearest
from flockcheck.text.document import quoted
from flockcheck.workshop import Tools, failures_told, tools

# More mistakes of a rulebook than this are too long to read before a check.
MOST_FAULTS = 20
# Nor would anyone read a longer list of names.
MOST_NAMES = 20
NAMED_SO = "a setup's name ends in .flock.yaml"
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
@click.option("--format", "format_name", default="text", metavar="text|json", show_default=True)
@click.option("--output", metavar="FILE", help="Write the report there.")
@click.option(
    "--standard",
    "standards",
    multiple=True,
    metavar="NAME",
    shell_complete=standards_known,
    help="Judge an opt-in set of limits as well. Can be given again.",
)
@click.option(
    "--least",
    type=click.Choice([*reversed(GRADES)]),
    default="mend",
    show_default=True,
    help="The mildest grade that fails the run.",
)
@click.option("--unchecked-fails", is_flag=True, help="Fail where too little could be checked.")
@click.option(
    "--rulebook",
    "rulebooks",
    multiple=True,
    metavar="FOLDER",
    help="Ask the rules of this folder too. Can be given again.",
)
@click.option(
    "--units",
    type=click.Choice(["us", "metric", "written"]),
    default="written",
    show_default=True,
    help="The units to show.",
)
@click.option("--on", "on_text", metavar="DATE|today", help="Stays that ended before are over.")
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
    least: str,
    unchecked_fails: bool,
    rulebooks: tuple[str, ...],
    units: str,
    on_text: str | None,
    colour: str,
) -> None:
    """Check setups: files, folders (every setup below them), or `-` for standard input.

    Without a PATH the setups here are checked. Exit status: 0 nothing at or above --least, 1
    something, 2 a file, folder, plugin or rulebook could not be handled.
    """
    on = _day(on_text)
    kit = load_tools(rulebooks)
    asked = [("format", format_name, sorted(kit.gathered.reports))]
    asked += [("standard", name, list(kit.rulebook.standards)) for name in standards]
    for kind, name, known in asked:
        if name not in known:
            # A plugin that could not be loaded may well be why it is not there.
            tell(kit.problems)
            raise Trouble(unknown(kind, name, known))
    reports, problems = _reports(paths, kit, standards, units, on)
    problems += failures_told(reports, kit)
    painted = colour == "always" or (colour == "auto" and output is None and _may_paint())
    text = written(
        kit,
        format_name,
        reports,
        problems,
        paint=_paint if painted else lambda text, kind: text,
        width=_width(output),
    )
    give(text, output, data=format_name != "text")
    sys.exit(status(reports, problems, least, unchecked_fails))


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
    kit: Tools, format_name: str, reports: list[Report], problems: list[Problem], **options: Any
) -> str:
    """The report in a format. Raises Trouble where a plugin's format fails."""
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


def _reports(
    paths: tuple[str, ...],
    kit: Tools,
    standards: tuple[str, ...],
    units: str,
    on: date | None,
) -> tuple[list[Report], list[Problem]]:
    problems = list(kit.problems)
    files: list[str] = []
    for path in paths or (".",):
        found, trouble = find_setups(path)
        problems += trouble
        if not found and not trouble:
            about = "this folder" if path == "." else shown(path)
            problems.append(Problem(about, f"no setup is in it; {NAMED_SO}"))
        files += found
    reports = []
    for file in sorted(each_once(files), key=shown):
        try:
            setup = read_setup_file(file)
        except SetupError as error:
            reports.append(unreadable(error.file, error.faults))
            continue
        except OSError as error:
            about = "standard input" if file == "-" else shown(file)
            problems.append(Problem(about, os_words(error)))
            continue
        reports.append(check(setup, kit.rulebook, standards=standards, units=units, on=on))
    return reports, problems


def status(
    reports: list[Report], problems: list[Problem], least: str, unchecked_fails: bool
) -> int:
    """The exit status of a run: 2 outranks 1."""
    if problems or any(report.verdict == "unreadable" for report in reports):
        return TROUBLE
    bar = GRADES.index(least)
    for report in reports:
        if report.verdict == "over":
            continue
        worst = [GRADES.index(open_grade(one)) for one in report.findings if one.counts]
        if any(grade >= bar for grade in worst):
            return FAILED
        if any(standard.met is False for standard in report.standards):
            return FAILED
        if unchecked_fails and report.verdict == "cannot say":
            return FAILED
    return 0


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


def _day(text: str | None) -> date | None:
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


__all__: list[Any] = ["command", "load_tools", "status"]
