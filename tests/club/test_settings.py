"""`club.yaml`: what it takes, and what is wrong with it and at which line."""

from __future__ import annotations

import json
import os
import re
from pathlib import Path

import pytest
from jsonschema import Draft202012Validator

from flockcheck.club.settings import (
    ClubError,
    club_schema,
    code_in,
    general_key,
    read_club,
    unknown_names,
)
from flockcheck.setup.form import schema
from tests.club.club_cases import club, faults
from tests.little_cases import little

WHOLE = """\
name: Larch Fold keepers
standards: [little-hall]
least: watch
predators: [fox, mink]
weather:
  gust: 20 m/s
  rain: yes
  periods:
    - {from: 2027-05-20, to: 2027-05-25, day_high: 33 C}
requires: [pen.weight, drinkers.holds, mesh]
accepting: {longest: 3 weeks, never: [lamp-loose]}
left_out: [templates, old/2025]
"""


def test_a_whole_file_is_read_in_base_units() -> None:
    found = club(WHOLE, "/srv/club")
    assert (found.file, found.folder, found.name) == (
        "club.yaml",
        "/srv/club",
        "Larch Fold keepers",
    )
    assert (found.least, found.longest) == ("watch", 21)
    assert (found.standards, found.never) == ({"little-hall": 3}, {"lamp-loose": 12})
    assert found.requires == ("pen.weight", "drinkers.*.holds", "mesh")
    assert found.left_out == (os.path.normpath("/srv/club/templates"), "/srv/club/old/2025")
    assert found.given.values["predators"].value == ("fox", "mink")
    assert found.given.values["weather.gust"].value == 20
    assert found.given.values["weather.gust"].start.line == 7
    assert found.given.lists == {"weather.periods": 1}


def test_the_version_alone_is_a_whole_file() -> None:
    found = club("")
    assert (found.least, found.longest, found.requires, found.given.values) == ("", None, (), {})


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("name: x\n", ["1: `club` is missing"]),
        ("club: 2\n", ["1: `2` does not fit; it takes 1"]),
        ("club: 1\nlest: mend\n", ["2: there is no such key; did you mean `least`?"]),
        ("club: 1\nleast: mind\n", ["2: `mind` does not fit; did you mean `mend`?"]),
        ("club: 1\nstandards: little-hall\n", ["2: `little-hall` does not fit; it takes a list"]),
        ("club: 1\npredators: [foxe]\n",
         ["2: `predators`: `foxe` is not a word for this; did you mean `fox`?"]),
        ("club: 1\nweather: {gust: 20}\n", ["2: `gust`: `20` has no unit; it takes 20 mph, "
                                            "20 m/s or 20 km/h"]),
        ("club: 1\nweather: {gusts: 20 m/s}\n",
         ["2: there is no key `gusts`; did you mean `gust`?"]),
        ("club: 1\nrequires:\n  - pen.wieght\n",
         ["3: a setup has no key `pen.wieght`; did you mean `pen.weight`?"]),
        ("club: 1\naccepting: {longest: 30}\n", ["2: `longest`: `30` has no unit; "
                                                 "it takes 30 days"]),
        ("club: 1\nname: a\nname: b\n",
         ["3: `name` stands here a second time (first in line 2). Keep one"]),
        ("club: 1\na: &a [x]\nb: *a\n", ["2:", "3:"]),
        ("club: !!python/object/apply:os.system [ls]\n", ["1:"]),
        ("- club\n", ["1: the file holds no keys"]),
        ("", ["1:"]),
    ],
)  # fmt: skip
def test_what_is_wrong_is_told_in_plain_words_with_its_line(text: str, says: list[str]) -> None:
    found = faults(text)
    assert len(found) == len(says), found
    for told, start in zip(found, says, strict=True):
        assert told.startswith(start), told


def test_all_faults_are_told_at_once_in_the_order_of_the_file() -> None:
    found = faults("club: 1\nleast: x\nrequires: [pen.wide]\nweather: {gust: 20}\nlast: 1\n")
    assert [one[0] for one in found] == ["2", "4", "5"]


