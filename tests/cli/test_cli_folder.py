"""`flockcheck check FOLDER`: a club's members, its settings, the table, and what breaks nothing."""

from __future__ import annotations

import contextlib
import json
import os
import random
import shutil
import signal
import subprocess
import sys
import time
from pathlib import Path
from typing import Any

import pytest
from click.testing import Result
from syrupy.assertion import SnapshotAssertion

from tests.cli.cli_cases import MENDED, environment, run, write
from tests.cli.conftest import Flockcheck
from tests.little_cases import BASE, CLUB, ROOT, birds, changed

posix = pytest.mark.skipif(os.name != "posix", reason="links, pipes and signals of another kind")
SETTINGS = """club: 1
name: Larch Fold keepers
least: watch
predators: [weasel]
weather: {gust: 9 m/s}
rulebooks: [club_book]
requires: [mesh.opening]
accepting: {longest: 10 days, never: [words]}
left_out: [templates]
"""


@pytest.fixture(autouse=True)
def own_cache(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A cache folder of the test's own."""
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / ".cache"))
    return tmp_path / ".cache"


def named(number: int) -> tuple[str, str]:
    return ("Little flock", f"Flock {number}")


def accepting(rule: str) -> tuple[str, str]:
    entry = f"{{rule: {rule}, because: so it is, until: 2027-05-31}}"
    return ("care:", f"accepted: [{entry}]\ncare:")


def members(here: Path, settings: str = SETTINGS) -> None:
    """A club with six members, a template and the club's own rules."""
    (here / "club.yaml").write_text(settings)
    shutil.copytree(CLUB, here / "club_book")
    write(here, named(1), name="members/ash.flock.yaml")
    write(here, named(2), birds(100), accepting("tight"), name="members/beech.flock.yaml")
    write(here, named(3), MENDED, accepting("words"), name="members/cedar/flock.yaml")
    write(here, named(4), ("length: 4 m", "length: 4"), name="members/elm.flock.yaml")
    write(here, named(5), ("opening: 20 mm, ", ""), name="members/fir.flock.yaml")
    old = changed(BASE, named(6), birds(100)).replace("2027-", "2026-")
    (here / "members" / "oak.flock.yaml").write_text(old)
    write(here, ("name: Little flock", "nme: x"), name="templates/new.flock.yaml")


def many(here: Path, count: int = 60) -> None:
    """Setups of three kinds, no two the same."""
    for number in range(count):
        change = ([], [birds(100)], [MENDED])[number % 3]
        write(here, named(number), *change, name=f"members/{number:02}.flock.yaml")


def out(result: Result) -> tuple[int, str, str]:
    return result.exit_code, result.stdout, result.stderr


# --- a club


def test_a_club_is_told_each_that_fails_and_then_how_all_stand(
    flockcheck: Flockcheck, here: Path, snapshot: SnapshotAssertion
) -> None:
    members(here)
    result = flockcheck("check", "--on", "2027-01-01")
    assert (result.exit_code, result.stderr) == (2, "")
    assert result.stdout == snapshot
    assert max(map(len, result.stdout.splitlines())) <= 80


def test_the_summary_is_the_table_alone(
    flockcheck: Flockcheck, here: Path, snapshot: SnapshotAssertion
) -> None:
    members(here)
    result = flockcheck("check", "--on", "2027-01-01", "--summary")
    assert result.exit_code == 2
    assert result.stdout == snapshot
    whole = flockcheck("check", "--on", "2027-01-01").stdout
    assert whole.endswith(result.stdout)
    wrong = flockcheck("check", "--summary", "--format", "json")
    assert "--summary is for the text report" in wrong.stderr


def test_on_a_phone_each_setup_has_lines_of_its_own(
    flockcheck: Flockcheck, here: Path, monkeypatch: pytest.MonkeyPatch,
    snapshot: SnapshotAssertion,
) -> None:  # fmt: skip
    members(here)
    monkeypatch.setattr("flockcheck.cli.check._at_terminal", lambda: True)
    monkeypatch.setenv("COLUMNS", "40")
    monkeypatch.setenv("NO_COLOR", "1")
    result = flockcheck("check", "--summary")
    assert result.stdout == snapshot
    assert max(map(len, result.stdout.splitlines())) <= 40


