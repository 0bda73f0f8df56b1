"""Whatever is given as a setup, a plain message and an exit status come of it, and soon.

Paths that lead to no file, what a folder may hold, and where a report may be sent. What a keeper
may write wrong within a setup is in tests/setup and tests/text.
"""

from __future__ import annotations

import errno
import json
import os
import socket
import stat
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from syrupy.assertion import SnapshotAssertion

from tests.cli.cli_cases import MENDED, SETUP, environment, run, write
from tests.cli.conftest import Flockcheck
from tests.little_cases import BASE

posix = pytest.mark.skipif(os.name != "posix", reason="pipes and devices of another kind here")
MARK = "\ufeff"
ONE_GROUP = (
    "  - {kind: meat chicken, growth: medium, count: 3, hatched: 2027-04-01, out: 2027-05-01}\n"
)
DAYS_OLD = [f"{day} days" for day in range(10_000)]

# What may stand in a file, by what is wrong with it.
FILES: dict[str, bytes] = {
    "nothing": b"",
    "only spaces": b"   \n \n",
    "only comments": b"# one\n# two\n",
    "a picture": b"\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR\x00\x00",
    "an archive": b"PK\x03\x04\x14\x00\x06\x00",
    "bytes of all kinds": bytes(range(1, 256)),
    "UTF-16": BASE.encode("utf-16"),
    "UTF-16 without a mark": BASE.encode("utf-16-be"),
    "UTF-32": BASE.encode("utf-32"),
    "Latin-1": BASE.replace("Little", "H\u00f6hen").encode("latin-1"),
    "half a character": BASE.replace("Little", "\ud800").encode("utf-8", "surrogatepass"),
    "a zero byte at the end": BASE.encode() + b"\0",
    "a page of the web": b"<!DOCTYPE html>\n<html><body>Not found</body></html>\n",
    "a table": b"pen;length;width\n1;4;2.5\n",
    "one word": b"hello",
    "a list": b"- a\n- b\n",
    "more than a megabyte": BASE.encode() + b"# x\n" * 250_000,
    "a megabyte of one letter": b"a" * 1_000_000,
    "a line of a megabyte": b"notes: " + b"a" * 999_000,
    "a name of a megabyte": b"a" * 999_000 + b": 1",
    "brackets within brackets": b"a: " + b"[" * 400_000,
    "dashes within dashes": b"- " * 400_000,
    "keys within keys": b"".join(b" " * deep + b"a:\n" for deep in range(1000)),
    "lists that repeat each other": b"a: &a [x, x]\nb: &b [*a, *a]\nc: [*b, *b]\n",
    "keys from elsewhere": b"a: &a {b: 1}\npen:\n  <<: *a\n",
    "an object": b"a: !!python/object/apply:os.system [ls]\n",
    "fifty thousand keys": b"".join(b"k%d: 1\n" % key for key in range(50_000)),
    "a key fifty thousand times": b"name: x\n" * 50_000,
    "ten thousand groups": b"birds:\n" + ONE_GROUP.encode() * 10_000,
    "ten thousand weighings": BASE.replace(
        "hatched: 2027-04-01",
        "hatched: 2027-04-01\n    weights: " + str(dict.fromkeys(DAYS_OLD, "1 kg")),
    ).encode(),
    "a number of a megabyte": b"pen:\n  length: " + b"9" * 900_000 + b" m\n",
    "a word of a megabyte": b"pen: {length: 4 m, width: 2 m, floor: " + b"x" * 900_000 + b"}\n",
    "another version": BASE.replace("flockcheck: 1", "flockcheck: 2").encode(),
}  # fmt: skip
# What may stand for the length of the pen.
LENGTHS = [
    "nan", "NaN m", ".nan", "inf", ".inf", "-inf m", "1e999", "1e999 m", "0 m", "-4 m", "0.0001 m",
    "3 km", "999999999 m", "9999999999 m", "4", "4 kg", "~", "null", "''", "[4 m]", "{m: 4}",
]  # fmt: skip
DAYS = [
    "2027-02-30", "2027-13-01", "0000-00-00", "1999-12-31", "2100-01-01", "9999-12-31",
    "10000-01-01", "27-05-01", "2027-5-1", "1 May 2027", "2027-05-01T10:00:00", "today",
]  # fmt: skip