@pytest.mark.parametrize(
    ("folder", "says"),
    [
        ("..", "leads out of the club's folder"),
        ("rules/../../other", "leads out of the club's folder"),
        ("/etc", "is a whole path"),
        ("C:/rules", "is a whole path"),
        ("\\\\host\\rules", "is a whole path"),
        (".", "is the club's whole folder"),
        ("nosuch", "is no folder here"),
        ("out", "is a link that leads out of the club's folder"),
        ("deep/out", "is a link that leads out of the club's folder"),
        ("gone", "is a link that leads out of the club's folder"),
    ],
)
def test_a_rulebook_folder_outside_the_club_is_refused(
    tmp_path: Path, folder: str, says: str
) -> None:
    home = tmp_path / "club"
    (home / "deep").mkdir(parents=True)
    (tmp_path / "other").mkdir()
    (home / "out").symlink_to(tmp_path / "other")
    (home / "deep" / "out").symlink_to("../../other")
    (home / "gone").symlink_to("../nowhere")
    (told,) = faults(f"club: 1\nrulebooks:\n  - {folder!r}\n", home)
    assert told.startswith("3: ")
    assert says in told
    if folder != "nosuch":
        assert says in faults(f"club: 1\nleft_out:\n  - {folder!r}\n", home)[0]


def test_a_link_to_a_rulebook_within_the_club_is_followed(tmp_path: Path) -> None:
    (tmp_path / "rules").mkdir()
    (tmp_path / "link").symlink_to("rules")
    assert club("rulebooks: [link]", str(tmp_path)).rulebooks == (str(tmp_path / "link"),)


def test_code_in_a_rulebook_folder_is_found_and_hidden_folders_are_not_searched(
    tmp_path: Path,
) -> None:
    for name in ("a.py", "deep/er/B.SO", "room/tight.yaml", "README.md", ".git/hooks/x.sh"):
        (tmp_path / name).parent.mkdir(parents=True, exist_ok=True)
        (tmp_path / name).touch()
    assert code_in(str(tmp_path)) == ["a.py", "deep/er/B.SO"]


def test_names_that_only_the_rulebook_knows_are_told_with_their_lines() -> None:
    found = unknown_names(
        club("standards: [little-hal]\naccepting: {never: [tight, lamp-lose]}"), little()
    )
    assert [(one.line, one.says) for one in found] == [
        (2, "there is no standard `little-hal`; did you mean `little-hall`?"),
        (3, "there is no rule `lamp-lose`; did you mean `lamp-loose`?"),
    ]


def test_a_file_that_is_a_link_out_or_no_file_is_refused(tmp_path: Path) -> None:
    home = tmp_path / "club"
    home.mkdir()
    (tmp_path / "other.yaml").write_text("club: 1\n")
    (home / "club.yaml").symlink_to("../other.yaml")
    with pytest.raises(ClubError, match="it is a link that leads elsewhere"):
        read_club(str(home / "club.yaml"))
    (home / "club.yaml").unlink()
    (home / "club.yaml").mkdir()
    with pytest.raises(ClubError, match="this is a folder, not a file"):
        read_club(str(home / "club.yaml"))


def test_a_file_of_more_than_a_megabyte_is_refused(tmp_path: Path) -> None:
    (tmp_path / "club.yaml").write_text("club: 1\n" + "# x\n" * 300_000)
    with pytest.raises(ClubError, match="longer than 1 MB"):
        read_club(str(tmp_path / "club.yaml"))


@pytest.mark.parametrize(
    ("key", "found"),
    [
        ("pen.weight", "pen.weight"),
        ("drinkers.holds", "drinkers.*.holds"),
        ("birds.weights", "birds.*.weights"),
        ("weather.periods.gust", "weather.periods.*.gust"),
        ("predators", "predators"),
        ("pen", "pen"),
        ("pen.nosuch", ""),
    ],
)
def test_a_key_of_a_list_means_every_entry(key: str, found: str) -> None:
    assert general_key(key) == found


def test_the_schema_is_valid_and_takes_what_an_editor_reads() -> None:
    Draft202012Validator.check_schema(club_schema())
    judge = Draft202012Validator(club_schema())
    whole = {"club": 1, "least": "watch", "predators": ["fox"], "weather": {"gust": "20 m/s"},
             "accepting": {"longest": "30 days"}}  # fmt: skip
    assert list(judge.iter_errors(whole)) == []
    assert [error.json_path for error in judge.iter_errors({**whole, "least": "x"})] == ["$.least"]


def test_what_a_club_gives_has_the_form_it_has_in_a_setup() -> None:
    ours, theirs = club_schema()["$defs"], schema()["$defs"]
    shared = sorted(set(ours) & set(theirs))
    assert {"weather", "period", "predator", "time"} <= set(shared)
    assert {name: ours[name] for name in shared} == {name: theirs[name] for name in shared}
    wanted = re.findall(r"#/\$defs/(\w+)", json.dumps(club_schema()))
    assert set(wanted) == set(ours)