def test_the_settings_hold_for_one_file_too_and_the_report_tells_what_is_the_clubs(
    flockcheck: Flockcheck, here: Path
) -> None:
    members(here)
    result = flockcheck("check", "members/beech.flock.yaml", "--format", "json")
    (one,) = json.loads(result.stdout)["setups"]
    assert (one["club"], one["from_club"]) == ("club.yaml", ["weather.gust", "predators.weasel"])
    (tight,) = [found for found in one["findings"] if found["rule"] == "tight"]
    assert tight["accepted"]["cut"] == "club"
    assert "members-met" in {found["rule"] for found in one["findings"]}
    os.chdir("members")
    inner = flockcheck("check", "beech.flock.yaml", "--format", "json")
    assert json.loads(inner.stdout)["setups"][0]["club"].endswith("club.yaml")


def test_what_if_holds_within_the_club(flockcheck: Flockcheck, here: Path) -> None:
    members(here)

    def tried(*changes: str) -> dict[str, Any]:
        options = [option for change in changes for option in ("--with", change)]
        args = ("check", "members/fir.flock.yaml", "--no-fixes", "--format", "json", *options)
        (setup,) = json.loads(flockcheck(*args).stdout)["setups"]
        assert isinstance(setup, dict)
        return setup

    plain, other = tried(), tried("birds.0.count=45")
    # What the club gives is not lost, nor what it asks.
    assert plain["predators"] == other["predators"] == ["fox", "mink", "weasel"]
    assert plain["from_club"] == other["from_club"] == ["weather.gust", "predators.weasel"]
    assert plain["required"] == other["required"] == ["mesh.opening"]
    more = tried("mesh.opening=20 mm", "weather.gust=8 m/s", "predators=weasel")
    assert (more["from_club"], more["required"]) == ([], [])
    assert more["predators"] == ["weasel"]
    changes = {one["path"]: (one["from"], one["to"]) for one in more["with"]["changes"]}
    assert changes["weather.gust"] == ("9 m/s", "8 m/s")


def test_the_command_line_wins_over_the_clubs_least(flockcheck: Flockcheck, here: Path) -> None:
    (here / "club.yaml").write_text("club: 1\nleast: tip\n")
    write(here, ("store: sealed", "store: open"))
    assert flockcheck("check").exit_code == 1
    assert flockcheck("check", "--least", "mend").exit_code == 0


def test_a_key_that_the_club_requires_fails_whoever_lacks_it(
    flockcheck: Flockcheck, here: Path
) -> None:
    (here / "club.yaml").write_text("club: 1\nrequires: [mesh.wire]\n")
    path = write(here)
    result = flockcheck("check")
    assert result.exit_code == 1
    assert "Required by the club, and not written\n  mesh.wire\n" in result.stdout
    path.write_text(changed(BASE, ("mesh: {", "mesh: {wire: 1 mm, ")))
    assert flockcheck("check").exit_code == 0


@pytest.mark.parametrize(
    ("settings", "says"),
    [
        ("club: 1\nlest: mend\n", "line 2: there is no such key; did you mean `least`?"),
        ("club: 1\nstandards: [little-hal]\n",
         "line 2: there is no standard `little-hal`; did you mean `little-hall`?"),
        ("club: 1\naccepting: {never: [wrds]}\n",
         "line 2: there is no rule `wrds`; did you mean `words`?"),
        ("club: 1\nrulebooks: [../other]\n",
         "line 2: `../other` leads out of the club's folder; name one that lies below it"),
        ("club: [\n", "line"),
    ],
)  # fmt: skip
def test_a_broken_club_is_one_clear_error_and_nobody_is_judged(
    flockcheck: Flockcheck, here: Path, settings: str, says: str
) -> None:
    (here / "club.yaml").write_text(settings)
    write(here, MENDED)
    result = flockcheck("check")
    assert (result.exit_code, result.stdout) == (2, "")
    head, first, *_ = result.stderr.splitlines()
    assert head == "flockcheck: club.yaml can't be used; put this right first:"
    assert first.strip().startswith(says)


def test_setups_of_two_clubs_are_not_judged_together(flockcheck: Flockcheck, here: Path) -> None:
    write(here, name="loose.flock.yaml")
    write(here, name="one/a.flock.yaml")
    (here / "one" / "club.yaml").write_text("club: 1\n")
    result = flockcheck("check", "one", "loose.flock.yaml")
    assert out(result) == (
        2, "", "flockcheck: these do not belong to one club: one to one/club.yaml, "
        "loose.flock.yaml to no club. Check them one after the other\n",
    )  # fmt: skip
    below = flockcheck("check", "--format", "json")
    assert [one["file"] for one in json.loads(below.stdout)["setups"]] == ["loose.flock.yaml"]
    assert json.loads(below.stdout)["problems"][0]["about"] == "one"


