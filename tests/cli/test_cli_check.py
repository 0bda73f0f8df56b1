"""`flockcheck check`: what it reads, what it prints, and with which status it ends."""

from __future__ import annotations

import json
import os
import re
import shutil
import stat
from pathlib import Path

import pytest
from click.testing import Result

from tests.cli.cli_cases import BARE, MENDED, SETUP, TIPPED, WATCHED, write
from tests.cli.conftest import Flockcheck
from tests.little_cases import BASE, CLUB, birds

NO_DATE = "is not a date; write year-month-day, such as 2027-04-20, or today"
COLOUR = re.compile(r"\x1b\[[0-9;]*m")


def files_of(result: Result) -> list[str]:
    return [one["file"] for one in json.loads(result.stdout)["setups"]]


def test_the_help_names_every_format_that_there_is(flockcheck: Flockcheck) -> None:
    told = " ".join(flockcheck("check", "--help").stdout.split())
    said = flockcheck("check", "--format", "parchment").output.partition("there are ")[2]
    named = told.partition("One of ")[2].partition(", or what")[0].replace(" and ", ", ")
    assert sorted(named.split(", ")) == said.strip().split(", ")


# --- the exit status


@pytest.mark.parametrize(
    ("changes", "options", "status"),
    [
        ([], [], 0),
        ([], ["--least", "tip"], 0),
        ([MENDED], [], 1),
        ([MENDED], ["--least", "stop"], 0),
        ([("lamp_supports: 2", "lamp_supports: 1")], ["--least", "stop"], 1),
        ([WATCHED], [], 0),
        ([WATCHED], ["--least", "watch"], 1),
        ([TIPPED], ["--least", "watch"], 0),
        ([TIPPED], ["--least", "tip"], 1),
        ([birds(60)], ["--standard", "little-hall"], 1),
        ([], ["--standard", "little-hall"], 1),
        ([], ["--standard", "little-perch"], 0),
        ([birds(20)], ["--standard", "little-hall", "--standard", "little-perch"], 0),
        ([birds(20), ("  perches: 6 m\n", "")], ["--standard", "little-perch"], 0),
        ([MENDED], ["--on", "2027-06-01"], 0),
        ([MENDED], ["--on", "2027-05-31"], 1),
        ([MENDED], ["--on", "today"], None),
    ],
)
def test_the_status_tells_whether_something_is_as_bad_as_asked(
    flockcheck: Flockcheck,
    here: Path,
    changes: list[tuple[str, str]],
    options: list[str],
    status: int | None,
) -> None:
    write(here, *changes)
    result = flockcheck("check", SETUP, *options)
    assert result.exit_code in ((0, 1) if status is None else (status,))
    assert result.stderr == ""


def test_too_little_written_fails_only_where_asked(flockcheck: Flockcheck, here: Path) -> None:
    (here / "bare.flock.yaml").write_text(BARE)
    assert flockcheck("check").exit_code == 0
    assert flockcheck("check", "--unchecked-fails").exit_code == 1


def test_accepted_findings_do_not_count(flockcheck: Flockcheck, here: Path) -> None:
    accepted = "accepted: [{rule: words, because: so it is, until: 2027-05-31}]\ncare:"
    write(here, MENDED, ("care:", accepted))
    assert flockcheck("check").exit_code == 0
    write(here, MENDED, ("care:", accepted.replace("05-31", "05-30")))
    assert flockcheck("check").exit_code == 1


@pytest.mark.parametrize(
    ("args", "says"),
    [
        (["nosuch.flock.yaml"], "nosuch.flock.yaml: there is no such file or folder."),
        (["empty"], "empty: no setup is in it; a setup's name ends in .flock.yaml."),
        (["broken.flock.yaml"], "CANNOT BE READ. 1 thing to put right in the file"),
        (["link.flock.yaml"], "link.flock.yaml: this link leads nowhere."),
    ],
)
def test_what_can_not_be_read_is_named_and_outranks_what_is_found(
    flockcheck: Flockcheck, here: Path, args: list[str], says: str
) -> None:
    write(here, MENDED)
    (here / "empty").mkdir()
    (here / "broken.flock.yaml").write_text(BASE.replace("4 m", "4", 1))
    (here / "link.flock.yaml").symlink_to("nowhere")
    result = flockcheck("check", SETUP, *args)
    assert result.exit_code == 2
    assert says in " ".join(result.stdout.split())
    assert "The latches are simple" in result.stdout


