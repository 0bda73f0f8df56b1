"""Only what changed since a revision: as git has it, and safely."""

from __future__ import annotations

import os
import shutil
import subprocess
from pathlib import Path

import pytest

from flockcheck.club.jobs import jobs_of
from flockcheck.club.since import SinceError, changed_since

pytestmark = pytest.mark.skipif(shutil.which("git") is None, reason="git is not installed")
NAMES = ("a", "b", "deep/c", "d e\u00e4")


def git(folder: Path, *args: str) -> None:
    env = {**os.environ, "GIT_CONFIG_GLOBAL": os.devnull, "GIT_CONFIG_SYSTEM": os.devnull}
    who = ("-c", "user.name=Test", "-c", "user.email=test@example.org")
    subprocess.run(["git", "-C", folder, *who, *args], env=env, check=True, capture_output=True)


@pytest.fixture
def here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A repository with a club and four members, all committed and tagged `last`."""
    home = tmp_path / "club"
    for name in NAMES:
        path = home / "members" / f"{name}.flock.yaml"
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(f"name: {name}\n")
    (home / "rules" / "house").mkdir(parents=True)
    (home / "rules" / "house" / "x.yaml").write_text("rule: x\n")
    (home / "club.yaml").write_text("club: 1\n")
    git(tmp_path, "init", "-q", "club")
    git(home, "add", ".")
    git(home, "commit", "-q", "-m", "all")
    git(home, "tag", "last")
    monkeypatch.chdir(home)
    return home


def changed(rev: str = "last", *settings: str, path: str = ".") -> list[str]:
    own = settings or ("club.yaml", "rules")
    found = changed_since(jobs_of([path])[0], [path], rev, own)
    return [job.file.removeprefix("members/").removesuffix(".flock.yaml") for job in found]


def test_nothing_changed_is_nothing_to_check(here: Path) -> None:
    assert changed() == changed("HEAD") == []


def test_what_was_changed_committed_or_not_and_what_is_new_is_checked(here: Path) -> None:
    (here / "members" / "a.flock.yaml").write_text("name: other\n")
    git(here, "commit", "-q", "-a", "-m", "a")
    (here / "members" / NAMES[3]).with_suffix("").parent.mkdir(exist_ok=True)
    (here / "members" / f"{NAMES[3]}.flock.yaml").write_text("name: other\n")
    git(here, "add", ".")
    (here / "members" / "deep" / "c.flock.yaml").write_text("name: other\n")
    (here / "members" / "new.flock.yaml").write_text("name: new\n")
    assert changed() == ["a", NAMES[3], "deep/c", "new"]
    assert changed("HEAD") == [NAMES[3], "deep/c", "new"]


def test_a_setup_that_was_renamed_is_checked_and_one_that_is_gone_is_not(here: Path) -> None:
    git(here, "mv", "members/a.flock.yaml", "members/z.flock.yaml")
    git(here, "rm", "-q", "members/b.flock.yaml")
    assert changed() == ["z"]
    git(here, "commit", "-q", "-m", "moved")
    assert changed() == ["z"]


def test_one_that_git_is_told_to_pass_over_is_checked_since_nobody_knows(here: Path) -> None:
    (here / ".gitignore").write_text("secret.flock.yaml\n")
    (here / "members" / "secret.flock.yaml").write_text("name: x\n")
    git(here, "add", ".gitignore")
    git(here, "commit", "-q", "-m", "passed over")
    assert changed("HEAD") == ["secret"]


@pytest.mark.parametrize(
    ("path", "text"),
    [("club.yaml", "club: 1\nname: x\n"), ("rules/house/x.yaml", "rule: y\n"),
     ("rules/new.yaml", "rule: z\n")],
)  # fmt: skip
def test_when_what_all_are_judged_by_changed_all_are_checked(
    here: Path, path: str, text: str
) -> None:
    (here / path).write_text(text)
    assert len(changed()) == 4
    git(here, "add", ".")
    git(here, "commit", "-q", "-m", "rules")
    assert len(changed()) == 4
    assert changed("HEAD") == []


def test_a_rulebook_that_is_gone_or_lies_elsewhere_counts_as_changed(here: Path) -> None:
    git(here, "rm", "-q", "-r", "rules")
    assert len(changed()) == 4
    (here.parent / "other").mkdir()
    assert len(changed("last", "../other")) == 4


def test_of_a_part_of_the_repository_only_that_part_is_asked(here: Path) -> None:
    (here / "members" / "a.flock.yaml").write_text("name: other\n")
    (here / "members" / "deep" / "c.flock.yaml").write_text("name: other\n")
    assert changed(path="members/deep") == ["deep/c"]
    assert changed(path="members/b.flock.yaml") == []


@pytest.mark.skipif(os.name != "posix", reason="links of another kind here")
def test_a_link_changed_when_what_it_leads_to_did(here: Path) -> None:
    (here / "members" / "link.flock.yaml").symlink_to("a.flock.yaml")
    git(here, "add", ".")
    git(here, "commit", "-q", "-m", "link")
    assert changed("HEAD") == []
    (here / "members" / "a.flock.yaml").write_text("name: other\n")
    assert changed("HEAD") == ["a", "link"]


def test_a_repository_within_the_repository_is_checked_whole(here: Path) -> None:
    git(here / "members", "init", "-q", "inner")
    (here / "members" / "inner" / "x.flock.yaml").write_text("name: x\n")
    assert changed() == ["inner/x"]


@pytest.mark.parametrize(
    ("rev", "says"),
    [
        ("nosuch", "there is no revision `nosuch` in this repository"),
        ("--output=x", "`--output=x` is no revision; name a branch, a tag or a commit"),
        ("-p", "`-p` is no revision"),
        ("", "`` is no revision"),
        ("a\nb", "`a?b` is no revision"),
        ("last:club.yaml", "there is no revision `last:club.yaml` in this repository"),
        ("last..HEAD", "there is no revision `last..HEAD` in this repository"),
    ],
)
def test_what_is_no_revision_is_told(here: Path, rev: str, says: str) -> None:
    with pytest.raises(SinceError) as told:
        changed(rev)
    assert str(told.value).startswith(says)
    assert not (here / "x").exists()


def test_a_folder_in_no_repository_is_told(here: Path, tmp_path: Path) -> None:
    (tmp_path / "loose").mkdir()
    (tmp_path / "loose" / "a.flock.yaml").write_text("name: x\n")
    with pytest.raises(
        SinceError, match=r"\.\./loose lies in no git repository; leave out --since"
    ):
        changed(path="../loose")


def test_standard_input_has_no_revisions(here: Path) -> None:
    with pytest.raises(SinceError, match="standard input has no revisions"):
        changed_since([], ["-"], "last", [])


def test_a_machine_without_git_is_told(here: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("PATH", str(here))
    with pytest.raises(SinceError, match="--since needs git, which is not installed here"):
        changed()


def test_nothing_that_the_repository_names_is_run(here: Path) -> None:
    """A repository's own settings may name programs to be run by ordinary commands."""
    for name in ("core.fsmonitor", "diff.external", "diff.x.textconv", "core.pager"):
        git(here, "config", name, f"touch {here}/ran; cat")
    (here / ".gitattributes").write_text("*.yaml diff=x\n")
    (here / "members" / "a.flock.yaml").write_text("name: other\n")
    assert changed() == ["a"]
    assert not (here / "ran").exists()
