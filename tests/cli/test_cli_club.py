"""`flockcheck club`: each number in each form, counted again from what a check says."""

from __future__ import annotations

import csv
import io
import json
import re
import shutil
import sys
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner
from jsonschema import Draft202012Validator
from syrupy.assertion import SnapshotAssertion

from flockcheck.checkup.wording import day_words
from flockcheck.cli import cli
from tests.cli.cli_cases import MENDED, TIPPED, WATCHED, run, write
from tests.cli.conftest import Flockcheck
from tests.club.recount_cases import BAD, GRADES, recount, sections, told
from tests.little_cases import ROOT, birds

SCHEMA = json.loads(
    (ROOT / "src/flockcheck/reports/clubreport.schema.json").read_text(encoding="utf-8")
)
WIDE = ("opening: 20 mm", "opening: 30 mm")
NO_MESH = ("mesh: {opening: 20 mm, skirt: 30 cm}\n", "")
KNOWN = (
    "care:",
    "accepted: [{rule: gets-in, because: the dog sleeps there, until: 2027-05-20}]\ncare:",
)
LAST_YEAR = tuple(
    (f"{key}: 2027-{day}", f"{key}: 2026-{day}")
    for key, day in (
        ("heat_off", "04-24"), ("hatched", "04-01"), ("out", "05-01"), ("leaves", "05-31"),
    )
)  # fmt: skip
CLUB = """club: 1
name: Three Becks poultry keepers
predators: [rat]
standards: [little-hall]
requires: [mesh.wire]
accepting: {longest: 14 days}
left_out: [templates]
"""
SOME = ("--on", "2027-05-16")


def make(folder: Path) -> None:
    """A club in which something of everything is found."""
    folder.joinpath("club.yaml").write_text(CLUB, encoding="utf-8")
    for name, changes in {
        "alder/flock": (WIDE, MENDED),
        "birch": (WIDE, birds(80)),
        "cairn": (KNOWN, WIDE),
        "dell": (NO_MESH, ("  perches: 6 m\n", "")),
        "elm": (WATCHED,),
        "fern": (TIPPED, birds(80)),
        "gorse": (("    leaves: 2027-05-31\n", ""),),
        "heath": LAST_YEAR,
        "ivy": (("length: 4 m", "length: 4"),),
    }.items():  # fmt: skip
        file = f"{name}.yaml" if "/" in name else f"{name}.flock.yaml"
        write(folder, *changes, ("name: Little flock", f"name: At {name[:5]}"),
              name=f"members/{file}")  # fmt: skip
    write(folder, name="templates/ours.flock.yaml")


@pytest.fixture
def club(here: Path) -> Path:
    make(here)
    return here


def data_of(flockcheck: Flockcheck, *args: str) -> dict[str, Any]:
    result = flockcheck("club", "--format", "json", *args)
    data: dict[str, Any] = json.loads(result.stdout)
    assert list(Draft202012Validator(SCHEMA).iter_errors(data)) == []
    return data


def checked(flockcheck: Flockcheck, *args: str) -> dict[str, Any]:
    found: dict[str, Any] = json.loads(flockcheck("check", "--format", "json", *args).stdout)
    return found


def test_the_text_says_how_the_club_stands(
    flockcheck: Flockcheck, club: Path, snapshot: SnapshotAssertion
) -> None:
    result = flockcheck("club", *SOME)
    assert result.exit_code == 2
    assert result.stdout == snapshot
    assert max(map(len, result.stdout.splitlines())) <= 80


def test_csv_has_a_row_a_member(
    flockcheck: Flockcheck, club: Path, snapshot: SnapshotAssertion
) -> None:
    result = flockcheck("club", "--format", "csv", *SOME)
    assert result.exit_code == 2
    assert result.stdout == snapshot


@pytest.mark.parametrize("on", ["", "2027-05-16", "2027-06-20"])
def test_json_is_what_a_check_of_the_same_folder_comes_to(
    flockcheck: Flockcheck, club: Path, on: str
) -> None:
    args = ("--on", on) if on else ()
    found = told(data_of(flockcheck, *args))
    assert found == recount(checked(flockcheck, *args), on)
    assert found["setups"] == sum(found["verdicts"].values()) == 9
    if not on:
        assert all(found.values())


