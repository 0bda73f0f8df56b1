"""The options of `check` about fixes: which are solved, what is kept, a plan, and what if."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import TYPE_CHECKING, Any

import click

from flockcheck.cli.members import Members
from flockcheck.cli.output import Trouble
from flockcheck.club.folder import Outcome
from flockcheck.club.jobs import read_job
from flockcheck.club.work import Wishes, Work
from flockcheck.files import os_words
from flockcheck.text.document import quoted
from flockcheck.text.records import NamedTuple

if TYPE_CHECKING:
    from flockcheck.checkup.model import Report

# Of so many files that are named, fixes are looked for unasked: it takes some times their check.
MOST_SOLVED = 5


class Fixing(NamedTuple):
    """What was asked about fixes; `fixes` None where nothing was."""

    fixes: bool | None
    keep: tuple[str, ...]
    plan: bool
    changes: tuple[str, ...]


def fixing_options(command: Callable[..., None]) -> Callable[..., None]:
    """Add the options to a command, which receives them together as `fixing`."""

    def inner(
        *args: Any,
        fixes: bool | None,
        keep: tuple[str, ...],
        plan: bool,
        changes: tuple[str, ...],
        **kwargs: Any,
    ) -> None:
        command(*args, fixing=Fixing(fixes, keep, plan, changes), **kwargs)

    inner.__doc__ = command.__doc__
    inner.__click_params__ = getattr(command, "__click_params__", [])  # type: ignore[attr-defined]  # where click keeps them
    for option in reversed(_OPTIONS):
        inner = option(inner)
    return inner


_OPTIONS = (
    click.option(
        "--fixes/--no-fixes",
        default=None,
        help="Look for fixes, and try each on the setup.  [default: for a few files by name]",
    ),
    click.option("--plan", is_flag=True, help="Tell the fixes that make it ready, least effort."),
    click.option(
        "--keep",
        multiple=True,
        metavar="KEY",
        help="What no fix may change: birds, pen.length. Can be given again.",
    ),
    click.option(
        "--with",
        "changes",
        multiple=True,
        metavar="KEY=VALUE",
        help="What if a key said this? Can be given again; for one setup.",
    ),
)


def check_keep(keys: tuple[str, ...]) -> None:
    """Raise Trouble for a key that the format does not have; list places may be left out."""
    from flockcheck.setup.form import general, leaves
    from flockcheck.setup.reader import nearest

    known: set[str] = set()
    for leaf in leaves():
        parts = leaf.replace(".*", "").split(".")
        known.update(".".join(parts[: n + 1]) for n in range(len(parts)))
    for key in keys:
        if general(key).replace(".*", "") not in known:
            near = nearest(key, sorted(known))
            hint = (
                f"did you mean `{near}`?" if near else "write it as in the file: birds, pen.length"
            )
            raise Trouble(f"there is no key {quoted(key)} to keep; {hint}")


def wishes_with(wishes: Wishes, fixing: Fixing, members: Members) -> Wishes:
    """The wishes of a run with what was asked about fixes. Raises Trouble."""
    check_keep(fixing.keep)
    if fixing.changes and len(members.jobs) != 1:
        found = len(members.jobs)
        raise Trouble(f"--with is for one setup, and here are {found}; name the one that is meant")
    fixes = fixing.fixes
    if fixes is None:
        few = not members.found and len(members.jobs) <= MOST_SOLVED
        fixes = few or fixing.plan or bool(fixing.keep)
    return wishes._replace(fixes=fixes, keep=fixing.keep, plan=fixing.plan)


def what_if_outcome(
    members: Members, wishes: Wishes, changes: tuple[str, ...]
) -> Iterator[Outcome]:
    """What comes of the only setup with other values in it. Raises Trouble for those of no use."""
    job = members.jobs[0]
    outcome = Outcome(job, members.club.file if members.club is not None else "")
    try:
        data = read_job(job)
    except OSError as error:
        outcome.spoil(os_words(error))
    else:
        outcome.settle(_what_if(Work(members, wishes, members.club), data, job.file, changes))
    yield outcome


def _what_if(work: Work, data: bytes, file: str, changes: tuple[str, ...]) -> Report:
    from flockcheck.checkup.whatif import WhatIfError, compared, what_if
    from flockcheck.setup.reader import SetupError, read_setup_bytes

    try:
        own = read_setup_bytes(data, file)
    except SetupError:
        return work.report(data, file)
    try:
        changed, told = what_if(own, changes)
    except WhatIfError as error:
        raise Trouble(f"--with: {error.says}") from None
    setup = work.given(own)
    given = setup.values
    # What is put in stands in place of the club's, where the keeper had nothing.
    told = tuple(
        one._replace(old=given[one.path].value, was=given[one.path].text)
        if one.old is None and one.path in given
        else one
        for one in told
    )
    before = work.judge(setup, plainly=True)
    return compared(before, work.judge(work.given(changed)), told)


__all__ = ["Fixing", "check_keep", "fixing_options", "what_if_outcome", "wishes_with"]