@pytest.mark.parametrize(
    ("args", "says"),
    [
        (["--format", "jsn"], "there is no format `jsn`; did you mean `json`?"),
        (["--format", "parchment"],
         "there is no format `parchment`; there are json, jsonl, margin, sarif, text"),
        (["--standard", "little-hal"],
         "there is no standard `little-hal`; did you mean `little-hall`?"),
        (["--standard", "parish"],
         "there is no standard `parish`; there are little-hall, little-perch"),
        (["--on", "yesterday"], f"`yesterday` {NO_DATE}"),
        (["--on", "2027-02-30"], f"`2027-02-30` {NO_DATE}"),
        (["--rulebook", "nosuch"], "nosuch: there is no such file or folder"),
        (["--rulebook", SETUP], f"{SETUP}: a file stands where a folder should"),
        (["--output", "no/such/place"],
         "no/such/place can't be written: there is no folder no/such; make it first"),
        (["--output", "folder"], "folder can't be written: this is a folder, not a file"),
    ],
)  # fmt: skip
def test_wrong_use_is_told_in_one_line(
    flockcheck: Flockcheck, here: Path, args: list[str], says: str
) -> None:
    write(here)
    (here / "folder").mkdir()
    result = flockcheck("check", SETUP, *args)
    assert (result.exit_code, result.stdout, result.stderr) == (2, "", f"flockcheck: {says}\n")


@pytest.mark.parametrize(
    ("args", "says"),
    [
        (["check", "--least", "dire"], "'dire' is not one of 'stop', 'mend', 'watch', 'tip'"),
        (["check", "--units", "roods"], "'roods' is not one of 'us', 'metric', 'written'"),
        (["check", "--colour", "pink"], "'pink' is not one of"),
        (["check", "--lesat", "mend"], "--least"),
        (["chek"], "there is no command `chek`; did you mean `check`?"),
        (["hatch"], "there is no command `hatch`; they are check, "),
    ],
)
def test_an_unknown_word_gets_the_right_ones(
    flockcheck: Flockcheck, args: list[str], says: str
) -> None:
    result = flockcheck(*args)
    assert result.exit_code == 2
    assert says in result.stderr


# --- what is read


def test_without_a_path_the_setups_here_and_below_are_checked(
    flockcheck: Flockcheck, here: Path
) -> None:
    for name in ("b/two.flock.yaml", "flock.yaml", "a/one.flock.yaml", "a/deep/er/flock.yaml"):
        write(here, name=name)
    for name in (".hidden/x.flock.yaml", ".x.flock.yaml", "a/note.yaml", "a/flock.yaml.orig"):
        write(here, name=name)
    result = flockcheck("check", "--format", "json")
    assert files_of(result) == [
        "a/deep/er/flock.yaml", "a/one.flock.yaml", "b/two.flock.yaml", "flock.yaml",
    ]  # fmt: skip
    assert json.loads(result.stdout)["problems"] == []


def test_setups_come_in_the_order_of_their_names_each_once(
    flockcheck: Flockcheck, here: Path
) -> None:
    for name in ("b.flock.yaml", "a.flock.yaml", "c/d.flock.yaml"):
        write(here, name=name)
    result = flockcheck("check", "--format", "json", "c", "b.flock.yaml", ".", "a.flock.yaml")
    assert files_of(result) == ["a.flock.yaml", "b.flock.yaml", "c/d.flock.yaml"]


def test_a_hidden_folder_is_read_where_it_is_asked_for(flockcheck: Flockcheck, here: Path) -> None:
    write(here, name=".hidden/x.flock.yaml")
    assert files_of(flockcheck("check", "--format", "json", ".hidden")) == [".hidden/x.flock.yaml"]


def test_a_broken_link_in_a_folder_is_told_and_the_others_are_checked(
    flockcheck: Flockcheck, here: Path
) -> None:
    write(here)
    (here / "gone.flock.yaml").symlink_to(here / "nowhere")
    (here / "loop").symlink_to(here)
    result = flockcheck("check", "--format", "json")
    assert result.exit_code == 2
    assert files_of(result) == [SETUP]
    assert json.loads(result.stdout)["problems"] == [
        {"about": "gone.flock.yaml", "says": "this link leads nowhere"}
    ]


