"""A run over many setups: in order, side by side, kept, and never ended by one of them."""

from __future__ import annotations

import gc
import os
import weakref
from collections.abc import Iterator
from pathlib import Path

import pytest

import flockcheck.club.folder as folder_run
from flockcheck.checkup.model import Report
from flockcheck.club.folder import Outcome, run
from flockcheck.club.jobs import Job, jobs_of
from flockcheck.club.kept import Kept
from flockcheck.club.work import Wishes, Work
from flockcheck.reports.jsonform import setup_line
from flockcheck.reports.standing import standing_of
from flockcheck.rulebook.book import Rulebook
from flockcheck.setup.written import Setup
from flockcheck.workshop import load_rulebook
from tests.club.club_cases import club
from tests.little_cases import BASE, birds, changed, little

CHANGES: tuple[list[tuple[str, str]], ...] = (
    [],
    [birds(100)],
    [("latches: two-step", "latches: simple")],
    [("length: 4 m", "length: 4")],
    [("opening: 20 mm", "opening: 60 mm"), birds(60)],
)


@pytest.fixture
def members(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Thirty setups of five kinds, no two with the same bytes."""
    folder = tmp_path / "members"
    folder.mkdir()
    for number in range(30):
        text = changed(BASE, *CHANGES[number % 5], ("Little flock", f"Flock {number}"))
        (folder / f"{number:02}.flock.yaml").write_text(text, encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    return folder


def work(**wishes: object) -> Work:
    return Work(little, Wishes(**wishes))  # type: ignore[arg-type]


def never() -> Rulebook:
    raise AssertionError("nothing was to be checked")


def jobs() -> list[Job]:
    return jobs_of(["members"])[0]


def shapes(found: Iterator[Outcome]) -> list[tuple[object, ...]]:
    """Everything that can be asked of each outcome."""
    return [
        (one.file, one.problem, one.standing, None if one.problem else (one.line, one.report))
        for one in found
    ]


def plain() -> list[tuple[object, ...]]:
    """What a check of one after the other comes to."""
    found: list[tuple[object, ...]] = []
    for job in jobs():
        report = work().report(Path(job.path).read_bytes(), job.file)
        found.append((job.file, None, standing_of(report), (setup_line(report), report)))
    return found


@pytest.mark.parametrize("size", [1, 2, 3])
def test_any_number_of_processes_gives_what_one_gives_in_the_same_order(
    members: Path, size: int
) -> None:
    assert shapes(run(jobs(), work(), size=size, few=2)) == plain()


def test_processes_that_share_nothing_give_the_same(members: Path) -> None:
    """As where a process can't be forked: each loads the rulebook, here the built-in one."""
    of_club = club("requires: [mesh.wire]")
    few = jobs()[:9]
    one, two = (
        shapes(run(few, Work(load_rulebook, Wishes(), of_club), size=size, method="spawn", few=1))
        for size in (1, 2)
    )
    assert one == two
    assert [shape[1] for shape in two] == [None] * 9


def test_kept_reports_are_the_same_and_nothing_is_checked_for_them(
    members: Path, tmp_path: Path
) -> None:
    store = tmp_path / "kept"
    for size in (1, 2):
        first = shapes(run(jobs(), work(), Kept(str(store), f"k{size}"), size=size, few=2))
        again = shapes(run(jobs(), Work(never, Wishes()), Kept(str(store), f"k{size}"), size=size))
        assert first == again == plain()


def test_an_outcome_that_nobody_holds_is_gone_at_once(members: Path, tmp_path: Path) -> None:
    """Circles are hardly ever looked for in a run, so memory would grow with the setups."""
    gc.disable()
    try:
        for size in (1, 2, 1):
            kept = Kept(str(tmp_path / "kept"), f"k{size}")
            seen = [weakref.ref(one) for one in run(jobs(), work(), kept, size=size, few=2)]
            assert sum(ref() is not None for ref in seen) <= 1
    finally:
        gc.enable()


def test_a_setup_that_moved_keeps_its_report_under_its_new_name(
    members: Path, tmp_path: Path
) -> None:
    before = shapes(run(jobs(), work(), Kept(str(tmp_path / "kept"), "k"), size=1))
    members.rename(tmp_path / "elsewhere")
    moved = jobs_of(["elsewhere"])[0]
    after = shapes(run(moved, Work(never, Wishes()), Kept(str(tmp_path / "kept"), "k")))
    assert [one[0] for one in after] == [
        f"elsewhere/{number:02}.flock.yaml" for number in range(30)
    ]
    assert [one[2].verdict for one in after] == [one[2].verdict for one in before]  # type: ignore[attr-defined]
    assert "members" not in repr(after)


def test_a_setup_that_changed_is_checked_again(members: Path, tmp_path: Path) -> None:
    list(run(jobs(), work(), Kept(str(tmp_path / "kept"), "k"), size=1))
    path = members / "05.flock.yaml"
    path.write_text(changed(path.read_text(), birds(100)))
    asked: list[str] = []

    class Counting(Work):
        def report(self, data: bytes, file: str) -> Report:
            asked.append(file)
            return super().report(data, file)

    found = run(jobs(), Counting(little, Wishes()), Kept(str(tmp_path / "kept"), "k"), size=1)
    assert shapes(found) == plain()
    assert asked == ["members/05.flock.yaml"]


def test_kept_reports_that_are_garbage_within_their_sums_are_checked_again(
    members: Path, tmp_path: Path
) -> None:
    """Someone who knows how sums are made can still bring in nothing but data of another form."""
    store = tmp_path / "kept"
    spoiler = Kept(str(store), "k")
    for number, job in enumerate(jobs()):
        data = Path(job.path).read_bytes()
        standing = '["n","ready","",[0,0,0,0],"","",[],[]]'
        spoils = (b"x", b"5\t[]\nabcdefgh", b"\xff\t\n", f"3\t{standing}\nabcdef".encode())
        spoiler.put(data, spoils[number % 4])
    spoiler.close()
    found = list(run(jobs(), work(), Kept(str(store), "k"), size=1))
    assert [(one.line, one.report) for one in found] == [one[3] for one in plain()]


def test_setups_that_can_not_be_read_are_told_and_the_others_checked(members: Path) -> None:
    (members / "07.flock.yaml").unlink()
    (members / "07.flock.yaml").symlink_to("/etc/passwd")
    (members / "08.flock.yaml").unlink()
    (members / "08.flock.yaml").symlink_to("nowhere")
    (members / "09.flock.yaml").write_bytes(b"x" * 10_000_000)
    found = list(run(jobs(), work(), size=2, few=2))
    problems = {one.file[8:10]: one.problem.says for one in found if one.problem is not None}
    assert problems == {
        "07": "this link leads out of the folder that is checked",
        "08": "this link leads nowhere",
    }
    assert len(found) == 30
    assert [one.standing.verdict for one in found[7:10]] == ["unreadable"] * 3
    assert "longer than 1 MB" in found[9].standing.worst


class Deadly(Work):
    """Work in which some setups end their process, and some find a mistake in the program."""

    def judge(self, setup: Setup, *, plainly: bool = False) -> Report:
        if setup.name in ("Flock 5", "Flock 12"):
            os._exit(9)
        if setup.name == "Flock 6":
            raise RuntimeError("a mistake of ours")
        return super().judge(setup, plainly=plainly)


def test_a_process_that_dies_takes_one_setup_along_and_no_other(
    members: Path, tmp_path: Path
) -> None:
    kept = Kept(str(tmp_path / "kept"), "k")
    found = list(run(jobs(), Deadly(little, Wishes()), kept, size=2, few=2))
    assert [one.file[8:10] for one in found] == [f"{number:02}" for number in range(30)]
    problems = {one.file[8:10]: one.problem.says for one in found if one.problem is not None}
    assert sorted(problems) == ["05", "06", "12"]
    assert problems["05"].startswith("the check of it ended its process")
    assert "RuntimeError: a mistake of ours" in problems["06"]
    others = [one.line for one in found if one.problem is None]
    assert others == [one[3][0] for one in plain() if one[0][8:10] not in problems]  # type: ignore[index]


def test_when_every_process_dies_the_run_still_ends(
    members: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    import flockcheck.club.crew as crew

    class Doomed(Work):
        def judge(self, setup: Setup, *, plainly: bool = False) -> Report:
            if os.getpid() != parent:
                os._exit(1)
            return super().judge(setup, plainly=plainly)

    parent = os.getpid()
    monkeypatch.setattr(crew, "MOST_DEATHS", 4)
    found = list(run(jobs(), Doomed(little, Wishes()), size=2, few=2))
    assert len(found) == 30
    assert sum(one.problem is not None for one in found) > 20


def test_an_early_end_ends_the_processes_too(members: Path) -> None:
    import multiprocessing

    found = run(jobs(), work(), size=2, few=2)
    next(found)
    while not multiprocessing.active_children():
        next(found)
    found.close()  # type: ignore[attr-defined]
    assert multiprocessing.active_children() == []


def test_reports_on_which_a_measure_failed_are_not_kept(members: Path, tmp_path: Path) -> None:
    class Failing(Work):
        def judge(self, setup: Setup, *, plainly: bool = False) -> Report:
            report = super().judge(setup, plainly=plainly)
            failed = ("shade: it broke",) if setup.name == "Flock 1" else ()
            return report._replace(failures=failed)

    for size in (1, 2):
        store = str(tmp_path / f"kept{size}")
        found = list(run(jobs(), Failing(little, Wishes()), Kept(store, "k"), size=size, few=0))
        assert [one.file for one in found if one.failures] == ["members/01.flock.yaml"]
        kept = Kept(store, "k")
        there = [kept.get(Path(job.path).read_bytes()) is not None for job in jobs()]
        kept.close()
        assert [at for at, one in enumerate(there) if not one] == [1]


def test_few_reports_wait_for_an_earlier_one(
    members: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(folder_run, "WINDOW", 8)
    assert shapes(run(jobs(), work(), size=2, few=2)) == plain()


def test_the_clubs_terms_hold_for_every_setup(members: Path) -> None:
    of_club = club("requires: [mesh.wire]\nweather: {gust: 9 m/s}")
    for size in (1, 2):
        found = list(run(jobs(), Work(little, Wishes(), of_club), size=size, few=2))
        read = [one for one in found if one.standing.verdict != "unreadable"]
        assert {one.standing.required for one in read} == {("mesh.wire",)}
        assert {one.report.from_club for one in read} == {("weather.gust",)}
        assert {one.report.club for one in read} == {"club.yaml"}
