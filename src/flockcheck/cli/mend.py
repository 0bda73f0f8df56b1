"""`flockcheck check FILE --mend`: the plan's choices written into the file, the old file kept.

What was done is said on standard error; the report that follows is on the file as it stands then.
"""

from __future__ import annotations

import contextlib
import os
import stat
from collections.abc import Sequence

from flockcheck.checkup.mending import Mending, is_done, mending
from flockcheck.checkup.model import Change, Fix, Plan, Problem
from flockcheck.cli.fixing import Fixing
from flockcheck.cli.members import Members
from flockcheck.cli.output import Trouble, replace_file, say
from flockcheck.club.jobs import Job
from flockcheck.club.work import Wishes, Work
from flockcheck.files import os_words, read_start, shown
from flockcheck.rulebook.book import Rulebook
from flockcheck.setup.reader import SetupError, nearest
from flockcheck.setup.written import Setup
from flockcheck.text.document import MOST_BYTES, decode, quoted

_BINARY = getattr(os, "O_BINARY", 0)
_ANYONE_WRITES = stat.S_IWUSR | stat.S_IWGRP | stat.S_IWOTH
_BY_NAME = "--mend writes into a file, so name each one"
_TO_DO = "Still to be done in the pen. Once it is, name its rule, and it is written too:"
_AS_IT_IS = "  Measure what you did; where it is not as written here, write down what is there."
_WAITS = "Left out until that is done, since it would do harm before:"
_CANNOT = "Not written, as it can't be without spoiling the file. Write it yourself:"


def mend_all(members: Members, wishes: Wishes, done: tuple[str, ...], fixing: Fixing) -> None:
    """Mend every file that was named, and say of each what was done.

    What stands in a file's way becomes a problem of the run. Raises Trouble where mending is not
    what the other options ask for.
    """
    _refuse_options(fixing)
    _refuse_paths(members.ask.paths)
    _refuse_done(done, members.kit.rulebook)
    work = Work(members, wishes._replace(fixes=True, plan=True), members.club)
    for job in members.jobs:
        problem = _mend(job, work, done)
        if problem is not None:
            members.problems.append(problem)


def _refuse_options(fixing: Fixing) -> None:
    if fixing.changes:
        raise Trouble("--with tries what --mend writes; take one of them")
    if fixing.fixes is False:
        raise Trouble("--mend writes the fixes that --no-fixes leaves out; take one of them")


def _refuse_paths(paths: Sequence[str]) -> None:
    if not paths:
        raise Trouble(f"{_BY_NAME}: flockcheck check home.flock.yaml --mend")
    for path in paths:
        if path == "-":
            raise Trouble(f"{_BY_NAME}; nothing can be written into standard input")
        if os.path.isdir(path):
            raise Trouble(f"{_BY_NAME}; {shown(path)} is a folder")


def _refuse_done(done: Sequence[str], rulebook: Rulebook) -> None:
    for rule in done:
        if rule not in rulebook.rules:
            near = nearest(rule, list(rulebook.rules))
            hint = f"did you mean `{near}`?" if near else "`flockcheck rules` shows them"
            raise Trouble(f"--done: there is no rule {quoted(rule)}; {hint}")


def _mend(job: Job, work: Work, done: tuple[str, ...]) -> Problem | None:
    """Mend one file and say what was done; gives what stood in the way.

    What can't be read is left for the report to tell.
    """
    if not os.path.isfile(job.path):
        return None
    try:
        data = read_start(job.path, MOST_BYTES + 1)
        setup = work.read(data, job.file)
        plan = work.judge(setup).plan
    except (SetupError, OSError):
        say(f"{job.file} is as it was: it can't be read.")
        return None
    if plan is None:
        say(f"{job.file} is as it was: there is no plan for it.")
        return None

    def read(text: str) -> Setup:
        return work.read(text.encode(), job.file)

    found = mending(setup, plan, done, work.rulebook, read, work.wishes.standards)
    kept = ""
    if found.written:
        try:
            kept = _write(job.path, data, found.text)
        except _NotWrittenError as error:
            return Problem(job.file, f"it was to be mended, but {error}. It is as it was")
    say("\n".join(_told(job.file, found, plan, done, kept)))
    return None