def test_a_folder_without_setups_says_so(flockcheck: Flockcheck, here: Path) -> None:
    result = flockcheck("check")
    assert result.exit_code == 2
    assert result.stdout == (
        "Trouble with this folder: no setup is in it; a setup's name ends in .flock.yaml.\n"
    )


@pytest.mark.skipif(not hasattr(os, "geteuid") or os.geteuid() == 0, reason="root may read all")
def test_a_folder_without_leave_is_told_and_the_others_are_read(
    flockcheck: Flockcheck, here: Path
) -> None:
    write(here)
    write(here, name="shut/x.flock.yaml")
    (here / "shut").chmod(0)
    result = flockcheck("check", "--format", "json")
    (here / "shut").chmod(0o700)
    assert result.exit_code == 2
    assert files_of(result) == [SETUP]


def test_standard_input_is_read_for_a_dash(flockcheck: Flockcheck) -> None:
    result = flockcheck("check", "-", text=BASE)
    assert (result.exit_code, result.stdout[:12]) == (0, "Little flock")
    nameless = flockcheck("check", "-", text=BARE)
    assert nameless.stdout.startswith("standard input: 40 meat chickens")
    assert files_of(flockcheck("check", "-", "--format", "json", text=BASE)) == ["-"]


@pytest.mark.parametrize("data", [b"", b"\xff\xfe", b"a: \xff\n", b"\x00", b"[" * 5000, b"a: 1\n"])
def test_any_standard_input_is_read_or_refused_in_plain_words(
    flockcheck: Flockcheck, data: bytes
) -> None:
    result = flockcheck("check", "-", text=data)
    assert result.exit_code == 2
    assert result.stdout.startswith("standard input\n\nCANNOT BE READ.")


def test_a_name_that_is_no_text_is_shown_as_far_as_it_can_be(
    flockcheck: Flockcheck, here: Path
) -> None:
    name = os.fsdecode(b"caf\xe9.flock.yaml")
    try:
        write(here, name=name)
    except (OSError, UnicodeError):
        pytest.skip("names here are always text")
    result = flockcheck("check", "--format", "json", "--output", "out.json")
    assert result.exit_code == 0
    (one,) = json.loads((here / "out.json").read_text(encoding="utf-8"))["setups"]
    assert re.fullmatch(r"caf.+\.flock\.yaml", one["file"])


# --- more rules, units, where it goes


def test_a_rulebook_on_top_is_asked_too(flockcheck: Flockcheck, here: Path) -> None:
    write(here, birds(60))
    result = flockcheck("check", "--rulebook", str(CLUB))
    assert result.exit_code == 1
    assert "The club allows fewer birds" in result.stdout
    assert "The Little Club, Minutes of the spring meeting (2026), item 4." in result.stdout
    twice = flockcheck("check", "--rulebook", str(CLUB), "--rulebook", f"{CLUB}/.")
    assert twice.stdout == result.stdout


def test_two_rulebooks_of_one_name_are_told_apart(flockcheck: Flockcheck, here: Path) -> None:
    write(here)
    other = here / "other" / "club_book"
    shutil.copytree(CLUB, other)
    rule = other / "house" / "members-met.yaml"
    rule.rename(rule.with_name("members-left.yaml"))
    clash = flockcheck("check", "--rulebook", str(CLUB), "--rulebook", str(other))
    assert clash.exit_code == 2
    assert clash.stderr.splitlines()[0] == "flockcheck: the rulebook club_book' can't be used:"


def test_a_spoiled_rulebook_is_told_line_by_line(flockcheck: Flockcheck, here: Path) -> None:
    write(here)
    shutil.copytree(CLUB, here / "club_book")
    rule = here / "club_book" / "house" / "members-met.yaml"
    rule.write_text(rule.read_text().replace("birds_present\n", "birds_presents\n"))
    (here / "club_book" / "stray.yaml").write_text("a: 1\n")
    result = flockcheck("check", "--rulebook", "club_book")
    assert result.exit_code == 2
    assert result.stderr == (
        "flockcheck: the rulebook club_book can't be used:\n"
        "  house/members-met.yaml, line 4, measure: `birds_presents` is no measure and no key of "
        "the setup; did you mean `birds_present`?\n"
        "  stray.yaml, line 1: no file of this name belongs here; rules lie in folders named for "
        "their topic, tables in `tables`\n"
    )