def test_every_number_in_the_text_is_what_a_check_comes_to(
    flockcheck: Flockcheck, club: Path
) -> None:
    counted = recount(checked(flockcheck, *SOME), SOME[1])
    compare(flockcheck("club", *SOME).stdout, counted)


def compare(text: str, counted: dict[str, Any]) -> None:
    """Hold a club's text against what was counted from a check of the same folder."""
    parts = sections(text)
    (total,) = [one for one in parts[""] if re.match(r"\d+ setups?:", one)]
    assert numbers(total) == said_verdicts(counted)
    not_ready = parts.get("Not ready", [])
    assert rows_meant(not_ready) == counted["verdicts"]["not ready"]
    assert rows_meant(parts.get("Can't be read", [])) == counted["verdicts"]["unreadable"]
    days = parts.get("Ready until a day", [])
    together = list(dict.fromkeys((day, *rules) for day, _, _, rules, _ in counted["calendar"]))
    assert rows_meant(days) == len(together)
    said = [row for row in days if not row.startswith("and ")]
    for row, (day, *_) in zip(said, together, strict=False):
        assert row.startswith(words_of(day))
    assert len(counted["calendar"]) == counted["verdicts"]["ready until"]
    for row in shown(parts, "Found most often, what stops or wants mending first"):
        compare_finding(row, counted["findings"])
    for row in shown(parts, "Predators without an answer"):
        compare_predator(row, counted["predators"])
    risks = parts.get("Risks accepted, the soonest to end first", [])
    assert rows_meant(risks) == len(counted["accepted"])
    for row, risk in zip(risks[:10], counted["accepted"], strict=False):
        assert row.startswith(words_of(risk[0]))
        assert f"({risk[2]})" in row
        assert risk[3] in row
        assert ("(past)" in row) == risk[5]
    for row in shown(parts, "Most often not checked, or only in part"):
        setups, rule = parts_of(r"(\d+) setups? .*\((.*)\)$", row)
        assert int(setups) == counted["not_checked"][rule][0]
    for row in shown(parts, "What to ask members to measure"):
        key, questions, setups = parts_of(r"(\S+) +(\d+) questions? in (\d+) setups?", row)
        assert (int(questions), int(setups)) == counted["keys"][key][::2]
    for row in shown(parts, "Standards asked for"):
        name, met, unmet, left = parts_of(
            r"(\S+) +met by (\d+), not met by (\d+).*not checked in full for (\d+)$", row
        )
        own = counted["standards"][name]
        assert (int(met), int(unmet), int(left)) == (own["met"], own["not_met"], own["open"])
    for row in shown(parts, "Required by the club, and not written"):
        key, setups = parts_of(r"(\S+) +(\d+) setups?", row)
        assert int(setups) == counted["required"][key]


def compare_finding(row: str, counted: dict[str, Any]) -> None:
    setups, rule, said = parts_of(r"(\d+) setups? .*?\(([a-z-]+)\): (.*)$", row)
    words = {"stop": "to stop for", "mend": "to mend", "watch": "to watch", "tip": "a tip"}
    there = [grade for grade in GRADES if counted[rule][grade]]
    wanted = ", ".join(f"{words[grade]} in {counted[rule][grade]}" for grade in there)
    assert int(setups) == counted[rule]["setups"]
    assert said == (words[there[0]] if len(there) == 1 else wanted)


def compare_predator(row: str, counted: dict[str, Any]) -> None:
    if row.startswith("Every setup that lists it has an answer"):
        for name in re.findall(r"[a-z]+", row.partition(":")[2]):
            own = counted[name]
            assert not (own["unanswered"] or own["accepted"] or own["unknown"])
        return
    name, open_to, setups = parts_of(r"(\S+) +(\d+) of (\d+) setups?", row)
    assert int(open_to) == len(counted[name]["unanswered"])
    assert int(setups) == counted[name]["setups"]
    for key, words in (("accepted", "accepted by"), ("unknown", "not known of")):
        found = re.search(rf"{words} (\d+):", row)
        assert (int(found[1]) if found else 0) == len(counted[name][key])