def test_the_club_of_the_fixtures_is_checked_by_the_command_of_the_readme(
    tmp_path: Path, snapshot: SnapshotAssertion
) -> None:
    env = {**os.environ, "PYTHONPATH": os.pathsep.join([str(ROOT / "src"), *sys.path[1:]]),
           "XDG_CACHE_HOME": str(tmp_path)}  # fmt: skip
    command = ["check", "fixtures/club", "--on", "2027-05-20", "--summary"]
    assert f"flockcheck {' '.join(command)}" in (ROOT / "README.md").read_text(encoding="utf-8")
    done = subprocess.run(
        [sys.executable, "-m", "flockcheck", *command],
        cwd=ROOT, env=env, capture_output=True, encoding="utf-8", check=False,
    )  # fmt: skip
    assert (done.returncode, done.stderr) == (1, "")
    assert done.stdout == snapshot


# --- what a member's file may try


def test_a_file_that_tries_to_break_out_is_an_error_for_itself_alone(
    flockcheck: Flockcheck, here: Path
) -> None:
    members(here)
    bad = here / "members" / "bad"
    bad.mkdir()
    (here.parent / "secret.flock.yaml").write_text("secret: yes\n")
    (bad / "long.flock.yaml").write_bytes(b"name: " + b"x" * 10_000_000)
    bomb = "a: &a [x, x]\n" + "".join(
        f"{chr(98 + n)}: &{chr(98 + n)} [*{chr(97 + n)}, *{chr(97 + n)}]\n" for n in range(20)
    )
    (bad / "bomb.flock.yaml").write_text(bomb)
    (bad / "deep.flock.yaml").write_text("a: " + "[" * 200_000)
    (bad / "object.flock.yaml").write_text("a: !!python/object/apply:os.system ['touch ran']\n")
    (bad / "binary.flock.yaml").write_bytes(os.urandom(5_000))
    if os.name == "posix":
        (bad / "out.flock.yaml").symlink_to(here.parent / "secret.flock.yaml")
        (bad / "round.flock.yaml").symlink_to("round.flock.yaml")
        (bad / "up").symlink_to("../..")
        os.mkfifo(bad / "pipe.flock.yaml")
    (here / "club_book" / "house" / "run.py").write_text("open('ran', 'w')\n")
    result = flockcheck("check", "--format", "json")
    assert (result.exit_code, result.stderr) == (2, "")
    data = json.loads(result.stdout)
    verdicts = {one["file"]: one["verdict"] for one in data["setups"]}
    unreadable = {name for name, verdict in verdicts.items() if verdict == "unreadable"}
    kinds = ("long", "bomb", "deep", "object", "binary")
    assert unreadable == {
        "members/elm.flock.yaml", *(f"members/bad/{kind}.flock.yaml" for kind in kinds),
    }  # fmt: skip
    assert len(verdicts) == 6 + len(kinds)
    about = {one["about"]: one["says"] for one in data["problems"]}
    assert about.pop("club_book") == (
        "it holds code (house/run.py), none of which was run: a rulebook is data. Take it out"
    )
    if os.name == "posix":
        assert sorted(about) == [
            f"members/bad/{kind}.flock.yaml" for kind in ("out", "pipe", "round")
        ]
        assert "secret: yes" not in result.stdout
    assert not (here / "ran").exists()
    # The others are judged as they are without them.
    shutil.rmtree(bad)
    alone = json.loads(flockcheck("check", "--format", "json").stdout)
    assert [one for one in data["setups"] if "/bad/" not in one["file"]] == alone["setups"]


# --- lines as they come


def test_each_setup_is_one_line_of_what_json_has(flockcheck: Flockcheck, here: Path) -> None:
    members(here)
    whole = json.loads(flockcheck("check", "--format", "json").stdout)
    lines = flockcheck("check", "--format", "jsonl")
    assert [json.loads(line) for line in lines.stdout.splitlines()] == whole["setups"]
    assert lines.exit_code == 2
    flockcheck("check", "--format", "jsonl", "--output", "all.jsonl")
    assert (here / "all.jsonl").read_text(encoding="utf-8") == lines.stdout


def test_what_is_wrong_with_the_run_goes_to_standard_error_where_lines_are_asked_for(
    flockcheck: Flockcheck, here: Path
) -> None:
    write(here)
    (here / "gone.flock.yaml").symlink_to("nowhere")
    result = flockcheck("check", "--format", "jsonl")
    assert (result.exit_code, len(result.stdout.splitlines())) == (2, 1)
    assert result.stderr == "flockcheck: gone.flock.yaml: this link leads nowhere.\n"