class _NotWrittenError(Exception):
    """A file that could not be changed, and is as it was."""


def _write(path: str, data: bytes, text: str) -> str:
    """Put a text in the place of a file's bytes, and those into a file beside it: gives its name.

    Through a link the file itself is changed. Raises _NotWrittenError.
    """
    full = os.path.realpath(path)
    bare = decode(data)
    mark = data.decode("utf-8").removesuffix(bare)
    try:
        if not os.access(full, os.W_OK) or not os.stat(full).st_mode & _ANYONE_WRITES:
            # Who may write into everything is still told that a file is not meant to be changed.
            raise _NotWrittenError("you may not write into it")
        if read_start(full, MOST_BYTES + 1) != data:
            raise _NotWrittenError("it was changed by another program meanwhile")
        kept = _keep(full, data)
    except OSError as error:
        raise _NotWrittenError(f"a copy can't be kept beside it: {os_words(error)}") from None
    try:
        replace_file(full, mark + text)
    except BaseException as error:
        with contextlib.suppress(OSError):
            os.unlink(kept)
        if isinstance(error, Trouble):
            says = error.format_message().partition(": ")[2]
            raise _NotWrittenError(f"it can't be written: {says}") from None
        raise
    # Named as the file was, unless that was a link to another folder.
    folder = os.path.dirname(path)
    same = os.path.realpath(folder or os.curdir) == os.path.dirname(full)
    return shown(os.path.join(folder, os.path.basename(kept)) if same else kept)


def _keep(full: str, data: bytes) -> str:
    """Write the old bytes beside a file, under the first number that is free: gives the name.

    No check of a folder takes such a name for a setup's, and nothing is ever overwritten.
    """
    mode = stat.S_IMODE(os.stat(full).st_mode)
    number = 1
    while True:
        kept = f"{full}.before-{number}"
        try:
            handle = os.open(kept, os.O_WRONLY | os.O_CREAT | os.O_EXCL | _BINARY, mode)
            break
        except FileExistsError:
            number += 1
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
    except BaseException:
        with contextlib.suppress(OSError):
            os.unlink(kept)
        raise
    return kept


def _told(file: str, found: Mending, plan: Plan, done: Sequence[str], kept: str) -> list[str]:
    """What was done with a file, and what is still to be done."""
    if found.written:
        lines = [f"{file} is changed; as it was, it is kept in {kept}."]
        lines += [f"  {_written(fix)}" for fix in found.written]
        if any(fix.kind == "work" for fix in found.written):
            lines.append(_AS_IT_IS)
    elif plan.fixes:
        lines = [f"{file} is as it was: no choice of the plan is left to be written."]
    elif plan.advice:
        lines = [f"{file} is as it was: what is wrong, no number in it puts right."]
    else:
        lines = [f"{file} is as it was: nothing in it wants mending."]
    lines += [
        f"  --done {rule}: the plan has no work that is for it."
        for rule in dict.fromkeys(done)
        if not any(is_done(fix, (rule,)) for fix in plan.fixes)
    ]
    if found.cannot:
        lines += [_CANNOT, *(f"  {fix.says}" for fix, _ in found.cannot)]
    if found.work:
        lines += [_TO_DO, *(f"  {fix.says}{_named(fix)}" for fix in found.work)]
    if found.waits:
        lines += [_WAITS, *(f"  {fix.says}" for fix in found.waits)]
    return lines


def _named(fix: Fix) -> str:
    """How work is named once it is done; some only goes along with other work."""
    rule = next(iter((*fix.clears, *fix.remains)), "")
    return f" (--done {rule})" if rule else ""


def _written(fix: Fix) -> str:
    return f"{fix.says} ({'; '.join(map(_change, fix.changes))})"


def _change(change: Change) -> str:
    if change.was:
        return f"{change.path}: {change.text}, was {change.was}"
    return f"{change.path}: {change.text}, was not written"
