"""The setups of a run of `flockcheck check`: their club, their rulebook, and what comes of them."""

from __future__ import annotations

import os
import sys
from collections.abc import Callable, Iterable, Iterator, Sequence
from functools import cached_property
from typing import TYPE_CHECKING, Any

from flockcheck.checkup.model import Problem, Report
from flockcheck.cli.output import FAILED, TROUBLE, Trouble
from flockcheck.club.folder import Outcome, run
from flockcheck.club.jobs import NAME, Job, find_club, jobs_of
from flockcheck.club.work import Wishes, Work
from flockcheck.files import shown
from flockcheck.installed import may_have_plugins
from flockcheck.reports.standing import Standing, fails
from flockcheck.rulebook.book import Rulebook
from flockcheck.text.records import NamedTuple
from flockcheck.workshop import Tools, cache_folder, failures_told

if TYPE_CHECKING:
    from flockcheck.club.settings import Settings

# For fewer setups than this, finding out what may be kept takes longer than checking them.
FEW_KEPT = 4
# A progress bar is for runs that take a while.
FEW_SHOWN = 40


class Ask(NamedTuple):
    """Which setups are meant: the options of `check` that say so."""

    paths: tuple[str, ...]
    since: str | None
    rulebooks: tuple[str, ...]


class Members:
    """The setups of a run, with their club's settings and the rulebook that all are held against.

    Making one raises Trouble where a club's file or --since is no use; so does asking for the
    rulebook where that is none.
    """

    def __init__(self, ask: Ask, load: Callable[[tuple[str, ...]], Tools]) -> None:
        self.ask = ask
        self.paths = ask.paths or (".",)
        self._load = load
        self.club = club_of(self.paths)
        self.folders = folders_of(self.club, ask.rulebooks)
        self.jobs, self.problems = self._jobs()

    def _jobs(self) -> tuple[list[Job], list[Problem]]:
        club = self.club
        file = os.path.join(club.folder, NAME) if club is not None else ""
        # A rulebook's base setup is nobody's flock.
        left_out = (*club.left_out, *club.rulebooks) if club is not None else ()
        jobs, problems = jobs_of(self.paths, file, left_out)
        if club is not None:
            problems = [*code_told(club), *problems]
        if self.ask.since is not None:
            from flockcheck.club.since import SinceError, changed_since

            settings = [*([file] if file else []), *self.folders]
            try:
                jobs = changed_since(jobs, self.paths, self.ask.since, settings)
            except SinceError as error:
                raise Trouble(str(error)) from None
        return jobs, problems

    @cached_property
    def kit(self) -> Tools:
        """The rulebook and report formats. Raises Trouble."""
        return tools_of(self.club, self.ask.rulebooks, self._load)

    def __call__(self) -> Rulebook:
        """The rulebook. Raises Trouble."""
        return self.kit.rulebook

    def __reduce__(self) -> tuple[Any, ...]:
        """Sent to another process, it loads the same rulebook again."""
        return _Loading, (self._load, self.folders)

    @property
    def plugins_trouble(self) -> tuple[Problem, ...]:
        """What is wrong with plugins. Where none is installed, nothing need be loaded to know."""
        return self.kit.problems if "kit" in self.__dict__ or may_have_plugins() else ()

    def least(self, asked: str | None) -> str:
        """The mildest grade that fails the run: the command line's, the club's, or mend."""
        return asked or (self.club.least if self.club is not None else "") or "mend"

    @property
    def found(self) -> bool:
        """Whether any setup was found in a folder, and not named itself."""
        return any(job.root for job in self.jobs)


class _Loading:
    """Loads a rulebook in another process."""

    def __init__(self, load: Callable[[tuple[str, ...]], Tools], folders: tuple[str, ...]) -> None:
        self.load = load
        self.folders = folders

    def __call__(self) -> Rulebook:
        return self.load(self.folders).rulebook