def shown(parts: dict[str, list[str]], head: str) -> list[str]:
    """The rows below a head, but for the one that tells of others."""
    return [row for row in parts.get(head, []) if not re.match(r"and \d+ ", row)]


def rows_meant(rows: list[str]) -> int:
    """How many rows there are, with those that are only counted."""
    more = re.match(r"and (\d+) ", rows[-1]) if rows else None
    return len(rows) - 1 + int(more[1]) if more else len(rows)


def parts_of(pattern: str, row: str) -> tuple[str, ...]:
    """What a row has where the pattern has groups."""
    found = re.match(pattern, row)
    assert found is not None, row
    return found.groups()


def numbers(text: str) -> list[int]:
    return [int(number) for number in re.findall(r"\d+", text)]


def said_verdicts(counted: dict[str, Any]) -> list[int]:
    return [counted["setups"], *filter(None, counted["verdicts"].values())]


def words_of(day: str) -> str:
    return day_words(date.fromisoformat(day), year=True)


def test_rows_of_csv_are_what_a_check_says_of_each_member(
    flockcheck: Flockcheck, club: Path
) -> None:
    rows = list(csv.DictReader(io.StringIO(flockcheck("club", "--format", "csv").stdout)))
    setups = checked(flockcheck)["setups"]
    assert [row["file"] for row in rows] == [one["file"] for one in setups]
    for row, one in zip(rows, setups, strict=True):
        assert (row["name"], row["verdict"]) == (one["name"] or "", one["verdict"])
        assert row["ready_until"] == (one["ready_until"] or "")
        assert [int(row[key]) for key in ("asked", "checked", "partly")] == [
            one[key] for key in ("asked", "checked", "partly")
        ]
        assert {grade: int(row[grade]) for grade in GRADES} == one["counts"]
        assert (row["worst_grade"] in BAD) == bool(one["counts"]["stop"] + one["counts"]["mend"])
        assert row["required_not_written"] == "; ".join(one["required"])


@pytest.mark.parametrize(
    ("name", "cell"),
    [
        ("=1+1", "'=1+1"),
        ("+1", "'+1"),
        ("-1", "'-1"),
        ("@SUM(A1)", "'@SUM(A1)"),
        ("\uff1d1", "'\uff1d1"),
        ("plain = so", "plain = so"),
        ("a, b", "a, b"),
    ],
)
def test_a_spreadsheet_has_no_formula_to_run(
    flockcheck: Flockcheck, here: Path, name: str, cell: str
) -> None:
    write(here, ("name: Little flock", f'name: "{name}"'), name="=a.flock.yaml")
    write(here, ("length: 4 m", "length: 4"), name="-b.flock.yaml")
    text = flockcheck("club", "--format", "csv").stdout
    rows = sorted(csv.DictReader(io.StringIO(text)), key=lambda row: row["file"])
    assert [row["file"] for row in rows] == ["'-b.flock.yaml", "'=a.flock.yaml"]
    assert rows[1]["name"] == cell
    assert rows[0]["error"].startswith("line ")


def test_a_day_makes_stays_over_and_risks_past(flockcheck: Flockcheck, club: Path) -> None:
    before, after = data_of(flockcheck), data_of(flockcheck, *SOME)
    assert (before["verdicts"]["over"], after["verdicts"]["over"]) == (0, 1)
    assert [one["past"] for one in before["accepted"]] == [False]
    assert [one["past"] for one in after["accepted"]] == [True]
    assert [one["cut"] for one in after["accepted"]] == ["club"]


def test_a_setup_that_can_not_be_opened_is_counted_and_named(
    flockcheck: Flockcheck, club: Path
) -> None:
    club.joinpath("members", "juniper.flock.yaml").symlink_to("/nowhere/at/all")
    data = data_of(flockcheck)
    assert (data["setups"], data["verdicts"]["unreadable"]) == (10, 2)
    assert [one["about"] for one in data["problems"]] == ["members/juniper.flock.yaml"]
    result = flockcheck("club")
    assert result.exit_code == 2
    assert "Trouble with members/juniper.flock.yaml" in result.stdout


