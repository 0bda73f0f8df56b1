"""`flockcheck club`: how a club stands, over the setups of all its members."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterable, Iterator

import click

from flockcheck.cli.check import day_asked, load_tools, unknown
from flockcheck.cli.complete import setup_paths
from flockcheck.cli.members import Ask, Members, Run, outcomes
from flockcheck.cli.options import rulebook_option, standard_option
from flockcheck.cli.output import TROUBLE, Trouble, give, tell
from flockcheck.cli.reading import page_width
from flockcheck.club.folder import Outcome
from flockcheck.club.work import Wishes
from flockcheck.files import shown
from flockcheck.reports.clubdata import About, write_csv, write_json
from flockcheck.reports.clubmodel import Tally
from flockcheck.reports.clubtally import Count
from flockcheck.reports.clubtext import write


@click.command("club", short_help="Tell how a club stands.")
@click.argument("folder", default=".", metavar="[FOLDER]", shell_complete=setup_paths)
@click.option("--format", "format_name", type=click.Choice(["text", "csv", "json"]), default="text")
@click.option("--output", metavar="FILE", help="Write it there.")
@click.option(
    "--on",
    "on_text",
    metavar="DATE|today",
    help="Seen from that day: stays that ended are over, and risks accepted run out.",
)
@standard_option
@rulebook_option
@click.option("--afresh", is_flag=True, help="Check everything again; keep no report.")
def command(
    folder: str,
    format_name: str,
    output: str | None,
    on_text: str | None,
    standards: tuple[str, ...],
    rulebooks: tuple[str, ...],
    afresh: bool,
) -> None:
    """Tell how the club stands whose setups lie in FOLDER, or here.

    How many flocks are ready and until when, what is found most often, which risks are accepted,
    who has no answer to a predator, what is most often not checked, and what to do next. CSV has a
    row a member. Exit status: 0, or 2 where a setup can't be read or something else could not be
    handled.
    """
    on = day_asked(on_text)
    if not os.path.isdir(folder):
        says = "is no folder; `flockcheck check` is for a single setup"
        raise Trouble(f"{shown(folder)} {says if os.path.lexists(folder) else 'is not there'}")
    members = Members(Ask((folder,), None, rulebooks), load_tools)
    for name in standards:
        known = list(members.kit.rulebook.standards)
        if name not in known:
            tell(members.kit.problems)
            raise Trouble(unknown("standard", name, known))
    count = Count()
    run = Run(members, members.least(None), False)
    every = outcomes(members, Wishes(standards=standards, on=on), afresh=afresh, quiet=False)
    run.reports(_counted(every, count), shown="none")
    problems, tally = run.problems(), count.tally()
    club = members.club
    about = About(shown(folder), club.file if club else "", club.name if club else "", on)
    if format_name == "csv":
        tell(problems)
        give(write_csv(tally), output, data=True)
    elif format_name == "json":
        text = write_json(tally, about, members.kit.rulebook, problems)
        give(text, output, data=True)
    else:
        book = members.kit.rulebook if tally.questions else None
        give(write(tally, about, book, problems, width=page_width(output)), output)
    sys.exit(TROUBLE if problems or _unreadable(tally) else 0)


def _counted(every: Iterable[Outcome], count: Count) -> Iterator[Outcome]:
    for outcome in every:
        if outcome.problem is not None:
            count.unread(outcome.file, outcome.problem.says)
        else:
            count.add(outcome.report)
        yield outcome


def _unreadable(tally: Tally) -> bool:
    return tally.verdicts["unreadable"] > 0