@pytest.fixture(autouse=True)
def soon() -> Iterator[None]:
    """Nothing goes on for long: a guard against what never ends, not a measure of speed."""
    begun = time.process_time()
    yield
    assert time.process_time() - begun < 60


def said(result: Any) -> str:
    return " ".join((result.stdout + result.stderr).split())


def timed(flockcheck: Flockcheck, *args: str) -> Any:
    begun = time.process_time()
    result = flockcheck(*args)
    assert time.process_time() - begun < 30
    return result


# --- What stands in a file -----------------------------------------------------------------------


@pytest.mark.parametrize("what", FILES)
def test_a_file_that_holds(
    what: str, flockcheck: Flockcheck, here: Path, snapshot: SnapshotAssertion
) -> None:
    flockcheck("check", "--help")
    (here / SETUP).write_bytes(FILES[what])
    result = timed(flockcheck, "check", SETUP)
    assert (result.exit_code, result.stderr) == (2, "")
    head, verdict, *rest = result.stdout.split("\n\n")
    assert verdict.startswith("CANNOT BE READ.")
    # The first thing to put right, on as many lines as it takes.
    first = rest[0].partition("\n  line ")[0]
    assert [head, " ".join(verdict.split()), " ".join(first.split())] == snapshot
    data = timed(flockcheck, "check", "--format", "json", SETUP)
    assert json.loads(data.stdout)["setups"][0]["verdict"] == "unreadable"


@pytest.mark.parametrize("what", ["with a mark", "with two marks", "with CR alone", "with CR LF"])
def test_a_sound_file_is_read(what: str, flockcheck: Flockcheck, here: Path) -> None:
    text = {
        "with a mark": MARK + BASE,
        "with two marks": MARK * 2 + BASE,
        "with CR alone": BASE.replace("\n", "\r"),
        "with CR LF": BASE.replace("\n", "\r\n"),
    }[what]
    (here / SETUP).write_bytes(text.encode())
    result = flockcheck("check", SETUP)
    assert result.exit_code == 0
    assert result.stdout.startswith("Little flock: ")


@pytest.mark.parametrize("length", LENGTHS)
def test_a_length_that_can_not_be(
    length: str, flockcheck: Flockcheck, here: Path, snapshot: SnapshotAssertion
) -> None:
    write(here, ("length: 4 m", f"length: {length}"))
    result = flockcheck("check", SETUP)
    assert result.exit_code == 2
    assert result.stdout.partition("\n\n  ")[2] == snapshot


@pytest.mark.parametrize("day", DAYS)
def test_a_day_that_can_not_be(
    day: str, flockcheck: Flockcheck, here: Path, snapshot: SnapshotAssertion
) -> None:
    write(here, ("hatched: 2027-04-01", f"hatched: {day}"))
    result = flockcheck("check", SETUP)
    assert result.exit_code == 2
    assert result.stdout.partition("\n\n  ")[2] == snapshot


def test_a_hundred_faults_are_told_and_that_there_are_more(
    flockcheck: Flockcheck, here: Path
) -> None:
    (here / SETUP).write_bytes(FILES["fifty thousand keys"])
    result = flockcheck("check", SETUP)
    assert "CANNOT BE READ. More than 100 things to put right in the file;" in result.stdout
    assert result.stdout.endswith("there is more from here on, which is not listed.\n")


# --- What a path leads to ------------------------------------------------------------------------