@posix
def test_a_reader_of_lines_that_has_seen_enough_ends_the_run_quietly(tmp_path: Path) -> None:
    many(tmp_path)
    done = subprocess.run(
        ["bash", "-c", f"{sys.executable} -m flockcheck check --format jsonl | head -n 1"],
        cwd=tmp_path, env=environment(XDG_CACHE_HOME=str(tmp_path / ".cache")),
        capture_output=True, encoding="utf-8", check=False, timeout=120,
    )  # fmt: skip
    assert (done.stderr, len(done.stdout.splitlines())) == ("", 1)


def test_no_bar_gets_into_a_log(tmp_path: Path) -> None:
    many(tmp_path)
    done = run("check", "--summary", cwd=tmp_path, env={"XDG_CACHE_HOME": str(tmp_path / ".cache")})
    assert (done.returncode, done.stderr) == (1, "")


def test_a_long_run_shows_at_a_terminal_how_far_it_is(
    flockcheck: Flockcheck, here: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    many(here, 42)
    plain = flockcheck("check", "--summary")
    monkeypatch.setattr("flockcheck.cli.members._sees_progress", lambda: True)
    seen = flockcheck("check", "--summary", "--afresh")
    assert seen.stdout == plain.stdout
    assert "Checking" in seen.stderr
    monkeypatch.setattr("flockcheck.cli.check._at_terminal", lambda: True)
    assert flockcheck("check", "--format", "jsonl").stderr == ""
    for path in (here / "members").glob("[1-4]*"):
        path.unlink()
    assert flockcheck("check", "--summary").stderr == ""


@pytest.mark.skipif(not hasattr(os, "openpty"), reason="no terminals of one's own here")
def test_the_bar_is_drawn_on_a_terminal_of_standard_error_alone(tmp_path: Path) -> None:
    many(tmp_path)
    ours, theirs = os.openpty()
    done = subprocess.Popen(
        [sys.executable, "-m", "flockcheck", "check", "--summary", "--afresh"],
        cwd=tmp_path, env=environment(TERM="xterm"), stdout=subprocess.PIPE, stderr=theirs,
    )  # fmt: skip
    os.close(theirs)
    drawn = b""
    with contextlib.suppress(OSError):
        while piece := os.read(ours, 10_000):
            drawn += piece
    os.close(ours)
    table, _ = done.communicate(timeout=60)
    assert done.returncode == 1
    assert b"Checking" in drawn
    assert b"100%" in drawn
    assert table.decode() == run("check", "--summary", "--afresh", cwd=tmp_path).stdout


# --- kept reports


@pytest.mark.parametrize(
    "options",
    [
        [],
        ["--format", "json"],
        ["--format", "jsonl"],
        ["--format", "sarif"],
        ["--summary"],
        ["--standard", "little-hall", "--units", "us"],
        ["--on", "2027-06-20", "--least", "tip"],
    ],
)
def test_kept_reports_change_no_byte(
    flockcheck: Flockcheck, here: Path, own_cache: Path, options: list[str]
) -> None:
    members(here)
    many(here, 12)
    afresh = out(flockcheck("check", *options, "--afresh"))
    assert not (own_cache / "flockcheck" / "reports").exists()
    first, again = (out(flockcheck("check", *options)) for _ in range(2))
    assert len(list((own_cache / "flockcheck" / "reports").iterdir())) == 1
    assert afresh == first == again


def test_a_change_of_anything_that_matters_is_seen(
    flockcheck: Flockcheck, here: Path, own_cache: Path
) -> None:
    members(here)
    rule = here / "club_book" / "house" / "members-met.yaml"
    changes = (
        lambda: (here / "club.yaml").write_text(SETTINGS.replace("10 days", "5 days")),
        lambda: rule.write_text(rule.read_text().replace("grade: mend", "grade: stop")),
        lambda: write(here, named(1), birds(80), name="members/ash.flock.yaml"),
        lambda: (here / "members" / "fir.flock.yaml").rename(here / "members" / "yew.flock.yaml"),
        lambda: (here / "members" / "oak.flock.yaml").unlink(),
    )
    seen = [out(flockcheck("check", "--format", "jsonl"))]
    for change in changes:
        change()
        seen.append(out(flockcheck("check", "--format", "jsonl")))
        assert seen[-1] != seen[-2]
        assert seen[-1] == out(flockcheck("check", "--format", "jsonl", "--afresh"))


def test_a_cache_filled_with_garbage_gives_the_right_reports(
    flockcheck: Flockcheck, here: Path, own_cache: Path
) -> None:
    members(here)
    right = out(flockcheck("check", "--format", "jsonl"))
    folder = own_cache / "flockcheck" / "reports"
    luck = random.Random(5)
    for number in range(12):
        for path in folder.iterdir():
            data = bytearray(path.read_bytes() or b"x")
            if number % 3 == 0:
                data = bytearray(luck.randbytes(5_000))
            elif number % 3 == 1:
                data = data[: luck.randrange(len(data))]
            else:
                for _ in range(20):
                    data[luck.randrange(len(data))] = luck.randrange(256)
            path.write_bytes(data)
        assert out(flockcheck("check", "--format", "jsonl")) == right


@posix
def test_a_cache_that_can_not_be_written_changes_nothing(
    flockcheck: Flockcheck, here: Path, own_cache: Path
) -> None:
    members(here)
    right = out(flockcheck("check", "--format", "jsonl"))
    shutil.rmtree(own_cache)
    own_cache.write_text("a file where the folder should be")
    assert out(flockcheck("check", "--format", "jsonl")) == right


def test_two_runs_at_once_give_the_right_reports(tmp_path: Path) -> None:
    many(tmp_path)
    env = environment(XDG_CACHE_HOME=str(tmp_path / ".cache"))
    args = [sys.executable, "-m", "flockcheck", "check", "--format", "jsonl"]
    runs = [subprocess.Popen(args, cwd=tmp_path, env=env, stdout=subprocess.PIPE) for _ in range(2)]
    came = [one.communicate(timeout=120)[0] for one in runs]
    afresh = run("check", "--format", "jsonl", "--afresh", cwd=tmp_path).stdout.encode()
    after = run("check", "--format", "jsonl", cwd=tmp_path, env=env).stdout.encode()
    assert came[0] == came[1] == afresh == after


@posix
def test_a_run_killed_at_any_moment_leaves_no_wrong_report_and_no_process(tmp_path: Path) -> None:
    many(tmp_path)
    env = environment(XDG_CACHE_HOME=str(tmp_path / ".cache"))
    right = run("check", "--format", "jsonl", "--afresh", cwd=tmp_path).stdout
    args = [sys.executable, "-m", "flockcheck", "check", "--format", "jsonl"]
    luck = random.Random(7)
    for _ in range(20):
        one = subprocess.Popen(
            args, cwd=tmp_path, env=env, stdout=subprocess.DEVNULL, start_new_session=True
        )
        time.sleep(luck.random() * 1.5)
        one.kill()
        one.wait()
        deadline = time.monotonic() + 30
        while _alive(one.pid) and time.monotonic() < deadline:
            time.sleep(0.05)
        assert not _alive(one.pid)
    assert run("check", "--format", "jsonl", cwd=tmp_path, env=env).stdout == right


def _alive(group: int) -> bool:
    """Whether a process of a group is still there."""
    try:
        os.killpg(group, 0)
    except ProcessLookupError:
        return False
    return True


@posix
def test_an_interrupt_ends_the_run_and_its_processes_quietly(tmp_path: Path) -> None:
    many(tmp_path, 400)
    one = subprocess.Popen(
        [sys.executable, "-m", "flockcheck", "check", "--format", "jsonl", "--afresh"],
        cwd=tmp_path, env=environment(), stdout=subprocess.PIPE, stderr=subprocess.PIPE,
        start_new_session=True,
    )  # fmt: skip
    assert one.stdout is not None
    for _ in range(60):
        one.stdout.readline()
    os.killpg(one.pid, signal.SIGINT)
    _, told = one.communicate(timeout=60)
    assert one.returncode == 1
    assert told.decode().strip() in ("", "Aborted!")
    assert not _alive(one.pid)


# --- what changed


@pytest.mark.skipif(shutil.which("git") is None, reason="git is not installed")
def test_only_what_changed_since_a_revision_is_checked(flockcheck: Flockcheck, here: Path) -> None:
    members(here)
    git = ["git", "-c", "user.name=Test", "-c", "user.email=test@example.org", "-C", str(here)]
    told = flockcheck("check", "--since", "HEAD")
    assert out(told)[:2] == (2, "")
    assert "this folder" in told.stderr or "lies in no git repository" in told.stderr
    for args in (["init", "-q"], ["add", "."], ["commit", "-q", "-m", "all"]):
        subprocess.run([*git, *args], check=True)
    nothing = flockcheck("check", "--since", "HEAD")
    assert (nothing.exit_code, nothing.stdout) == (0, "No setup changed since HEAD.\n")
    write(here, named(9), name="members/ash.flock.yaml")
    changed_one = flockcheck("check", "--since", "HEAD", "--format", "json")
    files = [one["file"] for one in json.loads(changed_one.stdout)["setups"]]
    assert files == ["members/ash.flock.yaml"]
    wrong = flockcheck("check", "--since", "--help-me")
    assert wrong.exit_code == 2
    assert "is no revision" in wrong.stderr
