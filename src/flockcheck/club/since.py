"""What changed in a repository since a revision, as git tells it."""

from __future__ import annotations

import os
import subprocess
from collections.abc import Iterable, Sequence

from flockcheck.club.jobs import Job
from flockcheck.files import shown
from flockcheck.text.document import quoted

# Nothing of a stranger's repository is to be run, and nothing in it changed by looking.
_SAFELY = ("-c", "core.fsmonitor=false")


class SinceError(ValueError):
    """What changed can't be found out; the text says why and what would do."""


def changed_since(
    jobs: Sequence[Job], paths: Sequence[str], rev: str, settings: Iterable[str]
) -> list[Job]:
    """The setups that changed since a revision, those that git does not know of among them.

    `paths` are those that were asked for, by which the repository is found; `settings` the files
    and folders that every setup is judged by: where one of them changed, or lies outside the
    repository, all setups are given. Raises SinceError.
    """
    if not rev or rev.startswith("-") or not rev.isprintable():
        raise SinceError(f"{quoted(rev)} is no revision; name a branch, a tag or a commit")
    tops = {_top(path) for path in paths if path != "-"}
    if any(path == "-" for path in paths):
        raise SinceError("standard input has no revisions; leave out --since, or `-`")
    changed = {top: _changed(top, rev) for top in sorted(tops)}
    if any(_touched(os.path.realpath(path), changed, below=True) for path in settings):
        return list(jobs)
    return [job for job in jobs if _is_changed(job, changed)]


def _is_changed(job: Job, changed: dict[str, set[str]]) -> bool:
    """Whether a setup's file changed, or what it is a link to."""
    own = os.path.join(os.path.realpath(os.path.dirname(job.path) or "."),
                       os.path.basename(job.path))  # fmt: skip
    return any(_touched(path, changed) for path in {own, os.path.realpath(job.path)})


def _touched(path: str, changed: dict[str, set[str]], *, below: bool = False) -> bool:
    """Whether a file changed, or with `below` anything in a folder."""
    top = _nearest(path)
    if top not in changed:
        # In no repository, or in one of its own within the one that was asked: nobody can say.
        return True
    inner = os.path.relpath(path, top).replace(os.sep, "/")
    if inner in changed[top]:
        return True
    return below and any(one.startswith(f"{inner}/") for one in changed[top])


def _nearest(path: str) -> str:
    """The top of the repository that a path lies in; empty for none."""
    here = path
    while True:
        if os.path.lexists(os.path.join(here, ".git")):
            return here
        above = os.path.dirname(here)
        if above == here:
            return ""
        here = above


def _top(path: str) -> str:
    folder = path if os.path.isdir(path) else os.path.dirname(path) or "."
    found = _git(folder, "rev-parse", "--show-toplevel", about=shown(path))
    return os.path.realpath(os.fsdecode(found.rstrip(b"\n")))


def _changed(top: str, rev: str) -> set[str]:
    """Paths below the top that differ from a revision, are gone, or are not known to git."""
    try:
        found = _git(top, "rev-parse", "--verify", "--quiet", f"{rev}^{{commit}}")
    except SinceError:
        raise SinceError(f"there is no revision {quoted(rev)} in this repository") from None
    commit = found.split()[0].decode()
    differ = _git(
        top, "diff", "--name-only", "-z", "--no-renames", "--no-ext-diff", "--no-textconv",
        "--no-relative", "--ignore-submodules=none", commit, "--",
    )  # fmt: skip
    # Ignored ones too: git can't say whether they changed. All that is ours ends so.
    others = _git(top, "ls-files", "--others", "-z", "--", "*.yaml")
    return {os.fsdecode(name).rstrip("/") for name in (differ + others).split(b"\0") if name}


def _git(folder: str, *args: str, about: str = "") -> bytes:
    env = {**os.environ, "GIT_OPTIONAL_LOCKS": "0", "LC_ALL": "C", "GIT_PAGER": "cat"}
    try:
        done = subprocess.run(
            ["git", "-C", folder, *_SAFELY, *args],
            env=env,
            stdin=subprocess.DEVNULL,
            capture_output=True,
            check=False,
        )
    except FileNotFoundError:
        raise SinceError("--since needs git, which is not installed here") from None
    except OSError as error:
        raise SinceError(f"git can't be run: {error.strerror}") from None
    if done.returncode != 0:
        says = done.stderr.decode("utf-8", "replace").strip().partition("\n")[0]
        if "not a git repository" in says:
            says = f"{about or shown(folder)} lies in no git repository"
            raise SinceError(f"{says}; leave out --since, or check a folder of one")
        raise SinceError(f"git can't tell what changed: {says.removeprefix('fatal: ')}")
    return done.stdout