@posix
def test_a_pipe_that_nothing_writes_to_is_not_waited_for(
    flockcheck: Flockcheck, here: Path
) -> None:
    os.mkfifo(here / "pipe.flock.yaml")
    write(here)
    for args in (("pipe.flock.yaml",), (".",)):
        result = flockcheck("check", *args)
        assert result.exit_code == 2
        says = "Trouble with pipe.flock.yaml: this is a pipe, and nothing came through it."
        assert says in said(result)
    assert "1 ready, 1 can't be read" in flockcheck("check").stdout


@posix
def test_a_pipe_that_something_writes_to_is_read(flockcheck: Flockcheck, here: Path) -> None:
    os.mkfifo(here / "pipe")
    # Opened both ways, a pipe has a writer from the start.
    both = os.open(here / "pipe", os.O_RDWR)

    def fill() -> None:
        time.sleep(0.5)
        with open(here / "pipe", "w", encoding="utf-8") as file:
            file.write(BASE)
        os.close(both)

    writer = threading.Thread(target=fill)
    writer.start()
    result = flockcheck("check", "pipe")
    writer.join()
    assert result.exit_code == 0
    assert result.stdout.startswith("Little flock")


@posix
@pytest.mark.parametrize("device", ["/dev/null", "/dev/zero", "/dev/random"])
def test_a_device_is_no_setup(device: str, flockcheck: Flockcheck) -> None:
    if not Path(device).is_char_device():
        pytest.skip("there is no such device here")
    result = flockcheck("check", device)
    assert result.exit_code == 2
    assert said(result) == f"Trouble with {device}: this is a device, not a file."


@posix
def test_a_socket_is_no_setup(flockcheck: Flockcheck, here: Path) -> None:
    with socket.socket(socket.AF_UNIX) as one:
        one.bind("x.flock.yaml")
        result = flockcheck("check", "x.flock.yaml")
    assert result.exit_code == 2
    assert "nothing can be read from it or written to it: it is no file." in said(result)


def test_links_that_lead_round_in_a_circle_are_told(flockcheck: Flockcheck, here: Path) -> None:
    (here / "a.flock.yaml").symlink_to("b.flock.yaml")
    (here / "b.flock.yaml").symlink_to("a.flock.yaml")
    result = flockcheck("check", "a.flock.yaml")
    assert result.exit_code == 2
    assert said(result) == "Trouble with a.flock.yaml: this link leads round in a circle."


@pytest.mark.parametrize(
    ("path", "says"),
    [
        ("", 'Trouble with "": there is no such file or folder.'),
        ("x" * 300, "this name is too long."),
        (f"{SETUP}/x", f"Trouble with {SETUP}/x: a file stands where a folder should."),
        ("\n", "there is no such file or folder."),
        ("\x1b[31mred", "Trouble with [31mred: there is no such file or folder."),
    ],
)
def test_a_path_that_leads_nowhere(
    path: str, says: str, flockcheck: Flockcheck, here: Path
) -> None:
    write(here)
    result = flockcheck("check", path)
    assert (result.exit_code, result.stderr) == (2, "")
    assert said(result).endswith(says)
    assert "\x1b" not in result.stdout


def test_a_file_that_is_named_in_two_ways_is_checked_once(
    flockcheck: Flockcheck, here: Path
) -> None:
    write(here)
    (here / "sub").mkdir()
    paths = (SETUP, f"./{SETUP}", f"sub/../{SETUP}", str(here / SETUP), ".")
    result = flockcheck("check", "--format", "json", *paths)
    assert [one["file"] for one in json.loads(result.stdout)["setups"]] == [SETUP]


def refusing(real: Callable[..., Any], part: str, error: OSError) -> Callable[..., Any]:
    """A call that refuses paths with a certain part, as the system does where it must."""

    def call(path: Any = ".", *args: Any, **options: Any) -> Any:
        if isinstance(path, (str, os.PathLike)) and part in os.fspath(path):
            error.filename = os.fspath(path)
            raise error
        return real(path, *args, **options)

    return call


