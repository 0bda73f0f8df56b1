"""Which setups a run is about, and what a stranger's folder may hold without leading anywhere."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from flockcheck.club.jobs import Job, find_club, jobs_of, read_job
from flockcheck.files import os_words

posix = pytest.mark.skipif(os.name != "posix", reason="links and pipes of another kind here")


@pytest.fixture
def here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    return tmp_path


def touch(folder: Path, *names: str) -> None:
    for name in names:
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(f"name: {name}\n")


def files(*paths: str, club: str = "", left_out: tuple[str, ...] = ()) -> list[str]:
    return [job.file for job in jobs_of(paths, club, left_out)[0]]


def told(*paths: str, club: str = "") -> list[tuple[str, str]]:
    return [(one.about, one.says) for one in jobs_of(paths, club)[1]]


def test_setups_are_found_in_the_order_of_their_names_whatever_was_made_first(here: Path) -> None:
    touch(here, "b.flock.yaml", "a/z.flock.yaml", "a/flock.yaml", "a.flock.yaml", "B.flock.yaml")
    touch(here, "a/b.yaml", "a/.x.flock.yaml", ".git/x.flock.yaml", "a/flock.yaml~")
    wanted = ["B.flock.yaml", "a.flock.yaml", "a/flock.yaml", "a/z.flock.yaml", "b.flock.yaml"]
    assert files(".") == files(str(here)) == files("./.") == wanted
    assert files("a", ".", "b.flock.yaml", "./b.flock.yaml") == wanted


def test_names_are_relative_to_here_or_as_they_were_asked_for(here: Path) -> None:
    touch(here, "in/a.flock.yaml")
    os.chdir(here / "in")
    assert files("..") == ["a.flock.yaml"]
    os.chdir("/")
    assert files(str(here)) == [f"{here}/in/a.flock.yaml"]


@posix
def test_links_to_folders_are_not_followed_so_that_no_loop_is_walked(here: Path) -> None:
    touch(here, "a/x.flock.yaml")
    (here / "a" / "up").symlink_to("..")
    (here / "b").symlink_to("a")
    (here / "c.flock.yaml").symlink_to("a")
    assert files(".") == ["a/x.flock.yaml"]


def test_folders_that_the_club_leaves_out_are_passed_over_unless_asked_for(here: Path) -> None:
    touch(here, "a/x.flock.yaml", "old/y.flock.yaml", "a/old/z.flock.yaml")
    left_out = (str(here / "old"),)
    assert files(".", left_out=left_out) == ["a/old/z.flock.yaml", "a/x.flock.yaml"]
    assert files("old", left_out=left_out) == ["old/y.flock.yaml"]
    assert files("old/y.flock.yaml", left_out=left_out) == ["old/y.flock.yaml"]


def test_a_folder_with_club_settings_of_its_own_is_not_judged_by_others(here: Path) -> None:
    touch(here, "club.yaml", "a/x.flock.yaml", "b/club.yaml", "b/y.flock.yaml")
    says = "it has a club.yaml of its own, so its setups were left out. Check it by itself"
    assert files(".", club=str(here / "club.yaml")) == ["a/x.flock.yaml"]
    assert told(".", club=str(here / "club.yaml")) == [("b", says)]
    assert files("b", club=str(here / "b" / "club.yaml")) == ["b/y.flock.yaml"]
    assert told("b", club=str(here / "b" / "club.yaml")) == []


def test_a_folder_without_setups_is_told(here: Path) -> None:
    touch(here, "a/club.txt")
    says = "no setup is in it; a setup's name ends in .flock.yaml"
    assert told(".") == [("this folder", says)]
    assert told("a") == [("a", says)]


@posix
def test_what_was_found_must_be_a_file_below_the_folder_and_what_was_named_may_lie_anywhere(
    here: Path,
) -> None:
    touch(here, "club/a.flock.yaml", "secret.flock.yaml")
    links = {"out": "../secret.flock.yaml", "far": "/etc/passwd", "in": "a.flock.yaml",
             "gone": "nowhere", "round": "round.flock.yaml"}  # fmt: skip
    for name, to in links.items():
        (here / "club" / f"{name}.flock.yaml").symlink_to(to)
    os.mkfifo(here / "club" / "pipe.flock.yaml")
    # A pipe with a writer, which would be waited for.
    writer = os.open(here / "club" / "pipe.flock.yaml", os.O_RDWR)
    came: dict[str, str] = {}
    for job in jobs_of(["club"])[0]:
        try:
            came[job.file] = read_job(job).decode()
        except OSError as error:
            came[job.file] = os_words(error)
    os.close(writer)
    leads = "this link leads out of the folder that is checked"
    assert came.pop("club/round.flock.yaml")
    assert came == {
        "club/a.flock.yaml": "name: club/a.flock.yaml\n",
        "club/far.flock.yaml": leads,
        "club/gone.flock.yaml": "this link leads nowhere",
        "club/in.flock.yaml": "name: club/a.flock.yaml\n",
        "club/out.flock.yaml": leads,
        "club/pipe.flock.yaml": "this is a pipe, and nothing came through it",
    }
    named = Job("club/out.flock.yaml", "club/out.flock.yaml", "")
    assert read_job(named) == b"name: secret.flock.yaml\n"


@posix
def test_a_link_within_the_club_is_followed_from_any_of_its_folders(here: Path) -> None:
    touch(here, "club.yaml", "shared/a.flock.yaml", "members/b.flock.yaml")
    (here / "members" / "a.flock.yaml").symlink_to("../shared/a.flock.yaml")
    with_club = jobs_of(["members"], str(here / "club.yaml"))[0]
    assert [read_job(job) for job in with_club] == [
        b"name: shared/a.flock.yaml\n",
        b"name: members/b.flock.yaml\n",
    ]
    with pytest.raises(OSError, match="leads out"):
        read_job(jobs_of(["members"])[0][0])


def test_no_more_is_read_of_a_file_than_a_setup_may_have(here: Path) -> None:
    (here / "long.flock.yaml").write_bytes(b"x" * 10_000_000)
    assert len(read_job(jobs_of(["."])[0][0])) == 1_000_001


def test_a_clubs_file_is_found_upwards_and_never_above_the_repository(tmp_path: Path) -> None:
    (tmp_path / "club.yaml").touch()
    inner = tmp_path / "repository" / "members" / "north"
    inner.mkdir(parents=True)
    setup = inner / "a.flock.yaml"
    setup.touch()
    assert find_club(str(setup)) == find_club(str(inner)) == str(tmp_path / "club.yaml")
    (tmp_path / "repository" / ".git").mkdir()
    assert find_club(str(setup)) is None
    (tmp_path / "repository" / "club.yaml").touch()
    assert find_club(str(setup)) == str(tmp_path / "repository" / "club.yaml")
    (inner / ".git").write_text("gitdir: elsewhere")
    assert find_club(str(setup)) is None
