"""`flockcheck days`: the stay of one setup day by day, and what the batch comes to."""

from __future__ import annotations

import sys
from datetime import date

import click

from flockcheck.checkup.check import check
from flockcheck.checkup.ledger import Ledger, NotInStay, ledger
from flockcheck.checkup.wording import Wording, club_words
from flockcheck.cli.complete import setup_paths
from flockcheck.cli.home import Home
from flockcheck.cli.options import rulebook_option
from flockcheck.cli.output import TROUBLE, Trouble, give, say
from flockcheck.cli.reading import faulty
from flockcheck.reports.daysdata import write_csv, write_json
from flockcheck.reports.daystext import write


@click.command("days", short_help="Show a stay day by day.")
@click.argument("setup", metavar="SETUP", shell_complete=setup_paths)
@click.option("--from", "first", metavar="DATE", help="The first day to show.")
@click.option("--to", "last", metavar="DATE", help="The last day to show.")
@click.option(
    "--every",
    type=click.IntRange(1, 366),
    default=1,
    show_default=True,
    metavar="N",
    help="Put so many days into a row.",
)
@click.option(
    "--units",
    type=click.Choice(["us", "metric", "written"]),
    default="written",
    show_default=True,
    help="The units to show; JSON is in base units.",
)
@click.option("--format", "format_name", type=click.Choice(["text", "csv", "json"]), default="text")
@rulebook_option
@click.option("--output", metavar="FILE", help="Write it there.")
def command(
    setup: str,
    first: str | None,
    last: str | None,
    every: int,
    units: str,
    format_name: str,
    rulebooks: tuple[str, ...],
    output: str | None,
) -> None:
    """Show the stay of a SETUP (`-` is standard input) day by day.

    Each row has the birds' age and weight, floor load, feed, water, droppings on the patch, how
    cold the night and how hot the day is for them, and the findings that begin. Below stands what
    the days shown add up to: feed to order, water, ground, and the weight at the end. What the
    setup's club gives is added.
    """
    home = Home(setup, rulebooks)
    read = home.read(setup)
    report = check(read, home.rulebook, units=units)
    if report.errors:
        raise faulty(report.file, [(fault.line, fault.says) for fault in report.errors])
    try:
        book = ledger(read, home.rulebook, report, first=_day(first), last=_day(last), every=every)
    except NotInStay as error:
        raise Trouble(f"no day to show: {error}") from None
    wording = Wording(read, units)
    if format_name == "json":
        give(write_json(book), output, data=True)
    elif format_name == "csv":
        give(write_csv(book, wording), output, data=True)
        _lacking(book)
        if report.from_club:
            say(f"flockcheck: {club_words(report.from_club)}")
    else:
        give(write(book, wording, home.rulebook.sources), output)
    if home.problems or report.failures:
        sys.exit(TROUBLE)


def _lacking(book: Ledger) -> None:
    """Say which columns of a table without room for words are empty, and why."""
    for column in book.columns:
        if column.needs or column.why:
            want = f"needs {', '.join(column.needs)}" if column.needs else column.why
            click.echo(f"flockcheck: {column.name.replace('_', ' ')} {want}", err=True)


def _day(text: str | None) -> date | None:
    if text is None:
        return None
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise Trouble(f"`{text}` is not a date; write year-month-day") from None