class Run:
    """What a run comes to, gathered while its setups come in, and given in the shape asked for."""

    def __init__(self, members: Members, least: str, unchecked_fails: bool) -> None:
        self.members = members
        self.least = least
        self.unchecked_fails = unchecked_fails
        # How all setups stand, where a table of them is wanted.
        self.standings: list[Standing] = []
        self.ended = 0
        self._problems: list[Problem] = []
        self._failing: list[_Failing] = []

    def lines(self, every: Iterable[Outcome]) -> Iterator[str]:
        """A line of JSON for each setup; nothing of it is kept."""
        for outcome in every:
            self._note(outcome)
            if outcome.problem is None:
                yield outcome.line + "\n"

    def reports(self, every: Iterable[Outcome], *, shown: str) -> list[Report]:
        """The reports to be shown: `all`, `none`, or `failing` and those that were named.

        How the others stand is for the table.
        """
        found: list[Report] = []
        for outcome in every:
            self._note(outcome)
            self.standings.append(outcome.standing)
            wanted = shown == "all" or (shown == "failing" and self._stands_out(outcome))
            if wanted and outcome.problem is None:
                found.append(outcome.report)
        return found

    def problems(self) -> list[Problem]:
        """What went wrong with the run, when all setups came in."""
        members = self.members
        told = [*members.plugins_trouble, *members.problems, *self._problems]
        return told + (failures_told(self._failing, members.kit) if self._failing else [])

    def _stands_out(self, outcome: Outcome) -> bool:
        if not outcome.job.root or len(self.members.jobs) == 1:
            return True
        return fails(outcome.standing, self.least, self.unchecked_fails)

    def _note(self, outcome: Outcome) -> None:
        if outcome.problem is not None:
            self._problems.append(outcome.problem)
        if outcome.failures:
            self._failing.append(_Failing(outcome.file, outcome.failures))
        if self.ended < TROUBLE and fails(outcome.standing, self.least, self.unchecked_fails):
            self.ended = TROUBLE if outcome.standing.verdict == "unreadable" else FAILED


class _Failing(NamedTuple):
    """A setup on which measures or rules failed."""

    file: str
    failures: tuple[str, ...]


def outcomes(members: Members, wishes: Wishes, *, afresh: bool, quiet: bool) -> Iterator[Outcome]:
    """What comes of each setup, in order; a bar on standard error shows how far it is.

    With `afresh` no kept report is read and none is kept; with `quiet` no bar is shown.
    """
    kept = None
    if members.found and len(members.jobs) > FEW_KEPT and not afresh:
        from flockcheck.club.identity import identity
        from flockcheck.club.kept import FOLDER, Kept

        kind = identity(members.folders, wishes, members.club)
        if kind is not None:
            folder = os.path.join(cache_folder(), FOLDER)
            kept = Kept(
                folder, kind, lambda: identity(members.folders, wishes, members.club) == kind
            )
    every = run(members.jobs, Work(members, wishes, members.club), kept)
    if quiet or len(members.jobs) <= FEW_SHOWN or not _sees_progress():
        return every
    return _with_bar(every, len(members.jobs))


def _with_bar(every: Iterable[Outcome], count: int) -> Iterator[Outcome]:
    import click

    with click.progressbar(every, length=count, label="Checking", file=sys.stderr) as bar:
        yield from bar


def _sees_progress() -> bool:
    return sys.stderr is not None and sys.stderr.isatty()


def folders_of(club: Settings | None, asked: tuple[str, ...]) -> tuple[str, ...]:
    """The rulebook folders of a run: the club's own, then those asked for."""
    return (*(club.rulebooks if club is not None else ()), *asked)


def tools_of(
    club: Settings | None, asked: tuple[str, ...], load: Callable[[tuple[str, ...]], Tools]
) -> Tools:
    """The rulebook and report formats that a club's setups are held against. Raises Trouble."""
    kit = load(folders_of(club, asked))
    if club is not None:
        from flockcheck.club.settings import unknown_names

        told = unknown_names(club, kit.rulebook)
        if told:
            raise club_trouble(club.file, [(one.line, one.says) for one in told])
    return kit


def club_of(paths: Sequence[str]) -> Settings | None:
    """The settings of the club that all paths belong to. Raises Trouble."""
    files = {path: find_club(path) for path in paths}
    real = {os.path.realpath(file) if file else "" for file in files.values()}
    if len(real) > 1:
        homes = [f"{shown(path)} to {shown(file) if file else 'no club'}"
                 for path, file in files.items()]  # fmt: skip
        says = "these do not belong to one club: " + ", ".join(homes[:4])
        raise Trouble(f"{says}. Check them one after the other")
    file = next(iter(files.values()))
    if file is None:
        return None
    from flockcheck.club.settings import ClubError, read_club

    try:
        return read_club(file)
    except ClubError as error:
        raise club_trouble(error.file, [(one.line, one.says) for one in error.faults]) from None


def club_trouble(file: str, faults: list[tuple[int, str]]) -> Trouble:
    """What is said of a club's file with faults: nobody is judged by half of it."""
    lines = [f"{file} can't be used; put this right first:"]
    lines += [f"  line {line}: {says}" for line, says in faults]
    return Trouble("\n".join(lines))


def code_told(club: Settings) -> list[Problem]:
    """Code in the club's rulebooks, which nobody runs."""
    from flockcheck.club.settings import code_in

    told: list[Problem] = []
    for folder in club.rulebooks:
        code = code_in(folder)
        if code:
            more = f" and {len(code) - 1} more" if len(code) > 1 else ""
            says = f"it holds code ({code[0]}{more}), none of which was run: a rulebook is data"
            told.append(Problem(shown(folder), f"{says}. Take it out"))
    return told