def test_a_folder_that_may_not_be_read_is_told_and_the_others_are_checked(
    flockcheck: Flockcheck, here: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    write(here)
    write(here, name="shut/x.flock.yaml")
    error = PermissionError(errno.EACCES, "Permission denied")
    monkeypatch.setattr(os, "scandir", refusing(os.scandir, "shut", error))
    result = flockcheck("check", ".")
    assert result.exit_code == 2
    assert "Trouble with shut: you may not read it, or write it." in result.stdout
    assert "Little flock" in result.stdout


@pytest.mark.parametrize(
    ("number", "says"),
    [
        (errno.ENOENT, "there is no such file or folder"),
        (errno.EACCES, "you may not read it, or write it"),
        (errno.EIO, "the disk or the network failed"),
        (errno.EMFILE, "too many files are open already"),
        (errno.EISDIR, "this is a folder, not a file"),
        (errno.ETIMEDOUT, "Connection timed out"),
    ],
)
def test_a_file_that_is_gone_or_shut_when_it_is_read_is_told_and_the_others_are_checked(
    number: int, says: str, flockcheck: Flockcheck, here: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    write(here, name="a.flock.yaml")
    write(here, name="b.flock.yaml")
    error = OSError(number, os.strerror(number))
    monkeypatch.setattr(os, "open", refusing(os.open, "a.flock", error))
    result = flockcheck("check", ".")
    assert result.exit_code == 2
    assert f"Trouble with a.flock.yaml: {says}." in result.stdout
    assert result.stdout.endswith("1 ready, 1 can't be read.\n")


def test_a_name_with_codes_for_the_screen_colours_nothing(
    flockcheck: Flockcheck, here: Path
) -> None:
    name = "a\x1b[31m\u202eb\nc.flock.yaml"
    write(here, ("name: Little flock", "notes: x"), MENDED, name=name)
    shown = flockcheck("check").stdout
    assert "\x1b" not in shown
    assert "\u202e" not in shown
    assert "a [31m b c.flock.yaml" in shown
    # Other programs get the name as it is.
    data = json.loads(flockcheck("check", "--format", "json").stdout)
    assert data["setups"][0]["file"] == name


# --- Where it goes -------------------------------------------------------------------------------


def test_data_for_programs_survive_a_screen_of_ascii(tmp_path: Path) -> None:
    write(tmp_path, ("name: Little flock", "name: H\u00f6henweide \U0001f414"))
    wide = run("check", "--format", "json", cwd=tmp_path, env={"PYTHONIOENCODING": "utf-8"})
    for settings in (
        {"PYTHONIOENCODING": "ascii"},
        {"PYTHONIOENCODING": "latin-1"},
        {"LC_ALL": "C", "PYTHONCOERCECLOCALE": "0", "PYTHONUTF8": "0"},
    ):
        plain = run("check", "--format", "json", cwd=tmp_path, env=settings)
        assert json.loads(plain.stdout) == json.loads(wide.stdout)


def test_a_link_to_a_report_stays_a_link(flockcheck: Flockcheck, here: Path) -> None:
    write(here)
    (here / "real.txt").write_text("old")
    (here / "real.txt").chmod(0o640)
    (here / "link.txt").symlink_to("real.txt")
    assert flockcheck("check", SETUP, "--output", "link.txt").exit_code == 0
    assert (here / "link.txt").is_symlink()
    assert (here / "real.txt").read_text().startswith("Little flock")
    assert stat.S_IMODE((here / "real.txt").stat().st_mode) == 0o640


@posix
def test_a_pipe_that_nobody_reads_is_not_waited_for(flockcheck: Flockcheck, here: Path) -> None:
    write(here)
    os.mkfifo(here / "pipe")
    result = flockcheck("check", SETUP, "--output", "pipe")
    assert (result.exit_code, result.stdout) == (2, "")
    assert result.stderr.startswith("flockcheck: pipe can't be written: nothing can be read from")


def test_a_report_that_may_not_be_written_to_is_left_as_it_is(
    flockcheck: Flockcheck, here: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    write(here)
    (here / "report.txt").write_text("old")
    monkeypatch.setattr(os, "access", lambda *args, **options: False)
    result = flockcheck("check", SETUP, "--output", "report.txt")
    assert result.stderr == (
        "flockcheck: report.txt can't be written: you may not read it, or write it\n"
    )
    assert (here / "report.txt").read_text() == "old"


@posix
@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no full device here")
@pytest.mark.parametrize(
    ("command", "status", "says"),
    [
        ("check nowhere 2>/dev/full", 2, ""),
        ("check --formt x 2>/dev/full", 2, ""),
        ("chek 2>/dev/full", 2, ""),
        ("check x.flock.yaml >/dev/full 2>&1", 2, ""),
        ("--help >/dev/full", 2, "what was to be shown can't be written: there is no room left"),
        ("check --help >/dev/full", 2, "what was to be shown can't be written: there is no room"),
        ("--version >/dev/full", 2, "what was to be shown can't be written: there is no room left"),
        ("rules >/dev/full", 2, "what was to be shown can't be written: there is no room left"),
        ("schema >/dev/full", 2, "what was to be shown can't be written: there is no room left"),
        ("--help >&-", 0, ""),
        ("check nowhere 2>&-", 2, ""),
        ("check --formt x 2>&-", 2, ""),
    ],
)
def test_a_full_disk_or_closed_stream_is_no_traceback(
    command: str, status: int, says: str, tmp_path: Path
) -> None:
    write(tmp_path, name="x.flock.yaml")
    done = subprocess.run(
        f"{sys.executable} -m flockcheck {command}",
        shell=True,
        cwd=tmp_path,
        env=environment(),
        capture_output=True,
        encoding="utf-8",
        check=False,
        timeout=60,
    )
    assert done.returncode == status
    assert says in done.stderr
    assert "Traceback" not in done.stdout + done.stderr
    assert "mistake of its own" not in done.stderr


# --- What a rulebook may hold --------------------------------------------------------------------


@posix
def test_a_pipe_among_the_rules_is_not_waited_for(flockcheck: Flockcheck, here: Path) -> None:
    write(here)
    (here / "book" / "yard").mkdir(parents=True)
    os.mkfifo(here / "book" / "yard" / "pipe.yaml")
    result = flockcheck("check", SETUP, "--rulebook", "book")
    assert result.exit_code == 2
    assert "this folder holds no rule, table, levers or sources" in result.stderr


@pytest.mark.parametrize(
    ("data", "says"),
    [
        (b"x" * 1_000_001, "the file is longer than 1 MB"),
        (b"\xff\xfe", "the file is saved as UTF-16"),
        (b"", "nothing is written in the file"),
        (b"[" * 5000, "lists lie within lists here, hundreds of levels deep"),
    ],
)
def test_a_rule_that_can_not_be_read_is_told(
    data: bytes, says: str, flockcheck: Flockcheck, here: Path
) -> None:
    write(here)
    (here / "book" / "yard").mkdir(parents=True)
    (here / "book" / "yard" / "rule.yaml").write_bytes(data)
    result = flockcheck("check", SETUP, "--rulebook", "book")
    assert (result.exit_code, result.stdout) == (2, "")
    assert f"  yard/rule.yaml, line 1: {says}" in result.stderr


def test_names_in_a_rulebook_that_are_no_text_are_no_traceback(
    flockcheck: Flockcheck, here: Path
) -> None:
    write(here)
    book = os.fsdecode(b"b\xe9ok")
    try:
        (here / book / "yard").mkdir(parents=True)
        (here / book / "yard" / os.fsdecode(b"r\xe9gle.yaml")).write_text("rule: [")
    except (OSError, UnicodeError):
        pytest.skip("names here are always text")
    result = flockcheck("check", SETUP, "--rulebook", book)
    assert result.exit_code == 2
    assert "line 1: the file ends inside a bracket" in result.stderr
