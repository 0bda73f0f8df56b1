"""`why`, `days` and `round` of a club's member: the club's settings hold as they do for `check`."""

from __future__ import annotations

import json
import shutil
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator
from syrupy.assertion import SnapshotAssertion

from tests.cli.cli_cases import MENDED, write
from tests.cli.conftest import Flockcheck
from tests.little_cases import CLUB, ROOT, birds

MEMBER = "members/beech.flock.yaml"
SETTINGS = """club: 1
name: Larch Fold keepers
predators: [rat]
weather: {gust: 9 m/s, night_low: 9 C}
rulebooks: [club_book]
accepting: {longest: 10 days, never: [words]}
"""
GIVEN = ["weather.gust", "weather.night_low", "predators.rat"]
SCHEMA = json.loads((ROOT / "src/flockcheck/reports/days.schema.json").read_text("utf-8"))
OWN = [
    birds(100),
    ("night_low: 12 C, ", ""),
    ("[fox, mink]", "[fox]"),
    ("opening: 20 mm", "opening: 30 mm"),
]
EACH = [("why", "gets-in"), ("days",), ("round",)]


def accepting(rule: str) -> tuple[str, str]:
    return ("care:", f"accepted: [{{rule: {rule}, because: so it is, until: 2027-05-31}}]\ncare:")


def line_of(path: Path, start: str) -> int:
    lines = path.read_text(encoding="utf-8").splitlines()
    return next(at for at, line in enumerate(lines, 1) if line.startswith(start))


@pytest.fixture
def member(here: Path) -> Path:
    """A member of a club, with more birds than it allows and a mesh that a rat gets through."""
    (here / "club.yaml").write_text(SETTINGS, encoding="utf-8")
    shutil.copytree(CLUB, here / "club_book")
    return write(here, *OWN, accepting("tight"), name=MEMBER)


def findings(flockcheck: Flockcheck, rule: str) -> list[Any]:
    """What `check` finds by a rule in the member's setup."""
    (setup,) = json.loads(flockcheck("check", MEMBER, "--no-fixes", "--format", "json").stdout)[
        "setups"
    ]
    return [one for one in setup["findings"] if one["rule"] == rule]


def lesson(flockcheck: Flockcheck, rule: str) -> dict[str, Any]:
    result = flockcheck("why", rule, MEMBER, "--format", "json")
    assert result.exit_code == 0, result.stderr
    setup: dict[str, Any] = json.loads(result.stdout)["setup"]
    return setup


@pytest.mark.parametrize("rule", ["gets-in", "tight", "members-met"])
def test_why_finds_what_a_check_of_the_member_finds(
    flockcheck: Flockcheck, member: Path, rule: str
) -> None:
    told = lesson(flockcheck, rule)
    found = [one["finding"] for one in told["answers"] if one["finding"] is not None]
    expected = findings(flockcheck, rule)
    assert expected
    assert found == expected
    assert told["from_club"] == GIVEN


def test_why_shortens_and_refuses_acceptance_as_the_club_says(
    flockcheck: Flockcheck, here: Path, member: Path
) -> None:
    (answer,) = lesson(flockcheck, "tight")["answers"]
    assert answer["finding"]["accepted"]["cut"] == "club"
    write(here, MENDED, accepting("words"), name=MEMBER)
    (answer,) = lesson(flockcheck, "words")["answers"]
    assert answer["finding"]["accepted"] is None
    (here / "club.yaml").unlink()
    (answer,) = lesson(flockcheck, "words")["answers"]
    assert answer["finding"]["accepted"] is not None


def test_a_working_tells_what_of_it_is_the_clubs(flockcheck: Flockcheck, member: Path) -> None:
    lines = lesson(flockcheck, "cold-nights")["working"]["lines"]
    written = {one["name"]: one["written"] for one in lines if one["written"]}
    assert written["weather.night_low"] == {
        "path": "weather.night_low", "line": 4, "file": "club.yaml", "text": "9 C",
    }  # fmt: skip
    assert written["birds.0.hatched"]["file"] is None
    text = " ".join(flockcheck("why", "cold-nights", MEMBER).stdout.split())
    assert "weather.night_low, line 4 of club.yaml: 9 C" in text
    assert f"predators, line {line_of(member, 'predators:')}: fox, rat (rat from club.yaml)" in (
        flockcheck("why", "gets-in", MEMBER).stdout
    )


