"""`flockcheck check FILE --mend`: choices are written, the old file is kept, nothing is lost."""

from __future__ import annotations

import errno
import json
import os
import stat
from pathlib import Path
from typing import Any

import pytest
from click.testing import Result
from syrupy.assertion import SnapshotAssertion

from flockcheck.checkup.mending import mending
from tests.cli.cli_cases import SETUP, write
from tests.cli.conftest import Flockcheck
from tests.little_cases import birds

CROWD, WIDE = birds(100), ("opening: 20 mm", "opening: 60 mm")
SPILLS = ("freeboard: 20 mm", "freeboard: 2 mm")
KEPT = f"{SETUP}.before-1"


def verdict(result: Result) -> str:
    return str(json.loads(result.stdout)["setups"][0]["verdict"])


def names(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir())


def test_choices_are_written_and_the_report_is_of_the_new_file(
    here: Path, flockcheck: Flockcheck, snapshot: SnapshotAssertion
) -> None:
    path = write(here, CROWD)
    old = path.read_bytes()
    result = flockcheck("check", SETUP, "--mend", "--format", "json")
    assert (result.exit_code, verdict(result)) == (0, "ready")
    assert result.stderr == snapshot
    assert (here / KEPT).read_bytes() == old
    new = path.read_bytes()
    assert new == old.replace(b"count: 100", b"count: 86").replace(b"2027-05-31", b"2027-05-17", 1)


def test_work_is_listed_and_written_once_it_is_named_as_done(
    here: Path, flockcheck: Flockcheck, snapshot: SnapshotAssertion
) -> None:
    path = write(here, CROWD, WIDE, SPILLS)
    first = flockcheck("check", SETUP, "--mend", "--format", "json")
    assert (first.exit_code, verdict(first)) == (1, "not ready")
    assert "opening: 60 mm" in path.read_text(encoding="utf-8")
    done = flockcheck("check", SETUP, "--mend", "--done", "gets-in", "--format", "json")
    assert (done.exit_code, verdict(done)) == (1, "not ready")
    assert "opening: 25 mm" in path.read_text(encoding="utf-8")
    last = flockcheck(
        "check", SETUP, "--mend", "--done", "gets-in", "--done", "outlet-spills", "--format", "json"
    )
    assert (last.exit_code, verdict(last)) == (0, "ready")
    assert [first.stderr, done.stderr, last.stderr] == snapshot
    assert names(here) == [SETUP, *(f"{SETUP}.before-{number}" for number in (1, 2, 3))]


def test_a_second_run_changes_nothing_and_keeps_no_second_copy(
    here: Path, flockcheck: Flockcheck, snapshot: SnapshotAssertion
) -> None:
    path = write(here, CROWD, WIDE)
    flockcheck("check", SETUP, "--mend")
    once = path.read_bytes()
    again = flockcheck("check", SETUP, "--mend")
    assert again.stderr == snapshot
    assert path.read_bytes() == once
    assert names(here) == [SETUP, KEPT]


def test_a_setup_that_is_ready_and_one_that_no_number_mends_stay_as_they_are(
    here: Path, flockcheck: Flockcheck, snapshot: SnapshotAssertion
) -> None:
    write(here, name="good.flock.yaml")
    write(here, ("lamp_supports: 2", "lamp_supports: 1"), name="lamp.flock.yaml")
    result = flockcheck("check", "good.flock.yaml", "lamp.flock.yaml", "--mend")
    assert result.exit_code == 1
    assert result.stderr == snapshot
    assert names(here) == ["good.flock.yaml", "lamp.flock.yaml"]


def test_no_check_takes_the_kept_file_for_a_setup_and_none_is_overwritten(
    here: Path, flockcheck: Flockcheck
) -> None:
    write(here, CROWD)
    (here / KEPT).write_text("mine", encoding="utf-8")
    flockcheck("check", SETUP, "--mend")
    assert names(here) == [SETUP, KEPT, f"{SETUP}.before-2"]
    assert (here / KEPT).read_text(encoding="utf-8") == "mine"
    found = json.loads(flockcheck("check", ".", "--format", "json").stdout)
    assert [one["file"] for one in found["setups"]] == [SETUP]


def test_line_ends_marks_and_the_files_mode_stay(here: Path, flockcheck: Flockcheck) -> None:
    path = write(here, CROWD)
    old = b"\xef\xbb\xbf" + path.read_bytes().replace(b"\n", b"\r\n")
    path.write_bytes(old)
    path.chmod(0o640)
    flockcheck("check", SETUP, "--mend")
    new = path.read_bytes()
    assert new.startswith(b"\xef\xbb\xbf")
    assert new.count(b"\r\n") == new.count(b"\n") == old.count(b"\n")
    assert b"count: 86\r\n" in new or b"count: 86," in new
    modes = [stat.S_IMODE(one.stat().st_mode) for one in (path, here / KEPT)]
    assert modes == [0o640, 0o640] or os.name == "nt"


def test_through_a_link_the_file_itself_is_mended(here: Path, flockcheck: Flockcheck) -> None:
    (here / "barn").mkdir()
    path = write(here / "barn", CROWD)
    link = here / "home.flock.yaml"
    link.symlink_to(path)
    result = flockcheck("check", "home.flock.yaml", "--mend")
    assert link.is_symlink()
    assert "count: 86" in path.read_text(encoding="utf-8")
    assert f"barn/{KEPT}" in result.stderr
    assert names(here) == ["barn", "home.flock.yaml"]