def test_the_base_of_a_clubs_rulebook_is_nobodys_flock(flockcheck: Flockcheck, here: Path) -> None:
    here.joinpath("club.yaml").write_text("club: 1\nrulebooks: [rules]\n", encoding="utf-8")
    shutil.copytree(ROOT / "tests" / "data" / "club_book", here / "rules")
    write(here, name="rules/base.flock.yaml")
    write(here, name="members/a.flock.yaml")
    assert [one["file"] for one in data_of(flockcheck)["members"]] == ["members/a.flock.yaml"]
    assert [one["file"] for one in checked(flockcheck)["setups"]] == ["members/a.flock.yaml"]


def test_a_club_whose_setups_can_all_be_read_ends_well(flockcheck: Flockcheck, here: Path) -> None:
    write(here, WIDE)
    result = flockcheck("club")
    assert (result.exit_code, result.stderr) == (0, "")
    assert result.stdout.startswith("this folder: how the club stands")


def test_an_empty_folder_is_trouble(flockcheck: Flockcheck, here: Path) -> None:
    result = flockcheck("club")
    assert result.exit_code == 2
    assert "no setup is in it" in result.stdout
    assert "No setup." in result.stdout


@pytest.mark.parametrize(
    ("args", "says"),
    [
        (["nowhere"], "nowhere is not there"),
        (["little.flock.yaml"], "is no folder; `flockcheck check` is for a single setup"),
        (["--standard", "little-hal"], "did you mean `little-hall`?"),
        (["--on", "soon"], "is not a date"),
        (["--rulebook", "nowhere"], "nowhere"),
    ],
)
def test_wrong_use_is_told(flockcheck: Flockcheck, here: Path, args: list[str], says: str) -> None:
    write(here)
    result = flockcheck("club", *args)
    assert result.exit_code == 2
    assert says in result.stderr
    assert result.stdout == ""


def test_a_standard_can_be_asked_for(flockcheck: Flockcheck, here: Path) -> None:
    write(here)
    assert data_of(flockcheck)["standards"] == []
    (standard,) = data_of(flockcheck, "--standard", "little-hall")["standards"]
    assert standard["met"] + standard["not_met"] + standard["open"] == 1


def test_it_goes_to_a_file(flockcheck: Flockcheck, club: Path) -> None:
    result = flockcheck("club", "--format", "csv", "--output", "club.csv")
    assert result.stdout == ""
    text = club.joinpath("club.csv").read_text(encoding="utf-8")
    assert len(text.splitlines()) == 10


def test_kept_reports_and_fresh_ones_and_any_hash_seed_give_the_same_bytes(tmp_path: Path) -> None:
    make(tmp_path)
    outs = [
        run("club", "--format", "json", *args, cwd=tmp_path, env={"PYTHONHASHSEED": seed})
        for seed, args in (("1", ()), ("2", ()), ("3", ("--afresh",)))
    ]
    assert {one.returncode for one in outs} == {2}
    assert outs[0].stdout == outs[1].stdout == outs[2].stdout
    assert outs[0].stderr == ""


@pytest.mark.parametrize("folder", ["club", "gone-wrong", "bad", "broken"])
def test_shipped_setups_come_out_as_a_check_of_them_does(
    folder: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    shutil.copytree(ROOT / "fixtures" / folder, tmp_path / folder)
    monkeypatch.chdir(tmp_path)
    for module in [name for name in sys.modules if name.startswith("flockcheck_rules")]:
        monkeypatch.delitem(sys.modules, module)

    def out(*args: str) -> str:
        return CliRunner().invoke(cli, list(args), prog_name="flockcheck").stdout

    counted = recount(json.loads(out("check", "--format", "json", folder)))
    data = json.loads(out("club", "--format", "json", folder))
    assert list(Draft202012Validator(SCHEMA).iter_errors(data)) == []
    assert told(data) == counted
    text = out("club", folder)
    compare(text, counted)
    assert max(map(len, text.splitlines())) <= 80
