"""`flockcheck new`: a commented setup to fill in. The only command that looks at the calendar."""

from __future__ import annotations

import contextlib
import os
import sys
from datetime import date

import click

from flockcheck.cli.output import Trouble, give, say, unwritten
from flockcheck.files import ENDING, NAMES, shown
from flockcheck.setup.template import BIRDS, UNITS, Plan, planned, setup_text

_MOST_BIRDS = 5000


@click.command("new", short_help="Write a setup to fill in.")
@click.argument("file", required=False)
@click.option("--birds", type=click.Choice(BIRDS), help="The kind of birds.  [default: meat]")
@click.option("--units", type=click.Choice(UNITS), help="The units to write.  [default: metric]")
@click.option("--count", type=click.IntRange(1, _MOST_BIRDS), help="How many birds move in.")
@click.option(
    "--from", "from_text", metavar="DATE", help="The first day of the plan.  [default: today]"
)
def command(
    file: str | None, birds: str | None, units: str | None, count: int | None, from_text: str | None
) -> None:
    """Write a setup to fill in, with a comment on each key that says how to measure it.

    It goes to FILE, which must not exist yet, or to standard output. At a terminal it asks for what
    no option says. Guesses are marked as such; what only you can know is left blank.
    """
    target = None if file in (None, "-") else file
    if target is not None:
        _refuse_what_is_there(target)
    first = _day(from_text) if from_text is not None else date.today()
    if _at_terminal():
        plan = _asked(birds, units, count, first, dates=from_text is None)
    else:
        plan = _plan(birds or "meat", units or "metric", count, first)
    if not plan.readable:
        raise Trouble(
            "a date of this plan lies outside the years 2000 to 2099; give another --from"
        )
    if target is None:
        if sys.stdout is None:
            raise Trouble("there is no standard output to write to; name a file")
        give(setup_text(plan), None)
        return
    _write(target, setup_text(plan, shown(target)))
    name = shown(target)
    say(f"{name} is written. Put your own figures in it, then: flockcheck check {name}")
    if os.path.basename(target) not in NAMES and not target.endswith(ENDING):
        say(f"(Its name does not end in {ENDING}, so a check of its folder passes it over.)")


def _at_terminal() -> bool:
    return all(one is not None and one.isatty() for one in (sys.stdin, sys.stdout))


def _plan(birds: str, units: str, count: int | None, first: date) -> Plan:
    """The usual plan, with the number of birds where it was given."""
    try:
        plan = planned(birds, units, first)
    except OverflowError:
        raise Trouble(f"the calendar ends soon after {first}; give another --from") from None
    return plan if count is None else plan._replace(number=count, told=plan.told | {"count"})


def _asked(
    birds: str | None, units: str | None, count: int | None, first: date, *, dates: bool
) -> Plan:
    """The plan, with what no option said asked for on standard error."""
    try:
        birds = birds or _choice("Which birds", BIRDS, "meat")
        units = units or _choice("Which units", UNITS, "metric")
        plan = _plan(birds, units, count, first)
        if count is None:
            number = click.IntRange(1, _MOST_BIRDS)
            asked = click.prompt("How many", default=plan.number, type=number, err=True)
            plan = plan._replace(number=asked, told=plan.told | {"count"})
        if dates:
            plan = _dates(plan)
    except click.Abort:
        raise Trouble("stopped; nothing was written") from None
    return plan


def _choice(question: str, words: tuple[str, ...], usual: str) -> str:
    kind = click.Choice(words, case_sensitive=False)
    return str(click.prompt(question, default=usual, type=kind, err=True))


def _dates(plan: Plan) -> Plan:
    """Hatched, out and leaves, each later than the one before; the guesses keep their distance."""
    hatched = _date("When did they hatch, or will they", plan.hatched, None)
    move = plan.hatched - hatched
    out = _date("When do they move to the pen", max(plan.out - move, hatched), hatched)
    stay = plan.leaves - plan.out
    leaves = _date("When do they leave it", out + stay, out)
    told = plan.told | {"hatched", "out", "leaves"}
    return plan._replace(hatched=hatched, out=out, leaves=leaves, told=told)


def _date(question: str, usual: date, after: date | None) -> date:
    """A date asked for until it is one, and later than another."""
    while True:
        text = click.prompt(question, default=usual.isoformat(), err=True)
        try:
            found = date.fromisoformat(text.strip())
        except ValueError:
            say(f"`{text}` is not a date; write year-month-day, such as {usual}")
            continue
        if after is None or found > after:
            return found
        say(f"that is not after {after}")


def _day(text: str) -> date:
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise Trouble(f"`{text}` is not a date; write year-month-day") from None


def _refuse_what_is_there(path: str) -> None:
    if os.path.isdir(path):
        raise Trouble(f"{shown(path)} is a folder; name the file to write, such as my{ENDING}")
    if os.path.lexists(path):
        raise Trouble(f"{shown(path)} is there already and is left as it is; give another name")


def _write(path: str, text: str) -> None:
    """Write a new file whole or not at all; one that came up meanwhile is left alone."""
    try:
        with open(path, "x", encoding="utf-8") as file:
            try:
                file.write(text)
                file.flush()
            except OSError:
                with contextlib.suppress(OSError):
                    os.unlink(path)
                raise
    except FileExistsError:
        _refuse_what_is_there(path)
    except OSError as error:
        raise unwritten(shown(path), error) from None