def test_what_the_keeper_keeps_is_not_written(here: Path, flockcheck: Flockcheck) -> None:
    path = write(here, CROWD)
    flockcheck("check", SETUP, "--mend", "--keep", "birds.count")
    assert "count: 100" in path.read_text(encoding="utf-8")


def test_a_file_that_cannot_be_read_is_left_alone(
    here: Path, flockcheck: Flockcheck, snapshot: SnapshotAssertion
) -> None:
    path = write(here, ("count: 40", "count: many"))
    old = path.read_bytes()
    result = flockcheck("check", SETUP, "no.flock.yaml", "--mend", "--format", "json")
    assert result.exit_code == 2
    assert result.stderr == snapshot
    assert (path.read_bytes(), names(here)) == (old, [SETUP])


def spoil(place: str, error: OSError, monkeypatch: pytest.MonkeyPatch) -> None:
    """Let one call of the system fail."""

    def fails(*args: Any, **kwargs: Any) -> Any:
        raise error

    monkeypatch.setattr(os, place, fails)


@pytest.mark.parametrize(
    ("place", "number"), [("fsync", errno.ENOSPC), ("replace", errno.ENOSPC), ("fsync", errno.EIO)]
)
def test_where_the_disk_is_full_or_fails_all_stays_as_it_was(
    place: str,
    number: int,
    here: Path,
    flockcheck: Flockcheck,
    monkeypatch: pytest.MonkeyPatch,
    snapshot: SnapshotAssertion,
) -> None:
    path = write(here, CROWD)
    old = path.read_bytes()
    spoil(place, OSError(number, os.strerror(number)), monkeypatch)
    result = flockcheck("check", SETUP, "--mend", "--format", "json")
    assert result.exit_code == 2
    assert [one["says"] for one in json.loads(result.stdout)["problems"]] == snapshot
    assert (path.read_bytes(), names(here)) == (old, [SETUP])


def test_a_file_that_may_not_be_written_stays_as_it_was(here: Path, flockcheck: Flockcheck) -> None:
    path = write(here, CROWD)
    old = path.read_bytes()
    path.chmod(0o444)
    result = flockcheck("check", SETUP, "--mend")
    says = f"{SETUP}: it was to be mended, but you may not write into it. It is as it was"
    assert result.exit_code == 2
    assert says in " ".join(result.stdout.split())
    assert (path.read_bytes(), names(here)) == (old, [SETUP])


def test_what_another_program_writes_meanwhile_is_not_lost(
    here: Path, flockcheck: Flockcheck, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = write(here, CROWD)
    real = mending

    def slowly(*args: Any, **kwargs: Any) -> Any:
        found = real(*args, **kwargs)
        path.write_text(path.read_text(encoding="utf-8") + "# saved\n", encoding="utf-8")
        return found

    monkeypatch.setattr("flockcheck.cli.mend.mending", slowly)
    result = flockcheck("check", SETUP, "--mend")
    assert result.exit_code == 2
    assert "another program" in result.stdout
    assert path.read_text(encoding="utf-8").endswith("# saved\n")
    assert names(here) == [SETUP]


@pytest.mark.parametrize(
    "args",
    [
        ("--mend",),
        ("-", "--mend"),
        (".", "--mend"),
        (SETUP, "--mend", "--with", "birds.0.count=30"),
        (SETUP, "--mend", "--no-fixes"),
        (SETUP, "--mend", "--done", "get-in"),
        (SETUP, "--mend", "--done", "nothing like it"),
        (SETUP, "--done", "gets-in"),
    ],
    ids=" ".join,
)
def test_what_cannot_be_mended_is_refused_in_words(
    args: tuple[str, ...], here: Path, flockcheck: Flockcheck, snapshot: SnapshotAssertion
) -> None:
    path = write(here, CROWD)
    old = path.read_bytes()
    result = flockcheck("check", *args)
    assert (result.exit_code, result.stdout) == (2, "")
    assert result.stderr == snapshot
    assert (path.read_bytes(), names(here)) == (old, [SETUP])


def test_a_rule_without_work_in_the_plan_is_told(here: Path, flockcheck: Flockcheck) -> None:
    write(here, CROWD)
    result = flockcheck("check", SETUP, "--mend", "--done", "gets-in")
    assert "  --done gets-in: the plan has no work that is for it.\n" in result.stderr


def test_the_sarif_report_has_the_keepers_text_at_hand(here: Path, flockcheck: Flockcheck) -> None:
    write(here, CROWD)
    result = flockcheck("check", SETUP, "--format", "sarif")
    (run,) = json.loads(result.stdout)["runs"]
    (tight,) = [one for one in run["results"] if one["ruleId"] == "tight"]
    assert tight["locations"][0]["physicalLocation"]["region"]["endColumn"]
    contents = [
        replacement["insertedContent"]["text"]
        for fix in tight["fixes"]
        for change in fix["artifactChanges"]
        for replacement in change["replacements"]
    ]
    assert "2027-05-17" in contents or "86" in contents
