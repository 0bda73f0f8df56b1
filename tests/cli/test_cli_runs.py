"""The program run by itself: streams that close, full disks, and the same bytes each time."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.cli.cli_cases import MENDED, SETUP, environment, run, write
from tests.little_cases import BASE, birds

posix = pytest.mark.skipif(os.name != "posix", reason="closes streams as a shell does")


def shell(line: str, cwd: Path) -> subprocess.CompletedProcess[str]:
    """A line of shell in which `$F` is the program."""
    return subprocess.run(
        ["bash", "-c", f"set -o pipefail; {line}"],
        cwd=cwd,
        env=environment(F=f"{sys.executable} -m flockcheck"),
        encoding="utf-8",
        capture_output=True,
        check=False,
        timeout=120,
    )


def test_the_program_ends_with_its_status(tmp_path: Path) -> None:
    write(tmp_path, MENDED)
    found = run("check", SETUP, cwd=tmp_path)
    assert (found.returncode, found.stderr) == (1, "")
    assert found.stdout.startswith("Little flock: 40 meat chickens")


def test_standard_input_is_read_to_its_end(tmp_path: Path) -> None:
    assert run("check", "-", cwd=tmp_path, text=BASE).returncode == 0


@pytest.mark.parametrize("form", ["text", "json"])
def test_the_same_setups_give_the_same_bytes_whatever_the_hash_seed(
    tmp_path: Path, form: str
) -> None:
    write(tmp_path, birds(100), MENDED, ("opening: 20 mm", "opening: 60 mm"), name="a.flock.yaml")
    write(tmp_path, ("  perches: 6 m\n", ""), name="b/c.flock.yaml")
    write(tmp_path, ("length: 4 m", "length: 4"), name="d.flock.yaml")
    args = ("check", "--format", form, "--standard", "little-hall")
    outs: list[subprocess.CompletedProcess[str]] = []
    for seed in ("1", "2", "2"):
        # A cache of its own for each seed, so that each compiles for itself.
        own = {"PYTHONHASHSEED": seed, "XDG_CACHE_HOME": str(tmp_path / f".cache-{len(outs)}")}
        outs.append(run(*args, cwd=tmp_path, env=own))
    assert {one.returncode for one in outs} == {2}
    assert outs[0].stdout == outs[1].stdout == outs[2].stdout
    assert outs[0].stdout.count("Little flock") == 2


@posix
def test_a_closed_pipe_ends_quietly_with_the_status_of_the_check(tmp_path: Path) -> None:
    for number in range(30):
        write(tmp_path, MENDED, name=f"{number}.flock.yaml")
    piped = shell("$F check | head -n 1", tmp_path)
    assert (piped.returncode, piped.stderr) == (1, "")
    assert piped.stdout.startswith("Little flock")
    shut = shell("$F check --format json | true", tmp_path)
    assert (shut.returncode, shut.stderr) == (1, "")
    listed = shell("$F rules | true; $F schema | true", tmp_path)
    assert listed.stderr == ""


@posix
@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no full device here")
def test_a_full_disk_is_told_in_one_line(tmp_path: Path) -> None:
    write(tmp_path)
    full = shell("$F check >/dev/full", tmp_path)
    assert (full.returncode, full.stderr) == (
        2, "flockcheck: what was to be shown can't be written: there is no room left\n",
    )  # fmt: skip


@posix
def test_closed_streams_end_in_one_line_and_no_traceback(tmp_path: Path) -> None:
    write(tmp_path)
    out = shell("$F check >&-", tmp_path)
    assert (out.returncode, out.stderr) == (
        2, "flockcheck: there is no standard output to write to; use --output\n",
    )  # fmt: skip
    to_file = shell("$F check --output report.txt >&- 2>&-", tmp_path)
    assert to_file.returncode == 0
    assert (tmp_path / "report.txt").read_text().startswith("Little flock")
    nothing = shell("$F check - <&-", tmp_path)
    assert nothing.returncode == 2
    assert "Traceback" not in nothing.stdout + nothing.stderr


@posix
def test_a_terminal_that_can_not_show_a_sign_gets_another(tmp_path: Path) -> None:
    write(tmp_path, ("name: Little flock", "name: Höhenweide ½"))
    plain = run("check", cwd=tmp_path, env={"PYTHONIOENCODING": "ascii"})
    assert (plain.returncode, plain.stderr) == (0, "")
    assert plain.stdout.startswith("H?henweide ?: 40 meat chickens")


@posix
def test_a_folder_that_is_gone_is_no_traceback(tmp_path: Path) -> None:
    path = write(tmp_path, name="kept/x.flock.yaml")
    gone = shell(f"mkdir away; cd away; rmdir ../away; $F check {path}; $F check", tmp_path)
    assert "Traceback" not in gone.stderr
    assert gone.stdout.startswith("Little flock")


def test_an_interrupt_is_no_traceback(tmp_path: Path) -> None:
    code = (
        "import flockcheck.checkup.check as c\n"
        "def stop(*args, **options): raise KeyboardInterrupt\n"
        "c.check = stop\n"
        "from flockcheck.__main__ import main\n"
        "import sys; sys.argv = ['flockcheck', 'check']; main()\n"
    )
    write(tmp_path)
    out = subprocess.run(
        [sys.executable, "-c", code],
        cwd=tmp_path,
        env=environment(),
        encoding="utf-8",
        capture_output=True,
        check=False,
    )
    assert out.returncode != 0
    assert "Traceback" not in out.stderr
