"""Which setups a run is about: files that were named, all that lie below a folder, and their club.

The same folder gives the same setups in the same order on any machine. Hidden folders, links to
folders and the folders that a club leaves out are passed over.
"""

from __future__ import annotations

import errno
import os
import sys
from collections.abc import Iterable, Iterator, Sequence

from flockcheck.checkup.model import Problem
from flockcheck.files import ENDING, NAMES, inside, os_words, read_start, readable, shown
from flockcheck.text.document import MOST_BYTES
from flockcheck.text.records import NamedTuple

# A club's file.
NAME = "club.yaml"
_OUTSIDE = "this link leads out of the folder that is checked"


class Job(NamedTuple):
    """One setup to check: its path, its name in reports, and the folder it was found in.

    `root` is empty for a file that was named itself: that one may lie anywhere, and be a pipe.
    """

    path: str
    file: str
    root: str


def jobs_of(
    paths: Sequence[str], club: str = "", left_out: Iterable[str] = ()
) -> tuple[list[Job], list[Problem]]:
    """The setups at or below some paths, in the order of their names, each once.

    `club` is the path of the club's file, if there is one, and `left_out` the folders that it
    leaves out.
    """
    problems: list[Problem] = []
    found: dict[str, Job] = {}
    for path in paths:
        if path == "-" or not os.path.isdir(path):
            found.setdefault(_whole_path(path), Job(path, shown(path), ""))
            continue
        search = _Search(path, club, left_out)
        jobs = list(search.jobs())
        problems += search.problems
        if not jobs and not search.problems:
            about = "this folder" if path == "." else shown(path)
            problems.append(Problem(about, f"no setup is in it; a setup's name ends in {ENDING}"))
        for job in jobs:
            found.setdefault(_whole_path(job.path), job)
    return sorted(found.values(), key=lambda job: (job.file, job.path)), problems


def read_job(job: Job) -> bytes:
    """A setup's bytes, as many as are ever read; those of standard input for `-`. Raises OSError.

    What was found in a folder must be a file in it (or in its club's folder): a stranger's link or
    pipe leads nowhere.
    """
    if job.path == "-":
        if sys.stdin is None:
            raise OSError(errno.EBADF, "it is closed")
        return sys.stdin.buffer.read(MOST_BYTES + 1)
    leads_on = job.root and os.path.islink(job.path) and os.path.exists(job.path)
    if leads_on and not inside(job.path, job.root):
        raise OSError(errno.EXDEV, _OUTSIDE)
    return read_start(job.path, MOST_BYTES + 1, whole=bool(job.root))


def find_club(path: str) -> str | None:
    """The club's file for a setup or folder: in its folder or above, within the same repository.

    The search ends where a `.git` lies, or at the top of the file system.
    """
    try:
        here = os.path.abspath("." if path == "-" else path)
    except OSError:
        return None
    if not os.path.isdir(here):
        here = os.path.dirname(here)
    while True:
        found = os.path.join(here, NAME)
        if os.path.lexists(found):
            return found
        above = os.path.dirname(here)
        if above == here or os.path.lexists(os.path.join(here, ".git")):
            return None
        here = above


class _Search:
    """The setups below a folder; `problems` are told when all were asked for."""

    def __init__(self, path: str, club: str, left_out: Iterable[str]) -> None:
        self.path = path
        self.club = os.path.realpath(club) if club else ""
        self.left_out = {os.path.realpath(folder) for folder in left_out}
        self.problems: list[Problem] = []
        root = os.path.dirname(self.club)
        # A club's own links may lead all over its folder.
        self.root = root if root and inside(path, root) else path

    def jobs(self) -> Iterator[Job]:
        """Each setup, folder by folder."""
        waiting = [self.path]
        while waiting:
            here = waiting.pop()
            try:
                with os.scandir(here) as entries:
                    listed = sorted(entries, key=lambda entry: entry.name)
            except OSError as error:
                self.problems.append(Problem(shown(here), os_words(error)))
                continue
            if here != self.path and self._is_a_club(here, listed):
                continue
            before = _shown_before(here)
            for entry in listed:
                if entry.name.startswith("."):
                    continue
                if _is_folder(entry):
                    if not entry.is_symlink() and self._wanted(entry.path):
                        waiting.append(entry.path)
                elif entry.name in NAMES or entry.name.endswith(ENDING):
                    yield Job(entry.path, before + readable(entry.name), self.root)

    def _wanted(self, folder: str) -> bool:
        return not self.left_out or os.path.realpath(folder) not in self.left_out

    def _is_a_club(self, here: str, listed: list[os.DirEntry[str]]) -> bool:
        """Whether a folder below has club settings of its own; its setups are not ours to judge."""
        own = next((entry.path for entry in listed if entry.name == NAME), None)
        if own is None or os.path.realpath(own) == self.club:
            return False
        says = f"it has a {NAME} of its own, so its setups were left out. Check it by itself"
        self.problems.append(Problem(shown(here), says))
        return True


def _shown_before(folder: str) -> str:
    """What stands before the names of a folder's files in reports."""
    try:
        if os.path.abspath(folder) == os.getcwd():
            return ""
    except OSError:
        # The folder that we are in is gone.
        pass
    return shown(folder).rstrip("/") + "/"


def _is_folder(entry: os.DirEntry[str]) -> bool:
    try:
        return entry.is_dir()
    except OSError:
        # A link into what may not be seen; reading it as a file will tell.
        return False


def _whole_path(path: str) -> str:
    try:
        return path if path == "-" else os.path.abspath(path)
    except OSError:
        return path