def test_a_folder_that_is_no_rulebook_is_told(flockcheck: Flockcheck, here: Path) -> None:
    write(here)
    (here / "nothing").mkdir()
    result = flockcheck("check", "--rulebook", "nothing")
    assert result.stderr == (
        "flockcheck: the rulebook nothing can't be used:\n"
        "  this folder holds no rule, table, levers or sources\n"
    )


def test_units_change_what_is_shown(flockcheck: Flockcheck, here: Path) -> None:
    write(here, birds(100))
    shown = {units: flockcheck("check", "--units", units).stdout for units in ("us", "metric")}
    assert "weigh 6.14 lb/sq ft" in shown["us"]
    assert "weigh 30 kg/m2" in shown["metric"]
    assert flockcheck("check").stdout == shown["metric"]


def test_a_report_goes_to_a_file_and_nowhere_else(flockcheck: Flockcheck, here: Path) -> None:
    write(here)
    printed = flockcheck("check", SETUP).stdout
    result = flockcheck("check", SETUP, "--output", "report.txt")
    assert (result.exit_code, result.stdout, result.stderr) == (0, "", "")
    assert (here / "report.txt").read_text(encoding="utf-8") == printed
    mask = os.umask(0)
    os.umask(mask)
    assert stat.S_IMODE((here / "report.txt").stat().st_mode) == 0o666 & ~mask
    assert sorted(path.name for path in here.iterdir()) == [SETUP, "report.txt"]
    assert flockcheck("check", SETUP, "--output", "-").stdout == printed


def test_a_file_that_can_not_be_written_leaves_what_was_there(
    flockcheck: Flockcheck, here: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    write(here)
    (here / "report.txt").write_text("old")

    def full(*args: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "replace", full)
    result = flockcheck("check", SETUP, "--output", "report.txt")
    assert result.stderr == "flockcheck: report.txt can't be written: there is no room left\n"
    assert (here / "report.txt").read_text() == "old"
    assert sorted(path.name for path in here.iterdir()) == [SETUP, "report.txt"]


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no full device here")
def test_a_full_device_is_told(flockcheck: Flockcheck, here: Path) -> None:
    write(here)
    result = flockcheck("check", SETUP, "--output", "/dev/full")
    assert result.exit_code == 2
    assert result.stderr == "flockcheck: /dev/full can't be written: there is no room left\n"


# --- colour


def test_colour_changes_no_word(flockcheck: Flockcheck, here: Path) -> None:
    write(here, MENDED)
    plain = flockcheck("check", "--colour", "never").stdout
    colours = flockcheck("check", "--colour", "always").stdout
    assert colours != plain
    assert COLOUR.sub("", colours) == plain


@pytest.mark.parametrize("value", ["1", "yes"])
def test_no_colour_goes_to_a_log_or_where_it_is_not_wanted(
    flockcheck: Flockcheck, here: Path, monkeypatch: pytest.MonkeyPatch, value: str
) -> None:
    write(here, MENDED)
    assert "\x1b" not in flockcheck("check").stdout
    monkeypatch.setattr("flockcheck.cli.check._at_terminal", lambda: True)
    assert "\x1b" in flockcheck("check").stdout
    monkeypatch.setenv("NO_COLOR", value)
    assert "\x1b" not in flockcheck("check").stdout
    assert "\x1b" in flockcheck("check", "--colour", "always").stdout


def test_an_empty_no_color_means_nothing(
    flockcheck: Flockcheck, here: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    write(here, MENDED)
    monkeypatch.setattr("flockcheck.cli.check._at_terminal", lambda: True)
    monkeypatch.setenv("NO_COLOR", "")
    assert "\x1b" in flockcheck("check").stdout


def test_colour_never_gets_into_a_file_or_into_json(
    flockcheck: Flockcheck, here: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    write(here, MENDED)
    monkeypatch.setattr("flockcheck.cli.check._at_terminal", lambda: True)
    flockcheck("check", "--output", "report.txt")
    assert "\x1b" not in (here / "report.txt").read_text()
    assert "\x1b" not in flockcheck("check", "--format", "json", "--colour", "always").stdout


def test_a_narrow_terminal_gets_short_lines(
    flockcheck: Flockcheck, here: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    write(here, MENDED)
    monkeypatch.setattr("flockcheck.cli.check._at_terminal", lambda: True)
    monkeypatch.setenv("COLUMNS", "44")
    monkeypatch.setenv("NO_COLOR", "1")
    assert max(map(len, flockcheck("check").stdout.splitlines())) <= 44