def test_the_days_have_the_clubs_weather_and_say_so(flockcheck: Flockcheck, member: Path) -> None:
    with_club = json.loads(flockcheck("days", MEMBER, "--format", "json").stdout)
    Draft202012Validator(SCHEMA).validate(with_club)
    assert with_club["from_club"] == GIVEN
    assert "From the club: weather.gust, " in flockcheck("days", MEMBER).stdout
    table = flockcheck("days", MEMBER, "--format", "csv")
    assert table.stdout.startswith("from,to,")
    assert f"flockcheck: From the club: {', '.join(GIVEN)}.\n" in table.stderr
    # The member has written no low of its own, without which nobody knows how cold a night is.
    (member.parents[1] / "club.yaml").unlink()
    alone = json.loads(flockcheck("days", MEMBER, "--format", "json").stdout)
    assert alone["from_club"] == []
    assert [one["night_margin"] for one in alone["rows"]] == [[None]] * 31
    assert with_club["rows"][0]["night_margin"][0] is not None


def test_the_days_show_what_the_clubs_rules_find(flockcheck: Flockcheck, member: Path) -> None:
    dated = {
        one["rule"]
        for day in json.loads(flockcheck("days", MEMBER, "--format", "json").stdout)["rows"]
        for one in day["begins"]
    }
    assert "members-met" in dated


def test_the_round_is_against_the_clubs_predators_too(flockcheck: Flockcheck, member: Path) -> None:
    page = flockcheck("round", MEMBER).stdout
    assert "Against fox and rat.\n" in page
    assert f"From the club: {', '.join(GIVEN)}.\n" in page
    (member.parents[1] / "club.yaml").unlink()
    page = flockcheck("round", MEMBER).stdout
    assert "Against fox.\n" in page
    assert "From the club" not in page


@pytest.mark.parametrize("command", EACH, ids=lambda one: one[0])
def test_what_they_print_of_a_member(
    flockcheck: Flockcheck, member: Path, command: tuple[str, ...], snapshot: SnapshotAssertion
) -> None:
    result = flockcheck(*command, MEMBER)
    assert (result.exit_code, result.stderr) == (0, "")
    _, _, own = result.stdout.partition("In Little flock")
    assert max(map(len, result.stdout.splitlines())) <= 80
    assert (own or "\n".join(result.stdout.splitlines()[:12])) == snapshot


@pytest.mark.parametrize("command", EACH, ids=lambda one: one[0])
def test_standard_input_belongs_to_the_club_of_the_folder_one_is_in(
    flockcheck: Flockcheck, member: Path, command: tuple[str, ...]
) -> None:
    result = flockcheck(*command, "-", text=member.read_text(encoding="utf-8"))
    assert "From the club: weather.gust" in result.stdout


@pytest.mark.parametrize(
    "broken", ["club: 1\nlest: mend\n", "club: 1\nstandards: [little-hal]\n", "club: [\n"]
)
@pytest.mark.parametrize("command", EACH, ids=lambda one: one[0])
def test_a_broken_club_is_the_same_clear_error_as_in_a_check(
    flockcheck: Flockcheck, here: Path, member: Path, command: tuple[str, ...], broken: str
) -> None:
    (here / "club.yaml").write_text(broken, encoding="utf-8")
    result = flockcheck(*command, MEMBER)
    assert (result.exit_code, result.stdout) == (2, "")
    assert result.stderr.startswith("flockcheck: club.yaml can't be used; put this right first:\n")
    assert result.stderr == flockcheck("check", MEMBER).stderr


@pytest.mark.parametrize("args", [("why", "tight"), ("why", "clear", "opening"), ("round",)])
def test_without_a_setup_no_club_is_asked(
    flockcheck: Flockcheck, here: Path, args: tuple[str, ...]
) -> None:
    (here / "club.yaml").write_text("club: [\n", encoding="utf-8")
    assert flockcheck(*args).exit_code == 0


@pytest.mark.parametrize("command", EACH, ids=lambda one: one[0])
def test_code_in_the_clubs_rulebook_is_told_and_not_run(
    flockcheck: Flockcheck, here: Path, member: Path, command: tuple[str, ...]
) -> None:
    (here / "club_book" / "house" / "run.py").write_text("open('ran', 'w')\n", encoding="utf-8")
    result = flockcheck(*command, MEMBER)
    assert result.exit_code == 2
    assert "flockcheck: club_book: it holds code (house/run.py), none of which was run" in (
        result.stderr
    )
    assert result.stdout and not (here / "ran").exists()
